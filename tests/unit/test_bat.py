"""Bats: laws every body of revolution obeys, and the rules for liveliness. Independent meshes: tests/reference."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.constants import COR_SPEED_RANGE
from plane3d.physics.bat import MATERIALS, PROFILE_IN, make_bat
from plane3d.units import INCH, OUNCE
from tests.cases import BALL, METAL, WOOD

EVERY = pytest.mark.parametrize("material", MATERIALS)


def some_bat(material, length=33.0, ounces=30.0, diameter=2.6):
    return make_bat(length * INCH, ounces * OUNCE, diameter * INCH, material)


@EVERY
def test_a_bat_is_what_was_asked_for(material):
    bat = some_bat(material, 32.5, 29.0, 2.5)
    assert bat.length == pytest.approx(32.5 * INCH)
    assert bat.mass == pytest.approx(29.0 * OUNCE)
    assert 2 * bat.radius.max() == pytest.approx(2.5 * INCH)
    assert (bat.station[0], bat.station[-1]) == (0.0, pytest.approx(bat.length))
    assert np.all(np.diff(bat.station) > 0) and np.all(bat.radius > 0)


@EVERY
def test_places_on_the_bat_are_in_order(material):
    bat = some_bat(material)
    assert 0 < bat.hands < bat.grip_end < bat.balance < bat.sweet_spot < bat.length
    assert 5 * INCH <= bat.length - bat.sweet_spot <= 7 * INCH  # sweet zone 5-7 in from the end (Russell 2004, read)


@EVERY
def test_inertia_is_physical(material):
    """Laws: parallel axes; a radius of gyration inside the bat; roll far below swing inertia."""
    bat = some_bat(material)
    about_knob, about_balance = bat.inertia_about(0.0), bat.inertia_about(bat.balance)
    assert about_balance == pytest.approx(bat.inertia)
    assert about_knob == pytest.approx(bat.inertia + bat.mass * bat.balance**2)
    assert bat.inertia / bat.mass < (bat.length / 2) ** 2
    assert 0 < bat.roll_inertia < bat.mass * bat.radius.max() ** 2


def test_a_shell_carries_its_weight_further_from_its_middle_than_a_solid_bat():
    wood, metal = some_bat("wood"), some_bat("metal")
    assert metal.inertia > wood.inertia
    assert metal.roll_inertia > wood.roll_inertia
    assert metal.balance < wood.balance  # the thin handle holds a larger share of the weight


def test_mass_scales_inertia_and_leaves_balance():
    light, heavy = some_bat("wood", ounces=28.0), some_bat("wood", ounces=32.0)
    assert heavy.inertia / light.inertia == pytest.approx(32 / 28)
    assert heavy.balance == pytest.approx(light.balance)


def test_radius_is_interpolated_between_the_stations_of_the_profile():
    station, radius = PROFILE_IN.T
    bat = make_bat(34 * INCH, 31 * OUNCE, 2 * radius.max() * INCH, "wood")
    assert bat.radius_at(station * INCH) == pytest.approx(radius * INCH)
    middle = (station[1:] + station[:-1]) / 2
    assert bat.radius_at(middle * INCH) == pytest.approx((radius[1:] + radius[:-1]) / 2 * INCH)


def test_a_longer_or_thicker_bat_keeps_its_knob_and_handle():
    short, long = some_bat("wood", 30.0), some_bat("wood", 36.0, diameter=2.75)
    knob = np.linspace(0, 1.1, 12) * INCH
    assert short.radius_at(knob) == pytest.approx(long.radius_at(knob))
    assert short.radius.min() == pytest.approx(long.radius.min())


def test_effective_mass_is_largest_at_the_balance_point():
    """Law: a free rod struck at its balance point only moves, elsewhere it also turns."""
    place = np.linspace(WOOD.grip_end, WOOD.length, 300)
    felt = WOOD.effective_mass(place)
    assert WOOD.effective_mass(WOOD.balance) == pytest.approx(WOOD.mass)
    assert np.all(felt <= WOOD.mass)
    assert abs(place[felt.argmax()] - WOOD.balance) < 0.003


def test_effective_mass_is_that_of_a_struck_rigid_rod():
    """Law: an impulse J at z moves z by J/M + J (z - z_cm)^2 / I."""
    z = 0.75
    moved = 1 / WOOD.mass + (z - WOOD.balance) ** 2 / WOOD.inertia
    assert 1 / WOOD.effective_mass(z) == pytest.approx(moved, rel=1e-14)


@EVERY
def test_efficiency_stays_within_its_bounds(material):
    """Law: e_A = (e - r)/(1 + r) lies between -1 (no bounce off a weightless bat) and e (an immovable one)."""
    bat = some_bat(material)
    place = np.linspace(bat.grip_end, bat.length, 200)
    for speed in (5.0, 40.0, 80.0):
        e, e_a = bat.restitution(place, speed), bat.efficiency(place, speed, BALL.mass)
        assert np.all((e >= 0) & (e < 0.6))
        assert np.all((e_a > -1) & (e_a <= e))


def test_the_liveliest_place_is_near_the_sweet_spot():
    """Nathan 2003 as quoted: largest some 4-6 in from the end, falling steeply beyond; our fall is a placeholder."""
    place = np.linspace(WOOD.grip_end, WOOD.length, 500)
    best = place[WOOD.efficiency(place, 60.0, BALL.mass).argmax()]
    assert 4 * INCH < WOOD.length - best < 8 * INCH


def test_restitution_falls_with_speed_as_a_sixth_root_inside_the_measured_range():
    low, high = COR_SPEED_RANGE
    at = METAL.sweet_spot
    assert METAL.restitution(at, 40.0) / METAL.restitution(at, 60.0) == pytest.approx((40 / 60) ** (-1 / 6))
    assert METAL.restitution(at, 5.0) == METAL.restitution(at, low)
    assert METAL.restitution(at, 90.0) == METAL.restitution(at, high)
    assert METAL.restitution(at, 60.8) == pytest.approx(METAL.cor)


def test_unknown_material():
    with pytest.raises(KeyError):
        make_bat(0.8, 0.8, 0.06, "stone")
