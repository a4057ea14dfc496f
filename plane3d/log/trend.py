"""What a hitter's figures did over time: a straight line through the days, and before against after.

A figure differs from swing to swing, and from day to day, by more than what measuring it leaves open. Both of these
scatters are found from the swings themselves and counted with the stated uncertainty of each swing: first the swings of
each day are brought to one mean, then the line, or the two means, are fitted to the days. The scatter is the one that
makes the weighted sum of squares what it should be (Paule and Mandel, J. Res. Natl. Bur. Stand. 87, 377 (1982), from
memory). With no stated uncertainties and one swing a day this is the ordinary straight line and the ordinary t-test.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite

import numpy as np
from scipy.optimize import brentq
from scipy.special import stdtrit

from plane3d.frames import Array
from plane3d.language import tr
from plane3d.log.said import with_error
from plane3d.log.values import FIGURES, LogError, Swing

COVERAGE = 0.95
MONTH = 30.0  # days


@dataclass(frozen=True)
class Change:
    """A change of a figure, in its coach unit, with its error.

    value : the change; a month for a trend, after less before for a comparison
    error : its standard error; low, high : ends of the interval that holds the true change 95 times of 100
    swings, days : how many it rests on; of_days : False where there were too few days to see how one day differs from
        another: that is then not in the error
    swing_scatter, day_scatter : standard deviations found, from swing to swing and from day to day
    """

    name: str
    value: float
    error: float
    low: float
    high: float
    swings: int
    days: int
    of_days: bool
    swing_scatter: float
    day_scatter: float

    @property
    def clear(self) -> bool:
        """Whether the interval leaves zero out."""
        return self.low > 0 or self.high < 0


@dataclass(frozen=True)
class Trend(Change):
    """A straight line: the change a month, and the line itself.

    middle : date number (days) at which the line has the value ``level``, with the standard error ``level_error``,
        independent of that of the slope
    """

    middle: float = 0.0
    level: float = 0.0
    level_error: float = 0.0

    def at(self, day: date | float) -> tuple[float, float]:
        """The line on a day (or a date number), and its standard error."""
        months = ((day.toordinal() if isinstance(day, date) else day) - self.middle) / MONTH
        return self.level + months * self.value, float(np.hypot(self.level_error, months * self.error))

    def sentence(self, metric: bool = False) -> str:
        """The trend in words."""
        told = _told(self, metric)
        if not isfinite(self.high):
            return tr("There are too few swings to tell a change of {figure} from chance.", **told)
        if not self.clear:
            return tr("No clear trend of {figure}: {change} a month ({swings} swings on {days} days).", **told)
        if self.value > 0:
            return tr("{figure} goes up by {size} a month ({swings} swings on {days} days).", **told)
        return tr("{figure} goes down by {size} a month ({swings} swings on {days} days).", **told)


@dataclass(frozen=True)
class Comparison(Change):
    """Before against after: the two means, each with its standard error, and their difference."""

    before: float = 0.0
    before_error: float = 0.0
    after: float = 0.0
    after_error: float = 0.0

    def sentence(self, metric: bool = False) -> str:
        """The difference in words."""
        told = _told(self, metric)
        if not isfinite(self.high):
            return tr("There are too few swings to tell a change of {figure} from chance.", **told)
        if not self.clear:
            return tr("No clear difference in {figure}: {change} ({swings} swings on {days} days).", **told)
        if self.value > 0:
            return tr("{figure} is {size} higher than before ({swings} swings on {days} days).", **told)
        return tr("{figure} is {size} lower than before ({swings} swings on {days} days).", **told)


def _told(change: Change, metric: bool) -> dict[str, object]:
    label = tr(FIGURES[change.name])
    return {
        "figure": label[:1].upper() + label[1:] if change.clear else label,
        "size": with_error(change.name, abs(change.value), change.error, metric),
        "change": with_error(change.name, change.value, change.error, metric),
        "swings": change.swings,
        "days": change.days,
    }


def caution(change: Change) -> str:
    """What the error leaves out; empty where it leaves nothing out."""
    if change.of_days:
        return ""
    return tr(
        "There are too few days to see how one day differs from another by itself; the error counts only how "
        "swings differ within a day, and is too small."
    )  # fmt: skip


def trend(swings: Sequence[Swing], name: str) -> Trend:
    """The straight line through a figure of swings of at least two days. Raises LogError where there are fewer."""
    days, values, variances = _series(swings, name)
    if len(np.unique(days)) < 2:
        raise LogError(tr("A trend of the {figure} needs swings of two days or more.", figure=tr(FIGURES[name])))
    by_day = _by_day(days, values, variances)
    start = float(by_day.days.mean())
    line = by_day.fit(np.stack([np.ones(len(by_day.days)), (by_day.days - start) / MONTH], axis=1))
    (level, value), ((a, both), (_, b)) = line.values, line.covariance
    away = -both / b  # months from the start to where errors of level and slope are independent
    common = _change(name, float(value), float(np.sqrt(b)), by_day, line)
    level_error = float(np.sqrt(a - both**2 / b))
    return Trend(*common, start + MONTH * float(away), float(level + away * value), level_error)


def compare(before: Sequence[Swing], after: Sequence[Swing], name: str) -> Comparison:
    """A figure of some swings against that of others. Raises LogError where one side has none."""
    parts = [_series(side, name) for side in (before, after)]
    if not all(len(part[0]) for part in parts):
        raise LogError(tr("A comparison needs swings with the {figure} on both sides.", figure=tr(FIGURES[name])))
    days, values, variances = (np.concatenate(pair) for pair in zip(*parts, strict=True))
    side = np.repeat([0, 1], [len(part[0]) for part in parts])
    by_day = _by_day(2.0 * days + side, values, variances)  # a day that has both gives one mean to each
    is_after = np.mod(by_day.days, 2.0)
    means = by_day.fit(np.stack([1.0 - is_after, is_after], axis=1))
    one, two = np.sqrt(np.diag(means.covariance))
    value = float(means.values[1] - means.values[0])
    common = _change(name, value, float(np.hypot(one, two)), by_day, means)
    return Comparison(*common, float(means.values[0]), float(one), float(means.values[1]), float(two))


def split(swings: Sequence[Swing], day: date) -> tuple[list[Swing], list[Swing]]:
    """Swings before a day, and from that day on."""
    return [swing for swing in swings if swing.day < day], [swing for swing in swings if swing.day >= day]


@dataclass(frozen=True)
class _Fit:
    """Weighted least squares: values (p,), their covariance (p, p) or its diagonal alone, the variance found beside the
    stated ones, and what is left over: how many more numbers there are than were fitted."""

    values: Array
    covariance: Array
    scatter: float
    left: int


@dataclass(frozen=True)
class _Days:
    """Means of days: days, means and their variances, all (d,), and the fit they come from."""

    days: Array
    means: Array
    variances: Array
    swings: int
    within: _Fit

    def fit(self, design: Array) -> _Fit:
        """The means by a design (d, p)."""

        def solve(weights: Array) -> tuple[Array, Array, Array]:
            covariance = np.linalg.inv((design.T * weights) @ design)
            fitted = covariance @ (design.T @ (weights * self.means))
            return fitted, covariance, design @ fitted

        return _fit(solve, self.means, self.variances, design.shape[1])


def _series(swings: Sequence[Swing], name: str) -> tuple[Array, Array, Array]:
    """Date numbers, values and variances (n,) of the swings that have the figure."""
    if name not in FIGURES:
        raise LogError(tr('The log has no figure called "{given}".', given=name))
    having = [(swing.day.toordinal(), swing.figures[name]) for swing in swings if name in swing.figures]
    rows = [(day, figure.value, (figure.uncertainty or 0.0) ** 2) for day, figure in having]
    table = np.array(rows, dtype=float).reshape(-1, 3)
    return table[:, 0], table[:, 1], table[:, 2]


def _by_day(days: Array, values: Array, variances: Array) -> _Days:
    distinct, which = np.unique(days, return_inverse=True)

    def solve(weights: Array) -> tuple[Array, Array, Array]:
        total = np.bincount(which, weights)
        means = np.bincount(which, weights * values) / total
        return means, 1.0 / total, means[which]

    within = _fit(solve, values, variances, len(distinct))
    return _Days(distinct, within.values, within.covariance, len(values), within)


def _fit(solve: Callable[[Array], tuple[Array, Array, Array]], values: Array, variances: Array, numbers: int) -> _Fit:
    """Fit values (n,), with as much scatter beside the stated variances (n,) as the fit leaves.

    solve : from weights (n,), the numbers fitted, their covariance, and the values (n,) they give
    numbers : how many are fitted
    """
    left = len(values) - numbers
    least = (1e-9 * float(np.abs(values).max(initial=0.0)) + 1e-12) ** 2  # what is not given a variance still has one

    def at(scatter: float) -> tuple[Array, Array, float]:
        weights = 1.0 / np.maximum(variances + scatter, least)
        fitted, covariance, given = solve(weights)
        return fitted, covariance, float(weights @ (values - given) ** 2)

    scatter = 0.0
    if left > 0 and at(0.0)[2] > left:
        most = float(np.sum((values - solve(1.0 / np.maximum(variances, least))[2]) ** 2)) + least  # more than there is
        scatter = float(brentq(lambda s: at(s)[2] - left, 0.0, most, rtol=1e-12, xtol=1e-30))
    fitted, covariance, _ = at(scatter)
    return _Fit(fitted, covariance, scatter, left)


def _change(
    name: str, value: float, error: float, by_day: _Days, fit: _Fit
) -> tuple[str, float, float, float, float, int, int, bool, float, float]:
    left = fit.left or by_day.within.left
    reach = error * float(stdtrit(left, (1 + COVERAGE) / 2)) if left else float("inf")
    scatters = float(np.sqrt(by_day.within.scatter)), float(np.sqrt(fit.scatter))
    return name, value, error, value - reach, value + reach, by_day.swings, len(by_day.days), fit.left > 0, *scatters
