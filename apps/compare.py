"""The comparison at ``/compare``: two scenarios in one stage or side by side, and what differs in one table."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import urlencode

import panel as pn
import param

from apps.asking import Asking
from apps.browser_files import BROWSER, import_map, styles
from apps.compare_table import result_line, table
from apps.controls import SECOND, Controls
from apps.frame import frame
from apps.link import decode, encode
from apps.result import mistake
from apps.shelf import Choice
from apps.stage import Stage
from plane3d.compare import Case, compare, solved
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.scenario import Scenario, loads
from plane3d.scene.describe import describe
from plane3d.scene.ghost import ghost
from plane3d.scene.parts import Scene
from plane3d.scene.theme import themed

PAIR = ("One inch under", "Four inches under")  # titles of the supplied scenarios it opens on
ONE, TWO = "one", "two"  # stages
RELEASE, CONTACT = "release", "contact"  # where the two clocks agree
LOOKS: dict[str, tuple[Any, ...]] = {
    "stages": (ONE, TWO),
    "clocks": (RELEASE, CONTACT),
    "metric": (False, True),
    "theme": ("light", "dark"),
}
FAULT = mark("This cannot be compared because of a fault in plane3d; the terminal it was started from says more.")
NO_ANSWER = mark("There is no comparison while one of the two has no answer.")
SIDES = ("first", "second")

_log = logging.getLogger(__name__)


class CompareHead(Asking):
    """The top of the comparison: two pickers, swap, how to look at them, and the difference in one sentence.

    Parameters
    ----------
    actions : what to call for each message of the browser, by name: ``choose`` with a side (0 or 1) and the place of
        a scenario in ``shelves``, ``swap`` with nothing, ``look`` with some of the fields of `Look`,
        ``arrive`` with the fields of an address
    """

    shelves = param.List(default=[], doc='Titles in groups: ``[(heading or "", [title, ...]), ...]``.')
    state = param.Dict(default={}, doc="What is shown; set by `ComparePage` only.")

    _esm = BROWSER / "compare.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "settings", "scenarios")
    _stylesheets: ClassVar[list[str]] = styles("common", "compare_head")


@dataclass(frozen=True)
class Look:
    """How the two are looked at."""

    stages: str = ONE
    clocks: str = RELEASE
    metric: bool = False
    theme: str = "light"

    def changed(self, wanted: Mapping[str, Any]) -> Look:
        """With some of it changed; what is not known stays as it is."""
        return replace(self, **{name: value for name, value in wanted.items() if value in LOOKS.get(name, ())})


class Side:
    """One of the two: the scenario it started from, what is asked for now, and the last answer there was."""

    def __init__(self, place: int, scenario: Scenario):
        self.metric = False
        self.case: Case = solved(loads('format = 1\ntitle = "Plain"'))  # shown where even the start cannot be played
        self.start_at(place, scenario)

    def start_at(self, place: int, scenario: Scenario) -> None:
        """Begin with a scenario that stands at a place in the pickers."""
        self.place, self.start = place, scenario
        self.ask(scenario)

    def ask(self, scenario: Scenario) -> None:
        """Play a scenario; where that cannot be, say why and keep the last answer."""
        self.asked = scenario
        try:
            self.case = solved(scenario)
            self.problem = ""
        except Plane3dError as error:
            self.problem = mistake(error)
        except Exception:
            _log.exception("a play failed")
            self.problem = tr(FAULT)
        self.picture()

    def change(self, changes: dict[str, Any]) -> None:
        """Ask for the same scenario with some values changed; None gives one back to the start."""
        given = self.start.given
        wanted = {key: given.get(key) if value is None else value for key, value in changes.items()}
        if wanted.get(SECOND) == "":
            wanted[SECOND] = None
        try:
            scenario = self.asked.with_values(wanted)
        except Plane3dError as error:
            self.problem = mistake(error)
        else:
            self.ask(scenario)

    def picture(self) -> None:
        """Describe the last answer anew, as after a change of units."""
        self.scene: Scene = describe(self.case.play, metric=self.metric)


class ComparePage:
    """One session of the comparison.

    Parameters
    ----------
    path : scenario or lesson the server was started with; read anew for each session
    """

    def __init__(self, path: Path | None = None):
        self._choice = Choice(path)
        self._look = Look()
        self.head = CompareHead(
            {"choose": self._choose, "swap": self._swap, "look": self._look_at, "arrive": self._arrive},
            sizing_mode="stretch_width",
        )
        places = self._opening()
        self.sides = [Side(place, self._scenarios[place]) for place in places]
        self._camera = self.sides[0].start.view.camera  # of the first picture; after that the viewer turns
        self.stages = [_stage(replace(side.scene, camera=self._camera)) for side in self.sides]
        self.lines = [_fragment() for _ in SIDES]
        self.controls = [Controls(self._changer(i), sizing_mode="stretch_width") for i in (0, 1)]
        self.table = _fragment()
        self._show(self._choice.problem)

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        parts: dict[str, pn.viewable.Viewable] = {"head": self.head, "table": self.table}
        for name, pair in {"line": self.lines, "stage": self.stages, "controls": self.controls}.items():
            parts |= {f"{side}_{name}": part for side, part in zip(SIDES, pair, strict=True)}
        return frame("compare", parts, "page", "compare")

    # --- which two ---------------------------------------------------------------------------------------------------

    @property
    def _scenarios(self) -> list[Scenario]:
        return self._choice.scenarios

    def _opening(self) -> tuple[int, int]:
        """Where the two it opens on stand: those of a file, or else one inch and four inches under."""
        if self._choice.own:
            return 0, 1 if len(self._choice.groups[0].scenarios) > 1 else self._beside(0)
        titles = [scenario.title for scenario in self._scenarios]
        first, second = (titles.index(title) if title in titles else i for i, title in enumerate(PAIR))
        return first, second

    def _beside(self, place: int) -> int:
        """Where a second stands that is worth comparing with a first."""
        usual = [i for title in PAIR[::-1] for i, one in enumerate(self._scenarios) if one.title == title]
        given = self._scenarios[place].given
        return next((i for i in (*usual, 0, 1) if self._scenarios[i].given != given), place)

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _arrive(self, asked: dict[str, str]) -> None:
        """An address was opened: ``a`` and ``b``, scenarios as `apps.link` writes them, and fields of `Look`."""
        self._look = self._look.changed(asked)
        try:
            places = [self._choice.place(decode(asked[name])) if name in asked else None for name in ("a", "b")]
        except Plane3dError as error:
            self._show(str(error))
            return
        if places[0] is not None and places[1] is None:
            places[1] = self._beside(places[0])
        for side, place in zip(self.sides, places, strict=True):
            if place is not None:
                side.start_at(place, self._scenarios[place])
        self._look_from_first()
        self._show()

    def _choose(self, i: int, place: int) -> None:
        self.sides[i].start_at(place, self._scenarios[place])
        if i == 0:
            self._look_from_first()
        self._show()

    def _look_from_first(self) -> None:
        """Both stages go to the view of the first."""
        for stage in self.stages:
            stage.look(self.sides[0].start.view.camera)

    def _swap(self) -> None:
        self.sides.reverse()
        self._show()

    def _look_at(self, wanted: dict[str, Any]) -> None:
        self._look = self._look.changed(wanted)
        for side in self.sides:
            if side.metric != self._look.metric:
                side.metric = self._look.metric
                side.picture()
        self._show()

    def _changer(self, i: int) -> Callable[..., None]:
        def change(changes: dict[str, Any], *_: Any) -> None:
            self.sides[i].change(changes)
            self._show()

        return change

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _show(self, problem: str = "") -> None:
        """Bring every part in line: the picture first. A problem is said in place of the difference."""
        first, second = self.sides
        for stage, scene in zip(self.stages, self._scenes(), strict=True):
            if scene is not None:
                stage.show(scene)
        refused = bool(first.problem or second.problem)
        one, metric = self._look.stages == ONE, self._look.metric
        for i, (side, stage) in enumerate(zip(self.sides, self.stages, strict=True)):
            stage.css_classes = ["stale"] if (refused if one else side.problem) else []
            self.lines[i].object = result_line(SIDES[i], tr(side.asked.title), side.case, side.problem, metric, one)
            self.controls[i].show(side.asked, side.start, metric)
        found = compare(first.case, second.case, metric)
        self.table.object = "" if refused else table(found)
        self.head.shelves = self._choice.listed()
        self.head.state = {
            **asdict(self._look),
            "places": [side.place for side in self.sides],
            "sentence": problem or (tr(NO_ANSWER) if refused else found.sentence),
            "problem": bool(problem) or refused,
            "link": self._link(),
        }

    def _scenes(self) -> tuple[Scene, Scene | None]:
        """What each stage shows; None for a stage that is not to be seen."""
        first, second = (replace(side.scene, camera=self._camera) for side in self.sides)
        if self._look.stages == TWO:
            return themed(first, self._look.theme), themed(second, self._look.theme)
        return themed(ghost(first, second, self._look.clocks == CONTACT), self._look.theme), None

    def _link(self) -> str:
        """The part of the address that brings this comparison back."""
        sides = {name: encode(side.asked) for name, side in zip("ab", self.sides, strict=True)}
        return urlencode(sides | {"stages": self._look.stages, "clocks": self._look.clocks})


def _stage(scene: Scene) -> Stage:
    return Stage(scene, stylesheets=styles("compare_stage"), sizing_mode="stretch_both", margin=0)


def _fragment() -> pn.pane.HTML:
    return pn.pane.HTML(stylesheets=styles("common", "compare_table"), sizing_mode="stretch_width", margin=0)


def create_compare(path: Path | None = None) -> pn.Template:
    """The comparison of one session, sharing nothing with any other."""
    pn.extension("vtk")
    return ComparePage(path).template()
