"""How much an answer moves: with each input, with each coefficient, and with all coefficients at once.

Every figure comes from full plays. For one thing at a time the change is told for a whole step up and a whole step
down, side by side, since a play may be a miss on one side of now; a central difference over a tenth of the step says
how steep the answer is here. Where the two disagree, the answer bends or the outcome changes within the step.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from plane3d.frames import Array
from plane3d.inputs import Inputs
from plane3d.physics.bat import EACH
from plane3d.studies.coefficients import drawn, one_by_one, scaled
from plane3d.studies.pieces import pieces

NAMES = ("launch_angle", "exit_speed", "carry")
NEAR = 0.1  # of the step, for the slope
STEPS = np.array([-1.0, -NEAR, NEAR, 1.0])  # each thing is moved by these shares of its step
SIDES = np.array([-1.0, 1.0])
MIDDLE = (15.865, 84.135)  # percent: of many normal draws what lies within one standard deviation


@dataclass(frozen=True)
class Answers:
    """What n plays give, arrays (n,): rad, m/s, m, NaN where there was no touch; kind "" where it cannot be made."""

    launch_angle: Array
    exit_speed: Array
    carry: Array
    kind: Array


@dataclass(frozen=True)
class Effects:
    """What moving each of k things by its step does; rows in the order of the things.

    down, up : by name of the answer, (k,) change with the thing a step less and a step more; NaN for a miss
    slope : by name, (k,) change over a whole step if it went on as it does here
    kind_down, kind_up : (k,) outcome kinds; "" where the play cannot be made
    """

    down: dict[str, Array]
    up: dict[str, Array]
    slope: dict[str, Array]
    kind_down: Array
    kind_up: Array

    def size(self, name: str) -> Array:
        """(k,) the greater change of an answer; infinite where a step makes it a miss: nothing matters more."""
        lost = (self.kind_down == "miss") | (self.kind_up == "miss")
        sides = np.abs(np.stack([self.down[name], self.up[name]]))
        return np.where(lost, np.inf, np.where(np.isnan(sides), 0.0, sides).max(axis=0))

    def order(self, name: str) -> Array:
        """(k,) places of the things, what matters most for an answer first."""
        slope = np.nan_to_num(np.abs(self.slope[name]))
        return np.lexsort((-slope, -self.size(name)))


@dataclass(frozen=True)
class Sure:
    """How far an answer is known when all coefficients vary at once.

    draws : what they gave; low, high : by name, the ends of the middle two thirds of the draws that touch the ball
    same : share of the draws with the outcome kind of the play itself
    """

    draws: Answers
    low: dict[str, float]
    high: dict[str, float]
    same: float

    def give(self, name: str) -> float:
        """Half the range: "give or take" this much. NaN where no draw touches the ball."""
        return (self.high[name] - self.low[name]) / 2


def answers(inputs: Inputs, n: int) -> Answers:
    """Answers of n plays; one that cannot be made is left empty."""
    whole = {name: np.full(n, np.nan) for name in NAMES}
    kind = np.full(n, "", dtype="U14")
    for places, plays in pieces(inputs, n):
        if plays is None:
            continue
        hit = plays.meeting.touch
        whole["launch_angle"][places] = np.where(hit, plays.launch_angle, np.nan)
        whole["exit_speed"][places] = np.where(hit, plays.exit_speed, np.nan)
        whole["carry"][places] = np.hypot(plays.batted.x[:, 0], plays.batted.x[:, 1])
        kind[places] = plays.kind
    return Answers(**whole, kind=kind)


def with_swing(inputs: Inputs, **values: Array) -> Inputs:
    """The inputs with numbers of the swing replaced."""
    return replace(inputs, swing=replace(inputs.swing, **values))


def sure(inputs: Inputs, n: int, seed: int) -> Sure:
    """n seeded draws of all coefficients for one play, as full plays. The pitch is aimed and the swing made anew."""
    kind = answers(inputs, 1).kind[0]
    draws = answers(scaled(inputs, drawn(n, seed)), n)
    ends = {name: _middle(getattr(draws, name)) for name in NAMES}
    made = draws.kind != ""
    same = float(np.mean(draws.kind[made] == kind)) if made.any() else 1.0
    return Sure(draws, {name: end[0] for name, end in ends.items()}, {name: end[1] for name, end in ends.items()}, same)


def _middle(values: Array) -> tuple[float, float]:
    there = values[~np.isnan(values)]
    if not len(there):
        return np.nan, np.nan
    low, high = np.percentile(there, MIDDLE)
    return float(low), float(high)


def of_coefficients(inputs: Inputs) -> Effects:
    """Each coefficient of `coefficients.COEFFICIENTS` alone, by its spread."""
    factors = one_by_one(STEPS)
    n = len(next(iter(factors.values())))
    return _effects(answers(inputs, 1), answers(scaled(inputs, factors), n))


def of_inputs(inputs: Inputs, changed: Sequence[Sequence[Inputs | None]]) -> Effects:
    """Each of k inputs alone: for each the play at `STEPS` of its step, None where such a play is not allowed."""
    cases = [case for four in changed for case in four]
    found = {name: np.full(len(cases), np.nan) for name in NAMES}
    kind = np.full(len(cases), "", dtype="U14")
    for places, stack in stacked(cases):
        some = answers(stack, len(places))
        kind[places] = some.kind
        for name in NAMES:
            found[name][places] = getattr(some, name)
    return _effects(answers(inputs, 1), Answers(**found, kind=kind))


def _effects(now: Answers, moved: Answers) -> Effects:
    changes = {name: getattr(moved, name).reshape(-1, len(STEPS)) - getattr(now, name)[0] for name in NAMES}
    kind = moved.kind.reshape(-1, len(STEPS))
    return Effects(
        down={name: change[:, 0] for name, change in changes.items()},
        up={name: change[:, 3] for name, change in changes.items()},
        slope={name: (change[:, 2] - change[:, 1]) / (2 * NEAR) for name, change in changes.items()},
        kind_down=kind[:, 0],
        kind_up=kind[:, 3],
    )


def stacked(cases: Sequence[Inputs | None]) -> Iterator[tuple[Array, Inputs]]:
    """Single plays gathered into few of many: their places (k,) among the cases, and the inputs of all of them.

    Plays are together where all that cannot be an array is the same: the bat's shape, the hitter, the field.
    """
    alike: dict[tuple[Any, ...], list[int]] = {}
    for i, case in enumerate(cases):
        if case is not None:
            alike.setdefault(_shared(case), []).append(i)
    for places in alike.values():
        yield np.array(places), _stack([case for i in places if (case := cases[i]) is not None])


def _shared(case: Inputs) -> tuple[Any, ...]:
    bat, setting = case.bat, case.setting
    shape = (bat.station.tobytes(), bat.radius.tobytes(), bat.length, bat.sweet_spot, bat.hands, bat.grip_end)
    held = case.held is None
    return (*shape, case.bats, case.hitter_height, setting.ball.radius, setting.field, held, id(case.measured))


def _stack(cases: Sequence[Inputs]) -> Inputs:
    first = cases[0]
    setting = replace(
        first.setting,
        ball=_joined([c.setting.ball for c in cases], ("mass",)),
        air_density=np.array([c.setting.air_density for c in cases]),
        wind=np.array([c.setting.wind for c in cases]),
    )
    held = None
    if first.held is not None:
        them = [c.held for c in cases if c.held is not None]
        held = replace(first.held, pitch=_joined([h.pitch for h in them]), swing=_joined([h.swing for h in them]))
    return replace(
        first,
        setting=setting,
        bat=_joined([c.bat for c in cases], EACH),
        pitch=_joined([c.pitch for c in cases]),
        swing=_joined([c.swing for c in cases]),
        held=held,
    )


def _joined(parts: Sequence[Any], names: Sequence[str] | None = None) -> Any:
    """One part of several plays as one, its numbers side by side; all of them, or those named."""
    names = names or [f.name for f in fields(parts[0])]
    return replace(parts[0], **{name: np.array([getattr(part, name) for part in parts]) for name in names})
