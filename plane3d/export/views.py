"""The three views of a hand-out, drawn small: few words, in letters that can still be read on paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from plane3d.export.film_file import TELLING
from plane3d.export.subject import Subject
from plane3d.scene.apart import Painter
from plane3d.scene.parts import Scene
from plane3d.scene.render import Drawing, Picture, with_labels

VIEWS = ("side", "above", "catcher")
SIZE = (840, 630)  # pixels: some 350 to an inch where three stand side by side
LETTERS = 1 / 24  # of the picture's height
NAMED = (
    "pitch line",
    "barrel path",
    "hand path",
    "batted ball",
    "contact window",
    "below the line",
    "second pitch line",
)


def three_views(subject: Subject, painter: Painter, asking: bool = False) -> tuple[Picture, ...]:
    """The pictures of `VIEWS` at contact or closest pass.

    asking : without what would give the answer away
    Raises DrawingError where this machine cannot draw.
    """
    scene = _worded(subject.scene, asking)
    return painter.run(draw, scene, VIEWS, SIZE, TELLING if asking else ())


def _worded(scene: Scene, asking: bool) -> Scene:
    """The scene with no more words than small pictures have room for."""
    named = [name for name in NAMED if not (asking and name in TELLING)]
    return replace(scene, labels=tuple(label for label in scene.labels if label.name in named))


def draw(
    scene: Scene, views: tuple[str, ...], size: tuple[int, int], without: tuple[str, ...], told: Callable[[float], None]
) -> tuple[Picture, ...]:
    """Pictures (height, width, 3) of a scene, as work for a `Painter`."""
    pictures = []
    time = scene.motion.closest_time
    for view in views:
        with Drawing(scene, size, view) as drawing:
            image = drawing.at(time, scene.cameras[view], without)
        pictures.append(with_labels(scene, image, view, time, LETTERS))
        told(len(pictures) / len(views))
    return tuple(pictures)
