"""What a measured swing came to, with its errors and a picture, and where it can be taken from here."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

from apps.asking import Actions, Asking
from apps.background import WORKING
from apps.browser_files import BROWSER, import_map, styles
from apps.files import topic
from apps.link import MAX_LETTERS, encode
from apps.measured_picture import picture
from apps.result import FAULT, mistake
from apps.studies_html import signed
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.log import PRIVACY, Figure, Hitter, Log, LogError, Swing
from plane3d.measured import measure, video
from plane3d.measured.measure import FIGURES, SURE, Found
from plane3d.play import play
from plane3d.scenario import Scenario
from plane3d.words import capital, sentence

HEADLINE = ("bat_speed", "attack_angle", "below_line")
SIGMAS = 1.96  # standard deviations in half an interval of 95 % (normal distribution)
# Name in the log of each figure, where the log has one.
IN_LOG = {
    "bat_speed": "bat_speed_mph", "attack_angle": "attack_angle_deg", "vertical_bat_angle": "vertical_bat_angle_deg",
    "contact_depth": "depth_in", "below_line": "below_line_in", "along_barrel": "along_barrel_in",
}  # fmt: skip
NO_BREAK = "\N{NO-BREAK SPACE}"
KEPT = mark("Kept for {hitter}, on {day}.")
WHO = mark("Choose a hitter, or enter a new code or role.")
NO_DAY = mark("The day must be written as year-month-day.")

_log = logging.getLogger(__name__)


@dataclass(frozen=True, eq=False)
class _Answer:
    """What is shown, saved and kept. draw : as the browser lays it out, in metric units or not

    name : of what was measured; points : its points, empty where there are none; scenario : with the swing in it
    """

    name: str
    figures: dict[str, Figure]
    hitter: Scenario
    points: str
    source: str
    scenario: Scenario | None
    draw: Callable[[bool], dict[str, Any]]


class AnswerView(Asking):
    """The Python end of ``browser/measured_answer.js``.

    Parameters
    ----------
    actions : ``scenario`` and ``points`` with nothing, to save them; ``hitters`` with nothing, to list those of the
        log; ``keep`` with code, day, session and note
    """

    _esm = BROWSER / "measured_answer.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "handing", "measured_picture")
    _stylesheets: ClassVar[list[str]] = styles("common", "measured_answer")


class MeasuredAnswer:
    """The answer's part of a page: put `view` into the page, and say what there is to show.

    Parameters
    ----------
    log_path : file of the hitters' log, made when something is first kept; None where no log is offered
    empty : what is said while there is no answer
    """

    def __init__(self, log_path: Path | None = None, empty: str = ""):
        self._log_path, self._empty = log_path, empty
        self._answer: _Answer | None = None
        self._found: Found | None = None
        self._refusal = ""
        self._working = False
        self._metric = False
        self._drawn: tuple[Any, dict[str, Any]] = (None, {})  # answer and units, and what is shown of it
        self._hitters: list[str] = []
        self._said: tuple[str, bool] = ("", False)  # of the log, and whether it is a problem
        actions: Actions = {
            "scenario": self._save_scenario, "points": self._save_points, "hitters": self._list_hitters,
            "keep": self._keep,
        }  # fmt: skip
        self.view = AnswerView(actions, sizing_mode="stretch_width", margin=0)
        self._say()

    @property
    def metric(self) -> bool:
        """Whether numbers are shown in metric units."""
        return self._metric

    @metric.setter
    def metric(self, on: bool) -> None:
        if on != self._metric:
            self._metric = on
            self._say()

    @property
    def found(self) -> Found | None:
        """The swing that is shown."""
        return self._found

    def show(self, found: Found, points_csv: str, source: str, notes: tuple[str, ...] = ()) -> None:
        """Show a swing.

        Parameters
        ----------
        points_csv : its points, to be saved and kept
        source : where they come from, such as "two views, 240 frames a second"; kept in the log
        notes : more to be said than the library says
        """
        scenario, why = _handed_on(found)
        draw = partial(_draw, found, scenario, why, notes)
        name, figures = found.measured.points.name, log_figures(found)
        self._found = found
        self._take(_Answer(name, figures, found.scenario, points_csv, source, scenario, draw))

    def show_plane(self, answer: video.Answer, source: str) -> None:
        """Show the figures of a side view; there is no swing to hand on."""
        self._found = None
        told = video.plane_figures(answer)
        figures = {name + video.PLANE[name][0]: Figure(value, error) for name, (value, error) in told.items()}
        self._take(_Answer(answer.name, figures, answer.scenario, "", source, None, partial(_draw_plane, answer)))

    def _take(self, answer: _Answer) -> None:
        self._answer, self._refusal, self._working, self._said = answer, "", False, ("", False)
        self._say()

    def refuse(self, words: str) -> None:
        """Say why there is no swing."""
        self._answer, self._found = None, None
        self._refusal, self._working, self._said = words, False, ("", False)
        self._say()

    def clear(self) -> None:
        """Nothing is asked."""
        self.refuse("")

    def working(self) -> None:
        """An answer is on its way; the last one is marked as an old one."""
        self._working = True
        self._say()

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _save_scenario(self) -> None:
        if self._answer and self._answer.scenario:
            self.view.hand_over(f"{topic(self._answer.scenario.title)}.toml", self._answer.scenario.to_toml())

    def _save_points(self) -> None:
        if self._answer:
            name = Path(self._answer.name).stem
            self.view.hand_over(f"{topic(name)}-{tr('points')}.csv", self._answer.points)

    def _list_hitters(self) -> None:
        """Those in the log; a log that is not there yet is not made for it."""
        try:
            if self._log_path is not None and self._log_path.exists():
                self._hitters = [one.code for one in Log(self._log_path).hitters()]
        except LogError as error:
            self._said = (mistake(error), True)
        self._say()

    def _keep(self, code: str, day: str, session: str, note: str) -> None:
        if self._answer is None or self._log_path is None:
            return
        try:
            self._said = (
                self._kept(self._answer, self._log_path, code.strip(), day, session.strip(), note.strip()),
                False,
            )
        except Plane3dError as error:
            self._said = (mistake(error), True)
        except Exception:
            _log.exception("a swing could not be kept")
            self._said = (tr(FAULT), True)
        self._list_hitters()

    @staticmethod
    def _kept(answer: _Answer, path: Path, code: str, day: str, session: str, note: str) -> str:
        """Keep the swing and say so. Raises LogError."""
        if not code:
            raise LogError(tr(WHO))
        try:
            when = date.fromisoformat(day)
        except ValueError as error:
            raise LogError(tr(NO_DAY)) from error
        swing = Swing(when, answer.figures, answer.source, session, note, answer.points)
        log = Log(path)
        if code not in [one.code for one in log.hitters()]:
            log.add_hitter(Hitter(code, answer.hitter.hitter.bats, answer.hitter.setting.level))
        log.add_swings(code, [swing])
        return tr(KEPT, hitter=code, day=when.isoformat())

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _say(self) -> None:
        state: dict[str, Any] = {
            "words": self._empty, "problem": bool(self._refusal), "old": False, "working": self._working,
            "answer": None,
        }  # fmt: skip
        if self._refusal:
            state["words"] = self._refusal
        if self._answer:
            state["answer"] = self._shown(self._answer)
            state["words"] = state["answer"]["headline"]
        if self._working:
            state |= {"words": tr(WORKING), "problem": False, "old": self._answer is not None}
        said, problem = self._said
        state["log"] = {
            "hitters": self._hitters, "said": said, "problem": problem, "today": date.today().isoformat(),
            "privacy": tr(PRIVACY), "offered": self._log_path is not None,
        }  # fmt: skip
        self.view.state = state

    def _shown(self, answer: _Answer) -> dict[str, Any]:
        wanted = (answer, self._metric)
        if self._drawn[0] != wanted:
            self._drawn = (wanted, answer.draw(self._metric))
        return self._drawn[1]


def _draw(found: Found, scenario: Scenario | None, why: str, more: tuple[str, ...], metric: bool) -> dict[str, Any]:
    """A swing as the browser lays it out."""
    encoded = encode(scenario) if scenario else ""
    fits = len(encoded) <= MAX_LETTERS
    return {
        "headline": headline(found, metric),
        "play": _play_words(found, metric),
        "sure": tr("At contact, ± {sure} %", sure=f"{SURE:.0f}"),
        "figures": _rows(measure.figure_rows(found, metric)),
        "samples": _rows(measure.sample_rows(found)),
        "notes": [*more, *measure.notes(found, metric)],
        "enough": not measure.shortfalls(found),
        "swing": True,
        "scenario": encoded if fits else "",
        "why": why if fits else tr("The scenario is too long for a link; save it as a file."),
        "picture": picture(found),
        "metric": metric,
    }


def _draw_plane(answer: video.Answer, metric: bool) -> dict[str, Any]:
    """The figures of a side view as the browser lays them out."""
    rows = _rows(video.plane_rows(answer, metric))
    return {
        "headline": "; ".join(f"{name} {value}" for name, value in rows[:2]) + ".",
        "play": "",
        "sure": tr("In the plane of the picture, ± {sure} %", sure=f"{SURE:.0f}"),
        "figures": rows,
        "samples": [],
        "notes": video.warnings(answer),
        "enough": False,
        "swing": False,
        "scenario": "",
        "why": "",
        "picture": None,
        "metric": metric,
    }


def headline(found: Found, metric: bool = False) -> str:
    """The figures that matter most, in one sentence."""
    values = dict(zip(FIGURES, measure.figure_rows(found, metric), strict=True))
    speed, attack, below = (_unbroken(values[name][1]) for name in HEADLINE)
    return tr("Bat speed {speed}, attack angle {attack}, below the line {below}.",
              speed=speed, attack=attack, below=below)  # fmt: skip


def log_figures(found: Found) -> dict[str, Figure]:
    """The figures as the log keeps them: coach units, standard uncertainty."""
    kept = {}
    for name, key in IN_LOG.items():
        figure, unit = found.figures[name], FIGURES[name][1]
        kept[key] = Figure(figure.value / unit, figure.half / SIGMAS / unit)
    return kept


def _handed_on(found: Found) -> tuple[Scenario | None, str]:
    """The scenario with the measured swing in it under a title of its own, or why there is none."""
    try:
        return found.measured_scenario(), ""
    except Plane3dError as error:
        return None, mistake(error)


def _play_words(found: Found, metric: bool) -> str:
    """What becomes of the ball, or why that cannot be said."""
    try:
        return sentence(play(found.inputs).result, metric)
    except Plane3dError as error:
        return mistake(error)


def _rows(pairs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    return [(capital(name), _unbroken(value)) for name, value in pairs]


def _unbroken(value: str) -> str:
    """A number that stays with its unit; a line may end before its uncertainty."""
    return signed(value).replace(" ", NO_BREAK).replace(f"{NO_BREAK}±", " ±")
