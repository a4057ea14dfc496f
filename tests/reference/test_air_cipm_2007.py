"""Air density against published rows and against an independent library of fluid properties. See SOURCES.md."""

from __future__ import annotations

import pytest

from plane3d.physics.air import air_density, standard_pressure
from plane3d.units import FOOT


def test_room_air():
    assert air_density(293.15, 101325.0, 0.0) == pytest.approx(1.2046, abs=5e-5)


def test_standard_atmosphere_sea_level():
    assert air_density(288.15, standard_pressure(0.0), 0.0) == pytest.approx(1.2250, rel=5e-4)


def test_air_at_1600_m():
    assert air_density(288.15 - 0.0065 * 1600, standard_pressure(1600.0), 0.0) == pytest.approx(1.048, abs=1e-3)
    assert air_density(293.15, standard_pressure(1600.0), 0.0) == pytest.approx(0.99, abs=5e-3)


def test_pressure_falls_about_three_percent_per_thousand_feet():
    assert 1 - standard_pressure(1000 * FOOT) / 101325 == pytest.approx(0.03, abs=0.007)
    assert 1 - standard_pressure(5000 * FOOT) / 101325 == pytest.approx(0.16, abs=0.01)


def test_a_mile_high_the_air_is_about_four_fifths():
    assert standard_pressure(5280 * FOOT) / 101325 == pytest.approx(0.80, abs=0.03)


def test_damp_air_is_about_one_percent_lighter():
    dry, damp = (air_density(298.15, 101325.0, humidity) for humidity in (0.0, 0.8))
    assert 1 - damp / dry == pytest.approx(0.01, abs=0.002)


@pytest.mark.parametrize("celsius", [-5, 5, 15, 25, 35, 45])
@pytest.mark.parametrize("pressure", [80000.0, 101325.0, 104000.0])
@pytest.mark.parametrize("humidity", [0.0, 0.5, 1.0])
def test_coolprop_humid_air(celsius, pressure, humidity):
    """Vha is the volume of a kilogram of humid air. Measured difference: 1.3e-4 at worst, below 7e-5 from 5 C up."""
    library = pytest.importorskip("CoolProp.HumidAirProp")
    volume = library.HAPropsSI("Vha", "T", celsius + 273.15, "P", pressure, "R", humidity)
    assert air_density(celsius + 273.15, pressure, humidity) == pytest.approx(1 / volume, rel=2e-4)
