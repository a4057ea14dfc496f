"""A page with nothing but the stage and a slider, for the browser tests: ``python -m tests.browser.stage_app PORT``."""

from __future__ import annotations

import sys

import panel as pn

from apps.stage import Stage
from tests.scene.fixture import scene


class QuickSlider(pn.widgets.FloatSlider):
    """Passes its value on after 10 ms of gathering instead of Panel's 50."""

    _debounce = 10


def page() -> pn.Column:
    """The page of one session; with ``?report`` the browser tells where its clock rests."""
    stage = Stage(scene(), report="report" in pn.state.session_args, sizing_mode="stretch_both", min_height=360)
    below = QuickSlider(name="Below the line, cm", start=-5, end=15, value=0, step=0.5, sizing_mode="stretch_width")
    miss = pn.widgets.Checkbox(name="Miss")

    def show(*_: object) -> None:
        stage.show(scene(below.value / 100, touch=not miss.value))

    below.param.watch(show, "value")
    miss.param.watch(show, "value")
    look = pn.widgets.Button(name="Look from above")
    look.on_click(lambda _: stage.look("above"))
    clock = pn.pane.Str(pn.bind(lambda time: f"Python's clock: {time}", stage.param.clock))
    away = pn.widgets.Button(name="Take the stage away")
    column = pn.Column(pn.Row(below, miss, look, clock, away), stage, sizing_mode="stretch_both")
    away.on_click(lambda _: column.remove(stage))
    return column


if __name__ == "__main__":
    pn.extension("vtk")
    pn.serve({"/": page}, port=int(sys.argv[1]), address="127.0.0.1", show=False, title="Stage")
