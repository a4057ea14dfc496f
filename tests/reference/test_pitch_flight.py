"""Pitch flight against published figures and a reference table. See SOURCES.md."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import elevation, norm
from plane3d.physics.pitch import time_at_y
from plane3d.play import Play
from plane3d.units import DEGREE, FOOT, MPH, RPM
from tests.cases import inputs, thrown


def fastball(mph, rpm=2250.0):
    """Time (s), speed (mph) and descent (deg) at the front edge: release 55 ft out, 6 ft high; crossing at 2.5 ft."""
    pitch = thrown(mph, rpm)
    t = time_at_y(pitch, np.array([PLATE_FRONT_Y]))
    v = pitch.velocity_at(t)[0, 0]
    return float(t[0, 0]), float(norm(v)) / MPH, -float(elevation(v)) / DEGREE


@pytest.mark.parametrize(
    ("mph", "time", "plate_mph", "descent"),
    [(85, 0.4518, 77.5, 5.4), (90, 0.4266, 82.1, 5.1), (95, 0.4041, 86.6, 4.8), (100, 0.3839, 91.2, 4.6)],
)
def test_reference_table(mph, time, plate_mph, descent):
    got = fastball(mph)
    assert got[0] == pytest.approx(time, rel=3e-3)
    assert got[1] == pytest.approx(plate_mph, rel=3e-3)
    assert got[2] == pytest.approx(descent, abs=0.1)


@pytest.mark.parametrize("mph", [75, 80, 85, 90, 95, 100])
def test_a_fastball_loses_eight_to_ten_percent(mph):
    assert 0.08 < 1 - fastball(mph)[1] / mph < 0.10


def test_a_fastball_loses_about_a_mile_an_hour_every_seven_feet():
    lost = 90 - fastball(90)[1]
    assert (55 - PLATE_FRONT_Y / FOOT) / lost == pytest.approx(7, abs=0.5)


def test_95_to_100_mph_takes_about_four_tenths():
    assert fastball(95)[0] == pytest.approx(0.40, abs=0.02)
    assert fastball(100)[0] == pytest.approx(0.40, abs=0.02)


def test_94_mph_leaves_a_quarter_of_a_second_to_decide():
    """About 0.40 s to the plate; what is left once the swing itself is taken off is about 0.25 s."""
    shown = Play(inputs(speed=94 * MPH, spin=2250 * RPM, release_height=6 * FOOT, release_side=0.0))
    assert shown.result.pitch.flight_time == pytest.approx(0.40, abs=0.012)
    assert shown.result.pitch.flight_time - shown.result.swing.duration == pytest.approx(0.25, abs=0.02)


def test_descent_of_a_fastball_and_a_curve():
    """6 and 10 degrees are quoted; the release and height they belong to are not, so a degree and a half is allowed."""
    assert fastball(90)[2] == pytest.approx(6, abs=1.5)
    curve = thrown(78, 2500, 180 * DEGREE)
    v = curve.velocity_at(time_at_y(curve, np.array([PLATE_FRONT_Y])))[0, 0]
    assert -float(elevation(v)) / DEGREE == pytest.approx(10, abs=1.5)
