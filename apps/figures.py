"""What all figures of the studies share: fonts and colours of the page, axes, outcomes by colour and shape."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bokeh.core.properties import value
from bokeh.models import ColumnDataSource, CustomJSTickFormatter, FixedTicker, Range1d, Whisker
from bokeh.plotting import figure

from plane3d.scene.strip import LOOKS

FONT = "system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif"
FIRST, SECOND = "#009E73", "#CC79A7"  # Okabe-Ito: the swing's colour of the stage, and one that means nothing there
HATCH = "right_diagonal_line"  # of the second, so that colour is never alone

# The shape of each outcome; its colour is that of the timing strip.
SHAPES = {
    "miss": "x", "foul-tip": "plus", "foul-back": "hex", "foul-pull": "triangle", "foul-opposite": "inverted_triangle",
    "ground-ball": "square", "line-drive": "circle", "fly-ball": "diamond", "pop-up": "star",
}  # fmt: skip
BARE = ("miss", "foul-tip")  # strokes without a fill
SIZES = range(12, 25)  # px that letters may have


@dataclass(frozen=True)
class Look:
    """How a viewer looks at the page: units, theme, size of letters in px."""

    metric: bool = False
    theme: str = "light"
    size: int = 15

    @property
    def ink(self) -> str:
        return "#e8edf2" if self.theme == "dark" else "#1f2933"

    @property
    def quiet(self) -> str:
        return "#b3bfca" if self.theme == "dark" else "#52606d"

    @property
    def line(self) -> str:
        return "#46535f" if self.theme == "dark" else "#c3ccd5"

    @property
    def paper(self) -> str:
        return "#1c242c" if self.theme == "dark" else "#ffffff"


def looked(look: Look, wanted: Mapping[str, Any]) -> Look:
    """A look with some of it changed; what is not known stays as it is."""
    allowed: dict[str, Any] = {"metric": (False, True), "theme": ("light", "dark"), "size": SIZES}
    return replace(look, **{name: value for name, value in wanted.items() if value in allowed.get(name, ())})


def plain(look: Look, **given: Any) -> Any:
    """A figure without tools, in the page's own letters and colours, as wide as its place."""
    options: dict[str, Any] = {"sizing_mode": "stretch_width", "toolbar_location": None, "tools": ""}
    fig = figure(**options | given)
    fig.background_fill_color = fig.border_fill_color = None
    fig.outline_line_color = None
    fig.grid.grid_line_color = look.line
    for axis in fig.axis:
        axis.axis_line_color = axis.major_tick_line_color = look.quiet
        axis.minor_tick_line_color = None
        axis.major_label_text_color = axis.axis_label_text_color = look.ink
        axis.major_label_text_font = axis.axis_label_text_font = FONT
        axis.major_label_text_font_size = axis.axis_label_text_font_size = f"{look.size - 1}px"
        axis.axis_label_text_font_style = "normal"
    return fig


def place(look: Look, across: tuple[float, float], up: tuple[float, float]) -> Any:
    """A figure of a place to scale: nothing but what is drawn, as wide as its place, at a fixed shape."""
    fig = plain(
        look,
        x_range=Range1d(*across),
        y_range=Range1d(*up),
        aspect_ratio=(across[1] - across[0]) / (up[1] - up[0]),
        x_axis_type=None,
        y_axis_type=None,
        min_border=0,
    )
    fig.grid.visible = False
    return fig


def words(look: Look, fig: Any, x: Sequence[float], y: Sequence[float], text: Sequence[str], **given: Any) -> None:
    """Words in a figure."""
    fig.text(
        x=x,
        y=y,
        text=text,
        **{
            "text_color": look.ink,
            "text_font": value(FONT),
            "text_font_size": f"{look.size - 2}px",
            "text_align": "center",
            "text_baseline": "middle",
            "level": "overlay",
        }
        | given,
    )


def dots(look: Look, fig: Any, points: Mapping[str, tuple[Sequence[float], Sequence[float]]]) -> None:
    """Balls as points by outcome kind, each kind in its colour and shape; the rarest are drawn last."""
    for kind in sorted(points, key=lambda kind: -len(points[kind][0])):
        x, y = points[kind]
        bare = kind in BARE
        fig.scatter(
            x=x,
            y=y,
            marker=SHAPES[kind],
            size=look.size * 0.42,
            fill_color=None if bare else LOOKS[kind].color,
            line_color=look.quiet if bare else look.ink,
            line_width=1.6 if bare else 0.6,
            fill_alpha=0.8,
            line_alpha=0.8,
        )


def bars(look: Look, fig: Any, at: Sequence[float], shares: Sequence[tuple[float, float]], **given: Any) -> None:
    """Level bars in percent at heights, each with its standard error."""
    values = [100 * share for share, _ in shares]
    lower, upper = ([100 * (s + sign * e) for s, e in shares] for sign in (-1, 1))
    fig.hbar(y=at, left=0, right=values, **{"line_color": look.ink, "line_width": 0.8} | given)
    whiskers(look, fig, at, lower, upper)


def whiskers(
    look: Look,
    fig: Any,
    at: Sequence[float],
    lower: Sequence[float],
    upper: Sequence[float],
    dimension: str = "width",
) -> None:
    """Error bars: level, or upright with the dimension "height"."""
    source = ColumnDataSource({"base": at, "lower": lower, "upper": upper})
    ends = Whisker(source=source, base="base", lower="lower", upper="upper", dimension=dimension, level="overlay")
    ends.line_color = ends.upper_head.line_color = ends.lower_head.line_color = look.ink
    ends.line_width, ends.upper_head.size, ends.lower_head.size = 1.5, 8, 8
    fig.add_layout(ends)


def named_rows(fig: Any, names: Sequence[str]) -> list[float]:
    """Rows with names from the top down; where each stands."""
    at = [float(len(names) - i) for i in range(len(names))]
    fig.y_range = Range1d(0.4, len(names) + 0.6)
    fig.yaxis.ticker = FixedTicker(ticks=at)
    fig.yaxis.major_label_overrides = dict(zip(at, names, strict=True))
    fig.ygrid.visible = False
    fig.yaxis.major_tick_line_color = None
    return at


def degrees(axis: Any) -> None:
    """Write the numbers of an axis as angles."""
    axis.formatter = CustomJSTickFormatter(code='return String(tick).replace("-", "\\u2212") + "\\u00b0"')
