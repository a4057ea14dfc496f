"""The vocabulary of a scene: plain, frozen data that knows no renderer.

Lengths in metres in the field frame, colours as ``#rrggbb``, times in seconds from the pitcher's release.
The page, pictures and files all read this and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Ints = NDArray[np.int32]


@dataclass(frozen=True)
class Mesh:
    """Triangles. ``moves_with`` names the moving body whose pose applies to the points: "" (fixed), "bat" or "ball"."""

    name: str
    points: Floats  # (n, 3) m, in the field frame, or in the body's own frame when it moves
    triangles: Ints  # (m, 3) indices into points
    color: str
    opacity: float = 1.0
    moves_with: str = ""
    smooth: bool = True
    lit: bool = True


@dataclass(frozen=True)
class Tube:
    """A round line. Only its centre line is stored; each renderer builds the surface.

    views : names of the views it belongs to; empty for all of them. The same for marks and labels.
    """

    name: str
    points: Floats  # (n, 3) m; an empty array hides it
    radius: float  # m
    color: str
    opacity: float = 1.0
    dashed: bool = False
    views: tuple[str, ...] = ()


@dataclass(frozen=True)
class Marks:
    """Small balls at points, such as the places of the ball at equal times."""

    name: str
    points: Floats  # (n, 3) m
    radius: float  # m
    color: str
    opacity: float = 1.0
    views: tuple[str, ...] = ()


@dataclass(frozen=True)
class Label:
    """A word at a point. The renderer draws the words flat over the picture, never inside the 3-D scene."""

    name: str
    text: str
    position: tuple[float, float, float]
    color: str = "#222222"
    views: tuple[str, ...] = ()


@dataclass(frozen=True)
class Camera:
    """Where the viewer stands. ``view_angle_deg`` is the vertical opening."""

    position: tuple[float, float, float]
    focal_point: tuple[float, float, float]
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)
    view_angle_deg: float = 30.0


@dataclass(frozen=True)
class Light:
    """A directional light shining from ``position`` toward ``focal_point``."""

    position: tuple[float, float, float]
    focal_point: tuple[float, float, float] = (0.0, 0.0, 0.0)
    intensity: float = 1.0
    color: str = "#ffffff"


@dataclass(frozen=True)
class Motion:
    """Sampled poses for playback. A pose is a position (m) and a unit quaternion (w, x, y, z) taking the
    body's own frame to the field frame. The bat's own frame has its axis along +z from knob (0) to tip."""

    times: Floats  # (k,) s, rising, not necessarily evenly spaced
    bat_position: Floats  # (k, 3) the knob
    bat_rotation: Floats  # (k, 4)
    ball_position: Floats  # (k, 3) the centre
    ball_rotation: Floats  # (k, 4)
    contact_time: float | None  # s of first touch; None for a miss
    closest_time: float  # s of first touch or, for a miss, of the closest pass


@dataclass(frozen=True)
class Scene:
    """Everything there is to draw. ``cameras`` maps a view's name to its camera; ``camera`` starts."""

    meshes: tuple[Mesh, ...]
    tubes: tuple[Tube, ...]
    marks: tuple[Marks, ...]
    labels: tuple[Label, ...]
    lights: tuple[Light, ...]
    cameras: dict[str, Camera]
    camera: str
    background: tuple[str, str]  # bottom and top colour
    motion: Motion
