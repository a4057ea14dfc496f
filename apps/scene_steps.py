"""What the page of a scene shows, as messages: a step with its question, and its answer."""

from __future__ import annotations

from typing import Any

from apps.files import topic
from apps.patch import Block, changes
from apps.result import numbers
from apps.told import told
from plane3d.answers import answer
from plane3d.language import mark, tr
from plane3d.lesson import Step
from plane3d.report import report
from plane3d.scene.before import before_contact
from plane3d.scene.parts import Scene
from plane3d.scene.staged import staged

MADE = mark("Made with plane3d from “{title}”. The numbers come from the model; the inputs are in this file.")


def message(step: Step, block: Block, metric: bool, theme: str, asked: bool) -> dict[str, Any]:
    """A step for ``browser/scene_source.js``, said in the language in use.

    Parameters
    ----------
    block : takes the arrays of the pictures
    asked : whether the question comes first, with a picture that stops before contact

    Raises
    ------
    Plane3dError : the scenario cannot be played, or not exactly one of its choices is right
    """
    scenario = step.scenario
    found = answer(step, metric)
    scene = staged(scenario, found.play, step.view, metric=metric, theme=theme)
    return {
        "question": tr(step.question) or tr(scenario.title),
        "choices": [tr(choice.says) for choice in step.choices],
        "made": tr(MADE, title=tr(scenario.title)),
        "file": f"{topic(scenario.title)}.toml",
        "toml": scenario.to_toml(),
        "scene": _picture(before_contact(scene, found.play), block) if asked else None,
        "answer": told(found, step)
        | {
            "scene": _picture(scene, block, stays=asked),
            "numbers": numbers(report(found.play.result, found.reading), metric),
        },
    }


def _picture(scene: Scene, block: Block, stays: bool = False) -> dict[str, Any]:
    """A whole scene for the stage. Whether the figure is shown is left to the viewer and, where asked, the view too."""
    left = ("shown", "camera") if stays else ("shown",)
    return {name: part for name, part in changes(None, scene, block).items() if name not in left}
