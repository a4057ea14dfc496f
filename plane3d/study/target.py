"""Target: the launch angles one hitter should train for, and the chart that says why."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plane3d import units
from plane3d.language import mark, tr
from plane3d.physics.field import FLY, GROUND, LINE
from plane3d.scenario import Scenario
from plane3d.studies import target as study
from plane3d.study.words import closing, number, numbers, table
from plane3d.typical import TYPICAL
from plane3d.words import Block, climb, show

LIFTED = 35.0  # deg, the high fly that is put beside the band in words
SLIVER = np.radians(2.0)  # less of the band than this is not worth a word
STEP = 5.0  # deg between the lines of the text
BALLS = {
    "ground-ball": mark("ground balls"), "line-drive": mark("line drives"), "fly-ball": mark("fly balls"),
    "pop-up": mark("pop-ups"),
}  # fmt: skip
HEADS = (mark("launch angle"), mark("exit speed"), mark("carry"), mark("safe"), mark("out"), mark("over the fence"))


@dataclass(frozen=True)
class Found:
    """A scenario and the chart of its hitter in SI."""

    scenario: Scenario
    target: study.Target


def run(scenario: Scenario) -> Found:
    """The chart of a scenario's hitter against its pitch, with players typical of its level.

    The swing aims at the pitch and is on time, whatever the scenario's own timing and height are.
    Raises UnreachableError where the swing cannot be made.
    """
    typical = TYPICAL[scenario.setting.level]
    players = study.Players(typical.run_mph * units.MPH, typical.hands)
    return Found(scenario, study.target(scenario.to_inputs(), players))


def band(found: Found) -> tuple[float, float]:
    """The launch angles to train for, deg."""
    low, high = found.target.band()
    return low / units.DEGREE, high / units.DEGREE


def kinds(found: Found) -> list[str]:
    """What the balls of the band are called, most of them first."""
    low, high = found.target.band()
    edges = {
        "ground-ball": (-np.pi, GROUND),
        "line-drive": (GROUND, LINE),
        "fly-ball": (LINE, FLY),
        "pop-up": (FLY, np.pi),
    }
    width = {kind: min(high, end) - max(low, start) for kind, (start, end) in edges.items()}
    most = sorted(width, key=lambda kind: -width[kind])
    return most[:1] + [kind for kind in most[1:] if width[kind] > SLIVER]


def headline(found: Found) -> str:
    """The advice in one sentence."""
    low, high = (climb(angle) for angle in band(found))
    named = [tr(BALLS[kind]) for kind in kinds(found)]
    balls = named[0] if len(named) == 1 else tr("{most}, then {rest}", most=named[0], rest=named[1])
    return tr("Train for launch angles between {low} and {high}: {balls}.", low=low, high=high, balls=balls)


def why(found: Found) -> str:
    """What the band gives, and what lifting the ball would."""
    t = found.target
    low, high = t.band()
    chance = t.chance()
    inside = (t.launch_angle >= low) & (t.launch_angle <= high)
    best, lifted = f"{100 * chance[inside].mean():.0f}", LIFTED * units.DEGREE
    if t.launch_angle[-1] < lifted:
        return tr("In that band {share} % get past the fielders.", share=best)
    share, over = (float(np.interp(lifted, t.launch_angle, v)) for v in (chance, t.over.mean(axis=1)))
    return tr(
        "In that band {share} % get past the fielders; lifted to {angle}, {lifted} % do, {over} % over the fence.",
        share=best,
        angle=climb(LIFTED),
        lifted=f"{100 * share:.0f}",
        over=f"{100 * over:.0f}",
    )


def block(found: Found) -> Block:
    """The answer as ``plane3d target --json`` prints it. Chances run from 0 to 1, rows by launch angle.

    ``chart.safe`` and the others have a list for each launch angle, with a chance for each spray angle.
    """
    t = found.target
    low, high = band(found)
    return {
        "title": found.scenario.title,
        "sentence": headline(found),
        "why": why(found),
        "band": {
            "from_deg": number(low, 1),
            "to_deg": number(high, 1),
            "best_deg": number(t.launch_angle[t.best()] / units.DEGREE, 1),
            "kinds": kinds(found),
        },
        "launch_angle_deg": numbers(t.launch_angle, units.DEGREE, 1),
        "spray_angle_deg": numbers(t.spray, units.DEGREE, 1),
        "exit_speed_mph": numbers(t.exit_speed, units.MPH, 1),
        "below_line_in": numbers(t.below_line, units.INCH, 2),
        "chance": numbers(t.chance(), 1.0, 4),
        "aimed_chance": numbers(t.aimed(), 1.0, 4),
        "chart": {
            "carry_ft": [numbers(row, units.FOOT, 0) for row in t.carry],
            **{name: [numbers(row, 1.0, 3) for row in getattr(t, name)] for name in ("safe", "out", "over")},
        },
        "fielders": {
            name: {"side_ft": number(x / units.FOOT, 0), "out_ft": number(y / units.FOOT, 0)}
            for name, (x, y) in zip(study.POSITIONS, t.fielders, strict=True)
        },
    }


def text(found: Found, metric: bool = False) -> str:
    """The answer to read: the advice, why, and a line for every few degrees."""
    lines = [(("* " if inside else "  ") + angle, *rest) for inside, (angle, *rest) in angle_rows(found, metric)]
    heads = [tr(head) for head in HEADS]
    return "\n".join([
        tr(found.scenario.title), "", headline(found), why(found), "",
        *table(("  " + heads[0], *heads[1:]), lines, first=0), "",
        tr("* the band to train for. Chances are averages over all fair directions."),
        tr("Running speeds and hands are typical of the level, from memory and our own choice, not a measurement."),
        *closing(),
    ])  # fmt: skip


def angle_rows(found: Found, metric: bool = False) -> list[tuple[bool, tuple[str, ...]]]:
    """A row under `HEADS` for every few degrees of launch angle, and whether it lies in the band to train for."""
    t, (low, high) = found.target, band(found)
    degrees = t.launch_angle / units.DEGREE
    rows = []
    for angle in np.arange(np.ceil(degrees[0] / STEP), np.floor(degrees[-1] / STEP) + 1) * STEP:
        row = int(np.abs(degrees - angle).argmin())
        speed = show("_mph", t.exit_speed[row] / units.MPH, metric)
        carry = show("_ft", float(np.median(t.carry[row])) / units.FOOT, metric)
        chances = (f"{100 * part[row].mean():.0f} %" for part in (t.safe, t.out, t.over))
        rows.append((bool(low <= angle <= high), (climb(angle), speed, carry, *chances)))
    return rows
