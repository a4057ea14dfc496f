"""Marks set in the pictures of one or two films, as a file keeps them: saved work, read and written, and what it tells.

The file is JSON (docs/measured.md). It holds numbers alone, no picture. Work may be saved half done, so that what is
still missing is refused only when a swing is asked of it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

import numpy as np
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from plane3d.errors import InputError, Mistake
from plane3d.frames import Array
from plane3d.language import mark, tr
from plane3d.measured.cameras import CORNERS, TOP, MarksError, known_points, solve_camera
from plane3d.measured.files import refuse
from plane3d.measured.one_view import BatSize, PlaneFigures, SideScale, side_figures
from plane3d.measured.points import BatPoints
from plane3d.measured.two_views import PARTS, Marks, SeenSwing, both_views
from plane3d.messages import given_text

FORMAT = 1
MOST_BYTES = 2_000_000
MOST_MARKS = 500  # of one part in one view: two seconds at 240 frames a second
MOST_SIZE, MOST_FRAME = 20_000, 9_999_999
NAMES = (*CORNERS, *(corner + TOP for corner in CORNERS))  # of the known points, as `cameras.known_points` has them
FRONTS = ("first-front", "third-front")
Pixel = tuple[float, float]

# What each key must be.
TEXTS = {
    "plane3d_marks": mark("1, the only format of marks there is"),
    "stick_m": mark("a number from 0.1 to 5 (m), or null"),
    "note": mark("text, at most 1000 characters"),
    "views": mark("a list of one or two views"),
    "name": mark("text, at most 120 characters"),
    "size": mark("width and height of the picture in whole px, from 16 to 20000, or null"),
    "rate_hz": mark("a number from 1 to 100000 (frames a second), or null"),
    "contact": mark("the number of a frame with its fraction, such as 41.3, or null"),
    "focal_px": mark("a number from 1 to 1000000 (px), or null"),
    "distance_m": mark("a number from 0.1 to 1000 (m), or null"),
    "known": mark("marks of known points, each two numbers (px)"),
    "marks": mark("marks of knob, tip and ball by the number of the frame, each two numbers (px)"),
}
WHOLE = mark("a whole number")


@dataclass(frozen=True)
class View:
    """Marks in the pictures of one camera.

    size : px, None where no film was opened; rate : frames a second at which it was filmed; contact : number of the
        frame at contact, with its fraction; focal : px; distance : m to the plate; None where not stated
    known : (2,) px by name of a known point; marks : by part and number of the frame
    """

    name: str = ""
    size: tuple[int, int] | None = None
    rate: float | None = None
    contact: float | None = None
    focal: float | None = None
    distance: float | None = None
    known: Mapping[str, Pixel] = field(default_factory=dict)
    marks: Mapping[str, Mapping[int, Pixel]] = field(default_factory=dict)

    def to_marks(self) -> Marks:
        """Raises MarksError where something is not stated yet."""
        if self.rate is None:
            raise MarksError(tr("State the frame rate at which each view was filmed."))
        contact = np.nan if self.contact is None else self.contact
        frames = sorted({frame for part in self.marks.values() for frame in part})
        nowhere = (np.nan, np.nan)
        pixels = {
            part: np.array([there.get(frame, nowhere) for frame in frames], dtype=float).reshape(-1, 2)
            for part, there in self.marks.items()
            if there
        }
        return Marks(self.rate, contact, np.array(frames, dtype=float), pixels)


@dataclass(frozen=True)
class MarksFile:
    """Saved work. stick : m, height of the stick stood on the plate; views : one from the side, or two"""

    views: tuple[View, ...]
    stick: float | None = None
    note: str = ""


# --- reading and writing ---------------------------------------------------------------------------------------------


def _number(low: float, high: float) -> Any:
    return Field(strict=True, ge=low, le=high, allow_inf_nan=False)


def _one_of(*names: str) -> AfterValidator:
    def check(name: str) -> str:
        if name not in names:
            raise ValueError(name)
        return name

    return AfterValidator(check)


_Side = Annotated[int, Field(strict=True, ge=16, le=MOST_SIZE)]
_Place = Annotated[float, _number(-MOST_SIZE, 2 * MOST_SIZE)]
_Frame = Annotated[str, StringConstraints(pattern=r"^(0|[1-9][0-9]{0,6})$")]
_Known = Annotated[str, _one_of(*NAMES)]
_Part = Annotated[str, _one_of(*PARTS)]
_Marks = Annotated[dict[_Frame, tuple[_Place, _Place]], Field(max_length=MOST_MARKS)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class _View(_Strict):
    name: Annotated[str, Field(strict=True, max_length=120)] = ""
    size: tuple[_Side, _Side] | None = None
    rate_hz: Annotated[float, _number(1.0, 1e5)] | None = None
    contact: Annotated[float, _number(0.0, MOST_FRAME)] | None = None
    focal_px: Annotated[float, _number(1.0, 1e6)] | None = None
    distance_m: Annotated[float, _number(0.1, 1000.0)] | None = None
    known: dict[_Known, tuple[_Place, _Place]] = {}
    marks: dict[_Part, _Marks] = {}

    def view(self) -> View:
        marks = {part: {int(frame): place for frame, place in there.items()} for part, there in self.marks.items()}
        return View(self.name, self.size, self.rate_hz, self.contact, self.focal_px, self.distance_m, self.known, marks)


class _File(_Strict):
    plane3d_marks: Annotated[int, Field(strict=True, ge=FORMAT, le=FORMAT)]
    stick_m: Annotated[float, _number(0.1, 5.0)] | None = None
    note: Annotated[str, Field(strict=True, max_length=1000)] = ""
    views: Annotated[list[_View], Field(min_length=1, max_length=2)]


def loads(text: str, name: str = "marks") -> MarksFile:
    """The marks in the text of a file; ``name`` stands in messages for the file.

    Raises InputError with one sentence for the first thing that is wrong.
    """
    if len(text.encode("utf-8", "replace")) > MOST_BYTES:
        raise refuse(name, tr("is larger than {most} MB, too large for a file of marks", most=MOST_BYTES // 1_000_000))
    try:
        given = json.loads(text.removeprefix("\ufeff"), object_pairs_hook=_once, parse_constant=_no_number)
        json.dumps(given, ensure_ascii=False).encode("utf-8")
    except RecursionError as error:
        raise refuse(name, tr("is nested too deeply to be read")) from error
    except json.JSONDecodeError as error:
        told = tr("is no file of marks, or cut short: it is not whole JSON")
        raise refuse(name, told, error.lineno) from error
    except UnicodeEncodeError as error:
        raise refuse(name, tr("holds halves of letters, which are no text")) from error
    except ValueError as error:  # of `_once`, `_no_number`, or a number of thousands of digits
        told = str(error) if isinstance(error, _Said) else tr("holds a huge number")
        raise refuse(name, told) from error
    if not isinstance(given, dict) or "plane3d_marks" not in given:
        raise refuse(name, tr("is no file of marks: it does not say plane3d_marks"))
    try:
        read = _File.model_validate(given)
    except ValidationError as error:
        raise InputError([_mistake(name, error.errors()[0])]) from error
    views = tuple(view.view() for view in read.views)
    if any(view.size is None and (view.known or any(view.marks.values())) for view in views):
        raise refuse(name, tr("has marks in a view whose size it does not say"))
    return MarksFile(views, read.stick_m, read.note)


def dumps(file: MarksFile) -> str:
    """The text of a file that `loads` reads as the same marks."""
    views = [
        {
            "name": view.name,
            "size": view.size,
            "rate_hz": view.rate,
            "contact": view.contact,
            "focal_px": view.focal,
            "distance_m": view.distance,
            "known": dict(view.known),
            "marks": {part: {str(k): there[k] for k in sorted(there)} for part, there in view.marks.items()},
        }
        for view in file.views
    ]
    whole = {"plane3d_marks": FORMAT, "stick_m": file.stick, "note": file.note, "views": views}
    return json.dumps(whole, ensure_ascii=False, allow_nan=False) + "\n"


class _Said(ValueError):
    """A fault already put in words."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object each of whose keys stands in it once."""
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _Said(tr('says "{key}" twice in the same place', key=key[:60]))
        found[key] = value
    return found


def _no_number(text: str) -> float:
    raise _Said(tr("holds {given}, which is no number", given=text))


def _mistake(name: str, error: Any) -> Mistake:
    """The first thing a validation found wrong, in one sentence."""
    parts = [part for part in error["loc"] if part != "[key]"]
    key = "".join(f"[{part}]" if isinstance(part, int) else f".{part[:60]}" for part in parts).lstrip(".")
    wrong_name = "[key]" in error["loc"]
    said = [part for part in parts if isinstance(part, str) and part in TEXTS]
    last = said[-1] if said else "views"
    what = tr(TEXTS[last])
    if wrong_name:
        allowed = NAMES if "known" in said else PARTS if parts[-2] == "marks" else (tr(WHOLE),)
        return Mistake(name, key, tr("is not known here; known are: {names}", names=", ".join(allowed)))
    if error["type"] == "extra_forbidden":
        return Mistake(name, key, tr("is not known here; known are: {names}", names=", ".join(TEXTS)))
    if error["type"] == "missing":
        return Mistake(name, key, tr("is missing; it must be {what}", what=what))
    if error["type"] == "too_long" and "marks" in said:
        return Mistake(name, key, tr("has more than {most} marks; mark the second around the swing", most=MOST_MARKS))
    return Mistake(name, key, tr("= {given} must be {what}", given=given_text(error["input"]), what=what))


# --- what the marks tell ---------------------------------------------------------------------------------------------


def seen(file: MarksFile) -> SeenSwing:
    """Both cameras and the timed points of a swing marked in two views. Raises MarksError with one sentence."""
    if len(file.views) != 2:
        raise MarksError(tr("Points in space need two views; these marks have one."))
    sizes = [_size(view) for view in file.views]
    marks = [view.to_marks() for view in file.views]
    known = known_points(_stick(file))
    first, second = (
        solve_camera(known, view.known, size, focal=view.focal) for view, size in zip(file.views, sizes, strict=True)
    )
    return both_views((first, second), (marks[0], marks[1]))


def points(swing: SeenSwing, name: str) -> BatPoints:
    """The bat of a swing as timed points in the field frame, contact at time 0. name : stands in messages"""
    return BatPoints(name, np.arange(len(swing.time)) + 2, swing.time, swing.knob, swing.tip)


def side(file: MarksFile, bat: BatSize) -> PlaneFigures:
    """Plane figures of a swing marked in one view from the side. Raises MarksError with one sentence."""
    if len(file.views) != 1:
        raise MarksError(tr("Plane figures are those of one view; these marks have two."))
    (view,) = file.views
    return side_figures(_scale(view, file), view.to_marks(), bat)


def _scale(view: View, file: MarksFile) -> SideScale:
    fronts = [name for name in FRONTS if name in view.known]
    if "rear" not in view.known or not fronts:
        raise MarksError(
            tr("Mark the plate's rear point and the front corner nearer to the camera; they give the scale.")
        )
    front = max(fronts, key=lambda name: view.known[name][1])  # what is nearer stands lower in the picture
    upright = [name for name in CORNERS if name in view.known and name + TOP in view.known]
    foot: Array | None = None
    top: Array | None = None
    height = 0.0
    if upright:
        foot, top = (np.array(view.known[name]) for name in (upright[0], upright[0] + TOP))
        height = _stick(file)
    rear, near = (np.array(view.known[name]) for name in ("rear", front))
    return SideScale(rear, near, foot, top, height, view.distance)


def _stick(file: MarksFile) -> float:
    if file.stick is None:
        raise MarksError(tr("State the height of the stick stood on the plate."))
    return file.stick


def _size(view: View) -> tuple[int, int]:
    if view.size is None:
        raise MarksError(tr("Open a film and set marks in both views."))
    return view.size
