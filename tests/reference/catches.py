"""How far fielders get, and how soon runners, by the law of the target study."""

from __future__ import annotations

from functools import partial

import numpy as np

from plane3d.studies.target import REACTION, home_to_first, run_distance
from plane3d.typical import TYPICAL
from plane3d.units import FOOT, MPH
from tests.reference import batted
from tests.reference.row import Row

KAGAN = "Kagan, The Physics of Fielding: one measured catch"
PAGES = "pages, weak"


def _covered(seconds: float, mph: float) -> float:
    return float(run_distance(np.array([seconds]), mph * MPH)[0]) / FOOT


def _to_first(level: str, base_ft: float) -> float:
    return home_to_first(base_ft * FOOT, TYPICAL[level].run_mph * MPH)


def _on_a_fly() -> float:
    """Ground (ft) a professional covers while a ball hit at 100 mph and 30 deg is up."""
    return _covered(batted.carry(100 * MPH, 30.0)[1], TYPICAL["professional"].run_mph)


_read = partial(Row, known="read")

ROWS = (
    _read("First step after", "s", 0.37, lambda: REACTION, KAGAN, basis="calibrated", allowed=0.05, own=None,
          why="one fielder's; ours stands for all"),
    _read("Ground covered in 4.33 s at 20.7 mph", "ft", 82.0, lambda: _covered(4.33, 20.7), KAGAN, basis="calibrated",
          allowed=0.08, own=None, share=True, why="his way was 5 % longer than straight, ours is straight with an arm"),
    _read("Range on foot under a 100-mph fly, professional", "ft", (90.0, 150.0), _on_a_fly,
          f"{PAGES}: 90 usual, 110 good, 150 rare", basis="independent"),
    _read("Home to first, 90 ft, professional", "s", (4.0, 4.3), lambda: _to_first("professional", 90.0), PAGES,
          basis="independent", allowed=0.1, own=None, why="ours starts from rest; who has swung is already leaning"),
    _read("Home to first, 60 ft, college softball", "s", (2.7, 3.2), lambda: _to_first("softball-college", 60.0), PAGES,
          basis="independent", allowed=0.1, own=None, why="running speed from memory",
          miss="ours starts from rest and gathers speed like an outfielder: over a short base that costs half a "
               "second, so that the target study gives softball infielders too many outs"),
)  # fmt: skip
