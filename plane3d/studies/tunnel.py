"""Two pitches from one hand: how long they look alike, and how far apart in time they arrive."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import Array
from plane3d.physics.flight import Flight
from plane3d.physics.pitch import time_at_y

MOMENTS = 161


@dataclass(frozen=True)
class Tunnel:
    """Two pitches compared at equal times after release.

    time : (m,) s, from release until the first of them is at the plate's front edge
    apart : (m,) m between the balls across the line from plate to pitcher: what a hitter can see of the difference
    behind : (m,) m the second ball is further from the plate
    decision_time : s, the latest moment a swing at the first pitch can start
    apart_then : m, `apart` at that moment
    arrives_later : s the second pitch needs more to the front edge
    """

    time: Array
    apart: Array
    behind: Array
    decision_time: float
    apart_then: float
    arrives_later: float


def tunnel(first: Flight, second: Flight, decision_time: float) -> Tunnel:
    """Compare two single pitches. ``decision_time`` : s, when a swing that is on time for the first must start."""
    edge = np.array([PLATE_FRONT_Y])
    arrival = [float(time_at_y(pitch, edge)[0, 0]) for pitch in (first, second)]
    time = np.linspace(0.0, min(arrival), MOMENTS)
    gap = (second.at(time[None]) - first.at(time[None]))[0]
    apart = np.hypot(gap[:, 0], gap[:, 2])
    decision = max(decision_time, 0.0)
    return Tunnel(time, apart, gap[:, 1], decision, float(np.interp(decision, time, apart)), arrival[1] - arrival[0])
