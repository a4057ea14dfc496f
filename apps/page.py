"""The page: one session's scenario, and what changing it changes. ``plane3d serve`` calls `serve`."""

from __future__ import annotations

import logging
from asyncio import AbstractEventLoop
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import panel as pn
from tornado.ioloop import IOLoop
from tornado.websocket import WebSocketClosedError

from apps.browser_files import BROWSER, styles
from apps.controls import Controls
from apps.documents import routes
from apps.flat import FlatViews
from apps.heading import Heading
from apps.result import mistake, numbers
from apps.stage import Stage
from apps.strip import Strip
from plane3d.errors import Plane3dError
from plane3d.families import families
from plane3d.lesson import Lesson, is_lesson, load_any, scenarios_folder
from plane3d.play import Play, play
from plane3d.plays import pitch_flight
from plane3d.report import read_map, report, sentence
from plane3d.scenario import Scenario, load, loads
from plane3d.scene.describe import describe
from plane3d.scene.strip import describe_strip

HOST = "127.0.0.1"
TITLE = "plane3d"
SETTLE = 120  # ms without a change before the slower numbers are worked out, so that they never delay a picture
FAULT = "This cannot be shown because of a fault in plane3d; the terminal it was started from says more."

_log = logging.getLogger(__name__)


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
        found = [mine, Shelf("Scenarios that come with plane3d", found[0].scenarios)]
    return found


class Page:
    """One session. Every answer goes the same way: a scenario is asked for, played, and shown or refused.

    Parameters
    ----------
    path : scenario or lesson to start with; read anew for each session, so that reloading shows an edited file
    """

    def __init__(self, path: Path | None = None):
        problem = ""
        try:
            found = shelves(path)
        except Plane3dError as error:
            problem, found = str(error), shelves()
        self._scenarios = [scenario for shelf in found for scenario in shelf.scenarios]
        self._start = self._asked = self._scenarios[0]
        self._metric = False
        self._played: Play | None = None
        self._waiting: Any = None
        self.heading = Heading(
            {"choose": self._choose, "restart": self._restart, "hold": self._hold, "measure": self._measure},
            shelves=[(shelf.heading, [scenario.title for scenario in shelf.scenarios]) for shelf in found],
            sizing_mode="stretch_width",
        )
        self.controls = Controls(self._change, sizing_mode="stretch_width")
        self.numbers = pn.pane.HTML(
            stylesheets=styles("common", "numbers"),
            sizing_mode="stretch_width",
            margin=0,
        )
        self.stage = Stage(describe(_some_play(self._start)), sizing_mode="stretch_both", margin=0)
        self.strip = Strip(sizing_mode="stretch_width", margin=0)
        self.strip.param.watch(lambda event: self._retime(event.new), "timing_ms")
        self.flat = FlatViews(sizing_mode="stretch_width", margin=0)
        self.heading.show(metric=False)
        self._begin(0)
        self._settle()
        if problem:
            self._refuse(problem)

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        page = pn.Template((BROWSER / "page.html").read_text(encoding="utf-8"))
        for name in ("heading", "stage", "controls", "strip", "flat", "numbers"):
            page.add_panel(name, getattr(self, name))
        page.add_variable("style", styles("page")[0])
        page.add_variable("app_favicon", _icon())
        page.add_variable("apple_icon", _icon())
        return page

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _choose(self, place: int) -> None:
        self._begin(place)
        self.stage.look(self._start.view.camera)

    def _restart(self) -> None:
        self._choose(self._scenarios.index(self._start))

    def _measure(self, metric: bool) -> None:
        self._metric = self.flat.metric = metric
        self.heading.show(metric=metric)
        self._show(self._asked)

    def _hold(self, on: bool) -> None:
        self._show(self._asked.hold(on))

    def _retime(self, timing_ms: float) -> None:
        if timing_ms != self._asked.swing.timing_ms:  # else the strip was only brought in line
            self._change({"swing.timing_ms": timing_ms})

    def _change(self, changes: dict[str, Any]) -> None:
        given = self._start.given
        wanted = {key: given.get(key) if value is None else value for key, value in changes.items()}
        try:
            scenario = self._asked.with_values(wanted)
        except Plane3dError as error:
            self._refuse(mistake(error))
        else:
            self._show(scenario)

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _begin(self, place: int) -> None:
        self._start = self._scenarios[place]
        self.heading.show(chosen=place, question=self._start.question, notice=self._start.notice)
        self._show(self._start)

    def _show(self, scenario: Scenario) -> None:
        """Play a scenario and show it: the picture first, then words and numbers, the slower numbers later."""
        self._asked = scenario
        try:
            played = play(scenario.to_inputs())
            words = sentence(played.result, self._metric)
            scene = describe(played, metric=self._metric, camera=scenario.view.camera, **self._second(scenario))
        except Plane3dError as error:
            self._refuse(mistake(error))
        except Exception:
            _log.exception("a play failed")
            self._refuse(FAULT)
        else:
            self._played = played
            self.stage.show(scene)
            self.stage.css_classes = []
            self.heading.show(sentence=words, problem=False)
            self.numbers.object = numbers(report(played.result), self._metric)
            self.strip.point(scenario.swing.timing_ms)
            self._settle_later()
        self._show_values()

    def _second(self, scenario: Scenario) -> dict[str, Any]:
        """The second pitch of a scenario as `describe` wants it."""
        other = scenario.with_second_pitch()
        if other is None:
            return {}
        named = families(scenario.setting.level).get(other.pitch.family)
        name = named.words.capitalize() if named else ""
        return {"second": pitch_flight(other.to_inputs()), "second_name": name}

    def _refuse(self, words: str) -> None:
        """Say why there is no answer; the last picture stays and is marked as an old one."""
        self.heading.show(sentence=words, problem=True)
        self.stage.css_classes = ["stale"]
        self._show_values()

    def _show_values(self) -> None:
        self.heading.show(changed=self._asked.given != self._start.given, held=self._asked.is_held)
        self.controls.show(self._asked, self._start, self._metric)

    def _settle_later(self) -> None:
        """Work out the slower numbers once the viewer rests."""
        doc = pn.state.curdoc
        if doc is None or doc.session_context is None:
            return
        if self._waiting is not None:
            doc.remove_timeout_callback(self._waiting)
        self._waiting = doc.add_timeout_callback(self._settle, SETTLE)

    def _settle(self) -> None:
        self._waiting = None
        if self._played is not None:
            reading = read_map(self._played)
            self.strip.show(describe_strip(self._played, reading.timed, self._metric))
            self.numbers.object = numbers(report(self._played.result, reading), self._metric)


def _some_play(scenario: Scenario) -> Play:
    """The scenario's play or, where it cannot be played, that of a plain scenario: the stage needs a picture."""
    try:
        return play(scenario.to_inputs())
    except Plane3dError:
        return play(loads('format = 1\ntitle = "Plain"').to_inputs())


def _icon() -> str:
    """A small picture for the browser's tab: a line and a ball."""
    return (
        "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'%3E%3Cpath d='M1 13 15 5' "
        "stroke='%23009E73' stroke-width='2'/%3E%3Ccircle cx='8' cy='6' r='3' fill='%23E69F00'/%3E%3C/svg%3E"
    )


def create_app(path: Path | None = None) -> pn.Template:
    """The page of one session, sharing nothing with any other."""
    pn.extension("vtk")
    return Page(path).template()


def _pass_over_closed_pages(loop: AbstractEventLoop, context: dict[str, Any]) -> None:
    """A page closed while something was on its way to it is nothing to report."""
    if not isinstance(context.get("exception"), WebSocketClosedError):
        loop.default_exception_handler(context)


def serve(path: Path | None, port: int, open_browser: bool) -> None:
    """Serve the page on loopback until interrupted; each visit is a session of its own."""

    def app() -> pn.viewable.Viewable | pn.Template:
        try:
            return create_app(path)
        except Exception:  # the viewer gets a sentence, the terminal the rest
            _log.exception("the page could not be made")
            return pn.pane.Str(FAULT)

    pn.extension("vtk")
    IOLoop.current().asyncio_loop.set_exception_handler(_pass_over_closed_pages)
    pn.serve(
        {"/": app},
        address=HOST,
        port=port,
        websocket_origin=[f"{HOST}:{port}", f"localhost:{port}"],
        show=open_browser,
        title=TITLE,
        verbose=False,
        extra_patterns=routes(),
    )
