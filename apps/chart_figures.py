"""Figures of shares and chances: outcomes, launch angles, two hitters."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from bokeh.models import BasicTicker, ColorBar, CustomJSTickFormatter, FixedTicker, LinearColorMapper, Range1d

from apps.field_figures import shade, shaded_band
from apps.figures import FIRST, HATCH, SECOND, Look, bars, degrees, named_rows, plain, whiskers, words
from plane3d import units
from plane3d.frames import Array
from plane3d.language import tr
from plane3d.quantities import unit_name
from plane3d.scene.strip import LOOKS
from plane3d.scene.strip import look as outcome
from plane3d.studies.target import Target

ROW = 2.1  # heights of letters for one row of bars
ROOM = 7  # rows from an edge of the chart within which a name is written inward
LEAST = 9.0  # percent an area must have to be named inside
SURE = 2.0  # standard errors shown of a difference
PERCENT = 'return String(tick).replace("-", "\\u2212") + " %"'
# Chances of a hit, from below: what, colour, hatch.
CHANCES = (("safe", "#56B4E9", "blank"), ("over", "#0072B2", "dot"), ("out", "#C9CED3", HATCH))


def outcomes(look: Look, shares: dict[str, tuple[float, float]]) -> Any:
    """Shares of outcomes as bars with their standard errors."""
    fig = plain(look, height=round(look.size * (ROW * len(shares) + 4)), x_axis_label=tr("Share of swings"))
    at = named_rows(fig, [outcome(kind).word for kind in shares])
    colors = [LOOKS[kind].color for kind in shares]
    bars(look, fig, at, list(shares.values()), height=0.72, fill_color=colors)
    fig.x_range = Range1d(0, 100 * max(s + 2 * e for s, e in shares.values()) + 1)
    _percent(fig.xaxis)
    return fig


def chances(look: Look, t: Target, band: tuple[float, float]) -> Any:
    """Chances of falling safe, leaving the park and being caught over launch angle (deg), the band shaded."""
    angle = t.launch_angle / units.DEGREE
    fig = plain(
        look,
        height=round(look.size * 24),
        x_range=Range1d(angle[0], angle[-1]),
        y_range=Range1d(0, 100),
        x_axis_label=tr("Launch angle"),
        y_axis_label=tr("Of all fair directions"),
    )
    below = np.zeros(len(angle))
    names = {"safe": tr("safe"), "over": tr("over the fence"), "out": tr("out")}
    for name, color, hatch in CHANCES:
        part = 100 * getattr(t, name).mean(axis=1)
        fig.varea(x=angle, y1=below, y2=below + part, fill_color=color, hatch_pattern=hatch, hatch_color="#1f2933",
                  hatch_alpha=0.25, hatch_scale=10, fill_alpha=0.9)  # fmt: skip
        fig.line(x=angle, y=below + part, color=look.ink, line_width=1)
        row = int(part.argmax()) if name != "out" else len(angle) - 2  # outs lie on top, up to the corner
        if part[row] > LEAST:
            edge = row < ROOM or row >= len(angle) - ROOM
            align = "center" if not edge else "left" if row < ROOM else "right"
            middle = 94.0 if name == "out" else float(below[row] + part[row] * (0.2 if name == "safe" else 0.5))
            words(look, fig, [angle[row]], [middle], [names[name]], text_color="#1f2933", text_align=align,
                  background_fill_color="#ffffff", background_fill_alpha=0.85, padding=3)  # fmt: skip
        below = below + part
    fig.add_layout(shaded_band(*band))
    degrees(fig.xaxis)
    _percent(fig.yaxis)
    return fig


def chance_map(look: Look, t: Target, band: tuple[float, float]) -> Any:
    """The chance of a hit over spray and launch angle (deg)."""
    angle, spray = t.launch_angle / units.DEGREE, t.spray / units.DEGREE
    fig = plain(
        look,
        height=round(look.size * 24),
        x_range=Range1d(spray[0], spray[-1]),
        y_range=Range1d(angle[0], angle[-1]),
        x_axis_label=tr("Spray angle: third-base side to first-base side"),
        y_axis_label=tr("Launch angle"),
    )
    colors = LinearColorMapper(palette=[shade(i / 50) for i in range(51)], low=0, high=100)
    image = 100 * (t.safe + t.over)
    fig.image(image=[image], x=spray[0], y=angle[0], dw=spray[-1] - spray[0], dh=angle[-1] - angle[0],
              color_mapper=colors)  # fmt: skip
    bar = ColorBar(color_mapper=colors, width=10, padding=4, border_line_color=look.quiet, background_fill_color=None,
                   major_label_text_color=look.ink, major_label_text_font_size=f"{look.size - 2}px",
                   ticker=FixedTicker(ticks=[0, 50, 100]), formatter=CustomJSTickFormatter(code=PERCENT))  # fmt: skip
    fig.add_layout(bar, "right")
    fig.add_layout(shaded_band(*band, across=False))
    degrees(fig.xaxis)
    degrees(fig.yaxis)
    return fig


def pairs(look: Look, names: Sequence[str], first: Sequence[tuple[float, float]], second: Any) -> Any:
    """Shares of two swings side by side, each with its standard error."""
    fig = plain(look, height=round(look.size * (1.3 * ROW * len(names) + 4)))
    at = named_rows(fig, names)
    bars(look, fig, [y + 0.19 for y in at], first, height=0.34, fill_color=FIRST)
    bars(look, fig, [y - 0.19 for y in at], second, height=0.34, fill_color=SECOND, hatch_pattern=HATCH,
         hatch_color="#1f2933", hatch_alpha=0.6, hatch_scale=8)  # fmt: skip
    fig.x_range = Range1d(0, 100 * max(s + 2 * e for s, e in (*first, *second)) + 1)
    _percent(fig.xaxis)
    return fig


def differences(look: Look, names: Sequence[str], found: Sequence[tuple[float, float]]) -> Any:
    """Differences of shares as points, with two standard errors to each side."""
    fig = plain(look, height=round(look.size * (1.3 * ROW * len(names) + 4)))
    at = named_rows(fig, names)
    lower, upper = ([100 * (d + sign * SURE * e) for d, e in found] for sign in (-1, 1))
    most = max(*(abs(v) for v in (*lower, *upper)), 1.0) * 1.06
    fig.x_range = Range1d(-most, most)
    fig.line(x=[0, 0], y=[0.4, len(names) + 0.6], color=look.ink, line_width=1.5)
    whiskers(look, fig, at, lower, upper)
    sure = [abs(d) >= SURE * e for d, e in found]
    fill = [look.ink if good else look.paper for good in sure]
    fig.scatter(x=[100 * d for d, _ in found], y=at, size=look.size * 0.7, fill_color=fill, line_color=look.ink)
    return fig


def windows(look: Look, heights: Array, lengths: tuple[Array, Array]) -> Any:
    """Length of the contact window of two swings over the height of the pitch; m."""
    unit, name = (units.CENTIMETRE, "cm") if look.metric else (units.INCH, unit_name("in"))
    fig = plain(
        look,
        height=round(look.size * 20),
        x_axis_label=tr("Height of the pitch at the plate ({unit})", unit=name),
        y_axis_label=tr("Contact window ({unit})", unit=name),
    )
    lines = zip(lengths, (FIRST, SECOND), ("solid", "dashed"), ("circle", "square"), strict=True)
    for length, color, dash, marker in lines:
        fig.line(x=heights / unit, y=length / unit, color=color, line_dash=dash, line_width=3)
        fig.scatter(x=heights / unit, y=length / unit, marker=marker, size=look.size * 0.5, fill_color=color,
                    line_color=look.ink)  # fmt: skip
    most = max(float(np.nanmax(length / unit, initial=1.0)) for length in lengths)
    fig.y_range = Range1d(0, 1.1 * most)
    return fig


def _percent(axis: Any) -> None:
    axis.formatter = CustomJSTickFormatter(code=PERCENT)
    axis.ticker = BasicTicker(desired_num_ticks=3)
