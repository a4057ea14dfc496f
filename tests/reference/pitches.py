"""Pitches: time, speed and descent at the plate."""

from __future__ import annotations

from functools import cache, partial

import numpy as np

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import elevation, norm
from plane3d.physics.pitch import time_at_y
from plane3d.play import Play
from plane3d.units import DEGREE, FOOT, MPH, RPM
from tests.cases import inputs, thrown
from tests.reference.row import Row

PROGRAM = "separate high-accuracy program, 55 ft out, 6 ft up, 2250 rpm, crossing at 2.5 ft"
TABLE = ((85, 0.4518, 77.5, 5.4), (90, 0.4266, 82.1, 5.1), (95, 0.4041, 86.6, 4.8), (100, 0.3839, 91.2, 4.6))


@cache
def fastball(mph: float, rpm: float = 2250.0, tilt: float = 0.0) -> tuple[float, float, float]:
    """Time (s), speed (mph) and descent (deg) at the front edge: release 55 ft out, 6 ft high; crossing at 2.5 ft."""
    pitch = thrown(mph, rpm, tilt)
    t = time_at_y(pitch, np.array([PLATE_FRONT_Y]))
    v = pitch.velocity_at(t)[0, 0]
    return float(t[0, 0]), float(norm(v)) / MPH, -float(elevation(v)) / DEGREE


@cache
def _pro() -> Play:
    return Play(inputs(speed=94 * MPH, spin=2250 * RPM, release_height=6 * FOOT, release_side=0.0))


def _lost(mph: float) -> float:
    return 100 * (1 - fastball(mph)[1] / mph)


def _feet_per_mph() -> float:
    return (55 - PLATE_FRONT_Y / FOOT) / (90 - fastball(90)[1])


def _decision(mph: float) -> float:
    """Time (s) from release to the start of a swing of 0.15 s that is on time."""
    return fastball(mph)[0] - 0.150


_table = partial(Row, source=PROGRAM, known="derived", basis="calculation", why="the table's own rounding, and the "
                 "ball's radius and the air to three digits")  # fmt: skip
_adair = partial(Row, known="read")

ROWS = (
    *(_table(f"{v} mph: time to the plate", "s", t, lambda v=v: fastball(v)[0], allowed=1e-3, own=5e-5)
      for v, t, _, _ in TABLE),
    *(_table(f"{v} mph: speed at the plate", "mph", p, lambda v=v: fastball(v)[1], allowed=0.15, own=0.05)
      for v, _, p, _ in TABLE),
    *(_table(f"{v} mph: descent at the plate", "deg", d, lambda v=v: fastball(v)[2], allowed=0.1, own=0.05)
      for v, _, _, d in TABLE),
    *(
        Row(
            f"{v} mph: speed lost on the way", "%", (8.0, 10.0), lambda v=v: _lost(v), "digest of Adair; the trade",
            "common practice", "calibrated",
        )
        for v in (75, 80, 85, 90, 95, 100)
    ),
    _adair(
        "90 mph: way on which 1 mph is lost", "ft", 7.0, _feet_per_mph, "digest of Adair", basis="calibrated",
        allowed=0.5, own=0.5,
    ),
    _adair(
        "95 mph: time to the plate, about 0.4", "s", 0.4, lambda: fastball(95)[0], "Adair, several texts",
        basis="independent", allowed=0.02, own=0.05,
    ),
    _adair(
        "100 mph: time to the plate, about 0.4", "s", 0.4, lambda: fastball(100)[0], "Adair, several texts",
        basis="independent", allowed=0.02, own=0.05,
    ),
    _adair(
        "90 mph: time to the plate", "s", 0.400, lambda: fastball(90)[0], "Adair, AAAS 2000 (two news texts)",
        basis="independent", allowed=0.005, own=0.0005, why="release point and crossing are not stated",
        miss="any ball that starts 55 ft out at 90 mph and loses a twelfth of it needs 0.42 s; his figure fits 95 mph",
    ),
    Row(
        "94 mph: time to the plate, about 0.40", "s", 0.40, lambda: _pro().result.pitch.flight_time, "the trade",
        "common practice", "independent", allowed=0.012, own=None, why="'about' 0.40: good to its last digit or so",
    ),
    Row(
        "94 mph: time left to decide, about a quarter", "s", 0.25,
        lambda: _pro().result.pitch.flight_time - _pro().result.swing.duration, "the trade", "common practice",
        "independent", allowed=0.02, own=None, why="'about' 0.25: good to its last digit or two",
    ),
    Row(
        "90 mph: the swing starts after", "s", 0.25, lambda: _decision(90), "digest of Adair", "read", "independent",
        allowed=0.03, own=None, why="his 90 mph takes 0.40 s, ours 0.427; otherwise the same",
    ),
    Row(
        "Fastball: descent at the plate", "deg", 6.0, lambda: fastball(90)[2],
        "Nathan, Optimizing the Swing (2015)", "as quoted", "independent", allowed=1.5, own=0.5,
        why="release and height are not stated; a foot of either is a degree",
    ),
    Row(
        "Curve, 78 mph: descent at the plate", "deg", 10.0, lambda: fastball(78, 2500.0, np.pi)[2],
        "Nathan, Optimizing the Swing (2015)", "as quoted", "independent", allowed=1.5, own=0.5,
        why="speed, spin, release and height are not stated",
    ),
)  # fmt: skip
