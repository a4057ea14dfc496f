"""Marks in films at ``/video``: two fixed views give a measured swing, one from the side its plane figures.

The film stays in the browser (``browser/video.js``); what comes here are marks, as a file keeps them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, ClassVar

import panel as pn
import param

from apps.asking import Asking
from apps.background import WORKING, Background, Deliver
from apps.browser_files import BROWSER, import_map, styles
from apps.frame import frame
from apps.link import decode, encode
from apps.measured import batting
from apps.measured_answer import MeasuredAnswer
from apps.measured_head import VIDEO, MeasuredHead
from apps.shelf import Choice
from apps.studies_asked import refusal
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.measured import video
from plane3d.measured.marks_file import MarksFile, dumps, loads
from plane3d.measured.synthetic import csv_text
from plane3d.measured.video import Answer
from plane3d.words import capital

NAME = mark("marks")  # stands in messages for those of the page
TOO_LARGE = mark("{name}: is larger than 2 MB, too large for a file of marks")
START = mark("Set the marks, then work it out.")
FOUND = mark("Both cameras and the swing are found; its figures stand below.")
FOUND_PLANE = mark("The figures in the plane of the picture stand below.")
POINTS_NAME = mark("two views")
PARTS = ("scenarios", "handing", "elements", "words")
OWN_PARTS = ("marks", "words", "film", "files", "canvas", "steps", "answer", "keys", "layout")


class VideoDesk(Asking):
    """Films with their marks, and what they came to.

    Parameters
    ----------
    actions : ``choose`` with the place of a scenario in ``shelves``, ``bats`` with a side, ``work`` with the text of
        marks, ``open`` with name and text of a file of marks (None for one that is too large)
    """

    shelves = param.List(default=[], doc="As in `apps.heading.Heading`.")

    _esm = BROWSER / "video.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map(*PARTS, *(f"video_{part}" for part in OWN_PARTS))
    _stylesheets: ClassVar[list[str]] = styles("common", "video_desk")

    def take(self, text: str) -> None:
        """Put the marks of a file in place of those of the page."""
        self._send_msg({"do": "take", "data": text})

    def refuse(self, words: str) -> None:
        """Say why a file cannot be opened; the marks of the page stay."""
        self._send_msg({"do": "refuse", "data": words})


class VideoPage:
    """One session of the page.

    Parameters
    ----------
    path : scenario or lesson the server was started with; read anew for each session
    log_path : as in `apps.measured_answer.MeasuredAnswer`
    deliver : as in `apps.background.Background`
    """

    def __init__(self, path: Path | None = None, log_path: Path | None = None, deliver: Deliver | None = None):
        self._choice = Choice(path)
        self._scenario = self._choice.scenarios[0]
        self._metric = False
        self._file: MarksFile | None = None  # the marks that were sent last
        self._answer: Answer | None = None
        self._headline, self._problem = self._choice.problem or tr(START), bool(self._choice.problem)
        self.worker: Background[Answer] = Background(lambda share: None, self._refuse, deliver)
        self.head = MeasuredHead({"look": self._look, "arrive": self._arrive}, VIDEO)
        asks: dict[str, Callable[..., None]] = {
            "choose": self._choose, "bats": self._bat, "work": self._work, "open": self._open,
        }  # fmt: skip
        self.desk = VideoDesk(asks, sizing_mode="stretch_width", margin=0)
        self.answer = MeasuredAnswer(log_path)
        self._say()

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        parts = {"head": self.head, "desk": self.desk, "answer": self.answer.view}
        return frame("video", parts, "page", "video")

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _look(self, look: Mapping[str, Any]) -> None:
        self._metric = self.answer.metric = look.get("metric") is True
        self._say()

    def _arrive(self, look: Mapping[str, Any], said: Mapping[str, str]) -> None:
        """The page is there, or its address has changed."""
        self._look(look)
        try:
            if "s" in said:
                self._take(decode(said["s"]))
        except Plane3dError as error:
            self._refuse(refusal(error))

    def _choose(self, place: int) -> None:
        self._take(self._choice.scenarios[place])

    def _bat(self, bats: str) -> None:
        self._take(batting(self._scenario, bats))

    def _take(self, scenario: Any) -> None:
        """Another scenario; marks that were worked out are worked out against it."""
        self._scenario = scenario
        if self._file is not None:
            self._start(self._file)
        self._say()

    def _open(self, name: str, text: str | None) -> None:
        try:
            if text is None:
                raise Plane3dError(tr(TOO_LARGE, name=name))
            self.desk.take(dumps(loads(text, name)))
        except Plane3dError as error:
            self.desk.refuse(refusal(error))

    def _work(self, text: str) -> None:
        try:
            self._file = loads(text, tr(NAME))
        except Plane3dError as error:
            self.worker.cancel()
            self._refuse(refusal(error))
        else:
            self._start(self._file)

    def _start(self, file: MarksFile) -> None:
        scenario = self._scenario
        self.answer.clear()
        self._headline, self._problem = tr(WORKING), False
        self.worker.start(lambda progress: video.run(file, scenario, tr(POINTS_NAME)), self._done)
        self._say()

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _done(self, answer: Answer) -> None:
        self._answer = answer
        self._problem = answer.refused is not None
        if answer.found is not None:
            source = tr("two views, {rate} frames a second", rate=f"{answer.found.measured.checked.frame_rate:.0f}")
            self.answer.show(answer.found, csv_text(answer.found.measured.points), source)
        elif answer.plane is not None:
            rate = answer.file.views[0].rate or 0.0
            self.answer.show_plane(answer, tr("one view from the side, {rate} frames a second", rate=f"{rate:g}"))
        self._say()

    def _refuse(self, words: str) -> None:
        """Say why there is no answer."""
        self._answer, self._headline, self._problem = None, words, True
        self.answer.clear()
        self._say()

    def _say(self) -> None:
        """Bring head and desk in line."""
        answer, running = self._answer, self.worker.running
        place = self._choice.place(self._scenario)
        self.desk.shelves = self._choice.listed()
        self.desk.state = {
            "chosen": place,
            "metric": self._metric,
            "bats": self._scenario.hitter.bats,
            "headline": self._headline if answer is None or running else _headline(answer, self._metric),
            "problem": self._problem,
            "running": running,
            "found": answer is not None and (answer.found or answer.plane) is not None and not running,
            "answer": None if answer is None else shown(answer, self._metric),
        }
        encoded = encode(self._scenario)
        self.head.state = {"metric": self._metric, "scenario": encoded, "link": f"s={encoded}"}


def _headline(answer: Answer, metric: bool) -> str:
    """The answer in one sentence, or why there is no swing."""
    if answer.refused is not None:
        return refusal(answer.refused)
    return tr(FOUND) if answer.plane is None else tr(FOUND_PLANE)


def shown(answer: Answer, metric: bool) -> dict[str, Any]:
    """An answer as the browser lays it out."""
    return {
        "cameras": video.camera_rows(answer, metric),
        "points": [(capital(name), value) for name, value in video.point_rows(answer)],
        "link": video.link_words(answer),
        "warnings": video.warnings(answer)
        if answer.plane is None
        else [],  # those of a side view stand with its figures
        "misses": video.mark_misses(answer),
        "known": video.known_misses(answer),
    }


def create_video(path: Path | None = None, log_path: Path | None = None) -> pn.Template:
    """The page of one session, sharing nothing with any other."""
    pn.extension("vtk")
    return VideoPage(path, log_path).template()
