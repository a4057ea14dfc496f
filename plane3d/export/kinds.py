"""Which ending of a file's name is made by what."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from plane3d.export import booklet, film, handout, numbers, picture, solids
from plane3d.export.subject import Subject, Wishes
from plane3d.lesson import Lesson
from plane3d.scene.apart import Progress

Make = Callable[[Subject, Path, Wishes, Any, Progress], None]
MakeLesson = Callable[[Lesson, Path, dict[str, Any], Wishes, Any, Progress], None]
LOOKS = ("view", "camera", "theme", "figure", "metric")  # of a `Subject`


def one_file(path: Path) -> tuple[Path, ...]:
    """The files of most kinds."""
    return (path,)


@dataclass(frozen=True)
class Kind:
    """A kind of file.

    make : writes it: what it is about, the path, what is asked, a `Painter` where ``draws``, progress
    draws : whether it needs a process that draws
    heeds : names of what makes a difference to it, of `LOOKS` and of the fields of `Wishes`
    files : every file it writes for a path
    lesson : writes a whole lesson as one file, where there is such a file: the lesson, the path, looks by name, and the
        rest as for ``make``
    """

    make: Make
    draws: bool = False
    heeds: tuple[str, ...] = ()
    files: Callable[[Path], tuple[Path, ...]] = one_file
    lesson: MakeLesson | None = None


FILM = Kind(film.write, draws=True, heeds=(*LOOKS, "size", "speed", "rate", "seconds"))
KINDS: dict[str, Kind] = {
    "png": Kind(picture.write, draws=True, heeds=(*LOOKS, "size", "time")),
    "mp4": FILM,
    "gif": FILM,
    "pdf": Kind(handout.write, draws=True, heeds=("metric", "figure", "paper"), lesson=booklet.write),
    "csv": Kind(numbers.write_csv, files=numbers.csv_paths),
    "json": Kind(numbers.write_json),
    "stl": Kind(solids.write_stl),
    "glb": Kind(solids.write_glb),
}
