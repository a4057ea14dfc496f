"""The stage alone with a computed play, and more page below it to scroll to: ``python -m tests.browser.play_app PORT``.

``?bats=left``, ``?colors=dark``, ``?figure`` and ``?below=`` (in) choose the scene; ``?theme`` would be Panel's own.
"""

from __future__ import annotations

import sys

import panel as pn

from apps.stage import Stage
from plane3d.play import Play, play
from plane3d.scene.describe import describe
from plane3d.scene.parts import Scene
from plane3d.units import INCH
from tests.cases import inputs


def play_of(bats: str = "right", below_in: float = 1.0) -> Play:
    """The play the page shows."""
    return play(inputs(bats, below_line=below_in * INCH))


def scene_of(bats: str = "right", below_in: float = 1.0, colors: str = "light", figure: bool = False) -> Scene:
    """Its scene."""
    return describe(play_of(bats, below_in), theme=colors, figure=figure)


def page() -> pn.Column:
    """The page of one session."""
    asked = {key: values[0].decode() for key, values in pn.state.session_args.items()}
    bats, below, colors = asked.get("bats", "right"), float(asked.get("below", 1.0)), asked.get("colors", "light")
    stage = Stage(scene_of(bats, below, colors, "figure" in asked), height=640, sizing_mode="stretch_width", margin=0)
    dark = pn.widgets.Button(name="Dark")
    dark.on_click(lambda _: stage.show(scene_of(bats, below, "dark")))
    left = pn.widgets.Button(name="Left-handed")
    left.on_click(lambda _: stage.show(scene_of("left", below, colors, "figure" in asked)))
    filler = pn.pane.HTML("<p>More page below.</p>", height=900)
    return pn.Column(stage, pn.Row(dark, left), filler, sizing_mode="stretch_width", margin=0)


if __name__ == "__main__":
    pn.extension("vtk")
    pn.serve({"/": page}, port=int(sys.argv[1]), address="127.0.0.1", show=False, title="A play")
