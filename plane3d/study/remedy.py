"""Remedy: for each single change the smallest that makes the ball asked for, in the sliders' steps, as one cue."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from plane3d.errors import InputError, Mistake, UnreachableError
from plane3d.inputs import Result
from plane3d.language import mark, tr
from plane3d.levels import starting_values
from plane3d.messages import given_text, one_of, suggestion
from plane3d.play import Play, play
from plane3d.quantities import quantities, quantity
from plane3d.scenario import Scenario, followed
from plane3d.studies.remedy import OVER_FENCE, PLACES, Goal, Lever, remedies
from plane3d.study.words import closing, number, rows
from plane3d.typical import TYPICAL, Typical
from plane3d.words import KINDS, TOWARD, Block, sentence

# What may be changed, and a typical hitter's own scatter in it: the measure of what is a small change.
LEVERS: dict[str, Callable[[Typical], float]] = {
    "swing.below_line_in": lambda typical: typical.height_in,
    "swing.timing_ms": lambda typical: typical.timing_ms,
    "swing.attack_angle_deg": lambda typical: typical.attack_deg,
    "swing.vertical_bat_angle_deg": lambda typical: typical.bat_angle_deg,
    "swing.contact_depth_in": lambda typical: typical.depth_in,
}
# How each change is said to a hitter: more of it, less of it.
CUES = {
    "swing.below_line_in": (mark("Lower the barrel {size}"), mark("Raise the barrel {size}")),
    "swing.timing_ms": (mark("Start {size} later"), mark("Start {size} sooner")),
    "swing.attack_angle_deg": (mark("Swing {size} more upward"), mark("Swing {size} more downward")),
    "swing.vertical_bat_angle_deg": (mark("Tilt the bat {size} steeper"), mark("Hold the bat {size} flatter")),
    "swing.contact_depth_in": (mark("Meet it {size} further in front"), mark("Meet it {size} deeper")),
}
LESS_STEEP = (mark("Swing {size} less downward"), mark("Swing {size} flatter"))  # toward level, from below and above
FAIR_KINDS = ("ground-ball", "line-drive", "fly-ball", "pop-up", OVER_FENCE)
GOAL_KINDS = {kind: KINDS[kind] for kind in FAIR_KINDS[:-1]} | {OVER_FENCE: mark("a ball over the fence")}
GOAL_PLACES = {"pull": "pull side", "middle": "middle", "opposite": "opposite side"}  # keys of `words.TOWARD`


@dataclass(frozen=True)
class Remedy:
    """One change that was played and does it.

    key : what is changed; value, change : in its coach unit; effort : size against a typical hitter's scatter
    scenario : the changed scenario; result : what it gives
    """

    key: str
    value: float
    change: float
    effort: float
    scenario: Scenario
    result: Result


@dataclass(frozen=True)
class Found:
    """The play as it is, whether it is already the ball asked for, remedies easiest first, and what cannot do it."""

    scenario: Scenario
    goal: Goal
    now: Result
    already: bool
    remedies: tuple[Remedy, ...]
    hopeless: tuple[str, ...]


def goal(kinds: str, where: str = "anywhere") -> Goal:
    """A goal from words, kinds separated by commas: ``goal("line-drive,fly-ball", "middle")``. Raises InputError."""
    names = tuple(part.strip() for part in kinds.split(","))
    asked = [("goal", name, FAIR_KINDS) for name in names] + [("to", where, PLACES)]
    mistakes = [
        Mistake(
            "input",
            key,
            tr("= {given} must be {what}", given=given_text(name), what=one_of(allowed)) + suggestion(name, allowed),
        )
        for key, name, allowed in asked
        if name not in allowed
    ]
    if mistakes:
        raise InputError(mistakes)
    return Goal(names, where)


def run(scenario: Scenario, asked: Goal) -> Found:
    """Every lever tried over its slider's range. Raises UnreachableError where the play itself cannot be made."""
    played = play(scenario.to_inputs())
    if reaches(played, asked):
        return Found(scenario, asked, played.result, True, (), ())
    settings = {key: _settings(scenario, key) for key in LEVERS}
    typical = TYPICAL[scenario.setting.level]
    levers = {key: _lever(scenario, key, values, LEVERS[key](typical)) for key, values in settings.items()}
    good = []
    for key, places in remedies(scenario.to_inputs(), asked, levers).items():
        for found in places:
            if remedy := _replayed(scenario, asked, key, float(settings[key][found.place]), found.effort):
                good.append(remedy)
                break
    good.sort(key=lambda remedy: remedy.effort)
    able = {remedy.key for remedy in good}
    return Found(scenario, asked, played.result, False, tuple(good), tuple(key for key in LEVERS if key not in able))


def reaches(played: Play, asked: Goal) -> bool:
    """Whether a single play is the ball asked for."""
    return bool(asked.met(played.plays)[0])


def _settings(scenario: Scenario, key: str) -> np.ndarray:
    """Values (k,) a lever may take: whole steps away from now within the slider's range, now left out."""
    q, now = quantity(key), float(scenario.value(key))
    low, high = q.usual or (q.low, q.high)
    steps = np.arange(np.ceil((low - now) / q.step - 1e-9), np.floor((high - now) / q.step + 1e-9) + 1)
    values = np.round(now + steps[steps != 0] * q.step, 9)
    return np.clip(values, q.low, q.high)


def _lever(scenario: Scenario, key: str, values: np.ndarray, typical: float) -> Lever:
    """A lever for the study, with what follows from it: the bat direction, unless the scenario gives it."""
    columns: dict[str, list[float]] = {key: [float(value) for value in values]}
    base, given = {name: scenario.value(name) for name in starting_values(scenario.setting.level)}, scenario.given
    for value in columns[key]:
        for name, other in followed(base | {key: value}).items():
            if name.startswith("swing.") and name not in given:
                columns.setdefault(name, []).append(other)
    names = {name: name.partition(".")[2].rpartition("_")[0] for name in columns}
    swing = {names[name]: np.array([quantity(name).si(v) for v in column]) for name, column in columns.items()}
    return Lever(swing, values - float(scenario.value(key)), typical)


def _replayed(scenario: Scenario, asked: Goal, key: str, value: float, effort: float) -> Remedy | None:
    """The change played once more, as a scenario that the page can open; None if that is not the ball asked for."""
    changed = scenario.with_values({key: value})
    try:
        played = play(changed.to_inputs())
    except UnreachableError:
        return None
    if not reaches(played, asked):
        return None
    return Remedy(key, value, round(value - float(scenario.value(key)), 9), effort, changed, played.result)


def cue(remedy: Remedy, metric: bool = False) -> str:
    """A remedy as a hitter is told it: ``Raise the barrel 0.7 in``."""
    more, less = CUES[remedy.key]
    if remedy.key == "swing.attack_angle_deg":
        before = remedy.value - remedy.change
        if before < 0 < remedy.change and remedy.value <= 0:
            more = LESS_STEEP[0]
        if before > 0 > remedy.change and remedy.value >= 0:
            less = LESS_STEEP[1]
    size = quantities()[remedy.key].step_words(abs(remedy.change), metric)
    return tr(more if remedy.change > 0 else less, size=size)


def goal_words(asked: Goal) -> str:
    """A goal in words: ``a line drive up the middle``."""
    ball = tr(GOAL_KINDS[asked.kinds[0]])
    for kind in asked.kinds[1:]:
        ball = tr("{first} or {second}", first=ball, second=tr(GOAL_KINDS[kind]))
    return tr(TOWARD[GOAL_PLACES[asked.where]], kind=ball) if asked.where in GOAL_PLACES else ball


def headline(found: Found, metric: bool = False) -> str:
    """The answer in one sentence."""
    ball = goal_words(found.goal)
    if found.already:
        return tr("This ball already is {ball}.", ball=ball)
    if not found.remedies:
        return tr("No single change makes this {ball}.", ball=ball)
    return tr("For {ball}: {cue}.", ball=ball, cue=cue(found.remedies[0], metric))


def block(found: Found) -> Block:
    """The answer as ``plane3d remedy --json`` prints it; values and changes in the unit their key ends in."""
    return {
        "title": found.scenario.title,
        "goal": {"kinds": list(found.goal.kinds), "to": found.goal.where},
        "now": {"kind": found.now.outcome.kind, "sentence": sentence(found.now)},
        "already": found.already,
        "sentence": headline(found),
        "remedies": [
            {
                "key": remedy.key,
                "value": number(remedy.value, 6),
                "change": number(remedy.change, 6),
                "effort": number(remedy.effort, 4),
                "cue": cue(remedy),
                "kind": remedy.result.outcome.kind,
                "sentence": sentence(remedy.result),
            }
            for remedy in found.remedies
        ],
        "not_alone": list(found.hopeless),
    }


def text(found: Found, metric: bool = False) -> str:
    """The answer to read."""
    lines = [
        tr(found.scenario.title),
        "",
        tr("Now: {sentence}", sentence=sentence(found.now, metric)),
        headline(found, metric),
    ]
    if found.remedies:
        lines += ["", tr("Any one of these does it, the easiest first")]
    for remedy in found.remedies:
        times = tr("{effort} times a typical scatter", effort=f"{remedy.effort:.1f}")
        lines += [f"  {cue(remedy, metric)} ({times})", f"      {sentence(remedy.result, metric)}"]
    if found.hopeless:
        lines += ["", *rows((tr(quantity(key).label), tr("not by this alone")) for key in found.hopeless)]
    if not found.already:
        lines += ["", tr("Typical scatters are our own choice for the level, not a measurement.")]
    return "\n".join([*lines, *closing()])
