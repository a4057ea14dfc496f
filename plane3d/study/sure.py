"""How sure one answer is, in a line: what the model's own coefficients leave open, and what a hair of height does."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plane3d import units
from plane3d.inputs import Result
from plane3d.language import tr
from plane3d.play import one_result
from plane3d.plays import play_many
from plane3d.scenario import Scenario
from plane3d.studies import sensitivity as study
from plane3d.study.words import number
from plane3d.words import KINDS, Block, listed, show

DRAWS, SEED = 400, 1
HAIR = 0.1 * units.INCH  # of barrel height, a step of its slider
BACKWARD = ("", "miss", "foul-tip", "foul-back")
SURELY = 0.995  # of the draws, from which on the outcome is not put in question
UNIT = {"launch_angle": ("_deg", units.DEGREE), "exit_speed": ("_mph", units.MPH), "carry": ("_ft", units.FOOT)}


@dataclass(frozen=True)
class Found:
    """One play, what its coefficients leave open, and how far HAIR of barrel height moves its launch angle, rad.

    hair : None where the ball is missed or goes backward, whose climb says nothing by itself
    """

    result: Result
    sure: study.Sure
    hair: float | None
    seed: int


def run(scenario: Scenario, draws: int = DRAWS, seed: int = SEED) -> Found:
    """The draws for a scenario's play. Raises UnreachableError where the play itself cannot be made."""
    inputs = scenario.to_inputs()
    result = one_result(play_many(inputs), 0)
    below = scenario.si("swing.below_line_in")
    near = study.answers(study.with_swing(inputs, below_line=below + HAIR * study.SIDES), len(study.SIDES))
    return Found(result, study.sure(inputs, draws, seed), _hair(near, result.outcome.kind), seed)


def _hair(near: study.Answers, kind: str) -> float | None:
    if not np.isin(kind, BACKWARD) and not np.isin(near.kind, BACKWARD).any():
        return abs(float(near.launch_angle[1] - near.launch_angle[0])) / 2
    return None


def answers_of(kind: str) -> tuple[str, ...]:
    """The answers that the sentence of an outcome tells."""
    if kind == "miss":
        return ()
    return {"foul-tip": ("exit_speed",), "foul-back": ("launch_angle", "exit_speed")}.get(kind, study.NAMES)


def size(name: str, value: float, metric: bool = False) -> str:
    """A range's half in words, with a decimal where it is small: ``0.4°``, ``12 ft``."""
    ending, unit = UNIT[name]
    return show(ending, value / unit, metric, small=True)


def line(found: Found, metric: bool = False) -> str:
    """The answer in one line, to stand under the sentence of the play."""
    kind = found.result.outcome.kind
    names = answers_of(kind)
    if not names:
        return tr("With the model's own coefficients drawn anew, {share} of 100 are a miss too.", share=_percent(found))
    give = listed([size(name, found.sure.give(name), metric) for name in names])
    words = [tr("Give or take {sizes} for what the model's own coefficients leave open.", sizes=give)]
    if found.sure.same < SURELY:
        words.append(tr("Of 100 draws of them {share} are {kind}.", share=_percent(found), kind=tr(KINDS[kind])))
    if found.hair is not None:
        hair, angle = show("_in", HAIR / units.INCH, metric), size("launch_angle", found.hair)
        words.append(tr("{gap} of barrel height alone makes {angle}.", gap=hair, angle=angle))
    return " ".join(words)


def _percent(found: Found) -> str:
    return f"{100 * found.sure.same:.0f}"


def block(found: Found) -> Block:
    """The answer as the block ``sure`` of ``plane3d solve --sure --json``."""
    sure = found.sure
    ranges = {
        f"{name}{ending}": None
        if sure.low[name] != sure.low[name]
        else {
            "low": number(sure.low[name] / unit, 3),
            "high": number(sure.high[name] / unit, 3),
            "give_or_take": number(sure.give(name) / unit, 3),
        }
        for name, (ending, unit) in UNIT.items()
    }
    return {
        "sentence": line(found),
        "draws": len(sure.draws.kind),
        "seed": found.seed,
        "same_kind": number(sure.same, 4),
        **ranges,
        "tenth_of_an_inch_deg": None if found.hair is None else number(found.hair / units.DEGREE, 3),
    }
