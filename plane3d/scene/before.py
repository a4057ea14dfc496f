"""A scene that does not tell what happens: pitch and swing up to just before they meet, and nothing that follows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from plane3d.language import mark, tr
from plane3d.play import Play
from plane3d.scene import style
from plane3d.scene.describe import PITCH_POINTS, SWING_POINTS
from plane3d.scene.parts import Mesh, Motion, Scene
from plane3d.scene.shapes import floats

SHORT = 0.012  # s before the meeting at which everything stops: an adult's bat and ball are still some 2 ft apart
CUT = ("pitch line", "barrel path", "hand path", "pitch marks")  # may be seen up to then
WHOLE = ("second pitch line", "second pitch marks")  # tell nothing of the answer
TELLING = ("drop lines",)  # meshes that stand where ball and bat meet
ACCOUNT = mark("The pitch and the swing, up to just before they meet.")
NOTHING = floats(np.empty((0, 3)))


def before_contact(scene: Scene, play: Play) -> Scene:
    """The scene of a play, stopped `SHORT` before the first touch or the closest pass.

    Of lines, marks and words only those of pitch and swing stay, so that nothing added to a scene later can give the
    answer away unless it is named here.
    """
    end = play.closest_time - SHORT
    flown = np.linspace(0.0, end, PITCH_POINTS)
    swung = np.linspace(play.launch_time, max(end, play.launch_time), SWING_POINTS)
    seen = {
        "pitch line": play.pitch_at(flown),
        "barrel path": play.sweet_spot_at(swung),
        "hand path": play.hands_at(swung),
        "pitch marks": play.pitch_at(np.arange(0.0, end, style.MARK_INTERVAL)),
    }

    def shown(part: Any) -> Any:
        if part.name in WHOLE:
            return part
        return replace(part, points=floats(seen[part.name]) if part.name in CUT else NOTHING)

    return replace(
        scene,
        meshes=tuple(_emptied(mesh) if mesh.name in TELLING else mesh for mesh in scene.meshes),
        tubes=tuple(map(shown, scene.tubes)),
        marks=tuple(map(shown, scene.marks)),
        labels=tuple(label for label in scene.labels if label.name in (*CUT, *WHOLE)),
        motion=_until(scene.motion, end),
        account=tr(ACCOUNT),
    )


def _emptied(mesh: Mesh) -> Mesh:
    return replace(mesh, points=NOTHING, triangles=np.empty((0, 3), dtype=np.int32), fade=floats(np.empty(0)))


def _until(motion: Motion, end: float) -> Motion:
    """The motion up to a time; it does not say whether there is a touch."""
    kept = max(int(np.searchsorted(motion.times, end, side="right")), 1)
    poses = ("times", "bat_position", "bat_rotation", "ball_position", "ball_rotation")
    short = {name: getattr(motion, name)[:kept] for name in poses}
    return replace(motion, **short, contact_time=None, closest_time=float(short["times"][-1]))
