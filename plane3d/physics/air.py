"""Density of moist air and the pressure at a height."""

from __future__ import annotations

import numpy as np

from plane3d.frames import Array

GAS_CONSTANT = 8.314472  # J/(mol K), the value CIPM-2007 is stated with
DRY_AIR_MOLAR_MASS = 28.96546e-3  # kg/mol at 400 ppm CO2
WATER_MOLAR_MASS = 18.01528e-3  # kg/mol


def air_density(
    temperature_k: float | Array, pressure_pa: float | Array, relative_humidity: float | Array
) -> float | Array:
    """Density of moist air, kg/m3, by CIPM-2007.

    Parameters
    ----------
    temperature_k : K; stated for 288-300 K, used outside with an error far below the ball's own scatter
    pressure_pa : station pressure, Pa (not the barometer reduced to sea level)
    relative_humidity : 0 to 1

    Source: Picard, Davis, Glaser, Fujii, Metrologia 45, 149-155 (2008); abstract read, constants from memory.
    """
    t = temperature_k - 273.15
    enhancement = 1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * t**2
    saturation = np.exp(
        1.2378847e-5 * temperature_k**2 - 1.9121316e-2 * temperature_k + 33.93711047 - 6343.1645 / temperature_k
    )
    vapour = relative_humidity * enhancement * saturation / pressure_pa
    z = _compressibility(temperature_k, t, pressure_pa, vapour)
    dry = pressure_pa * DRY_AIR_MOLAR_MASS / (z * GAS_CONSTANT * temperature_k)
    return dry * (1.0 - vapour * (1.0 - WATER_MOLAR_MASS / DRY_AIR_MOLAR_MASS))


def _compressibility(
    temperature_k: float | Array, t: float | Array, pressure_pa: float | Array, vapour: float | Array
) -> float | Array:
    """Compressibility factor of CIPM-2007, equation A1.4 of the same paper."""
    p_over_t = pressure_pa / temperature_k
    linear = (
        1.58123e-6
        - 2.9331e-8 * t
        + 1.1043e-10 * t**2
        + (5.707e-6 - 2.051e-8 * t) * vapour
        + (1.9898e-4 - 2.376e-6 * t) * vapour**2
    )
    return 1.0 - p_over_t * linear + p_over_t**2 * (1.83e-11 - 0.765e-8 * vapour**2)


def standard_pressure(altitude_m: float | Array) -> float | Array:
    """Pressure of the International Standard Atmosphere below 11 km, Pa. Constants from memory."""
    return 101325.0 * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588
