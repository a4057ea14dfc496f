"""The studies in coach units: ranges, JSON, text, and the language they are said in."""

from __future__ import annotations

import json
import math
import re

import numpy as np
import pytest

from plane3d import language, words
from plane3d.errors import InputError
from plane3d.lesson import scenarios_folder
from plane3d.levels import LEVELS
from plane3d.pitch_set import PitchSet, SetPitch
from plane3d.play import play
from plane3d.report import report
from plane3d.scenario import load, loads
from plane3d.study import remedy, spread, target, versus
from plane3d.study.scatter import QUANTITIES, Scatter, scatter
from plane3d.typical import TYPICAL
from plane3d.units import INCH, MPH

MATCHED = load(scenarios_folder() / "08-matched-swing.toml")
NONE = Scatter(0.0, 0.0, 0.0, 0.0, 0.0)


def level(name, swing=""):
    return loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{name}"\n[swing]\n{swing}\n')


@pytest.mark.parametrize("name", LEVELS)
def test_typical_scatter_is_in_range(name):
    start = scatter(name)
    assert start.is_typical(name)
    for key, quantity in QUANTITIES.items():
        assert quantity.low <= getattr(start, key) <= quantity.high
        assert getattr(start, key) == getattr(TYPICAL[name], key)


def test_scatter_in_si():
    si = Scatter(10.0, 1.0, 2.0, 3.0, 4.0).to_si()
    assert (si.timing, si.height, si.depth, si.along) == pytest.approx((0.010, INCH, 2 * INCH, 3 * INCH))
    assert si.bat_speed == pytest.approx(4 * MPH)


def test_given_scatter_is_laid_over_the_typical():
    mine = scatter("college", {"timing_ms": 3})
    assert mine.timing_ms == 3.0
    assert mine.height_in == TYPICAL["college"].height_in
    assert not mine.is_typical("college")


@pytest.mark.parametrize("value", [-1, 41, math.nan, math.inf, "3", True, None])
def test_scatter_out_of_range_is_one_sentence(value):
    with pytest.raises(InputError, match=r"input: scatter.timing_ms = .* must be a number from 0 to 40 ms"):
        scatter("college", {"timing_ms": value})


def test_an_unknown_scatter_is_told_with_what_may_be_meant():
    with pytest.raises(
        InputError, match=r"scatter.timming_ms = 3 is not a known key; did you mean scatter.timing_ms\?"
    ):
        scatter("college", {"timming_ms": 3})


def test_spread_in_json():
    found = spread.run(MATCHED, plays=600, seed=7)
    block = json.loads(json.dumps(spread.block(found, points=100), allow_nan=False))
    assert block["plays"] == 600
    assert block["seed"] == 7
    assert sum(part["share"] for part in block["shares"].values()) == pytest.approx(1.0, abs=1e-5)
    assert block["touch"]["share"] == pytest.approx(1 - block["shares"].get("miss", {"share": 0})["share"], abs=1e-6)
    assert sum(part["share"] for part in block["sides"].values()) == pytest.approx(block["fair"]["share"], abs=2e-6)
    assert {len(column) for column in block["points"].values()} == {100}
    assert block["scatter"]["typical"] is True
    kinds = block["points"]["kind"]
    landed = [place is not None for place in block["points"]["landing_out_ft"]]
    assert landed == [kind != "miss" for kind in kinds]
    assert None not in block["points"]["below_line_in"]


def test_spread_agrees_with_the_answer_of_a_single_play():
    block = spread.block(spread.run(MATCHED, NONE, plays=5))
    assert list(block["shares"]) == ["line-drive"]
    assert block["exit_speed"]["median_mph"] == block["exit_speed"]["best_mph"]
    one = report(play(MATCHED.to_inputs()).result)
    assert block["exit_speed"]["best_mph"] == pytest.approx(one["collision"]["exit_speed_mph"], abs=0.01)
    assert block["carry"]["longest_ft"] == pytest.approx(one["flight"]["carry_ft"], abs=0.1)
    assert block["points"]["below_line_in"][0] == pytest.approx(one["meeting"]["below_line_in"], abs=0.01)
    assert block["points"]["along_barrel_in"][0] == pytest.approx(one["meeting"]["along_barrel_in"], abs=0.01)


def test_spread_without_a_fair_ball():
    found = spread.run(load(scenarios_folder() / "02-four-inches-under.toml"), NONE, plays=20)
    block = spread.block(found)
    assert block["exit_speed"]["median_mph"] is None
    assert block["carry"]["longest_ft"] is None
    assert block["shares"] == {"miss": {"share": 1.0, "error": pytest.approx(0.04, abs=0.02)}}
    assert "most often a miss" in spread.text(found)


def test_spread_in_words():
    text = spread.text(spread.run(MATCHED, plays=300, seed=5))
    assert "Seed 5" in text
    assert "our own choice, not a measurement" in text
    assert "A model's answer, not a measurement" in text
    metric = spread.text(spread.run(MATCHED, plays=300, seed=5), metric=True)
    assert "km/h" in metric
    assert "mph" not in metric


def test_solid_in_words_is_what_the_study_uses():
    assert words.show("_mph", 86.0) == "86 mph"
    found = spread.run(MATCHED, plays=200)
    speed = spread.block(found)["exit_speed"]["solid_from_mph"]
    assert f"at least {speed:.0f} mph" in spread.text(found)
    assert np.all(found.spread.exit_speed[found.spread.solid] / MPH >= speed - 0.01)


def test_target_in_json_and_words():
    found = target.run(MATCHED)
    block = json.loads(json.dumps(target.block(found), allow_nan=False))
    rows, columns = len(block["launch_angle_deg"]), len(block["spray_angle_deg"])
    for name in ("safe", "out", "over", "carry_ft"):
        assert [len(row) for row in block["chart"][name]] == [columns] * rows
    assert block["band"]["from_deg"] <= block["band"]["best_deg"] <= block["band"]["to_deg"]
    assert block["sentence"] == target.headline(found)
    text = target.text(found)
    stars = [line for line in text.splitlines() if line.startswith("  * ")]
    assert stars
    assert "not a measurement" in text


def test_who_is_told_what():
    """Common practice, no source: liners for a slow bat, lifting for a strong one."""
    small, strong = target.run(level("under-12")), target.run(level("professional", "bat_speed_mph = 80"))
    assert target.kinds(small)[0] == "line-drive"
    assert "fly-ball" not in target.kinds(small)
    assert target.band(strong)[1] > 25.0
    assert "0 % over the fence" in target.why(small)


def test_every_word_can_be_said_in_another_language(monkeypatch):
    """With every letter of every message blotted out, no word is left."""

    def blotted(spoken, message, context=""):
        return message if spoken == "en" else re.sub(r"(\{\w+\})|[^\W\d_]", lambda m: m[1] or "·", message)

    pitches = PitchSet("Two", (SetPitch({"plate_height_in": 30.0}), SetPitch({}, 1, "Low")))
    monkeypatch.setattr(language, "_said", blotted)
    with language.speaking("es"):
        texts = [
            spread.text(spread.run(MATCHED, plays=50)),
            target.text(target.run(MATCHED)),
            remedy.text(remedy.run(MATCHED, remedy.goal("fly-ball,over-fence", "pull"))),
            versus.text(versus.run(MATCHED, MATCHED, pitches, plays=5)),
        ]
    for text in texts:
        assert set(re.findall(r"[^\W\d_]+", text)) <= {"mph", "ms"}, text  # the same in every language
