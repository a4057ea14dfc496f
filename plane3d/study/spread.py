"""Spread: thousands of plays of one swing with scatter; what comes of it, in coach units and in words."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import numpy as np

from plane3d import units
from plane3d.frames import Array
from plane3d.language import mark, tr
from plane3d.scenario import Scenario
from plane3d.studies import spread as study
from plane3d.studies.contact_map import SOLID_SHARE
from plane3d.studies.remedy import MIDDLE
from plane3d.study.scatter import TYPICAL_NOTE, Scatter, scatter
from plane3d.study.words import FAIR, SOLID, TOUCH, closing, number, numbers, percent, rows, share_block
from plane3d.words import KINDS, NAMES, Block, show

PLAYS, MOST_PLAYS = 10_000, 1_000_000
SEED = 1
MISS = mark("a miss")
POINTS = 2000  # plays whose landings and passes stand in the JSON; more would only make a picture slower
SIDES = {"pull": mark("fair balls to the pull side"), "middle": mark("fair balls up the middle"),
         "opposite": mark("fair balls to the opposite side")}  # fmt: skip


@dataclass(frozen=True)
class Found:
    """A scenario, the scatter laid over its swing, and what came of it in SI."""

    scenario: Scenario
    scatter: Scatter
    spread: study.Spread


def run(
    scenario: Scenario,
    asked: Scatter | None = None,
    plays: int = PLAYS,
    seed: int = SEED,
    progress: study.Progress | None = None,
) -> Found | None:
    """The study; None where ``progress`` (told the share done) returned False.

    asked : the scatter, or None for what is typical of the scenario's level

    Raises UnreachableError where the pitch or the swing cannot be made.
    """
    asked = asked or scatter(scenario.setting.level)
    answer = study.spread(scenario.to_inputs(), asked.to_si(), plays, seed, progress)
    return None if answer is None else Found(scenario, asked, answer)


def sides(spread: study.Spread) -> dict[str, Array]:
    """(n,) bool by where a fair ball goes, as the hitter says it."""
    return {
        "pull": spread.fair & (spread.goes < -MIDDLE),
        "middle": spread.fair & (np.abs(spread.goes) <= MIDDLE),
        "opposite": spread.fair & (spread.goes > MIDDLE),
    }


def speeds(spread: study.Spread) -> tuple[float, float]:
    """Median and best exit speed of the fair balls, m/s; NaN where there is none."""
    fair = spread.exit_speed[spread.fair]
    return (float(np.median(fair)), float(fair.max())) if len(fair) else (np.nan, np.nan)


def block(found: Found, points: int = POINTS) -> Block:
    """The answer as ``plane3d spread --json`` prints it. Shares run from 0 to 1, each with its standard error.

    points : of this many plays the landing and the pass at contact are listed, in the order of the draws
    """
    s = found.spread
    median, best = speeds(s)
    carry = s.carry[s.fair]
    return {
        "title": found.scenario.title,
        "plays": len(s),
        "seed": s.seed,
        "left_out": int(np.sum(~s.made)),
        "scatter": asdict(found.scatter) | {"typical": found.scatter.is_typical(found.scenario.setting.level)},
        "shares": {kind: share_block(value) for kind, value in s.shares().items()},
        "touch": share_block(s.share_of(s.touch)),
        "fair": share_block(s.share_of(s.fair)),
        "solid": share_block(s.share_of(s.solid)),
        "over_fence": share_block(s.share_of(s.over_fence & s.fair)),
        "sides": {name: share_block(s.share_of(good)) for name, good in sides(s).items()},
        "exit_speed": {
            "median_mph": number(median / units.MPH),
            "best_mph": number(best / units.MPH),
            "solid_from_mph": number(SOLID_SHARE * s.best / units.MPH),
        },
        "carry": {
            "median_ft": number(float(np.median(carry)) / units.FOOT, 1) if len(carry) else None,
            "longest_ft": number(float(carry.max()) / units.FOOT, 1) if len(carry) else None,
        },
        "points": _points(s, points),
    }


def _points(s: study.Spread, count: int) -> Block:
    """Columns of single plays: where each ball landed, and where it passed the barrel at contact."""
    some = np.flatnonzero(s.made)[:count]
    return {
        "kind": [str(kind) for kind in s.kind[some]],
        "landing_side_ft": numbers(s.landing[some, 0], units.FOOT, 1),
        "landing_out_ft": numbers(s.landing[some, 1], units.FOOT, 1),
        "along_barrel_in": numbers(s.offset[some, 0], units.INCH, 2),
        "below_line_in": numbers(s.offset[some, 1], units.INCH, 2),
    }


def headline(found: Found) -> str:
    """The answer in one sentence."""
    s = found.spread
    kind, share = next(iter(s.shares().items()))
    solid, _ = s.share_of(s.solid)
    return tr(
        "Of {plays} swings most often {kind}, {share} %; {solid} % are solid.",
        plays=f"{len(s):,}",
        kind=tr(KINDS.get(kind, MISS)),
        share=f"{100 * share[0]:.0f}",
        solid=f"{100 * solid:.0f}",
    )


def outcome_rows(found: Found) -> list[tuple[str, str]]:
    """Each outcome that came up with its share and standard error, commonest first."""
    return [(tr(NAMES[kind]), percent(share)) for kind, share in found.spread.shares().items()]


def contact_rows(found: Found, metric: bool = False) -> list[tuple[str, str]]:
    """How often the ball was touched, fair and solid, where fair balls went, and how fast and far."""
    s = found.spread
    flags = {TOUCH: s.touch, FAIR: s.fair, SOLID: s.solid, mark("over the fence"): s.over_fence & s.fair}
    shares = [(tr(name), percent(s.share_of(good))) for name, good in flags.items()]
    shares += [(tr(SIDES[name]), percent(s.share_of(good))) for name, good in sides(s).items()]
    if not s.fair.any():
        return shares
    median, best = (show("_mph", speed / units.MPH, metric) for speed in speeds(s))
    middle, longest = (show("_ft", float(f(s.carry[s.fair])) / units.FOOT, metric) for f in (np.median, np.max))
    return [
        *shares,
        (tr("exit speed of fair balls, median"), median),
        (tr("exit speed of fair balls, best"), best),
        (tr("carry of fair balls, median"), middle),
        (tr("carry of fair balls, longest"), longest),
    ]


def scatter_lines(asked: Scatter, level: str, metric: bool) -> list[str]:
    """The scatter as a part of a text."""
    note = [f"  {tr(TYPICAL_NOTE)}"] if asked.is_typical(level) else []
    return [tr("Scatter from swing to swing, one standard deviation"), *rows(asked.rows(metric)), *note]


def text(found: Found, metric: bool = False) -> str:
    """The answer to read, in coach units or metric."""
    s = found.spread
    lines = [tr(found.scenario.title), "", headline(found), ""]
    lines += scatter_lines(found.scatter, found.scenario.setting.level, metric)
    lines += ["", tr("What comes of it"), *rows(outcome_rows(found))]
    lines += ["", tr("Contact"), *rows(contact_rows(found, metric)), ""]
    if left := int(np.sum(~s.made)):
        lines.append(tr("{count} swings that cannot be made are left out.", count=f"{left:,}"))
    solid = show("_mph", SOLID_SHARE * s.best / units.MPH, metric)
    lines.append(tr("Solid: a fair ball of at least {speed}, 90 % of this swing's best.", speed=solid))
    lines.append(tr("Seed {seed}; behind ± stands the standard error.", seed=s.seed))
    return "\n".join([*lines, *closing()])
