"""Films of the project's own scene through known cameras: their marks, and pictures of them. All invented.

``python -m tests.films`` makes the films and marks of scenarios/films that the page has to try.
"""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from plane3d.frames import Array, Z
from plane3d.lesson import scenarios_folder
from plane3d.measured.cameras import known_points
from plane3d.measured.marks_file import MarksFile, View, dumps
from plane3d.play import Play
from plane3d.scenario import load
from plane3d.scene.describe import describe
from plane3d.scene.parts import Camera, Mesh
from plane3d.scene.render import Drawing
from plane3d.scene.shapes import bar
from plane3d.scene.view import project

ONE_INCH = load(next(scenarios_folder().glob("01-*.toml")))
STICK = 1.2  # m
SIZE, SMALL = (1920, 1080), (640, 360)
SIDE_ON = Camera((5.2, 0.6, 1.1), (0.0, 0.6, 0.9), view_angle_deg=26.0)
BEHIND = Camera((0.3, -4.5, 1.6), (-0.2, 0.5, 0.9), view_angle_deg=28.0)
CONTACT = (41.3, 40.8)  # frame of contact in each film
VIEW = "side"  # under whose name they are drawn: it shows the hitter
DRAWN_IN = ("drop lines", "strike zone", "sweet spot")  # what no film shows
# The films to try: filmed at 240 frames a second, played at 30.
RATE, PLAYS, FRAMES, FILES = 240.0, 30.0, 46, ("film-side.webm", "film-behind.webm")
NOTE = (
    "Invented. Films of the swing of scenarios/01-one-inch-under.toml through two cameras at (5.2, 0.6, 1.1) m and "
    "(0.3, -4.5, 1.6) m, a stick of 1.2 m, contact at frames 41.3 and 40.8; each mark is off by 0.4 px (standard "
    "deviation of each coordinate)."
)


@dataclass(frozen=True)
class Filmed:
    """A swing filmed by a camera: where the known points and the parts are in its pictures, px, by name and frame."""

    camera: Camera
    size: tuple[int, int]
    rate: float
    contact: float
    known: dict[str, Array]
    marks: dict[str, dict[int, Array]]


@cache
def _play() -> Play:
    return Play(ONE_INCH.to_inputs())


def moment(one: Filmed, frame: int) -> float:
    """The play's time at a frame."""
    return float(_play().closest_time + (frame - one.contact) / one.rate)


def filmed(
    rate: float,
    cameras: Sequence[Camera] = (SIDE_ON, BEHIND),
    size: tuple[int, int] = SIZE,
    before: float = 0.13,
    after: float = 0.012,
) -> list[Filmed]:
    """One swing in the films of fixed cameras, from ``before`` s before contact to ``after`` s after it."""
    play, there = _play(), known_points(STICK)
    found = []
    for camera, contact in zip(cameras, CONTACT, strict=False):
        frames = np.arange(int(np.ceil(contact - before * rate)), int(contact + after * rate) + 1)
        now = play.closest_time + (frames - contact) / rate
        knob, axis = play.bat_at(now)
        ends = {"knob": knob, "tip": knob + play.inputs.bat.length * axis, "ball": play.ball_at(now)}
        lines = {part: project(camera, size, line)[0] for part, line in ends.items()}
        marks = {part: dict(zip(frames.tolist(), line, strict=True)) for part, line in lines.items()}
        known = dict(zip(there, project(camera, size, np.array(list(there.values())))[0], strict=True))
        found.append(Filmed(camera, size, rate, contact, known, marks))
    return found


def marks_of(films: Sequence[Filmed], off: float = 0.3, seed: int = 1) -> MarksFile:
    """The work of somebody who set marks in them. off : px, standard deviation of each coordinate"""
    rng = np.random.default_rng(seed)

    def marked(place: Array) -> tuple[float, float]:
        x, y = np.asarray(place) + off * rng.standard_normal(2)
        return round(float(x), 2), round(float(y), 2)

    views = [
        View(
            name=name,
            size=one.size,
            rate=one.rate,
            contact=one.contact,
            known={point: marked(place) for point, place in one.known.items()},
            marks={part: {k: marked(place) for k, place in line.items()} for part, line in one.marks.items()},
        )
        for name, one in zip(("first view", "second view"), films, strict=False)
    ]
    return MarksFile(tuple(views), STICK, "Invented")


def blank(size: tuple[int, int]) -> bytes:
    """A grey picture."""
    packed = io.BytesIO()
    Image.new("RGB", size, "#808080").save(packed, "PNG")
    return packed.getvalue()


def draw(folder: Path, rate: float, frames: Sequence[int]) -> None:
    """Write some frames of both films, of `SMALL` size, as ``<film>-<frame>.png``; in a process of its own."""
    command = [sys.executable, "-m", "tests.films", str(folder), str(rate), *map(str, frames)]
    subprocess.run(command, check=True, cwd=Path(__file__).parents[1], timeout=120)


def pictures(one: Filmed, frames: Iterable[int], stick: bool = False) -> Iterator[NDArray[np.uint8]]:
    """Frames of a film, without the lines that no film shows; ``stick``: in the first five it stands on a corner each.

    Draws in this process, which a missing graphics library would end.
    """
    scene = describe(_play(), figure=True)
    feet = [place for name, place in known_points(STICK).items() if not name.endswith("stick")]
    sticks = [
        Mesh(f"stick {k}", *bar(foot, foot + STICK * Z, 0.02), "#FFFFFF", lit=False) for k, foot in enumerate(feet)
    ]
    names = {mesh.name for mesh in sticks}
    bodies = [mesh for mesh in scene.meshes if mesh.name not in DRAWN_IN]
    scene = replace(scene, meshes=(*bodies, *sticks), tubes=(), marks=(), labels=(), cameras={VIEW: one.camera})
    with Drawing(scene, one.size, VIEW) as drawing:
        for frame in frames:
            hidden = names - {f"stick {frame}"} if stick else names
            yield drawing.at(moment(one, frame), one.camera, hidden)


def example(folder: Path) -> None:
    """Write both films whole, in slow motion, and the work of somebody who marked them: what the page has to try."""
    import cv2  # of the tests' own libraries

    films = filmed(RATE, size=SMALL)
    for one, name in zip(films, FILES, strict=True):
        writer = cv2.VideoWriter(str(folder / name), cv2.VideoWriter_fourcc(*"VP80"), PLAYS, SMALL)
        for image in pictures(one, range(FRAMES), stick=True):
            writer.write(np.ascontiguousarray(image[..., ::-1]))
        writer.release()
    work = replace(marks_of(films, off=0.4), note=NOTE)
    (folder / "films.marks.json").write_text(dumps(work), encoding="utf-8")


def main(folder: str = "", rate: str = "", *frames: str) -> None:
    if not rate:
        example(Path(folder) if folder else scenarios_folder() / "films")
        return
    for place, one in enumerate(filmed(float(rate), size=SMALL)):
        for frame, image in zip(frames, pictures(one, map(int, frames)), strict=True):
            Image.fromarray(image).save(Path(folder) / f"{place}-{frame}.png", optimize=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
