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


# --- steps -----------------------------------------------------------------------------------------------------------

FLY = '{ says = "Fly", when = "fly-ball" }'


def lesson_of(folder: Path, *steps: str, head: str = "") -> Path:
    """A lesson file with these steps; the first [[step]] stands on line 4."""
    path = folder / "lesson.toml"
    body = "\n".join(f"[[step]]\n{step}\n" for step in steps)
    path.write_text(f"{HEAD}{head}\n{body}", encoding="utf-8")
    return path


def faults(path: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        load_lesson(path)
    return [str(m).replace(f"{path.parent}{os.sep}", "") for m in caught.value.mistakes]


def test_a_step_has_its_own_words_or_those_of_its_scenario(folder: Path) -> None:
    (folder / "a.toml").write_text(HEAD + 'question = "q?"\nnotice = "n"\n[view]\ncamera = "side"\n', encoding="utf-8")
    own = f'scenario = "a.toml"\nquestion = "Q?"\nnotice = "N"\nview = "above"\nsay = "s"\nchoices = [{FLY}]'
    first, second = load_lesson(lesson_of(folder, 'scenario = "a.toml"', own)).steps
    assert (first.question, first.notice, first.view, first.choices) == ("q?", "n", "side", ())
    assert (second.question, second.notice, second.view, second.say) == ("Q?", "N", "above", "s")
    assert [choice.says for choice in second.choices] == ["Fly"]
    assert (second.measure, second.seconds) == ("outcome.kind", 20)


def test_the_other_scenario_of_a_comparison(folder: Path) -> None:
    step = 'scenario = "a.toml"\nthan = "b.toml"\nmeasure = "window.length_in"\nchoices = [{ says = "More", from = 0 }]'
    (loaded,) = load_lesson(lesson_of(folder, step)).steps
    assert loaded.than is not None and loaded.than.title == "b"


@pytest.mark.parametrize(
    ("line", "wrong", "says"),
    [
        (4, "", "step.scenario is missing; it must be the name of a scenario file"),
        (5, 'scenario = "none.toml"', 'step.scenario names "none.toml", but there is no such file'),
        (5, 'scenario = "../a.toml"', 'step.scenario names "../a.toml", which must be a file beside the lesson'),
        (6, 'scenario = "a.toml"\nthan = "none.toml"\nmeasure = "swing.dip_in"', 'step.than names "none.toml"'),
        (6, 'scenario = "a.toml"\nquestoin = 1', "step.questoin = 1 is not a known key; did you mean step.question"),
        (6, 'scenario = "a.toml"\nseconds = 0', "step.seconds = 0 must be a whole number from 1 to 600"),
        (6, 'scenario = "a.toml"\nstrip = 1', "step.strip = 1 must be true or false"),
        (6, 'scenario = "a.toml"\nview = "moon"', 'step.view = "moon" must be one of "catcher"'),
        (6, 'scenario = "a.toml"\nmeasure = "window.lenght_in"', "did you mean window.length_in?"),
        (6, 'scenario = "a.toml"\nfigures = ["outcome.kind"]', 'step.figures = "outcome.kind" is no value'),
        (6, 'scenario = "a.toml"\nthan = "b.toml"', "step.than needs a measure that is a number"),
        (6, 'scenario = "a.toml"\nchoices = [{ says = "x", when = "homer" }]', "step.choices \"x\" names 'homer'"),
        (6, 'scenario = "a.toml"\nchoices = [{ says = "x", from = 1 }]', 'step.choices "x" needs when'),
        (6, 'scenario = "a.toml"\nchoices = [{ says = "x", when = 3 }]', "step.choices.when = 3 must be a word"),
        (6, 'scenario = "a.toml"\nchoices = [{ when = "miss" }]', "step.choices.says is missing"),
        (6, f'scenario = "a.toml"\nchoices = [{", ".join([FLY] * 7)}]', "must be a list of at most 6 choices"),
    ],
)  # fmt: skip
def test_a_wrong_step_is_told_by_line_and_key(folder: Path, line: int, wrong: str, says: str) -> None:
    (message,) = faults(lesson_of(folder, wrong))
    assert message.startswith(f"lesson.toml:{line}: ")
    assert says in message


@pytest.mark.parametrize(
    ("choice", "says"),
    [
        ('{ says = "x", when = "miss" }', "needs from, to or both"),
        ('{ says = "x" }', "needs from, to or both"),
        ('{ says = "x", from = 2, to = 1 }', "from must be below to"),
    ],
)
def test_choices_of_a_number(folder: Path, choice: str, says: str) -> None:
    step = f'scenario = "a.toml"\nmeasure = "swing.dip_in"\nchoices = [{choice}]'
    (message,) = faults(lesson_of(folder, step))
    assert says in message


def test_mistakes_of_all_steps_come_at_once_each_at_its_own_line(folder: Path) -> None:
    good = 'scenario = "a.toml"'
    path = lesson_of(folder, good, f'{good}\nmeasure = "x"', 'scenario = "none.toml"', f'{good}\nfigures = ["y"]')
    assert [m.partition(" ")[0] for m in faults(path)] == ["lesson.toml:9:", "lesson.toml:16:", "lesson.toml:12:"]


def test_either_steps_or_scenarios(folder: Path) -> None:
    (message,) = faults(lesson_of(folder, 'scenario = "a.toml"', head='scenarios = ["a.toml"]'))
    assert message == "lesson.toml:3: the lesson names its scenarios twice: in a list scenarios or in [[step]] tables"


def test_a_choice_of_numbers_includes_its_lower_end_only() -> None:
    from plane3d.prediction import Choice

    choice = Choice.model_validate({"says": "x", "from": 1, "to": 2})
    assert [choice.fits(value) for value in (0.99, 1, 1.99, 2, None)] == [False, True, True, False, False]
    words = Choice.model_validate({"says": "x", "when": ["miss", "pop-up"]})
    assert [words.fits(value) for value in ("miss", "pop-up", "fly-ball", None)] == [True, True, False, False]
