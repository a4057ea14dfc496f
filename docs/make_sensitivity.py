"""Writes docs/sensitivity.md and draws its picture from the model itself: `python docs/make_sensitivity.py`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from plane3d.scenario import load
from plane3d.scene.render import Picture, save
from plane3d.studies.coefficients import COEFFICIENTS
from plane3d.study import sensitivity, sure
from plane3d.study.sensitivity import Row
from plane3d.words import sentence

HERE = Path(__file__).parent
SCENARIO = HERE.parent / "scenarios" / "08-matched-swing.toml"
PANELS = (("launch_angle", "Launch angle, °"), ("exit_speed", "Exit speed, mph"), ("carry", "Carry, ft"))
MOST = 8  # bars of one panel
LESS, MORE, INK = "#56B4E9", "#0072B2", "#1f2933"

PAGE = """# What matters most, and how sure an answer is

Written by `python docs/make_sensitivity.py`; every figure is computed. The play is scenario 08, the matched swing:
"{sentence}"

`plane3d sensitivity FILE` tells the same of any scenario, `--by carry` puts it in the order of another answer,
`--json` prints every number. On the page, *How sure?* in the menu says it in a line under the result; `plane3d solve
--sure FILE` prints that line.

## Which inputs matter most

![Bars: by how much launch angle, exit speed and carry change with each input alone](images/sensitivity.png)

Each input alone is moved by a typical uncertainty, less and more, and played again in full. Steps of the swing are a
hitter's scatter from swing to swing at this level, all others how well a value is known at the field. Both are our own
choice, not a measurement. Where the outcome changes on the way, the last column says to what.

{inputs}

## How well the model's own coefficients are known

One standard deviation as a share of the value used. Where sources disagree it is that of an even spread over what they
say. The ball's size within the rule book acts as 1.6 % of drag, which the drag's own spread covers.

{known}

What each of them alone does to this play:

{laws}

## All of them at once

{draws:,} seeded draws of all coefficients, each a full play:

> {line}

Two of three draws lie within that range. It is small for the launch angle, since where ball and bat touch decides that
nearly alone: how well the contact itself is known matters far more, which is why the line also tells what a tenth of an
inch of barrel height makes. The range does not hold what the model leaves out ([the model](model.md)).
"""


def bars(found: sensitivity.Found) -> Picture:
    """Three panels of bars, each with what matters most for one answer."""
    figure = Figure(figsize=(12, 4.6), dpi=100, layout="constrained")
    canvas = FigureCanvasAgg(figure)
    for axes, (name, title) in zip(figure.subplots(1, 3), PANELS, strict=True):
        panel(axes, sensitivity.input_rows(found, name)[:MOST][::-1], name, title)
    handles, labels = figure.axes[0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="outside lower center", ncols=2, frameon=False)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3]


def panel(axes: Axes, rows: Sequence[Row], name: str, title: str) -> None:
    """The bars of one answer, the greatest on top."""
    at = np.arange(len(rows))
    for side, height, color, hatch, label in (
        ("down", 0.2, LESS, "", "a step less"),
        ("up", -0.2, MORE, "////", "a step more"),
    ):
        values = [getattr(row, side)[name] or 0.0 for row in rows]
        axes.barh(at + height, values, 0.38, color=color, hatch=hatch, edgecolor="white", label=label)
    axes.set_yticks(at, [f"{row.label} {row.step}" for row in rows])
    axes.axvline(0.0, color=INK, linewidth=0.8)
    axes.set_title(title, loc="left")
    axes.spines[["top", "right", "left"]].set_visible(False)
    axes.tick_params(axis="y", length=0)
    axes.grid(axis="x", color="#d9dee3", linewidth=0.7)
    axes.set_axisbelow(True)


def page(found: sensitivity.Found) -> str:
    """The document."""
    known = [[c.label, f"± {100 * c.spread:g} %", c.source, c.known] for c in COEFFICIENTS.values()]
    return PAGE.format(
        sentence=sentence(found.sure.result),
        inputs=changes("input", sensitivity.input_rows(found), found.sure.result.outcome.kind),
        known=table(["coefficient", "spread", "from", "how known"], known),
        laws=changes("coefficient", sensitivity.law_rows(found), found.sure.result.outcome.kind),
        draws=len(found.sure.sure.draws.kind),
        line=sure.line(found.sure),
    )


def changes(first: str, rows: Sequence[Row], kind: str) -> str:
    """Rows as a table."""
    heads = [first, "less and more by", "launch angle", "exit speed", "carry", "becomes"]
    return table(
        heads, [[row.label, row.step, *sensitivity.changes(row), sensitivity.becomes(row, kind)] for row in rows]
    )


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def studied() -> sensitivity.Found:
    return sensitivity.run(load(SCENARIO))


if __name__ == "__main__":
    answer = studied()
    save(bars(answer), HERE / "images" / "sensitivity.png")
    (HERE / "sensitivity.md").write_text(page(answer), encoding="utf-8")
