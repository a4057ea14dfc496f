"""Shapes as points and triangles, with numpy alone: the web process must not load a drawing library.

A shape is (points (n, 3), triangles (m, 3)). Triangles turn counter-clockwise seen from outside.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plane3d.frames import Array, cross, unit
from plane3d.scene.parts import Floats, Ints

Shape = tuple[Array, NDArray[np.intp]]

SEAM_SHAPE = 0.27  # how far the seam swings; chosen by eye
SEAM_THICKNESS = 0.055  # of the ball's radius, thicker than the stitches so that turning is seen


def floats(values: ArrayLike) -> Floats:
    """Values as a contiguous single-precision array that nobody can change."""
    array = np.array(values, dtype=np.float32, order="C")
    array.setflags(write=False)
    return array


def indices(values: ArrayLike) -> Ints:
    """Values as a contiguous array of 32-bit indices that nobody can change."""
    array = np.array(values, dtype=np.int32, order="C")
    array.setflags(write=False)
    return array


def joined(shapes: Iterable[Shape]) -> Shape:
    """Several shapes as one."""
    points, triangles, first = [], [], 0
    for corners, faces in shapes:
        points.append(corners)
        triangles.append(faces + first)
        first += len(corners)
    return np.concatenate(points), np.concatenate(triangles)


def revolved(station: Array, radius: Array, sides: int = 32) -> Shape:
    """A closed body of revolution about +z. Open ends get flat caps with an edge of their own, so that they look sharp.

    station : (k,) m along the axis, rising; radius : (k,) m
    """
    turn = np.arange(sides) * (2 * np.pi / sides)
    circle = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=-1)
    rings = circle * radius[:, None, None] + np.array([0.0, 0.0, 1.0]) * station[:, None, None]
    a, b = _ring_steps(len(station), sides)
    faces = np.concatenate([np.stack([a, b, b + sides], 1), np.stack([a, b + sides, a + sides], 1)])
    bottom = _fan(rings[0], station[0], inward=True)
    top = _fan(rings[-1], station[-1], inward=False)
    return joined([(rings.reshape(-1, 3), faces), bottom, top])


def _ring_steps(rings: int, sides: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Indices of each point but those of the last ring, and of its neighbour on the same ring."""
    first = np.arange(rings - 1)[:, None] * sides
    k = np.arange(sides)
    return (first + k).ravel(), (first + (k + 1) % sides).ravel()


def _fan(ring: Array, height: float, inward: bool) -> Shape:
    k = np.arange(len(ring))
    ends = (np.roll(k, -1), k) if inward else (k, np.roll(k, -1))
    return np.vstack([ring, [0.0, 0.0, height]]), np.stack([np.full(len(ring), len(ring)), *ends], axis=1)


def sphere(radius: float, rows: int = 18, sides: int = 24) -> Shape:
    """A ball about the origin."""
    polar = np.linspace(0.0, np.pi, rows + 1)[1:-1]
    turn = np.arange(sides) * (2 * np.pi / sides)
    rings = np.stack(
        [np.outer(np.sin(polar), np.cos(turn)), np.outer(np.sin(polar), np.sin(turn)),
         np.broadcast_to(-np.cos(polar)[:, None], (rows - 1, sides))], axis=-1
    )  # fmt: skip
    points = np.vstack([rings.reshape(-1, 3), [[0, 0, -1]], [[0, 0, 1]]]) * radius
    a, b = _ring_steps(rows - 1, sides)
    last, k = (rows - 2) * sides, np.arange(sides)
    south = np.stack([np.roll(k, -1), k, np.full(sides, len(points) - 2)], axis=1)
    north = np.stack([last + k, last + np.roll(k, -1), np.full(sides, len(points) - 1)], axis=1)
    wall = [np.stack([a, b, b + sides], 1), np.stack([a, b + sides, a + sides], 1)]
    return points, np.concatenate([*wall, south, north])


def seam(radius: float, steps: int = 96, sides: int = 5) -> Shape:
    """A ball's seam: one closed curve on the sphere, as a thin tube that stands a little proud of it."""
    t = np.arange(steps) * (2 * np.pi / steps)
    b = SEAM_SHAPE
    a, c = 1.0 - b, 2.0 * np.sqrt(b * (1.0 - b))  # these make every point lie on the unit sphere
    out = np.stack([a * np.cos(t) + b * np.cos(3 * t), a * np.sin(t) - b * np.sin(3 * t), c * np.sin(2 * t)], axis=-1)
    along = unit(np.roll(out, -1, axis=0) - np.roll(out, 1, axis=0))
    side = cross(along, out)
    turn = np.arange(sides) * (2 * np.pi / sides)
    thickness = SEAM_THICKNESS * radius
    rings = radius * out[:, None] + thickness * (
        np.cos(turn)[:, None] * 0.6 * out[:, None] + np.sin(turn)[:, None] * side[:, None]
    )
    k, j = (v.ravel() for v in np.meshgrid(np.arange(steps), np.arange(sides), indexing="ij"))
    near, beside = k * sides + j, k * sides + (j + 1) % sides
    on, across = (k + 1) % steps * sides + j, (k + 1) % steps * sides + (j + 1) % sides
    return rings.reshape(-1, 3), np.concatenate([np.stack([near, across, on], 1), np.stack([near, beside, across], 1)])


def capsule(length: float, start: float, end: float, sides: int = 12, rows: int = 5) -> Shape:
    """A limb along +z from 0 to ``length`` with round ends of radius ``start`` and ``end``, m."""
    turn = np.linspace(0.0, np.pi / 2, rows)
    station = np.concatenate([-start * np.cos(turn), length + end * np.sin(turn)])
    return revolved(station, np.concatenate([start * np.sin(turn), end * np.cos(turn)]), sides)


def faded_disc(rings: Sequence[tuple[float, float]], sides: int = 48) -> tuple[Shape, Array]:
    """A flat round about the origin, facing up, and its share of opacity at each point.

    rings : (radius m, share), outward
    """
    turn = np.arange(sides) * (2 * np.pi / sides)
    circle = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=-1)
    radius, share = np.array(rings).T
    a, b = _ring_steps(len(rings), sides)
    faces = np.concatenate([np.stack([a, a + sides, b], 1), np.stack([b, a + sides, b + sides], 1)])
    return ((circle * radius[:, None, None]).reshape(-1, 3), faces), np.repeat(share, sides)


def faded_strip(station: Array, radius: Array, rim: float) -> tuple[Shape, Array]:
    """The shadow of a body of revolution about +z: flat in x and z, clear from ``rim`` (m) outside its outline.

    station, radius : as for `revolved`. Returns the shape and its share of opacity at each point.
    """
    along = np.concatenate([[station[0] - rim], station, [station[-1] + rim]])
    wide = np.concatenate([radius[:1], radius, radius[-1:]])
    across = np.stack([-wide - rim, -0.5 * wide, 0.5 * wide, wide + rim], axis=-1)
    points = np.stack([across, 0 * across, np.broadcast_to(along[:, None], across.shape)], axis=-1)
    share = np.zeros(across.shape)
    share[1:-1, 1:-1] = 1.0
    i, k = (v.ravel() for v in np.meshgrid(np.arange(len(along) - 1), np.arange(3), indexing="ij"))
    a = 4 * i + k
    return (points.reshape(-1, 3), np.concatenate([np.stack([a, a + 4, a + 1], 1),
                                                   np.stack([a + 1, a + 4, a + 5], 1)])), share.ravel()  # fmt: skip


def polygon(corners: ArrayLike, height: float) -> Shape:
    """A flat convex polygon facing up. corners : (k, 2) m, counter-clockwise from above; height : m."""
    flat = np.asarray(corners, dtype=float)
    k = np.arange(1, len(flat) - 1)
    return np.column_stack([flat, np.full(len(flat), height)]), np.stack([0 * k, k, k + 1], axis=1)


def slab(corners: ArrayLike, bottom: float, top: float) -> Shape:
    """An upright prism on a convex polygon, with sharp edges. corners as in `polygon`."""
    flat = np.asarray(corners, dtype=float)
    upper, (lower_points, lower_faces) = polygon(flat, top), polygon(flat, bottom)
    walls = []
    for p, q in zip(flat, np.roll(flat, -1, axis=0), strict=True):
        quad = np.array([[*p, bottom], [*q, bottom], [*q, top], [*p, top]])
        walls.append((quad, np.array([[0, 1, 2], [0, 2, 3]])))
    return joined([upper, (lower_points, lower_faces[:, ::-1]), *walls])


def disc(centre: Sequence[float], radius: float, height: float, sides: int = 64) -> Shape:
    """A flat round facing up. centre : (2,) m."""
    turn = np.arange(sides) * (2 * np.pi / sides)
    return polygon(np.asarray(centre) + radius * np.stack([np.cos(turn), np.sin(turn)], axis=-1), height)


def ribbon(start: Sequence[float], end: Sequence[float], width: float, height: float) -> Shape:
    """A flat strip between two points (2,), facing up."""
    a, b = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    ahead = (b - a) / np.hypot(*(b - a))
    left = 0.5 * width * np.array([-ahead[1], ahead[0]])
    return polygon([a - left, b - left, b + left, a + left], height)


def bar(start: ArrayLike, end: ArrayLike, width: float) -> Shape:
    """A square bar between two points (3,), m, as long as needed for bars to meet at a corner."""
    a, b = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    ahead = unit(b - a)
    side = unit(cross(ahead, np.array([0.0, 0.0, 1.0]) if abs(ahead[2]) < 0.9 else np.array([1.0, 0.0, 0.0])))
    up = cross(ahead, side)
    half = width / 2
    corners = np.array([p + half * (i * ahead + j * side + k * up)
                        for p, i in ((a, -1), (b, 1)) for j, k in ((-1, -1), (1, -1), (1, 1), (-1, 1))])  # fmt: skip
    faces = [[0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7], [3, 2, 1, 0], [4, 5, 6, 7]]
    return corners, np.array([t for f in faces for t in (f[:3], [f[0], f[2], f[3]])])
