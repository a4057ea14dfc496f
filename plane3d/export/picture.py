"""A picture of the meeting with its words round it: title, result, a scale, and what made it."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np

from plane3d.export.captions import Caption, Frame, Item
from plane3d.export.files import write_whole
from plane3d.export.subject import Subject, Wishes
from plane3d.frames import cross, norm, unit
from plane3d.language import mark, tr
from plane3d.quantities import unit_name
from plane3d.scene.apart import Painter, Progress, one_picture
from plane3d.scene.parts import Scene
from plane3d.scene.render import Picture, pose
from plane3d.scene.view import project
from plane3d.units import CENTIMETRE, INCH

SIZE = (1920, 1080)
MADE_BY = "plane3d"
CAVEAT = mark("A model's answer, not a measurement.")
SCALE_MOST = 0.2  # of the picture's width that the scale may take
INCHES = (0.5, 1, 2, 3, 6, 12, 24, 36, 72, 144)
CENTIMETRES = (1, 2, 5, 10, 20, 50, 100, 200, 400)
AT_CONTACT, AT_PASS = mark("{length} at the point of contact"), mark("{length} at the closest pass")
PACKING = 4  # of PNG, 1 to 9: a third of the time of the usual 6 for a tenth more bytes


def meeting(scene: Scene) -> np.ndarray:
    """The ball's centre (3,) at contact or at the closest pass, m."""
    return pose(scene.motion, "ball", scene.motion.closest_time, np.zeros((1, 3)))[0]


def pixels_per_metre(scene: Scene, view: str, size: tuple[int, int]) -> float:
    """How long a metre across the line of sight is where bat and ball meet, in a picture of a size."""
    camera = scene.cameras[view]
    across = unit(cross(np.subtract(camera.focal_point, camera.position), np.array(camera.up)))
    place = meeting(scene)
    ends, _ = project(camera, size, np.array([place - across / 2, place + across / 2]))
    return float(norm(ends[1] - ends[0]))


def scale(scene: Scene, view: str, size: tuple[int, int], metric: bool = False) -> Item:
    """The longest round length whose bar takes no more than `SCALE_MOST` of the width, with its words."""
    lengths, unit_length = (CENTIMETRES, CENTIMETRE) if metric else (INCHES, INCH)
    pixels = pixels_per_metre(scene, view, size) * unit_length
    length = max((n for n in lengths if n * pixels <= SCALE_MOST * size[0]), default=lengths[0])
    return Item(_scale_words(scene, length, metric), bar=length * pixels)


def _scale_words(scene: Scene, length: float, metric: bool) -> str:
    words = f"{length:g} {'cm' if metric else unit_name('in')}"
    return tr(AT_PASS if scene.motion.contact_time is None else AT_CONTACT, length=words)


def captioned(subject: Subject, size: tuple[int, int]) -> tuple[Frame, Caption]:
    """The frame of a picture of a subject and the words that go round it."""

    def caption(bar: Item) -> Caption:
        return Caption(subject.title, subject.sentence, (bar, Item(tr(CAVEAT)), Item(MADE_BY)))

    scene = subject.scene
    longest = _scale_words(scene, CENTIMETRES[-1] if subject.metric else INCHES[-1], subject.metric)
    frame = Frame(size, [caption(Item(longest, bar=SCALE_MOST * size[0]))], subject.theme)
    return frame, caption(scale(scene, scene.camera, frame.inner, subject.metric))


def picture(subject: Subject, painter: Painter, size: tuple[int, int] = SIZE, time: float | None = None) -> Picture:
    """The picture (height, width, 3) of a subject from its view.

    size : width and height, pixels; time : s from contact or closest pass, None for that moment itself
    Raises DrawingError where this machine cannot draw.
    """
    scene = subject.scene
    frame, caption = captioned(subject, size)
    t = scene.motion.closest_time + (time or 0.0)
    image = painter.run(one_picture, scene, scene.camera, t, frame.inner)
    return frame.around(image, caption)


def write(subject: Subject, path: Path, wishes: Wishes, painter: Painter, progress: Progress) -> None:
    """Write the picture as PNG."""
    from PIL import Image  # here, because only pictures need it

    image = picture(subject, painter, wishes.size or SIZE, wishes.time)
    packed = io.BytesIO()
    Image.fromarray(image).save(packed, "PNG", compress_level=PACKING)
    write_whole(packed.getvalue(), path)
