"""Sliders and choices for every value a scenario may give; the Python end of ``browser/controls.js``.

The few that matter stand open in three groups, the rest are folded. Values travel in coach units; metric is
only a way of showing them.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import asdict
from typing import Any, ClassVar

import param
from panel.custom import JSComponent

from apps.browser_files import BROWSER, import_map, styles
from plane3d import units
from plane3d.families import OWN, families
from plane3d.language import mark, tr
from plane3d.physics.air import standard_pressure
from plane3d.quantities import (
    CHOICE_LABELS,
    Quantity,
    all_choices,
    choice_words,
    choices,
    known_keys,
    quantities,
    unit_name,
)
from plane3d.scenario import MOTION, Scenario

SECOND = "second_pitch.family"
MEASURED = "measured"  # said for `MOTION`, whose text the browser need not have
UNSEEN = ("swing.hinge_deg", "swing.release_ms")  # in a measured swing

# Groups in the order of the page: name, keys that stand open, prefixes of the keys that are folded away.
# A folded key goes to the first group that claims it.
GROUPS: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    (mark("Pitch"), ("pitch.speed_mph", "pitch.plate_height_in"), ("pitch.", "second_pitch.family")),
    (
        mark("Meeting"),
        ("swing.contact_depth_in", "swing.below_line_in", "swing.timing_ms"),
        ("swing.along_barrel_in", "view.window_in"),
    ),
    (
        mark("Swing"),
        (MOTION, "swing.bat_speed_mph", "swing.attack_angle_deg", "swing.vertical_bat_angle_deg"),
        ("swing.",),
    ),
    (mark("Hitter and bat"), (), ("hitter.", "bat.")),
    (mark("Level, field and weather"), (), ("setting.",)),
)
ORDER = ("Pitch", "Swing", "Meeting")  # the rest follow


def groups() -> list[dict[str, Any]]:
    """The controls as the browser lays them out: every value but the camera exactly once."""
    rest = [key for key in known_keys() if "." in key and not key.startswith("held.") and _on_page(key)]
    for _, open_keys, _ in GROUPS:
        rest = [key for key in rest if key not in open_keys]
    found = {}
    for name, open_keys, prefixes in GROUPS:
        folded = [key for key in rest if key.startswith(prefixes)]
        rest = [key for key in rest if key not in folded]
        found[name] = {"name": tr(name), "open": [row(key) for key in open_keys], "more": [row(key) for key in folded]}
    return [found[name] for name in (*ORDER, *(name for name in found if name not in ORDER))]


def _on_page(key: str) -> bool:
    """Of the second pitch only the family is offered, its other numbers are for files; views have their buttons."""
    return key != "view.camera" and (key == SECOND or not key.startswith("second_pitch."))


def row(key: str) -> dict[str, Any]:
    """One control: its words, and what it may be set to."""
    if key == MOTION:
        options = [("", tr("Built from its numbers")), (MEASURED, tr("Measured"))]
        return {"key": key, "label": tr("Way of the bat"), "options": options}
    if key in all_choices():
        none = [("", tr("None"))] if key not in choices() else []
        words = [(choice, choice_words(key, choice)) for choice in all_choices()[key]]
        return {"key": key, "label": tr(CHOICE_LABELS[key]), "options": none + words}
    return number_row(quantities()[key])


def number_row(asked: Quantity) -> dict[str, Any]:
    """One slider with its number."""
    start, end = asked.usual or (asked.low, asked.high)
    return {
        "key": asked.key,
        "label": tr(asked.label),
        "doc": tr(
            "{meaning} From {low} to {high} {unit}.",
            meaning=tr(asked.doc),
            low=f"{asked.low:g}",
            high=f"{asked.high:g}",
            unit=unit_name(asked.unit),
        ),
        "step": asked.step,
        "start": start,
        "end": end,
        "units": [asdict(asked.shown_in(metric)) for metric in (False, True)],
    }


def values(scenario: Scenario) -> dict[str, Any]:
    """What each control shows; an air pressure nobody gave is the one that follows from the altitude."""
    keys = (*quantities(), *(key for key in choices() if key != "view.camera"), SECOND)
    shown = {key: scenario.value(key) for key in keys}
    shown[SECOND] = shown[SECOND] or ""
    shown[MOTION] = MEASURED if scenario.is_measured else ""
    if shown["setting.pressure_inhg"] is None:
        shown["setting.pressure_inhg"] = standard_pressure(scenario.si("setting.altitude_ft")) / units.INHG
    return shown


def offered(scenario: Scenario) -> dict[str, list[str]]:
    """The words that may be chosen now, for the choices that depend on others."""
    names = [OWN, *families(scenario.setting.level)]
    return {"pitch.family": names, SECOND: ["", *names]}


def absent(scenario: Scenario, start: Scenario) -> list[str]:
    """The controls that have nothing to do now."""
    choice = [] if scenario.is_measured or start.is_measured else [MOTION]
    return [*choice, *(UNSEEN if scenario.is_measured else ())]


def asked_for(changes: Mapping[str, Any], start: Scenario) -> dict[str, Any]:
    """Changes as `Scenario.with_values` takes them; None gives a value back to the scenario started from."""
    wanted = {key: start.given.get(key) if value is None else value for key, value in changes.items()}
    if wanted.get(MOTION) == MEASURED:
        wanted[MOTION] = start.given.get(MOTION)
    none = {key: None for key in (SECOND, MOTION) if wanted.get(key) == ""}  # even where the scenario has one
    return wanted | none


def changed_keys(scenario: Scenario, start: Scenario) -> list[str]:
    """Values asked for that the starting scenario did not ask for, or not so."""
    return [key for key, value in scenario.given.items() if start.given.get(key) != value]


class Controls(JSComponent):
    """All sliders and choices in one component.

    While an answer is awaited the browser keeps only the latest value of each control, so that moves never pile up.

    Parameters
    ----------
    change : called with the changed values by dotted key, where None gives a key back to the scenario, and with a
        name for the drag or key press they belong to
    """

    table = param.List(default=[], doc="The groups and rows, as made by `groups`.")
    state = param.Dict(default={}, doc="Values and changed keys as shown; `answered` is the last change dealt with.")

    _esm = BROWSER / "controls.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words")
    _stylesheets: ClassVar[list[str]] = styles("common", "controls")

    def __init__(self, change: Callable[[dict[str, Any], Hashable], None], **params: Any):
        super().__init__(table=groups(), **params)
        self._change = change
        self._answered = 0
        self._fresh = 0
        self.on_msg(self._asked)

    def show(self, scenario: Scenario, start: Scenario, metric: bool) -> None:
        """Bring every control in line with a scenario."""
        self.state = {
            "values": values(scenario),
            "changed": changed_keys(scenario, start),
            "offered": offered(scenario),
            "absent": absent(scenario, start),
            "fresh": self._fresh,
            "metric": metric,
            "answered": self._answered,
        }

    def forget(self) -> None:
        """Something else is shown from now on: moves the browser still holds back were meant for what was before."""
        self._fresh += 1

    def _asked(self, event: Any) -> None:
        self._answered = event.data["id"]
        try:
            gesture = event.data.get("gesture")
            self._change(event.data["changes"], None if gesture is None else f"controls {gesture}")
        finally:
            if self.state.get("answered") != self._answered:
                self.state = self.state | {"answered": self._answered}
