"""Scenario and lesson files as the browser gives and takes them: read with the loader of the command line."""

from __future__ import annotations

import io
import os
import re
import unicodedata
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from plane3d.errors import InputError, Mistake
from plane3d.language import mark, tr
from plane3d.lesson import Lesson, Step, StepValues, load_any
from plane3d.scenario import Scenario
from plane3d.toml_text import MAX_BYTES, write

MAX_FILES = 101  # a lesson and the hundred scenarios it may have
LESSON_NAME = mark("lesson")  # of a lesson without a title
TOO_MANY = mark("holds too many files; at most {most} can be opened at once")
NO_TOML = mark("is not a scenario or lesson file; give a .toml file, or a .zip file with .toml files in it")
BAD_ZIP = mark("is not a zip file that can be read")
NAMELESS = "file"


@dataclass(frozen=True)
class Opened:
    """What came out of some files: scenarios, the lessons that order them, and all that is wrong with the rest."""

    scenarios: tuple[Scenario, ...]
    lessons: tuple[Lesson, ...]
    mistakes: tuple[Mistake, ...]


def open_files(files: Sequence[tuple[str, bytes]]) -> Opened:
    """The scenarios and lessons in files given by name and content; a zip file stands for what is in it.

    A lesson finds its scenarios among the files given with it. A scenario that a lesson lists comes with the lesson.
    """
    scenarios: list[Scenario] = []
    lessons: list[Lesson] = []
    mistakes: list[Mistake] = []
    with TemporaryDirectory() as name:
        folder = Path(name).resolve()
        paths = []
        for given, data in _unpacked(files[:MAX_FILES], mistakes):
            path = folder / _plain_name(given)
            path.write_bytes(data)
            paths.append(path)
        listed: set[Path] = set()
        found: dict[Path, Scenario] = {}
        for path in dict.fromkeys(paths):
            try:
                one = load_any(path)
            except InputError as error:
                mistakes += error.mistakes
                continue
            if isinstance(one, Lesson):
                lessons.append(one)
                listed |= {path.resolve() for path in one.paths}
            else:
                found[path] = one
        scenarios = [scenario for path, scenario in found.items() if path not in listed]
        told = dict.fromkeys(Mistake(m.where.removeprefix(f"{folder}{os.sep}"), m.key, m.text) for m in mistakes)
    if len(files) > MAX_FILES:
        told[Mistake(files[MAX_FILES][0], "", tr(TOO_MANY, most=MAX_FILES))] = None
    return Opened(tuple(scenarios), tuple(lessons), tuple(told))


def _unpacked(files: Sequence[tuple[str, bytes]], mistakes: list[Mistake]) -> list[tuple[str, bytes]]:
    """The files themselves, zip files replaced by the TOML files in them; what cannot be used goes to ``mistakes``."""
    found = []
    for name, data in files:
        if name.lower().endswith(".toml"):
            found.append((name, data))
        elif name.lower().endswith(".zip"):
            try:
                found += _zipped(data)
            except InputError as error:
                mistakes += [Mistake(_plain_name(name), m.key, m.text) for m in error.mistakes]
        else:
            mistakes.append(Mistake(_plain_name(name), "", tr(NO_TOML)))
    return found


def _zipped(data: bytes) -> list[tuple[str, bytes]]:
    """The TOML files in a zip file. Nothing is read beyond what the loader would refuse as too large."""
    if len(data) > MAX_BYTES:
        raise InputError([Mistake("", "", tr("is larger than {most} MB", most=MAX_BYTES // 1_000_000))])
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = [entry for entry in archive.infolist() if entry.filename.lower().endswith(".toml")]
            if len(names) > MAX_FILES:
                raise InputError([Mistake("", "", tr(TOO_MANY, most=MAX_FILES))])
            if not names:
                raise InputError([Mistake("", "", tr(NO_TOML))])
            found = []
            for entry in names:
                with archive.open(entry) as file:
                    found.append((entry.filename, file.read(MAX_BYTES + 1)))
            return found
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError, ValueError, zlib.error) as error:
        raise InputError([Mistake("", "", tr(BAD_ZIP))]) from error


def _plain_name(name: str) -> str:
    """The last part of a file's name with nothing in it that a file system or a message could trip over."""
    last = re.split(r"[/\\]", name)[-1]
    return re.sub(r"[^\w. ()+-]", "_", last)[-60:].lstrip(".") or NAMELESS


def topic(title: str, otherwise: str = "scenario") -> str:
    """A title as the name of a file: ``One inch under`` gives ``one-inch-under``."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode("ascii").lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-") or otherwise


def lesson_files(lesson: Lesson) -> dict[str, str]:
    """The files of a lesson by name: the lesson itself first, then the scenarios it names, numbered in order."""
    title = lesson.title or LESSON_NAME.capitalize()
    others = (step.than for step in lesson.steps if step.than is not None)
    scenarios = dict.fromkeys([*lesson.scenarios, *others])
    names = {one: f"{place:02d}-{topic(one.title)}.toml" for place, one in enumerate(scenarios, start=1)}
    steps = [_step_table(step, names) for step in lesson.steps]
    words = {name: getattr(lesson, name) for name in ("notice", "minutes", "prepare", "say", "close", "caution")}
    head = {"format": 1, "title": title} | {name: value for name, value in words.items() if value}
    if all(step.keys() == {"scenario"} for step in steps):
        text = write(head | {"scenarios": [step["scenario"] for step in steps]})
    else:
        text = "\n[[step]]\n".join([write(head), *map(write, steps)])
    name = f"{LESSON_NAME}-{topic(title, '')}".rstrip("-")
    return {f"{name}.toml": text} | {name: scenario.to_toml() for scenario, name in names.items()}


def _step_table(step: Step, names: Mapping[Scenario, str]) -> dict[str, Any]:
    """A step as its table in a file: what differs from the scenario and from what is taken when nothing is said."""
    scenario = step.scenario
    same = {name: getattr(step, name) for name in ("say", "measure", "strip", "seconds", "minutes")}
    values = StepValues(
        scenario=names[scenario],
        question="" if step.question == scenario.question else step.question,
        notice="" if step.notice == scenario.notice else step.notice,
        choices=list(step.choices),
        than=None if step.than is None else names[step.than],
        figures=list(step.figures),
        view=None if step.view == scenario.view.camera else step.view,
        **same,
    )
    return values.model_dump(by_alias=True, exclude_defaults=True)


def new_step(scenario: Scenario) -> Step:
    """A step that shows a scenario with its own question, notice and view."""
    return Step(scenario, Path(), scenario.question, scenario.notice, view=scenario.view.camera)


def zipped(files: Mapping[str, str | bytes]) -> bytes:
    """Files in one zip file."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return packed.getvalue()
