"""The example files are those that the script makes, and give back the truth beside them."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

import numpy as np
import pytest

from plane3d.language import speaking
from plane3d.measured.measure import FIGURES, run, text
from plane3d.measured.pitches import read_pitches
from plane3d.measured.points import read_points
from plane3d.scenario import load
from tests.unit.test_wheel import ROOT

FOLDER = ROOT / "scenarios" / "measured"
TRUTH = json.loads((FOLDER / "truth.json").read_text(encoding="utf-8"))
SCENARIO = load(ROOT / "scenarios" / "01-one-inch-under.toml")


@pytest.mark.parametrize("name", sorted(TRUTH))
def test_an_example_gives_back_its_truth(name: str) -> None:
    scenario = SCENARIO.with_values({"hitter.bats": "left" if "left" in name else "right"})
    found = run(FOLDER / name, scenario, impact=TRUTH[name]["contact_s"])
    for key, (suffix, unit, _) in FIGURES.items():
        figure, true = found.figures[key], TRUTH[name][key + suffix] * unit
        slack = figure.half
        assert figure.low - slack <= true <= figure.high + slack, key
    said = text(found)
    assert ("not enough" in said) == ("-60." in name)
    assert text(found, metric=True) != said
    with speaking("es"):
        assert text(found)


def test_both_lists_of_pitches_open() -> None:
    base = SCENARIO.to_inputs()
    flights = read_pitches(FOLDER / "pitches-flight.csv")
    crossings = read_pitches(FOLDER / "pitches-speed-and-place.csv")
    for flight, crossing in zip(flights, crossings, strict=True):
        found, off = flight.ask(base)
        assert off < 0.02
        assert found.speed == pytest.approx(crossing.speed, rel=0.01)
        assert found.plate_side == pytest.approx(crossing.side, abs=0.01)


def test_the_script_makes_these_files(tmp_path: Path) -> None:
    made = runpy.run_path(str(ROOT / "docs" / "make_measured.py"))
    made["main"](tmp_path)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(p.name for p in FOLDER.iterdir())
    for path in tmp_path.glob("swing*.csv"):
        made_now, kept = read_points(path), read_points(FOLDER / path.name)
        assert np.allclose(made_now.tip, kept.tip, atol=2e-5) and np.allclose(made_now.times, kept.times, atol=2e-6)
