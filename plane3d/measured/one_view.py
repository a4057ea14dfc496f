"""A swing seen from the side by one camera: the figures that lie in the plane of the picture.

The plate gives the scale and the way to the pitcher, a stick stood on it the upright. Everything is taken to happen in
the upright plane through the plate's middle line; what one view cannot see is said with the answer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial.polynomial import Polynomial, polyfit

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import Array
from plane3d.language import tr
from plane3d.measured.cameras import NOISE, MarksError
from plane3d.measured.two_views import Marks, check_marks
from plane3d.studies.contact_map import DIP_REACH

SPAN = 0.035  # s before contact through which the barrel's path is taken as a cubic, own choice
FEWEST = 6  # marks of the bat, and 3 of the ball: one more than the curve through them has numbers, and more
FEWEST_BALL = 3
LEVEL = np.radians(1.0)  # how level a camera is held when no stick says it, own choice
ALONG = 0.04  # m, how far from the sweet spot balls are met: standard deviation, own choice
HEADING = 0.27  # by how much of its speed a barrel moves toward the camera or away (15 degrees), own choice
OFF_AXIS = 0.30  # m, how far above or below the barrel the camera's axis passes, own choice
USUAL_DISTANCE = 5.0  # m
DRAWS, SEED = 300, 20


@dataclass(frozen=True)
class SideScale:
    """What gives a side view its scale.

    rear, front : (2,) px, the plate's rear point, and its front edge's corner nearer to the camera
    foot, top, height : (2,) px of both ends of an upright stick on the plate, and its length in m; or None
    distance : m from the camera to the plate, where it is known
    """

    rear: Array
    front: Array
    foot: Array | None = None
    top: Array | None = None
    height: float = 0.0
    distance: float | None = None


@dataclass(frozen=True)
class PlaneFigures:
    """Figures of a side view: value and standard error, as pairs, and how far they hold.

    attack_angle : rad; below_line, dip, depth, height : m, None where the ball is not marked (depth and height of the
        barrel at contact need no ball); warning : what one view cannot see
    """

    attack_angle: tuple[float, float]
    depth: tuple[float, float]
    height: tuple[float, float]
    below_line: tuple[float, float] | None
    dip: tuple[float, float] | None
    warning: str


@dataclass(frozen=True)
class BatSize:
    """Length of the bat and place of its sweet spot, m from the knob."""

    length: float
    sweet_spot: float


def side_figures(scale: SideScale, marks: Marks, bat: BatSize, noise: float = NOISE) -> PlaneFigures:
    """Plane figures of a swing marked in a side view.

    Parameters
    ----------
    marks : of knob and tip, and of the ball for what depends on it
    bat : its length tells how far it points out of the picture, and so where it crosses the plane
    noise : px, standard error of a mark

    Standard errors come from `DRAWS` draws of all marks anew, and of where along the barrel the ball is met; that of
    the attack angle also counts what nearing the camera does to it. Raises MarksError with one sentence.
    """
    check_marks(marks)
    _check(scale, marks)
    value = _figures(scale, marks, bat, 0.0)
    rng = np.random.default_rng(SEED)
    draws = np.array([_figures(*_drawn(scale, marks, bat, noise, rng)) for _ in range(DRAWS)])
    errors = draws.std(axis=0)
    errors[0] = np.hypot(errors[0], HEADING * OFF_AXIS / (scale.distance or USUAL_DISTANCE))
    attack, depth, height, below, dip = ((float(v), float(e)) for v, e in zip(value, errors, strict=True))
    ball = np.isfinite(value[3])
    return PlaneFigures(attack, depth, height, below if ball else None, dip if ball else None, _warning(scale))


def _check(scale: SideScale, marks: Marks) -> None:
    if np.hypot(*np.subtract(scale.front, scale.rear)) < 10:
        raise MarksError(tr("Rear point and front corner of the plate must be marked apart; they give the scale."))
    if (scale.foot is None) != (scale.top is None) or (scale.foot is not None and not scale.height > 0):
        raise MarksError(tr("A stick needs marks of both ends and its height."))
    if not {"knob", "tip"} <= set(marks.pixels):
        raise MarksError(tr("Mark both ends of the bat, knob and tip."))
    lately = (marks.times < 0) & (marks.times >= -SPAN)
    bat = np.isfinite(marks.pixels["knob"]).all(axis=1) & np.isfinite(marks.pixels["tip"]).all(axis=1)
    if (bat & lately).sum() < FEWEST:
        told = tr(
            "Mark knob and tip in at least {least} frames of the last {span} ms before contact; {given} are marked.",
            least=FEWEST, span=f"{SPAN * 1000:.0f}", given=int((bat & lately).sum()),
        )  # fmt: skip
        raise MarksError(told)


def _drawn(
    scale: SideScale, marks: Marks, bat: BatSize, noise: float, rng: np.random.Generator
) -> tuple[SideScale, Marks, BatSize, float]:
    """All that is uncertain, drawn anew: marks, the place of the hit on the bat, and how level the camera was."""

    def again(pixels: Array) -> Array:
        return np.asarray(pixels, dtype=float) + rng.normal(0, noise, np.shape(pixels))

    drawn = replace(scale, rear=again(scale.rear), front=again(scale.front))
    if scale.foot is not None and scale.top is not None:
        drawn = replace(drawn, foot=again(scale.foot), top=again(scale.top))
    made = replace(marks, pixels={part: again(pixels) for part, pixels in marks.pixels.items()})
    hit = min(max(bat.sweet_spot + rng.normal(0, ALONG), 0.0), bat.length)
    return drawn, made, replace(bat, sweet_spot=hit), rng.normal(0, LEVEL)


def _figures(scale: SideScale, marks: Marks, bat: BatSize, tilt: float) -> Array:
    """(5,) attack angle, depth, height, below the line, dip; NaN for those that need a ball where none is marked."""
    knob, tip = (in_plane(scale, marks.pixels[part], tilt) for part in ("knob", "tip"))
    share, times = bat.sweet_spot / bat.length, marks.times
    lately = (times < 0) & (times >= -SPAN) & np.isfinite(knob).all(axis=1) & np.isfinite(tip).all(axis=1)
    ends = [polyfit(times[lately], end[lately], 3) for end in (knob, tip)]
    path = ends[0] + share * (ends[1] - ends[0])
    (depth, height), (forward, upward) = path[0], path[1]
    attack = float(np.arctan2(upward, forward))
    ball = in_plane(scale, marks.pixels["ball"], tilt) if "ball" in marks.pixels else np.full_like(knob, np.nan)
    seen = np.isfinite(ball).all(axis=1) & (times < 0)
    if seen.sum() < FEWEST_BALL:
        return np.array([attack, depth - PLATE_FRONT_Y, height, np.nan, np.nan])
    line = Polynomial.fit(ball[seen, 0], ball[seen, 1], min(2, int(seen.sum()) - 2))
    below = float(line(depth)) - height
    hands = share * _toward(bat, ends[1][0] - ends[0][0])  # from the plane to the knob at contact
    before = (times < 0) & np.isfinite(knob).all(axis=1) & np.isfinite(tip).all(axis=1)
    place = hands / np.maximum(
        _toward(bat, (tip - knob)[before]), 1e-6
    )  # where the axis meets the plane, of its length
    axis = knob[before] + place[:, None] * (tip - knob)[before]
    near = np.abs(place - share) * bat.length <= DIP_REACH
    gaps = np.where(near, line(axis[:, 0]) - axis[:, 1], 0.0)
    return np.array([attack, depth - PLATE_FRONT_Y, height, below, max(float(gaps.max(initial=0.0)), below, 0.0)])


def _toward(bat: BatSize, seen: Array) -> Array:
    """How far the bat reaches out of the picture's plane, m, where (..., 2) m of it are seen in the plane."""
    return np.sqrt(np.maximum(bat.length**2 - np.sum(seen**2, axis=-1), 0.0))


def in_plane(scale: SideScale, pixels: Array, tilt: float = 0.0) -> Array:
    """Points (n, 2) m, toward the pitcher from the plate's rear point and up from the ground, of pixels (n, 2).

    tilt : rad by which the camera was out of level, where there is no stick to tell
    """
    across = np.subtract(scale.front, scale.rear)
    if scale.foot is None or scale.top is None:
        up = np.array([np.sin(tilt), -np.cos(tilt)])
        size = abs(up[1] * across[0] - up[0] * across[1]) / PLATE_FRONT_Y
        up = up * size
    else:
        up = np.subtract(scale.top, scale.foot) / scale.height
        size = abs(up[1] * across[0] - up[0] * across[1]) / np.hypot(*up) / PLATE_FRONT_Y
    level = np.array([-up[1], up[0]]) / np.hypot(*up)
    forward = size * level * np.sign(level @ across)
    return np.linalg.solve(np.column_stack([forward, up]), (np.asarray(pixels) - scale.rear).T).T


def _warning(scale: SideScale) -> str:
    told = tr(
        "One view sees nothing of what moves toward the camera or away from it: bat speed, bat direction, vertical bat "
        "angle and the place along the barrel stay unknown. These figures hold as far as barrel and ball are in the "
        "plane through the plate's middle line and the ball is met at the sweet spot; with the bat tilted by 30°, each "
        "inch off it changes below the line by half an inch."
    )
    if scale.distance is None:
        return told
    near = tr(
        "With the camera {distance} m away, whatever is 10 cm nearer looks {share} % larger.",
        distance=f"{scale.distance:g}", share=f"{10 / scale.distance:.1f}",
    )  # fmt: skip
    return f"{told} {near}"
