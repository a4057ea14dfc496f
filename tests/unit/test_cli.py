"""The command line: what is printed where, and the exit code. 0 fine, 1 bad input, 2 wrong use."""

from __future__ import annotations

import json
import socket
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from plane3d import __version__
from plane3d.cli import main
from plane3d.lesson import scenarios_folder
from plane3d.log import default_path

SCENARIO = scenarios_folder() / "01-one-inch-under.toml"
LESSON = scenarios_folder() / "why-an-inch-matters.toml"
Capture = pytest.CaptureFixture[str]
Served = tuple[Path | None, int, bool, Path, None]  # scenario, port, whether a browser opens, log, viewers


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    path = tmp_path / "bad.toml"
    path.write_text('format = 1\ntitle = "x"\n[swing]\ntiming_ms = 99\nzzz = 1\n', encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["fly"],
        ["check"],
        ["solve"],
        ["solve", "a", "b"],
        ["solve", "a", "--nonsense"],
        ["serve", "--port", "x"],
        ["serve", "--port", "-1"],
        ["serve", "--port", "65536"],
        ["serve", "--port"],
        ["serve", "--share", "--share-port", "-1"],
        ["serve", "--share", "--share-address", "http://192.0.2.7/"],
    ],
)
def test_wrong_use(arguments: list[str], capsys: Capture) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert capsys.readouterr().err.startswith("usage: plane3d")


@pytest.mark.parametrize("argument", ["--help", "--version"])
def test_help_and_version(argument: str, capsys: Capture) -> None:
    with pytest.raises(SystemExit) as caught:
        main([argument])
    assert caught.value.code == 0
    assert ("plane3d " + __version__ if argument == "--version" else "solve") in capsys.readouterr().out


def test_check(bad: Path, capsys: Capture) -> None:
    assert main(["check", str(SCENARIO), str(LESSON)]) == 0
    assert capsys.readouterr().out.splitlines() == [f"{SCENARIO}: fine", f"{LESSON}: fine"]
    assert main(["check", str(bad), str(SCENARIO), str(bad.parent)]) == 1
    out, err = capsys.readouterr()
    assert out.splitlines() == [f"{SCENARIO}: fine"]
    assert [line.partition(" ")[0] for line in err.splitlines()] == [f"{bad}:4:", f"{bad}:5:", f"{bad.parent}:"]


def test_solve_in_words(capsys: Capture) -> None:
    assert main(["solve", str(SCENARIO)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "One inch under"
    assert lines[2].startswith("The barrel is 1.0 in below the line: a fly ball")
    assert main(["solve", str(SCENARIO), "--metric"]) == 0
    assert "2.5 cm below the line" in capsys.readouterr().out


def test_solve_as_json(capsys: Capture) -> None:
    assert main(["solve", str(SCENARIO), "--json"]) == 0
    blocks = json.loads(capsys.readouterr().out)
    assert blocks["outcome"]["kind"] == "fly-ball"
    assert blocks["meeting"]["touch"] is True


@pytest.mark.parametrize("command", ["solve", "serve", "check"])
def test_bad_input(command: str, bad: Path, capsys: Capture) -> None:
    for path, words in [(bad, "bad.toml:4: swing.timing_ms = 99 must be"), (bad.parent / "none", "no such file")]:
        assert main([command, str(path)]) == 1
        out, err = capsys.readouterr()
        assert out == ""
        assert words in err


def test_a_lesson_is_not_solved(capsys: Capture) -> None:
    assert main(["solve", str(LESSON)]) == 1
    assert "solve takes one scenario" in capsys.readouterr().err


def test_a_pitch_that_cannot_be_thrown_is_one_sentence(tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "slow.toml"
    path.write_text('format = 1\ntitle = "x"\n[pitch]\nspeed_mph = 20\nrelease_distance_ft = 60\n', encoding="utf-8")
    assert main(["solve", str(path)]) == 1
    assert len(capsys.readouterr().err.strip().splitlines()) == 1


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[Served]:
    """What the page is asked to serve; no page opens."""
    calls: list[Served] = []
    page = SimpleNamespace(serve=lambda *asked: calls.append(asked))
    monkeypatch.setitem(sys.modules, "apps.page", page)
    return calls


def test_serve_prints_its_address(served: list[Served], capsys: Capture) -> None:
    assert main(["serve", str(SCENARIO), "--port", "0", "--no-open"]) == 0
    assert main(["serve", "--port", "0", "--log", "mine.sqlite"]) == 0
    (path, port, opens, log, shared), (nothing, _, opens_too, mine, _) = served
    assert (path, opens, nothing, opens_too) == (SCENARIO, False, None, True)
    assert (log, mine) == (default_path(), Path("mine.sqlite"))
    assert port > 0
    assert shared is None  # nobody else is let in unless asked
    assert f"http://127.0.0.1:{port}/" in capsys.readouterr().out


def test_a_taken_port_is_one_sentence(served: list[Served], capsys: Capture) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert main(["serve", "--port", str(port)]) == 1
    assert served == []
    err = capsys.readouterr().err
    assert err.startswith(f"port {port} cannot be used")
    assert "--port 0 for any free one" in err


def run(*arguments: str, **options: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "plane3d", *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=False, **options)  # type: ignore[call-overload]


def test_as_a_module_with_exit_codes(bad: Path) -> None:
    assert run("check", str(SCENARIO)).returncode == 0
    wrong = run("check", str(bad))
    assert wrong.returncode == 1
    assert "Traceback" not in wrong.stderr
    assert run("nonsense").returncode == 2


def test_other_commands_load_no_web_and_no_drawing() -> None:
    code = (
        "import sys; from plane3d.cli import main; main(['solve', sys.argv[1]]);"
        "sys.exit(bool({'panel', 'bokeh', 'vtk', 'pyvista', 'apps'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code, str(SCENARIO)], capture_output=True, check=False).returncode == 0
