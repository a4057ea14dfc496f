"""The command of measured swings: what is printed, and what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from plane3d.cli import main
from plane3d.lesson import scenarios_folder

FOLDER = scenarios_folder()
SCENARIO = str(FOLDER / "01-one-inch-under.toml")
SWING = FOLDER / "measured" / "swing-right-240.csv"
ASKED = ["measure", SCENARIO, str(SWING), "--impact", "0.5"]
Capture = pytest.CaptureFixture[str]


def test_what_was_put_in_comes_out(capsys: Capture) -> None:
    truth = json.loads((SWING.parent / "truth.json").read_text(encoding="utf-8"))[SWING.name]
    assert main([*ASKED, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["figures"]
    for key in ("bat_speed_mph", "attack_angle_deg", "vertical_bat_angle_deg", "below_line_in"):
        name, _, unit = key.rpartition("_")
        assert found[f"{name}_low_{unit}"] <= truth[key] <= found[f"{name}_high_{unit}"], key


def test_words_in_both_languages(capsys: Capture) -> None:
    assert main(ASKED) == 0
    assert "attack angle" in capsys.readouterr().out
    assert main([*ASKED, "--language", "es", "--metric"]) == 0
    out = capsys.readouterr().out
    assert "ángulo de ataque" in out and " mph" not in out


def test_the_scenario_written_is_that_of_the_measured_swing(capsys: Capture, tmp_path: Path) -> None:
    written = tmp_path / "measured.toml"
    assert main([*ASKED, "--json", "-o", str(written)]) == 0
    below = json.loads(capsys.readouterr().out)["figures"]["below_line_in"]
    assert main(["solve", str(written), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["meeting"]["below_line_in"] == pytest.approx(below, abs=0.02)
    assert main(["spread", str(written), "--plays", "200", "--json"]) == 0
    assert main([*ASKED, "-o", str(tmp_path / "none" / "measured.toml")]) == 1
    assert "cannot be written" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (["measure", SCENARIO, str(FOLDER / "measured" / "swing-left-240.csv"), "--impact", "0.5"], "left-handed"),
        (["measure", SCENARIO, SCENARIO], "column time is missing"),
        ([*ASKED, "--axes", "first,first,up"], "must be three"),
        (["measure", str(FOLDER / "why-an-inch-matters.toml"), str(SWING)], "is a lesson"),
        (["measure", SCENARIO, "none.csv"], "there is no such file"),
    ],
)
def test_what_cannot_be_is_said(changed: list[str], said: str, capsys: Capture) -> None:
    assert main(changed) == 1
    out, err = capsys.readouterr()
    assert said in err and not out


def test_wrong_use(capsys: Capture) -> None:
    with pytest.raises(SystemExit) as caught:
        main([*ASKED, "--plate", "1,2"])
    assert caught.value.code == 2
    assert "three numbers" in capsys.readouterr().err
