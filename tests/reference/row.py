"""One check against the outside, as data: what is compared, with whom, how far that is known, and what may differ.

The tests (test_rows.py) and the page (docs/accuracy.md, by ``python -m tests.accuracy``) are both made from rows.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

KNOWN = {
    "rule book": "official rule text",
    "read": "the number was read in the named text, often its abstract or first page",
    "as quoted": "another text quotes the named one, which was not seen",
    "from memory": "not looked up again; never a proof",
    "derived": "from other published numbers, or by a separate high-accuracy program with the same coefficients",
    "law": "an exact consequence of mechanics or geometry",
    "library": "computed by an independent general-purpose library from the same inputs",
    "common practice": "what the trade says; no source",
}

BASES = {
    "independent": "no number of the model was chosen to agree with this figure: agreement speaks for the model",
    "calibrated": "a number of the model was chosen with this figure in view: agreement was to be expected",
    "taken over": "the figure is itself a number of the model: the row shows that it is in force",
    "calculation": "the same equations solved another way: says that we calculate rightly, not that the world is so",
}

Published = float | tuple[float, float] | None

EXACT = 1e-9  # allowed where only the last bits of the arithmetic may differ


@dataclass(frozen=True)
class Row:
    """A check. Numbers are in ``unit``, or shares of the published value where ``share`` is set.

    published : the value; a band (low, high), open at an infinite end; or None where a library works out the same
        cases and ``ours`` is the largest difference from it
    ours : works out our value
    allowed : how far ours may be from the value (from the band, nothing)
    own : the source's own uncertainty: what it states, or the rounding of its last digit; None if it gives no hint
    why : why so much is allowed; needed where it is more than ``own``
    miss : why ours lies outside, where it does; such a row must lie outside, or the words are out of date
    needs : the library it cannot do without
    """

    what: str
    unit: str
    published: Published
    ours: Callable[[], Any]
    source: str
    known: str
    basis: str
    allowed: float = 0.0
    own: float | None = 0.0
    share: bool = False
    why: str = ""
    miss: str = ""
    needs: str = ""

    @property
    def value(self) -> float:
        """Ours, worked out once."""
        return _value(self.ours)

    @property
    def reach(self) -> float:
        """What is allowed, in the row's unit."""
        return self.allowed * abs(self.published) if self.share and isinstance(self.published, float) else self.allowed

    @property
    def difference(self) -> float:
        """Ours less the published value; from the nearer edge of a band, 0 inside it."""
        if self.published is None:
            return self.value
        low, high = self.published if isinstance(self.published, tuple) else (self.published, self.published)
        return min(self.value - low, 0.0) + max(self.value - high, 0.0)

    @property
    def holds(self) -> bool:
        return abs(self.difference) <= self.reach * (1 + 1e-9)

    @property
    def wider_than_source(self) -> bool:
        """Whether more is allowed than the source itself is sure of."""
        return self.allowed > 0 and (self.own is None or self.allowed > self.own * (1 + 1e-9))


@cache
def _value(ours: Callable[[], Any]) -> float:
    return float(ours())


def decimals(row: Row) -> int:
    """Places after the point that ours and the difference are shown with: two digits of what is allowed."""
    scale = row.reach
    if isinstance(row.published, tuple):
        ends = [abs(end) for end in row.published if math.isfinite(end)]
        scale = abs(row.published[1] - row.published[0]) if len(ends) == 2 else ends[0] / 20 or 0.1
    return min(max(1 - math.floor(math.log10(max(scale, 1e-3))), 0), 4)


def shown(value: float, places: int) -> str:
    """A number at so many places, with no zeros at its end and none with a sign."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def at_most(value: float) -> str:
    """A small difference rounded up to two digits."""
    if value <= 0:
        return "0"
    place = math.floor(math.log10(value)) - 1
    return shown(math.ceil(round(value / 10**place, 6)) * 10**place, max(-place, 0))
