"""Lesson mode: one step after the other, the question first and the answer on a key; ``/lesson`` in the browser.

What would give the answer away is not sent before it is revealed: neither the scene of the hit nor a word of it.
"""

from __future__ import annotations

import logging
from collections.abc import Hashable, Mapping
from pathlib import Path
from typing import Any, ClassVar

import panel as pn
import param

from apps.asking import Actions, Asking
from apps.browser_files import BROWSER, import_map, styles
from apps.controls import Controls
from apps.document_list import documents_folder
from apps.files import lesson_files
from apps.frame import frame
from apps.result import mistake
from apps.share_panel import sharing
from apps.share_server import ShareServer
from apps.share_shown import Shown
from apps.stage import Stage
from apps.take_home import TakeHome
from apps.told import told
from plane3d.answers import answer
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.lesson import Lesson, Step, is_lesson, load_lesson, scenarios_folder
from plane3d.play import play
from plane3d.report import sentence
from plane3d.scenario import loads
from plane3d.scene.before import before_contact
from plane3d.scene.parts import Scene
from plane3d.scene.staged import staged

REPLAY = 0.05  # s before contact from which a revealed answer plays
QUIET_STAGE = [".views, .bar { display: var(--stage-bars, none); } .stage-root.stage-root { font-size: var(--size); }"]
FAULT = mark("This step cannot be shown because of a fault in plane3d; its terminal says more.")

_log = logging.getLogger(__name__)


def lessons(path: Path | None = None) -> dict[str, Path]:
    """Files of the lessons to choose from, by name: the given file first, if it is one, then those of plane3d."""
    own = [path] if path is not None and path.is_file() and is_lesson(path) else []
    theirs = sorted(p for p in scenarios_folder().glob("*.toml") if is_lesson(p))
    return {p.stem: p for p in own} | {p.stem: p for p in theirs if p.stem not in {o.stem for o in own}}


def create_lesson(path: Path | None = None, viewers: ShareServer | None = None) -> pn.Template:
    """Lesson mode for one session, sharing nothing with any other; the address says which lesson and step."""
    pn.extension("vtk")
    asked = {name: values[0].decode(errors="replace") for name, values in pn.state.session_args.items() if values}
    return LessonPage(path, asked, viewers).template()


class LessonPanel(Asking):
    """Question, choices, tally, countdown and answer; the Python end of ``browser/lesson.js``.

    Parameters
    ----------
    actions : what to call for each message of the browser, by name: ``show`` with the step, whether it is revealed
        and whether that may move; ``view`` with the present view; ``play`` with whether the stage runs; ``look``
        with a theme and whether units are metric; and those of `apps.take_home.TakeHome`
    """

    state = param.Dict(default={}, doc="What is shown; see `LessonPage`.")
    home = param.Dict(default={}, doc="What is being made to take home, see `apps.take_home.TakeHome`.")

    _esm = BROWSER / "lesson.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map(
        "words", "settings", "columns", "lesson_tally", "lesson_parts", "through", "handing", "elements", "take_home"
    )
    _stylesheets: ClassVar[list[str]] = styles("common", "lesson", "take_home")


class LessonPage:
    """One session of lesson mode.

    Parameters
    ----------
    path : lesson to start with; without one, or with a scenario, the viewer chooses
    asked : what the address asks for: ``lesson`` by name, ``step`` counted from 1, and ``open``: 1 with its answer
    viewers : the server of those who follow a presenter, where there is one
    """

    def __init__(
        self,
        path: Path | None = None,
        asked: Mapping[str, str] | None = None,
        viewers: ShareServer | None = None,
    ):
        asked = asked or {}
        self._lesson: Lesson | None = None
        self._lessons: dict[str, Path] = {}
        self._name, self._theme, self._view, self._metric = "", "light", "catcher", False
        self._place, self._revealed = 0, False
        self._scenario = loads('format = 1\ntitle = "Plain"')
        self._played = play(self._scenario.to_inputs())
        self.stage = Stage(self._scene(), sizing_mode="stretch_both", margin=0, stylesheets=QUIET_STAGE)
        self.controls = Controls(self._change, sizing_mode="stretch_width")
        self.controls.show(self._scenario, self._scenario, self._metric)
        actions: Actions = {"show": self._show, "view": self._turn, "play": self._run, "look": self._look}
        self.panel = LessonPanel(actions, sizing_mode="stretch_width", margin=0)
        self.home = TakeHome(self._to_take, lambda state: self.panel.param.update(home=state), self.panel.hand_over)
        actions |= self.home.actions
        self.sharing = sharing(viewers, own=False)
        self._open(path, asked)

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        parts = {"stage": self.stage, "controls": self.controls, "panel": self.panel}
        if self.sharing is not None:
            parts["sharing"] = self.sharing.panel
        return frame("lesson", parts, "lesson_page")

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _open(self, path: Path | None, asked: Mapping[str, str]) -> None:
        """The lesson asked for, or all there are."""
        found, problem = {}, ""
        try:
            found = lessons(path)
        except Plane3dError as error:
            found, problem = lessons(), str(error)
        self._lessons = found
        own = path.stem if path is not None and path.stem in found and found[path.stem] == path else ""
        name = asked.get("lesson", own)
        try:
            self._lesson = load_lesson(found[name]) if name in found else None
        except Plane3dError as error:
            problem = str(error)
        if self._lesson is None:
            self.panel.state = {"lessons": _shelf(found), "problem": problem}
            return
        self._name = name
        step = asked.get("step", "1")
        self._show(int(step) - 1 if step.isascii() and step.isdigit() else 0, asked.get("open") == "1", False)

    def _show(self, place: int, revealed: bool, move: bool) -> None:
        """Go to a step, counted from 0, as a question or with its answer; one past the last is the end."""
        if self._lesson is None:
            return
        self._place = min(max(int(place), 0), len(self._lesson.steps))
        self._revealed = bool(revealed) and not self._over
        state = self._frame()
        if not self._over:
            step = self._lesson.steps[self._place]
            self._scenario = step.scenario
            state |= self._question(step)
            try:
                self._draw(step.view)
                if self._revealed:
                    state["answer"] = told(answer(step, self._metric), step)
            except Plane3dError as error:
                state["problem"] = mistake(error)
            except Exception:
                _log.exception("a step of a lesson failed")
                state["problem"] = tr(FAULT)
            self._point(step.view, move)
        self.panel.state = state
        if not state["problem"]:
            self._share()

    def _turn(self, view: str) -> None:
        """Go on to the next view from the present one, or from the last asked for where the browser knows none."""
        names = list(self.stage.scene.cameras)
        self._view = names[(names.index(view if view in names else self._view) + 1) % len(names)]
        self.stage.look(self._view)

    def _run(self, on: bool) -> None:
        if on:
            self.stage.play()
        else:
            self.stage.pause()

    def _look(self, theme: str, metric: bool) -> None:
        """Show what is there in the colours of the page, light or dark, and in its units; nothing moves."""
        self._theme, self._metric = "dark" if theme == "dark" else "light", bool(metric)
        self.stage.show(self._scene(self.stage.scene.camera))
        self._share()
        if self._lesson is None or self._over:
            return
        step, state = self._lesson.steps[self._place], self.panel.state
        self.controls.show(self._scenario, step.scenario, self._metric)
        if state["answer"]:
            changed = sentence(self._played.result, self._metric) if state["changed"] else ""
            self.panel.state = state | {"answer": told(answer(step, self._metric), step), "changed": changed}

    def _to_take(self, of: str) -> tuple[dict[str, str], dict[str, Any]]:
        """The files of a lesson by its name and how they are looked at, see `TakeHome`."""
        lesson = self._lesson if of == self._name else load_lesson(self._lessons[of]) if of in self._lessons else None
        files = {} if lesson is None else lesson_files(lesson)
        return files, {"metric": self._metric, "theme": self._theme}

    def _change(self, changes: dict[str, Any], gesture: Hashable = None) -> None:
        """Sliders moved: the stage follows, and after the answer so does the result in words."""
        if self._lesson is None or self._over:
            return
        start = self._lesson.steps[self._place].scenario
        wanted = {key: start.given.get(key) if value is None else value for key, value in changes.items()}
        try:
            self._scenario = self._scenario.with_values(wanted)
            self._draw(self._scenario.view.camera)
            words = sentence(self._played.result, self._metric)
            self._share()
        except Plane3dError as error:
            words = mistake(error)
        self.controls.show(self._scenario, start, self._metric)
        told_so = self._revealed and self._scenario.given != start.given
        self.panel.state = self.panel.state | {"changed": words if told_so else ""}

    def _share(self) -> None:
        """Let the viewers of a presenter see what is shown; at the end they keep the last step."""
        lesson = self._lesson
        if self.sharing is None or lesson is None:
            return
        if self._over:
            self.sharing.close(lesson.close)
            return
        shown = Shown(
            step=lesson.steps[self._place],
            scenario=self._scenario,
            play=self._played,
            title=lesson.title,
            place=self._place,
            of=len(lesson.steps),
            revealed=self._revealed,
            metric=self._metric,
            theme=self._theme,
            lesson=self._name,
        )
        self.sharing.show_step(shown)

    # --- what is shown -----------------------------------------------------------------------------------------------

    @property
    def _over(self) -> bool:
        return self._lesson is not None and self._place == len(self._lesson.steps)

    def _frame(self) -> dict[str, Any]:
        """What is shown at every step, the end included."""
        lesson = self._lesson
        if lesson is None:
            return {}
        return {
            "name": self._name,
            "title": tr(lesson.title),
            "steps": [{"title": tr(step.scenario.title), "choices": len(step.choices)} for step in lesson.steps],
            "step": self._place,
            "close": tr(lesson.close),
            "revealed": self._revealed,
            "answer": None,
            "changed": "",
            "problem": "",
        }

    def _question(self, step: Step) -> dict[str, Any]:
        return {
            "question": tr(step.question),
            "choices": [tr(choice.says) for choice in step.choices],
            "seconds": step.seconds,
        }

    def _draw(self, camera: str) -> None:
        """The scenario in the stage, up to just before contact while the answer is hidden."""
        self._played = play(self._scenario.to_inputs())
        self.stage.show(self._scene(camera))

    def _scene(self, camera: str = "catcher") -> Scene:
        scene = staged(self._scenario, self._played, camera, metric=self._metric, theme=self._theme)
        return scene if self._revealed else before_contact(scene, self._played)

    def _point(self, view: str, move: bool) -> None:
        """View, clock and sliders of a step; an answer plays through contact if it may move."""
        if self._lesson is not None:
            self.controls.show(self._scenario, self._lesson.steps[self._place].scenario, self._metric)
        self.stage.pause()
        if not self._revealed:
            self._view = view
            self.stage.look(view)
            self.stage.go(float(self.stage.scene.motion.times[-1]))
        elif move:
            self.stage.go(self._played.closest_time - REPLAY)
            self.stage.play()
        else:
            self.stage.go(self._played.closest_time)


def _shelf(found: Mapping[str, Path]) -> list[dict[str, Any]]:
    """The lessons to choose from; one that has become wrong is left out."""
    shelf = []
    for name, path in found.items():
        try:
            lesson = load_lesson(path)
        except Plane3dError:
            continue
        words = {"title": tr(lesson.title), "notice": tr(lesson.notice), "minutes": lesson.minutes}
        track = f"lessons/{name}.md"
        there = (documents_folder() / track).is_file()
        shelf.append({"name": name, "steps": len(lesson.steps), "track": f"/docs/{track}" if there else "", **words})
    return shelf
