"""Lessons, and the scenarios that come with plane3d."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from plane3d.errors import InputError
from plane3d.lesson import Lesson, load_any, load_lesson, scenarios_folder
from plane3d.scenario import Scenario

HEAD = 'format = 1\ntitle = "x"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text(f'format = 1\ntitle = "{name}"\n', encoding="utf-8")
    return tmp_path


def refused(folder: Path, scenarios: str) -> list[str]:
    path = folder / "lesson.toml"
    path.write_text(f"{HEAD}scenarios = {scenarios}\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_lesson(path)
    return [str(m).replace(f"{folder}{os.sep}", "") for m in caught.value.mistakes]


def test_scenarios_come_in_the_order_of_the_lesson(folder: Path) -> None:
    path = folder / "lesson.toml"
    path.write_text(HEAD + 'notice = "n"\nscenarios = ["b.toml", "a.toml", "b.toml"]\n', encoding="utf-8")
    lesson = load_lesson(path)
    assert [s.title for s in lesson.scenarios] == ["b", "a", "b"]
    assert [p.name for p in lesson.paths] == ["b.toml", "a.toml", "b.toml"]
    assert lesson.notice == "n"


@pytest.mark.parametrize("value", ['"a.toml"', "[]", "[1]", "[true]", '[""]', "nan"])
def test_wrong_list(folder: Path, value: str) -> None:
    (message,) = refused(folder, value)
    assert message.startswith("lesson.toml:3: scenarios")
    assert message.endswith("must be a list of scenario file names")


@pytest.mark.parametrize("name", ["none.toml", "../a.toml", "/etc/hosts", "."])
def test_wrong_name(folder: Path, name: str) -> None:
    (message,) = refused(folder, f'["{name}"]')
    assert message.startswith(f'lesson.toml:3: scenarios names "{name}"')


def test_mistakes_of_all_scenarios_come_at_once(folder: Path) -> None:
    (folder / "a.toml").write_text(HEAD + "[swing]\ntiming_ms = 99\n", encoding="utf-8")
    (folder / "b.toml").write_text("x", encoding="utf-8")
    found = refused(folder, '["a.toml", "none.toml", "b.toml"]')
    assert [m.partition(":")[0] for m in found] == ["a.toml", "lesson.toml", "b.toml"]


def test_a_lesson_that_shows_itself(folder: Path) -> None:
    (message,) = refused(folder, '["lesson.toml"]')
    assert "scenarios" in message


def test_either_kind_is_recognised(folder: Path) -> None:
    path = folder / "lesson.toml"
    path.write_text(HEAD + 'scenarios = ["a.toml"]\n', encoding="utf-8")
    assert isinstance(load_any(path), Lesson)
    assert isinstance(load_any(folder / "a.toml"), Scenario)


ALL = sorted(scenarios_folder().glob("*.toml"))


def test_there_are_scenarios_and_a_lesson() -> None:
    assert len(ALL) >= 8


@pytest.mark.parametrize("path", ALL, ids=lambda p: p.stem)
def test_files_that_come_with_plane3d(path: Path) -> None:
    loaded = load_any(path)
    assert loaded.title and loaded.notice
    if isinstance(loaded, Scenario):
        assert loaded.question.endswith("?")
        assert path.name[:2].isdigit()
