"""The parts of the log's page: the Python ends of ``browser/log_list.js``, ``log_hitter.js`` and ``log_swings.js``."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any, ClassVar

import param

from apps.asking import Actions, Asking
from apps.browser_files import BROWSER, import_map, styles
from apps.log_figures import minus
from plane3d.language import tr
from plane3d.levels import LEVELS
from plane3d.log import FIGURES, PRIVACY, Hitter, Swing
from plane3d.log.said import figure_words, hitter_words, swings_words, unit_of
from plane3d.quantities import choice_words, unit_name
from plane3d.words import TEXT, capital


class _Part(Asking):
    """A part whose forms are emptied once what they asked for is done."""

    def __init__(self, actions: Actions, **params: Any):
        super().__init__(actions, **{"sizing_mode": "stretch_width"} | params)

    def done(self, form: str) -> None:
        """What a form asked for is done."""
        self._send_msg({"do": "done", "form": form})


class LogList(_Part):
    """All hitters, a form for a new one, and what can be done with the whole log.

    Parameters
    ----------
    actions : ``choose`` with a code, ``add`` with code, side, level and note, ``backup`` and ``export`` with nothing,
        ``file`` with name and content of a backup (None where it is too large), ``restore`` and ``forget`` with nothing
    """

    table = param.Dict(default={}, doc="What never changes, as made by `choices`.")

    _esm = BROWSER / "log_list.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "elements", "log_fields")
    _stylesheets: ClassVar[list[str]] = styles("common", "log_parts")


class LogHitter(_Part):
    """The chosen hitter: who it is, the views as tabs with what they may be asked, changing, deleting.

    Parameters
    ----------
    actions : ``change`` with code, side, level and note, ``export`` with nothing, ``delete`` with the code as typed,
        ``view`` with a name, ``figure`` with a name, ``split`` with a day
    """

    table = param.Dict(default={}, doc="As in `LogList`.")

    _esm = BROWSER / "log_hitter.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "elements", "log_fields")
    _stylesheets: ClassVar[list[str]] = styles("common", "log_parts", "log_hitter")


class LogSwings(_Part):
    """The swings of the chosen hitter by day, the newest first, and a form for one more.

    Parameters
    ----------
    actions : ``swing`` with day, source, session, note and figures as name, value and uncertainty, all as typed,
        ``note`` with number and text, ``drop`` with a number, ``points`` with a number, ``more`` with nothing
    """

    _esm = BROWSER / "log_swings.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "elements", "log_fields")
    _stylesheets: ClassVar[list[str]] = styles("common", "log_parts", "log_swings")


def choices() -> dict[str, Any]:
    """What never changes: levels, and the sentence about privacy, in the language in use."""
    return {
        "levels": [(name, choice_words("setting.level", name)) for name in LEVELS],
        "sides": [(side, choice_words("hitter.bats", side)) for side in ("right", "left")],
        "privacy": tr(PRIVACY),
    }


def hitter_rows(hitters: Sequence[Hitter], counts: Mapping[str, int]) -> list[dict[str, Any]]:
    """Hitters as the list shows them."""
    return [
        {"code": each.code, "about": hitter_words(each), "swings": swings_words(counts.get(each.code, 0))}
        for each in hitters
    ]


def figure_choices(metric: bool) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """All figures in groups, each with its name, label and unit."""
    groups = [(heading, [name for name in rows if name in FIGURES]) for heading, rows in TEXT.values()]
    return [
        (tr(heading), [(name, capital(tr(FIGURES[name])), unit_name(unit_of(name, metric)[0])) for name in names])
        for heading, names in groups
        if names
    ]


def known_figures(swings: Sequence[Swing]) -> list[str]:
    """Names of the figures that some of the swings have."""
    return [name for name in FIGURES if any(name in swing.figures for swing in swings)]


def day_rows(swings: Sequence[Swing], measured: Collection[int], metric: bool) -> Iterator[dict[str, Any]]:
    """Swings by day, the newest first, each day with its own columns.

    swings : in the order of their days; measured : numbers of those that have the points they come from
    """
    for day, group in groupby(reversed(swings), key=lambda swing: swing.day):
        of_day = list(group)[::-1]
        names = known_figures(of_day)
        alike = len({(swing.source, swing.session) for swing in of_day}) == 1
        yield {
            "day": day.isoformat(),
            "count": swings_words(len(of_day)),
            "about": _about(of_day[0]) if alike else None,  # said once where it is the same for all
            "heads": [capital(tr(FIGURES[name])) for name in names],
            "swings": [
                {
                    "number": swing.number,
                    "cells": [_cell(swing, name, metric) for name in names],
                    "about": _about(swing),
                    "note": swing.note,
                    "measured": swing.number in measured,
                }
                for swing in of_day
            ],
        }


def _about(swing: Swing) -> list[str]:
    return [text for text in (swing.source, swing.session) if text]


def _cell(swing: Swing, name: str, metric: bool) -> str:
    figure = swing.figures.get(name)
    return "" if figure is None else minus(figure_words(name, figure, metric))
