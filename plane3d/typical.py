"""Typical scatter and running speed by level of play, in coach units: starting values beside those of `levels`.

Nobody handed us a measurement of these. The scatters are our own choice, picked so that they narrow with age and so
that the model's misses and fouls look like what a coach sees; the running speeds are from memory, low confidence
(PHYSICS 11, "youth scale"). They are where to start, never a claim, and every screen that uses them says so.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Typical:
    """One level's typical hitter and fielder. Scatters are standard deviations from swing to swing.

    timing_ms, height_in, depth_in, along_in, bat_speed_mph : of the timing, of the barrel's height against the line,
        of where the ball is met, of the place along the barrel, of the bat speed; own choice
    attack_deg, bat_angle_deg : of the attack angle and of the vertical bat angle; own choice
    run_mph : full running speed, the middle of the band for the age; from memory, low confidence
    hands : chance of finishing a catch, or a throw with its catch, that a fielder gets to in time; own choice
    """

    timing_ms: float
    height_in: float
    depth_in: float
    along_in: float
    bat_speed_mph: float
    attack_deg: float
    bat_angle_deg: float
    run_mph: float
    hands: float


# fmt: off
TYPICAL: dict[str, Typical] = {
    "under-8":              Typical(22.0, 1.8, 4.0, 2.8, 3.2, 6.0, 7.0, 10.5, 0.60),
    "under-10":             Typical(18.0, 1.5, 3.5, 2.4, 3.0, 5.5, 6.5, 11.7, 0.70),
    "under-12":             Typical(15.0, 1.2, 3.0, 2.1, 2.8, 5.0, 6.0, 13.2, 0.80),
    "under-14":             Typical(12.0, 1.0, 2.5, 1.8, 2.6, 4.5, 5.5, 14.5, 0.87),
    "high-school":          Typical(10.0, 0.9, 2.2, 1.5, 2.4, 4.0, 5.0, 16.8, 0.93),
    "college":              Typical(8.5,  0.8, 1.9, 1.3, 2.2, 3.5, 4.5, 18.3, 0.96),
    "professional":         Typical(7.5,  0.7, 1.7, 1.2, 2.0, 3.0, 4.0, 19.5, 0.98),
    "softball-10":          Typical(19.0, 1.6, 3.5, 2.5, 3.0, 5.5, 6.5, 11.2, 0.65),
    "softball-12":          Typical(16.0, 1.3, 3.0, 2.2, 2.8, 5.0, 6.0, 12.5, 0.75),
    "softball-14":          Typical(13.0, 1.1, 2.6, 1.9, 2.6, 4.5, 5.5, 13.6, 0.83),
    "softball-high-school": Typical(11.0, 1.0, 2.3, 1.6, 2.4, 4.0, 5.0, 14.8, 0.90),
    "softball-college":     Typical(9.0,  0.9, 2.0, 1.4, 2.2, 3.5, 4.5, 16.1, 0.95),
}
# fmt: on
