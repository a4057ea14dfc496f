"""What the trade expects of a high-school swing: climbing 12 deg, bat tilted 30 deg, 70 mph, at an 80-mph fastball.

Common practice, no source, unless a line says otherwise. Figures measured here stand beside each. What has a figure of
its own to be held against is a row of trade.py.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import spearmanr

from plane3d.frames import norm, side_sign
from plane3d.inputs import Held
from plane3d.play import play, play_many
from plane3d.studies.contact_map import contact_map, dip, road, window
from plane3d.units import DEGREE, INCH
from tests.cases import inputs
from tests.reference.trade import TIMING, tilted

SIDES = pytest.mark.parametrize("bats", ["right", "left"])


@SIDES
@pytest.mark.parametrize("over", [0.5, 1.0])
def test_over_the_ball_is_a_ground_ball(bats, over):
    assert play(inputs(bats, below_line=-over * INCH)).result.outcome.kind == "ground-ball"


@SIDES
@pytest.mark.parametrize("below", [2.8, 2.9, 3.0, 3.1])
def test_about_three_inches_under_goes_backwards(bats, below):
    shown = play(inputs(bats, below_line=below * INCH))
    assert shown.result.meeting.undercut / INCH == pytest.approx(below * 0.853, abs=0.03)
    assert 2.37 < shown.result.meeting.undercut / INCH < 2.7
    assert shown.plays.blow.velocity[0, 1] < 0
    assert shown.result.outcome.kind in ("foul-back", "foul-tip")


@SIDES
def test_four_inches_under_is_a_clean_miss(bats):
    answer = play(inputs(bats, below_line=4 * INCH)).result
    assert (answer.outcome.kind, answer.meeting.miss) == ("miss", "under")
    assert answer.meeting.closest > 0.5 * INCH


@SIDES
def test_late_goes_opposite_and_deeper_early_goes_pull_and_further_in_front(bats):
    timing = np.arange(-12, 13, 4) * 1e-3
    plays = play_many(inputs(bats, timing=timing, below_line=0.3 * INCH))
    assert np.all(np.diff(side_sign(bats) * plays.spray_angle) > 3 * DEGREE)
    assert np.all(np.diff(plays.met[0][:, 1]) < -1.5 * INCH)


@SIDES
@pytest.mark.parametrize("late_ms", [11, 12])
def test_one_inch_under_and_eleven_milliseconds_late_is_foul_to_the_opposite_side(bats, late_ms):
    assert play(inputs(bats, below_line=1 * INCH, timing=late_ms * 1e-3)).result.outcome.kind == "foul-opposite"


def test_a_swing_that_starts_ten_milliseconds_late_is_not_yet_foul():
    """Ball and barrel close in on each other, which makes up half of it: see the rows of trade.py."""
    plays, late = tilted(0.0), np.abs(TIMING - 0.010).argmin()
    assert plays.fair[late]
    assert 14 * DEGREE < plays.spray_angle[late] < 26 * DEGREE


def some_swings(bats, n=300):
    """Ordinary swings of many kinds, on time and near the line, each pointed so that it travels at centre field."""
    rng = np.random.default_rng(3)
    climb, tilt = rng.uniform(0, 22, n) * DEGREE, rng.uniform(15, 35, n) * DEGREE
    return inputs(
        bats,
        attack_angle=climb,
        vertical_bat_angle=tilt,
        bat_direction=np.arcsin(np.tan(climb) * np.tan(tilt)),
        below_line=rng.uniform(-0.3, 0.3, n) * INCH,
        plate_height=rng.uniform(0.5, 0.95, n),
        release=rng.uniform(0.045, 0.09, n),
    )


@SIDES
def test_a_deep_dip_means_a_short_window(bats):
    """Measured: more than 4 in of dip leaves 12 in at most; no swing that dips 1 to 2 in has less than 18 in."""
    cmap = contact_map(play_many(some_swings(bats)))
    length, deep = window(cmap).length / INCH, dip(cmap) / INCH
    assert (deep > 4).sum() > 40
    assert length[deep > 4].max() < 14 < 16 < length[(deep > 1) & (deep < 2)].min()
    dipping = deep > 1
    assert spearmanr(deep[dipping], length[dipping]).statistic < -0.9


@SIDES
@pytest.mark.parametrize(("timing_ms", "side"), [(14, "opposite"), (-14, "pull")])
def test_met_deep_goes_opposite_or_foul_and_far_in_front_to_the_pull_side(bats, timing_ms, side):
    """The same swings 14 ms late meet the ball 8 to 9 in deeper, 14 ms early 8 to 9 in further in front.

    Measured: 97 % and more of them are foul or over 10 deg to that side, and every fair ball goes further to that
    side than on time.
    """
    toward = side_sign(bats) * (1 if side == "opposite" else -1)
    asked = some_swings(bats)
    on_time = play_many(asked)
    plays = play_many(replace(asked, swing=replace(asked.swing, timing=timing_ms * 1e-3)))
    hit = plays.meeting.touch & on_time.meeting.touch
    assert hit.mean() > 0.9
    further = (plays.met[0][:, 1] - on_time.met[0][:, 1])[hit] * (-1 if side == "opposite" else 1)
    assert 8 * INCH < further.min() <= further.max() < 9.5 * INCH
    angle = toward * plays.spray_angle / DEGREE
    assert np.mean(~plays.fair[hit] | (angle[hit] > 10)) > 0.95
    fair = hit & plays.fair
    assert fair.sum() > 80
    assert np.all(angle[fair] > toward * on_time.spray_angle[fair] / DEGREE)
    assert f"foul-{side}" in plays.kind[hit]
    assert f"foul-{'pull' if side == 'opposite' else 'opposite'}" not in plays.kind[hit]


RELEASES = np.array([0.060, 0.080, 0.100, 0.120, 0.140])  # s before contact at which the hinge opens, late to early


@SIDES
def test_opening_the_hinge_early_lengthens_the_way_round(bats):
    """Measured: the sweet spot's way in plan grows from 60 to 71 in, its bulge outside the straight line by half."""
    plays = play_many(inputs(bats, release=RELEASES))
    s = plays.swing.duration[:, None] * np.linspace(-1.0, 0.0, 400)
    knob, axis = plays.swing.pose(s)
    plan = (knob + plays.inputs.bat.sweet_spot * axis)[..., :2]
    way = norm(np.diff(plan, axis=1)).sum(axis=1)
    assert np.all(np.diff(way) > 0)
    assert way[-1] > 1.15 * way[0]
    around = road(plays).around
    assert np.all(np.diff(around) > 0) and around[-1] > 1.4 * around[0]


@SIDES
@pytest.mark.parametrize("late_ms", [8, 12])
def test_opening_the_hinge_early_costs_reach_inside(bats, late_ms):
    """A swing made for the middle is held, and the pitch comes 3 in inside, the hitter late on it.

    At contact the swings are alike, so what is lost is lost on the way: the barrel of an early release comes from
    further outside, and the ball is met nearer the hands and weaker. Measured, 12 ms late, right-handed: 3.3 to 4.2 in
    from the sweet spot, 71 to 63 mph.
    """
    asked = inputs(bats, release=RELEASES, attack_angle=8 * DEGREE, below_line=0.3 * INCH)
    pitch = replace(asked.pitch, plate_side=-side_sign(bats) * 3 * INCH)
    swing = replace(asked.swing, timing=late_ms * 1e-3)
    plays = play_many(replace(asked, held=Held(asked.pitch, asked.swing), pitch=pitch, swing=swing))
    assert plays.meeting.touch.all()
    along = plays.met[2]
    assert np.all(np.diff(along) < -0.05 * INCH)
    assert along[-1] < along[0] - 0.4 * INCH
    assert np.all(np.diff(plays.exit_speed) < 0)
    # 10 in before contact its barrel stands further from the hitter; to square, both are at the same place.
    s = plays.swing.duration[:, None] * np.linspace(-0.3, 0.0, 400)
    knob, axis = plays.swing.pose(s)
    spot = knob + plays.inputs.bat.sweet_spot * axis
    side = [side_sign(bats) * np.interp(way[-1, 1] - 10 * INCH, way[:, 1], way[:, 0]) for way in spot]
    assert np.all(np.diff(side) > 0) and side[-1] - side[0] > 0.6 * INCH
