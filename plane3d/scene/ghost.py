"""A second play in the scene of a first: its lines dashed and thin, its bat and ball striped and see-through.

Pattern tells the two apart, colour keeps its meaning, and words say which is which.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from plane3d.frames import norm
from plane3d.language import mark, tr
from plane3d.scene import style
from plane3d.scene.parts import GHOST, Label, Mesh, Motion, Scene, Tube

LINES = ("pitch line", "barrel path", "batted ball")
NAMED = (*LINES, "below the line")
WORDS = mark("Second: {name}")
SAME_PLACE = 0.03  # m; a label of the second this near to the first's would say the same thing twice
OPACITY = 0.45
STRIPES = {"bat": 0.05, "ball": 0.018}  # m along the body's own z, painted and clear in turn


def ghost(scene: Scene, other: Scene, from_contact: bool = False) -> Scene:
    """The first scene with the second play in it; ground, plate and strike zone are the first's.

    Parameters
    ----------
    scene, other : scenes of single plays, as `describe` makes them
    from_contact : whether both clocks agree at contact (or the closest pass) instead of at the pitcher's release
    """
    bodies = [(body, [mesh for mesh in other.meshes if mesh.moves_with == body]) for body in STRIPES]
    return replace(
        scene,
        meshes=(*scene.meshes, *(part for body, meshes in bodies for part in _striped(body, meshes))),
        tubes=(*scene.tubes, *(_dashed(tube) for tube in other.tubes if tube.name in LINES)),
        labels=(*scene.labels, *_named(scene.labels, other.labels)),
        ghost_motion=_from_contact(other.motion, scene.motion.closest_time) if from_contact else other.motion,
    )


def _dashed(tube: Tube) -> Tube:
    return replace(tube, name=GHOST + tube.name, radius=style.THIN_RADIUS, dashed=True)


def _striped(body: str, meshes: Iterable[Mesh]) -> Iterable[Mesh]:
    """Each mesh of a body as painted stripes and, between them, its own surface seen through."""
    for mesh in meshes:
        low = mesh.points[mesh.triangles][..., 2].min(axis=1)  # of each triangle: both of a quad fall to one stripe
        painted = np.floor(low / STRIPES[body]).astype(int) % 2 == 0
        moved = replace(mesh, name=GHOST + mesh.name, moves_with=GHOST + body)
        yield replace(moved, triangles=mesh.triangles[~painted], opacity=OPACITY)
        yield replace(moved, name=f"{moved.name} stripes", triangles=mesh.triangles[painted], color=style.INK)


def _named(first: tuple[Label, ...], second: tuple[Label, ...]) -> Iterable[Label]:
    """The names of the second's lines, where they are not those of the first at the same place."""
    known = {label.name: label for label in first}
    for label in second:
        if label.name not in NAMED:
            continue
        twin = known.get(label.name)
        if twin and norm(np.subtract(twin.position, label.position)) < SAME_PLACE and twin.text == label.text:
            continue
        words = label.text[0].lower() + label.text[1:]
        yield replace(label, name=GHOST + label.name, text=tr(WORDS, name=words))


def _from_contact(motion: Motion, contact: float) -> Motion:
    """The motion shifted in time so that its own contact falls on another (s)."""
    shift = contact - motion.closest_time
    return replace(
        motion,
        times=motion.times + np.float32(shift),
        contact_time=None if motion.contact_time is None else contact,
        closest_time=contact,
    )
