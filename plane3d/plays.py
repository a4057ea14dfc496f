"""The one path from inputs to answers, for n plays as arrays: pitch, swing, meeting, collision, flight.

`play.play` is the same with n = 1; every study goes through here.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np

from plane3d import inputs as io
from plane3d.constants import PLATE_FRONT_Y
from plane3d.errors import UnreachableError
from plane3d.frames import Array, Y, Z, bearing, cross, dot, elevation, norm, side_sign, unit
from plane3d.language import tr
from plane3d.physics import field
from plane3d.physics.bat import EACH as EACH_BAT
from plane3d.physics.collision import Blow, Bodies, collide
from plane3d.physics.flight import Flight, Medium, fly_until, launch
from plane3d.physics.measured_swing import Swing, follow_track
from plane3d.physics.meeting import Meeting, find_meeting
from plane3d.physics.pitch import aim_pitch, time_at_y
from plane3d.physics.swing import bat_axis, build_swing

FAR_OFF = np.radians(50.0)  # a bat turned this far from square at the closest pass was early or late
TURNED = np.radians(20.0)  # and one that the ball passed by its end, turned this far
CONTACT_POSE = ("bat_speed", "attack_angle", "vertical_bat_angle", "bat_direction")  # with the place of the sweet spot


@dataclass(frozen=True)
class Batted:
    """Where n batted balls go; NaN where there was no touch.

    x, v : (n, 3) ball centre and velocity at the first bounce; hang_time : (n,) s to it
    apex : (n,) m, highest point of the centre; over_fence : (n,) bool
    flight : dense flights of the balls that were touched, if they were asked for
    """

    x: Array
    v: Array
    hang_time: Array
    apex: Array
    over_fence: Array
    flight: Flight | None


@dataclass(frozen=True)
class Plays:
    """n plays. Arrays have a leading axis n (or 1 where a thing is shared by all); SI, field frame.

    pitch, swing, meeting : see `physics`
    due : (n,) s from release when the ball is at the asked depth; aim_time = due + timing
    blow : meaningless where meeting.touch is false
    keep_flight : whether the batted flights are kept for sampling
    """

    inputs: io.Inputs
    pitch: Flight
    swing: Swing
    due: Array
    aim_time: Array
    meeting: Meeting
    blow: Blow
    keep_flight: bool = False

    def __len__(self) -> int:
        return len(self.aim_time)

    @property
    def side(self) -> float:
        return side_sign(self.inputs.bats)

    @cached_property
    def batted(self) -> Batted:
        """Where the balls go; flown when first asked for, which is a third of the work of a play."""
        return _fly_hits(self.inputs, self.meeting, self.blow, self.keep_flight)

    @property
    def launch_angle(self) -> Array:
        """(n,) rad."""
        return elevation(self.blow.velocity)

    @property
    def spray_angle(self) -> Array:
        """(n,) rad, toward first base positive."""
        return bearing(self.blow.velocity)

    @property
    def exit_speed(self) -> Array:
        """(n,) m/s."""
        return norm(self.blow.velocity)

    @cached_property
    def goes(self) -> Array:
        """(n,) rad, where the ball goes: bearing of its first bounce, toward first base positive; NaN for a miss."""
        return bearing(self.batted.x)

    @cached_property
    def fair(self) -> Array:
        """(n,) bool."""
        landed = field.is_fair(self.batted.x, self.batted.v, self.inputs.setting.field.base)
        return self.meeting.touch & (landed | self.batted.over_fence)

    @cached_property
    def kind(self) -> Array:
        """(n,) outcome kinds of DESIGN 4."""
        return field.kind_of_hit(
            self.meeting.touch,
            self.fair,
            self.launch_angle,
            self.goes * self.side,
            self.blow.velocity,
            self.meeting.ball_velocity,
        )

    @cached_property
    def crossing(self) -> Array:
        """(n,) s on the swing's clock, nearest to the meeting, when the ball is in the vertical plane of the axis.

        What a coach means by "met here, this far below the line": the touch itself comes about a millisecond
        earlier, a bat's and a ball's radius away. Where there is no such moment nearby, the meeting's own time.
        """
        start = self.meeting.swing_time[:, None]
        s = start
        for _ in range(6):
            value, rate = self._plane_gap(s)
            s = s - np.clip(value / np.where(np.abs(rate) < 1.0, np.inf, rate), -0.004, 0.004)
        value, _ = self._plane_gap(s)
        return np.where(np.abs(value) < 1e-9, s, start)[:, 0]

    def _plane_gap(self, s: Array) -> tuple[Array, Array]:
        """Horizontal distance of the ball from the vertical plane of the axis (n, m), and its rate of change."""
        knob, axis = self.swing.pose(s)
        speed, turn = self.swing.motion(s)
        t = s + self.aim_time[:, None]
        gap, rate = self.pitch.at(t) - knob, self.pitch.velocity_at(t) - speed
        sideways, sideways_rate = cross(Z + 0 * axis, axis), cross(Z + 0 * axis, cross(turn, axis))
        return dot(gap, sideways), dot(rate, sideways) + dot(gap, sideways_rate)

    @cached_property
    def met(self) -> tuple[Array, Array, Array]:
        """Ball centre at the crossing (n, 3), gap below the line (n,), place from the sweet spot (n,)."""
        s = self.crossing[:, None]
        ball = self.pitch.at(s + self.aim_time[:, None])[:, 0]
        knob, axis = (a[:, 0] for a in self.swing.pose(s))
        gap = ball - knob
        level = axis * (1 - Z)
        along = dot(gap, level) / np.maximum(dot(level, level), 1e-12)
        return ball, gap[:, 2] - along * axis[:, 2], along - self.inputs.bat.sweet_spot

    @cached_property
    def miss(self) -> Array:
        """(n,) where a miss went, one of the words of `inputs.MeetingResult.miss`; "" for a touch."""
        m, bat = self.meeting, self.inputs.bat
        turned = np.arctan2(m.axis[:, 1], self.side * m.axis[:, 0])  # bat in plan, barrel ahead positive
        where = np.where(dot(m.offset, m.across()) > 0, "under", "over").astype("U17")
        end, hands = m.place >= bat.length - 1e-9, m.place <= bat.grip_end + 1e-9
        where = np.where(end, "off the end", np.where(hands, "inside the barrel", where))
        enough = FAR_OFF + (TURNED - FAR_OFF) * (end | hands)
        where = np.where(turned > enough, "early", np.where(turned < -enough, "late", where))
        return np.where(m.touch, "", where)

    @cached_property
    def why(self) -> tuple[Array, Array, Array]:
        """Launch angle (n,) taken apart, rad: the swing's climb, the undercut, the rest. They add up to it.

        One cause is taken out at a time and the blow computed again: first the ball is met with no undercut,
        then also with the bat's velocity turned level.
        """
        m = self.meeting
        flush = elevation(_strike_flush(self.inputs, m, self.ball_spin).velocity)
        rest = elevation(_strike_flush(self.inputs, _levelled(m), self.ball_spin).velocity)
        return flush - rest, self.launch_angle - flush, rest

    @cached_property
    def efficiency(self) -> Array:
        """(n,) collision efficiency of the bat where it hit, for the closing speed of that hit."""
        closing = dot(self.meeting.relative_velocity, -1.0 * self.meeting.normal)
        return self.inputs.bat.efficiency(self.meeting.place, closing, self.inputs.setting.ball.mass)

    @property
    def ball_spin(self) -> Array:
        """(n, 3) rad/s, spin of the pitch at the meeting."""
        return self.pitch.spin_at(self.meeting.time[:, None])[:, 0]


def play_many(inputs: io.Inputs, keep_flight: bool = False) -> Plays:
    """n plays at once. ``keep_flight`` keeps the batted flights for sampling; meant for a few plays.

    Raises UnreachableError where a pitch or a swing cannot be made as asked.
    """
    medium = medium_of(inputs.setting)
    ask = _columns(inputs.swing)
    pitch = make_pitch(medium, inputs.pitch)
    aimed_at = pitch if inputs.held is None else make_pitch(medium, inputs.held.pitch)
    n = max(len(pitch.start), len(aimed_at.start), len(ask["timing"]), _told_apart(inputs))
    ask = {name: np.broadcast_to(value, n) for name, value in ask.items()}
    due = np.broadcast_to(_due(aimed_at, ask if inputs.held is None else _columns(inputs.held.swing)), n)
    bounced = aimed_at.at(due[:, None])[:, 0, 2] < medium.radius
    if np.any(bounced):
        raise UnreachableError(
            tr("The pitch bounces before the asked contact depth; raise it or meet it sooner."),
            ("plate_height", "contact_depth"),
            bounced,
        )
    swing = make_swing(inputs, aimed_at, due, ask)
    aim_time = due + ask["timing"]
    meeting = find_meeting(inputs.bat, medium.radius, pitch, swing, _due(pitch, ask), aim_time)
    spin = pitch.spin_at(meeting.time[:, None])[:, 0]
    touch = meeting.ball - medium.radius * meeting.normal - meeting.knob
    blow = strike(inputs, meeting, spin, meeting.normal, touch)
    return Plays(inputs, pitch, swing, due, aim_time, meeting, blow, keep_flight)


def medium_of(setting: io.Setting) -> Medium:
    """The air and the ball of a setting."""
    laws, ball = setting.coefficients, setting.ball
    wind = np.asarray(setting.wind, dtype=float)
    return Medium(setting.air_density, wind, ball.radius, ball.mass, laws.drag, laws.lift, laws.decay_time)


def _told_apart(inputs: io.Inputs) -> int:
    """How many plays bat and blow tell apart."""
    laws, bat = inputs.setting.coefficients, inputs.bat
    numbers = (laws.tangential_restitution, laws.friction, *(getattr(bat, name) for name in EACH_BAT))
    return max(map(np.size, numbers))


def _due(pitch: Flight, ask: dict[str, Array]) -> Array:
    """Time (n,) s from release when the pitch is at the asked contact depth."""
    return time_at_y(pitch, (PLATE_FRONT_Y + ask["contact_depth"])[:, None])[:, 0]


def _columns(ask: io.PitchAsk | io.SwingAsk, n: int = 1) -> dict[str, Array]:
    """The numbers of an ask as arrays of one common length, at least n."""
    names = [f.name for f in fields(ask)]
    values = (np.atleast_1d(np.asarray(getattr(ask, name), dtype=float)) for name in names)
    return dict(zip(names, np.broadcast_arrays(*values, np.empty(n)), strict=False))


def make_pitch(medium: Medium, asked: io.PitchAsk) -> Flight:
    """The aimed pitches of an ask."""
    ask = _columns(asked, medium.count)
    release = np.stack([ask["release_side"], ask["release_distance"], ask["release_height"]], axis=-1)
    return aim_pitch(
        medium,
        release,
        ask["speed"],
        ask["spin"],
        ask["spin_tilt"],
        ask["gyro"],
        ask["plate_side"],
        ask["plate_height"],
    )


def pitch_flight(inputs: io.Inputs) -> Flight:
    """The pitch of a play alone."""
    return make_pitch(medium_of(inputs.setting), inputs.pitch)


def make_swing(inputs: io.Inputs, pitch: Flight, due: Array, ask: dict[str, Array]) -> Swing:
    """Swings whose axis passes ``below_line`` under the ball at ``due``, ``along_barrel`` off the sweet spot.

    pitch : the pitch they are aimed at. A held swing keeps the hands it had there, however the bat's angles change;
    where the ball is to be met moves hands and bat together by as much as it differs from the held swing's.
    """
    side = side_sign(inputs.bats)
    pose = ask if inputs.held is None else _columns(inputs.held.swing)
    axis = bat_axis(side, pose["vertical_bat_angle"], pose["bat_direction"])
    on_line = pitch.at(due[:, None])[:, 0]
    point = on_line - pose["below_line"][:, None] * Z - pose["along_barrel"][:, None] * axis
    now = bat_axis(side, ask["vertical_bat_angle"], ask["bat_direction"])
    lower, outer, deeper = (
        (ask[name] - pose[name])[:, None] for name in ("below_line", "along_barrel", "contact_depth")
    )
    point = point + (inputs.bat.sweet_spot - inputs.bat.hands) * (now - axis) - lower * Z - outer * now + deeper * Y
    contact = {name: ask[name] for name in CONTACT_POSE}
    if inputs.measured is not None:
        bat = inputs.bat
        return follow_track(inputs.measured, bat.hands, bat.sweet_spot, inputs.hitter_height, side, point, **contact)
    return build_swing(
        inputs.bat, inputs.hitter_height, side, point, hinge=ask["hinge"], release=ask["release"], **contact
    )


def strike(inputs: io.Inputs, meeting: Meeting, spin: Array, normal: Array, touch: Array) -> Blow:
    """The blow at n meetings, with contact normal and touching point (from the knob end) given, (n, 3) each."""
    bat, ball, laws = inputs.bat, inputs.setting.ball, inputs.setting.coefficients
    surface_velocity = meeting.knob_velocity + cross(meeting.bat_spin, touch)
    closing = -dot(meeting.ball_velocity - surface_velocity, normal)
    return collide(
        Bodies(ball.mass, ball.radius, bat.mass, bat.inertia, bat.roll_inertia),
        meeting.ball_velocity,
        spin,
        surface_velocity,
        normal,
        meeting.axis,
        touch - np.asarray(bat.balance)[..., None] * meeting.axis,
        bat.restitution(meeting.place, closing),
        laws.tangential_restitution,
        laws.friction,
    )


def _strike_flush(inputs: io.Inputs, meeting: Meeting, spin: Array) -> Blow:
    """The blow if the ball were met with no undercut: straight along the relative motion across the axis."""
    relative = meeting.relative_velocity
    normal = -unit(relative - dot(relative, meeting.axis)[:, None] * meeting.axis)
    bat_radius = norm(meeting.offset) - inputs.setting.ball.radius
    touch = meeting.place[:, None] * meeting.axis + bat_radius[:, None] * normal
    return strike(inputs, meeting, spin, normal, touch)


def _levelled(meeting: Meeting) -> Meeting:
    """The same meeting with the bat's velocity at the hit turned level, its speed kept."""
    velocity = meeting.ball_velocity - meeting.relative_velocity
    level = unit(velocity * (1 - Z)) * norm(velocity)[:, None]
    return replace(meeting, knob_velocity=meeting.knob_velocity + level - velocity)


def fly_balls(setting: io.Setting, x: Array, v: Array, w: Array, keep: bool = False) -> Batted:
    """Batted balls from their first position, velocity and spin (n, 3) to the first bounce."""
    medium, ground = medium_of(setting), setting.field
    first = launch(x, v, w, medium)

    def fence(x: Array, v: Array) -> Array:
        return field.fence_distance(bearing(x), ground.fence_line, ground.fence_centre) - np.hypot(x[:, 0], x[:, 1])

    landing, (apex, passing), flight = fly_until(
        first, medium, lambda x, v: x[:, 2] - medium.radius, (lambda x, v: v[:, 2], fence), keep
    )
    out = passing.happened & (passing.time < landing.time) & (passing.x[:, 2] > ground.fence_height)
    out &= np.abs(bearing(passing.x)) <= field.LINE_BEARING
    rose = apex.happened & (apex.time < landing.time)
    return Batted(landing.x, landing.v, landing.time, np.where(rose, apex.x[:, 2], x[:, 2]), out, flight)


def _fly_hits(inputs: io.Inputs, meeting: Meeting, blow: Blow, keep: bool) -> Batted:
    """Fly the balls that were touched; NaN for the others."""
    hit = np.flatnonzero(meeting.touch)
    setting = inputs.setting if len(hit) == len(meeting.touch) else io.some(inputs.setting, hit)
    flown = fly_balls(setting, meeting.ball[hit], blow.velocity[hit], blow.spin[hit], keep)

    def placed(values: Array) -> Array:
        empty = False if values.dtype == bool else np.nan
        full = np.full((len(meeting.touch), *values.shape[1:]), empty, dtype=values.dtype)
        full[hit] = values
        return full

    return Batted(
        x=placed(flown.x),
        v=placed(flown.v),
        hang_time=placed(flown.hang_time),
        apex=placed(flown.apex),
        over_fence=placed(flown.over_fence),
        flight=flown.flight,
    )
