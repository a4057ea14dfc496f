"""Where balls fall safe: the catch law and what follows from it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plane3d.errors import UnreachableError
from plane3d.inputs import Held
from plane3d.levels import LEVELS
from plane3d.scenario import loads
from plane3d.studies.target import POSITIONS, Players, home_to_first, run_distance, target
from plane3d.typical import TYPICAL
from plane3d.units import DEGREE, FOOT, MPH


def hitter(level, swing=""):
    return loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n[swing]\n{swing}\n').to_inputs()


def players(level):
    return Players(TYPICAL[level].run_mph * MPH, TYPICAL[level].hands)


def chart(level, swing=""):
    return target(hitter(level, swing), players(level))


def test_one_measured_catch():
    """82 ft in 4.33 s at a top speed of 20.7 mph: Kagan, "The Physics of Fielding" (read). Within 8 %."""
    assert run_distance(np.array([4.33]), 20.7 * MPH)[0] / FOOT == pytest.approx(82, rel=0.08)


def test_home_to_first():
    """4.0 to 4.3 s over 90 ft are quoted for professionals (read, weak); the law of the catch gives it within 5 %."""
    assert 0.95 * 4.0 < home_to_first(90 * FOOT, 8.7) < 1.05 * 4.3


def test_nobody_moves_before_reacting():
    assert run_distance(np.array([0.0, 0.3]), 8.0) == pytest.approx([1.0, 1.0])  # an arm's length
    assert np.all(np.diff(run_distance(np.linspace(0, 6, 50), 8.0)) >= 0)


@pytest.mark.parametrize("level", LEVELS)
def test_chances_are_chances(level):
    found = chart(level)
    for part in (found.safe, found.out, found.over):
        assert np.all((part >= -1e-12) & (part <= 1 + 1e-12))
    assert found.safe + found.out + found.over == pytest.approx(np.ones_like(found.safe))
    low, high = found.band()
    assert found.launch_angle[0] <= low <= found.launch_angle[found.best()] <= high <= found.launch_angle[-1]


@pytest.mark.parametrize("level", ["under-8", "under-10", "under-12", "softball-10", "softball-12", "softball-14"])
def test_a_small_player_is_not_told_to_lift(level):
    """Common practice, no source: a slow bat should hit the ball low and on a line."""
    small = chart(level)
    assert small.over.max() == 0
    assert small.launch_angle[small.best()] < 20 * DEGREE
    assert small.band()[1] < 25 * DEGREE
    lifted = (small.launch_angle > 30 * DEGREE) & (small.launch_angle < 45 * DEGREE)
    line = (small.launch_angle > 5 * DEGREE) & (small.launch_angle < 20 * DEGREE)
    assert small.aimed()[lifted].max() < small.aimed()[line].max()


def test_a_strong_one_may_lift():
    """The same swing at 71 and at 80 mph on a professional field: what is best to aim at rises, because it leaves."""
    plain, strong = chart("professional"), chart("professional", "bat_speed_mph = 80")
    assert strong.launch_angle[strong.best()] > plain.launch_angle[plain.best()] + 5 * DEGREE
    assert strong.band()[1] > 25 * DEGREE
    at = [float(np.interp(28 * DEGREE, found.launch_angle, found.over.mean(axis=1))) for found in (plain, strong)]
    assert at[0] < 0.6 < 0.95 < at[1]


def test_faster_fielders_and_surer_hands_leave_fewer_gaps():
    """Caught balls only: who bats runs like the fielders, so a ball on the ground is a race between equals."""
    asked = hitter("high-school")
    flies = slice(30, None)
    slow, fast = (target(asked, Players(speed)).chance()[flies] for speed in (6.0, 9.0))
    assert np.all(fast <= slow + 1e-9)
    loose, sure = (target(asked, Players(7.5, hands)).aimed().max() for hands in (0.7, 1.0))
    assert sure < loose


def test_fielders_scale_with_the_field():
    small, large = chart("under-12"), chart("professional")
    names = list(POSITIONS)
    reach = {
        name: [float(np.hypot(*found.fielders[names.index(name)])) / FOOT for found in (small, large)] for name in names
    }
    assert reach["shortstop"][0] / reach["shortstop"][1] == pytest.approx(60 / 90)
    assert reach["centre field"][1] == pytest.approx(322)  # from memory, PHYSICS 11
    assert reach["centre field"][0] <= 322 * 200 / 400 + 1e-6
    assert small.fielders[names.index("right field")][0] > 0 > small.fielders[names.index("left field")][0]


def test_the_outfield_plays_in_on_who_cannot_reach_it():
    weak, strong = chart("high-school", "bat_speed_mph = 45"), chart("high-school", "bat_speed_mph = 78")
    depth = [float(np.hypot(*found.fielders[list(POSITIONS).index("centre field")])) for found in (weak, strong)]
    assert depth[0] < depth[1]


def test_a_held_swing_is_aimed_for_the_chart():
    plain = hitter("high-school")
    held = replace(plain, held=Held(replace(plain.pitch, plate_height=1.2), plain.swing))
    assert np.array_equal(target(plain, players("high-school")).out, target(held, players("high-school")).out)


def test_a_swing_that_hits_nothing_forward_is_one_sentence(monkeypatch):
    monkeypatch.setattr("plane3d.studies.target.AIM_HEIGHTS", np.linspace(4.0, 5.0, 9) * 0.0254)  # under every ball
    with pytest.raises(UnreachableError, match="hits no ball"):
        target(hitter("high-school"), players("high-school"))


@pytest.mark.parametrize("swing", ["attack_angle_deg = -20", "attack_angle_deg = 30\nvertical_bat_angle_deg = 50"])
def test_a_swing_at_the_end_of_its_range_has_a_chart(swing):
    found = chart("high-school", swing)
    assert len(found.launch_angle) > 5
    assert np.all(np.diff(found.launch_angle) > 0)
