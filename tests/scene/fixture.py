"""A small invented scene for tests of the stage: simple shapes and a plausible motion, no physics."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plane3d.constants import BASEBALL_RADIUS, PLATE_FRONT_Y, PLATE_SIDE
from plane3d.scene.parts import Camera, Label, Light, Marks, Mesh, Motion, Scene, Tube

ORANGE, GREEN, GREY, YELLOW = "#E69F00", "#009E73", "#777777", "#F0E442"
CONTACT = 0.420  # s
START, END = 0.0, 0.620
BAT_LENGTH = 0.84


def scene(below: float = 0.0, touch: bool = True, camera: str = "catcher") -> Scene:
    """A plate, a bat, a ball, two lines and their words; the barrel passes ``below`` (m) the ball."""
    motion = _motion(below, touch)
    before = motion.times <= CONTACT
    tips = np.array([_axis(t, below)[0] + BAT_LENGTH * _axis(t, below)[1] for t in motion.times[before]])
    x, y, z = (float(v) for v in motion.ball_position[300])
    return Scene(
        meshes=(_ground(), _plate(), _zone(), _bat(), _ball()),
        tubes=(
            Tube("pitch line", motion.ball_position[before], 0.012, ORANGE),
            Tube("barrel path", tips[-60:].astype(np.float32), 0.012, GREEN),
            Tube("aim", _line((0, 0.2, 0.02), (0, 3.0, 0.02)), 0.006, GREY, dashed=True),
        ),
        marks=(Marks("ball marks", motion.ball_position[before][::40], BASEBALL_RADIUS, ORANGE),),
        labels=(
            Label("pitch line", "Pitch line", (x, y, z)),
            Label("gap", f"{below * 100:.1f} cm below the line", (0.0, 0.6, 0.85)),
            Label("behind", "Behind the catcher", (0.0, -30.0, 1.0)),
        ),
        lights=(
            Light((-3, -6, 8), intensity=0.7),
            Light((6, 2, 3), intensity=0.3),
            Light((-1, -3, -6), intensity=0.35),
        ),
        cameras={
            "catcher": Camera((0.0, -2.6, 1.3), (0.0, 1.0, 0.7), view_angle_deg=40),
            "pitcher": Camera((0.0, 9.0, 1.8), (0.0, 0.0, 0.8), view_angle_deg=24),
            "above": Camera((0.0, 0.6, 6.0), (0.0, 0.6, 0.7), up=(0.0, 1.0, 0.0), view_angle_deg=34),
            "side": Camera((5.0, 0.9, 1.2), (0.0, 0.9, 0.8), view_angle_deg=34),
            "hitter": Camera((-0.8, 0.1, 1.75), (0.0, 3.0, 0.9), view_angle_deg=50),
        },
        camera=camera,
        background=("#dfe7ee", "#f7fafc"),
        motion=motion,
    )


def _line(start: tuple[float, ...], end: tuple[float, ...]) -> NDArray[np.float32]:
    return np.linspace(start, end, 40).astype(np.float32)


def _axis(time: float, below: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Knob and direction of the bat: a turn at 40 rad/s about a point inside the knob, square at contact."""
    turned = np.clip(40.0 * (time - CONTACT), -3.0, 1.6)
    knob = np.array([-0.65, 0.55, 0.95 - below])
    flat = np.array([np.cos(turned), np.sin(turned), -0.25])
    return knob, flat / np.linalg.norm(flat)


def _motion(below: float, touch: bool) -> Motion:
    times = np.concatenate([np.linspace(START, CONTACT, 421), np.linspace(CONTACT, END, 201)[1:]])
    knob, axis = zip(*(_axis(t, below) for t in times), strict=True)
    knobs, axes = np.array(knob), np.array(axis)
    middle = np.cross([0, 0, 1], axes)  # the half-way turn from +z to the axis
    turns = np.column_stack([1 + axes[:, 2], middle])
    turns /= np.linalg.norm(turns, axis=1, keepdims=True)
    after = np.clip(times - CONTACT, 0, None)[:, None]
    start, met = np.array([-0.5, 16.5, 1.8]), np.array([0.0, 0.62, 0.8])
    share = np.clip(times / CONTACT, 0, 1)[:, None]
    drop = np.array([0, 0, 0.9]) * share * (1 - share)
    hit = np.array([2.0, 38.0, 15.0]) if touch else np.array([0.2, -38.0, -1.0])
    balls = start + share * (met - start) + drop + hit * after
    spin = 200.0 * times
    ball_turns = np.column_stack([np.cos(spin / 2), np.sin(spin / 2), 0 * spin, 0 * spin])
    return Motion(
        times.astype(np.float32), knobs.astype(np.float32), turns.astype(np.float32), balls.astype(np.float32),
        ball_turns.astype(np.float32), CONTACT if touch else None, CONTACT,
    )  # fmt: skip


def _ground() -> Mesh:
    corners = np.array([[-6, -4, -0.01], [6, -4, -0.01], [6, 20, -0.01], [-6, 20, -0.01]], np.float32)
    return Mesh("ground", corners, np.array([[0, 1, 2], [0, 2, 3]], np.int32), "#c3cfb8", smooth=False, lit=False)


def _plate() -> Mesh:
    s, f = PLATE_SIDE, PLATE_FRONT_Y
    corners = np.array([[0, 0, 0], [s, f - s, 0], [s, f, 0], [-s, f, 0], [-s, f - s, 0]], np.float32)
    return Mesh("plate", corners, np.array([[0, 1, 2], [0, 2, 3], [0, 3, 4]], np.int32), "#ffffff", smooth=False)


def _zone() -> Mesh:
    s, f = PLATE_SIDE, PLATE_FRONT_Y
    corners = np.array([[-s, f, 0.5], [s, f, 0.5], [s, f, 1.05], [-s, f, 1.05]], np.float32)
    return Mesh("zone", corners, np.array([[0, 1, 2], [0, 2, 3]], np.int32), "#0072B2", opacity=0.15, lit=False)


def _bat() -> Mesh:
    station = np.linspace(0, BAT_LENGTH, 30)
    radius = np.interp(station, [0, 0.02, 0.03, 0.35, 0.6, 0.82, 0.84], [0.024, 0.024, 0.013, 0.014, 0.033, 0.033, 0.0])
    return _revolved("bat", station, radius, "#b5835a", "bat")


def _ball() -> Mesh:
    angle = np.linspace(-np.pi / 2, np.pi / 2, 13)
    return _revolved("ball", BASEBALL_RADIUS * np.sin(angle), BASEBALL_RADIUS * np.cos(angle), "#ffffff", "ball")


def _revolved(name: str, along: NDArray[np.float64], radius: NDArray[np.float64], color: str, body: str) -> Mesh:
    sides = 20
    turn = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    rings = np.stack(
        [
            radius[:, None] * np.cos(turn),
            radius[:, None] * np.sin(turn),
            np.broadcast_to(along[:, None], (len(along), sides)),
        ],
        axis=-1,
    )
    i, k = (a.ravel() for a in np.meshgrid(np.arange(len(along) - 1), np.arange(sides), indexing="ij"))
    a, b = i * sides + k, i * sides + (k + 1) % sides
    triangles = np.concatenate([np.column_stack([a, b, b + sides]), np.column_stack([a, b + sides, a + sides])])
    return Mesh(name, rings.reshape(-1, 3).astype(np.float32), triangles.astype(np.int32), color, moves_with=body)
