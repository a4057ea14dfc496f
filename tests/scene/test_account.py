"""The scene in words says what the answer says."""

from __future__ import annotations

import pytest

from plane3d.play import Play, play
from plane3d.report import read_map, sentence
from plane3d.scene.describe import describe
from plane3d.units import DEGREE, INCH
from tests.cases import inputs, mirrored


@pytest.fixture(scope="module")
def hit() -> Play:
    return play(inputs(below_line=INCH))


def test_it_tells_the_answer_and_the_places(hit: Play) -> None:
    words, result = describe(hit).account, hit.result
    assert words.startswith(sentence(result))
    assert "A right-handed hitter." in words
    assert f"{result.pitch.plate_height / INCH:.1f} in high, over the middle" in words
    assert f"falling at {result.pitch.descent_angle / DEGREE:.0f}°" in words
    assert f"They touch {result.meeting.depth / INCH:.1f} in in front of the plate" in words
    reading = read_map(hit)
    for end in (reading.from_depth, reading.to_depth):
        assert f"{abs(end) / INCH:.1f} in" in words


def test_it_speaks_of_the_side_the_hand_and_the_measure() -> None:
    left = describe(play(mirrored(inputs(plate_side=0.1)))).account
    assert "A left-handed hitter." in left
    assert "3.9 in toward third base" in left
    assert "3.9 in toward first base" in describe(play(inputs(plate_side=0.1))).account
    metric = describe(play(inputs()), metric=True).account
    assert " cm high" in metric
    assert " in high" not in metric
    deep = describe(play(inputs(contact_depth=-6 * INCH))).account
    assert "behind the plate's front edge" in deep


def test_a_miss_passes_and_a_window_may_be_missing() -> None:
    words = describe(play(inputs(below_line=4 * INCH))).account
    assert "They pass each other" in words
    assert "do not stay together" in words
