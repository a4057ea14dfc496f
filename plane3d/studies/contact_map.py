"""The contact map: for each moment of the swing, the place on the pitch line where the bat's plane cuts it.

The vertical plane through the bat's axis cuts the pitch line at one depth. From that pair follow the gap below
the line, the place along the barrel, and the timing error that would bring bat and ball there together. The
contact window, the dip and the timing windows are read off it; none of them is put in.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import Array, Z, cross, dot, elevation, norm
from plane3d.plays import Plays, play_many

MOMENTS = 183  # one of them is the swing's own contact
EARLIEST = 0.45  # share of the swing's duration before contact from which the map is drawn: the barrel is coming round
LATEST = 0.20  # and the share after contact
TOLERANCE = 0.0254  # m, |below the line| that still counts as staying together: 1 in (DESIGN 6)
SWEET_REACH = 0.0762  # m from the sweet spot: 3 in (DESIGN 6)
DIP_REACH = 2 * SWEET_REACH  # m from the sweet spot, where the way in begins
STRIP = np.arange(-40, 41) * 1e-3  # s, timings of the strip
SOLID_SHARE = 0.9  # of the best exit speed on the strip


@dataclass(frozen=True)
class ContactMap:
    """Moments of n swings against their pitches; arrays (n, m), NaN where the plane never cuts the pitch line.

    swing_time : s from the swing's own contact
    aimed : (n,) m, the depth at which the ball is to be met
    depth : m from the plate's front edge; ball : (n, m, 3) the place on the pitch line
    below_line : m, barrel lower positive; undercut : m, the same across the relative motion
    along_barrel : m from the sweet spot, toward the tip positive
    bat_speed : m/s of the sweet spot; attack_angle, bat_direction : rad
    timing : s, the timing error that would bring bat and ball together there; late positive
    lead : s, how much earlier the surfaces would touch, a bat's and a ball's radius away; NaN where they would not
    touch_depth, touch_along : m, depth of the ball and place along the barrel at that touch
    """

    swing_time: Array
    aimed: Array
    depth: Array
    ball: Array
    below_line: Array
    undercut: Array
    along_barrel: Array
    bat_speed: Array
    attack_angle: Array
    bat_direction: Array
    timing: Array
    lead: Array
    touch_depth: Array
    touch_along: Array


def contact_map(plays: Plays, moments: int = MOMENTS) -> ContactMap:
    """The map of n plays, from the pitch and the swing alone. Arrays (n, moments)."""
    share = np.linspace(-EARLIEST, LATEST, moments)
    s = plays.swing.duration[:, None] * share
    knob, axis = plays.swing.pose(s)
    knob_velocity, turn = plays.swing.motion(s)
    level = axis * (1 - Z)
    t, found = _cut(plays, s, knob, cross(np.broadcast_to(Z, level.shape), level))
    ball, ball_velocity = plays.pitch.at(t), plays.pitch.velocity_at(t)
    gap = ball - knob
    along = dot(gap, level) / np.maximum(dot(level, level), 1e-12)
    below = gap[..., 2] - along * axis[..., 2]
    bat = plays.inputs.bat
    meets = knob_velocity + cross(turn, along[..., None] * axis)
    sweet = knob_velocity + cross(turn, bat.sweet_spot * axis)
    across = cross(axis, ball_velocity - meets)
    undercut = below * np.abs(across[..., 2]) / np.maximum(norm(across), 1e-12)
    met = np.where(found, 1.0, np.nan)
    relative = ball_velocity - meets
    lead = met * _lead(plays, axis, along, below, relative)
    back = below[..., None] * Z - lead[..., None] * relative  # from the axis to the ball's centre at the touch
    return ContactMap(
        swing_time=s,
        aimed=np.broadcast_to(plays.inputs.swing.contact_depth, len(s)),
        depth=met * (ball[..., 1] - PLATE_FRONT_Y),
        ball=met[..., None] * ball,
        below_line=met * below,
        undercut=met * undercut,
        along_barrel=met * (along - bat.sweet_spot),
        bat_speed=norm(sweet),
        attack_angle=elevation(sweet),
        bat_direction=np.arctan2(axis[..., 1], plays.side * axis[..., 0]),
        timing=met * (t - plays.due[:, None] - s),
        lead=lead,
        touch_depth=ball[..., 1] - lead * ball_velocity[..., 1] - PLATE_FRONT_Y,
        touch_along=along + dot(back, axis) - bat.sweet_spot,
    )


def _lead(plays: Plays, axis: Array, along: Array, below: Array, relative: Array) -> Array:
    """Time (n, m) s from the first touch to the crossing, with bat and ball moving straight in between.

    Across the axis the ball's centre moves past it at the sum of the two radii: a quadratic.
    """
    reach = plays.inputs.setting.ball.radius + plays.inputs.bat.radius_at(along)
    gap = below[..., None] * (Z - axis[..., 2:] * axis)
    motion = relative - dot(relative, axis)[..., None] * axis
    a, b, c = dot(motion, motion), dot(gap, motion), dot(gap, gap) - reach**2
    square = b**2 - a * c
    return (b + np.sqrt(np.where(square >= 0, square, np.nan))) / np.maximum(a, 1e-12)


def _cut(plays: Plays, s: Array, knob: Array, sideways: Array) -> tuple[Array, Array]:
    """Pitch times (n, m) at which the ball is in the vertical plane of the axis, and whether it ever is."""
    t = plays.due[:, None] + s * 0
    for _ in range(6):
        gap = dot(plays.pitch.at(t) - knob, sideways)
        rate = dot(plays.pitch.velocity_at(t), sideways)
        step = np.clip(gap / np.where(np.abs(rate) < 1e-3, np.inf, rate), -0.1, 0.1)
        t = np.clip(t - step, 0.0, plays.pitch.end[:, None])
    return t, np.abs(dot(plays.pitch.at(t) - knob, sideways)) < 1e-6


@dataclass(frozen=True)
class Window:
    """The contact window of n plays: the unbroken stretch around the aimed depth where barrel and line stay together.

    from_depth, to_depth : (n,) m from the plate's front edge, deep end first; equal where there is no window
    length : (n,) m; length_time : (n,) s, the range of timing that meets the ball inside it
    """

    from_depth: Array
    to_depth: Array
    length: Array
    length_time: Array


def window(cmap: ContactMap, tolerance: float = TOLERANCE) -> Window:
    """Contact windows: |below the line| within the tolerance (m) and the hit within SWEET_REACH of the sweet spot."""
    # How far outside either limit, in m: negative inside. A hair of slack lets "exactly one inch" count as inside.
    outside = np.maximum(np.abs(cmap.below_line) - tolerance, np.abs(cmap.along_barrel) - SWEET_REACH) - 1e-9
    outside = np.where(np.isnan(outside), np.inf, outside)
    n = len(outside)
    centre = np.abs(cmap.swing_time).argmin(axis=1)
    late, early = (_edge(cmap, outside, centre, step) for step in (-1, 1))
    inside = outside[np.arange(n), centre] <= 0
    from_depth, to_depth = np.where(inside, late[0], cmap.aimed), np.where(inside, early[0], cmap.aimed)
    return Window(
        from_depth, to_depth, np.abs(to_depth - from_depth), np.where(inside, np.abs(early[1] - late[1]), 0.0)
    )


def _edge(cmap: ContactMap, outside: Array, centre: Array, step: int) -> tuple[Array, Array]:
    """Depth and timing (n,) where the window ends, walking from the centre; interpolated between two moments."""
    n, m = outside.shape
    row, column = np.arange(n), np.arange(m)[None]
    beyond = (outside > 0) & ((column - centre[:, None]) * step > 0)
    order = beyond if step > 0 else beyond[:, ::-1]
    stop = order.argmax(axis=1) if step > 0 else m - 1 - order.argmax(axis=1)
    stop = np.where(beyond.any(axis=1), stop, m - 1 if step > 0 else 0)
    last = np.clip(stop - step, 0, m - 1)
    a, b = outside[row, last], outside[row, stop]
    passes = np.isfinite(a) & np.isfinite(b) & (b > a)
    rise = np.subtract(b, a, out=np.ones_like(a), where=passes)
    share = np.where(passes, np.clip(-np.where(passes, a, 0.0) / rise, 0.0, 1.0), 0.0)
    share = np.where(b > 0, share, 1.0)

    def between(values: Array) -> Array:
        start, end = values[row, last], values[row, stop]
        return start + share * np.where(np.isnan(end), 0.0, end - start)

    return between(cmap.depth), between(cmap.timing)


def dip(cmap: ContactMap) -> Array:
    """(n,) m, deepest the barrel runs below the pitch line on its way in, before contact; 0 if it never does.

    The way in begins where the pitch line comes within DIP_REACH of the sweet spot: before that the barrel is still
    coming round, far from any place where it could meet the ball.
    """
    time, off, below = cmap.swing_time, np.abs(cmap.along_barrel), cmap.below_line
    inside = (time <= 0) & (off <= DIP_REACH)
    deepest = np.where(inside, below, -np.inf).max(axis=1)
    # The way in begins and ends between two moments.
    edge = inside[:, 1:] != inside[:, :-1]
    for bound, value in ((0.0, time), (DIP_REACH, off)):
        before, after = value[:, :-1], value[:, 1:]
        crossed = edge & ((before <= bound) != (after <= bound))
        share = np.where(crossed, bound - before, 0.0) / np.where(crossed, after - before, 1.0)
        there = below[:, :-1] + share * (below[:, 1:] - below[:, :-1])
        known = crossed & np.isfinite(there)  # beside a moment without a depth there is nothing between the two
        deepest = np.maximum(deepest, np.where(known, there, -np.inf).max(axis=1))
    return np.maximum(deepest, 0.0)


@dataclass(frozen=True)
class Road:
    """How the barrel came, seen from above; n swings.

    around : (n,) m, how far the sweet spot strays outside the straight line from its launch to its contact,
        away from the hitter positive; a swing that stays inside that line has a negative figure
    around_time : (n,) s from contact when it is furthest off; hinge_time : (n,) s from contact when the hinge opens
    """

    around: Array
    around_time: Array
    hinge_time: Array


def road(plays: Plays, moments: int = MOMENTS) -> Road:
    """Inside or around the ball, read off the swings' paths in plan."""
    s = plays.swing.duration[:, None] * np.linspace(-1.0, 0.0, moments)
    knob, axis = plays.swing.pose(s)
    path = (knob + plays.inputs.bat.sweet_spot * axis)[..., :2]
    way = path[:, -1] - path[:, 0]
    way = way / np.hypot(way[:, 0], way[:, 1])[:, None]
    outward = plays.side * np.stack([way[:, 1], -way[:, 0]], axis=-1)
    off = np.einsum("nmi,ni->nm", path - path[:, :1], outward)
    far = np.abs(off).argmax(axis=1)
    row = np.arange(len(off))
    return Road(off[row, far], s[row, far], -plays.swing.release)


def strip(plays: Plays, timings: Array = STRIP) -> Plays:
    """One play again at each timing (s), as full plays. ``plays`` holds that one play."""
    return play_many(replace(plays.inputs, swing=replace(plays.inputs.swing, timing=timings)))


def solid(plays: Plays) -> Array:
    """(n,) bool: fair and at least SOLID_SHARE of the best exit speed among these plays."""
    speed = np.where(plays.fair, plays.exit_speed, 0.0)
    return plays.fair & (speed >= SOLID_SHARE * speed.max(initial=0.0))


def timing_range(timings: Array, good: Array) -> tuple[float, float] | None:
    """Earliest and latest timing (s) of the unbroken stretch of good timings nearest to being on time.

    good : (len(timings),) bool. None where no timing is good. As fine as the steps of the timings.
    """
    if not good.any():
        return None
    start = np.flatnonzero(good)[np.abs(timings[good]).argmin()]
    bad = np.flatnonzero(~good)
    first = bad[bad < start].max(initial=-1) + 1
    last = bad[bad > start].min(initial=len(good)) - 1
    return float(timings[first]), float(timings[last])
