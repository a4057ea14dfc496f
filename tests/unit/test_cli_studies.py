"""The commands of the studies: what is printed where, and the exit code."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from plane3d import language, terminal
from plane3d.cli import STOPPED, main
from plane3d.drills import SUPPLIED
from plane3d.lesson import scenarios_folder

FOLDER = scenarios_folder()
MATCHED, STEEP = (str(FOLDER / f"{name}.toml") for name in ("08-matched-swing", "09-steep-swing"))
MIXED = str(FOLDER / "pitches" / "mixed.toml")
LESSON = str(FOLDER / "why-an-inch-matters.toml")
Capture = pytest.CaptureFixture[str]

ASKED = {
    "spread": ["spread", MATCHED, "--plays", "200"],
    "remedy": ["remedy", MATCHED, "--goal", "fly-ball", "--to", "middle"],
    "target": ["target", MATCHED],
    "compare": ["compare", MATCHED, STEEP, "--plays", "20", "--pitches", MIXED],
}
each = pytest.mark.parametrize("name", ASKED)


@each
def test_in_words_and_as_json(name: str, capsys: Capture) -> None:
    assert main(ASKED[name]) == 0
    out, err = capsys.readouterr()
    assert "A model's answer, not a measurement" in out
    assert err == ""
    assert main([*ASKED[name], "--json"]) == 0
    assert json.loads(capsys.readouterr().out)
    assert main([*ASKED[name], "--metric"]) == 0
    assert " mph" not in capsys.readouterr().out


@each
def test_another_language(name: str, capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        language, "_said", lambda spoken, message, context="": message if spoken == "en" else "¡" + message
    )
    assert main([*ASKED[name], "--language", "es"]) == 0
    assert "¡A model's answer" in capsys.readouterr().out
    assert main(["solve", MATCHED, "--language", "es"]) == 0
    assert "¡" in capsys.readouterr().out
    assert main([name, "none.toml", *ASKED[name][2:], "--language", "es"]) == 1
    assert "¡there is no such file" in capsys.readouterr().err


@each
def test_other_files_are_refused_in_one_sentence(name: str, capsys: Capture) -> None:
    for path, words in ((LESSON, "is a lesson"), (MIXED, "is a pitch set")):
        assert main([name, path, *ASKED[name][2:]]) == 1
        out, err = capsys.readouterr()
        assert out == ""
        assert words in err and name in err and len(err.splitlines()) == 1


def test_scatter_options_and_seed(capsys: Capture) -> None:
    options = ["--timing", "0", "--height", "0", "--depth", "0", "--along", "0", "--bat-speed", "0", "--seed", "9"]
    assert main(["spread", MATCHED, "--plays", "30", "--json", *options]) == 0
    block = json.loads(capsys.readouterr().out)
    assert block["shares"] == {"line-drive": {"share": 1.0, "error": pytest.approx(0.03, abs=0.01)}}
    assert block["seed"] == 9
    assert block["scatter"] == {
        "timing_ms": 0, "height_in": 0, "depth_in": 0, "along_in": 0, "bat_speed_mph": 0, "typical": False
    }  # fmt: skip


def test_the_same_seed_prints_the_same_bytes(capsys: Capture) -> None:
    said = []
    for seed in ("4", "4", "5"):
        assert main(["spread", MATCHED, "--plays", "100", "--seed", seed, "--json"]) == 0
        said.append(capsys.readouterr().out)
    assert said[0] == said[1] != said[2]


def test_held_is_said(capsys: Capture) -> None:
    for extra, word in (([], "aim at each pitch"), (["--held", "--pitches", MIXED], "Both swings are held")):
        assert main(["compare", MATCHED, STEEP, "--plays", "5", *extra]) == 0
        assert word in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [
        ["spread", MATCHED, "--plays", "0"],
        ["spread", MATCHED, "--plays", "1000001"],
        ["spread", MATCHED, "--plays", "1e3"],
        ["spread", MATCHED, "--seed", "-1"],
        ["spread", MATCHED, "--timing", "x"],
        ["spread", MATCHED, "--language", "fr"],
        ["remedy", MATCHED],
        ["remedy", MATCHED, "--goal", "fly-ball", "--to", "left"],
        ["compare", MATCHED],
    ],
)
def test_wrong_use(arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2


def test_bad_values_are_told_all_at_once(capsys: Capture) -> None:
    assert main(["spread", MATCHED, "--timing", "99", "--height", "nan"]) == 1
    assert [line.partition(" =")[0] for line in capsys.readouterr().err.splitlines()] == [
        "input: scatter.timing_ms", "input: scatter.height_in"
    ]  # fmt: skip
    assert main(["remedy", MATCHED, "--goal", "liner"]) == 1
    assert "line-drive" in capsys.readouterr().err


def test_check_knows_pitch_sets(tmp_path: Path, capsys: Capture) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text('format = 1\ntitle = "x"\n[[pitch]]\nspeed_mph = 999\n', encoding="utf-8")
    assert main(["check", MIXED, str(bad)]) == 1
    out, err = capsys.readouterr()
    assert out == f"{MIXED}: fine\n"
    assert err.startswith(f"{bad}:4: pitch.speed_mph = 999 must be a number from 20 to 110 mph")


def test_check_knows_drills(tmp_path: Path, capsys: Capture) -> None:
    bad = tmp_path / "drills.toml"
    bad.write_text(SUPPLIED.read_text(encoding="utf-8").replace("works_on", "works_no", 1), encoding="utf-8")
    assert main(["check", str(SUPPLIED), str(bad)]) == 1
    out, err = capsys.readouterr()
    assert out == f"{SUPPLIED}: fine\n"
    assert "works_on" in err and all(line.startswith(f"{bad}:") for line in err.splitlines())


def test_a_practice_sheet(tmp_path: Path, capsys: Capture) -> None:
    asked = ["plan", STEEP, "--plays", "60"]
    assert main(asked) == 0
    printed = capsys.readouterr().out
    for part in ("# Practice sheet", "## Before anybody swings", "## Three drills", "### 3. ", "Seed 1"):
        assert part in printed
    assert main([*asked, "-o", str(tmp_path / "sheet.md")]) == 0
    assert (tmp_path / "sheet.md").read_text(encoding="utf-8") == printed
    assert main([*asked, "--language", "es", "--metric"]) == 0
    spanish = capsys.readouterr().out
    assert "# Hoja de práctica" in spanish and " mph" not in spanish
    assert main([*asked, "-o", str(tmp_path / "none" / "sheet.md")]) == 1
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert main([*asked, "--drills", STEEP]) == 1
    assert capsys.readouterr().err.startswith(f"{STEEP}")


def command(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "plane3d", *arguments]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no device that is always full")
@pytest.mark.parametrize("arguments", [["solve", MATCHED, "--json"], ASKED["target"], ["check", MATCHED]])
def test_a_full_disk_is_one_sentence(arguments: list[str]) -> None:
    with open("/dev/full", "w") as full:
        run = subprocess.run(command(*arguments), stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert run.returncode == 1
    assert run.stderr.startswith("the answer cannot be written (")
    assert len(run.stderr.splitlines()) == 1


def test_who_reads_only_the_beginning_gets_it() -> None:
    run = subprocess.Popen(
        command(*ASKED["target"], "--json"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert run.stdout is not None and run.stderr is not None
    assert run.stdout.readline() == "{\n"
    run.stdout.close()
    assert run.stderr.read() == ""
    assert run.wait(30) == 0


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal of this kind")
def test_progress_is_shown_to_a_person_and_ctrl_c_ends_it_cleanly() -> None:
    import pty

    mine, theirs = pty.openpty()
    run = subprocess.Popen(
        command("spread", MATCHED, "--plays", "1000000"), stdout=subprocess.PIPE, stderr=theirs, start_new_session=True
    )
    os.close(theirs)
    said, end = b"", time.monotonic() + 60
    while b"%" not in said and time.monotonic() < end:
        said += os.read(mine, 100)
    run.send_signal(signal.SIGINT)
    out, _ = run.communicate(timeout=60)
    while True:
        try:
            more = os.read(mine, 1000)
        except OSError:  # the other end is closed
            break
        if not more:
            break
        said += more
    os.close(mine)
    assert run.returncode == STOPPED
    assert out == b""
    assert b" %" in said
    assert said.decode().splitlines()[-1].endswith("stopped")
    assert b"Traceback" not in said


def test_progress_is_silent_where_nobody_sits(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(terminal, "SOON", 0.0)
    monkeypatch.setattr(terminal, "EVERY", 0.0)
    with terminal.Progress() as progress:
        assert progress(0.5)
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with terminal.Progress() as progress:
        assert progress(0.5)
    assert " 50 %" in capsys.readouterr().err
