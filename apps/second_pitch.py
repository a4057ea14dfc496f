"""The second pitch of a scenario, for the stage."""

from __future__ import annotations

from typing import Any

from plane3d.families import families
from plane3d.language import tr
from plane3d.plays import pitch_flight
from plane3d.scenario import Scenario


def second_pitch(scenario: Scenario) -> dict[str, Any]:
    """What `plane3d.scene.describe` takes of a second pitch: its flight and its name; nothing where there is none."""
    other = scenario.with_second_pitch()
    if other is None:
        return {}
    named = families(scenario.setting.level).get(other.pitch.family)
    return {"second": pitch_flight(other.to_inputs()), "second_name": tr(named.words).capitalize() if named else ""}
