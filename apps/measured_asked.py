"""What is asked of a measured swing: file, placing, contact, pitch; and the answer to it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from apps.measured_files import Given
from apps.result import mistake
from apps.studies_asked import refusal
from plane3d.errors import InputError, Mistake, Plane3dError
from plane3d.language import mark, tr
from plane3d.measured.measure import Found, against
from plane3d.measured.pitches import MeasuredPitch, read_pitches
from plane3d.measured.placing import CORNERS, DIRECTIONS, OWN_AXES, Placing, by_axes, by_corners
from plane3d.measured.points import markers, read_points
from plane3d.measured.swing import measure
from plane3d.measured.table import UNITS
from plane3d.scenario import Scenario

BY_AXES, BY_CORNERS = "axes", "corners"
LOOK, STATE = "look", "state"  # for the contact, or state it
UNIT_NAMES = tuple(UNITS["length"])
OWN_PITCH = "-1"
LONGEST = 40  # letters of what is typed into a field
CORNER_WORDS = {
    "front-first": mark("front, on first base’s side"), "front-third": mark("front, on third base’s side"),
    "side-first": mark("where the side ends, first base’s side"),
    "side-third": mark("where the side ends, third base’s side"), "rear": mark("rear point"),
}  # fmt: skip

# Every field of the form as it opens, by name; what is typed stays as it was typed.
FORM: dict[str, str] = {
    "knob": "", "tip": "", "unit": "", "by": BY_AXES, **dict(zip("xyz", OWN_AXES, strict=True)),
    "plate_x": "0", "plate_y": "0", "plate_z": "0", "plate_unit": "m",
    **{f"{corner}_{axis}": "" for corner in CORNERS for axis in "xyz"}, "corner_unit": "m",
    "contact": LOOK, "time": "", "hit": "yes", "pitch": OWN_PITCH,
}  # fmt: skip
CHOICES: dict[str, tuple[str, ...]] = {
    "by": (BY_AXES, BY_CORNERS), **dict.fromkeys("xyz", tuple(DIRECTIONS)), "plate_unit": UNIT_NAMES,
    "corner_unit": UNIT_NAMES, "unit": ("", *UNIT_NAMES), "contact": (LOOK, STATE), "hit": ("yes", "no"),
}  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """Everything an answer depends on.

    points, pitches : files; form : of the names of `FORM`
    """

    scenario: Scenario
    points: Given | None = None
    pitches: Given | None = None
    form: Mapping[str, str] = field(default_factory=lambda: dict(FORM))

    def changed(self, changes: Mapping[str, Any]) -> Asked:
        """With some fields of the form changed; what no form can say stays out."""
        good = {
            name: value[:LONGEST] if name not in ("knob", "tip") else value
            for name, value in changes.items()
            if name in FORM and isinstance(value, str) and value in CHOICES.get(name, (value,))
        }
        return replace(self, form={**self.form, **good})

    def placing(self) -> Placing:
        """Where the file's points lie on the field. Raises Plane3dError."""
        form = self.form
        if form["by"] == BY_AXES:
            axes = tuple(form[axis] for axis in "xyz")
            if len({tuple(np.abs(DIRECTIONS[name])) for name in axes}) != 3:
                raise Plane3dError(
                    tr("Of the file’s three axes one must point across the plate, one toward pitcher or catcher, and "
                       "one up or down.")
                )  # fmt: skip
            plate = tuple(_number(form[f"plate_{axis}"], tr("Rear point of the plate, {axis}", axis=axis))
                          for axis in "xyz")  # fmt: skip
            return by_axes(axes, plate, form["plate_unit"])
        return by_corners(self._corners(), form["corner_unit"])

    def _corners(self) -> dict[str, tuple[float, ...]]:
        """The corners that were typed. Raises Plane3dError for one that is not whole."""
        found = {}
        for corner in CORNERS:
            typed = [self.form[f"{corner}_{axis}"] for axis in "xyz"]
            if any(text.strip() for text in typed):
                name = tr("Corner of the plate, {corner}", corner=tr(CORNER_WORDS[corner]))
                found[corner] = tuple(_number(text, name) for text in typed)
        return found

    def impact(self) -> float | None:
        """s on the file's clock, or None to look for it. Raises InputError."""
        if self.form["contact"] == LOOK and self.form["hit"] == "yes":
            return None
        return _number(self.form["time"], tr("Time of contact"))


def _number(text: str, name: str) -> float:
    """A number as it was typed, with a decimal point or comma."""
    try:
        value = float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        given = text.strip() or tr("nothing")
        raise InputError([Mistake("", name, tr("must be a number; {given} was given", given=given))])
    return value


@dataclass(frozen=True)
class Answered:
    """The answer to what was asked.

    scenario : with the measured pitch in it, where one was chosen
    found : the swing; problem : why there is none, empty where nothing is wrong or nothing was asked
    markers, states_unit : of a C3D file; knob, tip : those taken
    pitches : those in the file; pitch_problem : why there are none; off : m, of the model's flight from the measured
    """

    scenario: Scenario
    found: Found | None = None
    problem: str = ""
    markers: tuple[str, ...] = ()
    states_unit: bool = True
    knob: str = ""
    tip: str = ""
    pitches: tuple[MeasuredPitch, ...] = ()
    pitch_problem: str = ""
    off: float = math.nan


def answered(asked: Asked) -> Answered:
    """Read, judge, place and smooth; every mistake becomes a sentence of the answer."""
    answer = _pitched(asked)
    if asked.points is None:
        return answer
    try:
        if asked.points.is_c3d:
            answer = _marked(asked, asked.points, answer)
        return replace(answer, found=_found(asked, asked.points, answer))
    except InputError as error:
        typed = all(not m.where for m in error.mistakes)
        return replace(answer, problem=mistake(error) if typed else refusal(error))
    except Plane3dError as error:
        return replace(answer, problem=str(error))


def _pitched(asked: Asked) -> Answered:
    """The scenario with the chosen pitch in place of its own."""
    answer = Answered(asked.scenario)
    if asked.pitches is None:
        return answer
    try:
        pitches = tuple(read_pitches(asked.pitches.name, asked.pitches.data))
        answer = replace(answer, pitches=pitches)
        place = int(asked.form["pitch"]) if asked.form["pitch"].isdigit() else -1
        if not 0 <= place < len(pitches):
            return answer
        scenario, off = pitches[place].thrown_in(asked.scenario)
        return replace(answer, scenario=scenario, off=off)
    except InputError as error:
        in_file = any(m.where.startswith(asked.pitches.name) for m in error.mistakes)
        return replace(answer, pitch_problem=refusal(error) if in_file else mistake(error))
    except Plane3dError as error:
        return replace(answer, pitch_problem=str(error))


def _marked(asked: Asked, file: Given, answer: Answered) -> Answered:
    """With the markers of a C3D file, and those taken for knob and tip."""
    names, unit = markers(file.data, file.name)

    def taken(end: str) -> str:
        if asked.form[end] in names:
            return asked.form[end]
        alike = [name for name in names if name.lower().rpartition(":")[2] == end]
        return alike[0] if len(alike) == 1 else ""

    return replace(answer, markers=tuple(names), states_unit=bool(unit), knob=taken("knob"), tip=taken("tip"))


def _found(asked: Asked, file: Given, answer: Answered) -> Found:
    """Raises Plane3dError."""
    if file.is_c3d and not (answer.knob and answer.tip):
        raise Plane3dError(tr("Choose the markers of knob and tip among those of the file."))
    unit = "" if answer.states_unit else asked.form["unit"]
    points = read_points(file.name, file.data, answer.knob, answer.tip, unit)
    hit = asked.form["hit"] == "yes"
    measured = measure(points, asked.placing(), answer.scenario.hitter.bats, asked.impact(), hit)
    return against(measured, answer.scenario)
