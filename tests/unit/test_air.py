"""Air density: what must be true of any moist air. Published values: tests/reference/air.py."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.physics.air import air_density, standard_pressure


def test_ideal_gas_is_a_good_first_guess():
    """Law: p = rho R T with the molar mass of dry air; real air differs by its compressibility, some 4e-4."""
    ideal = 101325.0 * 28.96546e-3 / (8.314472 * 293.15)
    assert air_density(293.15, 101325.0, 0.0) == pytest.approx(ideal, rel=5e-4)


def test_density_falls_with_heat_and_humidity_and_rises_with_pressure():
    t = np.linspace(268.0, 316.0, 30)
    assert np.all(np.diff(air_density(t, 101325.0, 0.5)) < 0)
    assert np.all(np.diff(air_density(298.15, 101325.0, np.linspace(0, 1, 11))) < 0)
    assert np.all(np.diff(air_density(298.15, np.linspace(7e4, 1.05e5, 11), 0.5)) > 0)


def test_pressure_column_is_hydrostatic():
    """Law: dp/dh = -rho g. The standard atmosphere must obey it with its own temperature, 6.5 K per km."""
    h = np.linspace(0.0, 3000.0, 31)
    slope = (standard_pressure(h + 1.0) - standard_pressure(h - 1.0)) / 2.0
    density = air_density(288.15 - 0.0065 * h, standard_pressure(h), 0.0)
    assert slope == pytest.approx(-density * 9.80665, rel=1e-3)  # dry-air compressibility is left out of the column
