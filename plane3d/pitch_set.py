"""Pitch sets: the pitches to try swings against, from a TOML file with a list ``[[pitch]]``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, ValidationError

from plane3d.constants import ZONE_BOTTOM_SHARE, ZONE_TOP_SHARE
from plane3d.errors import InputError, Mistake, Plane3dError
from plane3d.families import OWN
from plane3d.language import mark, tr
from plane3d.messages import TEXTS, explain
from plane3d.quantities import PitchValues, SecondPitchValues, Strict
from plane3d.scenario import FormatNumber, OneLine, Prose, Scenario
from plane3d.toml_text import KeyLines, parse, read_text

PLATE_WIDTH_IN = 17.0  # Official Baseball Rules 2.02
NUMBERS = tuple(name for name, value in PitchValues.model_fields.items() if value.json_schema_extra)
GIVEN_BY_FILE = tuple(PitchValues.model_fields)


class OnePitch(SecondPitchValues):  # type: ignore[misc,valid-type]
    """One pitch of a set. It may hold every key of `[pitch]`, and these:"""

    title: OneLine | None = Field(
        None, title=mark("one line of text, at most 120 characters"), description="What the pitch is called."
    )
    count: int = Field(1, ge=1, le=1000, title=mark("a whole number from 1 to 1000"), description="How often it comes.")


class PitchSetValues(Strict):
    """A pitch set as it stands in a file."""

    format: FormatNumber = Field(title=mark("1, the only file format there is"), description="Always 1.")
    title: OneLine = Field(title=mark("one line of text, at most 120 characters"), description="Name of the set.")
    notice: Prose = Field("", title=mark("text, at most 1000 characters"), description="What the set is for.")
    pitch: Annotated[list[OnePitch], Field(min_length=1, max_length=100)] = Field(
        title=mark("a list of pitches, at most 100: write [[pitch]] above each"),
        description="The pitches, see below.",
    )


OWN_KEYS: dict[str, Any] = dict(PitchSetValues.model_fields) | {
    f"pitch.{name}": OnePitch.model_fields[name] for name in ("title", "count")
}
KNOWN = (*OWN_KEYS, *(f"pitch.{name}" for name in PitchValues.model_fields))


@dataclass(frozen=True)
class SetPitch:
    """One pitch: what was given of [pitch], how often it comes, and what it is called, or nothing."""

    given: Mapping[str, Any]
    count: int = 1
    title: str = ""


@dataclass(frozen=True)
class PitchSet:
    """A title and the pitches in order."""

    title: str
    pitches: tuple[SetPitch, ...]
    notice: str = ""
    path: Path | None = field(default=None, compare=False)


def is_pitch_set(path: str | Path) -> bool:
    """Whether a file lists pitches; raises InputError if it cannot be read at all."""
    return isinstance(parse(read_text(Path(path)), str(path)).get("pitch"), list)


def load_pitch_set(path: str | Path) -> PitchSet:
    """The pitch set in a file; raises InputError with every mistake, each by file, line and key."""
    path = Path(path)
    return loads_pitch_set(read_text(path), str(path))


def loads_pitch_set(text: str, name: str = "pitch set") -> PitchSet:
    """The pitch set in a TOML text; ``name`` stands in messages for the file."""
    lines = KeyLines(text, name)
    try:
        file = PitchSetValues.model_validate(parse(text, name))
    except ValidationError as error:
        texts = TEXTS | {key: value.title for key, value in OWN_KEYS.items()}
        raise InputError(explain(error.errors(), lines, texts, KNOWN)) from None
    pitches = tuple(
        SetPitch(
            {k: v for k in GIVEN_BY_FILE if (v := getattr(values, k)) is not None}, values.count, values.title or ""
        )
        for values in file.pitch
    )
    return PitchSet(file.title, pitches, file.notice, Path(name))


def complete(pitch_set: PitchSet, scenario: Scenario) -> list[dict[str, float]]:
    """Every number of [pitch] for each pitch of a set, by name; what it leaves out comes as in the scenario's level.

    Raises InputError for a pitch that is not thrown at this level or cannot be.
    """
    blank = scenario.hold(False).with_values({f"pitch.{name}": None for name in GIVEN_BY_FILE})
    return [
        {name: thrown.value(f"pitch.{name}") for name in NUMBERS}
        for thrown in (
            _thrown(blank, pitch, place, pitch_set) for place, pitch in enumerate(pitch_set.pitches, start=1)
        )
    ]


def _thrown(blank: Scenario, pitch: SetPitch, place: int, pitch_set: PitchSet) -> Scenario:
    try:
        return blank.with_values({f"pitch.{name}": value for name, value in pitch.given.items()})
    except InputError as error:
        where = str(pitch_set.path or pitch_set.title)
        wrong = [Mistake(where, f"pitch {place}: {m.key}", m.text) for m in error.mistakes]
        raise InputError(wrong) from None


def against(scenario: Scenario, numbers: Mapping[str, float], held: bool) -> Scenario:
    """The scenario against another pitch: its swing aimed at that pitch, or held where it is for its own."""
    swing = scenario if held and scenario.is_held else scenario.hold(held)
    changes: dict[str, Any] = {f"pitch.{name}": value for name, value in numbers.items()}
    return swing.with_values({"pitch.family": OWN} | changes)


def nine_places(scenario: Scenario) -> PitchSet:
    """The scenario's own pitch in nine places of its hitter's strike zone: the middle of each ninth."""
    height = scenario.hitter.height_in
    bottom, top = height * ZONE_BOTTOM_SHARE, height * ZONE_TOP_SHARE
    own = {key.partition(".")[2]: value for key, value in scenario.given.items() if key.startswith("pitch.")}
    places = [(side, up) for up in (5 / 6, 1 / 2, 1 / 6) for side in (-1 / 3, 0.0, 1 / 3)]
    pitches = tuple(
        SetPitch(own | {"plate_side_in": side * PLATE_WIDTH_IN, "plate_height_in": bottom + up * (top - bottom)})
        for side, up in places
    )
    return PitchSet(mark("The same pitch in nine places of the strike zone"), pitches)


def zone_of(side_in: float, height_in: float, hitter_height_in: float, bats: str) -> tuple[str, str]:
    """Third of the zone by height (low, middle, high) and by side as the hitter says it (inside, middle, outside).

    A pitch outside the zone belongs to the third next to it.
    """
    bottom, top = hitter_height_in * ZONE_BOTTOM_SHARE, hitter_height_in * ZONE_TOP_SHARE
    up = (height_in - bottom) / (top - bottom)
    away = side_in / PLATE_WIDTH_IN * (1 if bats == "right" else -1)
    heights = "low" if up < 1 / 3 else "high" if up > 2 / 3 else "middle"
    return heights, "inside" if away < -1 / 6 else "outside" if away > 1 / 6 else "middle"


def load_or_refuse(path: str | Path) -> PitchSet:
    """The pitch set in a file, or one sentence where the file is something else."""
    if not is_pitch_set(path):
        raise Plane3dError(tr("{path}: is no pitch set; a pitch set lists its pitches under [[pitch]]", path=path))
    return load_pitch_set(path)
