"""The vocabulary of a scene: plain, frozen data that knows no renderer.

Lengths in metres in the field frame, colours as ``#rrggbb``, times in seconds from the pitcher's release.
The page, pictures and files all read this and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

GHOST = "ghost "  # before the names of the parts and bodies of a second play

Floats = NDArray[np.float32]
Ints = NDArray[np.int32]


def nothing(*shape: int) -> Floats:
    """An array without rows, for what a part does not have."""
    return np.empty((0, *shape), dtype=np.float32)


@dataclass(frozen=True)
class Mesh:
    """Triangles.

    moves_with : the moving body whose pose applies to the points: "" (fixed), "bat" or "ball", and of a second play
        "ghost bat" or "ghost ball". "bat shadow" and "ball shadow" lie flat on the ground under the body: their x
        runs across, y up, z along the bat as it looks from above or, for the ball, along the field
    between : the two joints of the figure whose line +z follows, from the first of them on; empty: not a limb.
        Limbs are seen through as one body: of several behind each other only the nearest shows
    group : parts that are shown or hidden together, see `Scene.shown`
    fade : (n,) share of the opacity at each point; empty for all of it
    views : as for a tube
    """

    name: str
    points: Floats  # (n, 3) m, in the field frame, or in the body's own frame when it moves
    triangles: Ints  # (m, 3) indices into points
    color: str
    opacity: float = 1.0
    moves_with: str = ""
    smooth: bool = True
    lit: bool = True
    between: tuple[int, ...] = ()
    group: str = ""
    fade: Floats = field(default_factory=nothing)
    views: tuple[str, ...] = ()


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
    decision_time: float | None = None  # s, the latest moment a swing at this pitch can start
    joint_times: Floats = field(default_factory=nothing)  # (j,) s, rising; the figure holds still before and after
    joints: Floats = field(default_factory=lambda: nothing(0, 3))  # (j, i, 3) m, places of the figure's joints


@dataclass(frozen=True)
class Scene:
    """Everything there is to draw. ``cameras`` maps a view's name to its camera; ``camera`` starts.

    ``ghost_motion`` moves the bodies of a second play, by the same clock; None where there is none.
    theme : "light" or "dark", whose colours the parts have (see `theme`)
    account : the scene in words, for those who cannot see it
    shown : groups that are shown from the start
    """

    meshes: tuple[Mesh, ...]
    tubes: tuple[Tube, ...]
    marks: tuple[Marks, ...]
    labels: tuple[Label, ...]
    lights: tuple[Light, ...]
    cameras: dict[str, Camera]
    camera: str
    background: tuple[str, str]  # bottom and top colour
    motion: Motion
    ghost_motion: Motion | None = None
    theme: str = "light"
    account: str = ""
    shown: tuple[str, ...] = ()

    def moving(self, body: str) -> tuple[Motion, str]:
        """The motion of a body that a mesh names in ``moves_with``, and what that motion calls it."""
        if self.ghost_motion is not None and body.startswith(GHOST):
            return self.ghost_motion, body.removeprefix(GHOST)
        return self.motion, body
