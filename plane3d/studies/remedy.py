"""What would have fixed it: the smallest single change that turns this ball into the one asked for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from plane3d.frames import Array
from plane3d.inputs import Inputs
from plane3d.plays import Plays
from plane3d.studies.pieces import pieces

MIDDLE = np.radians(15.0)  # bearing either side of centre that still counts as the middle, as in `words`
OVER_FENCE = "over-fence"  # may stand among the kinds of a goal
PLACES = ("anywhere", "pull", "middle", "opposite")


@dataclass(frozen=True)
class Goal:
    """A fair ball to hit: outcome kinds that will do, and where, one of PLACES.

    The kind OVER_FENCE is met by any ball that leaves the park. Where it goes is where it first bounces.
    """

    kinds: tuple[str, ...]
    where: str = "anywhere"

    def met(self, plays: Plays) -> Array:
        """(n,) bool."""
        toward = plays.goes * plays.side  # opposite side positive
        place = {
            "anywhere": np.ones(len(plays), dtype=bool),
            "pull": toward < -MIDDLE,
            "middle": np.abs(toward) <= MIDDLE,
            "opposite": toward > MIDDLE,
        }[self.where]
        kind = np.isin(plays.kind, self.kinds)
        if OVER_FENCE in self.kinds:
            kind = kind | plays.batted.over_fence
        return plays.fair & kind & place


@dataclass(frozen=True)
class Lever:
    """One thing to change, in the steps a coach can ask for.

    swing : numbers (k,) of `SwingAsk`, its own and those that follow from it, for each of the settings
    change : (k,) how far each setting is from now, in any unit; typical : a hitter's own scatter in it, same unit
    """

    swing: Mapping[str, Array]
    change: Array
    typical: float


@dataclass(frozen=True)
class Found:
    """A setting of a lever that reaches the goal: its place among the lever's settings.

    effort : size of the change against a typical hitter's own scatter in it
    """

    lever: str
    place: int
    effort: float


def remedies(inputs: Inputs, goal: Goal, levers: Mapping[str, Lever]) -> dict[str, list[Found]]:
    """The settings of each lever alone that reach the goal, smallest change first; an empty list for "not by this".

    A swing that cannot be made reaches nothing. Of two equal changes up and down, the one toward more comes first.
    """
    good = _reached(inputs, goal, levers)
    found = {}
    for name, lever in levers.items():
        size = np.abs(lever.change)
        order = np.lexsort((-lever.change, np.round(size, 9)))
        found[name] = [Found(name, int(i), float(size[i] / lever.typical)) for i in order if good[name][i]]
    return found


def _reached(inputs: Inputs, goal: Goal, levers: Mapping[str, Lever]) -> dict[str, Array]:
    """(k,) bool for each lever, all of them in one call: many plays cost little more than a few."""
    counts = [len(lever.change) for lever in levers.values()]
    names = {name for lever in levers.values() for name in lever.swing}
    whole = {name: np.concatenate(list(_columns(inputs, name, levers))) for name in names}
    good = np.zeros(sum(counts), dtype=bool)
    for places, plays in pieces(replace(inputs, swing=replace(inputs.swing, **whole)), len(good)):
        if plays is not None:
            good[places] = goal.met(plays)
    return dict(zip(levers, np.split(good, np.cumsum(counts)[:-1]), strict=True))


def _columns(inputs: Inputs, name: str, levers: Mapping[str, Lever]) -> Iterator[Array]:
    """One number of the swing over all settings: a lever's own values, or else what it is now."""
    for lever in levers.values():
        yield np.broadcast_to(lever.swing.get(name, getattr(inputs.swing, name)), lever.change.shape)
