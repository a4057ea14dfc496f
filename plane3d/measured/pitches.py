"""Measured pitches from CSV: by place, velocity and constant acceleration, or by speed and place over the plate."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from plane3d.constants import PLATE_FRONT_Y
from plane3d.errors import InputError, Mistake, UnreachableError
from plane3d.frames import Array, norm
from plane3d.inputs import Inputs, PitchAsk
from plane3d.language import tr
from plane3d.measured.files import read_bytes, refuse, text_of
from plane3d.measured.table import TEXT, Table, read_table
from plane3d.physics.flight import Flight
from plane3d.physics.pitch import measured_pitch, time_at_y
from plane3d.plays import make_pitch, medium_of
from plane3d.quantities import quantities
from plane3d.scenario import Scenario

FLIGHT = {
    **{f"position_{axis}": "length" for axis in "xyz"},
    **{f"velocity_{axis}": "speed" for axis in "xyz"},
    **{f"acceleration_{axis}": "acceleration" for axis in "xyz"},
}
CROSSING = {"speed": "speed", "plate_side": "length", "plate_height": "length"}
OPTIONAL = {"name": TEXT, "spin": "spin", "release_distance": "length"}
MOST_PITCHES = 10_000
SAMPLES = 8  # places along the way that are compared
SPEEDS = (10.0, 60.0)  # m/s
DECIMALS = 4  # of a measured pitch in a scenario, in coach units
MOST_SPIN = 400.0  # rad/s, about 3800 rpm


@dataclass(frozen=True)
class MeasuredPitch:
    """One pitch as a file gives it, field frame, SI; NaN for what it does not say.

    name : its own, or its number; where : ``file:line``
    position, velocity, acceleration : (3,), all NaN where only speed and crossing were measured
    speed, side, height : at release, and of the ball's centre at the plate's front edge
    spin : rad/s; release_distance : m from the rear point of the plate
    """

    name: str
    where: str
    position: Array
    velocity: Array
    acceleration: Array
    speed: float
    side: float
    height: float
    spin: float
    release_distance: float

    @property
    def is_flight(self) -> bool:
        """Whether the whole flight was measured."""
        return bool(np.isfinite(self.acceleration).all())

    def flight(self, release_distance: float) -> Flight:
        """The measured flight (n = 1) from a distance (m) on; raises UnreachableError where it misses the plate."""
        spin = np.zeros((1, 3))
        return measured_pitch(
            self.position[None], self.velocity[None], self.acceleration[None], spin, np.array([release_distance])
        )

    def ask(self, base: Inputs) -> tuple[PitchAsk, float]:
        """The pitch as the model throws it in the setting of ``base``, and how far that is off the measured one, m.

        A measured flight gives release, speed and crossing; the spin is the one whose flight through the air of
        ``base`` comes nearest to it at equal times. A spin that was measured and is more than that shows as gyro.
        Where only speed and crossing were measured all else stays that of ``base``, and the distance is NaN.
        """
        if not self.is_flight:
            changed = {"speed": self.speed, "plate_side": self.side, "plate_height": self.height}
            if np.isfinite(self.spin):
                changed["spin"] = self.spin
            return replace(base.pitch, **changed), float("nan")
        distance = self.release_distance if np.isfinite(self.release_distance) else float(base.pitch.release_distance)
        try:
            return _thrown_alike(self, self.flight(distance), base)
        except UnreachableError as error:
            raise InputError([Mistake(self.where, "", str(error))]) from error

    def thrown_in(self, scenario: Scenario) -> tuple[Scenario, float]:
        """The scenario with this pitch in place of its own, and how far that is off the measured one, m; as `ask`."""
        asked, off = self.ask(scenario.to_inputs())
        keys = {key.rpartition("_")[0]: key for key in quantities() if key.startswith("pitch.")}  # without their units
        values = {
            key: round(float(value) / quantities()[key].si(1.0), DECIMALS)
            for name, value in vars(asked).items()
            if (key := keys.get(f"pitch.{name}"))
        }
        return scenario.with_values(values), off


def read_pitches(path: str | Path, data: bytes | None = None) -> list[MeasuredPitch]:
    """The pitches in a CSV file; see docs/measured.md for its two headers.

    data : its bytes, where they are at hand; else they are read

    Raises InputError: one sentence for each fault, with file and line.
    """
    name = str(path)
    data = read_bytes(path) if data is None else data
    head = text_of(data, name).lower()
    whole = "acceleration" in head or "velocity" in head or "position" in head
    table = read_table(data, name, FLIGHT if whole else CROSSING, OPTIONAL)
    if len(table.lines) > MOST_PITCHES:
        raise refuse(name, tr("has more than {most} pitches", most=MOST_PITCHES))
    pitches = [_pitch(table, i) for i in range(len(table.lines))]
    mistakes = [Mistake(p.where, "", text) for p in pitches if (text := _mistake(p))]
    if mistakes:
        raise InputError(mistakes[:8])
    return pitches


def _pitch(table: Table, i: int) -> MeasuredPitch:
    def value(key: str) -> float:
        return float(table.columns[key][i]) if key in table.columns else float("nan")

    def vector(kind: str) -> Array:
        return np.array([value(f"{kind}_{axis}") for axis in "xyz"])

    given = table.texts["name"][i] if "name" in table.texts else ""
    crossing = (value("speed"), value("plate_side"), value("plate_height"))
    return MeasuredPitch(given or str(i + 1), table.where(i), vector("position"), vector("velocity"),
                         vector("acceleration"), *crossing, value("spin"), value("release_distance"))  # fmt: skip


def _mistake(pitch: MeasuredPitch) -> str:
    """What is wrong with a pitch; nothing if it can be used."""
    whole = np.concatenate([pitch.position, pitch.velocity, pitch.acceleration])
    crossing = np.array([pitch.speed, pitch.side, pitch.height])
    given = whole if np.isfinite(whole).any() else crossing
    if not np.isfinite(given).all():
        return tr("a pitch must have all its numbers; some are gaps")
    speed = float(norm(pitch.velocity)) if given is whole else pitch.speed
    least, most = SPEEDS
    if not least <= speed <= most:
        return tr("the pitch would have {speed} m/s; {least} to {most} m/s can be used; which unit is it in?",
                  speed=f"{speed:.0f}", least=f"{least:.0f}", most=f"{most:.0f}")  # fmt: skip
    if given is crossing:
        return (
            ""
            if 0 < pitch.height < 3 and abs(pitch.side) < 2
            else tr("the pitch passes far from the plate; which unit is it in?")
        )
    if pitch.velocity[1] >= 0:
        return tr("the pitch moves away from the plate: the velocity toward the pitcher, y, must be negative")
    if not PLATE_FRONT_Y < pitch.position[1] < 30:
        return tr("the pitch was measured {distance} m from the plate; y must lie between plate and pitcher",
                  distance=f"{pitch.position[1]:.1f}")  # fmt: skip
    return ""


def _thrown_alike(pitch: MeasuredPitch, flight: Flight, base: Inputs) -> tuple[PitchAsk, float]:
    """The model's pitch nearest to a measured flight, and the largest distance of the two at equal times, m."""
    end = float(time_at_y(flight, np.array([PLATE_FRONT_Y]))[0, 0])
    times = np.linspace(0.0, end, SAMPLES)[None]
    true = flight.at(times)[0]
    medium = medium_of(base.setting)
    speed, radius = float(norm(flight.v[0, 0])), base.setting.ball.radius
    fixed = PitchAsk(
        speed=speed, release_side=float(true[0, 0]), release_height=float(true[0, 2]),
        release_distance=float(true[0, 1]), spin=0.0, spin_tilt=0.0, gyro=0.0,
        plate_side=float(true[-1, 0]), plate_height=float(true[-1, 2]),
    )  # fmt: skip
    if fixed.plate_height < radius:
        raise UnreachableError(tr("The pitch bounces before the plate."))

    def asked(x: Array) -> PitchAsk:
        spin, tilt = MOST_SPIN * float(np.hypot(x[1], x[2])), float(np.arctan2(x[1], x[2]))
        return replace(fixed, speed=speed * float(x[0]), spin=spin, spin_tilt=tilt)

    def apart(x: Array) -> Array:
        return (make_pitch(medium, asked(x)).at(times)[0] - true).ravel()

    found = least_squares(apart, [1.0, 0.0, 0.3], bounds=([0.9, -1.0, -1.0], [1.1, 1.0, 1.0]), x_scale=[0.01, 0.1, 0.1])
    ask, off = asked(found.x), float(norm(found.fun.reshape(-1, 3)).max())
    if np.isfinite(pitch.spin) and pitch.spin > ask.spin:
        ask = replace(ask, spin=pitch.spin, gyro=float(np.arccos(ask.spin / pitch.spin)))
    return ask, off
