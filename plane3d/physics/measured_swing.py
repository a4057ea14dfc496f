"""A measured swing: one motion of the bat, seen many times, moved so that it passes through an asked contact pose.

Offers what `BuiltSwing` offers, so that all that comes after works on either. What was measured stands in `Track`;
a play moves it as a rigid body, turns it about the bat and runs it faster or slower, no more than the ask differs
from what was measured. An ask read off the track (`Track.read`) gives back the track itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from plane3d.constants import PLATE_FRONT_Y
from plane3d.errors import UnreachableError
from plane3d.frames import Array, Z, cross, dot, elevation, norm, unit
from plane3d.language import tr
from plane3d.physics.flight import Flight
from plane3d.physics.swing import ARM_SHARE, OPEN_HINGE, BuiltSwing, bat_axis

CUT_ROUNDS = 12  # Newton steps to the place where the pitch crosses the plane of the bat; three are enough as a rule
CUT_TOLERANCE = 1e-9  # m
DEGREE = 5  # of the splines through the poses of a track
LEAST_POSES = DEGREE + 1


@dataclass(frozen=True)
class Track:
    """The motion of one bat as it was measured and smoothed, field frame. Time s counts from its own contact.

    before, after : splines of the knob (3), m, and of the bat's axis from knob to tip (3), not yet of length one; up
        to contact and from it on. The bat does not jump at contact, but its velocity does: the ball has slowed it.
    start, end : s, negative and positive; the track stands still outside
    """

    before: BSpline
    after: BSpline
    start: float
    end: float

    @classmethod
    def through(cls, before: Array, after: Array, start: float, end: float) -> Track:
        """The track through poses (n, 6) at even steps from start to contact, and (m, 6) from contact to end."""
        return cls(spline_through(before, start, 0.0), spline_through(after, 0.0, end), start, end)

    @property
    def poses(self) -> tuple[Array, Array]:
        """What `through` was given."""
        before, after = (len(spline.c) for spline in (self.before, self.after))
        return self.before(np.linspace(self.start, 0.0, before)), self.after(np.linspace(0.0, self.end, after))

    def pose(self, s: Array) -> tuple[Array, Array]:
        """Knob end (..., 3) m and unit axis (..., 3) at times s (...)."""
        place = self._both(s, self.before, self.after)
        return place[..., :3], unit(place[..., 3:])

    def motion(self, s: Array) -> tuple[Array, Array]:
        """Velocity of the knob end (..., 3) m/s and angular velocity (..., 3) rad/s at times s (...)."""
        way = self._both(s, self.before, self.after)[..., 3:]
        rate = self._both(s, *self._rates)
        return rate[..., :3], cross(way, rate[..., 3:]) / dot(way, way)[..., None]

    @cached_property
    def _rates(self) -> tuple[BSpline, BSpline]:
        return self.before.derivative(), self.after.derivative()

    def _both(self, s: Array, before: BSpline, after: BSpline) -> Array:
        """The columns (..., 6) of one spline up to contact and of another after it."""
        s = np.clip(np.asarray(s, dtype=float), self.start, self.end)
        late = s > 0
        columns = before(np.minimum(s, 0.0))
        if late.any():
            columns[late] = after(s[late])
        return columns

    def sweet(self, sweet_spot: float) -> tuple[Array, Array, Array]:
        """Sweet spot at contact, its velocity, and the bat's axis, (3,) each; ``sweet_spot`` m from the knob."""
        (knob, axis), (speed, turn) = self.pose(np.zeros(())), self.motion(np.zeros(()))
        return knob + sweet_spot * axis, speed + cross(turn, sweet_spot * axis), axis

    def read(self, pitch: Flight, sweet_spot: float, side: float) -> dict[str, float]:
        """The numbers of `inputs.SwingAsk` that this track has at its contact against one pitch, SI.

        Raises UnreachableError where the pitch never comes into the vertical plane of the bat's axis.
        """
        place, velocity, axis = (part[None] for part in self.sweet(sweet_spot))
        read = {name: float(value[0]) for name, value in contact_numbers(place, velocity, axis, pitch, side).items()}
        if np.isnan(read["below_line"]):
            raise UnreachableError(
                tr("The measured bat points along the pitch at contact and never crosses it; where is the plate?")
            )
        return read


def spline_through(poses: Array, start: float, end: float) -> BSpline:
    """The spline through poses (n, 6) at even steps from start to end."""
    return make_interp_spline(np.linspace(start, end, len(poses)), poses, k=DEGREE)


def contact_numbers(place: Array, velocity: Array, axis: Array, pitch: Flight, side: float) -> dict[str, Array]:
    """Numbers (n,) of `inputs.SwingAsk` of bats at contact against one pitch, SI.

    place, velocity, axis : (n, 3) sweet spot, its velocity, and unit axis

    contact_depth, below_line and along_barrel are those of the place where the vertical plane of the bat's axis cuts
    the pitch line, NaN where it never does.
    """
    sideways = cross(np.broadcast_to(Z, axis.shape), axis)
    t = np.full(len(axis), 0.9 * pitch.end[0])
    for _ in range(CUT_ROUNDS):
        gap = dot(pitch.at(t[None])[0] - place, sideways)
        rate = dot(pitch.velocity_at(t[None])[0], sideways)
        t = np.clip(t - gap / np.where(np.abs(rate) < 1e-3, np.inf, rate), 0.0, pitch.end[0])
    ball = pitch.at(t[None])[0]
    ball = np.where((np.abs(dot(ball - place, sideways)) <= CUT_TOLERANCE)[:, None], ball, np.nan)
    level = axis * (1 - Z)
    along = dot(ball - place, level) / dot(level, level)
    return {
        "bat_speed": norm(velocity),
        "attack_angle": elevation(velocity),
        "vertical_bat_angle": -elevation(axis),
        "bat_direction": np.arctan2(axis[:, 1], side * axis[:, 0]),
        "contact_depth": ball[:, 1] - PLATE_FRONT_Y,
        "below_line": ball[:, 2] - place[:, 2] - along * axis[:, 2],
        "along_barrel": along,
    }


@dataclass(frozen=True)
class MeasuredSwing:
    """n swings along one track. Time s is counted from the swing's own contact, so launch is at s = -duration.

    turn : (n, 3, 3) rotation of the track about its sweet spot at contact; origin : (3,) m, that place
    sweet : (n, 3) m, where that place has come to
    pace : (n,) how much faster than measured the swing runs
    grip, reach : m, hands' middle from the knob end, and the sweet spot from the hands' middle
    arm : m, length of the arms of a built swing of this hitter
    """

    track: Track
    turn: Array
    origin: Array
    sweet: Array
    pace: Array
    grip: float
    reach: float
    arm: float

    @property
    def duration(self) -> Array:
        """(n,) s from launch, the first moment of the track, to contact."""
        return -self.track.start / self.pace

    @property
    def follow_time(self) -> Array:
        """(n,) s after contact up to which the swing is described."""
        return self.track.end / self.pace

    @property
    def release(self) -> Array:
        """(n,) s, when the hinge opened before contact: NaN, because two points of a bat do not show a forearm."""
        return np.full(len(self.pace), np.nan)

    def take(self, index: Array) -> MeasuredSwing:
        """Some of the swings."""
        picked: dict[str, Any] = {name: getattr(self, name)[index] for name in ("turn", "sweet", "pace")}
        return replace(self, **picked)

    def pose(self, s: Array) -> tuple[Array, Array]:
        """Knob end (n, m, 3) m and unit bat axis (n, m, 3) at times s (n, m); held before launch and at the end."""
        knob, axis = self.track.pose(self._clock(s))
        return self._turned(knob - self.origin) + self.sweet[:, None], self._turned(axis)

    def hands(self, s: Array) -> Array:
        """Middle of the hands (n, m, 3) m at times s (n, m)."""
        knob, axis = self.pose(s)
        return knob + self.grip * axis

    def motion(self, s: Array) -> tuple[Array, Array]:
        """Velocity of the knob end (n, m, 3) m/s and angular velocity (n, m, 3) rad/s at times s (n, m)."""
        clock = self._clock(s)
        moving = (clock >= self.track.start) & (clock <= self.track.end)
        speed, spin = (part * (self.pace[:, None] * moving)[..., None] for part in self.track.motion(clock))
        return self._turned(speed), self._turned(spin)

    @property
    def chest(self) -> Array:
        """(n, 3) m, where the arms of a built swing with this pose at contact would turn; for the figure alone."""
        now = np.zeros((len(self.pace), 1))
        axis, spin = self.pose(now)[1][:, 0], self.motion(now)[1][:, 0]
        across = unit(cross(spin, axis))
        lag = np.pi - OPEN_HINGE
        return self.sweet - self.reach * axis - self.arm * (np.cos(lag) * axis + np.sin(lag) * across)

    def _clock(self, s: Array) -> Array:
        """Times (n, m) of the track."""
        return np.asarray(s, dtype=float) * self.pace[:, None]

    def _turned(self, v: Array) -> Array:
        """Vectors (n, m, 3) of the track turned with each swing."""
        return np.einsum("nij,nmj->nmi", self.turn, v)


Swing = BuiltSwing | MeasuredSwing


def follow_track(
    track: Track,
    hands: float,
    sweet_spot: float,
    hitter_height: float,
    side: float,
    point: Array,
    bat_speed: Array,
    attack_angle: Array,
    vertical_bat_angle: Array,
    bat_direction: Array,
) -> MeasuredSwing:
    """Swings along a track whose sweet spot passes ``point`` with the asked speed and angles.

    The track is turned the shortest way until its bat has the asked direction at contact, then about that bat
    until its velocity has the asked climb; its clock is run faster or slower for the bat speed.

    Parameters
    ----------
    hands, sweet_spot : m from the knob end
    side : +1 right-handed, -1 left-handed hitter
    point : (n, 3) m, sweet spot at contact
    bat_speed, attack_angle, vertical_bat_angle, bat_direction : (n,), SI, as in `inputs.SwingAsk`

    Raises UnreachableError where no turn about the bat gives the climb asked for.
    """
    place, velocity, axis = track.sweet(sweet_spot)
    asked = bat_axis(side, vertical_bat_angle, bat_direction)
    turn = _shortest_turn(axis, asked)
    velocity = turn @ velocity
    turn = _roll(asked, _roll_angle(asked, velocity, attack_angle)) @ turn
    return MeasuredSwing(
        track, turn, place, point, bat_speed / norm(velocity), hands, sweet_spot - hands, ARM_SHARE * hitter_height
    )


def _roll_angle(axis: Array, velocity: Array, attack_angle: Array) -> Array:
    """Smallest turn (n,) about unit axes (n, 3) that gives velocities (n, 3) the asked climb."""
    along = dot(velocity, axis)[:, None] * axis
    across = velocity - along
    level, rise = across[:, 2], cross(axis, across)[:, 2]
    wanted = norm(velocity) * np.sin(attack_angle) - along[:, 2]
    share = wanted / np.maximum(np.hypot(level, rise), 1e-12)
    beyond = np.abs(share) > 1.0 + 1e-12
    if np.any(beyond):
        raise UnreachableError(
            tr("No swing has this attack angle together with this vertical bat angle; lower one of the two."),
            ("attack_angle", "vertical_bat_angle"),
            beyond,
        )
    now, off = np.arctan2(rise, level), np.arccos(np.clip(share, -1.0, 1.0))
    both = np.stack([now - off, now + off])
    both = (both + np.pi) % (2 * np.pi) - np.pi
    return np.take_along_axis(both, np.abs(both).argmin(axis=0)[None], axis=0)[0]


def _shortest_turn(start: Array, end: Array) -> Array:
    """Rotations (n, 3, 3) that take one unit vector (3,) to others (n, 3) the shortest way."""
    about = cross(np.broadcast_to(start, end.shape), end)
    sine = norm(about)
    return _roll(unit(about), np.arctan2(sine, end @ start))


def _roll(axis: Array, angle: Array) -> Array:
    """Rotations (n, 3, 3) about unit axes (n, 3) by angles (n,): Rodrigues' formula."""
    x, y, z = axis.T
    none = np.zeros_like(x)
    k = np.stack([none, -z, y, z, none, -x, -y, x, none], axis=-1).reshape(-1, 3, 3)
    return np.eye(3) + np.sin(angle)[:, None, None] * k + (1 - np.cos(angle))[:, None, None] * (k @ k)
