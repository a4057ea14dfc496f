"""What the trade expects of a high-school swing: climbing 12 deg, bat tilted 30 deg, 70 mph, at an 80-mph fastball.

What is a direction rather than a figure (a late swing goes the other way) is tested but has no row: see the end.
"""

from __future__ import annotations

import math
from functools import cache, partial
from typing import Any

import numpy as np

from plane3d.frames import Array, norm, side_sign
from plane3d.play import Play, play, play_many
from plane3d.plays import Plays
from plane3d.units import DEGREE, INCH, MPH
from tests.cases import BALL, METAL, inputs, square_direction
from tests.reference.row import Row

MATCHED = {"attack_angle": 5.83 * DEGREE, "vertical_bat_angle": 0.0, "bat_direction": 0.0}
TIMING = np.arange(-0.028, 0.0301, 2e-4)  # s
TRADE = "the trade"
ADAIR = "digest of Adair: 10 ms"
_GAP = 4 * math.cos(math.pi / 6) - float(METAL.radius_at(METAL.sweet_spot) + BALL.radius) / INCH
_FASTER = "he speaks of faster bats: at 80 mph the edges come an eighth nearer"
_TILTED = "a tilted bat turns the ball up or down too, which shifts the fair stretch: 14 late, 10 early, 12 in the mean"


@cache
def _shown(bats: str, below_in: float) -> Play:
    return play(inputs(bats, below_line=below_in * INCH))


def _launch(bats: str, below_in: float) -> float:
    collision = _shown(bats, below_in).result.collision
    if collision is None:
        raise ValueError("no touch")
    return collision.launch_angle / DEGREE


def central(timing: Array, **swing: Any) -> Plays:
    """Plays at each timing in which the ball is met at the sweet spot and on the line, whenever it is met."""
    along, below = np.zeros_like(timing), np.zeros_like(timing)
    for _ in range(8):
        plays = play_many(inputs(timing=timing, along_barrel=along, below_line=below, **swing))
        _, off_line, off_sweet_spot = plays.met
        along, below = along - off_sweet_spot, below - off_line
    if max(np.abs(off_line).max(), np.abs(off_sweet_spot).max()) >= 1e-5:
        raise ValueError("the hits are not central")
    return plays


@cache
def tilted(degrees: float) -> Plays:
    """A swing that climbs as the pitch falls, central hits, timing in steps of 0.2 ms."""
    tilt, climb = degrees * DEGREE, MATCHED["attack_angle"]
    return central(
        TIMING, attack_angle=climb, vertical_bat_angle=tilt, bat_direction=square_direction(climb, tilt)
    )  # fmt: skip


def _foul_edge(degrees: float, side: int) -> int:
    """Number of the first foul play going late (side +1) or early (-1) from on time."""
    foul = np.flatnonzero(~tilted(degrees).fair)
    on_time = int(np.abs(TIMING).argmin())
    edge = int(foul[foul > on_time].min() if side > 0 else foul[foul < on_time].max())
    kind = "foul-opposite" if side > 0 else "foul-pull"
    if tilted(degrees).kind[edge] != kind:
        raise ValueError(f"the edge is no {kind}")
    return edge


def _own_clock(degrees: float, side: int) -> float:
    """How far from square (ms) the bat is when such a ball turns foul."""
    return abs(float(tilted(degrees).meeting.swing_time[_foul_edge(degrees, side)])) * 1e3


def _started(side: int) -> float:
    """How early or late (ms) a level swing has to start for a foul ball."""
    return abs(float(TIMING[_foul_edge(0.0, side)])) * 1e3


def _slope() -> float:
    """Spray (deg) per ms on the swing's own clock, level bat."""
    plays = tilted(0.0)
    near = np.abs(plays.meeting.swing_time) < 4e-3
    return -float(np.polyfit(plays.meeting.swing_time[near] * 1e3, plays.spray_angle[near] / DEGREE, 1)[0])


def _made_up() -> float:
    """Share of a late start that the swing's own clock sees, over u / (u + v) of ball and barrel."""
    plays, near = tilted(0.0), np.abs(TIMING) < 8e-3
    share = -float(np.polyfit(TIMING[near], plays.meeting.swing_time[near], 1)[0])
    u, v = float(norm(plays.meeting.ball_velocity)[near].mean()), 70 * MPH
    return share * (u + v) / u


def _spray_step(bats: str, tilted: bool) -> float:
    """Least turn to the opposite side (deg) for half an inch further under; the whole spread for a level bat."""
    below = np.array([-1.0, -0.5, 0.0, 0.5, 1.0]) * INCH
    swing = {} if tilted else {"vertical_bat_angle": 0.0, "bat_direction": 0.0}
    spray = side_sign(bats) * play_many(inputs(bats, below_line=below, **swing)).spray_angle / DEGREE
    return float(np.diff(spray).min() if tilted else np.ptp(spray))


_trade = partial(Row, source=TRADE, known="common practice", basis="independent")
_hands = tuple((bats, f", {bats}-handed") for bats in ("right", "left"))

ROWS = (
    *(row for bats, hand in _hands for row in (
        _trade(f"1 in below the line: launch, about 27{hand}", "deg", (24.0, 30.0),
               lambda bats=bats: _launch(bats, 1.0)),
        _trade(f"On the line: launch, low{hand}", "deg", (2.0, 12.0), lambda bats=bats: _launch(bats, 0.0)),
        _trade(f"1/2 in above the line: launch, a ground ball{hand}", "deg", (-math.inf, 10.0),
               lambda bats=bats: _launch(bats, -0.5)),
        _trade(f"1 in above the line: launch, a ground ball{hand}", "deg", (-math.inf, 10.0),
               lambda bats=bats: _launch(bats, -1.0)),
        Row(f"4 in below the line: gap of the clean miss{hand}", "in", _GAP,
            lambda bats=bats: _shown(bats, 4.0).result.meeting.closest / INCH,
            "rule of radii: 4 in times the cosine of 30°, less bat's and ball's", "derived", "calculation",
            allowed=0.05, own=None, why="the barrel also climbs and turns while the ball passes"),
        Row(f"3 in below the line: undercut of the ball that goes back{hand}", "in", (2.2, 2.75),
            lambda bats=bats: _shown(bats, 3.0).result.meeting.undercut / INCH, "rule of radii", "derived",
            "calculation"),
        Row(f"Turn to the opposite side per half inch under, tilted bat{hand}", "deg", (0.0, math.inf),
            lambda bats=bats: _spray_step(bats, True), "Nathan: undercut hits slice; geometry of a tilted bat",
            "as quoted", "independent"),
        Row(f"The same, level bat, from 1 in over to 1 in under{hand}", "deg", 0.0,
            lambda bats=bats: _spray_step(bats, False), "geometry of a level bat", "law", "calculation", allowed=3.0,
            own=None, why="the bat turns on while the ball is met a little deeper or earlier"),
    )),
    *(
        Row(f"{bat}, {when}: from square when it turns foul", "ms", 10.0,
            lambda degrees=degrees, side=side: _own_clock(degrees, side), f"{ADAIR} off is foul", "read",
            "independent", allowed=2.5, own=None, why=_FASTER, miss=_TILTED if (degrees, side) == (30.0, 1) else "")
        for bat, degrees in (("Level bat", 0.0), ("Bat tilted 30°", 30.0))
        for when, side in (("late", 1), ("early", -1))
    ),
    Row("Spray per ms on the swing's own clock, level bat", "deg/ms", 3.8, _slope, "separate program, 70 mph",
        "derived", "calculation", allowed=0.05, own=0.013, share=True, why="pitch speed not noted: 3.7 to 3.8"),
    Row("Late start: the part that the swing's own clock sees, over that of the law", "", 1.0, _made_up,
        "u / (u + v): ball at u and barrel at v close in on each other", "law", "calculation", allowed=0.05, own=None,
        share=True, why="the law is for straight motion; the bat turns"),
    Row("Swing started late: foul from", "ms", 10.0, lambda: _started(1), f"{ADAIR} late is foul",
        "read", "independent", allowed=2.5, own=None, why=_FASTER,
        miss="true of the moment of touch (above), not of the start: ball and barrel make up half of it by closing in; "
             "to be foul when started 10 ms late the bat would have to turn at about 90 rad/s"),
)  # fmt: skip
