"""A figure of a hitter's swings over the days: chart, words for it, and the same as a table."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Any

import numpy as np
from bokeh.models import FixedTicker, Range1d

from apps.figures import FIRST, Look, plain, whiskers
from apps.studies_html import folded, paragraph, table
from plane3d.frames import Array
from plane3d.language import tr, trc
from plane3d.log import FIGURES, Figure, LogError, Swing
from plane3d.log.said import figure_words, swings_words, unit_of, with_error
from plane3d.log.trend import Change, Comparison, Trend, caution, compare, split, trend
from plane3d.quantities import unit_name
from plane3d.words import capital

LEAST_SPAN = 7  # days the chart spans at least
APART = 0.36  # of the span: how far days written below the chart are apart at least, so that they fit on a phone
SIDE_BY_SIDE = 0.012  # of the span: half the width over which the swings of a day stand side by side
MANY = 5  # figures compared at once from which on chance is warned of
NONE = "–"


@dataclass(frozen=True)
class OverTime:
    """A figure over the days: its chart, the chart in words, what the trend says, and a table, both as HTML."""

    figure: Any
    alt: str
    says: str
    table: str


def over_time(swings: Sequence[Swing], name: str, look: Look) -> OverTime:
    """Points with their uncertainties, the line through them with its band, and the same in words."""
    having = [swing for swing in swings if name in swing.figures]
    found: Trend | None
    try:
        found = trend(having, name)
        said, rest = found.sentence(look.metric), caution(found)
    except LogError as error:
        found, said, rest = None, str(error), ""
    first, last = having[0].day.isoformat(), having[-1].day.isoformat()
    alt = tr(
        "{figure} of {swings} from {first} to {last}. {said}",
        figure=capital(tr(FIGURES[name])), swings=swings_words(len(having)), first=first, last=last, said=said,
    )  # fmt: skip
    words = paragraph(minus(said), "says") + (paragraph(rest, "caution") if rest else "")
    return OverTime(_chart(look, having, name, found), minus(alt), words, _day_table(having, name, found, look.metric))


def minus(words: str) -> str:
    """A minus sign in place of the hyphen before each negative number; days such as 2026-03-14 stay."""
    return re.sub(r"(?<![\w-])-(?=\d)", "−", words)


def _chart(look: Look, swings: Sequence[Swing], name: str, found: Trend | None) -> Any:
    unit, factor, _ = unit_of(name, look.metric)
    days = np.array([swing.day.toordinal() for swing in swings], dtype=float)
    span = max(float(np.ptp(days)), LEAST_SPAN)
    middle = (days[0] + days[-1]) / 2
    fig = plain(
        look,
        height=round(look.size * 24),
        x_range=Range1d(middle - 0.56 * span, middle + 0.56 * span),
        y_axis_label=f"{capital(tr(FIGURES[name]))} ({unit_name(unit)})",
    )
    if found is not None:
        _line(fig, found, (float(days[0]), float(days[-1])), factor)
    x = _side_by_side(days, SIDE_BY_SIDE * span)
    y = factor * np.array([swing.figures[name].value for swing in swings])
    errors = factor * np.array([swing.figures[name].uncertainty or 0.0 for swing in swings])
    sure = errors > 0
    fig.y_range = _room(y - errors, y + errors)
    whiskers(look, fig, x[sure].tolist(), (y - errors)[sure].tolist(), (y + errors)[sure].tolist(), "height")
    fig.scatter(x=x, y=y, size=look.size * 0.5, fill_color=look.paper, line_color=look.ink, line_width=1.5)
    _days_below(fig, days)
    return fig


def _room(low: Array, high: Array) -> Range1d:
    """A range that shows all points with their errors."""
    least, most = float(low.min()), float(high.max())
    edge = 0.06 * (most - least) or 0.06 * abs(most) or 1.0
    return Range1d(least - edge, most + edge)


def _line(fig: Any, found: Trend, ends: tuple[float, float], factor: float) -> None:
    """The line and, where its error is known, the band that holds it 95 times of 100."""
    days = np.linspace(*ends, 41)
    at = np.array([found.at(float(day)) for day in days]) * factor
    if isfinite(found.high) and found.error > 0:
        reach = (found.high - found.value) / found.error
        low, high = at[:, 0] - reach * at[:, 1], at[:, 0] + reach * at[:, 1]
        fig.varea(x=days, y1=low, y2=high, fill_color=FIRST, fill_alpha=0.25)
    fig.line(x=days, y=at[:, 0], color=FIRST, line_width=3)


def _side_by_side(days: Array, half: float) -> Array:
    """Places of points (n,): those of one day a little apart."""
    found = days.copy()
    gaps = np.diff(np.unique(days))
    half = min(half, 0.35 * float(gaps.min())) if len(gaps) else half
    for day in np.unique(days):
        which = days == day
        found[which] += np.linspace(-half, half, which.sum()) if which.sum() > 1 else 0.0
    return found


def _days_below(fig: Any, days: Array) -> None:
    """A few of the days themselves below the axis, none too near to another."""
    first, *between = np.unique(days).tolist()
    last = between.pop() if between else first
    apart = APART * (last - first)
    kept = [first]
    for day in between:
        if day - kept[-1] >= apart <= last - day:
            kept.append(day)
    kept += [last] if last > first else []
    fig.xaxis.ticker = FixedTicker(ticks=kept)
    fig.xaxis.major_label_overrides = {day: date.fromordinal(int(day)).isoformat() for day in kept}


def _day_table(swings: Sequence[Swing], name: str, found: Trend | None, metric: bool) -> str:
    days = sorted({swing.day for swing in swings})
    rows = []
    for day in days:
        values = [figure_words(name, swing.figures[name], metric) for swing in swings if swing.day == day]
        rows.append(
            (day.isoformat(), minus("; ".join(values)), NONE if found is None else _mean(found, *found.at(day), metric))
        )
    heads = (tr("Day"), tr("Swings"), tr("Line"))
    return folded(tr("The chart as a table"), table(tr(FIGURES[name]), heads, rows))


def _mean(change: Change, value: float, error: float, metric: bool) -> str:
    """A fitted value with its standard error; without one where there are too few swings to know it."""
    if isfinite(change.high):
        return with_error(change.name, value, error, metric)
    return figure_words(change.name, Figure(value), metric)


def before_after(swings: Sequence[Swing], day: date, metric: bool) -> str:
    """All figures before a day against those from that day on, as HTML."""
    names = [name for name in FIGURES if any(name in swing.figures for swing in swings)]
    two = split(swings, day)
    rows, cautions = [], {}
    for name in names:
        try:
            found = compare(*two, name)
        except LogError as error:
            rows.append((tr(FIGURES[name]), NONE, NONE, NONE, str(error)))
            continue
        rows.append((tr(FIGURES[name]), *_pair(found, metric), minus(found.sentence(metric))))
        cautions[caution(found)] = True
    counts = tr(
        "{before} before {day}, {after} from that day on.",
        before=swings_words(len(two[0])),
        after=swings_words(len(two[1])),
        day=day,
    )
    heads = (trc("log", "Figure"), tr("Before"), tr("After"), tr("Difference"), tr("What it says"))
    parts = [paragraph(counts, "says"), table(tr("Before and after"), heads, rows)]
    parts += [paragraph(words, "caution") for words in cautions if words]
    notes = [tr("The number after ± is one standard error.")]
    if len(rows) >= MANY:
        notes.append(tr("Of twenty figures that did not change, one will look changed by chance."))
    return "".join([*parts, paragraph(" ".join(notes), "quiet")])


def _pair(found: Comparison, metric: bool) -> tuple[str, str, str]:
    pairs = (found.before, found.before_error), (found.after, found.after_error), (found.value, found.error)
    before, after, change = (_mean(found, *pair, metric) for pair in pairs)
    return before, after, change
