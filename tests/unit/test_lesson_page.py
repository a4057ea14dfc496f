"""One session of lesson mode, without a browser: what is sent before the answer, with it, and at the end."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from apps.lesson import LessonPage, create_lesson, lessons
from plane3d.lesson import scenarios_folder

INCH = scenarios_folder() / "why-an-inch-matters.toml"
WINDOW = scenarios_folder() / "staying-on-the-pitch.toml"
HEAD = 'format = 1\ntitle = "x"\n'


@pytest.fixture
def page() -> LessonPage:
    return LessonPage(INCH, {"step": "2"})


def ask(page: LessonPage, what: str, *values: Any) -> None:
    """What the browser sends."""
    page.panel.actions[what](*values)


def names(page: LessonPage) -> set[str]:
    return {label.name for label in page.stage.scene.labels}


def test_the_question_comes_without_its_answer(page: LessonPage) -> None:
    state = page.panel.state
    assert (state["step"], state["question"]) == (
        1,
        "One inch lower. Less than half the barrel. Where does this one go?",
    )
    assert state["choices"][2] == "A fly ball"
    assert state["answer"] is None
    sent = json.dumps(state)
    assert "when" not in sent and "fly-ball" not in sent and "mph" not in sent
    assert names(page) == {"pitch line", "barrel path", "hand path"}
    assert page.stage.scene.motion.contact_time is None


def test_the_answer_comes_when_it_is_asked_for_and_goes_again(page: LessonPage) -> None:
    ask(page, "show", 1, True, True)
    told = page.panel.state["answer"]
    assert told["right"] == 2
    assert told["sentence"].startswith("The barrel is 1.0 in below the line: a fly ball")
    assert told["rows"][1] == ["The undercut", "21°"]
    assert {"below the line", "batted ball"} <= names(page)
    ask(page, "show", 1, False, False)
    assert page.panel.state["answer"] is None
    assert "batted ball" not in names(page)


def test_a_comparison_has_two_columns_and_a_strip_is_in_runs() -> None:
    page = LessonPage(WINDOW)
    ask(page, "show", 1, True, False)
    assert page.panel.state["answer"]["columns"] == ["The steep swing", "The matched swing"]
    assert all(len(row) == 3 for row in page.panel.state["answer"]["rows"])
    ask(page, "show", 4, True, False)
    strip = page.panel.state["answer"]["strip"]
    assert (strip["runs"][0]["from"], strip["runs"][-1]["to"]) == (-40.5, 40.5)
    assert all(a["to"] == b["from"] and a["kind"] != b["kind"] for a, b in pairwise(strip["runs"]))
    assert strip["fair"]["from"] < 0 < strip["timing"] < strip["fair"]["to"]
    assert strip["timing"] == pytest.approx(8)
    assert set(strip["looks"]) == {run["kind"] for run in strip["runs"]}


def test_sliders_move_the_stage_and_tell_only_after_the_answer(page: LessonPage) -> None:
    change = SimpleNamespace(data={"id": 1, "changes": {"swing.below_line_in": 4}})
    page.controls._asked(change)
    assert page.panel.state["changed"] == ""
    assert "batted ball" not in names(page) and "below the line" not in names(page)
    ask(page, "show", 1, True, False)
    assert page.panel.state["changed"] == ""  # a step begins as the lesson has it
    page.controls._asked(change)
    assert page.panel.state["changed"].startswith("The barrel is 4.0 in below the line: a miss")
    assert page.panel.state["answer"]["right"] == 2
    page.controls._asked(SimpleNamespace(data={"id": 2, "changes": {"swing.below_line_in": None}}))
    assert page.panel.state["changed"] == ""


@pytest.mark.parametrize(("step", "shown"), [("0", 0), ("1", 0), ("6", 5), ("7", 6), ("99", 6), ("x", 0), ("²", 0)])
def test_the_address_says_which_step(step: str, shown: int) -> None:
    state = LessonPage(INCH, {"step": step}).panel.state
    assert state["step"] == shown
    assert ("question" in state) == (shown < 6)


def test_the_end_has_the_closing_words(page: LessonPage) -> None:
    ask(page, "show", 6, True, True)
    state = page.panel.state
    assert not state["revealed"] and state["answer"] is None
    assert state["close"].startswith("Half an inch")
    assert [step["title"] for step in state["steps"]][:2] == ["On the line", "One inch under"]
    page.controls._asked(SimpleNamespace(data={"id": 1, "changes": {"swing.timing_ms": 3}}))  # nothing to move here
    assert page.panel.state == state


def test_without_a_lesson_there_is_a_choice() -> None:
    for page in (LessonPage(), LessonPage(scenarios_folder() / "06-held.toml"), LessonPage(None, {"lesson": "../x"})):
        offered = page.panel.state["lessons"]
        assert [one["name"] for one in offered] == ["inside-the-ball", "staying-on-the-pitch", "why-an-inch-matters"]
        assert all(one["steps"] and one["minutes"] and one["track"].startswith("/docs/lessons/") for one in offered)
    assert LessonPage(None, {"lesson": "inside-the-ball"}).panel.state["title"] == "Inside the ball"


def test_an_own_lesson_comes_first_and_a_broken_one_is_said(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(HEAD, encoding="utf-8")
    own = tmp_path / "own.toml"
    own.write_text(f'{HEAD}scenarios = ["a.toml"]\n', encoding="utf-8")
    assert next(iter(lessons(own))) == "own"
    assert LessonPage(own).panel.state["title"] == "x"
    own.write_text(f'{HEAD}scenarios = ["none.toml"]\n', encoding="utf-8")
    state = LessonPage(own).panel.state
    assert "own.toml:3: scenarios names" in state["problem"]
    assert len(state["lessons"]) == 3


def test_a_step_that_cannot_be_played_or_answered_says_so_and_the_next_one_works(tmp_path: Path) -> None:
    slow = "[pitch]\nspeed_mph = 20\nrelease_distance_ft = 60\n"
    (tmp_path / "slow.toml").write_text(HEAD + slow, encoding="utf-8")
    (tmp_path / "a.toml").write_text(HEAD, encoding="utf-8")
    own = tmp_path / "own.toml"
    step = '[[step]]\nscenario = "a.toml"\nchoices = [{ says = "x", when = "miss" }]\n'
    own.write_text(f'{HEAD}[[step]]\nscenario = "slow.toml"\n{step}', encoding="utf-8")
    page = LessonPage(own)
    assert page.panel.state["problem"].startswith("This pitch cannot reach")
    ask(page, "show", 1, False, False)
    assert page.panel.state["problem"] == ""
    ask(page, "show", 1, True, False)
    assert "exactly one choice must be right" in page.panel.state["problem"]


def test_two_sessions_share_nothing(page: LessonPage) -> None:
    other = LessonPage(INCH, {"step": "2"})
    before = (dict(other.panel.state), other.stage.scene_id)
    ask(page, "show", 3, True, False)
    assert (dict(other.panel.state), other.stage.scene_id) == before
    assert create_lesson(INCH) is not create_lesson(INCH)
