"""From the scene to the picture plane: what a camera shows, and where."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plane3d.frames import Array, cross, unit
from plane3d.scene.parts import Camera
from plane3d.scene.style import NARROWEST


def opening(camera: Camera, aspect: float) -> float:
    """Vertical opening, rad, that still shows the view's full width in a picture narrower than it was composed for.

    aspect : width over height of the picture
    """
    half = np.tan(np.radians(camera.view_angle_deg) / 2)
    return float(2.0 * np.arctan(half * max(1.0, NARROWEST / aspect)))


def project(camera: Camera, size: tuple[int, int], points: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Pixels (n, 2), from the upper left corner, of points (n, 3), and whether each is in front of the viewer.

    size : width and height of the picture, pixels
    """
    position = np.array(camera.position)
    ahead = unit(np.array(camera.focal_point) - position)
    right = unit(cross(ahead, np.array(camera.up)))
    up = cross(right, ahead)
    arm = np.asarray(points, dtype=float) - position
    depth = arm @ ahead
    before = depth > 1e-3
    scale = size[1] / 2 / np.tan(opening(camera, size[0] / size[1]) / 2) / np.where(before, depth, np.inf)
    return np.stack([size[0] / 2 + scale * (arm @ right), size[1] / 2 - scale * (arm @ up)], axis=-1), before
