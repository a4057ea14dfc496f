"""A practice plan: what a hitter should work on, found from numbers alone, and the drills for it.

`causes` finds what it is by replaying the hitter's spread; `practice_sheet` says it in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from plane3d.causes import SMALLEST, Finding, Replays
from plane3d.drills import CAUSES, PER_SHEET, Drill, age_of, load_drills
from plane3d.errors import UnreachableError
from plane3d.inputs import Inputs
from plane3d.levels import LEVELS
from plane3d.scenario import Scenario
from plane3d.studies.remedy import Goal
from plane3d.studies.spread import Progress, Spread, best_ball
from plane3d.study import remedy, target
from plane3d.study.scatter import Scatter
from plane3d.study.scatter import scatter as level_scatter
from plane3d.units import MPH

PLAYS, MOST_PLAYS = 1000, 20_000  # swings in each replay, of which there may be about twenty
SEED = 1
SLOW = 0.94  # of the level's typical bat speed; below it the bat is called slow, own choice
MOST = 3  # causes on a sheet: nobody works on more at once, own choice


@dataclass(frozen=True)
class Plan:
    """A practice plan. ``now`` is the hitter's spread as it is; ``drills`` each stand with the cause they are for.

    scatter : of the hitter; age : one of `AGES`
    findings : causes worth working on, most costly first, at most MOST
    ball : the scenario's own ball, without scatter, and what would make it the wanted one
    chart : the target of this hitter, None where the swing hits no ball forward
    slow : bat speed and the level's typical one, mph, and what that would add to the exit speed; None if not slow
    """

    scenario: Scenario
    scatter: Scatter
    age: str
    now: Spread
    findings: tuple[Finding, ...]
    ball: remedy.Found
    chart: target.Found | None
    slow: tuple[float, float, float] | None
    drills: tuple[tuple[Drill, str], ...]

    @property
    def typical(self) -> bool:
        """Whether the scatter is only the level's typical one."""
        return self.scatter.is_typical(self.scenario.setting.level)

    @property
    def causes(self) -> tuple[str, ...]:
        """What to work on, most important first; empty where nothing needs it."""
        found = tuple(finding.cause for finding in self.findings)
        return found if self.slow is None else (*found, "bat-speed")


def plan(
    scenario: Scenario,
    scatter: Scatter | None = None,
    drills: Sequence[Drill] | None = None,
    n: int = PLAYS,
    seed: int = SEED,
    progress: Progress | None = None,
) -> Plan | None:
    """The plan for a scenario's hitter; None where ``progress`` stopped it.

    scatter : of this hitter; left out, that of a typical one of the level
    drills : to choose from; left out, those that come with plane3d
    n : swings in each replay

    Raises UnreachableError where the scenario's own swing cannot be made.
    """
    inputs, level = scenario.to_inputs(), scenario.setting.level
    scatter = level_scatter(level) if scatter is None else scatter
    chart = _target(scenario)
    wanted = _wanted(chart)
    replays = Replays(inputs, scatter.to_si(), wanted, n, seed)
    if not replays.run(progress):
        return None
    ball = remedy.run(scenario, wanted)
    findings = (replays.findings_that_count() if ball.already else replays.for_the_ball())[:MOST]
    slow = _slow(inputs, scenario)
    age = age_of(level)
    chosen = choose(load_drills() if drills is None else drills, age, _weights(findings, slow is not None))
    return Plan(scenario, scatter, age, replays.now, tuple(findings), ball, chart, slow, tuple(chosen))


def _weights(findings: Sequence[Finding], slow: bool) -> dict[str, float]:
    """How much each cause matters for the choice of drills; the first finding leads, whatever it wins."""
    weights = {finding.cause: max(finding.gain, SMALLEST) for finding in findings}
    if findings:
        weights[findings[0].cause] = 1.01 * max(weights.values())
    return weights | ({"bat-speed": SMALLEST / 2} if slow else {})


def choose(drills: Sequence[Drill], age: str, weights: dict[str, float]) -> list[tuple[Drill, str]]:
    """PER_SHEET different drills for an age, each with the cause it is for ("" where it is for none of them).

    weights : how much each cause matters. A cause that a chosen drill works on counts half from then on, so that one
    cause does not take every place. With nothing to mend, the drills that work on most are chosen.
    """
    left = [drill for drill in drills if drill.dose_for(age)]
    matters = dict(weights) or dict.fromkeys(CAUSES, 1.0)
    chosen: list[tuple[Drill, str]] = []
    while len(chosen) < PER_SHEET and left:
        able = {cause: weight for cause, weight in matters.items() if any(cause in drill.works_on for drill in left)}
        heaviest = max(able, key=lambda cause: able[cause], default="")
        fitting = [drill for drill in left if not heaviest or heaviest in drill.works_on]
        best = max(fitting, key=lambda drill: sum(able.get(cause, 0.0) for cause in drill.works_on))
        chosen.append((best, heaviest if weights else ""))
        left.remove(best)
        matters = {cause: weight / 2 if cause in best.works_on else weight for cause, weight in matters.items()}
    return chosen


def _target(scenario: Scenario) -> target.Found | None:
    """The chart of this hitter; None where the swing hits no ball forward."""
    try:
        return target.run(scenario)
    except UnreachableError:
        return None


def _wanted(chart: target.Found | None) -> Goal:
    """The ball to hit: a line drive, or a fly ball too for a hitter whose target band reaches that high."""
    lifts = chart is not None and "fly-ball" in target.kinds(chart)
    return Goal(("line-drive", "fly-ball") if lifts else ("line-drive",))


def _slow(inputs: Inputs, scenario: Scenario) -> tuple[float, float, float] | None:
    """Bat speed, the level's typical one, and what it would add to the exit speed of the best ball, mph."""
    now, typical = scenario.swing.bat_speed_mph, LEVELS[scenario.setting.level].bat_speed_mph
    if now >= SLOW * typical:
        return None
    faster = replace(inputs, swing=replace(inputs.swing, bat_speed=typical * MPH))
    return now, typical, (best_ball(faster) - best_ball(inputs)) / MPH
