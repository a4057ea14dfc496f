"""Coach units to SI and back; used only at the border, never inside the physics.

Every factor is exact by definition (international yard and pound 1959, BIPM SI brochure) except the
conventional inch of mercury, which is 13 595.1 kg/m3 of mercury under standard gravity.
"""

from __future__ import annotations

import math

INCH = 0.0254
FOOT = 12 * INCH
MILE = 5280 * FOOT
MPH = MILE / 3600
POUND = 0.45359237
OUNCE = POUND / 16
DEGREE = math.pi / 180
RPM = 2 * math.pi / 60
INHG = 13595.1 * 9.80665 * INCH
MILLISECOND = 1e-3
KMH = 1 / 3.6
CENTIMETRE = 0.01

FAHRENHEIT_STEP = 5 / 9
FAHRENHEIT_ZERO_K = 273.15 - 32 * FAHRENHEIT_STEP
CELSIUS_ZERO_K = 273.15


def fahrenheit_to_kelvin(temperature_f: float) -> float:
    """Temperature in K of a temperature in degrees Fahrenheit."""
    return temperature_f * FAHRENHEIT_STEP + FAHRENHEIT_ZERO_K


def kelvin_to_fahrenheit(temperature_k: float) -> float:
    """Temperature in degrees Fahrenheit of a temperature in K."""
    return (temperature_k - FAHRENHEIT_ZERO_K) / FAHRENHEIT_STEP
