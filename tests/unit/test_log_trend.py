"""What a hitter's figures did over time, against scipy, numpy, and truth that is known."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pytest
from scipy import stats

from plane3d.log import Figure, LogError, Swing
from plane3d.log.trend import MONTH, caution, compare, split, trend, with_error

NAME = "attack_angle_deg"
DAY = date(2026, 1, 5)


def swings(days: Sequence[float], values: Sequence[float], errors: Sequence[float] | None = None) -> list[Swing]:
    spread = [None] * len(days) if errors is None else errors
    return [
        Swing(DAY + timedelta(days=int(day)), {NAME: Figure(float(value), error)})
        for day, value, error in zip(days, values, spread, strict=True)
    ]


def test_one_swing_a_day_without_errors_is_the_ordinary_line_of_scipy() -> None:
    rng = np.random.default_rng(3)
    days = np.sort(rng.choice(90, 14, replace=False))
    values = 5 + 0.05 * days + rng.normal(0, 1.5, 14)
    found = trend(swings(days, values), NAME)
    known = stats.linregress(days, values)
    assert found.value == pytest.approx(known.slope * MONTH, rel=1e-9)
    assert found.error == pytest.approx(known.stderr * MONTH, rel=1e-6)
    half = stats.t.ppf(0.975, 12) * known.stderr * MONTH
    assert (found.high - found.low) / 2 == pytest.approx(half, rel=1e-6)
    at, error = found.at(DAY)
    assert at == pytest.approx(known.intercept, rel=1e-9)
    assert error == pytest.approx(known.intercept_stderr, rel=1e-6)


def test_stated_errors_that_explain_the_scatter_are_the_weights_of_numpy() -> None:
    rng = np.random.default_rng(4)
    days, errors = np.arange(0, 60, 5), rng.uniform(1.0, 4.0, 12)
    values = 8 + 0.03 * days + 0.3 * rng.normal(0, errors)  # less than stated: nothing is added
    found = trend(swings(days, values, errors), NAME)
    (slope, _), covariance = np.polyfit(days, values, 1, w=1 / errors, cov="unscaled")
    assert found.value == pytest.approx(slope * MONTH, rel=1e-9)
    assert found.error == pytest.approx(np.sqrt(covariance[0, 0]) * MONTH, rel=1e-9)
    assert found.swing_scatter == found.day_scatter == 0.0


def test_one_swing_a_day_before_and_after_is_the_ordinary_t_test_of_scipy() -> None:
    rng = np.random.default_rng(5)
    before, after = rng.normal(6, 2, 9), rng.normal(8, 2, 12)
    found = compare(swings(range(9), before), swings(range(20, 32), after), NAME)
    known = stats.ttest_ind(after, before)
    assert found.value == pytest.approx(after.mean() - before.mean(), rel=1e-9)
    assert found.value / found.error == pytest.approx(known.statistic, rel=1e-6)
    interval = known.confidence_interval(0.95)
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), rel=1e-6)
    assert (found.before, found.after) == pytest.approx((before.mean(), after.mean()))


@pytest.mark.parametrize("day_scatter", [0.0, 1.5])
def test_the_intervals_hold_the_truth_as_often_as_they_say(day_scatter: float) -> None:
    """Swings differ by 3 degrees within a day and by ``day_scatter`` between days; each is measured to 1.5 degrees."""
    rng = np.random.default_rng(6)
    held, held_change, tries = 0, 0, 300
    days = np.repeat(np.arange(0, 64, 8), 6)
    for _ in range(tries):
        own = rng.normal(0, day_scatter, 64)[days]
        values = 4 + 2.0 * days / MONTH + own + rng.normal(0, 3, len(days)) + rng.normal(0, 1.5, len(days))
        kept = swings(days, values, [1.5] * len(days))
        line = trend(kept, NAME)
        held += line.low <= 2.0 <= line.high
        still = swings(days, values - 2.0 * days / MONTH + 3.0 * (days >= 32), [1.5] * len(days))
        change = compare(*split(still, DAY + timedelta(days=32)), NAME)
        held_change += change.low <= 3.0 <= change.high
    assert 0.90 <= held / tries <= 0.99
    assert 0.90 <= held_change / tries <= 0.99


def test_days_that_differ_by_themselves_widen_the_error() -> None:
    """Ten swings on each of four days, close together on each: counting swings alone would call the change clear."""
    values = np.concatenate([mean + np.linspace(-0.1, 0.1, 10) for mean in (5.0, 9.0, 6.5, 9.5)])
    days = np.repeat([0, 10, 20, 30], 10)
    found = compare(*split(swings(days, values), DAY + timedelta(days=20)), NAME)
    assert found.value == pytest.approx(1.0) and not found.clear
    assert found.error > 1.0 > found.day_scatter / 3 and found.day_scatter > 10 * found.swing_scatter
    assert caution(found) == ""


def test_too_few_days_are_said() -> None:
    two = swings([0] * 10 + [30] * 10, [*np.linspace(4, 6, 10), *np.linspace(8, 10, 10)])
    line, change = trend(two, NAME), compare(*split(two, DAY + timedelta(days=1)), NAME)
    assert line.value == pytest.approx(4.0) and change.value == pytest.approx(4.0)
    assert "too few days" in caution(line) and "too few days" in caution(change)
    with pytest.raises(LogError, match="two days"):
        trend(two[:10], NAME)
    with pytest.raises(LogError, match="both sides"):
        compare([], two, NAME)
    with pytest.raises(LogError, match="charm"):
        trend(two, "charm")


def test_single_swings_and_equal_values_do_not_break_anything() -> None:
    pair = compare(swings([0], [5.0]), swings([1], [6.0]), NAME)
    assert pair.value == 1.0 and not pair.clear
    assert pair.sentence() == "There are too few swings to tell a change of attack angle from chance."
    same = trend(swings(range(6), [7.0] * 6), NAME)
    assert same.value == pytest.approx(0.0, abs=1e-9) and same.error < 1e-6
    exact = trend(swings([0, 0, 9, 9], [1.0, 1.0, 4.0, 4.0]), NAME)
    assert exact.value == pytest.approx(10.0)


def test_a_day_with_swings_on_both_sides_counts_for_both() -> None:
    found = compare(swings([0, 1, 2], [5, 6, 7]), swings([2, 3, 4], [8, 9, 10]), NAME)
    assert (found.before, found.after, found.value) == pytest.approx((6.0, 9.0, 3.0))


def test_sentences() -> None:
    rng = np.random.default_rng(8)
    days = np.repeat(np.arange(0, 70, 7), 5)
    up = trend(swings(days, 3 + 4.0 * days / MONTH + rng.normal(0, 1, 50)), NAME)
    assert up.sentence().startswith("Attack angle goes up by ") and up.sentence().endswith("50 swings on 10 days).")
    down = trend(swings(days, 3 - 4.0 * days / MONTH + rng.normal(0, 1, 50)), NAME)
    assert down.sentence().startswith("Attack angle goes down by 4")
    flat = trend(swings(days, rng.normal(0, 1, 50)), NAME)
    assert flat.sentence().startswith("No clear trend of attack angle: ")
    lower = compare(swings(days, rng.normal(9, 1, 50)), swings(days + 80, rng.normal(5, 1, 50)), NAME)
    assert " lower than before (100 swings on 20 days)." in lower.sentence()
    assert with_error("attack_angle_deg", 2.13, 0.84) == "2.13 ± 0.84°"
    assert with_error("bat_speed_mph", 2.1, 3.3) == "2.1 ± 3.3 mph"
    assert with_error("bat_speed_mph", 10.0, 10.0, metric=True) == "16 ± 16 km/h"
