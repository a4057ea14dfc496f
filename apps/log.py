"""The hitter's log at ``/log``: hitters and their swings, trends, before and after; backed up, restored, deleted.

Everything is read from the log's file anew at each action, so that sessions see each other's changes, and everything is
written through `plane3d.log`. What is reported as saved is on the disk by then.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from html import escape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import panel as pn

from apps.browser_files import styles
from apps.figures import Look, looked
from apps.files import topic
from apps.frame import frame
from apps.log_asked import day_of, swing_of
from apps.log_figures import before_after, over_time
from apps.log_panel import (
    LogHitter,
    LogList,
    LogSwings,
    choices,
    day_rows,
    figure_choices,
    hitter_rows,
    known_figures,
)
from apps.measured_head import LOG, MeasuredHead
from apps.result import mistake
from apps.studies_html import paragraph
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.log import FIGURES, Hitter, Log, LogError, Swing, held
from plane3d.log.csv_text import csv_text
from plane3d.log.said import hitters_words, swings_words
from plane3d.words import capital

VIEWS = ("swings", "trend", "compare")
SHOWN = 200  # swings listed at first, and how many more each time
LARGEST = 100_000_000  # bytes of a backup that goes through the page
NOT_OFFERED = mark("The hitter’s log is not offered here: it is kept to the machine that plane3d runs on.")
FAULT = mark("This cannot be done because of a fault in plane3d; the terminal it was started from says more.")
GONE = mark("This hitter is not in the log any more; it was changed or deleted elsewhere.")
TOO_LARGE = mark("{name} is too large to be read by the page; use the command plane3d log restore.")
NO_FILE = mark("There is no log yet; it is made when the first hitter is added.")
COPIES = mark("Backups and exported files made earlier still hold it.")
FILES = mark("Exported files still hold this hitter: delete them too.")
ALL_NAME, ONE_NAME = mark("hitters"), mark("swing")  # of files handed over

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Asked:
    """What a session looks at. figure, split : a figure's name, a day; empty for what is shown first"""

    code: str = ""
    view: str = VIEWS[0]
    figure: str = ""
    split: date | None = None
    most: int = SHOWN


@dataclass(frozen=True)
class _Found:
    """What was read from the log last."""

    hitters: Sequence[Hitter] = ()
    counts: Mapping[str, int] = field(default_factory=dict)
    swings: Sequence[Swing] = ()
    measured: frozenset[int] = frozenset()


class LogPage:
    """One session of the log. log_path : its file, made when something is first kept"""

    def __init__(self, log_path: Path):
        self._log = Log(log_path, at_once=False)
        self._look = Look()
        self._asked = Asked()
        self._found = _Found()
        self._arrived = False
        self._backup: tuple[str, bytes, str] | None = None  # a checked one that waits: name, content, what it holds
        self.head = MeasuredHead({"arrive": self._arrive, "look": self._look_at}, LOG)
        self.list = LogList(
            {
                "choose": lambda code: self._turn(code=code, figure="", split=None, most=SHOWN),
                "add": lambda *of: self._do(lambda: self._add(*of), self.list, "add"),
                "backup": lambda: self._do(self._hand_backup),
                "export": lambda: self._do(lambda: self._export(None)),
                "file": lambda name, data: self._do(lambda: self._take(name, data)),
                "restore": lambda: self._do(self._restore),
                "forget": lambda: self._do(self._forget),
            },
            table=choices(),
        )
        self.hitter = LogHitter(
            {
                "change": lambda *of: self._do(lambda: self._change(*of), self.hitter, "change"),
                "export": lambda: self._do(lambda: self._export(self._asked.code)),
                "delete": lambda code: self._do(lambda: self._delete(code), self.hitter, "delete"),
                "view": lambda name: self._turn(view=name) if name in VIEWS else None,
                "figure": lambda name: self._turn(figure=name) if name in FIGURES else None,
                "split": lambda day: self._do(lambda: self._split(day)),
            },
            table=choices(),
        )
        self.swings = LogSwings(
            {
                "swing": lambda *of: self._do(lambda: self._keep(*of), self.swings, "swing"),
                "note": lambda number, text: self._do(lambda: self._note(number, text)),
                "drop": lambda number: self._do(lambda: self._drop(number)),
                "points": lambda number: self._do(lambda: self._points(number)),
                "more": lambda: self._turn(most=self._asked.most + SHOWN),
            }
        )
        sheets = styles("common", "studies_words", "log_words")
        self.said, self.trend_words, self.trend_table, self.compare_words = (
            pn.pane.HTML(stylesheets=sheets, sizing_mode="stretch_width", margin=0) for _ in range(4)
        )
        self.figure = pn.pane.Bokeh(None, sizing_mode="stretch_width", margin=0)
        self._do(lambda: "")

    def template(self) -> pn.Template:
        """The document that holds the parts."""
        names = ("head", "said", "list", "hitter", "swings", "figure", "trend_words", "trend_table", "compare_words")
        return frame("log", {name: getattr(self, name) for name in names}, "page", "log")

    # --- what the viewer asks ----------------------------------------------------------------------------------------

    def _do(self, act: Callable[[], str], part: LogList | LogHitter | LogSwings | None = None, form: str = "") -> None:
        """Do something, say what came of it, and show the log as it is now.

        form : of a part, emptied if it is done
        """
        words, problem = self._tried(act)
        unread, broken = self._tried(self._read)
        self._say(words if problem or not broken else unread, problem or broken)
        self._show()
        if part is not None and not problem:
            part.done(form)

    def _tried(self, act: Callable[[], str]) -> tuple[str, bool]:
        """What is said of something done, and whether it could not be done."""
        try:
            return act(), False
        except Plane3dError as error:
            return mistake(error), True
        except Exception:
            _log.exception("the log's page failed")
            return tr(FAULT), True

    def _turn(self, **to: Any) -> None:
        """Look at something else."""
        self._asked = replace(self._asked, **to)
        self._do(lambda: "")

    def _arrive(self, look: Mapping[str, Any], address: Mapping[str, str]) -> None:
        """The page is there, or its address has changed."""
        self._look, self._arrived = looked(self._look, look), True
        code = next((one.code for one in self._found.hitters if _digest(one.code) == address.get("hitter")), "")
        view, figure, split = (address.get(name, "") for name in ("view", "figure", "split"))
        if code:
            self._asked = Asked(code, view if view in VIEWS else VIEWS[0], figure if figure in FIGURES else "")
        self._do(lambda: self._split(split) if code and split else "")

    def _look_at(self, look: Mapping[str, Any]) -> None:
        self._look = looked(self._look, look)
        self._do(lambda: "")

    def _there(self) -> Log:
        """The log, which nothing but adding a hitter or restoring makes."""
        if not self._log.exists:
            raise LogError(tr(NO_FILE))
        return self._log

    def _add(self, code: str, bats: str, level: str, note: str) -> str:
        hitter = Hitter(code.strip(), bats, level, note)
        self._log.add_hitter(hitter)
        self._asked = Asked(hitter.code)
        return tr("Saved: {code} is in the log.", code=hitter.code)

    def _change(self, code: str, bats: str, level: str, note: str) -> str:
        hitter = Hitter(code.strip(), bats, level, note)
        self._there().change_hitter(self._asked.code, hitter)
        self._asked = replace(self._asked, code=hitter.code)
        return tr("Saved.")

    def _delete(self, typed: str) -> str:
        if typed.strip() != self._asked.code:
            raise LogError(tr("Nothing was deleted: type the code of the hitter exactly."))
        gone = self._there().delete_hitter(self._asked.code)
        self._asked = Asked()
        return f"{gone.sentence()} {tr(FILES)}"

    def _keep(self, day: str, source: str, session: str, note: str, figures: Sequence[Sequence[str]]) -> str:
        swing = swing_of(day, source, session, note, figures, self._look.metric)
        (number,) = self._there().add_swings(self._asked.code, [swing])
        return tr("Saved as swing {number}.", number=number)

    def _note(self, number: int, text: str) -> str:
        self._there().note(number, text)
        return tr("Saved: note of swing {number}.", number=number)

    def _drop(self, number: int) -> str:
        self._there().delete_swing(number)
        return tr("Swing {number} is deleted for good.", number=number) + " " + tr(COPIES)

    def _points(self, number: int) -> str:
        text = self._there().measured(number)
        self.head.hand_over(f"{tr(ONE_NAME)}-{number}.csv", text)
        return ""

    def _split(self, day: str) -> str:
        self._asked = replace(self._asked, split=day_of(day))
        return ""

    # --- the whole log -----------------------------------------------------------------------------------------------

    def _hand_backup(self) -> str:
        content = self._there().backup_bytes()
        if len(content) > LARGEST:
            raise LogError(tr("The log is too large for the page; use the command plane3d log backup."))
        self.head.hand_over(f"{tr(ALL_NAME)}-{date.today().isoformat()}.sqlite", content)
        return tr("The whole log was handed over as a file. Keep it as safe as the log itself.")

    def _export(self, code: str | None) -> str:
        name = topic(code) if code else tr(ALL_NAME)
        self.head.hand_over(f"{name}-{date.today().isoformat()}.csv", csv_text(self._there(), code))
        return tr("Exported. The file holds what the log holds; keep it as safe.")

    def _take(self, name: str, data: bytes | None) -> str:
        """Check a backup, and ask before it takes the place of the log."""
        self._backup = None
        if data is None:
            raise LogError(tr(TOO_LARGE, name=name))
        content = bytes(data)
        hitters, swings = held(content, name)
        counts = {"hitters": hitters_words(hitters), "swings": swings_words(swings)}
        self._backup = (name, content, tr("{name} holds {hitters} and {swings}.", name=name, **counts))
        return ""

    def _restore(self) -> str:
        if self._backup is None:
            return ""
        name, content, _ = self._backup
        self._log.restore(content)
        self._backup, self._asked = None, Asked()
        return tr("The log is as it was in {file}.", file=name)

    def _forget(self) -> str:
        self._backup = None
        return tr("Nothing was changed.")

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _read(self) -> str:
        """Read the log anew; one that is not there holds nothing, and is not made."""
        self._found = _Found()
        if not self._log.exists:
            self._asked = Asked()
            return ""
        hitters, counts = self._log.hitters(), self._log.counts()
        self._found = _Found(hitters, counts)
        code = self._asked.code
        if not code:
            return ""
        if code not in counts:
            self._asked = Asked()
            raise LogError(tr(GONE))
        swings, measured = self._log.swings(code), frozenset(self._log.with_measured(code))
        self._found = _Found(hitters, counts, swings, measured)
        return ""

    def _say(self, words: str, problem: bool) -> None:
        looks = "said problem" if problem else "said"
        self.said.object = f'<p class="{looks}">{escape(words)}</p>' if words else ""

    def _show(self) -> None:
        """Bring all parts in line with what was read."""
        asked, found, metric = self._asked, self._found, self._look.metric
        hitter = next((one for one in found.hitters if one.code == asked.code), None)
        known = known_figures(found.swings)
        if asked.figure not in known:
            asked = self._asked = replace(asked, figure=known[0] if known else "")
        shown = found.swings[-asked.most :]
        self.head.state = {"metric": metric, "link": urlencode(self._address()) if hitter else ""}
        self.list.state = {
            "hitters": hitter_rows(found.hitters, found.counts),
            "chosen": asked.code,
            "pending": "" if self._backup is None else self._backup[2],
            "holds": tr(
                "The log here holds {hitters} and {swings}; all of it goes.",
                hitters=hitters_words(len(found.hitters)),
                swings=swings_words(sum(found.counts.values())),
            ),
        }
        self.hitter.state = {
            "hitter": None if hitter is None else vars(hitter),
            "swings": found.counts.get(asked.code, 0),
            "view": asked.view,
            "figures": [(name, capital(tr(FIGURES[name]))) for name in known],
            "figure": asked.figure,
            "split": self._split_day().isoformat() if found.swings else "",
        }
        self.swings.state = {
            "code": "" if hitter is None else hitter.code,
            "days": list(day_rows(shown, found.measured, metric)),
            "hidden": len(found.swings) - len(shown),
            "figures": figure_choices(metric),
            "today": date.today().isoformat(),
        }
        if self._arrived:
            words, broken = self._tried(self._show_view)
            if broken:
                self._say(words, True)

    def _show_view(self) -> str:
        """The answers of the open view; nothing is worked out for those that are shut."""
        asked, swings = self._asked, self._found.swings
        if asked.view == "compare" and asked.code:
            few = tr("A comparison needs swings that have figures.")
            words = before_after(swings, self._split_day(), self._look.metric) if asked.figure else paragraph(few)
            self.compare_words.object = words
        if asked.view == "trend" and asked.code:
            if asked.figure:
                over = over_time(swings, asked.figure, self._look)
                self.figure.object = over.figure
                self.trend_words.object, self.trend_table.object = over.says, over.table
            else:
                self.figure.object, self.trend_table.object = None, ""
                self.trend_words.object = paragraph(tr("A trend needs swings that have figures."))
                return ""
            self.hitter.state = self.hitter.state | {"alt": over.alt}
        return ""

    def _split_day(self) -> date:
        """The day asked for, or else the one with as many days before it as from it on."""
        days = sorted({swing.day for swing in self._found.swings})
        return self._asked.split or (days[len(days) // 2] if days else date.today())

    def _address(self) -> dict[str, str]:
        """What brings this view back after a reload; it does not hold the code itself."""
        asked = self._asked
        split = "" if asked.split is None else asked.split.isoformat()
        found = {"hitter": _digest(asked.code), "view": asked.view, "figure": asked.figure, "split": split}
        return {name: value for name, value in found.items() if value}


def _digest(code: str) -> str:
    return hashlib.sha256(code.encode("utf-8")).hexdigest()[:12]


def create_log(path: Path | None = None, log_path: Path | None = None) -> pn.Template:
    """The log of one session; one sentence where no log is offered. path : not used; all pages are made alike"""
    pn.extension("vtk")
    if log_path is not None:
        return LogPage(log_path).template()
    head = MeasuredHead({"arrive": lambda *_: None, "look": lambda *_: None}, LOG)
    return frame("log_off", {"head": head}, "page", "log")
