"""Scatter: full plays of one swing many times."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plane3d.play import play
from plane3d.studies.spread import Scatter, scattered, share, spread
from plane3d.units import DEGREE, INCH, MPH
from tests.cases import inputs

TYPICAL = Scatter(timing=0.008, height=0.7 * INCH, along=1.2 * INCH, bat_speed=2 * MPH)
MATCHED = inputs(attack_angle=8 * DEGREE, below_line=0.4 * INCH)


def test_no_scatter_gives_one_outcome():
    answers = spread(MATCHED, Scatter(), 50, seed=1)
    assert list(answers.shares()) == [play(MATCHED).result.outcome.kind]
    assert next(iter(answers.shares().values()))[0] == 1.0


def test_the_same_seed_gives_the_same_bytes():
    first, again, other = (spread(MATCHED, TYPICAL, 400, seed) for seed in (5, 5, 6))
    for name in ("kind", "exit_speed", "landing", "offset"):
        assert getattr(first, name).tobytes() == getattr(again, name).tobytes()
    assert first.exit_speed.tobytes() != other.exit_speed.tobytes()


def test_every_play_is_the_single_play_of_its_draw():
    n = 40
    answers = spread(MATCHED, TYPICAL, n, seed=3)
    draws = TYPICAL.draws(n, seed=3)
    for i in range(n):
        one = play(scattered(MATCHED, {name: d[i] for name, d in draws.items()})).result
        assert one.outcome.kind == answers.kind[i]
        if one.collision is not None:
            assert one.collision.exit_speed == pytest.approx(answers.exit_speed[i], abs=1e-9)
            assert one.flight.carry == pytest.approx(answers.carry[i], abs=1e-7)


def test_chunks_do_not_change_the_answer(monkeypatch):
    whole = spread(MATCHED, TYPICAL, 300, seed=2)
    monkeypatch.setattr("plane3d.studies.spread.CHUNK", 70)
    pieces = spread(MATCHED, TYPICAL, 300, seed=2)
    assert np.array_equal(whole.kind, pieces.kind)
    assert np.nanmax(np.abs(whole.carry - pieces.carry)) < 1e-7


def test_standard_errors_are_the_scatter_of_repeated_studies():
    """Law: the share of n independent plays scatters by sqrt(p (1 - p) / n)."""
    shares = [np.mean(spread(MATCHED, TYPICAL, 200, seed).fair) for seed in range(60)]
    stated = share(round(200 * float(np.mean(shares))), 200)[1]
    assert np.std(shares) == pytest.approx(stated, rel=0.35)  # 60 repetitions know their own scatter to 9 %


def test_more_scatter_never_makes_more_solid_contact():
    """Statistically: the share on the strip of solid hits falls as the scatter is widened."""
    shares = []
    best = spread(MATCHED, Scatter(), 1, 0).exit_speed.max()
    for factor in (0.5, 1.0, 2.0):
        wide = Scatter(*(factor * value for value in vars(TYPICAL).values()))
        answers = spread(MATCHED, wide, 1500, seed=4)
        shares.append(np.mean(answers.fair & (np.nan_to_num(answers.exit_speed) >= 0.9 * best)))
    assert np.all(np.diff(shares) < 0.03)


def test_a_matched_swing_touches_more_than_one_with_a_deep_dip():
    """Fact of the trade (common practice, no source); from the model alone."""
    deep = replace(MATCHED, swing=replace(MATCHED.swing, attack_angle=24 * DEGREE))
    wide = replace(TYPICAL, timing=0.012)
    touches = [np.mean(spread(asked, wide, 1500, seed=8).touch) for asked in (MATCHED, deep)]
    assert touches[0] > touches[1] + 0.05


def test_a_study_can_be_stopped(monkeypatch):
    monkeypatch.setattr("plane3d.studies.spread.CHUNK", 50)
    told = []
    assert spread(MATCHED, TYPICAL, 500, 1, lambda done: told.append(done) or len(told) < 3) is None
    assert told == pytest.approx([0.1, 0.2, 0.3])
