"""The command `render`: which files it writes, what it refuses, and its exit codes. Drawing is tested elsewhere."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from plane3d import cli_render
from plane3d.cli import main
from plane3d.export.kinds import Kind
from plane3d.export.subject import Subject, Wishes
from plane3d.lesson import load_lesson, scenarios_folder
from plane3d.scene.apart import DrawingError, Progress

FOLDER = scenarios_folder()
SCENARIO, LESSON = FOLDER / "01-one-inch-under.toml", FOLDER / "why-an-inch-matters.toml"
Capture = pytest.CaptureFixture[str]
REAL_KINDS = cli_render.all_kinds
Asked = list[tuple[Subject, Path, Wishes]]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """What the makers were asked for; each writes a short file."""
    found: Asked = []

    def make(subject: Subject, path: Path, wishes: Wishes, painter: object, progress: Progress) -> None:
        found.append((subject, path, wishes))
        path.write_text("made")

    def instead() -> dict[str, Kind]:
        return {name: Kind(make, heeds=kind.heeds, files=kind.files) for name, kind in cli_render.KINDS.items()}

    monkeypatch.setattr(cli_render, "all_kinds", instead)
    return found


@pytest.mark.parametrize(
    "rest",
    [
        [],
        ["-o"],
        ["-o", "x.png", "--size", "big"],
        ["-o", "x.png", "--size", "3841x100"],
        ["-o", "x.png", "--size", "3840x3840"],
        ["-o", "x.png", "--size", "100x1000"],
        ["-o", "x.png", "--view", "dugout"],
        ["-o", "x.png", "--theme", "blue"],
        ["-o", "x.png", "--time", "nan"],
        ["-o", "x.mp4", "--speed", "2"],
        ["-o", "x.mp4", "--speed", "1/0"],
        ["-o", "x.mp4", "--fps", "0"],
        ["-o", "x.mp4", "--seconds", "1e9"],
        ["-o", "x", "--kind", "bmp"],
    ],
)
def test_wrong_use(rest: list[str], capsys: Capture) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["render", str(SCENARIO), *rest])
    assert caught.value.code == 2
    assert capsys.readouterr().err.startswith("usage: plane3d")


def test_options_reach_the_maker(asked: Asked, tmp_path: Path, capsys: Capture) -> None:
    film, png = tmp_path / "A.MP4", tmp_path / "a.png"
    looks = ["--view", "above", "--theme", "dark", "--figure", "--metric"]
    options = ["--size", "3840x2160", "--speed", "1/50", "--seconds", "20", "--fps", "24", *looks]
    assert main(["render", str(SCENARIO), "-o", str(film), *options]) == 0
    assert main(["render", str(SCENARIO), "-o", str(png), "--time", "-50"]) == 0
    assert capsys.readouterr().out.splitlines() == [f"{film}: written", f"{png}: written"]
    (first, _, filmed), (second, _, pictured) = asked
    assert (first.view, first.theme, first.figure, first.metric) == ("above", "dark", True, True)
    assert filmed == Wishes(size=(3840, 2160), speed=0.02, rate=24, seconds=20)
    assert (second.view, second.theme, second.figure, second.metric) == (None, "light", False, False)
    assert pictured == Wishes(time=pytest.approx(-0.050))


def test_the_document_lists_every_kind() -> None:
    text = (Path(__file__).parents[2] / "docs" / "render.md").read_text(encoding="utf-8")
    kinds = {
        ending for line in text.splitlines() if line.startswith("| `.") for ending in re.findall(r"`\.(\w+)`", line)
    }
    assert kinds == set(REAL_KINDS())


def test_numbers_are_written_by_the_real_makers(tmp_path: Path, capsys: Capture) -> None:
    assert main(["render", str(SCENARIO), "-o", str(tmp_path / "a.json"), "--language", "es"]) == 0
    assert main(["render", str(SCENARIO), "-o", str(tmp_path / "a.csv")]) == 0
    out = capsys.readouterr().out
    for name in ("a.json", "a.csv", "a-paths.csv", "a-timings.csv"):
        assert str(tmp_path / name) in out
        assert (tmp_path / name).stat().st_size > 1000
    found = json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))
    assert found["title"] == "Una pulgada por debajo"
    assert found["answer"]["outcome"]["kind"] == "fly-ball"


def test_a_lesson_gives_a_file_for_each_step_and_a_folder_for_each_scenario(
    asked: Asked, tmp_path: Path, capsys: Capture
) -> None:
    steps = load_lesson(LESSON).steps
    assert main(["render", str(LESSON), "-o", str(tmp_path / "lesson"), "--kind", "gif"]) == 0
    names = [path.name for _, path, _ in asked]
    assert names == sorted(names)
    assert len(names) == len(steps)
    assert names[0].startswith("step-01-")
    assert asked[0][0].question == steps[0].question
    asked.clear()
    assert main(["render", str(FOLDER), "-o", str(tmp_path / "all"), "--kind", "json"]) == 0
    scenarios = sorted(FOLDER.glob("[0-9][0-9]-*.toml"))
    assert [path.stem for _, path, _ in asked] == [path.stem for path in scenarios]


def test_a_folder_keeps_what_it_has_and_tells_what_is_wrong(asked: Asked, tmp_path: Path, capsys: Capture) -> None:
    source, target = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    shutil.copy(SCENARIO, source / "a.toml")
    (source / "b.toml").write_text('format = 1\ntitle = "x"\n[swing]\ntiming_ms = 99\n')
    shutil.copy(FOLDER / "pitches" / "mixed.toml", source / "c.toml")
    command = ["render", str(source), "-o", str(target), "--kind", "csv"]
    assert main(command) == 1
    out, err = capsys.readouterr()
    assert [path.name for _, path, _ in asked] == ["a.csv"]
    assert err.count("\n") == 1
    assert f"{source / 'b.toml'}:4: swing.timing_ms" in err
    assert str(target / "a.csv") in out
    (source / "b.toml").unlink()
    assert main(command) == 1
    assert capsys.readouterr().err == f"{target / 'a.csv'}: is there already; --replace writes it anew\n"
    assert main([*command, "--replace"]) == 0
    assert len(asked) == 2


@pytest.mark.parametrize(
    ("file", "output", "rest", "told"),
    [
        (SCENARIO, "a.jpg", [], "its ending must say the kind, one of .png, "),
        (SCENARIO, "a", [], "its ending must say the kind"),
        (SCENARIO, "a.png", ["--kind", "png"], "with --kind this must be a folder"),
        (SCENARIO, "a.csv", ["--fps", "20"], "--fps makes no difference to .csv files"),
        (SCENARIO, "a.png", ["--speed", "1/3"], "--speed makes no difference to .png files"),
        (SCENARIO, "a.stl", ["--metric"], "--metric makes no difference to .stl files"),
        (LESSON, "a.png", [], "holds several scenarios"),
        (FOLDER, "a.png", [], "holds several scenarios"),
        (FOLDER / "measured", "a", ["--kind", "json"], "no scenario stands in this folder"),
        (FOLDER / "pitches" / "mixed.toml", "a.json", [], "is a pitch set"),
        (FOLDER / "nothing.toml", "a.json", [], "nothing.toml"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    file: Path, output: str, rest: list[str], told: str, tmp_path: Path, capsys: Capture
) -> None:
    assert main(["render", str(file), "-o", str(tmp_path / output), *rest]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert told in err
    assert err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "nowhere" / "a.json"
    assert main(["render", str(SCENARIO), "-o", str(path)]) == 1
    assert capsys.readouterr().err.startswith(f"{path}: cannot be written (")


def test_nothing_more_is_drawn_after_a_missing_graphics_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    tried = []

    def fails(*values: object) -> None:
        tried.append(values)
        raise DrawingError("install libegl1")

    monkeypatch.setattr(cli_render, "KINDS", {"png": Kind(fails)})
    assert main(["render", str(LESSON), "-o", str(tmp_path), "--kind", "png"]) == 1
    assert capsys.readouterr().err == "install libegl1\n"
    assert len(tried) == 1


def test_a_page_that_stands_alone_is_made_of_a_scenario_and_of_a_lesson(tmp_path: Path) -> None:
    one, several = tmp_path / "one.html", tmp_path / "several.html"
    assert main(["render", str(SCENARIO), "-o", str(one), "--theme", "dark", "--view", "above"]) == 0
    assert main(["render", str(LESSON), "-o", str(several)]) == 0
    for path, title in ((one, "One inch under"), (several, load_lesson(LESSON).title)):
        text = path.read_text(encoding="utf-8")
        assert f"<title>{title}" in text
        assert path.stat().st_size < 3e6
