"""Every axis and every angle, by its sign. The axes are our own choice (docs/axes.md); these tests define them."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import X, Y, Z, bearing, cross, direction, dot, elevation, norm, side_sign, unit
from plane3d.play import Play
from plane3d.units import DEGREE, INCH, RPM
from tests.cases import inputs

SIDES = pytest.mark.parametrize("bats", ["right", "left"])


def test_axes_are_right_handed():
    assert np.array_equal(cross(X, Y), Z)
    assert np.array_equal(np.cross(X, Y), Z)


def test_elevation_is_positive_upward_and_bearing_positive_toward_first_base():
    assert elevation(np.array([0.0, 1.0, 1.0])) == pytest.approx(np.pi / 4)
    assert elevation(-Z) == pytest.approx(-np.pi / 2)
    assert bearing(Y) == 0.0
    assert bearing(np.array([1.0, 1.0, 7.0])) == pytest.approx(np.pi / 4)  # the first-base line
    assert bearing(np.array([-1.0, 1.0, 0.0])) == pytest.approx(-np.pi / 4)
    assert elevation(np.zeros(3)) == 0.0


def test_direction_undoes_bearing_and_elevation():
    rng = np.random.default_rng(0)
    b, e = rng.uniform(-3, 3, 50), rng.uniform(-1.5, 1.5, 50)
    way = direction(b, e)
    assert norm(way) == pytest.approx(1.0, abs=1e-14)
    assert bearing(way) == pytest.approx(b, abs=1e-12)
    assert elevation(way) == pytest.approx(e, abs=1e-12)


def test_products_agree_with_numpy():
    a, b = np.random.default_rng(1).normal(size=(2, 7, 3))
    assert cross(a, b) == pytest.approx(np.cross(a, b), abs=1e-14)
    assert dot(a, b) == pytest.approx((a * b).sum(axis=1), abs=1e-14)
    assert norm(unit(a)) == pytest.approx(np.ones(7), abs=1e-14)
    assert np.array_equal(unit(np.zeros((1, 3))), np.zeros((1, 3)))


def test_side_sign():
    assert (side_sign("right"), side_sign("left")) == (1.0, -1.0)
    with pytest.raises(KeyError):
        side_sign("both")


@SIDES
def test_the_hitter_stands_on_his_own_side_and_the_bat_points_across_the_plate(bats):
    """A right-handed hitter stands on the third-base side (rule-book picture of the batter's boxes)."""
    shown = Play(inputs(bats))
    knob, axis = shown.bat_at(np.array([shown.aim_time]))
    assert side_sign(bats) * knob[0, 0] < -0.3
    assert side_sign(bats) * axis[0, 0] > 0.8


@SIDES
def test_attack_angle_up_and_bat_tilt_down_are_positive(bats):
    swing = Play(inputs(bats, attack_angle=9 * DEGREE, vertical_bat_angle=25 * DEGREE)).result.swing
    assert swing.attack_angle == pytest.approx(9 * DEGREE, abs=1e-9)
    assert swing.vertical_bat_angle == pytest.approx(25 * DEGREE, abs=1e-9)
    shown = Play(inputs(bats, attack_angle=9 * DEGREE, vertical_bat_angle=25 * DEGREE))
    t = shown.aim_time + np.array([-1e-4, 1e-4])
    assert np.diff(shown.sweet_spot_at(t)[:, 2])[0] > 0
    assert shown.bat_at(t)[1][0, 2] < 0  # barrel below the hands


@SIDES
def test_bat_direction_is_positive_with_the_barrel_ahead(bats):
    shown = Play(inputs(bats, bat_direction=20 * DEGREE))
    _, axis = shown.bat_at(np.array([shown.aim_time]))
    assert axis[0, 1] > 0
    assert np.arctan2(axis[0, 1], side_sign(bats) * axis[0, 0]) == pytest.approx(20 * DEGREE, abs=1e-9)


@SIDES
def test_a_barrel_ahead_pulls_the_ball(bats):
    """Pull side: third base for a right-handed hitter (definition of the trade)."""
    flat = {"vertical_bat_angle": 0.0, "attack_angle": 6 * DEGREE}
    pulled = Play(inputs(bats, bat_direction=12 * DEGREE, **flat)).result.collision.spray_angle
    pushed = Play(inputs(bats, bat_direction=-12 * DEGREE, **flat)).result.collision.spray_angle
    assert side_sign(bats) * pulled < -0.1
    assert side_sign(bats) * pushed > 0.1


@SIDES
def test_undercut_below_line_and_depth_signs(bats):
    met = Play(inputs(bats, below_line=1 * INCH, contact_depth=5 * INCH)).result.meeting
    assert met.below_line == pytest.approx(1 * INCH, abs=0.02 * INCH)  # the barrel is lower than the ball
    assert met.undercut > 0
    assert met.depth == pytest.approx(5 * INCH, abs=0.1 * INCH)  # in front of the front edge, toward the pitcher
    shown = Play(inputs(bats, below_line=1 * INCH, contact_depth=5 * INCH))
    ball = shown.pitch_at(np.array([shown.aim_time]))[0]
    assert ball[1] == pytest.approx(PLATE_FRONT_Y + 5 * INCH, abs=1e-6)
    assert shown.sweet_spot_at(np.array([shown.aim_time]))[0, 2] == pytest.approx(ball[2] - 1 * INCH, abs=1e-6)


@SIDES
def test_along_the_barrel_is_positive_toward_the_tip(bats):
    assert Play(inputs(bats, along_barrel=2 * INCH)).result.meeting.along_barrel == pytest.approx(2 * INCH, abs=2e-3)


@SIDES
def test_late_is_positive_and_meets_the_ball_deeper(bats):
    depth = [Play(inputs(bats, timing=t)).result.meeting.depth for t in (-0.006, 0.0, 0.006)]
    assert depth[0] > depth[1] + 0.03 > depth[2] + 0.06


@pytest.mark.parametrize(
    ("tilt", "way"),
    [(0.0, Z), (90 * DEGREE, X), (180 * DEGREE, -Z), (-90 * DEGREE, -X)],
    ids=["up", "1B", "down", "3B"],
)
def test_spin_tilt_pushes_the_ball_the_way_it_says(tilt, way):
    spun = Play(inputs(spin_tilt=tilt, spin=2200 * RPM))
    plain = Play(inputs(spin=0.0, spin_tilt=tilt))
    # Aimed at the same place: the spinning ball starts out on the other side of the straight road to it.
    half = np.array([0.2])
    bend = plain.pitch_at(half)[0] - spun.pitch_at(half)[0]
    assert bend @ way > 0.03
    assert abs(bend @ np.cross(way, Y)) < 0.01


@SIDES
def test_backspin_lifts_and_sidespin_pushes_toward_first_base(bats):
    under = Play(inputs(bats, below_line=0.8 * INCH)).result
    over = Play(inputs(bats, below_line=-0.8 * INCH)).result
    assert under.collision.backspin > 0 > over.collision.backspin
    # A tilted bat that undercuts slices the ball toward its opposite side.
    assert side_sign(bats) * under.collision.sidespin > 0
