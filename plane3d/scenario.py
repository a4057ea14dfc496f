"""Scenarios: a teaching case in coach units, complete, and from there the inputs of a play.

A value that a file leaves out comes from its level of play, or follows from other values (`followed`).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, PrivateAttr, StringConstraints, ValidationError

from plane3d.constants import ZONE_BOTTOM_SHARE, ZONE_TOP_SHARE
from plane3d.errors import InputError, Mistake, UnreachableError
from plane3d.families import OWN, families
from plane3d.frames import direction
from plane3d.inputs import Ball, Held, Inputs, PitchAsk, Setting, SwingAsk
from plane3d.inputs import Field as PlayingField
from plane3d.language import tr
from plane3d.levels import DEFAULT_LEVEL, LEVELS, starting_values
from plane3d.messages import TEXTS, explain, one_of
from plane3d.physics.air import air_density, standard_pressure
from plane3d.physics.bat import Bat, make_bat
from plane3d.physics.measured_swing import Track
from plane3d.physics.swing import square_direction
from plane3d.plays import play_many
from plane3d.quantities import (
    EXTRAS,
    GROUPS,
    POSE,
    TABLES,
    BatValues,
    HeldValues,
    HitterValues,
    MeasuredValues,
    PitchValues,
    SecondPitchValues,
    SettingValues,
    Strict,
    SwingValues,
    ViewValues,
    known_keys,
    quantities,
    quantity,
    unit_name,
)
from plane3d.toml_text import KeyLines, parse, read_text, write
from plane3d.track_text import packed, unpacked
from plane3d.units import FOOT

MOTION = "measured.motion"
BY_FAMILY = ("pitch.speed_mph", "pitch.spin_rpm", "pitch.spin_tilt_deg", "pitch.gyro_deg")

FormatNumber = Annotated[int, Field(ge=1, le=1)]
OneLine = Annotated[str, StringConstraints(max_length=120, pattern=r"^[^\r\n]*\S[^\r\n]*$")]
Prose = Annotated[str, StringConstraints(max_length=1000)]


class Scenario(Strict):
    """One teaching case: every value in coach units, complete."""

    format: FormatNumber
    title: OneLine
    question: Prose = ""
    notice: Prose = ""
    setting: SettingValues
    hitter: HitterValues
    bat: BatValues
    pitch: PitchValues
    swing: SwingValues
    held: HeldValues | None = None  # type: ignore[valid-type]
    measured: MeasuredValues | None = None
    second_pitch: SecondPitchValues | None = None  # type: ignore[valid-type]
    view: ViewValues
    _given: tuple[str, ...] = PrivateAttr(())

    @property
    def given(self) -> dict[str, Any]:
        """The values that were asked for, by dotted key; all others come from the level or follow."""
        return {key: self.value(key) for key in self._given}

    def value(self, key: str) -> Any:
        """Value of a dotted key such as ``swing.timing_ms``."""
        group, _, name = key.rpartition(".")
        holder = getattr(self, group) if group else self
        return None if holder is None else getattr(holder, name)

    def with_values(self, changes: Mapping[str, Any]) -> Scenario:
        """This scenario with some values changed, by dotted key; None gives a key back to its level.

        What follows from the changed values follows again; another pitch family brings its own speed and spin, whatever
        was given before; a hitter of the other side has no measured swing any more. Raises InputError naming every key
        that is unknown or out of range.
        """
        changes = dict(changes)
        if (changes.get("pitch.family", self.pitch.family) or OWN) != self.pitch.family:
            changes = dict.fromkeys(BY_FAMILY) | changes
        if changes.get("hitter.bats", self.hitter.bats) != self.hitter.bats:
            changes = {MOTION: None} | changes
        wanted = {key: value for key, value in (self.given | changes).items() if value is not None}
        return build(nest(wanted), KeyLines("", "input"))

    def with_measured(self, track: Track | None) -> Scenario:
        """The same scenario with a measured swing in place of the built one, or with None the built one again.

        It stays through `with_values`, except for a hitter of the other side.
        """
        return self.with_values({MOTION: packed(track) if track else None})

    @property
    def is_measured(self) -> bool:
        """Whether the swing is a measured one."""
        return self.measured is not None

    def to_toml(self) -> str:
        """A scenario file that loads as this scenario: the values asked for, no others."""
        return write(nest(self.given))

    @property
    def is_held(self) -> bool:
        """Whether the swing is held in space rather than aimed at the pitch."""
        return bool(self._table("held"))

    def aimed(self) -> Scenario:
        """The scenario that a held swing was built for; this one where the swing aims."""
        table = self._table("held")
        changes = {f"{'swing' if name in POSE else 'pitch'}.{name}": value for name, value in table.items()}
        return self.with_values(changes | {f"held.{name}": None for name in table}) if table else self

    def hold(self, on: bool) -> Scenario:
        """The same scenario with its swing held as it is now, or aiming at the pitch again."""
        names = HeldValues.model_fields
        now = {f"held.{name}": self.value(f"{'swing' if name in POSE else 'pitch'}.{name}") for name in names}
        return self.with_values(now if on else dict.fromkeys(now))

    def with_second_pitch(self) -> Scenario | None:
        """The scenario with its second pitch in place of the first; None where it has none."""
        table = self._table("second_pitch")
        if not table:
            return None
        given = dict(self.given) | {f"second_pitch.{name}": None for name in table}
        if "family" in table:  # a family brings its own speed and spin, whatever the first pitch was given
            given |= dict.fromkeys(BY_FAMILY)
        return self.with_values(given | {f"pitch.{name}": value for name, value in table.items()})

    def _table(self, group: str) -> dict[str, Any]:
        """What was given in one table."""
        return {key.partition(".")[2]: value for key, value in self.given.items() if key.startswith(group + ".")}

    def to_inputs(self) -> Inputs:
        """The same play in SI, ready for `play`."""
        level = LEVELS[self.setting.level]
        bat = {k: self.si(f"bat.{k}") for k in ("length_in", "weight_oz", "barrel_diameter_in")}
        return Inputs(
            setting=Setting(Ball(*level.ball), self._field(), self._air_density(), self._wind()),
            bats=self.hitter.bats,
            hitter_height=self.si("hitter.height_in"),
            bat=_bat(*bat.values(), self.bat.material),
            pitch=PitchAsk(**self._group_si("pitch")),
            swing=SwingAsk(**self._group_si("swing")),
            held=self._held(),
            measured=unpacked(self.measured.motion) if self.measured else None,
        )

    def _held(self) -> Held | None:
        if not self.is_held:
            return None
        aimed = self.aimed()
        return Held(PitchAsk(**aimed._group_si("pitch")), SwingAsk(**aimed._group_si("swing")))

    def si(self, key: str) -> float:
        """Value of a quantity in SI, by dotted key."""
        return quantity(key).si(self.value(key))

    def _group_si(self, group: str) -> dict[str, float]:
        """The numbers of a table in SI, by name without unit: the names `PitchAsk` and `SwingAsk` use."""
        keys = [key for key in quantities() if key.startswith(group + ".")]
        return {key.partition(".")[2].rpartition("_")[0]: self.si(key) for key in keys}

    def _field(self) -> PlayingField:
        return PlayingField(
            base=self.si("setting.base_ft"),
            fence_line=self.si("setting.fence_line_ft"),
            fence_centre=self.si("setting.fence_ft"),
            fence_height=self.si("setting.fence_height_ft"),
            rubber=LEVELS[self.setting.level].rubber_ft * FOOT,
        )

    def _air_density(self) -> float:
        """kg/m3; a pressure measured at the field wins over the altitude."""
        if self.setting.pressure_inhg is None:
            pressure = standard_pressure(self.si("setting.altitude_ft"))
        else:
            pressure = self.si("setting.pressure_inhg")
        humidity = self.si("setting.humidity_percent")
        return float(air_density(self.si("setting.temperature_f"), pressure, humidity))

    def _wind(self) -> tuple[float, float, float]:
        x, y, z = self.si("setting.wind_mph") * direction(self.si("setting.wind_toward_deg"), 0.0)
        return float(x), float(y), float(z)


TOP_KEYS = tuple(name for name in Scenario.model_fields if name not in TABLES)
# Tables that say nothing when they are empty, and are then as good as left out.
MAY_BE_EMPTY = [
    name for name, model in EXTRAS.items() if not any(field.is_required() for field in model.model_fields.values())
]


def build(given: Mapping[str, Any], lines: KeyLines) -> Scenario:
    """The scenario asked for by values nested as in a file.

    lines : where each key stands, for messages
    Raises InputError with every mistake.
    """
    setting = given.get("setting")
    level = setting.get("level") if isinstance(setting, Mapping) else None
    start = starting_values(level if isinstance(level, str) and level in LEVELS else DEFAULT_LEVEL)
    _checked(_merged(start | followed(start), given), lines)  # from here on the given values can be trusted
    asked = {f"{group}.{name}": v for group in TABLES for name, v in given.get(group, {}).items()}
    _check_family(start | asked, lines)
    scenario = _checked(_merged(start | followed(start | asked), given), lines)
    scenario._given = (*(key for key in given if key not in TABLES), *asked)
    return scenario


def _check_family(values: Mapping[str, Any], lines: KeyLines) -> None:
    """Raises InputError for a pitch that is not thrown at this level."""
    allowed = (OWN, *families(values["setting.level"]))
    mistakes = [
        Mistake(
            lines.where(key),
            key,
            tr(
                '= "{given}" is not thrown at level "{level}"; it must be {what}',
                given=values[key],
                level=values["setting.level"],
                what=one_of(allowed),
            ),
        )
        for key in ("pitch.family", "second_pitch.family")
        if values.get(key, OWN) not in allowed
    ]
    if mistakes:
        raise InputError(mistakes)


def _checked(values: dict[str, Any], lines: KeyLines) -> Scenario:
    try:
        return Scenario.model_validate(values)
    except ValidationError as error:
        raise InputError(explain(error.errors(), lines, TEXTS, (*TOP_KEYS, *known_keys()))) from None


def _merged(values: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """Starting values by dotted key, nested, with the given values laid over them."""
    nested = nest(values)
    for name, value in given.items():
        if name in MAY_BE_EMPTY and value == {}:
            continue
        both = isinstance(value, Mapping) and name in GROUPS
        nested[name] = {**nested[name], **value} if both else value
    return nested


def nest(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values by dotted key as tables of values, as in a file."""
    nested: dict[str, Any] = {}
    for key, value in values.items():
        group, dot, name = key.partition(".")
        if dot:
            nested.setdefault(group, {})[name] = value
        else:
            nested[key] = value
    return nested


@lru_cache(maxsize=64)
def _bat(length: float, mass: float, barrel_diameter: float, material: str) -> Bat:
    return make_bat(length, mass, barrel_diameter, material)


def followed(values: Mapping[str, Any]) -> dict[str, float]:
    """Values that follow from others unless they are given, by dotted key.

    The pitch crosses at the middle of the hitter's strike zone; the pitcher's arm sets the release side and the
    run; a pitch family gives speed, spin, tilt and gyro angle next to the level's own fastball; the fence on the
    lines keeps the level's share of the fence in centre field; and the bat direction is `square_direction`.
    """
    level = LEVELS[values["setting.level"]]
    arm = 1 if values["pitch.throws"] == "left" else -1
    tilt = math.radians(values["swing.vertical_bat_angle_deg"])
    climb = math.radians(values["swing.attack_angle_deg"])
    square = math.degrees(square_direction(tilt, climb))
    reach = quantity("swing.bat_direction_deg")
    line = quantity("setting.fence_line_ft")
    share = level.fence_line_ft / level.fence_ft
    family = families(values["setting.level"]).get(values["pitch.family"])
    tilt_deg = level.spin_tilt_deg if family is None else family.tilt_deg
    return {
        "setting.fence_line_ft": min(line.high, max(line.low, values["setting.fence_ft"] * share)),
        "pitch.release_side_ft": arm * level.release_side_ft,
        "pitch.speed_mph": level.pitch_mph if family is None else round(level.pitch_mph * family.speed, 1),
        "pitch.spin_rpm": level.spin_rpm if family is None else round(level.spin_rpm * family.spin),
        "pitch.spin_tilt_deg": tilt_deg * -arm,
        "pitch.gyro_deg": level.gyro_deg if family is None else family.gyro_deg,
        "pitch.plate_height_in": values["hitter.height_in"] * (ZONE_BOTTOM_SHARE + ZONE_TOP_SHARE) / 2,
        "swing.bat_direction_deg": min(reach.high, max(reach.low, square)),
    }


def load(path: str | Path) -> Scenario:
    """The scenario in a file; raises InputError with every mistake, each by file, line and key."""
    return loads(read_text(Path(path)), str(path))


def load_playable(path: str | Path) -> Scenario:
    """The scenario in a file, tried out: raises InputError also where its pitch or its swing cannot be made."""
    scenario = load(path)
    try:
        play_many(scenario.to_inputs())
    except UnreachableError as error:
        names = "|".join(error.names)
        keys = [key for key in quantities() if re.fullmatch(rf"(pitch|swing)\.({names})_[a-z]+", key)]
        given = ", ".join(f"{key} = {scenario.value(key):g} {unit_name(quantity(key).unit)}" for key in keys)
        where = KeyLines(read_text(Path(path)), str(path)).where(keys[0])
        raise InputError([Mistake(where, given + ":", str(error))]) from error
    return scenario


def loads(text: str, name: str = "scenario") -> Scenario:
    """The scenario in a TOML text; ``name`` stands in messages for the file."""
    return build(parse(text, name), KeyLines(text, name))
