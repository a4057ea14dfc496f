"""Inputs that several tests share: one ordinary high-school play, invented, in SI, with anything replaced by name."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from plane3d.constants import BASEBALL_MASS, BASEBALL_RADIUS
from plane3d.inputs import Ball, Field, Inputs, PitchAsk, Setting, SwingAsk
from plane3d.physics import aero
from plane3d.physics.air import air_density
from plane3d.physics.bat import make_bat
from plane3d.physics.flight import Flight, Medium
from plane3d.physics.pitch import aim_pitch
from plane3d.units import DEGREE, FOOT, INCH, MPH, OUNCE, RPM, fahrenheit_to_kelvin

BALL = Ball(BASEBALL_RADIUS, BASEBALL_MASS)
FIELD = Field(base=90 * FOOT, fence_line=315 * FOOT, fence_centre=370 * FOOT, fence_height=6 * FOOT)
METAL = make_bat(33 * INCH, 30 * OUNCE, 2.625 * INCH, "metal")
WOOD = make_bat(34 * INCH, 30.9 * OUNCE, 2.60 * INCH, "wood")
MILD_AIR = float(air_density(fahrenheit_to_kelvin(70.0), 101325.0, 0.5))
FASTBALL = PitchAsk(
    speed=80 * MPH,
    release_side=-2 * FOOT,
    release_height=5.8 * FOOT,
    release_distance=55 * FOOT,
    spin=2000 * RPM,
    spin_tilt=-20 * DEGREE,
    gyro=0.0,
    plate_side=0.0,
    plate_height=2.5 * FOOT,
)


def square_direction(attack_angle: float, vertical_bat_angle: float) -> float:
    """Bat direction (rad) with which a bat moving straight across its axis travels at centre field."""
    return float(np.arcsin(np.tan(attack_angle) * np.tan(vertical_bat_angle)))


SWING = SwingAsk(
    bat_speed=70 * MPH,
    attack_angle=12 * DEGREE,
    vertical_bat_angle=30 * DEGREE,
    bat_direction=square_direction(12 * DEGREE, 30 * DEGREE),
    contact_depth=6 * INCH,
    below_line=0.0,
    along_barrel=0.0,
    timing=0.0,
    hinge=90 * DEGREE,
    release=0.060,
)


def inputs(bats: str = "right", bat: Any = METAL, setting: dict[str, Any] | None = None, **asks: Any) -> Inputs:
    """The ordinary play. Keywords name fields of `PitchAsk` or `SwingAsk` to replace, in SI."""
    pitch = {name: value for name, value in asks.items() if name in vars(FASTBALL)}
    swing = {name: value for name, value in asks.items() if name not in pitch}
    return Inputs(
        setting=replace(Setting(BALL, FIELD, MILD_AIR), **(setting or {})),
        bats=bats,
        hitter_height=70 * INCH,
        bat=bat,
        pitch=replace(FASTBALL, **pitch),
        swing=replace(SWING, **swing),
    )


def mirrored(asked: Inputs) -> Inputs:
    """The same play seen in a mirror standing along the line from the plate to the mound.

    The gyro angle stays: the side of the release says whose spiral it is.
    """
    x, y, z = asked.setting.wind
    pitch = {name: -getattr(asked.pitch, name) for name in ("release_side", "spin_tilt", "plate_side")}
    return replace(
        asked,
        bats={"right": "left", "left": "right"}[asked.bats],
        setting=replace(asked.setting, wind=(-x, y, z)),
        pitch=replace(asked.pitch, **pitch),
    )


def medium(air: float = MILD_AIR, wind: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Medium:
    """A baseball in air of a density (kg/m3) and wind (m/s)."""
    return Medium(air, np.array(wind), BALL.radius, BALL.mass)


def random_asks(rng: np.random.Generator, n: int) -> dict[str, np.ndarray]:
    """Pitches and swings of many kinds, (n,) each: good hits, weak ones and misses."""

    def between(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, n)

    attack, tilt = between(-5, 22) * DEGREE, between(5, 45) * DEGREE
    return {
        "speed": between(55, 98) * MPH,
        "release_side": between(-0.9, 0.9),
        "release_height": between(1.5, 2.0),
        "release_distance": between(16.0, 17.2),
        "spin": between(0, 2800) * RPM,
        "spin_tilt": between(-180, 180) * DEGREE,
        "gyro": between(-60, 60) * DEGREE,
        "plate_side": between(-0.25, 0.25),
        "plate_height": between(0.45, 1.10),
        "bat_speed": between(55, 78) * MPH,
        "attack_angle": attack,
        "vertical_bat_angle": tilt,
        "bat_direction": np.arcsin(np.tan(attack) * np.tan(tilt)) + between(-15, 15) * DEGREE,
        "contact_depth": between(-4, 16) * INCH,
        "below_line": between(-3.2, 3.2) * INCH,
        "along_barrel": between(-7, 6) * INCH,
        "timing": between(-12, 12) * 1e-3,
        "hinge": between(80, 115) * DEGREE,
        "release": between(0.040, 0.085),
    }


def thrown(
    mph: float = 90.0, rpm: float = 0.0, tilt: float = 0.0, gyro: float = 0.0, air: Medium | None = None
) -> Flight:
    """One pitch from 55 ft out and 6 ft up, over the middle of the plate 2.5 ft high. Tilt and gyro in rad."""
    one = np.ones(1)
    release = np.array([[0.0, 55 * FOOT, 6 * FOOT]])
    spin = (one * rpm * RPM, one * tilt, one * gyro)
    return aim_pitch(air or medium(), release, one * mph * MPH, *spin, 0 * one, one * 2.5 * FOOT)


def solved_flight(
    air: Medium, x: np.ndarray, v: np.ndarray, w: np.ndarray, until: float | None = None, tolerance: float = 1e-11
) -> Any:
    """The same equations of motion under scipy's eighth-order DOP853, until a time (s) or else until the ground.

    Events: the ground, then the apex. State: position, velocity, spin.
    """

    def rates(_: float, state: np.ndarray) -> np.ndarray:
        a, decay = aero.acceleration(state[3:6], state[6:], air.wind, air.air_density, air.radius, air.mass)
        return np.concatenate([state[3:6], a, -decay * state[6:]])

    def ground(_: float, state: np.ndarray) -> float:
        return state[2] - air.radius

    def top(_: float, state: np.ndarray) -> float:
        return state[5]

    ground.terminal, ground.direction, top.direction = True, -1, -1  # type: ignore[attr-defined]
    span, events = ((0.0, 30.0), (ground, top)) if until is None else ((0.0, until), None)
    return solve_ivp(
        rates,
        span,
        np.concatenate([x, v, w]),
        "DOP853",
        rtol=tolerance,
        atol=tolerance,
        events=events,
        dense_output=True,
    )
