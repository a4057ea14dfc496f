"""The hitter is not a machine: the same swing thousands of times with scatter, as full plays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.frames import Array
from plane3d.inputs import Inputs
from plane3d.language import tr
from plane3d.plays import Plays, play_many
from plane3d.studies.contact_map import SOLID_SHARE
from plane3d.studies.pieces import SIZE, pieces

Seed = int | Sequence[int]
Progress = Callable[[float], bool]  # told the share done; returning False stops the study

SWING_FIELDS = {
    "timing": "timing",
    "height": "below_line",
    "depth": "contact_depth",
    "along": "along_barrel",
    "bat_speed": "bat_speed",
}
SLOWEST = 0.3  # of the asked bat speed: it cannot fall to nothing, however wide the scatter
BEST_HEIGHTS = np.linspace(-1.5, 1.5, 61) * 0.0254  # m below the line, where the hardest hit ball is looked for


@dataclass(frozen=True)
class Scatter:
    """Standard deviations of a hitter's misses, normal and independent: s, m, m, m, m/s.

    timing : of the moment; height : of the barrel against the line; depth : of where the ball is met;
    along : of the place along the barrel; bat_speed : of the sweet spot
    """

    timing: float = 0.0
    height: float = 0.0
    depth: float = 0.0
    along: float = 0.0
    bat_speed: float = 0.0

    def draws(self, n: int, seed: Seed) -> dict[str, Array]:
        """Deviations (n,) by name. Each name has its own stream, so one scatter does not disturb another's draws."""
        streams = np.random.SeedSequence(seed).spawn(len(fields(self)))
        return {
            f.name: np.random.default_rng(stream).normal(0.0, 1.0, n) * getattr(self, f.name)
            for f, stream in zip(fields(self), streams, strict=True)
        }


@dataclass(frozen=True)
class Spread:
    """Answers of n plays; arrays (n,), SI. Off-the-bat values are NaN for misses.

    made : bool, whether the swing of this draw can be made at all; the rest means nothing where it cannot
    kind : outcome kinds; fair, over_fence, touch : bool
    exit_speed, launch_angle, spray_angle, carry : of the hit; landing : (n, 2) toward first base and centre field
    goes : where it goes, rad: bearing of the first bounce, toward the opposite side positive
    offset : (n, 2) m, ball against the barrel where they met or passed: along the barrel, and barrel below the line
    best : m/s, exit speed of this hitter's best ball, see `best_ball`
    seed : of the draws
    """

    made: Array
    kind: Array
    touch: Array
    fair: Array
    over_fence: Array
    exit_speed: Array
    launch_angle: Array
    spray_angle: Array
    carry: Array
    landing: Array
    goes: Array
    offset: Array
    best: float
    seed: Seed

    def __len__(self) -> int:
        return len(self.kind)

    def shares(self) -> dict[str, tuple[float, float]]:
        """Share of each outcome kind that came up and its standard error, commonest first."""
        names, counts = np.unique(self.kind[self.made], return_counts=True)
        order = np.argsort(-counts, kind="stable")
        return {str(names[i]): share(int(counts[i]), int(self.made.sum())) for i in order}

    def share_of(self, good: Array) -> tuple[float, float]:
        """Share of plays (n,) bool among those that could be made, and its standard error."""
        return share(int(np.sum(good & self.made)), int(self.made.sum()))

    @property
    def solid(self) -> Array:
        """(n,) bool: fair, and at least SOLID_SHARE of the exit speed of this hitter's best ball."""
        return self.fair & (np.nan_to_num(self.exit_speed) >= SOLID_SHARE * self.best)


def share(count: int, n: int) -> tuple[float, float]:
    """A share and its standard error. Laplace's estimate keeps the error honest for shares of 0 and 1."""
    p = (count + 1) / (n + 2)
    return count / n, float(np.sqrt(p * (1 - p) / (n + 2)))


def scattered(inputs: Inputs, deviations: dict[str, Array]) -> Inputs:
    """The inputs with these deviations (n,) added to the swing."""
    swing = inputs.swing
    changed = {SWING_FIELDS[name]: getattr(swing, SWING_FIELDS[name]) + d for name, d in deviations.items()}
    changed["bat_speed"] = np.maximum(changed["bat_speed"], SLOWEST * np.asarray(swing.bat_speed))
    return replace(inputs, swing=replace(swing, **changed))


def best_ball(inputs: Inputs) -> float:
    """Exit speed (m/s) of the best ball this hitter's swing gives: aimed at the pitch, on time, on the sweet spot.

    The height of the barrel is the one that gives most, so this does not depend on how well the swing is aimed now.
    """
    swing = replace(inputs.swing, below_line=BEST_HEIGHTS, along_barrel=0.0, timing=0.0)
    plays = play_many(replace(inputs, swing=swing, held=None))
    return float(np.where(plays.meeting.touch, plays.exit_speed, 0.0).max())


def spread(
    inputs: Inputs, scatter: Scatter, n: int, seed: Seed, progress: Progress | None = None, size: int = SIZE
) -> Spread | None:
    """n full plays of one scattered swing; None where ``progress`` stopped it.

    Raises UnreachableError where the pitch or the unscattered swing cannot be made as asked.
    """
    best = best_ball(inputs)
    many = scattered(inputs, scatter.draws(n, seed))
    whole = _unmade(n)
    for done, (places, plays) in enumerate(pieces(many, n, size), start=1):
        if plays is not None:
            for name, values in _answers(plays).items():
                whole[name][places] = values
        if progress and not progress(min(done * size, n) / n):
            return None
    if not whole["made"].any():
        raise UnreachableError(tr("With this scatter no swing can be made; give less of it."))
    return Spread(**whole, best=best, seed=seed)


def _answers(plays: Plays) -> dict[str, Array]:
    hit = plays.meeting.touch
    _, below, along = plays.met
    return {
        "made": np.ones(len(plays), dtype=bool),
        "kind": plays.kind,
        "touch": hit,
        "fair": plays.fair,
        "over_fence": plays.batted.over_fence,
        "exit_speed": np.where(hit, plays.exit_speed, np.nan),
        "launch_angle": np.where(hit, plays.launch_angle, np.nan),
        "spray_angle": np.where(hit, plays.spray_angle, np.nan),
        "carry": np.hypot(plays.batted.x[:, 0], plays.batted.x[:, 1]),
        "landing": plays.batted.x[:, :2],
        "goes": plays.goes * plays.side,
        "offset": np.stack([along, below], axis=-1),
    }


def _unmade(n: int) -> dict[str, Array]:
    """Room for the answers of n plays, none of which is made."""
    flags = {name: np.zeros(n, dtype=bool) for name in ("made", "touch", "fair", "over_fence")}
    numbers = {name: np.full(n, np.nan) for name in ("exit_speed", "launch_angle", "spray_angle", "carry", "goes")}
    pairs = {name: np.full((n, 2), np.nan) for name in ("landing", "offset")}
    return {**flags, **numbers, **pairs, "kind": np.full(n, "", dtype="U14")}
