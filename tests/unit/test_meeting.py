"""First touch and closest pass against brute force; the meshes of tests/reference are a second, independent check."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from plane3d.frames import dot, norm, side_sign
from plane3d.physics.meeting import surface_distance
from plane3d.play import Play, play_many
from plane3d.units import INCH
from tests.cases import BALL, METAL, inputs, random_asks

LOOK = 0.045  # s on either side of the swing's contact that brute force looks at
COARSE, FINE = 1e-4, 1e-6  # s


def profile_points(bat, spacing=5e-5):
    """Points (k, 2) along the bat's outline beyond the hands: along and away from the axis, m."""
    beyond = bat.station > bat.grip_end
    along = np.concatenate([[bat.grip_end], bat.station[beyond], [bat.length]])
    radius = np.concatenate([[bat.radius_at(bat.grip_end)], bat.radius[beyond], [0.0]])
    length = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(along), np.diff(radius)))])
    walk = np.unique(np.concatenate([length, np.arange(0.0, length[-1], spacing)]))
    return np.column_stack([np.interp(walk, length, along), np.interp(walk, length, radius)])


class BruteForce:
    """Gap between ball and bat by looking through a dense cloud of outline points; no formula of the library."""

    def __init__(self, plays):
        self.plays, self.bat = plays, plays.inputs.bat
        self.outline = cKDTree(profile_points(self.bat))

    def gap(self, i, t):
        """Gaps (m,) of play i at times t (m,) from release."""
        one = np.array([i])
        knob, axis = (a[0] for a in self.plays.swing.take(one).pose((t - self.plays.aim_time[i])[None]))
        reach = self.plays.pitch.take(one).at(t[None])[0] - knob
        along = (reach * axis).sum(axis=1)
        away = np.linalg.norm(np.cross(reach, axis), axis=1)
        distance = self.outline.query(np.column_stack([along, away]))[0]
        inside = (along > self.bat.grip_end) & (along < self.bat.length) & (away < self.bat.radius_at(along))
        return np.where(inside, -distance, distance) - BALL.radius

    def meet(self, i):
        """Whether play i is a touch, the time of the first touch or closest pass, and the smallest gap seen there."""
        start = self.plays.aim_time[i] + np.array([-LOOK, LOOK])
        t = np.arange(start[0], min(start[1], float(np.broadcast_to(self.plays.pitch.end, len(self.plays))[i])), COARSE)
        gap = self.gap(i, t)
        touch = bool((gap <= 0).any())
        k = (gap <= 0).argmax() if touch else gap.argmin()
        fine = np.arange(t[k] - 2 * COARSE, t[k] + (FINE if touch else 2 * COARSE), FINE)
        gap = self.gap(i, fine)
        touch = touch or bool((gap <= 0).any())
        k = (gap <= 0).argmax() if touch else gap.argmin()
        return touch, fine[k], gap[k]


@pytest.fixture(scope="module")
def plays():
    return play_many(inputs(**random_asks(np.random.default_rng(1), 200)))


@pytest.fixture(scope="module")
def forced(plays):
    force = BruteForce(plays)
    return [force.meet(i) for i in range(len(plays))]


def test_touch_or_miss_as_brute_force_says(plays, forced):
    assert np.array_equal(plays.meeting.touch, [touch for touch, _, _ in forced])
    assert 0.05 < np.mean(~plays.meeting.touch) < 0.4


def test_first_touch_to_better_than_a_hundredth_of_a_millisecond(plays, forced):
    error = np.array([abs(t - plays.meeting.time[i]) for i, (touch, t, _) in enumerate(forced) if touch])
    assert error.max() < 3e-6  # steps of 1e-6 s; the promise is 1e-5


def test_closest_pass_of_a_miss(plays, forced):
    miss = [(i, gap) for i, (touch, _, gap) in enumerate(forced) if not touch]
    found = plays.meeting.gap[[i for i, _ in miss]]
    assert found == pytest.approx([gap for _, gap in miss], abs=1e-6)
    assert np.all(found > 0)
    assert np.all(plays.meeting.gap[plays.meeting.touch] == 0)


def test_grazes_are_decided_to_a_hundredth_of_a_millimetre():
    """Barrel lowered in steps of 0.01 mm through the last touch: brute force changes its mind at the same step."""
    edge = np.linspace(3.0, 3.2, 400) * INCH
    touch = play_many(inputs(below_line=edge)).meeting.touch
    last = np.flatnonzero(touch)[-1]
    assert touch[: last + 1].all() and not touch[last + 1 :].any()
    around = edge[last] + np.array([-1e-5, 1e-5])
    force = BruteForce(play_many(inputs(below_line=around)))
    assert [force.meet(i)[0] for i in range(2)] == [True, False]


def test_geometry_of_a_touch(plays):
    """At a touch the ball's centre is one radius off the surface along the normal, and the ball is closing in."""
    m, hit = plays.meeting, plays.meeting.touch
    assert norm(m.normal) == pytest.approx(np.ones(200), abs=1e-12)
    surface_velocity = m.knob_velocity + np.cross(m.bat_spin, m.ball - BALL.radius * m.normal - m.knob)
    assert np.all(dot(m.ball_velocity - surface_velocity, m.normal)[hit] < 0)
    assert np.all(dot(m.offset, m.axis)[hit & (m.place < METAL.length)] < 1e-9)
    across = m.across()
    assert np.abs(dot(across, m.axis)).max() < 1e-12
    assert np.abs(dot(across, m.relative_velocity)).max() < 1e-9
    assert np.all(across[:, 2] >= 0)
    assert np.all(np.abs(m.undercut()[hit]) < METAL.radius.max() + BALL.radius)


def test_contact_limit_is_the_sum_of_the_radii():
    """Rule of radii (derived from rule-book sizes): 2.765 in for a 2 5/8-in barrel. Undercut decides, not height."""
    below = np.linspace(0, 4, 401) * INCH
    plays = play_many(inputs(below_line=below, along_barrel=4 * INCH))  # where this barrel is at its widest
    last = plays.meeting.undercut()[plays.meeting.touch].max() / INCH
    assert (BALL.radius + METAL.radius.max()) / INCH == pytest.approx(2.765, abs=0.002)
    assert last == pytest.approx(2.765, abs=0.02)


MISSES = {
    "under": {"below_line": 4 * INCH},
    "over": {"below_line": -4 * INCH},
    "off the end": {"along_barrel": 9 * INCH},
    "inside the barrel": {"along_barrel": -24 * INCH},
    "early": {"timing": -0.050},
    "late": {"timing": 0.050},
}


@pytest.mark.parametrize("bats", ["right", "left"])
@pytest.mark.parametrize("word", MISSES)
def test_where_a_miss_went(word, bats):
    answer = Play(inputs(bats, **MISSES[word])).result
    assert answer.meeting.miss == word
    assert answer.outcome.kind == "miss" and answer.outcome.fair is None
    assert answer.meeting.closest > 0.2 * INCH
    assert answer.collision is None and answer.flight is None and answer.why is None


@pytest.mark.parametrize("bats", ["right", "left"])
def test_words_say_what_the_pictures_show(bats):
    """Under: the axis passes below the ball. Early: the barrel is already round when the ball gets there."""
    for word, sign in (("under", 1), ("over", -1)):
        meeting = Play(inputs(bats, **MISSES[word])).plays.meeting
        assert np.sign(meeting.ball[0, 2] - (meeting.knob + meeting.place[:, None] * meeting.axis)[0, 2]) == sign
    for word, sign in (("early", 1), ("late", -1)):
        axis = Play(inputs(bats, **MISSES[word])).plays.meeting.axis[0]
        assert np.sign(np.arctan2(axis[1], side_sign(bats) * axis[0])) == sign


def test_a_touch_has_no_miss_word():
    answer = Play(inputs()).result
    assert answer.meeting.touch and answer.meeting.miss is None and answer.meeting.closest == 0.0


def test_surface_distance_against_the_outline():
    """Beside the barrel, off the end and inside: distance to the nearest of a dense cloud of outline points."""
    rng = np.random.default_rng(2)
    along, away = rng.uniform(0.3, 0.95, 400), rng.uniform(0.0, 0.15, 400)
    distance, out, up = surface_distance(METAL, along, away)
    nearest = cKDTree(profile_points(METAL)).query(np.column_stack([along, away]))[0]
    assert np.abs(distance) == pytest.approx(
        nearest, abs=3e-5
    )  # half the points' spacing, where the point lies on the outline
    inside = (along < METAL.length) & (away < METAL.radius_at(along))
    assert np.array_equal(distance < 0, inside)
    assert np.hypot(out, up) == pytest.approx(np.ones(400), abs=1e-9)
    step = 1e-7  # the direction is the way the distance grows fastest
    grown = surface_distance(METAL, along + step * up, away + step * out)[0]
    assert (grown - distance) / step == pytest.approx(np.ones(400), abs=1e-5)


def test_the_hands_part_of_the_bat_does_not_count():
    """DESIGN: the ball meets the bat beyond the grip."""
    distance, _, _ = surface_distance(METAL, np.array([0.05]), np.array([0.012]))
    assert distance[0] > 0.1
