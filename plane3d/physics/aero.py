"""Drag, lift and spin decay of a seamed ball in air."""

from __future__ import annotations

import numpy as np

from plane3d.constants import STANDARD_GRAVITY
from plane3d.frames import Array, cross, dot, norm

SPIN_DECAY_TIME = 25.0  # s at 100 mph: golf-ball measurements scaled to a baseball (as quoted; PHYSICS 3.3)
SPIN_DECAY_SPEED = 44.704  # m/s, the 100 mph of that statement


def drag_coefficient(spin_factor: Array, speed: Array) -> Array:
    """Drag coefficient: 0.30 + 0.20 min(S, 0.6) plus a rise below about 21 m/s.

    Five constants of our own, chosen to agree with measured pitches and carries (PHYSICS 3.2); good for 20-50 m/s.
    """
    return 0.30 + 0.20 * np.minimum(spin_factor, 0.6) + 0.12 / (1.0 + np.exp((speed - 21.0) / 3.0))


def lift_slope(spin_factor: Array) -> Array:
    """Lift coefficient divided by the spin factor S = r w / v, finite at no spin.

    C_L = 1.5 S below S = 0.1, else 0.09 + 0.6 S: Sawicki, Hubbard, Stronge, AJP 71, 1152 (2003), as quoted.
    """
    return np.minimum(1.5, 0.6 + 0.09 / np.maximum(spin_factor, 0.1))


def acceleration(
    velocity: Array,
    spin: Array,
    wind: Array,
    air_density: float | Array,
    radius: float,
    mass: float | Array,
    drag: float | Array = 1.0,
    lift: float | Array = 1.0,
    decay_time: float | Array = 1.0,
) -> tuple[Array, Array]:
    """Acceleration of a ball, m/s2, and the rate at which its spin dies away, 1/s.

    Parameters
    ----------
    velocity : (..., 3) m/s
    spin : (..., 3) rad/s; only its part across the air-relative motion lifts and drags
    wind : (3,) or (..., 3) m/s, the way the air moves
    air_density : kg/m3
    radius, mass : of the ball; m, kg
    drag, lift, decay_time : factors on the drag and lift coefficients and on the spin's decay time

    All numbers but the radius may be arrays (...), one for each ball.
    """
    relative = velocity - wind
    speed = np.maximum(norm(relative), 1e-9)
    sideways = cross(spin, relative)
    spin_factor = radius * norm(sideways) / speed**2
    area = 0.5 * air_density * np.pi * radius**2 / mass
    slowing = -(area * drag * drag_coefficient(spin_factor, speed) * speed)[..., None] * relative
    pushing = (area * lift * radius * lift_slope(spin_factor))[..., None] * sideways
    total = slowing + pushing
    total[..., 2] -= STANDARD_GRAVITY
    return total, speed / (SPIN_DECAY_SPEED * SPIN_DECAY_TIME * decay_time)


def spin_axes(velocity: Array) -> tuple[Array, Array]:
    """Unit vectors (..., 3) about which a ball moving along ``velocity`` has backspin and sidespin.

    Backspin lifts; sidespin pushes a batted ball toward first base. A ball moving straight up or down has none.
    """
    horizontal = np.maximum(np.hypot(velocity[..., 0], velocity[..., 1]), 1e-12)
    zero = np.zeros_like(horizontal)
    back = np.stack([velocity[..., 1] / horizontal, -velocity[..., 0] / horizontal, zero], axis=-1)
    side = cross(velocity, back)
    return back, side / np.maximum(np.sqrt(dot(side, side)), 1e-12)[..., None]
