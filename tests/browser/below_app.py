"""Stage, timing strip and flat views of a computed play: ``python -m tests.browser.below_app PORT``."""

from __future__ import annotations

import sys

import panel as pn

from apps.flat import FlatViews
from apps.stage import Stage
from apps.strip import Strip
from plane3d.play import Play, play
from plane3d.scene.describe import describe
from plane3d.scene.strip import describe_strip
from plane3d.units import INCH
from tests.cases import inputs


def play_of(below_in: float = 1.0, timing_ms: float = 0.0, release_s: float = 0.060, bats: str = "right") -> Play:
    """The play the page shows."""
    return play(inputs(bats, below_line=below_in * INCH, timing=timing_ms / 1e3, release=release_s))


class Quick(pn.widgets.FloatSlider):
    """Passes its value on after 10 ms of gathering instead of Panel's 50."""

    _debounce = 10


def page() -> pn.Column:
    """The page of one session; ``?bats=left`` for a left-handed hitter, ``?metric`` for metric units."""
    bats = pn.state.session_args.get("bats", [b"right"])[0].decode()
    metric = "metric" in pn.state.session_args
    first = play_of(bats=bats)
    stage = Stage(describe(first, metric=metric), height=420, sizing_mode="stretch_width")
    strip = Strip(sizing_mode="stretch_width")
    strip.show(describe_strip(first, metric=metric))
    below = Quick(name="Below the line, in", start=-5, end=5, value=1, step=0.5, sizing_mode="stretch_width")
    cast = pn.widgets.Checkbox(name="Hinge opens early")
    asked = pn.pane.Str("Asked: none")

    def show(*_: object) -> None:
        played = play_of(below.value, strip.timing_ms, 0.130 if cast.value else 0.060, bats)
        stage.show(describe(played, metric=metric))
        strip.show(describe_strip(played, metric=metric))

    def turn(event: object) -> None:
        timing = strip.timing_ms
        show()
        asked.object = f"Asked: {timing:g}"  # last, so that who reads it knows the answer has come

    below.param.watch(show, "value")
    cast.param.watch(show, "value")
    strip.param.watch(turn, "timing_ms")
    flat = FlatViews(metric=metric, sizing_mode="stretch_width")
    return pn.Column(pn.Row(below, cast, asked), stage, strip, flat, sizing_mode="stretch_width")


if __name__ == "__main__":
    pn.extension("vtk")
    pn.serve({"/": page}, port=int(sys.argv[1]), address="127.0.0.1", show=False, title="Below the stage")
