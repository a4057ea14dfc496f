"""A swung bat in coordinates in which it moves gently: the angle it has turned in its plane, and where the hands are.

A tip on a circle bends in every axis; its angle hardly does. All columns are scaled so that equal noise of knob and tip
gives each of them that same noise, which is why they can share one amount of smoothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plane3d.frames import Array, cross, unit

GRIP = 0.05  # m from the knob mark, between the hands: of all places on a bat this one bends its path least


@dataclass(frozen=True)
class Turning:
    """The plane in which a bat turns. Columns: angle in the plane, angle out of it, and the grip's place (3).

    normal, ahead, onward : (3,) unit; length : m, knob to tip
    """

    normal: Array
    ahead: Array
    onward: Array
    length: float

    @classmethod
    def of(cls, axes: Array, length: float) -> Turning:
        """The plane that lies best along unit axes (n, 3); angles count from the last of them."""
        normal = np.linalg.eigh(axes.T @ axes)[1][:, 0]
        ahead = unit(axes[-1] - (axes[-1] @ normal) * normal)
        return cls(normal, ahead, cross(normal, ahead), length)

    @property
    def scale(self) -> float:
        """m a radian: noise of an angle to noise of a point."""
        return self.length / np.sqrt(2.0)

    @property
    def lever(self) -> float:
        """m from the grip to the middle of knob and tip."""
        return self.length / 2 - GRIP

    def angles(self, axes: Array) -> Array:
        """Columns (n, 2) of unit axes (n, 3)."""
        turned = np.unwrap(np.arctan2(axes @ self.onward, axes @ self.ahead))
        return self.scale * np.stack([turned, np.arcsin(np.clip(axes @ self.normal, -1.0, 1.0))], axis=-1)

    def grip(self, middle: Array, axes: Array) -> Array:
        """Columns (..., n, 3) of the grip, from the middle of knob and tip (n, 3) and unit axes (..., n, 3)."""
        return np.sqrt(2.0) * (middle - self.lever * axes)

    def axes(self, columns: Array) -> Array:
        """Unit axes (..., 3) of columns (..., 2) of angles."""
        turned, out = columns[..., :1] / self.scale, columns[..., 1:2] / self.scale
        flat = np.cos(turned) * self.ahead + np.sin(turned) * self.onward
        return np.cos(out) * flat + np.sin(out) * self.normal

    def axis_rates(self, columns: Array, rates: Array) -> Array:
        """Rates (..., 3) of the unit axes, from columns (..., 2) of angles and their rates."""
        turned, out = columns[..., :1] / self.scale, columns[..., 1:2] / self.scale
        turn_rate, out_rate = rates[..., :1] / self.scale, rates[..., 1:2] / self.scale
        flat = np.cos(turned) * self.ahead + np.sin(turned) * self.onward
        side = np.cos(turned) * self.onward - np.sin(turned) * self.ahead
        return turn_rate * np.cos(out) * side + out_rate * (np.cos(out) * self.normal - np.sin(out) * flat)
