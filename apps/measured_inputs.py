"""The inputs of the page of measured points: the Python end of ``browser/measured.js``."""

from __future__ import annotations

import math
from typing import Any, ClassVar

import param

from apps.asking import Asking
from apps.browser_files import BROWSER, import_map, styles
from apps.measured_asked import CORNER_WORDS, UNIT_NAMES, Answered, Asked
from apps.measured_files import EXAMPLES, PITCH_EXAMPLES
from plane3d import units
from plane3d.language import mark, tr
from plane3d.measured.files import MOST_BYTES
from plane3d.measured.pitches import MeasuredPitch
from plane3d.measured.table import UNIT_WORDS
from plane3d.quantities import choice_words
from plane3d.words import capital, show

WAYS = {"first": mark("toward first base"), "third": mark("toward third base"), "pitcher": mark("toward the pitcher"),
        "catcher": mark("toward the catcher"), "up": mark("up"), "down": mark("down")}  # fmt: skip
AGAINST = {
    "right": mark("A right-handed hitter, a bat of {bat}, a pitch of {speed} at a height of {height}."),
    "left": mark("A left-handed hitter, a bat of {bat}, a pitch of {speed} at a height of {height}."),
}
MOST_LISTED = 500  # pitches in the picker


class MeasuredInputs(Asking):
    """Scenario, pitch, file, markers, placing, contact.

    Parameters
    ----------
    actions : ``choose`` with the place of a scenario in ``shelves``; ``bats`` with a side; ``form`` with fields of
        `apps.measured_asked.FORM`; ``file`` with ``points`` or ``pitches``, name and size, and then ``piece`` with its
        bytes until all are there; ``example`` with its name; ``forget`` with ``points`` or ``pitches``
    """

    shelves = param.List(default=[], doc='Titles in groups: ``[(heading or "", [title, ...]), ...]``.')
    table = param.Dict(default={}, doc="What may be chosen, as made by `choices`.")

    _esm = BROWSER / "measured.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "elements", "scenarios")
    _stylesheets: ClassVar[list[str]] = styles("common", "controls", "measured_inputs")


def choices() -> dict[str, Any]:
    """What may be chosen, in the language in use."""
    return {
        "sides": [(side, capital(choice_words("hitter.bats", side))) for side in AGAINST],
        "ways": [(name, tr(words)) for name, words in WAYS.items()],
        "corners": [(corner, capital(tr(words))) for corner, words in CORNER_WORDS.items()],
        "units": [(unit, tr(UNIT_WORDS[unit])) for unit in UNIT_NAMES],
        "examples": [(name, tr(words)) for name, words in EXAMPLES.items()],
        "pitch_examples": [(name, tr(words)) for name, words in PITCH_EXAMPLES.items()],
        "largest": MOST_BYTES,
    }


def inputs_state(asked: Asked, answer: Answered, place: int, metric: bool) -> dict[str, Any]:
    """What the inputs show. place : of the scenario in the picker"""
    c3d = asked.points is not None and asked.points.is_c3d
    shown = answer.pitches[:MOST_LISTED]
    return {
        "form": dict(asked.form) | ({"knob": answer.knob, "tip": answer.tip} if c3d else {}),
        "place": place,
        "bats": asked.scenario.hitter.bats,
        "against": _against(answer, metric),
        "file": f"{asked.points.name}, {asked.points.size_words()}" if asked.points else "",
        "markers": list(answer.markers) if c3d else [],
        "unit_asked": c3d and not answer.states_unit,
        "pitch_file": f"{asked.pitches.name}, {asked.pitches.size_words()}" if asked.pitches else "",
        "pitches": [_pitch_words(pitch, metric) for pitch in shown],
        "pitch_problem": answer.pitch_problem,
        "pitch_note": _off_words(answer),
    }


def _against(answer: Answered, metric: bool) -> str:
    """What the swing is measured against."""
    said = {name: show(key, answer.scenario.value(key), metric) for name, key in (
        ("bat", "bat.length_in"), ("speed", "pitch.speed_mph"), ("height", "pitch.plate_height_in"))}  # fmt: skip
    return tr(AGAINST[answer.scenario.hitter.bats], **said)


def _pitch_words(pitch: MeasuredPitch, metric: bool) -> str:
    """A pitch as it stands in the picker."""
    speed = math.hypot(*pitch.velocity) if pitch.is_flight else pitch.speed
    return tr("{name}: {speed}", name=pitch.name[:60], speed=show("_mph", speed / units.MPH, metric))


def _off_words(answer: Answered) -> str:
    """How near the model's flight comes to the measured one."""
    if math.isnan(answer.off):
        return ""
    return tr("The model’s flight stays within {off} mm of the measured one.", off=f"{1e3 * answer.off:.0f}")
