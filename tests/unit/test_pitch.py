"""Pitches: aimed where asked, bent the way asked, and as exact as stated. Published values: tests/reference."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plane3d.constants import PLATE_FRONT_Y, STANDARD_GRAVITY
from plane3d.errors import UnreachableError
from plane3d.frames import X, Z
from plane3d.physics.pitch import aim_pitch, measured_pitch, spin_vector, time_at_y
from plane3d.plays import make_pitch, medium_of
from plane3d.units import DEGREE, FOOT
from tests.cases import FASTBALL, inputs, medium, random_asks, solved_flight, thrown

NAMES = ("speed", "spin", "spin_tilt", "gyro", "plate_side", "plate_height")


def random_pitches(n=200, seed=3, air=None):
    ask = random_asks(np.random.default_rng(seed), n)
    release = np.stack([ask["release_side"], ask["release_distance"], ask["release_height"]], axis=-1)
    return ask, aim_pitch(air or medium(), release, *(ask[name] for name in NAMES))


def test_pitches_cross_the_front_edge_where_asked():
    ask, pitch = random_pitches(air=medium(wind=(3.0, -2.0, 0.0)))
    place = pitch.at(time_at_y(pitch, np.full(200, PLATE_FRONT_Y)))[:, 0]
    assert place[:, 0] == pytest.approx(ask["plate_side"], abs=1e-9)
    assert place[:, 1] == pytest.approx(np.full(200, PLATE_FRONT_Y), abs=1e-9)
    assert place[:, 2] == pytest.approx(ask["plate_height"], abs=1e-9)
    assert np.linalg.norm(pitch.v[0], axis=1) == pytest.approx(ask["speed"], rel=1e-12)


def test_pitches_agree_with_dop853():
    """Measured: half of them within 0.2 micrometres, the worst (through the kink of the lift law) 0.04 mm."""
    air = medium(wind=(2.0, -3.0, 0.0))
    _, pitch = random_pitches(60, air=air)
    error = []
    for i in range(60):
        one = pitch.take(np.array([i]))
        t = np.linspace(0, one.end[0], 60)
        solved = solved_flight(air, pitch.x[0, i], pitch.v[0, i], pitch.w[0, i], until=one.end[0])
        error.append(np.abs(one.at(t[None])[0] - solved.sol(t)[:3].T).max())
    assert np.median(error) < 1e-6
    assert max(error) < 1e-4


@pytest.mark.parametrize(("time", "feet"), [(0.40, 2.57), (0.45, 3.26), (0.50, 4.02)])
def test_gravity_alone(time, feet):
    """Law: 2.57, 3.26 and 4.02 ft of fall in 0.40, 0.45 and 0.50 s, here read off a flight without air."""
    pitch = thrown(80.0, air=medium(air=0.0))
    now = np.array([[time]])
    straight = pitch.x[0] + pitch.v[0] * time
    assert (straight[:, 2] - pitch.at(now)[:, 0, 2]) / FOOT == pytest.approx(feet, abs=0.006)
    assert 0.5 * STANDARD_GRAVITY * time**2 / FOOT == pytest.approx(feet, abs=0.006)


def test_backspin_makes_a_pitch_drop_less_and_topspin_more():
    climb = {tilt: thrown(90, 2200, tilt * DEGREE).v[0, 0, 2] for tilt in (0, 180)}
    plain = thrown(90, 0).v[0, 0, 2]
    assert climb[0] < plain < climb[180]  # the lifted ball has to be aimed lower


def test_gyro_spin_neither_lifts_nor_pushes():
    """Smith et al. 2020, read: spin along the path does not lift. A path that curves under gravity turns away from
    the spin by a few degrees on the way, which leaves a small push."""
    plain, bullet = thrown(90, 0), thrown(90, 2200, 0.0, np.pi / 2)
    lifted = thrown(90, 2200, 0.0, 0.0)
    t = np.full((1, 1), 0.4)
    assert np.abs(bullet.v[0, 0] - plain.v[0, 0]).max() < 0.1 * np.abs(lifted.v[0, 0] - plain.v[0, 0]).max()
    assert np.linalg.norm(bullet.at(t) - plain.at(t)) < 0.02


@pytest.mark.parametrize("tilt", np.arange(-180, 180, 45) * DEGREE)
def test_spin_vector_pushes_along_its_tilt(tilt):
    way = np.array([[0.0, -1.0, 0.0]])
    spin = spin_vector(way, np.array([200.0]), np.array([tilt]), np.zeros(1), np.array([True]))
    push = np.cross(spin, way)[0] / 200.0
    assert push == pytest.approx(np.sin(tilt) * X + np.cos(tilt) * Z, abs=1e-12)
    half = spin_vector(way, np.array([200.0]), np.array([tilt]), np.array([60 * DEGREE]), np.array([True]))
    assert np.linalg.norm(half) == pytest.approx(200.0)
    assert np.linalg.norm(np.cross(half, way)) == pytest.approx(100.0)


def test_time_at_y_is_the_inverse_of_the_path():
    _, pitch = random_pitches(50)
    y = np.random.default_rng(0).uniform(-0.8, 15.0, (50, 4))
    assert pitch.at(time_at_y(pitch, y))[..., 1] == pytest.approx(y, abs=1e-10)


def test_out_of_reach_is_an_error():
    with pytest.raises(UnreachableError):
        thrown(12.0)


def test_measured_pitch_is_its_own_parabola():
    """Law: constant acceleration. The nine numbers give the position at every time, to rounding."""
    rng = np.random.default_rng(5)
    n = 40
    position = np.stack([rng.uniform(-1, 1, n), np.full(n, 15.24), rng.uniform(1.5, 2, n)], axis=-1)
    velocity = np.stack([rng.uniform(-2, 2, n), -rng.uniform(30, 44, n), rng.uniform(-3, 1, n)], axis=-1)
    acceleration = np.stack([rng.uniform(-4, 4, n), rng.uniform(6, 10, n), rng.uniform(-11, -4, n)], axis=-1)
    pitch = measured_pitch(position, velocity, acceleration, np.zeros((n, 3)), np.full(n, 16.8))
    assert pitch.at(np.zeros((n, 1)))[:, 0, 1] == pytest.approx(np.full(n, 16.8), abs=1e-9)
    begin = time_at_y(pitch, np.full(n, 15.24))
    t = begin + np.linspace(0.0, 0.4, 9)
    s = (t - begin)[..., None]
    parabola = position[:, None] + velocity[:, None] * s + 0.5 * acceleration[:, None] * s**2
    assert pitch.at(t) == pytest.approx(parabola, abs=1e-10)
    assert pitch.velocity_at(t) == pytest.approx(velocity[:, None] + acceleration[:, None] * s, abs=1e-9)


def test_a_measured_pitch_must_come_to_the_plate():
    away = np.array([[0.0, 15.0, 2.0]]), np.array([[0.0, 30.0, 0.0]]), np.array([[0.0, 0.0, -9.8]])
    with pytest.raises(UnreachableError):
        measured_pitch(*away, np.zeros((1, 3)), np.array([16.0]))


def test_pitch_and_batted_ball_obey_the_same_equations():
    """A pitch continued by the independent integrator from half way ends at the same place."""
    air, pitch = medium(), thrown(90, 2200)
    t = 0.2
    half = [sample(np.array([[t]]))[0, 0] for sample in (pitch.at, pitch.velocity_at, pitch.spin_at)]
    end = solved_flight(air, *half, until=0.2).y[:3, -1]
    assert pitch.at(np.array([[0.4]]))[0, 0] == pytest.approx(end, abs=1e-5)


def test_a_left_hander_spirals_the_other_way():
    """A right-hander's spiral, mirrored, is a left-hander's: the two pitches are mirror images."""
    air = medium_of(inputs().setting)
    asked = replace(FASTBALL, spin_tilt=60 * DEGREE, gyro=70 * DEGREE)
    mirrored = replace(asked, release_side=-asked.release_side, spin_tilt=-asked.spin_tilt)
    t = np.linspace(0.0, 0.4, 9)[None]
    right, left = make_pitch(air, asked).at(t), make_pitch(air, mirrored).at(t)
    assert left == pytest.approx(right * np.array([-1.0, 1.0, 1.0]), abs=1e-12)
