"""The first touch of a moving ball and a moving tapered bat, or the closest pass if there is none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import elementwise

from plane3d.frames import Array, cross, dot, norm, unit
from plane3d.physics.bat import Bat
from plane3d.physics.flight import Flight
from plane3d.physics.measured_swing import Swing
from plane3d.physics.roots import bracketed_root

COARSE = 40  # samples of the scan, about 2 ms apart
SURELY_APART = 0.012  # m; the scan's gap is off by up to 10 mm, off the end of a bat (test_convergence.py)
REACH = 1.3  # m of ball travel on either side of the aimed place that is searched
TIME_TOLERANCE = 1e-9  # s, of the refined instant


@dataclass(frozen=True)
class Meeting:
    """n meetings, at the first touch or, for a miss, at the closest pass. Field frame, SI.

    touch : (n,) bool
    time : (n,) s from release; swing_time : (n,) s from the swing's own contact
    ball, ball_velocity : (n, 3) centre of the ball and its velocity
    knob, axis : (n, 3) knob end and unit axis of the bat
    knob_velocity, bat_spin : (n, 3) m/s and rad/s
    place : (n,) m from the knob end to the point of the axis nearest the ball
    normal : (n, 3) unit, from the bat's surface to the ball's centre
    gap : (n,) m between the surfaces, 0 for a touch
    """

    touch: Array
    time: Array
    swing_time: Array
    ball: Array
    ball_velocity: Array
    knob: Array
    axis: Array
    knob_velocity: Array
    bat_spin: Array
    place: Array
    normal: Array
    gap: Array

    @property
    def offset(self) -> Array:
        """(n, 3) from the nearest point of the bat's axis to the ball's centre."""
        return self.ball - self.knob - self.place[:, None] * self.axis

    @property
    def relative_velocity(self) -> Array:
        """(n, 3) velocity of the ball against the point of the bat's axis nearest to it."""
        at_axis = self.knob_velocity + cross(self.bat_spin, self.place[:, None] * self.axis)
        return self.ball_velocity - at_axis

    def across(self) -> Array:
        """(n, 3) unit direction across the relative motion and across the axis, pointing up."""
        e = unit(cross(self.axis, self.relative_velocity))
        return np.where(e[:, 2:] < 0, -e, e)

    def undercut(self) -> Array:
        """(n,) m, gap along that direction, positive with the barrel below the ball (PHYSICS 7)."""
        return dot(self.offset, self.across())


def surface_distance(bat: Bat, along: Array, away: Array) -> tuple[Array, Array, Array]:
    """Distance from points to the bat's surface beyond the grip, negative inside.

    Parameters
    ----------
    along : (...) m from the knob end along the axis
    away : (...) m from the axis

    Returns
    -------
    distance : (...) m
    out, up : (...) parts of the unit direction from the nearest surface point, away from the axis and along it
    """
    station = np.concatenate([[bat.grip_end], bat.station[bat.station > bat.grip_end], [bat.length]])
    radius = np.append(np.interp(station[:-1], bat.station, bat.radius), 0.0)
    start = np.stack([station[:-1], radius[:-1]], axis=-1)
    edge = np.stack([np.diff(station), np.diff(radius)], axis=-1)
    point = np.stack([along, away], axis=-1)[..., None, :]
    share = np.clip(dot(point - start, edge) / dot(edge, edge), 0.0, 1.0)
    gap = point - start - share[..., None] * edge
    square = dot(gap, gap)
    nearest = np.argmin(square, axis=-1)[..., None]
    distance = np.sqrt(np.take_along_axis(square, nearest, -1)[..., 0])
    chosen = np.take_along_axis(gap, nearest[..., None], -2)[..., 0, :]
    inside = (along > bat.grip_end) & (along < bat.length) & (away < np.interp(along, station, radius))
    sign = np.where(inside, -1.0, 1.0)
    scale = sign / np.maximum(distance, 1e-15)
    return sign * distance, chosen[..., 1] * scale, chosen[..., 0] * scale


@dataclass(frozen=True)
class _Search:
    """Bat and ball as functions of the swing's clock s (n, m)."""

    bat: Bat
    ball_radius: float
    pitch: Flight
    swing: Swing
    offset: Array  # (n,) s to add to the swing's clock to get the pitch's

    def take(self, index: Array) -> _Search:
        return _Search(self.bat, self.ball_radius, self.pitch.take(index), self.swing.take(index), self.offset[index])

    def place(self, s: Array) -> tuple[Array, Array]:
        """Ball centre in the bat's own coordinates: along and away from the axis."""
        knob, axis = self.swing.pose(s)
        gap = self.pitch.at(s + self.offset[:, None]) - knob
        along = dot(gap, axis)
        return along, np.sqrt(np.maximum(dot(gap, gap) - along**2, 0.0))

    def rough_gap(self, s: Array) -> Array:
        """Gap between the surfaces, exact but for the taper: for the scan only."""
        along, away = self.place(s)
        inside = np.clip(along, self.bat.grip_end, self.bat.length)
        side = away - self.bat.radius_at(inside)
        beyond = np.hypot(along - inside, np.maximum(side, 0.0))
        return np.where(along == inside, side, beyond) - self.ball_radius

    def gap(self, s: Array) -> Array:
        """Gap between the surfaces, (n, m) m, negative where they overlap."""
        return surface_distance(self.bat, *self.place(s))[0] - self.ball_radius

    def gap_of(self, s: Array, index: Array) -> Array:
        """The same for single times s (k,) of the plays ``index`` (k,): the form that solvers ask for."""
        some = self if len(index) == len(self.offset) else self.take(index)
        return some.gap(s[:, None])[:, 0]


def find_meeting(bat: Bat, ball_radius: float, pitch: Flight, swing: Swing, due: Array, aim_time: Array) -> Meeting:
    """Where and when n balls and bats meet.

    Parameters
    ----------
    due : (n,) s on the pitch's clock when the ball is at the aimed depth
    aim_time : (n,) s on the pitch's clock when the swing reaches its contact pose; due plus the timing error

    The scan goes forward in time, so that a ball met twice is met at its first touch; the instant is refined to
    TIME_TOLERANCE.
    """
    search = _Search(bat, ball_radius, pitch, swing, aim_time)
    reach = REACH / norm(pitch.velocity_at(due[:, None])[:, 0])
    s = (due - aim_time)[:, None] + reach[:, None] * np.linspace(-1.0, 1.0, COARSE)
    gap = search.rough_gap(s)
    dip, moment, depth = _nearest(search, s, gap)
    hit = np.flatnonzero(depth <= 0)
    before = s[hit, _last_outside(gap[hit], dip[hit])]
    moment[hit] = bracketed_root(lambda t, i: search.gap_of(t, hit[i]), before, moment[hit], TIME_TOLERANCE)
    return _describe(search, depth <= 0, moment)


def _nearest(search: _Search, s: Array, gap: Array) -> tuple[Array, Array, Array]:
    """Of the dips of the gap the first that holds a touch, else the deepest: column, moment and depth, each (n,)."""
    hopeful = _hopeful(gap, 2.6 * REACH / COARSE)
    dip = np.where(hopeful.any(axis=1), hopeful.argmax(axis=1), 1 + gap[:, 1:-1].argmin(axis=1))
    moment, depth = _bottom(search, s, gap, dip)
    tried = dip.copy()
    while True:
        left = hopeful & (np.arange(COARSE) > tried[:, None])
        again = np.flatnonzero((depth > 0) & left.any(axis=1))
        if not len(again):
            return dip, moment, depth
        tried[again] = left[again].argmax(axis=1)
        then, deep = _bottom(search.take(again), s[again], gap[again], tried[again])
        better = deep < depth[again]
        rows = again[better]
        dip[rows], moment[rows], depth[rows] = tried[rows], then[better], deep[better]


def _hopeful(gap: Array, margin: float) -> Array:
    """Where (n, m) the gap dips so far that a touch may hide there; never at an edge."""
    inner = gap[:, 1:-1]
    dips = (inner <= gap[:, :-2]) & (inner <= gap[:, 2:]) & (inner < margin)
    return np.pad(dips, ((0, 0), (1, 1)))


def _bottom(search: _Search, s: Array, gap: Array, dip: Array) -> tuple[Array, Array]:
    """Moment (n,) of the smallest gap around a dip, and the gap there, m.

    The square of the distance to the axis is nearly a parabola in time, whose vertex is bottom enough for a touch;
    only where it leaves a gap is the true bottom sought, since a graze may hide there.
    """
    row = np.arange(len(s))
    bracket = tuple(s[row, dip + k] for k in (-1, 0, 1))
    y0, y1, y2 = ((gap[row, dip + k] + search.ball_radius + search.bat.radius.max()) ** 2 for k in (-1, 0, 1))
    bend = y0 - 2 * y1 + y2
    shift = 0.5 * (y0 - y2) / np.where(bend > 0, bend, np.inf)
    moment = bracket[1] + np.clip(shift, -1.0, 1.0) * (bracket[2] - bracket[1])
    depth = search.gap_of(moment, row)
    open_ = np.flatnonzero(depth > 0)
    if len(open_):
        found = elementwise.find_minimum(
            search.gap_of, tuple(b[open_] for b in bracket), args=(open_,), tolerances={"xatol": TIME_TOLERANCE}
        )
        better = found.success & (found.f_x < depth[open_])
        moment[open_[better]], depth[open_[better]] = found.x[better], found.f_x[better]
    return moment, depth


def _last_outside(gap: Array, dip: Array) -> Array:
    """Column (n,) of the last sample before the dip at which ball and bat are surely apart."""
    column = np.arange(gap.shape[1])
    apart = (gap > SURELY_APART) & (column < dip[:, None])
    return np.where(apart, column, 0).max(axis=1)


def _describe(search: _Search, touch: Array, moment: Array) -> Meeting:
    s = moment[:, None]
    time = s + search.offset[:, None]
    knob, axis = (a[:, 0] for a in search.swing.pose(s))
    knob_velocity, bat_spin = (a[:, 0] for a in search.swing.motion(s))
    ball, velocity = search.pitch.at(time)[:, 0], search.pitch.velocity_at(time)[:, 0]
    gap = ball - knob
    along = dot(gap, axis)
    radial = gap - along[:, None] * axis
    away = norm(radial)
    distance, out, up = surface_distance(search.bat, along, away)
    normal = unit(out[:, None] * unit(radial) + up[:, None] * axis)
    place = np.clip(along, search.bat.grip_end, search.bat.length)
    touch = touch & (ball[:, 2] > search.ball_radius)  # a pitch that has met the ground is not hit
    left = np.where(touch, 0.0, np.maximum(distance - search.ball_radius, 0.0))
    return Meeting(touch, time[:, 0], moment, ball, velocity, knob, axis, knob_velocity, bat_spin, place, normal, left)
