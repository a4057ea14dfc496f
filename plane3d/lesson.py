"""Lessons: a list of scenarios to show one after the other, and the scenarios that come with plane3d."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import Field, StringConstraints, ValidationError

from plane3d.errors import InputError, Mistake
from plane3d.messages import explain, given_text
from plane3d.quantities import Strict
from plane3d.scenario import FormatNumber, OneLine, Prose, Scenario, load
from plane3d.toml_text import KeyLines, parse, read_text


@dataclass(frozen=True)
class Lesson:
    """A title, what the lesson is for, and its scenarios with the files they came from, in order."""

    title: str
    notice: str
    scenarios: tuple[Scenario, ...]
    paths: tuple[Path, ...]


class _LessonFile(Strict):
    format: FormatNumber
    title: OneLine
    notice: Prose = ""
    scenarios: Annotated[list[Annotated[str, StringConstraints(min_length=1)]], Field(min_length=1, max_length=100)]


def is_lesson(path: str | Path) -> bool:
    """Whether a file lists scenarios; raises InputError if it cannot be read at all."""
    return "scenarios" in parse(read_text(Path(path)), str(path))


def load_lesson(path: str | Path) -> Lesson:
    """The lesson in a file; raises InputError with every mistake in it and in its scenarios.

    Scenario files are named relative to the lesson and stand in its folder or below.
    """
    path = Path(path)
    text = read_text(path)
    lines = KeyLines(text, str(path))
    try:
        file = _LessonFile.model_validate(parse(text, str(path)))
    except ValidationError as error:
        raise InputError(explain(error.errors(), lines, _LessonFile.model_fields)) from None
    here = lines.where("scenarios")
    mistakes: list[Mistake] = []
    found = []
    for name in file.scenarios:
        try:
            found.append((_inside(path.parent, name, here), load(path.parent / name)))
        except InputError as error:
            mistakes += error.mistakes
    if mistakes:
        raise InputError(mistakes)
    return Lesson(file.title, file.notice, tuple(s for _, s in found), tuple(p for p, _ in found))


def _inside(folder: Path, name: str, here: str) -> Path:
    """Path of a named file, which must lie within the folder and exist."""
    path = folder / name
    if not path.resolve().is_relative_to(folder.resolve()):
        text = f"names {given_text(name)}, which must be a file beside the lesson"
        raise InputError([Mistake(here, "scenarios", text)])
    if not path.is_file():
        raise InputError([Mistake(here, "scenarios", f"names {given_text(name)}, but there is no such file")])
    return path


def scenarios_folder() -> Path:
    """The scenarios that come with plane3d: inside an installed package, or beside it in a checkout."""
    package = Path(__file__).parent
    installed = package / "scenarios"
    return installed if installed.is_dir() else package.parent / "scenarios"


def load_any(path: str | Path) -> Scenario | Lesson:
    """The scenario or the lesson in a file, whichever it is."""
    return load_lesson(path) if is_lesson(path) else load(path)
