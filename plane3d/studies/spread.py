"""The hitter is not a machine: the same swing thousands of times with scatter, as full plays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from plane3d.frames import Array
from plane3d.inputs import Inputs
from plane3d.plays import Plays, play_many

CHUNK = 5000  # plays at once; bounds the memory of a long study
SWING_FIELDS = {
    "timing": "timing",
    "height": "below_line",
    "depth": "contact_depth",
    "along": "along_barrel",
    "bat_speed": "bat_speed",
}


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

    def draws(self, n: int, seed: int) -> dict[str, Array]:
        """Deviations (n,) by name. Each name has its own stream, so one scatter does not disturb another's draws."""
        streams = np.random.SeedSequence(seed).spawn(len(fields(self)))
        return {
            f.name: np.random.default_rng(stream).normal(0.0, 1.0, n) * getattr(self, f.name)
            for f, stream in zip(fields(self), streams, strict=True)
        }


@dataclass(frozen=True)
class Spread:
    """Answers of n plays; arrays (n,), SI. Off-the-bat values are NaN for misses.

    kind : outcome kinds; fair, over_fence, touch : bool
    exit_speed, launch_angle, spray_angle, carry : of the hit; landing : (n, 2) toward first base and centre field
    offset : (n, 2) m, ball against the barrel where they met or passed: along the barrel, and below the line
    seed : of the draws
    """

    kind: Array
    touch: Array
    fair: Array
    over_fence: Array
    exit_speed: Array
    launch_angle: Array
    spray_angle: Array
    carry: Array
    landing: Array
    offset: Array
    seed: int

    def __len__(self) -> int:
        return len(self.kind)

    def shares(self) -> dict[str, tuple[float, float]]:
        """Share of each outcome kind that came up and its standard error, commonest first."""
        names, counts = np.unique(self.kind, return_counts=True)
        order = np.argsort(-counts, kind="stable")
        return {str(names[i]): share(int(counts[i]), len(self)) for i in order}

    def solid(self, share_of_best: float = 0.9) -> Array:
        """(n,) bool: fair, and exit speed at least this share of the best fair one."""
        speed = np.where(self.fair, np.nan_to_num(self.exit_speed), 0.0)
        return self.fair & (speed >= share_of_best * speed.max(initial=0.0))


def share(count: int, n: int) -> tuple[float, float]:
    """A share and its standard error. Laplace's estimate keeps the error honest for shares of 0 and 1."""
    p = (count + 1) / (n + 2)
    return count / n, float(np.sqrt(p * (1 - p) / (n + 2)))


def scattered(inputs: Inputs, deviations: dict[str, Array]) -> Inputs:
    """The inputs with these deviations (n,) added to the swing."""
    swing = inputs.swing
    # A bat speed cannot fall to nothing, however wide the scatter.
    changed = {SWING_FIELDS[name]: getattr(swing, SWING_FIELDS[name]) + d for name, d in deviations.items()}
    changed["bat_speed"] = np.maximum(changed["bat_speed"], 0.3 * np.asarray(swing.bat_speed))
    return replace(inputs, swing=replace(swing, **changed))


def spread(
    inputs: Inputs, scatter: Scatter, n: int, seed: int, progress: Callable[[float], bool] | None = None
) -> Spread | None:
    """n full plays of one scattered swing.

    progress : told the share done after each chunk; returning False stops the study, and None is returned
    """
    deviations = scatter.draws(n, seed)
    parts: list[dict[str, Array]] = []
    for start in range(0, n, CHUNK):
        piece = {name: d[start : start + CHUNK] for name, d in deviations.items()}
        parts.append(_answers(play_many(scattered(inputs, piece))))
        if progress and not progress(min(start + CHUNK, n) / n):
            return None
    return Spread(**{name: np.concatenate([part[name] for part in parts]) for name in parts[0]}, seed=seed)


def _answers(plays: Plays) -> dict[str, Array]:
    hit = plays.meeting.touch
    _, below, along = plays.met
    return {
        "kind": plays.kind,
        "touch": hit,
        "fair": plays.fair,
        "over_fence": plays.batted.over_fence,
        "exit_speed": np.where(hit, plays.exit_speed, np.nan),
        "launch_angle": np.where(hit, plays.launch_angle, np.nan),
        "spray_angle": np.where(hit, plays.spray_angle, np.nan),
        "carry": np.hypot(plays.batted.x[:, 0], plays.batted.x[:, 1]),
        "landing": plays.batted.x[:, :2],
        "offset": np.stack([along, below], axis=-1),
    }
