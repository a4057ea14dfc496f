"""What would have fixed it: the smallest single change that turns this ball into the one asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.frames import Array
from plane3d.inputs import Inputs
from plane3d.plays import Plays, play_many

MIDDLE = np.radians(15.0)  # spray either side of centre that still counts as the middle: thirds of fair ground


@dataclass(frozen=True)
class Goal:
    """A ball to hit: outcome kinds that will do, and where: "pull", "middle", "opposite" or "" for anywhere fair."""

    kinds: tuple[str, ...]
    where: str = ""

    def met(self, plays: Plays) -> Array:
        """(n,) bool."""
        toward = plays.goes * plays.side  # opposite side positive
        place = {
            "": np.ones(len(plays), dtype=bool),
            "pull": toward < -MIDDLE,
            "middle": np.abs(toward) <= MIDDLE,
            "opposite": toward > MIDDLE,
        }[self.where]
        return plays.fair & np.isin(plays.kind, self.kinds) & place


@dataclass(frozen=True)
class Remedy:
    """One way to the goal: ``lever`` names a number of `SwingAsk`, ``value`` is what it becomes, by ``change``."""

    lever: str
    value: float
    change: float
    effort: float  # size of the change against a typical hitter's own scatter in it


def remedies(
    inputs: Inputs, goal: Goal, levers: dict[str, Array], typical: dict[str, float]
) -> tuple[list[Remedy], list[str]]:
    """The smallest change of each lever alone that reaches the goal, easiest first, and the levers that cannot.

    levers : allowed values (k,) of numbers of `SwingAsk`, in the steps a coach can ask for
    typical : scatter of a hitter in each, the measure of what is easy
    """
    found, hopeless = [], []
    for lever, values in levers.items():
        now = float(getattr(inputs.swing, lever))
        good = values[_reaches(inputs, goal, lever, values)]
        if len(good) == 0:
            hopeless.append(lever)
            continue
        value = float(good[np.abs(good - now).argmin()])
        found.append(Remedy(lever, value, value - now, abs(value - now) / typical[lever]))
    return sorted(found, key=lambda remedy: remedy.effort), hopeless


def _reaches(inputs: Inputs, goal: Goal, lever: str, values: Array) -> Array:
    """(k,) bool, whether each value of the lever reaches the goal; a swing that cannot be made does not."""
    try:
        return goal.met(play_many(replace(inputs, swing=replace(inputs.swing, **{lever: values}))))
    except UnreachableError:
        if len(values) == 1:
            return np.zeros(1, dtype=bool)
        half = len(values) // 2
        return np.concatenate([_reaches(inputs, goal, lever, part) for part in (values[:half], values[half:])])
