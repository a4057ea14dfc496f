"""The scenarios a session starts with, in groups."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.lesson import Lesson, is_lesson, load_any, scenarios_folder
from plane3d.scenario import Scenario, load

SUPPLIED = mark("Scenarios that come with plane3d")
LINKED = mark("From the stage")


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


class Choice:
    """What a session of the comparison or of the studies can choose from: shelves, and what came by a link.

    groups : the shelves there are from the start; problem : why the file is not among them, empty if nothing is wrong
    """

    def __init__(self, path: Path | None):
        self.groups, self.problem = shelves_or_why(path)
        self.own = path is not None and not self.problem
        self._linked = Shelf(LINKED, ())

    @property
    def scenarios(self) -> list[Scenario]:
        """All of them; places in the pickers count through it."""
        return [scenario for shelf in (*self.groups, self._linked) for scenario in shelf.scenarios]

    def place(self, scenario: Scenario) -> int:
        """Where a scenario stands; one that is not there yet is put on the shelf of linked ones."""
        givens = [other.given for other in self.scenarios]
        if scenario.given not in givens:
            self._linked = Shelf(LINKED, (*self._linked.scenarios, scenario))
            return len(givens)
        return givens.index(scenario.given)

    def listed(self) -> list[tuple[str, list[str]]]:
        """Headings and titles as a picker shows them."""
        return listed(shelf for shelf in (*self.groups, self._linked) if shelf.scenarios)


def shelves_or_why(path: Path | None) -> tuple[list[Shelf], str]:
    """The same shelves, or those that come with plane3d and why the file is not among them."""
    try:
        return shelves(path), ""
    except Plane3dError as error:
        return shelves(), str(error)


def listed(found: Iterable[Shelf]) -> list[tuple[str, list[str]]]:
    """Headings and titles as a picker shows them."""
    return [(tr(shelf.heading), [tr(one.title) for one in shelf.scenarios]) for shelf in found]
