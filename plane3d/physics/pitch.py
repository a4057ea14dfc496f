"""Pitches: aimed at a place over the plate, or continued from measured flight."""

from __future__ import annotations

import numpy as np

from plane3d.constants import PLATE_FRONT_Y
from plane3d.errors import UnreachableError
from plane3d.frames import Array, Y, Z, cross, unit
from plane3d.language import tr
from plane3d.physics.flight import Flight, Medium, fly, launch

STEPS = 8  # Runge-Kutta steps over the whole way; off by 2e-7 m at the median, 7e-5 m at the worst (test_pitch.py)
BEYOND = 1.6  # m behind the plate's front edge to which a pitch is followed
AIM_TOLERANCE = 1e-9  # m at the plate
AIM_ROUNDS = 40


def spin_vector(way: Array, spin: Array, tilt: Array, gyro: Array, right_handed: Array) -> Array:
    """Spin (n, 3) rad/s of balls leaving along unit vectors ``way`` (n, 3).

    spin : (n,) rad/s; tilt : direction the spin pushes the ball, 0 up, +pi/2 toward first base;
    gyro : 0 = all of it active, pi/2 = all along the way; right_handed : (n,) bool, whose spiral it is, clockwise
    as the pitcher sees it, or its mirror image.
    """
    push = np.stack([np.sin(tilt), np.zeros_like(tilt), np.cos(tilt)], axis=-1)
    active = unit(cross(way, push))
    return spin[:, None] * (
        np.cos(gyro)[:, None] * active + np.where(right_handed, np.sin(gyro), -np.sin(gyro))[:, None] * way
    )


def aim_pitch(
    medium: Medium,
    release: Array,
    speed: Array,
    spin: Array,
    tilt: Array,
    gyro: Array,
    side: Array,
    height: Array,
) -> Flight:
    """Flights (n) from release points (n, 3) that cross the plate's front edge at side and height (n,), m.

    The direction of release is found by moving the point aimed at by what the last throw missed; drag and lift
    change so little with direction that a few rounds do. Raises UnreachableError if some pitch
    cannot get there. A ball let go on the first-base side is a left-hander's.
    """
    right_handed = release[:, 0] <= 0
    distance = release[:, 1] - PLATE_FRONT_Y
    duration = 1.18 * (distance + BEYOND) / speed
    drop = 0.5 * 9.8 * (1.05 * distance / speed) ** 2
    goal = np.stack([side, np.full_like(side, PLATE_FRONT_Y), height], axis=-1)
    aim = goal + drop[:, None] * Z
    step, last = np.zeros_like(aim), np.zeros_like(aim)
    for _ in range(AIM_ROUNDS):
        way = unit(aim - release)
        first = launch(release, speed[:, None] * way, spin_vector(way, spin, tilt, gyro, right_handed), medium)
        flight = fly(first, duration, STEPS, medium)
        wrong = flight.x[-1, :, 1] > PLATE_FRONT_Y
        if wrong.any():
            break
        missed = goal - flight.at(time_at_y(flight, goal[:, 1]))[:, 0]
        wrong = ~np.isfinite(missed).all(axis=1)
        if wrong.any():
            break
        wrong = np.abs(missed).max(axis=1) >= AIM_TOLERANCE
        if not wrong.any():
            return flight
        # A secant step in each direction: how much of the last correction arrived, held to a sane band.
        moved = np.abs(step) > AIM_TOLERANCE
        came = np.where(moved, (last - missed) / np.where(moved, step, 1.0), 1.0)
        step, last = missed * (1 - Y) / np.clip(came, 0.5, 2.0), missed
        aim = aim + step
    raise UnreachableError(
        tr("This pitch cannot reach the asked place over the plate; raise its speed or change the place."),
        ("speed", "release_distance", "plate_height"),
        wrong,
    )


def measured_pitch(
    position: Array, velocity: Array, acceleration: Array, spin: Array, release_distance: Array
) -> Flight:
    """Flights (n) with constant acceleration through a measured state (n, 3 each), from a release distance (n,), m.

    The usual nine-number fit of tracked pitches. The clock starts where the ball is ``release_distance`` in front
    of the rear point of the plate. Raises UnreachableError where the ball never gets there or to the plate.
    """
    begin = _constant_time(position, velocity, acceleration, release_distance)
    end = _constant_time(position, velocity, acceleration, np.full(len(position), PLATE_FRONT_Y - BEYOND))
    times = begin + np.linspace(0.0, 1.0, 3)[:, None] * (end - begin)
    t = times[..., None]
    x = position + velocity * t + 0.5 * acceleration * t**2
    v = velocity + acceleration * t
    shape = np.ones_like(x)
    return Flight(np.zeros_like(begin), (end - begin) / 2, x, v, acceleration * shape, spin * shape)


def _constant_time(position: Array, velocity: Array, acceleration: Array, y: Array) -> Array:
    """Time (n,) at which y is reached, moving toward the plate."""
    a, b, c = 0.5 * acceleration[:, 1], velocity[:, 1], position[:, 1] - y
    square = b**2 - 4 * a * c
    if np.any(square < 0) or np.any(b >= 0):
        raise UnreachableError(tr("A measured pitch must move toward the plate and reach it."))
    return 2 * c / (-b + np.sqrt(square))


def time_at_y(flight: Flight, y: Array) -> Array:
    """Times (n, 1) s at which pitches reach y (n,) m from the rear point of the plate. y (n, m) gives (n, m)."""
    y = np.asarray(y, dtype=float)
    y = y[:, None] if y.ndim == 1 else y
    first, last = flight.x[0, :, 1:2], flight.x[-1, :, 1:2]
    t = flight.start[:, None] + (flight.end - flight.start)[:, None] * (first - y) / (first - last)
    for _ in range(8):
        step = (y - flight.at(t)[..., 1]) / flight.velocity_at(t)[..., 1]
        t = t + step
        if np.abs(step).max() < 1e-13:
            break
    return t
