"""From a file's own axes to the field frame: by naming the axes and the plate, or by points picked on the plate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial.transform import Rotation

from plane3d.constants import PLATE_FRONT_Y, PLATE_SIDE
from plane3d.errors import Plane3dError
from plane3d.frames import Array, X, Y, Z, norm
from plane3d.language import tr
from plane3d.measured.points import BatPoints
from plane3d.measured.table import UNIT_WORDS, UNITS

DIRECTIONS = {"first": X, "third": -X, "pitcher": Y, "catcher": -Y, "up": Z, "down": -Z}
OWN_AXES = ("first", "pitcher", "up")  # those of the field frame
# Corners of the plate in the field frame, m (Official Baseball Rules 2.02, rule book): a 17-in square whose two rear
# corners are cut off toward the rear point.
CORNERS = {
    "front-first": np.array([PLATE_SIDE, PLATE_FRONT_Y, 0.0]),
    "front-third": np.array([-PLATE_SIDE, PLATE_FRONT_Y, 0.0]),
    "side-first": np.array([PLATE_SIDE, PLATE_FRONT_Y / 2, 0.0]),
    "side-third": np.array([-PLATE_SIDE, PLATE_FRONT_Y / 2, 0.0]),
    "rear": np.zeros(3),
}
LEAST_CORNERS = 4
MOST_OFF = 0.02  # m, a corner may be off the fitted plate
MOST_STRETCH = 0.08  # the picked plate may be this share too large or too small


@dataclass(frozen=True)
class Placing:
    """How a file's axes lie on the field: field point = turn @ (file point - rear).

    turn : (3, 3), whose determinant is -1 for a file with left-handed axes
    rear : (3,) m, the rear point of the plate along the file's axes
    off : m, largest distance of a picked corner from the fitted plate; 0 where none was picked
    """

    turn: Array
    rear: Array
    off: float = 0.0

    @property
    def mirrored(self) -> bool:
        """Whether the file's axes are left-handed."""
        return bool(np.linalg.det(self.turn) < 0)

    def place(self, points: BatPoints) -> BatPoints:
        """The same points in the field frame."""
        knob, tip = ((end - self.rear) @ self.turn.T for end in (points.knob, points.tip))
        return replace(points, knob=knob, tip=tip)


def by_axes(axes: tuple[str, ...] = OWN_AXES, plate: tuple[float, ...] = (0.0, 0.0, 0.0), unit: str = "m") -> Placing:
    """The placing of a file whose x, y and z point the named ways.

    Parameters
    ----------
    axes : one of `DIRECTIONS` for each of the file's axes
    plate : rear point of the plate along the file's axes, in ``unit``

    Raises Plane3dError where the three do not span space.
    """
    allowed = ", ".join(DIRECTIONS)
    for name in axes:
        if name not in DIRECTIONS:
            raise Plane3dError(tr("axis {given} must be one of {allowed}", given=name, allowed=allowed))
    if len(axes) != 3 or len({tuple(np.abs(DIRECTIONS[name])) for name in axes}) != 3:
        given = ", ".join(axes)
        raise Plane3dError(
            tr("the axes {given} must be three: one across the plate, one toward pitcher or catcher, one up or down",
               given=given)
        )  # fmt: skip
    if len(plate) != 3 or not np.isfinite(plate).all():
        raise Plane3dError(tr("the place of the plate must be three numbers, x, y and z"))
    return Placing(np.stack([DIRECTIONS[name] for name in axes], axis=-1), np.asarray(plate) * UNITS["length"][unit])


def by_corners(corners: Mapping[str, tuple[float, ...]], unit: str = "m") -> Placing:
    """The placing that brings picked corners of the plate where they belong: a rigid least-squares fit.

    Parameters
    ----------
    corners : at least four of `CORNERS` by name, each (x, y, z) along the file's axes, in ``unit``

    Flat points cannot tell a mirrored file: the plate then comes to lie face down, and so the bat under the ground,
    which `checks.check_placed` says. Raises Plane3dError where the points do not make a plate.
    """
    for name in corners:
        if name not in CORNERS:
            raise Plane3dError(tr("corner {given} must be one of {allowed}", given=name, allowed=", ".join(CORNERS)))
    if len(corners) < LEAST_CORNERS:
        raise Plane3dError(
            tr("{given} corners of the plate are given; {least} are needed", given=len(corners), least=LEAST_CORNERS)
        )
    picked = np.array([corners[name] for name in corners], dtype=float) * UNITS["length"][unit]
    if picked.shape != (len(corners), 3) or not np.isfinite(picked).all():
        raise Plane3dError(tr("each corner of the plate must be three numbers, x, y and z"))
    true = np.array([CORNERS[name] for name in corners])
    middle, picked_middle = true.mean(axis=0), picked.mean(axis=0)
    _check_size(picked - picked_middle, true - middle, unit)
    turn, _ = Rotation.align_vectors(true - middle, picked - picked_middle)
    matrix = turn.as_matrix()
    rear = picked_middle - matrix.T @ middle
    off = float(norm((picked - rear) @ matrix.T - true).max())
    if off > MOST_OFF:
        raise Plane3dError(
            tr(
                "the corners do not make a plate: one is {off} cm off; are two of them exchanged?",
                off=f"{off * 100:.1f}",
            )
        )
    return Placing(matrix, rear, off)


def _check_size(picked: Array, true: Array, unit: str) -> None:
    """Refuse a plate of another size, naming the unit that would fit."""
    stretch = float(np.sqrt(np.sum(picked**2) / np.sum(true**2)))
    if abs(stretch - 1.0) <= MOST_STRETCH:
        return
    factors = UNITS["length"]
    fits = [u for u, f in factors.items() if abs(stretch * f / factors[unit] - 1.0) <= MOST_STRETCH]
    width = f"{stretch * 2 * PLATE_SIDE:.3g}"
    if fits:
        raise Plane3dError(
            tr(
                "the plate would be {width} m wide; are the corners in {unit}?",
                width=width,
                unit=tr(UNIT_WORDS[fits[0]]),
            )
        )
    raise Plane3dError(tr("the plate would be {width} m wide instead of 0.432 m; check the corners", width=width))
