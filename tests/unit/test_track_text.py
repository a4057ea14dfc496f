"""The packed motion of a measured swing: the same motion again, and one sentence for anything else."""

from __future__ import annotations

import base64
import zlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from apps.link import decode, encode
from plane3d.errors import InputError
from plane3d.measured.measure import run
from plane3d.scenario import MOTION, Scenario, load, loads
from plane3d.track_text import MOST_LETTERS, packed, unpacked
from tests.unit.test_wheel import ROOT


@pytest.fixture(scope="module")
def measured() -> Scenario:
    scenario = load(ROOT / "scenarios" / "01-one-inch-under.toml")
    return run(ROOT / "scenarios" / "measured" / "swing-right-240.csv", scenario, impact=0.5).measured_scenario()


def test_the_same_motion_comes_back(measured: Scenario) -> None:
    text = measured.value(MOTION)
    track = unpacked(text)
    assert packed(track) == text
    s = np.linspace(track.start - 0.01, track.end + 0.01, 300)
    again = unpacked(packed(track))
    for one, other in zip(track.pose(s), again.pose(s), strict=True):
        np.testing.assert_allclose(one, other, atol=1e-6)


def test_files_and_links_keep_it(measured: Scenario) -> None:
    assert loads(measured.to_toml()) == measured
    assert decode(encode(measured)) == measured
    assert len(encode(measured)) < 4_000  # letters; an address may have 8,000


def test_what_is_damaged_is_said_in_one_sentence(measured: Scenario) -> None:
    text = str(measured.value(MOTION))
    for wrong in (text[:-9], text[:40], "", "1", "2" + text[1:], "1" + "A" * MOST_LETTERS, text[:50] + "B" + text[51:]):
        with pytest.raises(InputError, match="whole") as told:
            measured.with_values({MOTION: wrong})
        assert len(told.value.mistakes) == 1 and len(str(told.value)) < 300


def test_a_bomb_and_places_of_no_bat_are_refused() -> None:
    head = bytes(20)
    for data in (bytes(50_000_000), head, head + bytes(6 * 4 * 20)):
        with pytest.raises(ValueError):
            unpacked("1" + base64.urlsafe_b64encode(zlib.compress(data, 9)).decode("ascii"))


@given(st.text(max_size=300) | st.binary(max_size=300).map(lambda b: "1" + base64.urlsafe_b64encode(b).decode("ascii")))
def test_no_text_ends_in_a_fault(text: str) -> None:
    with pytest.raises(ValueError):
        unpacked(text)


def test_any_changed_letter_is_a_track_or_refused(measured: Scenario) -> None:
    text, rng = str(measured.value(MOTION)), np.random.default_rng(0)
    refused = 0
    for place in rng.integers(1, len(text), size=200):
        try:
            track = unpacked(text[:place] + ("A" if text[place] != "A" else "B") + text[place + 1 :])
        except ValueError:
            refused += 1
        else:
            assert np.isfinite(np.concatenate(track.pose(np.linspace(-1.0, 1.0, 50)))).all()
    assert refused > 190  # the sum at the end of what is packed finds nearly all


def test_a_hitter_of_the_other_side_has_the_built_swing(measured: Scenario) -> None:
    assert measured.is_measured
    assert not measured.with_values({"hitter.bats": "left"}).is_measured
