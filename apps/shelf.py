"""The scenarios a session starts with, in groups."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from plane3d.language import mark, tr
from plane3d.lesson import Lesson, is_lesson, load_any, scenarios_folder
from plane3d.scenario import Scenario, load

SUPPLIED = mark("Scenarios that come with plane3d")


@dataclass(frozen=True)
class Shelf:
    """Scenarios to choose from, under a heading of their own or none."""

    heading: str
    scenarios: tuple[Scenario, ...]


def shelves(path: Path | None = None) -> list[Shelf]:
    """The scenarios in a file first, if there is one, then those that come with plane3d. Raises InputError."""
    files = sorted(p for p in scenarios_folder().glob("*.toml") if not is_lesson(p))
    found = [Shelf("", tuple(load(p) for p in files))]
    if path is not None:
        own = load_any(path)
        mine = Shelf(own.title, own.scenarios) if isinstance(own, Lesson) else Shelf(path.name, (own,))
        found = [mine, Shelf(SUPPLIED, found[0].scenarios)]
    return found


def listed(found: Iterable[Shelf]) -> list[tuple[str, list[str]]]:
    """Headings and titles as a picker shows them."""
    return [(tr(shelf.heading), [tr(one.title) for one in shelf.scenarios]) for shelf in found]
