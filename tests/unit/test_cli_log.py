"""The command of the hitters' log: what is printed, what is asked first, and what is refused."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from pathlib import Path

import pytest

from plane3d.cli import main
from plane3d.log import Figure, Hitter, Log, Swing
from plane3d.log.csv_text import csv_text
from plane3d.log.trend import compare, split, trend

Capture = pytest.CaptureFixture[str]
CODE = "under-12 contact hitter"
SPEED = "bat_speed_mph"
SPLIT = date(2026, 1, 19)


@pytest.fixture
def log(tmp_path: Path) -> Log:
    made = Log(tmp_path / "log.sqlite")
    made.add_hitter(Hitter(CODE, "left", "under-12", "likes the low pitch"))
    made.add_hitter(Hitter("H7"))
    days = [date(2026, 1, 5) + timedelta(days=7 * k) for k in range(4)]
    swings = [Swing(day, {SPEED: Figure(50 + k + j, 1.0)}, "two cameras") for k, day in enumerate(days) for j in (0, 1)]
    made.add_swings(CODE, [*swings, Swing(days[0], {"exit_speed_mph": Figure(61.5)}, note="red\x1b[31m\nbat")])
    return made


def run(log: Log, *words: str) -> int:
    return main(["log", "--file", str(log.path), *words])


def test_hitters_and_swings_are_listed(log: Log, capsys: Capture) -> None:
    assert run(log, "list") == 0
    assert [line.split() for line in capsys.readouterr().out.splitlines()] == [
        ["H7", "0", "swings"], [*CODE.split(), "9", "swings", "bats", "left,", "under-12"],
    ]  # fmt: skip
    assert run(log, "show", CODE) == 0
    out = capsys.readouterr().out
    assert "bat speed 50.0 ± 1.0 mph" in out and "exit speed 61.5 mph" in out and "likes the low pitch" in out
    assert "red [31m bat" in out and "\x1b" not in out, "no sign of a note is obeyed by the terminal"
    assert run(log, "show", CODE, "--metric", "--language", "es") == 0
    assert "km/h" in capsys.readouterr().out


def test_trend_and_before_after_are_those_of_the_library(log: Log, capsys: Capture) -> None:
    swings = log.swings(CODE)
    assert run(log, "trend", CODE, SPEED) == 0
    assert capsys.readouterr().out.strip() == trend(swings, SPEED).sentence()
    assert run(log, "trend", CODE, SPEED, "--split", SPLIT.isoformat(), "--metric") == 0
    assert capsys.readouterr().out.startswith(compare(*split(swings, SPLIT), SPEED).sentence(metric=True))


def test_csv_backup_and_restore(log: Log, tmp_path: Path, capsys: Capture) -> None:
    out, copy = tmp_path / "out.csv", tmp_path / "copy.sqlite"
    assert run(log, "export", CODE, "-o", str(out)) == 0
    with out.open(encoding="utf-8", newline="") as file:
        assert file.read() == csv_text(log, CODE)
    assert run(log, "export") == 0
    rows = csv.DictReader(io.StringIO(capsys.readouterr().out))
    assert {row["hitter"] for row in rows} == {CODE, "H7"}
    before = csv_text(log)
    assert run(log, "backup", str(copy)) == 0
    assert run(log, "delete", CODE, "--yes") == 0
    assert "Deleted for good, with 9 swings. Backups made up to" in capsys.readouterr().out
    assert run(log, "restore", str(copy), "--yes") == 0
    assert csv_text(log) == before
    log.path.unlink()
    assert run(log, "restore", str(copy)) == 0, "nobody is asked where there is nothing to lose"
    assert csv_text(log) == before


def test_a_damaged_log_can_be_restored(log: Log, tmp_path: Path, capsys: Capture) -> None:
    copy = tmp_path / "copy.sqlite"
    log.backup(copy)
    log.path.write_bytes(b"power cut" * 1000)
    assert run(log, "list") == 1
    assert "is damaged" in capsys.readouterr().err
    assert run(log, "restore", str(copy), "--yes") == 0
    assert [hitter.code for hitter in log.hitters()] == ["H7", CODE]


@pytest.mark.parametrize(("command", "answer"), [("delete", CODE), ("restore", "yes")])
def test_what_cannot_be_undone_is_asked_first(
    log: Log, tmp_path: Path, command: str, answer: str, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    log.backup(tmp_path / "copy.sqlite")
    log.add_hitter(Hitter("new"))
    before = csv_text(log)
    what = CODE if command == "delete" else str(tmp_path / "copy.sqlite")
    monkeypatch.setattr("builtins.input", lambda question: "no")
    assert run(log, command, what) == 0
    assert capsys.readouterr().out == "Nothing was changed.\n" and csv_text(log) == before
    monkeypatch.undo()
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert run(log, command, what) == 1
    assert "--yes" in capsys.readouterr().err and csv_text(log) == before
    monkeypatch.setattr("builtins.input", lambda question: answer)
    assert run(log, command, what) == 0
    assert csv_text(log) != before


@pytest.mark.parametrize("words", [["list"], ["show", CODE], ["export"], ["backup", "copy"], ["delete", CODE, "--yes"]])
def test_reading_makes_no_log(tmp_path: Path, words: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["log", "--file", "log.sqlite", *words]) == (0 if words == ["list"] else 1)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["show", "nobody"], '"nobody"'), (["export", "nobody"], '"nobody"'), (["trend", CODE, "charm"], '"charm"'),
        (["trend", CODE, "exit_speed_mph"], "two days"), (["restore", "none"], "no file none"),
        (["delete", "nobody", "--yes"], '"nobody"'), (["export", "-o", "none/out.csv"], "cannot be written"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence(log: Log, words: list[str], said: str, capsys: Capture) -> None:
    before = csv_text(log)
    assert run(log, *words) == 1
    err = capsys.readouterr().err
    assert said in err and len(err.splitlines()) == 1
    assert csv_text(log) == before


@pytest.mark.parametrize("words", [[], ["fly"], ["show"], ["trend", CODE], ["trend", CODE, SPEED, "--split", "May"]])
def test_wrong_use(log: Log, words: list[str], capsys: Capture) -> None:
    with pytest.raises(SystemExit) as caught:
        run(log, *words)
    assert caught.value.code == 2
    assert capsys.readouterr().err.startswith("usage: plane3d log")
