"""Two pitches from one hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plane3d.physics.pitch import time_at_y
from plane3d.plays import make_pitch, medium_of
from plane3d.studies.tunnel import tunnel
from plane3d.units import INCH, MPH
from tests.cases import FASTBALL, inputs

SETTING = inputs().setting
MEDIUM = medium_of(SETTING)


def pitch(**changes):
    return make_pitch(MEDIUM, replace(FASTBALL, **changes))


def test_a_pitch_against_itself_is_never_apart():
    same = tunnel(pitch(), pitch(), 0.3)
    assert np.abs(same.apart).max() == 0
    assert np.abs(same.behind).max() == 0
    assert same.arrives_later == 0


def test_a_slower_pitch_arrives_later_and_falls_behind():
    slow = tunnel(pitch(), pitch(speed=70 * MPH), 0.3)
    # 55 ft at about 77 and 67 mph mean speed: 64 ms apart (kinematics)
    assert slow.arrives_later == pytest.approx(0.066, abs=0.006)
    assert np.all(np.diff(slow.behind) > 0)


def test_the_decision_comes_a_swing_before_the_plate():
    first = pitch()
    arrival = float(time_at_y(first, np.array([0.4318]))[0, 0])
    pair = tunnel(first, pitch(spin_tilt=np.pi), arrival - 0.15)
    assert pair.decision_time == pytest.approx(arrival - 0.15)
    # The same place over the plate, so the difference seen on the way is a bulge: largest in the middle.
    assert pair.apart[-1] < 0.5 * INCH < 2 * INCH < pair.apart.max()
    assert 0 < pair.apart_then <= pair.apart.max()
