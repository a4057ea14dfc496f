"""Points where the lines of sight of two cameras meet best, and how well that tells them.

The distance in the pictures is made least: Hartley and Zisserman, Multiple View Geometry, 2nd ed. 2004, chapter 12
(from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plane3d.frames import Array
from plane3d.measured.cameras import FixedCamera, by_points, project, sight

STEPS = 2  # of Gauss and Newton; one is enough but for marks that are far off
VALUE_STEP = 1e-6  # for derivatives by the cameras' values


def triangulate(
    cameras: Sequence[FixedCamera], pixels: Sequence[Array], joint: Array | None = None
) -> tuple[Array, Array, Array]:
    """Points seen by both cameras.

    pixels : two of (n, 2) px; joint : (16, 16) covariance of both cameras' values, where they depend on each other

    Returns points (n, 3) m, their standard errors (n, 3) m, and residuals (n, 4) px; NaN where a mark is missing.
    """
    values = np.concatenate([camera.values for camera in cameras])
    sizes = [camera.size for camera in cameras]
    seen = np.concatenate(pixels, axis=1)
    points, residuals, slope = meet(values, sizes, seen)
    if joint is None:
        joint = np.zeros((16, 16))
        joint[:8, :8], joint[8:, 8:] = (camera.covariance for camera in cameras)
    noise = np.repeat([camera.noise for camera in cameras], 2)
    by_marks = np.linalg.pinv(np.nan_to_num(slope))
    by_cameras = -by_marks @ np.stack([_column(values, sizes, points, k) for k in range(16)], axis=-1)
    variance = np.einsum("nik,k->ni", by_marks**2, noise**2)
    variance += np.einsum("nik,kl,nil->ni", by_cameras, joint, by_cameras)
    return points, np.where(np.isnan(points), np.nan, np.sqrt(variance)), residuals


def meet(values: Array, sizes: Sequence[tuple[int, int]], seen: Array) -> tuple[Array, Array, Array]:
    """Points (n, 3) that two cameras, values (16,), see nearest to marks (n, 4) px; residuals (n, 4); derivative of the
    pixels by the points (n, 4, 3)."""
    points = _linear(values, sizes, seen)
    for _ in range(STEPS):
        slope = _by_points(values, points)
        points = points + np.einsum("nij,nj->ni", left_inverse(slope), seen - _pixels(values, sizes, points))
    return points, seen - _pixels(values, sizes, points), slope


def left_inverse(slope: Array) -> Array:
    """(n, 3, 4) of (n, 4, 3); NaN where it has none."""
    square = np.swapaxes(slope, 1, 2) @ slope
    sound = np.asarray(np.abs(np.linalg.det(np.nan_to_num(square))) > 0)
    square = np.where(sound[:, None, None], square, np.eye(3))
    return np.where(sound[:, None, None], np.linalg.solve(square, np.swapaxes(slope, 1, 2)), np.nan)


def _linear(values: Array, sizes: Sequence[tuple[int, int]], seen: Array) -> Array:
    """The points (n, 3) nearest to both lines of sight, to start from."""
    total, pull = np.zeros((len(seen), 3, 3)), np.zeros((len(seen), 3))
    for k, size in enumerate(sizes):
        way = sight(values[8 * k : 8 * k + 8], size, seen[:, 2 * k : 2 * k + 2])
        across = np.eye(3) - way[:, :, None] * way[:, None, :]
        total += across
        pull += across @ values[8 * k + 3 : 8 * k + 6]
    sound = np.asarray(np.isfinite(total).all(axis=(1, 2)))
    total = np.where(sound[:, None, None], total, np.eye(3)) + 1e-12 * np.eye(3)
    return np.where(sound[:, None], np.linalg.solve(total, np.nan_to_num(pull)[..., None])[..., 0], np.nan)


def _pixels(values: Array, sizes: Sequence[tuple[int, int]], points: Array) -> Array:
    """(n, 4) px."""
    return np.hstack([project(values[:8], sizes[0], points), project(values[8:], sizes[1], points)])


def _by_points(values: Array, points: Array) -> Array:
    """(n, 4, 3) px/m."""
    return np.concatenate([by_points(values[:8], points), by_points(values[8:], points)], axis=1)


def _column(values: Array, sizes: Sequence[tuple[int, int]], points: Array, k: int) -> Array:
    """(n, 4), derivative of the pixels by one of the cameras' values."""
    change = np.zeros(16)
    change[k] = VALUE_STEP
    more, less = _pixels(values + change, sizes, points), _pixels(values - change, sizes, points)
    return np.nan_to_num((more - less) / (2 * VALUE_STEP))
