"""A scene as pictures, drawn off screen in this process; `apart` draws in one of its own."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from plane3d.frames import Array, cross, norm, unit
from plane3d.scene import style
from plane3d.scene.labels import TEXT_SHARE, write_labels
from plane3d.scene.parts import Camera, Label, Light, Marks, Mesh, Motion, Scene, Tube
from plane3d.scene.view import opening, project

Picture = NDArray[np.uint8]
SIZE = (1280, 720)
TUBE_SIDES = 16
SLICES = 24  # of a body, when words have to be kept off it
SHADOW = " shadow"
CORNERS = np.vstack([np.zeros(3), np.eye(3)])  # the origin and one step along each axis
UNSEEN = 0.001  # an opacity that changes no pixel


def picture(scene: Scene, view: str | None = None, t: float | None = None, size: tuple[int, int] = SIZE) -> Picture:
    """The scene drawn in this process.

    Parameters
    ----------
    view : name of a camera; None for the one the scene starts from
    t : s from release; None for the moment of contact or of the closest pass
    size : width and height, pixels

    Returns
    -------
    (height, width, 3) uint8. Raises KeyError for a view the scene does not have.
    """
    view = view or scene.camera
    camera = scene.cameras[view]
    time = scene.motion.closest_time if t is None else t
    with Drawing(scene, size, view) as drawing:
        image = drawing.at(time, camera)
    return with_labels(scene, image, view, time)


def with_labels(scene: Scene, image: Picture, view: str, t: float, share: float = TEXT_SHARE) -> Picture:
    """A picture of the scene from a view at time t (s) with the words that belong to it, clear of bat and ball.

    share : height of the letters, of the picture's shorter side
    """
    camera, size = scene.cameras[view], (image.shape[1], image.shape[0])
    labels = [label for label in scene.labels if _belongs(label, view)]
    return write_labels(image, labels, camera, scene.theme, covered(scene, camera, t, size), share)


class Drawing:
    """A scene on a window that is never shown: set up once, then drawn at any time from any camera.

    To be used in a ``with`` statement.

    Parameters
    ----------
    size : width and height, pixels
    view : name of the view whose parts are shown
    many : whether many pictures are wanted: half the time for each, its edges a little less smooth
    """

    def __init__(self, scene: Scene, size: tuple[int, int], view: str, many: bool = False):
        import pyvista  # here, because importing it loads a graphics library

        self._size = size
        self._actors: list[tuple[str, Any]] = []
        self._placed: list[tuple[Any, Callable[[float], Array]]] = []
        self._plotter = plotter = pyvista.Plotter(off_screen=True, window_size=list(size), lighting="none")
        plotter.set_background(scene.background[0], top=scene.background[1])
        for light in scene.lights:
            plotter.add_light(_light(pyvista, light))
        for part in _in_order(scene, view):
            actor = _add(pyvista, plotter, part)
            if actor is None:
                continue
            self._actors.append((part.name, actor))
            if isinstance(part, Mesh) and (moves := _moves(scene, part)):
                self._placed.append((actor, moves))
        if many:
            plotter.enable_anti_aliasing("msaa", multi_samples=4)
        else:
            plotter.enable_anti_aliasing("ssaa")

    def at(self, t: float, camera: Camera, without: Collection[str] = ()) -> Picture:
        """The scene without its words at time t (s from release), (height, width, 3) uint8.

        without : names of parts that are left out
        """
        for name, actor in self._actors:
            actor.visibility = name not in without
        for actor, moves in self._placed:
            actor.user_matrix = moves(t)
        _stand(self._plotter, camera, self._size[0] / self._size[1])
        self._plotter.render()
        return np.asarray(self._plotter.screenshot(return_img=True))[..., :3]

    def __enter__(self) -> Drawing:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._plotter.close()


def get_ready() -> None:
    """Load the graphics library and draw nothing once, so that the first picture comes half a second sooner."""
    import pyvista

    plotter = pyvista.Plotter(off_screen=True, window_size=[16, 16])
    plotter.screenshot(return_img=True)
    plotter.close()


def _moves(scene: Scene, mesh: Mesh) -> Callable[[float], Array] | None:
    """The matrix (4, 4) that takes a mesh's own frame to the field frame at time t; None if it is fixed."""
    motion, body = scene.moving(mesh.moves_with)
    if mesh.between:
        return lambda t: _matrix(limb(motion, mesh.between, t, CORNERS))
    return (lambda t: _matrix(pose(motion, body, t, CORNERS))) if body else None


def _matrix(corners: Array) -> Array:
    """The rigid motion (4, 4) that takes `CORNERS` to the given points (4, 3)."""
    matrix = np.eye(4)
    matrix[:3, 3] = corners[0]
    matrix[:3, :3] = (corners[1:] - corners[0]).T
    return matrix


def covered(scene: Scene, camera: Camera, t: float, size: tuple[int, int]) -> list[tuple[float, float, float, float]]:
    """Boxes (left, top, right, bottom), pixels, that together cover bat and ball at time t, slice by slice."""
    boxes = []
    for mesh in scene.meshes:
        motion, body = scene.moving(mesh.moves_with)
        if body not in ("bat", "ball"):
            continue
        pixels, before = project(camera, size, pose(motion, body, t, mesh.points))
        along = mesh.points[:, 2]
        slices = np.linspace(along.min(), along.max() + 1e-6, SLICES + 1)
        for low, high in itertools.pairwise(slices):
            part = pixels[(along >= low - (slices[1] - slices[0])) & (along <= high) & before]
            if len(part):
                boxes.append((*part.min(axis=0).tolist(), *part.max(axis=0).tolist()))
    return boxes


def _in_order(scene: Scene, view: str) -> list[Mesh | Tube | Marks]:
    """The parts this view shows, as the page draws them: solid ones, see-through ones, and last those seen as one body,
    first only how far away they are and then their colour, so that nothing shows through but what is behind them."""
    meshes = [mesh for mesh in scene.meshes if not mesh.group or mesh.group in scene.shown]
    body = [mesh for mesh in meshes if mesh.between and _belongs(mesh, view)]
    parts: list[Mesh | Tube | Marks] = [*(m for m in meshes if not m.between), *scene.tubes, *scene.marks]
    rest = sorted((part for part in parts if _belongs(part, view)), key=lambda part: part.opacity < 1.0)
    return [*rest, *(replace(part, opacity=UNSEEN) for part in body), *body]


def _belongs(part: Mesh | Tube | Marks | Label, view: str) -> bool:
    """Some parts are for certain views only."""
    return not part.views or view in part.views


def _light(pyvista: Any, light: Light) -> Any:
    lamp = pyvista.Light(
        position=light.position, focal_point=light.focal_point, color=light.color, intensity=light.intensity,
        light_type="scene light",
    )  # fmt: skip
    lamp.positional = False
    return lamp


def _add(pyvista: Any, plotter: Any, part: Mesh | Tube | Marks) -> Any:
    """What the renderer made of a part, None for an empty one."""
    surface = _surface(pyvista, part)
    if surface is None or not surface.n_points:
        return None
    smooth = part.smooth if isinstance(part, Mesh) else True
    lit = part.lit if isinstance(part, Mesh) else True
    looks: dict[str, Any] = {"smooth_shading": smooth, "lighting": lit}
    if isinstance(part, Mesh) and len(part.fade):
        shade = np.round(255 * part.opacity * part.fade).astype(np.uint8)
        color = [np.full(len(shade), int(part.color[i : i + 2], 16), np.uint8) for i in (1, 3, 5)]
        actor = plotter.add_mesh(surface, scalars=np.column_stack([*color, shade]), rgb=True, **looks)
    else:
        # A see-through tube shows its near side only; both sides would blend in stripes.
        culling = "back" if isinstance(part, Tube) and part.opacity < 1.0 else None
        actor = plotter.add_mesh(surface, color=part.color, opacity=part.opacity, culling=culling, **looks)
    actor.ForceOpaqueOn()  # drawn in the order given
    return actor


def _surface(pyvista: Any, part: Mesh | Tube | Marks) -> Any:
    """A part as the renderer's own data; a mesh that moves in its own frame."""
    if len(part.points) == 0:
        return None
    if isinstance(part, Mesh):
        return pyvista.PolyData.from_regular_faces(part.points, part.triangles)
    if isinstance(part, Marks):
        ball = pyvista.Sphere(radius=part.radius, theta_resolution=16, phi_resolution=16)
        return pyvista.PolyData(part.points).glyph(geom=ball, scale=False, orient=False)
    lines = dashes(part.points, part.radius) if part.dashed else [part.points]
    lines = [line for line in map(distinct, lines) if len(line) > 1]
    tubes = [pyvista.MultipleLines(line).tube(radius=part.radius, n_sides=TUBE_SIDES, capping=True) for line in lines]
    return pyvista.merge(tubes) if tubes else None


def distinct(line: Array) -> Array:
    """A line (n, 3) without points that repeat the one before: they have no direction."""
    return line[np.concatenate([[True], norm(np.diff(line, axis=0)) > 1e-6])]


def dashes(line: Array, radius: float) -> list[Array]:
    """A line (n, 3) cut into dashes by its length, starting with paint."""
    line = distinct(np.asarray(line, dtype=float))
    along = np.concatenate([[0.0], np.cumsum(norm(np.diff(line, axis=0)))])

    def at(distance: Array) -> Array:
        return np.stack([np.interp(distance, along, line[:, k]) for k in range(3)], axis=-1)

    starts = np.arange(0.0, along[-1], (style.DASH + style.GAP) * radius)
    ends = np.minimum(starts + style.DASH * radius, along[-1])
    return [at(np.concatenate([[a], along[(along > a) & (along < b)], [b]])) for a, b in zip(starts, ends, strict=True)]


def pose(motion: Motion, body: str, t: float, points: Array) -> Array:
    """Points (n, 3) from a body's own frame to the field frame at time t (s), between the two samples around it.

    body : "bat", "ball", or the shadow of either
    """
    if body.endswith(SHADOW):
        return _under(motion, body.removesuffix(SHADOW), t, points)
    position, rotation = getattr(motion, f"{body}_position"), getattr(motion, f"{body}_rotation")
    high = int(np.clip(np.searchsorted(motion.times, t), 1, len(motion.times) - 1))
    start, end = motion.times[high - 1], motion.times[high]
    share = float(np.clip((t - start) / (end - start), 0.0, 1.0))
    turn = _between(rotation[high - 1].astype(float), rotation[high].astype(float), share)
    there = position[high - 1] + share * (position[high] - position[high - 1])
    v = np.broadcast_to(turn[1:], points.shape)
    doubled = 2.0 * cross(v, points)
    return points + turn[0] * doubled + cross(v, doubled) + there


def _under(motion: Motion, body: str, t: float, points: Array) -> Array:
    """Points of a shadow on the ground, see `Mesh`."""
    foot, tip = pose(motion, body, t, np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 1.0]])) * [1.0, 1.0, 0.0]
    along = np.array([0.0, 1.0, 0.0]) if body == "ball" else tip - foot
    up = np.array([0.0, 0.0, 1.0])
    return foot + points @ np.stack([unit(cross(up, along)), up, along])


def limb(motion: Motion, between: tuple[int, ...], t: float, points: Array) -> Array:
    """Points (n, 3) of a limb from its own frame, whose +z runs between two joints, to the field frame at time t."""
    start, end = (
        np.array([np.interp(t, motion.joint_times, motion.joints[:, joint, k]) for k in range(3)]) for joint in between
    )
    along = unit(end - start)
    side = unit(cross(along, np.array([0.0, 0.0, 1.0]) if abs(along[2]) < 0.9 else np.array([1.0, 0.0, 0.0])))
    return start + points @ np.stack([side, cross(along, side), along])


def _between(a: Array, b: Array, share: float) -> Array:
    """The turn between two unit quaternions (4,), by the shorter way."""
    cosine = float(np.clip(a @ b, -1.0, 1.0))
    angle = np.arccos(abs(cosine))
    if angle < 1e-6:
        return a
    sign = np.copysign(1.0, cosine)
    return (np.sin((1.0 - share) * angle) * a + sign * np.sin(share * angle) * b) / np.sin(angle)


def _stand(plotter: Any, camera: Camera, aspect: float) -> None:
    plotter.camera.position = camera.position
    plotter.camera.focal_point = camera.focal_point
    plotter.camera.up = camera.up
    plotter.camera.view_angle = np.degrees(opening(camera, aspect))
    plotter.renderer.ResetCameraClippingRange()


def save(image: Picture, path: str | Path) -> None:
    """Write a picture as PNG, or as what the ending of the path says."""
    from PIL import Image

    Image.fromarray(image).save(path)
