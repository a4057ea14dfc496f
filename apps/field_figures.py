"""Figures of places, to scale: the field seen from above, the barrel seen from the side, the strike zone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from bokeh.models import BoxAnnotation

from apps.figures import Look, dots, place, words
from plane3d import units
from plane3d.frames import Array
from plane3d.inputs import Bat, Field
from plane3d.language import trc
from plane3d.physics.field import LINE_BEARING, fence_distance
from plane3d.quantities import unit_name
from plane3d.scene.style import CONTACT_WINDOW, DIRT, GRASS, THEMES, WOOD

SHOWN = 2000  # plays drawn; more would only make one blot
RINGS = {False: (100, 200, 300, 400, 500), True: (25, 50, 75, 100, 125, 150)}  # ft, m: distances written on the field
OFF_TIP, TOWARD_HANDS, ACROSS = 7.0, 13.0, 5.4  # in of the picture of the barrel, from the sweet spot
SECTION = 3.1  # in from its left edge to the middle of the barrel's cross-section
ROUND = np.linspace(0, 2 * np.pi, 73)
SAFE_COLORS = ("#f7fbff", "#2171b5")  # no chance, a sure hit


def field(look: Look, asked: Field, farthest: float = 0.0) -> Any:
    """The field from above, home plate below, in ft or m: fair ground to the fence, foul lines, bases, distances.

    farthest : m from the plate that must fit in
    """
    unit = 1.0 if look.metric else units.FOOT
    bearing = np.linspace(-LINE_BEARING, LINE_BEARING, 61)
    fence = fence_distance(bearing, asked.fence_line, asked.fence_centre) / unit
    x, y = fence * np.sin(bearing), fence * np.cos(bearing)
    half = 1.12 * float(x.max())
    top = max(1.07 * float(y.max()), min(farthest, 1.3 * asked.fence_centre) / unit)
    fig = place(look, (-half, half), (-0.13 * float(y.max()), top))
    repaint = THEMES[look.theme].repaint
    fig.patch(x=[0, *x, 0], y=[0, *y, 0], color=repaint.get(GRASS, GRASS))
    base = asked.base / unit / np.sqrt(2)
    fig.patch(x=[0, base, 0, -base], y=[0, base, 2 * base, base], color=repaint.get(DIRT, DIRT))
    fig.line(x=[x[0], 0, x[-1]], y=[y[0], 0, y[-1]], color=look.ink, line_width=1.5)
    fig.line(x=x, y=y, color=look.ink, line_width=4)
    for ring in RINGS[look.metric]:
        if 2.2 * base < ring < 0.97 * y.max():
            fig.line(x=ring * np.sin(bearing), y=ring * np.cos(bearing), color=look.quiet, line_dash="dotted")
            name = f"{ring} {unit_name('m' if look.metric else 'ft')}"
            words(
                look, fig, [0], [ring], [name], background_fill_color=look.paper, background_fill_alpha=0.7, padding=2
            )
    side = 0.03 * half
    fig.rect(x=[base, 0, -base, 0], y=[base, 2 * base, base, 0], width=side, height=side, angle=np.pi / 4,
             fill_color="#ffffff", line_color="#1f2933")  # fmt: skip
    return fig


def landings(look: Look, asked: Field, kind: Array, landing: Array) -> tuple[Any, int]:
    """Where balls come down on the field by kind, and how many of them lie outside the picture.

    kind : (n,) outcomes; landing : (n, 2) m; misses and balls never touched are left out
    """
    some = np.flatnonzero((kind != "miss") & (kind != "") & np.isfinite(landing).all(axis=1))
    fair = some[~np.char.startswith(kind[some], "foul")]
    fig = field(look, asked, 1.03 * float(landing[fair, 1].max(initial=0.0)))
    x, y = (landing[some] / (1.0 if look.metric else units.FOOT)).T
    dots(look, fig, {str(k): (x[kind[some] == k], y[kind[some] == k]) for k in np.unique(kind[some])})
    inside = (np.abs(x) <= fig.x_range.end) & (y >= fig.y_range.start) & (y <= fig.y_range.end)
    return fig, int(np.sum(~inside))


def band(look: Look, asked: Field, landing: Array, chance: Array, fielders: Array) -> Any:
    """Where the balls to train for come down, coloured by the chance of a hit, and where fielders stand."""
    unit = 1.0 if look.metric else units.FOOT
    fig = field(look, asked, 1.03 * float(landing[:, 1].max()))
    fig.scatter(x=landing[:, 0] / unit, y=landing[:, 1] / unit, size=look.size * 0.55, line_color="#1f2933",
                line_width=0.6, fill_color=[shade(value) for value in chance])  # fmt: skip
    fig.scatter(x=fielders[:, 0] / unit, y=fielders[:, 1] / unit, marker="square_x", size=look.size, line_width=2,
                line_color=look.ink, fill_color=look.paper)  # fmt: skip
    return fig


def shade(chance: float) -> str:
    """The colour of a chance."""
    ends = [np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)]) for color in SAFE_COLORS]
    mixed = np.round(ends[0] + (ends[1] - ends[0]) * float(np.clip(chance, 0, 1))).astype(int)
    return "#" + "".join(f"{part:02x}" for part in mixed)


def cloud(look: Look, bat: Bat, ball: float, kind: Array, offset: Array) -> Any:
    """Each ball's centre where it met or passed the barrel, the barrel lying level, to scale.

    ball : radius, m; offset : (n, 2) m, along the barrel from the sweet spot and across it, ball higher positive
    """
    unit = units.CENTIMETRE if look.metric else units.INCH
    inch = units.INCH / unit
    along, radius = (bat.station - bat.sweet_spot) / unit, bat.radius / unit
    barrel, ball = float(np.interp(bat.sweet_spot, bat.station, bat.radius)) / unit, ball / unit
    fig = place(look, (-TOWARD_HANDS * inch, OFF_TIP * inch), (-ACROSS * inch, ACROSS * inch))
    left = (-TOWARD_HANDS + SECTION) * inch
    seen = along > left + 1.1 * (barrel + 2 * ball)
    along, radius = along[seen], radius[seen]
    fig.patch(x=[*along, *along[::-1]], y=[*radius, *-radius[::-1]], fill_color=WOOD, line_color=look.ink)
    for sign in (1, -1):
        fig.line(x=along, y=sign * (radius + ball), color=look.ink, line_dash="dashed", line_width=1.5)
    fig.line(x=[along[0], along[-1]], y=[0, 0], color=look.ink, line_dash="dotted")
    fig.line(x=[0, 0], y=[-barrel, barrel], color=look.ink, line_dash="dotted")
    dots(look, fig, {str(k): tuple(offset[kind == k].T / unit) for k in np.unique(kind)})
    fig.patch(x=left + barrel * np.cos(ROUND), y=barrel * np.sin(ROUND), fill_color=WOOD, line_color=look.ink)
    for sign in (1, -1):
        fig.patch(x=left + ball * np.cos(ROUND), y=sign * (barrel + ball) + ball * np.sin(ROUND), fill_color="#ffffff",
                  line_color="#1f2933")  # fmt: skip
        fig.scatter(x=[left], y=[sign * (barrel + ball)], marker="cross", size=8, line_color="#1f2933")
    _scale(look, fig, unit)
    return fig


def _scale(look: Look, fig: Any, unit: float) -> None:
    """A measure below the barrel, and the names of its ends."""
    y, length = fig.y_range.start * 0.86, 10 if look.metric else 4
    fig.line(x=[0, length], y=[y, y], color=look.ink, line_width=2)
    fig.scatter(x=[0, length], y=[y, y], marker="dash", angle=np.pi / 2, size=12, line_color=look.ink, line_width=2)
    name = f"{length} {unit_name('cm' if look.metric else 'in')}"
    words(look, fig, [length / 2], [y], [name], y_offset=-look.size * 0.75)
    top = fig.y_range.end * 0.9
    words(look, fig, [fig.x_range.end], [top], [trc("bat", "tip") + " →"], text_align="right", x_offset=-6)
    words(look, fig, [-5.3 * units.INCH / unit], [top], ["← " + trc("bat", "hands")], text_align="left")


Cells = Mapping[tuple[int, int], str]  # row from below, column from the third-base side: what is written there


def zones(
    look: Look, heights: tuple[tuple[float, float], ...], cells: tuple[Cells, ...], shades: Any, names: Any
) -> Any:
    """Strike zones side by side, to scale, as the catcher sees them: bottom and top, in; a text and a shade by ninth.

    names : for each zone, the names of its two sides from the left
    """
    wide, gap = 17.0, 7.0
    low, high = min(b for b, _ in heights), max(t for _, t in heights)
    fig = place(look, (-3, 2 * wide + gap + 3), (low - 5.5, high + 5))
    for who, (bottom, top) in enumerate(heights):
        left, tall = who * (wide + gap), (top - bottom) / 3
        for (row, column), text in cells[who].items():
            x, y = left + (column + 0.5) * wide / 3, bottom + (row + 0.5) * tall
            share = shades[who].get((row, column))
            fill = look.paper if share is None else shade(share)
            fig.rect(x=[x], y=[y], width=wide / 3, height=tall, fill_color=fill, line_color=look.ink)
            dark = share is not None and share > 0.85
            ink = look.ink if share is None else "#ffffff" if dark else "#1f2933"
            words(look, fig, [x], [y], [text], text_color=ink)
        words(look, fig, [left + wide / 2], [top + 2.4], [names[who][0]], text_font_style="bold")
        words(look, fig, [left], [bottom - 2.4], [names[who][1]], text_align="left", text_color=look.quiet)
        words(look, fig, [left + wide], [bottom - 2.4], [names[who][2]], text_align="right", text_color=look.quiet)
    return fig


def shaded_band(low: float, high: float, across: bool = True) -> BoxAnnotation:
    """The band to train for on an axis of launch angles."""
    ends = {"left": low, "right": high} if across else {"bottom": low, "top": high}
    return BoxAnnotation(**ends, fill_color=CONTACT_WINDOW, fill_alpha=0.22 if across else 0.0, line_color="#1f2933",
                         line_dash="dashed", line_width=2, level="annotation")  # fmt: skip
