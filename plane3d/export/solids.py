"""The scene at contact as solids for other 3-D programs: STL (one surface, z up) and GLB (parts with colours, y up)."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from plane3d.export.files import write_whole
from plane3d.export.subject import Subject, Wishes
from plane3d.frames import Array, cross, dot, unit
from plane3d.scene.apart import Progress
from plane3d.scene.parts import Marks, Mesh, Scene, Tube
from plane3d.scene.render import dashes, distinct, pose
from plane3d.scene.shapes import Shape, joined, sphere

MESHES = ("home plate", "strike zone", "bat grip", "bat barrel", "sweet spot", "ball", "seam")
SIDES = 12  # of a tube
# glTF is y up: x stays, z becomes y, y becomes -z.
UPRIGHT = np.array([[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, -1.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])


def solids(scene: Scene) -> Iterator[tuple[Mesh | Tube | Marks, Shape]]:
    """The parts of a scene that are things or lines, at contact or at the closest pass, each as a closed surface, m.

    Left out are the ground, which would reach to the horizon, shadows, the figure, and parts for certain views only.
    """
    t = scene.motion.closest_time
    for mesh in scene.meshes:
        if mesh.name in MESHES:
            motion, body = scene.moving(mesh.moves_with)
            points = mesh.points.astype(float)
            yield mesh, (pose(motion, body, t, points) if body else points, mesh.triangles.astype(np.intp))
    for line in scene.tubes:
        if len(line.points) and not line.views:
            pieces = dashes(line.points, line.radius) if line.dashed else unfolded(line.points)
            tubes = [tube(piece, line.radius) for piece in pieces if len(piece) > 1]
            if tubes:  # none for a gap of nothing
                yield line, joined(tubes)
    for marks in scene.marks:
        if len(marks.points) and not marks.views:
            ball, faces = sphere(marks.radius, 8, 12)
            yield marks, joined((ball + place, faces) for place in marks.points.astype(float))


def unfolded(line: Array) -> list[Array]:
    """A line (n, 3) in pieces that turn by less than a right angle from point to point: a tube cannot fold back."""
    line = distinct(np.asarray(line, dtype=float))
    steps = unit(np.diff(line, axis=0))
    folds = np.flatnonzero(dot(steps[:-1], steps[1:]) < 0.1) + 1
    ends = [0, *folds.tolist(), len(line) - 1]
    return [line[a : b + 1] for a, b in itertools.pairwise(ends)]


def tube(line: Array, radius: float, sides: int = SIDES) -> Shape:
    """A closed round tube along a line (n, 3) of distinct points; its rings are carried on without a twist."""
    line = np.asarray(line, dtype=float)
    steps = unit(np.diff(line, axis=0))
    ahead = unit(np.concatenate([steps[:1], steps[:-1] + steps[1:], steps[-1:]]))
    side = np.empty_like(line)
    least = np.eye(3)[np.abs(ahead[0]).argmin()]
    for n, way in enumerate(ahead):
        before = side[n - 1] if n else least
        side[n] = unit(before - dot(before, way) * way)
    up = cross(ahead, side)
    turn = np.arange(sides) * (2 * np.pi / sides)
    rings = line[:, None] + radius * (np.cos(turn)[:, None] * side[:, None] + np.sin(turn)[:, None] * up[:, None])
    points = np.concatenate([rings.reshape(-1, 3), line[[0, -1]]])
    k, j = (v.ravel() for v in np.meshgrid(np.arange(len(line) - 1), np.arange(sides), indexing="ij"))
    near, beside = k * sides + j, k * sides + (j + 1) % sides
    wall = [np.stack([near, beside, beside + sides], 1), np.stack([near, beside + sides, near + sides], 1)]
    here, last = np.arange(sides), (len(line) - 1) * sides
    beside = (here + 1) % sides
    first_cap = np.stack([np.full(sides, len(points) - 2), beside, here], axis=1)
    last_cap = np.stack([np.full(sides, len(points) - 1), last + here, last + beside], axis=1)
    return points, np.concatenate([*wall, first_cap, last_cap])


def scene_of_solids(scene: Scene) -> Any:
    """The solids as a `trimesh.Scene`, z up, with their names and colours."""
    import trimesh  # here, because only solids need it

    whole = trimesh.Scene()
    for part, (points, triangles) in solids(scene):
        body = trimesh.Trimesh(points, triangles, process=False)
        if getattr(part, "smooth", True):
            body.merge_vertices()
        else:
            body.unmerge_vertices()  # each face its own corners, and so its own way to face
        body.visual = trimesh.visual.TextureVisuals(material=_material(part.color, part.opacity))
        whole.add_geometry(body, node_name=part.name, geom_name=part.name)
    return whole


def _material(color: str, opacity: float) -> Any:
    from trimesh.visual.material import PBRMaterial

    shades = np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    linear = np.where(shades <= 0.04045, shades / 12.92, ((shades + 0.055) / 1.055) ** 2.4)  # glTF's colours, from sRGB
    return PBRMaterial(
        baseColorFactor=[*linear.tolist(), opacity], metallicFactor=0.0, roughnessFactor=0.7,
        alphaMode="BLEND" if opacity < 1 else "OPAQUE", doubleSided=True,
    )  # fmt: skip


def write_stl(subject: Subject, path: Path, wishes: Wishes, painter: Any, progress: Progress) -> None:
    """Write the solids as one binary STL, metres, z up."""
    write_whole(scene_of_solids(subject.scene).to_mesh().export(file_type="stl"), path)


def write_glb(subject: Subject, path: Path, wishes: Wishes, painter: Any, progress: Progress) -> None:
    """Write the solids as binary glTF, metres, y up as that standard has it."""
    whole = scene_of_solids(subject.scene)
    for body in whole.geometry.values():
        body.apply_transform(UPRIGHT)
    write_whole(whole.export(file_type="glb", include_normals=True), path)
