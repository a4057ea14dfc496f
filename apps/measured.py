"""Measured swings at ``/measured``: a file of points of the bat, placed, judged and read off against a pitch."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import panel as pn

from apps.background import Background, Deliver
from apps.frame import frame
from apps.link import decode, encode
from apps.measured_answer import MeasuredAnswer
from apps.measured_asked import FORM, OWN_PITCH, STATE, Answered, Asked, answered
from apps.measured_files import EXAMPLES, PITCH_EXAMPLES, Arriving, Given, example, truth_words, truths
from apps.measured_head import POINTS, MeasuredHead
from apps.measured_inputs import MeasuredInputs, choices, inputs_state
from apps.result import mistake
from apps.shelf import Choice
from apps.studies_asked import refusal
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.measured.synthetic import csv_text
from plane3d.scenario import Scenario

EMPTY = mark("Open a file of points of the bat, or try an invented example.")
SOURCE = mark("{file}: points of the bat, {rate} a second")
POINTS_FILE, PITCH_FILE = "points", "pitches"
BATS = ("right", "left")


class MeasuredPage:
    """One session of the page.

    Parameters
    ----------
    path : scenario or lesson the server was started with; read anew for each session
    log_path : as in `apps.measured_answer.MeasuredAnswer`
    deliver : as in `apps.background.Background`
    """

    def __init__(self, path: Path | None = None, log_path: Path | None = None, deliver: Deliver | None = None):
        self._choice = Choice(path)
        self._asked = Asked(self._choice.scenarios[0])
        self._answered = Answered(self._asked.scenario)
        self._metric = False
        self._coming: Arriving | None = None
        self._example = ""  # the file at hand, where it is one of those to try
        self._problem = self._choice.problem  # with what was asked, before it came to an answer
        self.worker: Background[Answered] = Background(lambda share: None, self._fail, deliver)
        self.head = MeasuredHead({"look": self._look, "arrive": self._arrive}, POINTS)
        asks: dict[str, Callable[..., None]] = {
            "choose": lambda place: self._ask(lambda asked: replace(asked, scenario=self._choice.scenarios[place])),
            "bats": self._bat,
            "form": lambda changes: self._ask(lambda asked: asked.changed(changes)),
            "file": self._begin,
            "piece": self._add,
            "example": self._try,
            "forget": self._forget,
        }
        self.inputs = MeasuredInputs(asks, table=choices(), sizing_mode="stretch_width", margin=0)
        self.answer = MeasuredAnswer(log_path, tr(EMPTY))
        if self._problem:
            self.answer.refuse(self._problem)
        self._say()

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        parts = {"head": self.head, "inputs": self.inputs, "answer": self.answer.view}
        return frame("measured", parts, "page", "measured")

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _look(self, look: Mapping[str, Any]) -> None:
        metric = look.get("metric") is True
        if metric != self._metric:
            self._metric = self.answer.metric = metric
            if self.answer.found:
                self._show()
        self._say()

    def _arrive(self, look: Mapping[str, Any], said: Mapping[str, str]) -> None:
        """The page is there, or its address has changed."""
        self._look(look)
        if "s" in said:
            self._ask(lambda asked: replace(asked, scenario=decode(said["s"])))

    def _bat(self, bats: str) -> None:
        self._ask(lambda asked: replace(asked, scenario=batting(asked.scenario, bats)))

    def _begin(self, kind: str, name: str, size: int) -> None:
        """A file is about to come, in pieces."""
        self._coming = None
        if kind not in (POINTS_FILE, PITCH_FILE):
            return
        try:
            self._coming = Arriving(kind, name, size)
        except Plane3dError as error:
            self._refuse(refusal(error))
            return
        if not size:
            self._add(b"")

    def _add(self, piece: bytes) -> None:
        coming = self._coming
        if coming is None:
            return
        try:
            file = coming.add(piece)
        except Plane3dError as error:
            self._coming = None
            self._refuse(refusal(error))
            return
        if file is not None:
            self._coming = None
            self._take(coming.kind, file)

    def _take(self, kind: str, file: Given) -> None:
        """A whole file; the markers of the one before it are not its own."""
        if kind == PITCH_FILE:
            self._ask(lambda asked: replace(asked, pitches=file).changed({"pitch": "0"}))
        else:
            self._example = ""
            fresh = {name: FORM[name] for name in ("knob", "tip", "unit")}
            self._ask(lambda asked: replace(asked, points=file).changed(fresh))

    def _try(self, name: str) -> None:
        """An invented file, with the side, the placing and the contact it was made with."""
        if name in PITCH_EXAMPLES:
            self._take(PITCH_FILE, example(name))
        elif name in EXAMPLES:
            self._example = name
            known = {key: value for key, value in FORM.items() if key != "pitch"}
            known |= {"contact": STATE, "time": f"{truths()[name]['contact_s']:g}"}
            bats = next(side for side in BATS if side in name)
            self._ask(
                lambda asked: replace(asked, scenario=batting(asked.scenario, bats), points=example(name))
                .changed(known)
            )  # fmt: skip

    def _forget(self, kind: str) -> None:
        """Do without a file."""
        if kind == PITCH_FILE:
            self._ask(lambda asked: replace(asked, pitches=None).changed({"pitch": OWN_PITCH}))
        else:
            self._ask(lambda asked: replace(asked, points=None))

    def _ask(self, change: Callable[[Asked], Asked]) -> None:
        """Change what is asked, and answer it; what cannot be asked is said and changes nothing."""
        try:
            self._asked = change(self._asked)
        except Plane3dError as error:
            self._refuse(mistake(error))
            return
        self._problem = ""
        asked = self._asked
        if asked.points is not None:
            self.answer.working()
        self._say()
        self.worker.start(lambda progress: answered(asked), self._done)

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _done(self, answer: Answered) -> None:
        self._answered = answer
        self._show()
        self._say()

    def _show(self) -> None:
        """Bring the answer in line."""
        found = self._answered.found
        if found is None:
            self.answer.refuse(self._answered.problem)
            return
        points, checked = found.measured.points, found.measured.checked
        source = tr(SOURCE, file=points.name, rate=f"{checked.frame_rate:.0f}")
        invented = truth_words(self._example, self._metric) if self._example else ""
        self.answer.show(found, csv_text(points), source, (invented,) if invented else ())

    def _fail(self, words: str) -> None:
        self._answered = Answered(self._asked.scenario)
        self._refuse(words)

    def _refuse(self, words: str) -> None:
        self.worker.cancel()
        self._problem = words
        self.answer.refuse(words)
        self._say()

    def _say(self) -> None:
        """Bring head and inputs in line."""
        asked = self._asked
        place = self._choice.place(asked.scenario)
        scenario = encode(self._answered.scenario)
        self.inputs.shelves = self._choice.listed()
        self.inputs.state = inputs_state(asked, self._answered, place, self._metric) | {"pitched": scenario}
        self.head.state = {"metric": self._metric, "scenario": scenario, "link": f"s={encode(asked.scenario)}"}


def batting(scenario: Scenario, bats: str) -> Scenario:
    """The scenario with its hitter on a side."""
    same = bats == scenario.hitter.bats or bats not in BATS
    return scenario if same else scenario.with_values({"hitter.bats": bats})


def create_measured(path: Path | None = None, log_path: Path | None = None) -> pn.Template:
    """The page of one session, sharing nothing with any other."""
    pn.extension("vtk")
    return MeasuredPage(path, log_path).template()
