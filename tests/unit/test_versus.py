"""Two swings under the same scatter against the same pitches."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from plane3d.lesson import scenarios_folder
from plane3d.pitch_set import PitchSet, SetPitch, against, complete, load_pitch_set, nine_places
from plane3d.scenario import load, loads
from plane3d.studies.spread import Scatter, spread
from plane3d.studies.versus import versus
from plane3d.study import versus as study
from plane3d.study.scatter import scatter
from plane3d.units import INCH
from tests.cases import inputs

FOLDER = scenarios_folder()
MIXED = load_pitch_set(FOLDER / "pitches" / "mixed.toml")
TYPICAL = Scatter(timing=0.008, height=0.7 * INCH, along=1.2 * INCH)
SOLID = study.FLAGS["solid"][1]


@pytest.fixture(scope="module")
def swings():
    return load(FOLDER / "08-matched-swing.toml"), load(FOLDER / "09-steep-swing.toml")


@pytest.fixture(scope="module")
def found(swings):
    return study.run(*swings, plays=400)


def test_a_swing_against_itself_differs_nowhere():
    asked = [inputs(plate_height=h) for h in (0.7, 0.9)]
    found = versus(asked, asked, np.ones(2), TYPICAL, 200, seed=1)
    share = found.share(SOLID)
    assert share.first[0] == share.second[0]
    assert share.difference[0] == 0.0
    assert 0 < share.difference[1] < 0.3 * share.first[1]  # pairs: what both do alike blurs nothing


def test_both_swings_have_the_same_draws():
    """Every spread is that of `spread` with the pitch's own seed, whoever swings."""
    first, second = [inputs(plate_height=0.7)], [inputs(plate_height=0.7, below_line=0.02)]
    found = versus(first, second, np.ones(1), TYPICAL, 150, seed=4)
    for side, asked in ((found.first, first), (found.second, second)):
        assert np.array_equal(side[0].kind, spread(asked[0], TYPICAL, 150, (4, 0)).kind)


def test_weights_are_how_often_a_pitch_comes():
    asked = [inputs(plate_height=0.7), inputs(plate_height=0.9, below_line=0.05)]
    found = versus(asked, asked, np.array([3.0, 1.0]), TYPICAL, 300, seed=2)
    alone = [found.share(SOLID, [i]).first[0] for i in (0, 1)]
    assert found.share(SOLID).first[0] == pytest.approx(0.75 * alone[0] + 0.25 * alone[1])


def test_the_error_of_a_difference_is_the_scatter_of_repeated_comparisons():
    """Law: independent repetitions scatter by the standard error; pairs of the same draws included."""
    first, second = [inputs(below_line=0.5 * INCH)], [inputs(below_line=0.9 * INCH)]
    shares = [versus(first, second, np.ones(1), TYPICAL, 150, seed).share(SOLID) for seed in range(30)]
    stated = np.mean([share.difference[1] for share in shares])
    assert np.std([share.difference[0] for share in shares]) == pytest.approx(stated, rel=0.35)  # 30 know it to 13 %
    unpaired = np.mean([np.hypot(share.first[1], share.second[1]) for share in shares])
    assert stated < unpaired  # what pairing is for


def test_the_matched_swing_is_solid_and_touches_more_often(found):
    for flag in ("solid", "touch"):
        value, error = found.versus.share(study.FLAGS[flag][1]).difference
        assert value < -5 * error
    assert study.headline(found).startswith("The first is solid more often")


def test_the_matched_swing_has_the_longer_window_at_every_height(found):
    (flat, _), (steep, _) = found.windows
    assert np.all(flat > 2 * steep)
    assert np.all(np.diff(found.heights) > 0)


def test_a_held_swing_covers_only_its_own_place(swings):
    held = study.run(*swings, held=True, plays=60)
    solid = [share.first[0] for share in study.by_pitch(held, "solid")]
    assert int(np.argmax(solid)) == 4  # the middle of nine
    assert sum(share > 0.1 for share in solid) == 1
    length = held.windows[0][0]
    assert np.sum(length > 0) < len(length)
    assert study.HELD in study.text(held)


def test_held_and_aimed_scenarios(swings):
    scenario = swings[0]
    (pitch,) = complete(PitchSet("x", (SetPitch({"plate_height_in": 36.0}),)), scenario)
    aimed, held = (against(scenario, pitch, on) for on in (False, True))
    assert not aimed.is_held
    assert aimed.pitch.plate_height_in == held.pitch.plate_height_in == 36.0
    assert held.held.plate_height_in == scenario.pitch.plate_height_in
    again = against(held, pitch | {"plate_height_in": 20.0}, True)  # held already: it stays where it was
    assert again.held.plate_height_in == scenario.pitch.plate_height_in
    assert not against(held, pitch, False).is_held


def test_both_face_exactly_the_same_pitches(swings):
    small = loads('format = 1\ntitle = "x"\n[setting]\nlevel = "under-12"\n[hitter]\nbats = "left"\n')
    for numbers in complete(MIXED, swings[0]):
        first, second = (against(one, numbers, False).to_inputs().pitch for one in (swings[0], small))
        assert first == second


def test_inside_for_one_is_outside_for_the_other(swings):
    lefty = swings[1].with_values({"hitter.bats": "left"})
    found = study.run(swings[0], lefty, plays=20)
    assert found.zone(0, 0) == ("high", "inside")
    assert found.zone(0, 1) == ("high", "outside")
    assert "own zone" in study.text(found)


def test_nine_places_are_the_middles_of_nine_zones(swings):
    found = study.run(*swings, plays=1)
    assert len({found.zone(i, 0) for i in range(9)}) == 9
    assert [pitch.given["plate_side_in"] for pitch in nine_places(swings[0]).pitches][:3] == pytest.approx(
        [-17 / 3, 0, 17 / 3]
    )


def test_a_pitch_that_cannot_be_met_is_said_and_left_out(swings):
    first = swings[0].with_values({"swing.contact_depth_in": -18.0})
    drops = PitchSet("x", (SetPitch({"speed_mph": 80.0}), SetPitch({"speed_mph": 25.0, "plate_height_in": 8.0})))
    found = study.run(first, first, drops, plays=30, asked=replace(scatter("high-school"), depth_in=0.0))
    assert study.by_pitch(found, "solid")[1] is None
    assert "cannot be met" in study.text(found)
    assert study.block(found)["by_pitch"][1]["solid"] is None


def test_json_is_plain_and_repeats(swings):
    few = replace(MIXED, pitches=MIXED.pitches[:2])
    blocks = [json.dumps(study.block(study.run(*swings, few, plays=50, seed=s)), allow_nan=False) for s in (3, 3, 4)]
    assert blocks[0] == blocks[1] != blocks[2]
    block = json.loads(blocks[0])
    assert block["seed"] == 3
    assert [row["count"] for row in block["by_pitch"]] == [pitch.count for pitch in few.pitches]
    for share in block["shares"].values():
        assert share["difference"]["share"] == pytest.approx(
            share["second"]["share"] - share["first"]["share"], abs=2e-6
        )


def test_it_can_be_stopped(swings):
    told = []
    assert study.run(*swings, plays=20, progress=lambda done: told.append(done) or len(told) < 4) is None
    assert told == pytest.approx(np.arange(1, 5) / 18)
