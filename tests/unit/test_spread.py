"""Scatter: full plays of one swing many times."""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import pairwise

import numpy as np
import pytest

from plane3d.errors import UnreachableError
from plane3d.lesson import scenarios_folder
from plane3d.play import play
from plane3d.plays import play_many
from plane3d.scenario import load
from plane3d.studies.contact_map import solid
from plane3d.studies.pieces import pieces, take
from plane3d.studies.spread import Scatter, best_ball, scattered, share, spread
from plane3d.units import DEGREE, INCH, MPH
from tests.cases import inputs

TYPICAL = Scatter(timing=0.008, height=0.7 * INCH, depth=2 * INCH, along=1.2 * INCH, bat_speed=2 * MPH)
MATCHED = inputs(attack_angle=8 * DEGREE, below_line=0.4 * INCH)


def named(name):
    return load(scenarios_folder() / f"{name}.toml").to_inputs()


def wider(scatter, factor):
    return Scatter(**{name: factor * value for name, value in vars(scatter).items()})


def test_no_scatter_gives_one_outcome():
    answers = spread(MATCHED, Scatter(), 50, seed=1)
    assert list(answers.shares()) == [play(MATCHED).result.outcome.kind]
    assert next(iter(answers.shares().values()))[0] == 1.0


def test_the_same_seed_gives_the_same_bytes():
    first, again, other = (spread(MATCHED, TYPICAL, 400, seed) for seed in (5, 5, 6))
    for field in fields(first):
        a, b = (np.asarray(getattr(one, field.name)) for one in (first, again))
        assert a.tobytes() == b.tobytes()
    assert first.exit_speed.tobytes() != other.exit_speed.tobytes()


@pytest.mark.parametrize("asked", [MATCHED, named("12-same-swing-higher-pitch")], ids=["aimed", "held"])
def test_shares_are_those_of_a_plain_loop_of_single_plays_exactly(asked):
    n = 60
    answers = spread(asked, TYPICAL, n, seed=3)
    draws = TYPICAL.draws(n, seed=3)
    kinds = []
    for i in range(n):
        one = play(scattered(asked, {name: d[i] for name, d in draws.items()})).result
        kinds.append(one.outcome.kind)
        if one.collision is not None:
            assert one.collision.exit_speed == pytest.approx(answers.exit_speed[i], abs=1e-9)
            assert one.flight.carry == pytest.approx(answers.carry[i], abs=1e-7)
    assert kinds == list(answers.kind)
    assert {kind: kinds.count(kind) / n for kind in set(kinds)} == {k: s for k, (s, _) in answers.shares().items()}


def test_pieces_do_not_change_the_answer():
    whole, small = (spread(MATCHED, TYPICAL, 300, seed=2, size=size) for size in (5000, 70))
    assert np.array_equal(whole.kind, small.kind)
    assert np.nanmax(np.abs(whole.carry - small.carry)) < 1e-7


def test_standard_errors_are_the_scatter_of_repeated_studies():
    """Law: the share of n independent plays scatters by sqrt(p (1 - p) / n)."""
    shares = spread(MATCHED, TYPICAL, 60 * 200, seed=0).fair.reshape(60, 200).mean(axis=1)
    stated = share(round(200 * float(np.mean(shares))), 200)[1]
    assert np.std(shares) == pytest.approx(stated, rel=0.35)  # 60 repetitions know their own scatter to 9 %


def test_a_share_of_none_or_all_still_has_an_error():
    assert share(0, 1000) == (0.0, pytest.approx(1 / 1002, rel=0.01))
    assert share(1000, 1000)[1] == pytest.approx(share(0, 1000)[1])


def test_timing_scatter_alone_costs_as_much_early_as_late():
    """Symmetric here: on average in the middle of the fair window of timing, whose ends are found to 0.02 ms.

    A level bat or a pitch without spin would not do: the bat gains speed until contact and loses it after, so no
    swing is its own mirror image in time, and early losses are more often misses and fouls back than pulled fouls.
    """
    grid = np.arange(-0.030, 0.030, 0.02e-3)
    fair = play_many(replace(MATCHED, swing=replace(MATCHED.swing, timing=grid))).fair
    inside = grid[fair]
    assert fair[fair.argmax() : len(fair) - fair[::-1].argmax()].all()  # unbroken
    middle = replace(MATCHED, swing=replace(MATCHED.swing, timing=float(inside[0] + inside[-1]) / 2))
    n, scatter = 20_000, Scatter(timing=0.014)
    answers, late = spread(middle, scatter, n, seed=3), scatter.draws(n, seed=3)["timing"] > 0
    lost = [np.mean(~answers.fair & side) for side in (~late, late)]
    assert min(lost) > 0.02
    assert abs(lost[0] - lost[1]) < 3 * np.sqrt(sum(lost) / n)


def test_more_scatter_never_makes_more_solid_contact():
    """For a swing whose own ball is solid, statistically: within two standard errors, and play by play on the same
    draws, of which hardly one turns solid by being doubled. (For a swing that misses, scatter can only help; below.)"""
    shares, flags = [], []
    asked = replace(MATCHED, swing=replace(MATCHED.swing, below_line=0.1 * INCH))
    assert spread(asked, Scatter(), 1, 0).solid.all()
    for factor in (0.25, 0.5, 1.0, 2.0, 4.0):
        answers = spread(asked, wider(TYPICAL, factor), 4000, seed=4)
        shares.append(answers.share_of(answers.solid))
        flags.append(answers.solid)
    for (less, error), (more, other) in pairwise(shares):
        assert more - less < 2 * np.hypot(error, other)
    assert shares[-1][0] < 0.5 * shares[0][0]
    for narrow, wide in pairwise(flags):
        assert np.mean(wide & ~narrow) < 0.01


def test_scatter_helps_who_never_hits_solidly():
    asked = named("02-four-inches-under")
    rates = [np.mean(spread(asked, wider(TYPICAL, factor), 3000, seed=4).solid) for factor in (0.0, 1.0, 3.0)]
    assert rates[0] == 0.0 < rates[2]


def test_solid_does_not_depend_on_how_many_plays_there_are():
    few, many = (spread(MATCHED, TYPICAL, n, seed=4) for n in (200, 2000))
    assert np.array_equal(few.solid, many.solid[:200])
    assert few.best == best_ball(MATCHED)
    # The best ball is about the best of the strip's plays for a swing at a good height.
    strip = play_many(replace(MATCHED, swing=replace(MATCHED.swing, timing=np.arange(-40, 41) * 1e-3)))
    assert few.best == pytest.approx(strip.exit_speed[solid(strip)].max(), rel=0.03)


def test_a_matched_swing_touches_more_than_one_with_a_deep_dip():
    """Fact of the trade (common practice, no source), from the model alone: scenarios 08 and 09 under one scatter."""
    shares = []
    for name in ("08-matched-swing", "09-steep-swing"):
        answers = spread(named(name), replace(TYPICAL, timing=0.012), 3000, seed=8)
        shares.append(answers.share_of(answers.touch))
    (flat, error), (steep, other) = shares
    assert flat - steep > 5 * np.hypot(error, other)


def test_a_study_can_be_stopped():
    told = []
    assert spread(MATCHED, TYPICAL, 500, 1, lambda done: told.append(done) or len(told) < 3, size=50) is None
    assert told == pytest.approx([0.1, 0.2, 0.3])


LOW = inputs(speed=40 * MPH, plate_height=6 * INCH, contact_depth=-10 * INCH)  # bounces a little deeper than this


def test_swings_that_cannot_be_made_are_left_out_and_counted():
    scatter = Scatter(depth=4 * INCH, timing=0.01)
    answers, draws = spread(LOW, scatter, 400, seed=1), scatter.draws(400, seed=1)
    assert 20 < np.sum(~answers.made) < 380
    for i in (*np.flatnonzero(~answers.made)[:5], *np.flatnonzero(answers.made)[:5]):
        one = scattered(LOW, {name: d[i] for name, d in draws.items()})
        if answers.made[i]:
            assert play(one).result.outcome.kind == answers.kind[i]
        else:
            with pytest.raises(UnreachableError):
                play(one)
    assert sum(s for s, _ in answers.shares().values()) == pytest.approx(1.0)
    assert "" not in answers.shares()
    assert not np.any(answers.touch & ~answers.made)


def test_a_pitch_that_cannot_be_thrown_is_an_error():
    with pytest.raises(UnreachableError):
        spread(inputs(speed=15 * MPH), TYPICAL, 10, seed=1)


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("contact_depth", np.array([6.0, -18.0, 6.0, 8.0, -18.0]) * INCH),  # the pitch bounces before it gets so deep
        ("attack_angle", np.array([8.0, 60.0, 5.0, 8.0, 70.0]) * DEGREE),  # no such swing with the bat tilted that much
        ("speed", np.array([40.0, 12.0, 45.0, 50.0, 5.0]) * MPH),  # too slow to reach the plate
    ],
)
def test_pieces_leave_out_exactly_what_cannot_be_made(name, values):
    asked = inputs(**{"speed": 40 * MPH, "plate_height": 6 * INCH, "vertical_bat_angle": 50 * DEGREE, name: values})
    made = [places.tolist() for places, plays in pieces(asked, 5) if plays is not None]
    assert made == [[0, 2, 3]]
    for i in range(5):
        alone = take(asked, np.array([i]))
        if i in made[0]:
            assert len(play_many(alone)) == 1
        else:
            with pytest.raises(UnreachableError):
                play_many(alone)


def test_nothing_that_can_be_made_is_nothing():
    assert [plays for _, plays in pieces(inputs(speed=np.full(3, 10 * MPH)), 3)] == [None]
