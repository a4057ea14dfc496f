"""A scenario's play as the scene that page, pictures, films and files all show."""

from __future__ import annotations

from typing import Any

from plane3d.families import families
from plane3d.language import tr
from plane3d.play import Play
from plane3d.plays import pitch_flight
from plane3d.scenario import Scenario
from plane3d.scene.describe import describe
from plane3d.scene.parts import Scene


def staged(scenario: Scenario, play: Play, view: str | None = None, **looks: Any) -> Scene:
    """The scene of a scenario, its second pitch included.

    Parameters
    ----------
    play : the scenario's play
    view : name of the view to start from; None for the scenario's own
    looks : ``metric``, ``theme`` and ``figure``, as for `describe.describe`
    """
    return describe(
        play,
        window_tolerance=scenario.si("view.window_in"),
        camera=view or scenario.view.camera,
        **second_pitch(scenario),
        **looks,
    )


def second_pitch(scenario: Scenario) -> dict[str, Any]:
    """What `describe.describe` takes of a second pitch: its flight and its name; nothing where there is none."""
    other = scenario.with_second_pitch()
    if other is None:
        return {}
    named = families(scenario.setting.level).get(other.pitch.family)
    return {"second": pitch_flight(other.to_inputs()), "second_name": tr(named.words).capitalize() if named else ""}
