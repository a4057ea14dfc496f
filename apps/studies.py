"""The studies at ``/studies``: what a hitter's scatter gives, what would fix a ball, what to aim for, and practice."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import panel as pn

from apps.background import WORKING, Background, Deliver
from apps.browser_files import styles
from apps.figures import Look, looked
from apps.files import topic
from apps.frame import frame
from apps.link import encode
from apps.result import FAULT, mistake
from apps.shelf import Choice
from apps.studies_asked import OWN, PARTS, PITCH_FILE, SHEET, Asked, address, arrived, read_drills, refusal
from apps.studies_panel import StudiesHead, StudiesInputs, choices, inputs_state
from apps.studies_parts import STUDIES, Shown
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.pitch_set import loads_pitch_set
from plane3d.play import play
from plane3d.scenario import Scenario
from plane3d.words import sentence

OPENS_ON, BESIDE, OR_BESIDE = "One inch under", "The matched swing", "The steep swing"  # titles of supplied scenarios
FIGURES = ("outcomes", "landings", "cloud", "chances", "chance_map", "band", "pairs", "differences", "zones", "windows")
CANCELLED = mark("Cancelled. Change something, or open the part again, to start anew.")
NO_TEXT = mark("{name}: is no text file in UTF-8")
TOO_LARGE = mark("{name}: is larger than 1 MB")

_log = logging.getLogger(__name__)


class StudiesPage:
    """One session of the studies.

    Parameters
    ----------
    path : scenario or lesson the server was started with; read anew for each session
    deliver : as in `apps.background.Background`
    """

    def __init__(self, path: Path | None = None, deliver: Deliver | None = None):
        self._choice = Choice(path)
        self._problem = self._choice.problem
        first = self._scenarios[0] if self._choice.own else self._named(OPENS_ON)
        self._asked = Asked(first, self._beside(first))
        self._look = Look()
        self._found: dict[str, tuple[Any, Any]] = {}  # by part: what was asked, what was found
        self._shown: dict[str, tuple[Any, Shown]] = {}  # by part: what was asked and how looked at, what is shown
        self._played: tuple[Any, tuple[str, bool]] = (None, ("", False))  # scenario and units, what is said of its play
        self._cancelled = False
        self.worker: Background[tuple[Any, Shown]] = Background(self._progress, self._refuse, deliver)
        actions: dict[str, Callable[..., None]] = {
            "choose": self._choose, "open": self._open, "cancel": self._cancel, "look": self._look_at,
            "arrive": self._arrive,
        }  # fmt: skip
        self.head = StudiesHead(
            actions, tabs=[(name, tr(STUDIES[name].label)) for name in PARTS], sizing_mode="stretch_width"
        )
        asks: dict[str, Callable[..., None]] = {
            "scatter": lambda changes: self._ask(lambda asked: asked.scattered(changes)),
            "swings": lambda number: self._ask(lambda asked: asked.counted(asked.part, number)),
            "seed": lambda seed: self._ask(lambda asked: asked.seeded(seed)),
            "goal": lambda kinds, where: self._ask(lambda asked: asked.aimed(kinds, where)),
            "second": lambda place: self._ask(lambda asked: replace(asked, second=self._scenarios[place])),
            "pitches": lambda name: self._ask(lambda asked: replace(asked, pitches=name)),
            "held": lambda held: self._ask(lambda asked: replace(asked, held=held is True)),
            "supplied": lambda: self._ask(lambda asked: replace(asked, drills="")),
            "file": self._take_file,
            "save": self._save,
        }
        self.inputs = StudiesInputs(asks, table=choices(first), sizing_mode="stretch_width")
        self.figures = {name: pn.pane.Bokeh(None, sizing_mode="stretch_width", margin=0) for name in FIGURES}
        sheets = styles("common", "studies_words")
        self.words = {name: pn.pane.HTML(stylesheets=sheets, sizing_mode="stretch_width", margin=0) for name in PARTS}
        self._say()

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        parts: dict[str, pn.viewable.Viewable] = {"head": self.head, "inputs": self.inputs, **self.figures}
        parts |= {f"{name}_words": pane for name, pane in self.words.items()}
        return frame("studies", parts, "page", "studies")

    # --- which scenarios ---------------------------------------------------------------------------------------------

    @property
    def _scenarios(self) -> list[Scenario]:
        return self._choice.scenarios

    def _named(self, title: str) -> Scenario:
        return next((one for one in self._scenarios if one.title == title), self._scenarios[0])

    def _beside(self, first: Scenario) -> Scenario:
        """A second that is worth comparing with a first."""
        return next((one for one in map(self._named, (BESIDE, OR_BESIDE)) if one.given != first.given), first)

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _arrive(self, look: Mapping[str, Any], said: Mapping[str, str]) -> None:
        """The page is there, or its address has changed."""
        self._look = looked(self._look, look)
        self._ask(lambda asked: arrived(said, asked))

    def _choose(self, place: int) -> None:
        self._ask(lambda asked: replace(asked, scenario=self._scenarios[place]))

    def _open(self, part: str) -> None:
        self._ask(lambda asked: replace(asked, part=part) if part in STUDIES else asked)

    def _look_at(self, look: Mapping[str, Any]) -> None:
        self._look = looked(self._look, look)
        if not self._cancelled:
            self._work()
        self._say()

    def _cancel(self) -> None:
        self._cancelled = self.worker.cancel() or self._cancelled
        self._say()

    def _ask(self, change: Callable[[Asked], Asked]) -> None:
        """Change what is asked, and answer it; what cannot be asked is said in one sentence and changes nothing."""
        try:
            self._asked = change(self._asked)
        except Plane3dError as error:
            self._refuse(refusal(error))
        else:
            self._problem, self._cancelled = "", False
            self._work()
            self._say()

    def _take_file(self, kind: str, name: str, data: bytes | None) -> None:
        """A pitch set or drills, opened or dropped."""

        def changed(asked: Asked) -> Asked:
            if data is None:
                raise Plane3dError(tr(TOO_LARGE, name=name))
            try:
                text = bytes(data).decode("utf-8")
            except UnicodeDecodeError as error:
                raise Plane3dError(tr(NO_TEXT, name=name)) from error
            if kind == "drills":
                read_drills(text)
                return replace(asked, drills=text)
            loads_pitch_set(text, tr(PITCH_FILE))
            return replace(asked, own_pitches=text, pitches=OWN)

        self._ask(changed)

    def _save(self) -> None:
        if SHEET in self._shown:
            name = f"{tr('practice')}-{topic(tr(self._asked.scenario.title))}.md"
            self.head.hand_over(name, self._shown[SHEET][1].file)

    # --- what is shown -----------------------------------------------------------------------------------------------

    @property
    def _key(self) -> tuple[Any, ...]:
        """What the answer of the open part depends on."""
        return STUDIES[self._asked.part].key(self._asked)

    @property
    def _fresh(self) -> bool:
        """Whether what the open part shows is the answer to what is asked."""
        return self._shown.get(self._asked.part, ((),))[0] == (self._key, self._look)

    def _work(self) -> None:
        """Work out what is asked, unless it is known, and draw it; both in the worker's thread."""
        asked, look, key, part = self._asked, self._look, self._key, STUDIES[self._asked.part]
        if self._fresh:
            self.worker.cancel()
            return
        known, found_before = self._found.get(asked.part, (None, None))

        def work(progress: Callable[[float], bool]) -> tuple[Any, Shown] | None:
            found = found_before if known == key else part.run(asked, progress)
            return None if found is None else (found, part.draw(found, look))

        def done(answer: tuple[Any, Shown]) -> None:
            found, shown = answer
            self._found[asked.part] = (key, found)
            self._shown[asked.part] = ((key, look), shown)
            for name, figure in shown.figures.items():
                self.figures[name].object = figure
            self.words[asked.part].object = shown.words
            self._say()

        self.worker.start(work, done)

    def _progress(self, share: float) -> None:
        self.head.state = self.head.state | {"share": round(share, 3)}

    def _refuse(self, words: str) -> None:
        self._problem = words
        self._say()

    def _say(self) -> None:
        """Bring head and inputs in line."""
        asked = self._asked
        first, second = self._choice.place(asked.scenario), self._choice.place(asked.second)
        self.head.shelves = self.inputs.shelves = self._choice.listed()
        words, wrong = self._single()
        self.head.state = {
            "part": asked.part,
            "chosen": first,
            "sentence": words,
            "wrong": wrong,
            "headline": self._headline(),
            "problem": bool(self._problem),
            "running": self.worker.running,
            "stale": not self._fresh,
            "share": 0.0,
            "alts": {name: alt for _, shown in self._shown.values() for name, alt in shown.alts.items()},
            "metric": self._look.metric,
            "link": urlencode(address(asked)),
            "scenario": encode(asked.scenario),
        }
        self.inputs.state = inputs_state(asked, second, self._look.metric)

    def _headline(self) -> str:
        """The answer in one sentence, or why there is none, or not yet."""
        if self._problem or self._cancelled:
            return self._problem or tr(CANCELLED)
        return self._shown[self._asked.part][1].headline if self._fresh else tr(WORKING)

    def _single(self) -> tuple[str, bool]:
        """The result of the scenario's single play, or why there is none; played once for each scenario."""
        wanted = (self._asked.scenario, self._look.metric)
        if self._played[0] != wanted:
            self._played = (wanted, self._play())
        return self._played[1]

    def _play(self) -> tuple[str, bool]:
        try:
            return sentence(play(self._asked.scenario.to_inputs()).result, self._look.metric), False
        except Plane3dError as error:
            return mistake(error), True
        except Exception:
            _log.exception("a play failed")
            return tr(FAULT), True


def create_studies(path: Path | None = None) -> pn.Template:
    """The studies of one session, sharing nothing with any other."""
    pn.extension("vtk")
    return StudiesPage(path).template()
