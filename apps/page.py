"""The page: one session's scenario, and what changing it changes. ``plane3d serve`` calls `serve`."""

from __future__ import annotations

import logging
import webbrowser
from asyncio import AbstractEventLoop
from collections.abc import Callable, Hashable
from functools import partial
from pathlib import Path
from typing import Any

import panel as pn
from tornado.ioloop import IOLoop
from tornado.websocket import WebSocketClosedError

from apps.browser_files import styles
from apps.compare import create_compare
from apps.controls import Controls, asked_for
from apps.documents import routes
from apps.files import lesson_files, topic
from apps.flat import FlatViews
from apps.frame import frame
from apps.heading import Heading
from apps.history import History, Work
from apps.keep import Keep
from apps.lesson import create_lesson
from apps.log import create_log
from apps.measured import create_measured
from apps.result import FAULT, mistake, numbers
from apps.share_panel import entrance, sharing
from apps.share_panel import routes as share_routes
from apps.share_server import ShareServer
from apps.shelf import Shelf, listed, shelves_or_why
from apps.stage import Stage
from apps.strip import Strip
from apps.studies import create_studies
from apps.take_home import TakeHome
from apps.video import create_video
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.lesson import is_lesson
from plane3d.play import Play, play
from plane3d.report import MapReading, read_map, report, sentence
from plane3d.scenario import Scenario, loads
from plane3d.scene.describe import describe
from plane3d.scene.staged import staged
from plane3d.scene.strip import describe_strip
from plane3d.study import sure

HOST = "127.0.0.1"
TITLE = "plane3d"
PARTS = ("heading", "stage", "controls", "strip", "flat", "numbers")
SETTLE = 120  # ms without a change before the slower numbers are worked out, so that they never delay a picture
OWN = mark("Opened on this page")

_log = logging.getLogger(__name__)


class Page:
    """One session. Every answer goes the same way: a scenario is asked for, played, and shown or refused.

    Parameters
    ----------
    path : scenario or lesson to start with; read anew for each session, so that reloading shows an edited file
    viewers : the server of those who follow a presenter, where there is one
    """

    def __init__(self, path: Path | None = None, viewers: ShareServer | None = None):
        found, problem = shelves_or_why(path)
        self._shelves = found
        self._history = History(Work(0, found[0].scenarios[0]))
        self._metric = False
        self._theme = "light"
        self._asks_sure = False
        self._played: Play | None = None
        self._shown: tuple[Any, ...] = ()  # what the last answer was for
        self._waiting: Any = None
        self.heading = Heading(
            {
                "choose": self._choose,
                "restart": self._restart,
                "hold": self._hold,
                "measure": self._measure,
                "theme": self._paint,
                "sure": self._ask_sure,
            },
            sizing_mode="stretch_width",
        )
        there = [scenario for shelf in found for scenario in shelf.scenarios]
        self.keep = Keep(there, self._history, self._present, self.heading.hand_over)
        self.home = TakeHome(self._to_take, lambda state: self.heading.param.update(home=state), self.heading.hand_over)
        self.heading.actions |= self.keep.actions | self.home.actions
        self.controls = Controls(self._change, sizing_mode="stretch_width")
        self.numbers = pn.pane.HTML(
            stylesheets=styles("common", "numbers"),
            sizing_mode="stretch_width",
            margin=0,
        )
        self.stage = Stage(describe(_some_play(self._asked)), sizing_mode="stretch_both", margin=0)
        self.strip = Strip(sizing_mode="stretch_width", margin=0)
        self.strip.param.watch(lambda event: self._retime(event.new), "timing_ms")
        self.flat = FlatViews(sizing_mode="stretch_width", margin=0)
        self.sharing = sharing(viewers, own=True)
        self._present()
        self._settle()
        if problem:
            self._refuse(problem)

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        parts = {name: getattr(self, name) for name in PARTS}
        if self.sharing is not None:
            parts["sharing"] = self.sharing.panel
        return frame("page", parts, "page")

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    @property
    def _asked(self) -> Scenario:
        return self._history.now.asked

    def _choose(self, place: int) -> None:
        self.controls.forget()
        scenario = self.keep.scenarios(self._history.now)[place]
        self.keep.take(place=place, asked=scenario)
        self.stage.look(scenario.view.camera)

    def _restart(self) -> None:
        self._choose(self._history.now.place)

    def _measure(self, metric: bool) -> None:
        self._metric = self.flat.metric = metric
        self._present()

    def _paint(self, theme: str) -> None:
        self._theme = "dark" if theme == "dark" else "light"
        self._present()

    def _ask_sure(self, on: bool) -> None:
        self._asks_sure = on
        self._say_sure()

    def _hold(self, on: bool) -> None:
        self.keep.take(asked=self._asked.hold(on))

    def _retime(self, timing_ms: float) -> None:
        if timing_ms != self._asked.swing.timing_ms:  # else the strip was only brought in line
            self._change({"swing.timing_ms": timing_ms}, self.strip.gesture)

    def _change(self, changes: dict[str, Any], gesture: Hashable = None) -> None:
        try:
            scenario = self._asked.with_values(asked_for(changes, self.keep.start))
        except Plane3dError as error:
            self._refuse(mistake(error))
        else:
            self.keep.take(gesture, asked=scenario)

    def _to_take(self, of: str) -> tuple[dict[str, str], dict[str, Any]]:
        """The files of the scenario, or of the lesson made here, and how they are looked at; see `TakeHome`."""
        asked, lesson = self._asked, self._history.now.lesson
        files = {f"{topic(asked.title)}.toml": asked.to_toml()}
        if of == "lesson":
            files = lesson_files(lesson) if lesson.steps else {}
        return files, {"metric": self._metric, "theme": self._theme}

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _present(self) -> None:
        """Show the present work; a play is worked out only where another answer is asked for than the last."""
        work = self._history.now
        own = [Shelf(OWN, work.own)] if work.own else []
        self.heading.shelves = listed([*self._shelves, *own])
        wanted = (work.asked, self._metric, self._theme)
        if wanted == self._shown:
            self._show_values()
        else:
            self._shown = wanted
            self._show(work.asked)
        self.heading.keep = self.keep.shown()

    def _show(self, scenario: Scenario) -> None:
        """Play a scenario and show it: the picture first, then words and numbers, the slower numbers later."""
        try:
            played = play(scenario.to_inputs())
            words = sentence(played.result, self._metric)
            scene = staged(scenario, played, metric=self._metric, theme=self._theme)
        except Plane3dError as error:
            self._refuse(mistake(error))
        except Exception:
            _log.exception("a play failed")
            self._refuse(tr(FAULT))
        else:
            self._played = played
            self.stage.show(scene)
            self.stage.css_classes = []
            self.heading.show(sentence=words, problem=False, sure="")
            self.numbers.object = numbers(report(played.result), self._metric)
            self.strip.point(scenario.swing.timing_ms)
            self._share()
            self._settle_later()
        self._show_values()

    def _refuse(self, words: str) -> None:
        """Say why there is no answer; the last picture stays and is marked as an old one."""
        self._shown = ()
        self.heading.show(sentence=words, problem=True, sure="")
        self.stage.css_classes = ["stale"]
        self._show_values()

    def _show_values(self) -> None:
        start = self.keep.start
        self.heading.show(
            chosen=self._history.now.place,
            changed=self._asked.given != start.given,
            held=self._asked.is_held,
            metric=self._metric,
        )
        self.controls.show(self._asked, start, self._metric)

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
            reading = read_map(self._played, tolerance=self._asked.si("view.window_in"))
            self.strip.show(describe_strip(self._played, reading.timed, self._metric))
            self.numbers.object = numbers(report(self._played.result, reading), self._metric)
            self._say_sure()
            self._share(reading)

    def _say_sure(self) -> None:
        """How sure the answer shown is, where the viewer asks for it: as much work as the timing strip."""
        words = sure.line(sure.run(self._shown[0]), self._metric) if self._asks_sure and self._shown else ""
        self.heading.show(sure=words, asks_sure=self._asks_sure)

    def _share(self, reading: MapReading | None = None) -> None:
        """Let the viewers of a presenter see what is shown."""
        if self.sharing is not None and self._played is not None and self._shown:
            self.sharing.show(self._shown[0], self._played, self._metric, self._theme, reading)


def _some_play(scenario: Scenario) -> Play:
    """The scenario's play or, where it cannot be played, that of a plain scenario: the stage needs a picture."""
    try:
        return play(scenario.to_inputs())
    except Plane3dError:
        return play(loads('format = 1\ntitle = "Plain"').to_inputs())


def create_app(path: Path | None = None, viewers: ShareServer | None = None) -> pn.Template:
    """The page of one session, sharing nothing with any other."""
    pn.extension("vtk")
    return Page(path, viewers).template()


def _pass_over_closed_pages(loop: AbstractEventLoop, context: dict[str, Any]) -> None:
    """A page closed while something was on its way to it is nothing to report."""
    if not isinstance(context.get("exception"), WebSocketClosedError):
        loop.default_exception_handler(context)


def serve(
    path: Path | None,
    port: int,
    open_browser: bool,
    log_path: Path | None = None,
    viewers: ShareServer | None = None,
) -> None:
    """Serve the page on loopback until interrupted; each visit is a session of its own.

    log_path : file of the hitters' log, made when something is first kept; None where no log is offered
    viewers : the server of those who follow a presenter; None where nothing is shared
    """

    def guarded(create: Callable[[Path | None], pn.Template]) -> Callable[[], pn.viewable.Viewable | pn.Template]:
        def app() -> pn.viewable.Viewable | pn.Template:
            try:
                return create(path)
            except Exception:  # the viewer gets a sentence, the terminal the rest
                _log.exception("the page could not be made")
                return pn.pane.Str(tr(FAULT))

        return app

    pn.extension("vtk")
    hosts = [f"{HOST}:{port}", f"localhost:{port}"]
    start = "lesson" if path is not None and is_lesson(path) else ""
    shared = share_routes(viewers.share, set(hosts), start) if viewers is not None else []
    IOLoop.current().asyncio_loop.set_exception_handler(_pass_over_closed_pages)
    if open_browser:
        door = start if viewers is None else entrance(viewers.share.token)
        IOLoop.current().call_later(0, webbrowser.open, f"http://{HOST}:{port}/{door}")
    pn.serve(
        {
            "/": guarded(partial(create_app, viewers=viewers)),
            "/lesson": guarded(partial(create_lesson, viewers=viewers)),
            "/compare": guarded(create_compare),
            "/studies": guarded(create_studies),
            "/log": guarded(partial(create_log, log_path=log_path)),
            "/measured": guarded(partial(create_measured, log_path=log_path)),
            "/video": guarded(partial(create_video, log_path=log_path)),
        },
        address=HOST,
        port=port,
        websocket_origin=hosts,
        show=False,
        title=TITLE,
        verbose=False,
        extra_patterns=[*routes(), *shared],
    )
