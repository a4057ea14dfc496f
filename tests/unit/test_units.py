"""Every factor of `units`, each against its own definition.

Sources: international yard and pound agreement of 1959 (0.9144 m, 0.45359237 kg), from memory, exact; the
conventional inch of mercury, 3386.389 Pa, as printed in metric conversion tables (from memory; half a unit of
its last digit is 1.5e-7).
"""

from __future__ import annotations

import math

import pytest

from plane3d import units

YARD = 0.9144

FACTORS = {
    "INCH": YARD / 36,
    "FOOT": YARD / 3,
    "MILE": 1760 * YARD,
    "MPH": 1760 * YARD / 3600,
    "POUND": 0.45359237,
    "OUNCE": 0.45359237 / 16,
    "DEGREE": math.tau / 360,
    "RPM": math.tau / 60,
    "MILLISECOND": 0.001,
    "KMH": 1000 / 3600,
    "CENTIMETRE": 0.01,
}
TABLE = {"INHG": (3386.389, 1.5e-7), "FAHRENHEIT_STEP": (5 / 9, 1e-15), "CELSIUS_ZERO_K": (273.15, 0)}


@pytest.mark.parametrize("name", FACTORS)
def test_factor(name: str) -> None:
    assert getattr(units, name) == pytest.approx(FACTORS[name], rel=1e-15)


@pytest.mark.parametrize("name", TABLE)
def test_table_value(name: str) -> None:
    value, tolerance = TABLE[name]
    assert getattr(units, name) == pytest.approx(value, rel=tolerance)


def test_no_factor_is_left_out() -> None:
    written = {name for name in vars(units) if name.isupper()}
    assert written == {*FACTORS, *TABLE, "FAHRENHEIT_ZERO_K"}


@pytest.mark.parametrize(
    ("fahrenheit", "kelvin"), [(32, 273.15), (212, 373.15), (-40, 233.15), (-459.67, 0.0), (70, 294.26111111111)]
)
def test_fahrenheit(fahrenheit: float, kelvin: float) -> None:
    """Ice point, steam point (old scale), the crossing with Celsius, absolute zero: facts of the scales."""
    assert units.fahrenheit_to_kelvin(fahrenheit) == pytest.approx(kelvin, abs=1e-9)
    assert units.kelvin_to_fahrenheit(kelvin) == pytest.approx(fahrenheit, abs=1e-9)
