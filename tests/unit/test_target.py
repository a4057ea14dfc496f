"""Where balls fall safe: the catch law and what follows from it."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.scenario import loads
from plane3d.studies.target import run_distance, target
from plane3d.units import DEGREE, FOOT, MPH


def chart(level, fielder_speed):
    return target(loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n').to_inputs(), fielder_speed)


def test_one_measured_catch():
    """82 ft in 4.33 s at a top speed of 20.7 mph: Kagan, "The Physics of Fielding" (read). Within 8 %."""
    assert run_distance(np.array([4.33]), 20.7 * MPH)[0] / FOOT == pytest.approx(82, rel=0.08)


def test_nobody_moves_before_reacting():
    assert run_distance(np.array([0.0, 0.3]), 8.0) == pytest.approx([1.0, 1.0])  # an arm's length
    assert np.all(np.diff(run_distance(np.linspace(0, 6, 50), 8.0)) >= 0)


@pytest.mark.parametrize(("level", "speed"), [("under-12", 5.9), ("high-school", 7.5), ("professional", 8.7)])
def test_chances_are_chances(level, speed):
    found = chart(level, speed)
    for part in (found.safe, found.out, found.over):
        assert np.all((part >= -1e-12) & (part <= 1 + 1e-12))
    assert found.safe + found.out + found.over == pytest.approx(np.ones_like(found.safe))
    low, high = found.band()
    assert found.launch_angle[0] <= low <= high <= found.launch_angle[-1]


def test_a_small_player_is_not_told_to_lift():
    """Common practice, no source: a slow bat should hit liners; only a strong one leaves the park."""
    small, strong = chart("under-12", 5.9), chart("professional", 8.7)
    assert small.band()[1] < 20 * DEGREE
    assert small.over.max() == 0 < strong.over.max()
    high = small.launch_angle > 35 * DEGREE
    assert small.chance()[high].max() < 0.35 * small.chance().max()


def test_faster_fielders_leave_fewer_gaps():
    slow, fast = chart("high-school", 6.0), chart("high-school", 9.0)
    assert np.all(fast.chance() <= slow.chance() + 1e-12)
