"""Every value a scenario may give, in coach units.

Each quantity declares its unit, range, step, label and one line of documentation once, here; validation,
sliders and docs/scenario-format.md all read that. Labels and documentation are messages, said with `language.tr`.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, create_model
from pydantic.fields import FieldInfo

from plane3d import units
from plane3d.families import FAMILY_NAMES
from plane3d.language import mark, tr, trc
from plane3d.levels import LEVELS
from plane3d.track_text import unpacked

SI = {
    "mph": units.MPH,
    "in": units.INCH,
    "ft": units.FOOT,
    "deg": units.DEGREE,
    "rpm": units.RPM,
    "oz": units.OUNCE,
    "inHg": units.INHG,
    "ms": units.MILLISECOND,
    "%": 0.01,
}


SHOWN_UNITS = {"deg": "°"}

# coach unit: metric unit, metric = coach * factor + offset, decimals
METRIC: dict[str, tuple[str, float, float, int]] = {
    "mph": ("km/h", units.MPH / units.KMH, 0.0, 1),
    "in": ("cm", units.INCH / units.CENTIMETRE, 0.0, 1),
    "ft": ("m", units.FOOT, 0.0, 2),
    "oz": ("g", units.OUNCE * 1000, 0.0, 0),
    "inHg": ("hPa", units.INHG / 100, 0.0, 0),
    "°F": ("°C", units.FAHRENHEIT_STEP, -32 * units.FAHRENHEIT_STEP, 1),
}


@dataclass(frozen=True)
class ShownUnit:
    """How a number is shown: the unit's name in words; shown = coach value * factor + offset; most decimals."""

    name: str
    factor: float
    offset: float
    decimals: int


@dataclass(frozen=True)
class Quantity:
    """A number a scenario may give: key, unit, allowed range (ends included), slider step, words.

    usual : where a slider runs, when most of the allowed range is rarely wanted; None for the whole range
    """

    key: str
    unit: str
    low: float
    high: float
    step: float
    label: str
    doc: str
    usual: tuple[float, float] | None = None

    def si(self, value: float) -> float:
        """The value in SI."""
        return units.fahrenheit_to_kelvin(value) if self.unit == "°F" else value * SI[self.unit]

    def shown_in(self, metric: bool) -> ShownUnit:
        """The unit it is shown in, with one decimal more than its step has."""
        if metric and self.unit in METRIC:
            return ShownUnit(*METRIC[self.unit])
        return ShownUnit(SHOWN_UNITS.get(self.unit) or unit_name(self.unit), 1.0, 0.0, self._step_decimals() + 1)

    def words(self, value: float, metric: bool = False) -> str:
        """A value in words: ``1.0 in``, ``75.3 mph``, ``12°``."""
        unit = self.shown_in(metric)
        return self._written(value * unit.factor + unit.offset, unit)

    def step_words(self, step: float, metric: bool = False) -> str:
        """A difference between two values in words: zero of a temperature scale does not count in it."""
        unit = self.shown_in(metric)
        return self._written(step * unit.factor, unit)

    def _written(self, shown: float, unit: ShownUnit) -> str:
        least = min(self._step_decimals(), unit.decimals)
        decimals = next(n for n in range(least, unit.decimals + 1)
                        if n == unit.decimals or round(shown, n) == round(shown, unit.decimals))  # fmt: skip
        name = unit.name if unit.name in ("°", "%") else f" {unit.name}"
        return f"{round(shown, decimals) + 0.0:.{decimals}f}{name}"

    def _step_decimals(self) -> int:
        return next(n for n in range(6) if round(self.step, n) == self.step)


def unit_name(unit: str) -> str:
    """A unit as it is written in the language in use; most are written alike in all of them."""
    if unit == "in":
        return trc("unit", "in")
    if unit == "ft":
        return trc("unit", "ft")
    return trc("unit", "deg") if unit == "deg" else unit


def _number(
    low: float,
    high: float,
    step: float,
    unit: str,
    label: str,
    doc: str,
    usual: tuple[float, float] | None = None,
    **default: Any,
) -> Any:
    """A field holding a number from low to high in the given unit."""
    extra: dict[str, Any] = {"low": low, "high": high, "step": step, "unit": unit, "usual": usual}
    return Field(**default, ge=low, le=high, title=label, description=doc, json_schema_extra=extra)


class Strict(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True, extra="forbid", allow_inf_nan=False)


class SettingValues(Strict):
    """[setting]: where and at what level."""

    level: Literal[tuple(LEVELS)] = Field(description="Level of play; gives every value left out.")  # type: ignore[valid-type]
    temperature_f: float = _number(20, 120, 1, "°F", "Temperature", "Air temperature.")
    humidity_percent: float = _number(0, 100, 5, "%", "Humidity", "Relative humidity of the air.")
    altitude_ft: float = _number(-300, 12000, 100, "ft", "Altitude", "Height above sea level; sets the air pressure.")
    pressure_inhg: float | None = _number(
        18, 32, 0.1, "inHg", "Air pressure",
        "Pressure at the field itself (not corrected to sea level); replaces the one from altitude.",
        default=None,
    )  # fmt: skip
    wind_mph: float = _number(0, 50, 1, "mph", "Wind", "Wind speed, the same at every height.")
    wind_toward_deg: float = _number(
        -180,
        180,
        5,
        "deg",
        "Wind toward",
        "Where the wind blows to: 0 centre field, +90 first-base side, 180 behind.",
    )
    base_ft: float = _number(40, 90, 5, "ft", "Base length", "Distance between bases.")
    fence_ft: float = _number(60, 500, 5, "ft", "Fence", "Rear point of the plate to the fence in centre field.")
    fence_line_ft: float = _number(
        60, 500, 5, "ft", "Fence on the lines", "Rear point of the plate to the fence along the foul lines."
    )
    fence_height_ft: float = _number(0, 40, 1, "ft", "Fence height", "Height of the fence.")


class HitterValues(Strict):
    """[hitter]: who swings."""

    bats: Literal["right", "left"] = Field(description="Side the hitter bats from.")
    height_in: float = _number(36, 84, 1, "in", "Hitter's height", "Sets the strike zone and where the hands can be.")


class BatValues(Strict):
    """[bat]: what is swung."""

    length_in: float = _number(24, 42, 0.5, "in", "Bat length", "Knob to end.")
    weight_oz: float = _number(12, 45, 0.5, "oz", "Bat weight", "Weight of the whole bat.")
    barrel_diameter_in: float = _number(2, 2.75, 0.005, "in", "Barrel diameter", "Diameter at the thickest place.")
    material: Literal["wood", "metal", "youth", "softball"] = Field(
        description="Wood; metal held to a 0.50 ball-bat limit; youth or softball metal."
    )


class PitchValues(Strict):
    """[pitch]: how the ball leaves the hand and where it crosses the plate."""

    family: Literal[FAMILY_NAMES] = Field(  # type: ignore[valid-type]
        description="Pitch family; gives speed, spin, tilt and gyro angle unless the file does."
    )
    throws: Literal["right", "left"] = Field(description="Pitcher's arm; sets the side of release and the run.")
    speed_mph: float = _number(20, 110, 1, "mph", "Pitch speed", "Speed out of the hand.")
    release_side_ft: float = _number(
        -6, 6, 0.1, "ft", "Release side", "Where the ball is let go: positive toward first base."
    )
    release_height_ft: float = _number(0.5, 8, 0.1, "ft", "Release height", "Above the plate's ground.")
    release_distance_ft: float = _number(20, 60, 0.5, "ft", "Release distance", "From the rear point of the plate.")
    spin_rpm: float = _number(0, 4000, 50, "rpm", "Pitch spin", "Rate of spin.")
    spin_tilt_deg: float = _number(
        -180,
        180,
        5,
        "deg",
        "Spin tilt",
        "Where the spin pushes the ball: 0 up, +90 toward first base, 180 down.",
    )
    gyro_deg: float = _number(0, 90, 5, "deg", "Gyro angle", "0 all the spin pushes the ball, 90 none of it does.")
    plate_side_in: float = _number(
        -24, 24, 0.5, "in", "Pitch side", "Ball centre at the plate's front edge: positive toward first base."
    )
    plate_height_in: float = _number(8, 72, 0.5, "in", "Pitch height", "Ball centre at the plate's front edge.")


class SwingValues(Strict):
    """[swing]: the contact asked for, and the road to it."""

    bat_speed_mph: float = _number(15, 100, 1, "mph", "Bat speed", "Speed of the sweet spot at contact.")
    attack_angle_deg: float = _number(
        -20, 30, 1, "deg", "Attack angle", "Climb of the barrel at contact: up positive.", (-10, 25)
    )
    vertical_bat_angle_deg: float = _number(
        0, 55, 1, "deg", "Vertical bat angle", "Tilt of the bat below horizontal at contact."
    )
    bat_direction_deg: float = _number(
        -45, 45, 1, "deg", "Bat direction",
        "Where the bat points, seen from above: 0 parallel to the front edge, positive barrel ahead (pull).",
    )  # fmt: skip
    contact_depth_in: float = _number(
        -18,
        36,
        0.5,
        "in",
        "Contact depth",
        "Where the ball is to be met: from the plate's front edge, forward positive.",
        (-12, 24),
    )
    below_line_in: float = _number(
        -6, 6, 0.1, "in", "Below the line", "Bat's axis below the pitch line there: barrel lower positive.", (-5, 5)
    )
    along_barrel_in: float = _number(
        -12,
        6,
        0.5,
        "in",
        "Along the barrel",
        "Place of the hit from the sweet spot: toward the tip positive.",
    )
    timing_ms: float = _number(
        -60, 60, 1, "ms", "Timing", "How far the swing is off time: late positive, early negative.", (-30, 30)
    )
    hinge_deg: float = _number(60, 150, 5, "deg", "Hinge angle", "Angle between lead forearm and bat while it is held.")
    release_ms: float = _number(10, 150, 5, "ms", "Hinge release", "How long before contact the hinge is let go.")


POSE = ("vertical_bat_angle_deg", "bat_direction_deg", "contact_depth_in", "below_line_in", "along_barrel_in")


def _optional(doc: str, fields: Mapping[str, FieldInfo], name: str) -> type[Strict]:
    """A table whose numbers are those of another table, each of which may be left out."""
    optional: dict[str, Any] = {}
    for key, field in fields.items():
        copy = deepcopy(field)
        copy.default = None
        optional[key] = (field.annotation | None, copy)  # type: ignore[operator]
    return create_model(name, __base__=Strict, __doc__=doc, **optional)


def _numbers(model: type[Strict]) -> dict[str, FieldInfo]:
    return {name: field for name, field in model.model_fields.items() if field.json_schema_extra}


HeldValues = _optional(
    "[held]: what a held swing was built for; it stays in space while [pitch] changes. Left out, the swing aims.",
    _numbers(PitchValues) | {name: SwingValues.model_fields[name] for name in POSE},
    "HeldValues",
)
SecondPitchValues = _optional(
    "[second_pitch]: another pitch from the same hand, shown beside the first. What is left out is as in [pitch].",
    PitchValues.model_fields,
    "SecondPitchValues",
)


def _readable(text: str) -> str:
    unpacked(text)
    return text


class MeasuredValues(Strict):
    """[measured]: a measured swing in place of the built one, as `plane3d measure` writes it; [swing] moves it."""

    motion: Annotated[str, AfterValidator(_readable)] = Field(description="The bat's places, packed.")


class ViewValues(Strict):
    """[view]: where the picture is seen from, and what the contact window allows."""

    camera: Literal["catcher", "pitcher", "above", "side", "hitter"] = Field(description="View to start from.")
    window_in: float = _number(
        0.1, 3, 0.1, "in", "Contact window within", "How far from the pitch line still counts as staying together."
    )


GROUPS: dict[str, type[Strict]] = {
    "setting": SettingValues,
    "hitter": HitterValues,
    "bat": BatValues,
    "pitch": PitchValues,
    "swing": SwingValues,
    "view": ViewValues,
}
# Tables a scenario may do without.
EXTRAS: dict[str, type[Strict]] = {"held": HeldValues, "measured": MeasuredValues, "second_pitch": SecondPitchValues}
TABLES = GROUPS | EXTRAS


@cache
def all_quantities() -> dict[str, Quantity]:
    """Every number a file may hold, by dotted key, the extra tables included."""
    found = {}
    for group, model in TABLES.items():
        for name, field in model.model_fields.items():
            if isinstance(extra := field.json_schema_extra, dict):
                key = f"{group}.{name}"
                found[key] = Quantity(key, label=field.title, doc=field.description, **extra)  # type: ignore[arg-type]
    return found


@cache
def all_choices() -> dict[str, tuple[str, ...]]:
    """Every word a file may choose, by dotted key, with its allowed values, the extra tables included."""
    fields = ((f"{g}.{n}", f.annotation) for g, model in TABLES.items() for n, f in model.model_fields.items())
    kinds = {key: [kind, *get_args(kind)] for key, kind in fields}  # a word that may be left out is Literal or None
    return {key: get_args(k) for key, each in kinds.items() for k in each if get_origin(k) is Literal}


@cache
def quantities() -> dict[str, Quantity]:
    """Every number a scenario has a value for, by dotted key, in the order of the file."""
    return {key: q for key, q in all_quantities().items() if key.partition(".")[0] in GROUPS}


@cache
def choices() -> dict[str, tuple[str, ...]]:
    """Every word a scenario has chosen, by dotted key, with its allowed values."""
    return {key: words for key, words in all_choices().items() if key.partition(".")[0] in GROUPS}


def quantity(key: str) -> Quantity:
    """The quantity with this dotted key."""
    return all_quantities()[key]


CHOICE_LABELS = {
    "setting.level": mark("Level of play"),
    "hitter.bats": mark("Bats"),
    "bat.material": mark("Bat material"),
    "pitch.family": mark("Pitch family"),
    "second_pitch.family": mark("Second pitch, for comparison"),
    "pitch.throws": mark("Pitcher throws"),
}
# Values of choices in words, where the value itself would not do; named here so that catalogues have them all.
VIEWS = {"side": mark("open side"), "hitter": mark("hitter’s eyes")}
CHOICES = (
    *(mark("under-8"), mark("under-10"), mark("under-12"), mark("under-14")),
    *(mark("high-school"), mark("college"), mark("professional")),
    *(mark("softball-10"), mark("softball-12"), mark("softball-14")),
    *(mark("softball-high-school"), mark("softball-college")),
    *(mark("wood"), mark("metal"), mark("youth"), mark("softball")),
    *(mark("fastball"), mark("four-seam"), mark("two-seam"), mark("cut"), mark("slider"), mark("curve")),
    *(mark("change-up"), mark("rise"), mark("drop")),
    *(mark("catcher"), mark("pitcher"), mark("above")),
)


def choice_in_words(key: str, value: str) -> str:
    """What a choice says within a sentence: ``wood``, ``four-seam``. key : dotted key; value : one it may have"""
    name = key.rpartition(".")[2]
    if name == "bats":
        return trc("bats", "right") if value == "right" else trc("bats", "left")
    if name == "throws":
        return trc("throws", "right") if value == "right" else trc("throws", "left")
    return tr(VIEWS[value]) if name == "camera" and value in VIEWS else tr(value)


def choice_words(key: str, value: str) -> str:
    """What a choice says standing alone, as in a list to choose from: ``Wood``, ``Four seam``."""
    words = choice_in_words(key, value).replace("-", " ")
    return words[0].upper() + words[1:]


@cache
def known_keys() -> tuple[str, ...]:
    """Every table and every dotted key within the tables."""
    return (*TABLES, *(f"{g}.{n}" for g, model in TABLES.items() for n in model.model_fields))
