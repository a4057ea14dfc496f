"""One play: its answer as plain numbers, and its paths sampled at any time.

Solved once through `plays.play_many`, then sampled; nothing depends on how often it is sampled.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np

from plane3d import inputs as io
from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import Array, bearing, cross, elevation, norm
from plane3d.physics.aero import spin_axes
from plane3d.physics.flight import Flight
from plane3d.physics.pitch import time_at_y
from plane3d.plays import Plays, play_many

__all__ = ["Play", "Plays", "one_result", "play", "play_many"]

CATCHER_Y = -1.0  # m, where a pitch nobody hit is caught, behind the rear point of the plate


class Play:
    """One play: its answer, and its paths sampled at any time t (m,) s from the pitcher's release."""

    def __init__(self, inputs: io.Inputs):
        self.plays = play_many(inputs, keep_flight=True)
        self.inputs = inputs

    @cached_property
    def result(self) -> io.Result:
        return one_result(self.plays, 0)

    @property
    def contact_time(self) -> float | None:
        """s of the first touch, None for a miss."""
        return self.closest_time if self.plays.meeting.touch[0] else None

    @property
    def closest_time(self) -> float:
        """s of the first touch or of the closest pass."""
        return float(self.plays.meeting.time[0])

    @property
    def aim_time(self) -> float:
        """s when the swing is at its own contact pose."""
        return float(self.plays.aim_time[0])

    @property
    def launch_time(self) -> float:
        """s when the swing starts."""
        return self.aim_time - float(self.plays.swing.duration[0])

    @property
    def decision_time(self) -> float:
        """s when a swing that is on time must start: the latest moment to decide."""
        return float(self.plays.due[0]) - float(self.plays.swing.duration[0])

    @cached_property
    def pitch_end_time(self) -> float:
        """s when a pitch nobody hit is caught."""
        return float(time_at_y(self.plays.pitch, np.array([CATCHER_Y]))[0, 0])

    @property
    def end_time(self) -> float:
        """s when the ball has landed, or the pitch is caught and the swing over."""
        if self.contact_time is None:
            return max(self.pitch_end_time, self.aim_time + float(self.plays.swing.follow_time[0]))
        return self.contact_time + float(self.plays.batted.hang_time[0])

    def pitch_at(self, t: Array) -> Array:
        """Ball centre (m, 3) of the pitch alone, as if nobody swung; it stays where it is caught."""
        return self.plays.pitch.at(np.clip(np.asarray(t, dtype=float), 0.0, self.pitch_end_time)[None])[0]

    def ball_at(self, t: Array) -> Array:
        """Ball centre (m, 3): the pitch, then the batted ball; it stays where it lands or is caught."""
        return self._ball(t, Flight.at)

    def ball_spin_at(self, t: Array) -> Array:
        """Spin vector (m, 3) of the ball, rad/s."""
        return self._ball(t, Flight.spin_at)

    def _ball(self, t: Array, sample: Callable[[Flight, Array], Array]) -> Array:
        t = np.asarray(t, dtype=float)
        pitched = sample(self.plays.pitch, np.clip(t, 0.0, self.pitch_end_time)[None])[0]
        hit = self.plays.batted
        if self.contact_time is None or hit.flight is None:
            return pitched
        since = np.clip(t - self.contact_time, 0.0, hit.hang_time[0])
        return np.where((t > self.contact_time)[:, None], sample(hit.flight, since[None])[0], pitched)

    def bat_at(self, t: Array) -> tuple[Array, Array]:
        """Knob end (m, 3) and unit axis (m, 3) of the bat."""
        knob, axis = self.plays.swing.pose(np.asarray(t, dtype=float)[None] - self.aim_time)
        return knob[0], axis[0]

    def hands_at(self, t: Array) -> Array:
        """Middle of the hands (m, 3)."""
        return self.plays.swing.hands(np.asarray(t, dtype=float)[None] - self.aim_time)[0]

    def sweet_spot_at(self, t: Array) -> Array:
        """Sweet spot of the bat (m, 3)."""
        knob, axis = self.bat_at(t)
        return knob + self.inputs.bat.sweet_spot * axis


def play(inputs: io.Inputs) -> Play:
    """Compute one play. Raises UnreachableError where the pitch or the swing cannot be made as asked."""
    return Play(inputs)


def one_result(plays: Plays, i: int) -> io.Result:
    """The answer of play i as plain numbers."""
    touch = bool(plays.meeting.touch[i])
    return io.Result(
        inputs=plays.inputs,
        pitch=_pitch_result(plays, i),
        swing=_swing_result(plays, i),
        meeting=_meeting_result(plays, i),
        collision=_collision_result(plays, i) if touch else None,
        flight=_flight_result(plays, i) if touch else None,
        outcome=io.OutcomeResult(
            str(plays.kind[i]), bool(plays.fair[i]) if touch else None, bool(plays.batted.over_fence[i])
        ),
        why=_why_result(plays, i) if touch else None,
    )


def _pitch_result(plays: Plays, i: int) -> io.PitchResult:
    pitch = plays.pitch.take(np.array([i]))
    t = time_at_y(pitch, np.array([PLATE_FRONT_Y]))
    place, velocity = pitch.at(t)[0, 0], pitch.velocity_at(t)[0, 0]
    speed = float(norm(velocity))
    return io.PitchResult(
        flight_time=float(t[0, 0]),
        plate_speed=speed,
        speed_lost=float(norm(pitch.v[0, 0])) - speed,
        descent_angle=-float(elevation(velocity)),
        plate_side=float(place[0]),
        plate_height=float(place[2]),
    )


def _swing_result(plays: Plays, i: int) -> io.SwingResult:
    swing = plays.swing.take(np.array([i]))
    now = np.zeros((1, 1))
    (_, axis), (knob_velocity, turn) = swing.pose(now), swing.motion(now)
    velocity = knob_velocity + cross(turn, plays.inputs.bat.sweet_spot * axis)
    return io.SwingResult(
        bat_speed=float(norm(velocity)[0, 0]),
        attack_angle=float(elevation(velocity)[0, 0]),
        vertical_bat_angle=-float(elevation(axis)[0, 0]),
        duration=float(swing.duration[0]),
        turn_rate=float(norm(turn)[0, 0]),
        heading=float(bearing(velocity)[0, 0]),
    )


def _meeting_result(plays: Plays, i: int) -> io.MeetingResult:
    meeting = plays.meeting
    ball, below, along = (value[i] for value in plays.met)
    return io.MeetingResult(
        touch=bool(meeting.touch[i]),
        time=float(meeting.time[i]),
        below_line=float(below),
        undercut=float(meeting.undercut()[i]),
        along_barrel=float(along),
        struck=float(meeting.place[i]) - plays.inputs.bat.sweet_spot,
        depth=float(ball[1]) - PLATE_FRONT_Y,
        height=float(ball[2]),
        side=float(ball[0]),
        closest=float(meeting.gap[i]),
        miss=str(plays.miss[i]) or None,
    )


def _collision_result(plays: Plays, i: int) -> io.CollisionResult:
    velocity, spin = plays.blow.velocity[i], plays.blow.spin[i]
    back, side = spin_axes(velocity)
    return io.CollisionResult(
        exit_speed=float(plays.exit_speed[i]),
        launch_angle=float(plays.launch_angle[i]),
        spray_angle=float(plays.spray_angle[i]),
        backspin=float(spin @ back),
        sidespin=float(spin @ side),
        efficiency=float(plays.efficiency[i]),
        regime="slide" if plays.blow.slides[i] else "grip",
    )


def _why_result(plays: Plays, i: int) -> io.WhyResult | None:
    """The parts of the launch angle; none for a ball that goes backward, whose climb says nothing by itself."""
    if plays.blow.velocity[i, 1] <= 0:
        return None
    return io.WhyResult(*(float(part[i]) for part in plays.why))


def _flight_result(plays: Plays, i: int) -> io.FlightResult:
    hit = plays.batted
    return io.FlightResult(
        carry=float(np.hypot(hit.x[i, 0], hit.x[i, 1])),
        hang_time=float(hit.hang_time[i]),
        apex=float(hit.apex[i]),
        landing_side=float(hit.x[i, 0]),
        landing_out=float(hit.x[i, 1]),
    )
