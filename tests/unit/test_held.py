"""A held swing stays in space while the pitch moves; facts of the trade: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plane3d.inputs import Held
from plane3d.play import play
from plane3d.plays import play_many
from plane3d.studies.contact_map import road
from plane3d.units import DEGREE, FOOT, INCH, MPH
from tests.cases import inputs

SIDES = pytest.mark.parametrize("bats", ["right", "left"])


def held(asked):
    return replace(asked, held=Held(asked.pitch, asked.swing))


def with_pitch(asked, **changes):
    return replace(asked, pitch=replace(asked.pitch, **changes))


@SIDES
def test_holding_changes_nothing_until_something_moves(bats):
    asked = inputs(bats, below_line=0.5 * INCH, timing=0.003)
    aimed, kept = play(asked).result, play(held(asked)).result
    assert (kept.collision, kept.flight, kept.meeting) == (aimed.collision, aimed.flight, aimed.meeting)


@SIDES
def test_the_swing_stays_where_it_was(bats):
    asked = held(inputs(bats))
    before, after = play(asked), play(with_pitch(asked, plate_height=3.1 * FOOT, plate_side=3 * INCH))
    t = before.aim_time + np.linspace(-0.14, 0.05, 30)
    for was, now in zip(before.bat_at(t), after.bat_at(t), strict=True):
        assert np.array_equal(was, now)


@SIDES
def test_the_same_swing_misses_a_higher_pitch_and_a_flatter_bat_with_the_same_hands_reaches_it(bats):
    asked = held(inputs(bats, attack_angle=9 * DEGREE))
    high = with_pitch(asked, plate_height=3.1 * FOOT)
    missed = play(high).result
    assert (missed.outcome.kind, missed.meeting.miss) == ("miss", "under")
    flat = play(replace(high, swing=replace(high.swing, vertical_bat_angle=15 * DEGREE)))
    assert flat.result.meeting.touch
    hands = [play(x).hands_at(np.array([play(x).aim_time]))[0] for x in (asked, high)]
    hands.append(flat.hands_at(np.array([flat.aim_time]))[0])
    assert hands[1] == pytest.approx(hands[0])
    assert hands[2] == pytest.approx(hands[0])


@SIDES
def test_a_slower_pitch_is_met_early_by_a_held_swing(bats):
    asked = held(inputs(bats, attack_angle=8 * DEGREE))
    slower = play(with_pitch(asked, speed=asked.pitch.speed - 3 * MPH))
    assert slower.result.meeting.touch
    assert slower.result.meeting.depth > play(asked).result.meeting.depth + 4 * INCH


@SIDES
def test_an_early_release_goes_further_round(bats):
    """Opening the hinge early lengthens the way round."""
    around = [float(road(play_many(inputs(bats, release=r))).around[0]) for r in (0.05, 0.07, 0.09, 0.11, 0.13)]
    assert np.all(np.diff(around) > 0.2 * INCH)
    assert around[-1] > 1.5 * around[0]
