"""The ground: fair or foul, the fence, and the name of what happened."""

from __future__ import annotations

import numpy as np

from plane3d.constants import PLATE_FRONT_Y, PLATE_SIDE
from plane3d.frames import Array

GROUND, LINE, FLY = np.radians([10.0, 25.0, 50.0])  # launch bands, common practice (read in a league glossary)
TIP_TURN = np.radians(15.0)  # a foul tip turned by less than this from its incoming line
LINE_BEARING = np.pi / 4  # foul lines, Official Baseball Rules 2.01
UP_LINES = np.array([[1.0, -1.0], [1.0, 1.0]]) / np.sqrt(2.0)  # (x, y) to the ways up the lines to first and third


def plate_corners() -> Array:
    """Corners (5, 2) m of home plate, counter-clockwise from the rear point (Official Baseball Rules 2.02)."""
    side, front = PLATE_SIDE, PLATE_FRONT_Y
    return np.array([[0, 0], [side, front - side], [side, front], [-side, front], [-side, front - side]])


def fence_distance(direction: Array, fence_line: float, fence_centre: float) -> Array:
    """Fence distance (n,) m in a horizontal direction (rad from centre): a smooth swell from the lines to centre."""
    share = np.cos(2.0 * np.clip(direction, -LINE_BEARING, LINE_BEARING))
    return fence_line + (fence_centre - fence_line) * share


def is_fair(landing: Array, velocity: Array, base: float) -> Array:
    """Whether balls (n,) landing at points with velocities (n, 3) are fair.

    A ball coming down beyond the bases is judged where it lands; one that bounces before first or third base is
    judged where it passes the base, rolling on straight (Official Baseball Rules, definition of a fair ball).
    """
    up, rate = landing[:, :2] @ UP_LINES, velocity[:, :2] @ UP_LINES
    rolled = np.divide(base - up, rate, out=np.full_like(up, np.inf), where=rate > 1e-9)
    until = np.where(up >= base, 0.0, rolled).min(axis=1)  # to the first base it passes; 0 if it is beyond one already
    passes = np.isfinite(until)
    at = up + rate * np.where(passes, until, 0.0)[:, None]
    return passes & (at >= -1e-12).all(axis=1)


def kind_of_hit(
    touch: Array, fair: Array, launch: Array, opposite: Array, exit_velocity: Array, pitch_velocity: Array
) -> Array:
    """Outcome kind (n,) of DESIGN 4 as strings.

    launch : (n,) rad; opposite : (n,) rad, where the ball goes, toward the opposite side positive;
    exit_velocity, pitch_velocity : (n, 3) m/s
    """
    names = np.array(["ground-ball", "line-drive", "fly-ball", "pop-up"])
    kind = names[np.searchsorted([GROUND, LINE, FLY], launch, side="right")].astype("U14")
    toward_pull = opposite < 0
    kind = np.where(~fair & toward_pull, "foul-pull", kind)
    kind = np.where(~fair & ~toward_pull, "foul-opposite", kind)
    backward = ~fair & (exit_velocity[:, 1] <= 0)
    kind = np.where(backward, "foul-back", kind)
    lengths = np.linalg.norm(exit_velocity, axis=1) * np.linalg.norm(pitch_velocity, axis=1)
    turned = np.einsum("ni,ni->n", exit_velocity, pitch_velocity) / np.maximum(lengths, 1e-15)
    kind = np.where(backward & (turned > np.cos(TIP_TURN)), "foul-tip", kind)
    return np.where(touch, kind, "miss")
