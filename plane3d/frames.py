"""Axes and signs of the field frame, in one place.

Origin at the rear point of home plate on the ground; x toward first base, y toward the pitcher, z up;
metres. Arrays of points have shape (..., 3). A right-handed hitter stands at negative x.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]

X = np.array([1.0, 0.0, 0.0])
Y = np.array([0.0, 1.0, 0.0])
Z = np.array([0.0, 0.0, 1.0])


def side_sign(bats: str) -> float:
    """+1 for a right-handed hitter, -1 for a left-handed one: the factor on x that mirrors one into the other."""
    return {"right": 1.0, "left": -1.0}[bats]


def elevation(v: Array) -> Array:
    """Angle of vectors (..., 3) above the horizontal, rad, up positive; 0 for a zero vector."""
    return np.arctan2(v[..., 2], np.hypot(v[..., 0], v[..., 1]))


def bearing(v: Array) -> Array:
    """Horizontal direction of vectors (..., 3), rad: 0 toward centre field, positive toward first base."""
    return np.arctan2(v[..., 0], v[..., 1])


def direction(bearing_rad: Array | float, elevation_rad: Array | float) -> Array:
    """Unit vectors (..., 3) with the given bearing and elevation, rad; the inverse of the two above."""
    b, e = np.broadcast_arrays(bearing_rad, elevation_rad)
    return np.stack([np.sin(b) * np.cos(e), np.cos(b) * np.cos(e), np.sin(e)], axis=-1)


def dot(a: Array, b: Array) -> Array:
    """Scalar product along the last axis; (..., 3) and (..., 3) to (...)."""
    return np.vecdot(a, b)


def cross(a: Array, b: Array) -> Array:
    """Vector product along the last axis; several times faster than numpy's own, on one vector as on many."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    out = np.empty(np.broadcast(a, b).shape)
    out[..., 0] = ay * bz - az * by
    out[..., 1] = az * bx - ax * bz
    out[..., 2] = ax * by - ay * bx
    return out


def norm(a: Array) -> Array:
    """Length along the last axis."""
    return np.sqrt(np.vecdot(a, a))


def unit(a: Array) -> Array:
    """Vectors (..., 3) scaled to length one; a zero vector stays zero."""
    length = norm(a)[..., None]
    return np.divide(a, length, out=np.zeros_like(a), where=length > 0)
