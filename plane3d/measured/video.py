"""Marks in films as a coach asks and reads them: a swing, or the figures of a side view, with what the marks are worth.

The same verbs as `measure`: ``run``, then ``block`` or ``text``; and rows for a page.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from plane3d import units
from plane3d.errors import Plane3dError
from plane3d.frames import Array, norm
from plane3d.language import mark, tr, trc
from plane3d.measured import measure, swing
from plane3d.measured.cameras import FixedCamera, point_name
from plane3d.measured.marks_file import MarksFile, View, points, seen, side
from plane3d.measured.measure import Found
from plane3d.measured.one_view import BatSize, PlaneFigures
from plane3d.measured.placing import by_axes
from plane3d.measured.two_views import PARTS, SeenSwing
from plane3d.scenario import Scenario
from plane3d.study.words import closing, number, rows
from plane3d.words import Block, capital, show

PLANE = {
    "attack_angle": measure.FIGURES["attack_angle"],
    "below_line": measure.FIGURES["below_line"],
    "dip": ("_in", units.INCH, mark("dip")),
    "depth": ("_in", units.INCH, mark("contact depth")),
    "height": ("_in", units.INCH, mark("contact height")),
}
VIEWS = (mark("First view"), mark("Second view"))
SURE_SPREADS = 1.96  # standard errors on either side of a value that hold 95 % of what chance does
LINKED = 0.05  # frames, a smaller correction of the stated contact is not worth a sentence


@dataclass(frozen=True)
class Answer:
    """What marks tell. Of two views: ``seen``, with ``found`` or why there is none; of one: ``plane``."""

    file: MarksFile
    name: str
    scenario: Scenario
    seen: SeenSwing | None = None
    found: Found | None = None
    refused: Plane3dError | None = None
    plane: PlaneFigures | None = None


def run(file: MarksFile, scenario: Scenario, name: str) -> Answer:
    """What marks tell, against the pitch of a scenario, with its bat and side.

    name : of the work, for messages

    Raises Plane3dError, one sentence, where the marks give neither cameras nor plane figures. Where they give cameras
    and points but no swing, that is in the answer, since cameras and points say which marks are bad.
    """
    inputs = scenario.to_inputs()
    if len(file.views) == 1:
        size = BatSize(inputs.bat.length, inputs.bat.sweet_spot)
        return Answer(file, name, scenario, plane=side(file, size))
    made = seen(file)
    try:
        measured = swing.measure(points(made, name), by_axes(), inputs.bats, impact=0.0)
        return Answer(file, name, scenario, made, measure.against(measured, scenario))
    except Plane3dError as error:
        return Answer(file, name, scenario, made, refused=error)


def plane_figures(answer: Answer) -> dict[str, tuple[float, float]]:
    """Each figure that a side view tells, by its name in `PLANE`, and its standard error, in coach units."""
    told = {name: getattr(answer.plane, name, None) for name in PLANE}
    return {name: (f[0] / PLANE[name][1], f[1] / PLANE[name][1]) for name, f in told.items() if f is not None}


def plane_rows(answer: Answer, metric: bool = False) -> list[tuple[str, str]]:
    """Each figure of a side view with half its interval; none where there is no side view."""
    pairs = []
    for name, (value, error) in plane_figures(answer).items():
        suffix, _, label = PLANE[name]
        shown = (measure.fine(suffix, size, metric) for size in (value, SURE_SPREADS * error))
        pairs.append((tr(label), " ± ".join(shown)))
    return pairs


# --- what the marks are worth ----------------------------------------------------------------------------------------


def warnings(answer: Answer) -> list[str]:
    """Everything that makes the answer doubtful."""
    if answer.plane is not None:
        return [answer.plane.warning]
    return [] if answer.seen is None else list(answer.seen.warnings)


def camera_rows(answer: Answer, metric: bool = False) -> list[tuple[str, str]]:
    """Where each camera stands, and how far the known points are seen from their marks."""
    cameras = () if answer.seen is None else answer.seen.cameras
    return [(tr(view), _stands(camera, metric)) for view, camera in zip(VIEWS, cameras, strict=False)]


def _stands(camera: FixedCamera, metric: bool) -> str:
    x, y, z = camera.place / units.FOOT
    across = tr("toward first base") if x >= 0 else tr("toward third base")
    ahead = tr("toward the pitcher") if y >= 0 else tr("behind the plate")
    return tr(
        "The camera stands {x} {across}, {y} {ahead} and {z} high, ± {error}; the known points miss their marks by "
        "{misfit} px.",
        x=show("_ft", abs(x), metric), across=across, y=show("_ft", abs(y), metric), ahead=ahead,
        z=show("_ft", z, metric), error=show("_in", float(norm(camera.place_error)) / units.INCH, metric),
        misfit=f"{camera.misfit:.1f}",
    )  # fmt: skip


def point_rows(answer: Answer) -> list[tuple[str, str]]:
    """How many points of each part there are, how far their marks miss each other, and their errors."""
    if answer.seen is None:
        return []
    told = []
    for part, there in answer.seen.points.items():
        if count := int(np.isfinite(there).all(axis=1).sum()):
            off, error = np.nanmedian(answer.seen.off[part]), np.nanmedian(norm(answer.seen.errors[part]))
            words = tr("{count} points, {off} px off, ± {error} mm", count=count, off=f"{off:.1f}",
                       error=f"{1e3 * error:.0f}")  # fmt: skip
            told.append((part_word(part), words))
    return told


def link_words(answer: Answer) -> str:
    """Where the marks put contact in the slower view; nothing where that is as it was stated."""
    if answer.seen is None:
        return ""
    place = _slower(answer)
    view, link = answer.file.views[place], answer.seen.link
    rate, contact = view.rate or 0.0, view.contact or 0.0
    if abs(link.offset * rate) < LINKED:
        return ""
    return tr(
        "{view}: the marks put contact at frame {found} ± {error}; {stated} was stated.",
        view=tr(VIEWS[place]), found=f"{contact + link.offset * rate:.2f}", error=f"{link.errors[0] * rate:.2f}",
        stated=f"{contact:g}",
    )  # fmt: skip


def part_word(part: str) -> str:
    """Knob, tip or ball."""
    return {"knob": tr("knob"), "tip": trc("bat", "tip"), "ball": tr("ball")}[part]


def _slower(answer: Answer) -> int:
    """Place of the view at whose clock `SeenSwing.link` runs."""
    first, second = (view.rate or 0.0 for view in answer.file.views)
    return 1 if first >= second else 0


def mark_misses(answer: Answer) -> list[dict[str, Any]]:
    """How far the marks of each moment miss each other: part, its word, frame in each view, px; the worst first."""
    if answer.seen is None:
        return []
    frames = [_frames(view, answer.seen, place == _slower(answer)) for place, view in enumerate(answer.file.views)]
    told = []
    for part in PARTS:
        for row, off in enumerate(answer.seen.off.get(part, ())):
            if np.isfinite(off):
                at = [round(float(one[row])) for one in frames]
                told.append({"part": part, "word": capital(part_word(part)), "frames": at, "off": round(float(off), 1)})
    return sorted(told, key=lambda one: -one["off"])


def _frames(view: View, swing: SeenSwing, linked: bool) -> Array:
    """Numbers (n,) of the frames of a view at the times of the points, fractions and all."""
    link = swing.link
    times = swing.time * (1.0 + link.rate) + link.offset if linked else swing.time
    return (view.contact or 0.0) + times * (view.rate or 0.0)


def known_misses(answer: Answer) -> list[dict[str, Any]]:
    """How far each known point is seen from its mark: place of the view, name, its words, px; the worst first."""
    cameras = () if answer.seen is None else answer.seen.cameras
    told = [
        {"view": place, "name": name, "word": capital(point_name(name)), "off": round(float(off), 1)}
        for place, (view, camera) in enumerate(zip(answer.file.views, cameras, strict=False))
        for name, off in zip(view.known, norm(camera.residuals), strict=True)
    ]
    return sorted(told, key=lambda one: -one["off"])


# --- to read and for other programs ----------------------------------------------------------------------------------


def block(answer: Answer) -> Block:
    """The answer for JSON, in the units its names end in."""
    if answer.plane is not None:
        figures: Block = {}
        for name, (value, error) in plane_figures(answer).items():
            half = SURE_SPREADS * error
            ends = (("", value), ("_low", value - half), ("_high", value + half))
            figures |= {f"{name}{end}{PLANE[name][0]}": number(size, 3) for end, size in ends}
        return {"file": answer.name, "figures": figures, "warnings": warnings(answer)}
    found = {} if answer.found is None else measure.block(answer.found)
    return found | _seen_block(answer) | {"warnings": warnings(answer)}


def _seen_block(answer: Answer) -> Block:
    swing = answer.seen
    if swing is None:
        return {}
    cameras = [
        {
            "place_m": [number(value, 3) for value in camera.place],
            "place_error_m": [number(value, 3) for value in camera.place_error],
            "focal_px": number(camera.focal, 1),
            "misfit_px": number(camera.misfit),
        }
        for camera in swing.cameras
    ]
    told = {
        part: {
            "points": int(np.isfinite(there).all(axis=1).sum()),
            "off_px": number(float(np.nanmedian(swing.off[part]))),
            "error_mm": number(1e3 * float(np.nanmedian(norm(swing.errors[part])))),
        }
        for part, there in swing.points.items()
        if np.isfinite(there).all(axis=1).any()
    }
    link = {"offset_ms": number(1e3 * swing.link.offset, 3), "offset_error_ms": number(1e3 * swing.link.errors[0], 3)}
    return {"cameras": cameras, "points": told, "link": link}


def text(answer: Answer, metric: bool = False) -> str:
    """The answer to read, in coach units or metric."""
    if answer.plane is not None:
        lines = [tr("A swing seen from the side: {file}", file=answer.name), ""]
        lines += [tr("In the plane of the picture, ± {sure} %", sure=f"{measure.SURE:.0f}")]
        return "\n".join([*lines, *rows(plane_rows(answer, metric)), "", *warnings(answer), *closing()])
    lines = [f"{name}: {words}" for name, words in camera_rows(answer, metric)]
    lines += [f"{capital(name)}: {words}" for name, words in point_rows(answer)]
    lines += [words for words in (link_words(answer), *warnings(answer)) if words]
    return "\n".join(lines) + ("" if answer.found is None else "\n\n" + measure.text(answer.found, metric))
