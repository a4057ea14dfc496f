"""The things on the field that do not depend on the swing: ground, plate, zone, bat, ball and their shadows.

Each is made once and kept.
"""

from __future__ import annotations

import itertools
from functools import lru_cache

import numpy as np

from plane3d.constants import (
    BOX_GAP,
    BOX_LENGTH,
    BOX_WIDTH,
    PLATE_FRONT_Y,
    PLATE_SIDE,
    ZONE_BOTTOM_SHARE,
    ZONE_TOP_SHARE,
)
from plane3d.frames import Array, Y, Z
from plane3d.physics.bat import Bat
from plane3d.physics.field import plate_corners
from plane3d.scene import style
from plane3d.scene.parts import Mesh
from plane3d.scene.shapes import (
    Shape,
    bar,
    disc,
    faded_disc,
    faded_strip,
    floats,
    indices,
    joined,
    revolved,
    ribbon,
    seam,
    slab,
    sphere,
)

INCHES = 0.0254
# Layers a few millimetres apart, the plate's top at zero: nothing flickers, nothing is visibly raised.
GRASS_Z, DIRT_Z, CHALK_Z = -0.018, -0.012, -0.006
GRASS_REACH, GRASS_SIDES = 96.0, 48  # m
STRIPE = 4.0  # m, width of a mowing stripe
HAZE = ((30.0, 0.0), (52.0, 0.45), (74.0, 0.85), (GRASS_REACH + STRIPE, 1.0))  # m from the plate, share
HAZE_Z = 0.05
# Shadows lie over everything flat, each on a level of its own, so that they cannot flicker where they cross.
SHADOW_Z = {"figure": 0.003, "bat": 0.004, "ball": 0.005}
SHADOW_RIM = 0.03  # m
CHALK = 3 * INCHES  # width of a line; common practice, no source
LINE_LENGTH = 60.0  # m of foul line drawn
# Shares of the base length; 13 ft and 9 ft round at 90 ft (rule-book diagram, from memory), path own choice
HOME_CIRCLE, PITCHING_CIRCLE, BASE_PATH = 13 / 90, 9 / 90, 6 / 90
BASE_SIDE, BASE_HEIGHT = 15 * INCHES, 3 * INCHES  # rule book until 2022, from memory
RUBBER_WIDTH, RUBBER_DEPTH = 24 * INCHES, 6 * INCHES  # rule book, from memory
BAT_STATIONS = 72
BAND_WIDTH, BAND_RISE = 0.010, 0.0008  # m, the ring that marks the sweet spot


def mesh(name: str, shape: Shape, color: str, **looks: object) -> Mesh:
    """A mesh of the scene from a shape."""
    points, triangles = shape
    return Mesh(name, floats(points), indices(triangles), color, **looks)  # type: ignore[arg-type]


@lru_cache(maxsize=16)
def ground(base: float, rubber: float) -> tuple[Mesh, ...]:
    """Grass, dirt, chalk lines, plate, pitcher's plate and bases.

    What is flat is not lit: it would come out in its own colour anyway, since the lights add up to one on level
    ground (`style.LIGHTS`), and most of a picture is ground, so that working it out would be wasted on every frame.

    base, rubber : m, base length and pitching distance
    """
    plain, cut = _grass()
    haze, share = faded_disc(HAZE)
    return (
        mesh("grass", plain, style.GRASS, smooth=False, lit=False),
        mesh("grass, cut the other way", cut, style.GRASS_CUT, smooth=False, lit=False),
        mesh("dirt", _dirt(base, rubber), style.DIRT, smooth=False, lit=False),
        mesh("chalk lines", _chalk(), style.CHALK, smooth=False, lit=False),
        mesh("home plate", slab(plate_corners(), GRASS_Z, 0.0), style.PLATE, smooth=False),
        mesh("bases", _bases(base, rubber), style.PLATE, smooth=False),
        mesh("haze", (haze[0] + HAZE_Z * Z, haze[1]), style.HAZE, opacity=style.HAZE_OPACITY,
             smooth=False, lit=False, fade=floats(share)),
    )  # fmt: skip


def _grass() -> tuple[Shape, Shape]:
    """Grass in mowing stripes round the plate, by which distance is seen: one way of cutting, the other.

    Made of small pieces: one that reaches from behind the viewer to the horizon is drawn wrongly by some renderers.
    """
    edges = np.arange(0.0, GRASS_REACH + STRIPE, STRIPE)
    rings = [faded_disc([(a, 1.0), (b, 1.0)], GRASS_SIDES)[0] for a, b in itertools.pairwise(edges)]
    lowered = [(points + GRASS_Z * Z, triangles) for points, triangles in rings]
    return joined(lowered[::2]), joined(lowered[1::2])


def _dirt(base: float, rubber: float) -> Shape:
    corner = base / np.sqrt(2.0)
    paths = [ribbon((0, 0), (s * corner, corner), BASE_PATH * base, DIRT_Z - 0.001) for s in (-1, 1)]
    round_home = disc((0.0, 0.0), HOME_CIRCLE * base, DIRT_Z)
    return joined([round_home, disc((0.0, rubber), PITCHING_CIRCLE * base, DIRT_Z), *paths])


def _chalk() -> Shape:
    inner, outer = PLATE_SIDE + BOX_GAP, PLATE_SIDE + BOX_GAP + BOX_WIDTH
    middle = PLATE_FRONT_Y / 2
    low, high = middle - BOX_LENGTH / 2, middle + BOX_LENGTH / 2
    half = CHALK / 2  # the rule-book size is to the outside of the lines
    lines = []
    for s in (-1.0, 1.0):
        lines += [ribbon((s * x, low), (s * x, high), CHALK, CHALK_Z) for x in (inner + half, outer - half)]
        lines += [ribbon((s * inner, y), (s * outer, y), CHALK, CHALK_Z) for y in (low + half, high - half)]
        lines.append(ribbon((s * high, high), (s * LINE_LENGTH, LINE_LENGTH), CHALK, CHALK_Z))
    return joined(lines)


def _bases(base: float, rubber: float) -> Shape:
    corner, step = base / np.sqrt(2.0), BASE_SIDE / np.sqrt(2.0)
    diamond = np.array([[0.0, -step], [step, 0.0], [0.0, step], [-step, 0.0]])
    first = np.array([corner - step, corner])  # its outer edge lies on the foul line
    bases = [first, first * [-1, 1], np.array([0.0, 2 * corner])]
    half = RUBBER_WIDTH / 2
    plate = [[-half, rubber], [half, rubber], [half, rubber + RUBBER_DEPTH], [-half, rubber + RUBBER_DEPTH]]
    return joined([*(slab(diamond + c, 0.0, BASE_HEIGHT) for c in bases), slab(plate, DIRT_Z, 0.0)])


def zone_height(hitter_height: float) -> tuple[float, float]:
    """Bottom and top of the strike zone, m, as shares of the hitter's height (from memory, see constants)."""
    return ZONE_BOTTOM_SHARE * hitter_height, ZONE_TOP_SHARE * hitter_height


@lru_cache(maxsize=16)
def strike_zone(hitter_height: float) -> tuple[Mesh, ...]:
    """The edges of the space over the plate, and its front side."""
    bottom, top = zone_height(hitter_height)
    corners = plate_corners()
    low, high = (np.column_stack([corners, np.full(5, z)]) for z in (bottom, top))
    edges = [(a, b) for ring in (low, high) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
    edges += list(zip(low, high, strict=True))
    frame = joined(bar(a, b, style.ZONE_EDGE) for a, b in edges)
    return (mesh("strike zone", frame, style.STRIKE_ZONE, opacity=style.ZONE_OPACITY, smooth=False, lit=False),)


def bat(model: Bat) -> tuple[Mesh, ...]:
    """The bat in its own frame: grip, barrel, a ring at the sweet spot; and its shadow."""
    return _bat(model.station.tobytes(), model.radius.tobytes(), model.grip_end, model.sweet_spot)


@lru_cache(maxsize=32)
def _bat(station_bytes: bytes, radius_bytes: bytes, grip_end: float, sweet_spot: float) -> tuple[Mesh, ...]:
    station, radius = np.frombuffer(station_bytes), np.frombuffer(radius_bytes)
    even = np.linspace(0.0, station[-1], BAT_STATIONS)
    along = np.unique(np.append(station, grip_end))
    reach = np.interp(along, station, radius)
    hold, rest = along <= grip_end, along >= grip_end
    band = sweet_spot + BAND_WIDTH * np.array([-0.5, 0.5])
    return (
        mesh("bat grip", revolved(along[hold], reach[hold]), style.GRIP, moves_with="bat"),
        mesh("bat barrel", revolved(along[rest], reach[rest]), style.WOOD, moves_with="bat"),
        mesh("sweet spot", revolved(band, np.interp(band, station, radius) + BAND_RISE), style.BARREL_PATH,
             moves_with="bat"),
        _shadow("bat", *faded_strip(even, np.interp(even, station, radius), SHADOW_RIM)),
    )  # fmt: skip


def _shadow(body: str, shape: Shape, share: Array) -> Mesh:
    """A shadow in its own frame: y is up."""
    points, triangles = shape
    lifted = points + SHADOW_Z[body] * Y
    return mesh(f"{body} shadow", (lifted, triangles), style.SHADOW, opacity=style.SHADOW_OPACITY,
                moves_with=f"{body} shadow", smooth=False, lit=False, fade=floats(share))  # fmt: skip


@lru_cache(maxsize=8)
def ball(radius: float) -> tuple[Mesh, ...]:
    """The ball in its own frame, its seam, by which its turning is seen, and its shadow."""
    (flat, triangles), share = faded_disc([(0.0, 1.0), (0.6 * radius, 1.0), (radius + SHADOW_RIM, 0.0)], sides=24)
    return (
        mesh("ball", sphere(radius), style.BALL, moves_with="ball"),
        mesh("seam", seam(radius), style.SEAM, moves_with="ball"),
        _shadow("ball", (flat[:, [0, 2, 1]], triangles), share),
    )
