"""A plain figure of a hitter, for size and side: a body of capsules whose arms follow the hands of the swing.

It is drawn round what the model has, chest and hands; everything else is a plausible stance and proves nothing.
Lengths are shares of the hitter's height, after common tables of body segments (from memory) and by eye.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from plane3d.frames import Array, Z, norm, unit
from plane3d.play import Play
from plane3d.scene import style
from plane3d.scene.parts import Floats, Mesh
from plane3d.scene.props import SHADOW_Z, mesh
from plane3d.scene.shapes import capsule, faded_disc, floats

GROUP = "figure"
SEEN_FROM = ("catcher", "pitcher", "above", "side")  # the hitter's eyes are inside it
STEP = 0.008  # s between samples of the joints

SHOULDER, HIP = 0.118, 0.055  # half the width
NECK, HEAD = 0.145, 0.055  # chest to the head's middle, and the head's half length
UPPER_ARM, FOREARM = 0.186, 0.196  # the forearm up to the grip
THIGH, SHIN = 0.245, 0.245
ANKLE, TOE = 0.035, 0.10  # height of the ankle; ankle to toe
GRIPS = (-0.040, 0.045)  # m along the bat from the hands' middle: the lead hand is nearer the knob
LEAN, TRUNK = 0.11, 0.26  # how far, and how high, the chest is before the hips
HIPS_LOW, HIPS_HIGH = 0.28, 0.50
CHEST_LOW, CHEST_HIGH = 0.46, 0.76  # a pitch far out of reach stretches the arms, not the trunk
STRIDE = (0.25, -0.23)  # lead and rear foot along the field, from the hips

JOINTS = (
    "chest", "hips", "head", "crown", "lead shoulder", "rear shoulder", "lead elbow", "rear elbow", "lead hand",
    "rear hand", "lead hip", "rear hip", "lead knee", "rear knee", "lead ankle", "rear ankle", "lead toe", "rear toe",
)  # fmt: skip
# Name, the joints it joins, and its radius at either, share of the height
LIMBS = (
    ("trunk", "hips", "chest", 0.070, 0.078), ("shoulders", "lead shoulder", "rear shoulder", 0.040, 0.040),
    ("neck", "chest", "head", 0.032, 0.028), ("head", "head", "crown", 0.045, 0.043),
    ("pelvis", "lead hip", "rear hip", 0.056, 0.056),
    *(part for s in ("lead", "rear") for part in (
        (f"{s} upper arm", f"{s} shoulder", f"{s} elbow", 0.030, 0.024),
        (f"{s} forearm", f"{s} elbow", f"{s} hand", 0.024, 0.020),
        (f"{s} thigh", f"{s} hip", f"{s} knee", 0.050, 0.036),
        (f"{s} shin", f"{s} knee", f"{s} ankle", 0.036, 0.024),
        (f"{s} foot", f"{s} ankle", f"{s} toe", 0.024, 0.018),
    )),
)  # fmt: skip


def hitter(play: Play) -> tuple[tuple[Mesh, ...], Floats, Floats]:
    """The limbs of the figure and its shadow, its times (j,) s, and its joints (j, i, 3) m at those times."""
    start = play.launch_time
    stop = play.aim_time + float(play.plays.swing.follow_time[0])
    times = np.linspace(start, stop, 2 + int((stop - start) / STEP))
    height = play.inputs.hitter_height
    place = _joints(play, times)
    at = {name: place[:, i] for i, name in enumerate(JOINTS)}
    limbs = [
        _limb(name, JOINTS.index(a), JOINTS.index(b), round(float(norm(at[b] - at[a]).max()), 3),
              round(start_radius * height, 4), round(end_radius * height, 4))
        for name, a, b, start_radius, end_radius in LIMBS
    ]  # fmt: skip
    feet = (at["lead ankle"][0] + at["rear ankle"][0]) / 2
    return (*limbs, _shadow(height, round(float(feet[0]), 2), round(float(feet[1]), 2))), floats(times), floats(place)


@lru_cache(maxsize=256)
def _limb(name: str, a: int, b: int, length: float, start: float, end: float) -> Mesh:
    return mesh(f"figure {name}", capsule(length, start, end), style.FIGURE, opacity=style.FIGURE_OPACITY,
                between=(a, b), group=GROUP, views=SEEN_FROM)  # fmt: skip


@lru_cache(maxsize=64)
def _shadow(height: float, x: float, y: float) -> Mesh:
    (points, triangles), share = faded_disc([(0.0, 0.8), (0.5, 0.6), (1.0, 0.0)])
    spread = points * [0.24 * height, 0.36 * height, 0.0] + [x, y, SHADOW_Z["figure"]]
    return mesh("figure shadow", (spread, triangles), style.SHADOW, opacity=style.SHADOW_OPACITY, smooth=False,
                lit=False, group=GROUP, fade=floats(share), views=SEEN_FROM)  # fmt: skip


def _joints(play: Play, times: Array) -> Array:
    """Places (j, i, 3) m of the joints, in the order of `JOINTS`."""
    tall, side = play.inputs.hitter_height, play.plays.side
    chest = play.plays.swing.chest[0].copy()
    chest[2] = np.clip(chest[2], CHEST_LOW * tall, CHEST_HIGH * tall)
    hips = chest - tall * np.array([side * LEAN, 0.02, TRUNK])
    hips[2] = np.clip(hips[2], HIPS_LOW * tall, HIPS_HIGH * tall)
    head = chest + NECK * tall * unit(np.array([0.35 * side, 0.10, 1.0]))
    still = {"chest": chest, "hips": hips, "head": head, "crown": head + HEAD * tall * Z}
    still |= _legs(hips, tall, side)
    moving = _arms(play, times, chest, tall, side)
    rows = [moving[name] if name in moving else np.broadcast_to(still[name], (len(times), 3)) for name in JOINTS]
    return np.stack(rows, axis=1)


def _legs(hips: Array, tall: float, side: float) -> dict[str, Array]:
    """A wide stance, the hips a little open toward the pitcher."""
    facing = np.radians(25.0)
    ahead = np.array([side * np.cos(facing), np.sin(facing), 0.0])
    across = np.array([-side * np.sin(facing), np.cos(facing), 0.0])  # toward the lead side
    places: dict[str, Array] = {}
    for name, sign, stride, turned in (("lead", 1, STRIDE[0], 40.0), ("rear", -1, STRIDE[1], 10.0)):
        hip = hips + sign * HIP * tall * across
        ankle = np.array([hips[0] + 0.03 * side * tall, hips[1] + stride * tall, ANKLE * tall])
        toe = np.radians(turned)
        places |= {
            f"{name} hip": hip,
            f"{name} knee": _bend(hip, ankle, THIGH * tall, SHIN * tall, ahead),
            f"{name} ankle": ankle,
            f"{name} toe": ankle + TOE * tall * unit(np.array([side * np.cos(toe), np.sin(toe), -0.15])),
        }
    return places


def _arms(play: Play, times: Array, chest: Array, tall: float, side: float) -> dict[str, Array]:
    """Shoulders that turn with the hands, and arms bent to reach the grip."""
    middle, (_, axis) = play.hands_at(times), play.bat_at(times)
    reach = middle - chest
    bearing = np.unwrap(np.arctan2(reach[:, 1], side * reach[:, 0]))  # 0 toward the plate, toward the pitcher positive
    turn = np.clip(np.radians(20.0) + 0.8 * bearing, np.radians(-40.0), np.radians(115.0))
    lead = np.stack([-side * np.sin(turn), np.cos(turn), 0.15 * np.cos(turn)], axis=-1)
    places: dict[str, Array] = {}
    for name, sign, grip in (("lead", 1, GRIPS[0]), ("rear", -1, GRIPS[1])):
        shoulder = chest + sign * SHOULDER * tall * lead
        hand = middle + grip * axis
        down = unit(np.array([0.0, 0.0, -1.0]) + 0.6 * sign * lead)
        elbow = _bend(shoulder, hand, UPPER_ARM * tall, FOREARM * tall, down)
        places |= {f"{name} shoulder": shoulder, f"{name} elbow": elbow, f"{name} hand": hand}
    return places


def _bend(start: Array, end: Array, first: float, second: float, toward: Array) -> Array:
    """The joint (..., 3) between two limbs of given lengths (m), bent toward a direction; straight if too short."""
    way = end - start
    apart = norm(way)[..., None]
    ahead = way / apart
    along = np.clip((apart**2 + first**2 - second**2) / (2 * apart), 0.0, first)
    along = np.where(apart >= first + second, apart * first / (first + second), along)
    out = toward - np.sum(toward * ahead, axis=-1, keepdims=True) * ahead
    return start + along * ahead + np.sqrt(np.maximum(first**2 - along**2, 0.0)) * unit(out)
