"""Two swings under the same scatter against the same pitches, play by play on the same draws."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.frames import Array
from plane3d.inputs import Inputs
from plane3d.studies.contact_map import TOLERANCE, contact_map, window
from plane3d.studies.pieces import pieces
from plane3d.studies.spread import Progress, Scatter, Spread, spread

Asked = Callable[[Spread], Array]  # which plays (n,) bool of a spread count


@dataclass(frozen=True)
class Share:
    """A share of each of two swings and of their difference (second less first), each with its standard error."""

    first: tuple[float, float]
    second: tuple[float, float]
    difference: tuple[float, float]


@dataclass(frozen=True)
class Versus:
    """Two swings against p pitches, n plays each: play j of pitch i has the same draws in both.

    first, second : a spread for each pitch, None where that swing cannot be made for it
    weight : (p,) how often each pitch comes; adds up to 1
    """

    first: tuple[Spread | None, ...]
    second: tuple[Spread | None, ...]
    weight: Array

    def share(self, asked: Asked, among: Sequence[int] | None = None) -> Share | None:
        """Shares over the pitches ``among`` (all by default) that both swings can be made for; None if none is left.

        The error of the difference is that of pairs: what both draws do alike does not blur it.
        """
        places = [i for i in (range(len(self.weight)) if among is None else among) if self.both(i) is not None]
        if not places:
            return None
        weight = self.weight[places] / self.weight[places].sum()
        rows = np.array([self._pairs(i, asked) for i in places])  # (k, 3, 2): first, second, difference
        value = weight @ rows[:, :, 0]
        error = np.sqrt(weight**2 @ rows[:, :, 1] ** 2)
        first, second, difference = zip(value.tolist(), error.tolist(), strict=True)
        return Share(first, second, difference)

    def both(self, i: int) -> tuple[Spread, Spread] | None:
        """The two spreads against a pitch; None unless both swings can be made for it."""
        first, second = self.first[i], self.second[i]
        if first is None or second is None or not np.any(first.made & second.made):
            return None
        return first, second

    def _pairs(self, i: int, asked: Asked) -> list[tuple[float, float]]:
        """First, second and difference against one pitch, with standard errors.

        Each of the four ways a pair can come out gets half a play more, which keeps errors honest where all agree.
        """
        pair = self.both(i)
        if pair is None:
            return []
        made = pair[0].made & pair[1].made
        a, b = (asked(one)[made] for one in pair)
        n = len(a)
        padded = np.array([np.sum(a & b), np.sum(a & ~b), np.sum(~a & b), np.sum(~a & ~b)]) + 0.5
        both, one, two, _ = padded / padded.sum()
        p, q, apart = both + one, both + two, two - one
        variances = (p * (1 - p), q * (1 - q), one + two - apart**2)
        means = (float(np.mean(a)), float(np.mean(b)), float(np.mean(b)) - float(np.mean(a)))
        return [(mean, float(np.sqrt(v / (n + 2)))) for mean, v in zip(means, variances, strict=True)]


def versus(
    first: Sequence[Inputs],
    second: Sequence[Inputs],
    weight: Array,
    scatter: Scatter,
    n: int,
    seed: int,
    progress: Progress | None = None,
) -> Versus | None:
    """n plays of each swing against each pitch; None where ``progress`` stopped it.

    first, second : the two swings, once for each pitch of the set in its order; weight : (p,) how often each comes
    """
    runs = 2 * len(first)

    def told(done: int) -> Progress | None:
        return progress and (lambda share: progress((done + share) / runs))

    found: tuple[list[Spread | None], list[Spread | None]] = ([], [])
    for i, pair in enumerate(zip(first, second, strict=True)):
        for side, inputs in enumerate(pair):
            try:
                answer = spread(inputs, scatter, n, (seed, i), told(2 * i + side))
            except UnreachableError:
                found[side].append(None)
                continue
            if answer is None:
                return None
            found[side].append(answer)
    return Versus(tuple(found[0]), tuple(found[1]), np.asarray(weight, dtype=float) / np.sum(weight))


def windows_by_height(inputs: Inputs, heights: Array, tolerance: float = TOLERANCE) -> tuple[Array, Array]:
    """Length of the contact window (k,) m, and (k,) s, with the pitch crossing the plate at heights (k,) m.

    NaN where the pitch or the swing cannot be made.
    """
    length, time = np.full(len(heights), np.nan), np.full(len(heights), np.nan)
    many = replace(inputs, pitch=replace(inputs.pitch, plate_height=heights))
    for places, plays in pieces(many, len(heights)):
        if plays is not None:
            found = window(contact_map(plays), tolerance)
            length[places], time[places] = found.length, found.length_time
    return length, time
