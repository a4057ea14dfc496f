"""The lessons that come with plane3d: their answers are the model's, and what the presenter is told to say is so.

The expected letters were written down when the talk tracks were, from questions a coach can reason out; a model that
comes to answer otherwise breaks the lesson, not only a number.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from plane3d.answers import answer, check_answers
from plane3d.errors import Plane3dError
from plane3d.language import ENGLISH, LANGUAGES, speaking
from plane3d.lesson import Lesson, is_lesson, load_lesson, scenarios_folder
from plane3d.play import play
from plane3d.prediction import LETTERS, value_of
from plane3d.report import read_map, report
from plane3d.scenario import load
from plane3d.talk_track import talk_track

PAGES = Path(__file__).parents[2] / "docs" / "lessons"
FILES = sorted(path for path in scenarios_folder().glob("*.toml") if is_lesson(path))
STATED = {"why-an-inch-matters": "ACBCCC", "staying-on-the-pitch": "CCAAABC", "inside-the-ball": "CCBCB"}
LONGEST = {"why-an-inch-matters": 10, "staying-on-the-pitch": 15, "inside-the-ball": 12}  # min


def lesson(name: str) -> Lesson:
    return load_lesson(scenarios_folder() / f"{name}.toml")


@cache
def blocks(name: str, **changes: float) -> Any:
    """What `plane3d solve --json` says of a scenario, changed or not."""
    scenario = load(scenarios_folder() / f"{name}.toml")
    played = play(scenario.with_values({f"swing.{key}": value for key, value in changes.items()}).to_inputs())
    return report(played.result, read_map(played))


def test_every_lesson_is_here() -> None:
    assert {path.stem for path in FILES} == set(STATED)


@pytest.mark.parametrize("name", STATED)
def test_stated_answers_are_what_the_model_computes(name: str) -> None:
    steps = lesson(name).steps
    found = [answer(step).right for step in steps]
    assert "".join("?" if place is None else LETTERS[place] for place in found) == STATED[name]
    for step, letter in zip(steps, STATED[name], strict=True):  # and from the JSON, by another way
        value = value_of(blocks(step.path.stem), step.measure)
        if step.than_path is not None:
            value -= value_of(blocks(step.than_path.stem), step.measure)
        assert [LETTERS[i] for i, choice in enumerate(step.choices) if choice.fits(value)] == [letter]


@pytest.mark.parametrize("name", STATED)
def test_a_lesson_is_complete(name: str) -> None:
    found = lesson(name)
    assert found.minutes == LONGEST[name]
    assert 0.8 * found.minutes <= sum(step.minutes for step in found.steps) <= found.minutes
    for words in (found.notice, found.prepare, found.say, found.close, found.caution):
        assert words
    assert "one bat at a time" in found.caution and "helmets on" in found.caution
    for step in found.steps:
        assert step.question.endswith("?") and step.notice and step.say and step.minutes
        assert len(step.choices) >= 2 and len({choice.says for choice in step.choices}) == len(step.choices)


def page_to_print(name: str, language: str) -> Path:
    return PAGES / ("" if language == ENGLISH else language) / f"{name}.md"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", STATED)
def test_the_page_to_print_is_the_lesson(name: str, language: str) -> None:
    page = page_to_print(name, language).read_text(encoding="utf-8")
    with speaking(language):
        assert page == talk_track(lesson(name)), "run: python tests/unit/test_lesson_answers.py"
    assert re.findall(r"^\*\*\w+: ([A-F])\. .*\*\*$", page, re.MULTILINE) == list(STATED[name])


def test_what_the_first_lesson_says() -> None:
    kinds = [blocks("03-on-the-line", below_line_in=inches)["outcome"]["kind"] for inches in (0.0, 0.5, 1.0)]
    assert kinds == ["ground-ball", "line-drive", "fly-ball"]  # "another half inch"
    speeds = [value_of(blocks(step.path.stem), "collision.exit_speed_mph") for step in lesson(FIRST).steps]
    assert max(speed for speed in speeds if speed is not None) == speeds[0]  # "nothing after this one beats it"
    why = blocks("01-one-inch-under")["why"]
    assert why["undercut_deg"] > why["attack_deg"] > 0  # "most of the launch angle comes from that inch"
    on_line, one_under = (blocks(name)["flight"]["carry_ft"] for name in ("03-on-the-line", "01-one-inch-under"))
    assert one_under > 2 * on_line


def test_what_the_second_lesson_says() -> None:
    fair = [
        blocks(name)["window"]["fair_late_ms"] - blocks(name)["window"]["fair_early_ms"]
        for name in ("33-matched-and-late", "34-steep-and-late")
    ]
    assert fair[1] < fair[0] / 2  # "less than half as wide"
    windows = [blocks(name)["window"]["length_in"] for name in ("08-matched-swing", "09-steep-swing", DOWN)]
    assert windows[2] == min(windows)  # "the shortest window we have seen"
    assert blocks("08-matched-swing")["swing"]["dip_in"] < 1.0  # "the matched swing hardly dips"
    match = blocks("08-matched-swing")
    assert abs(match["swing"]["attack_angle_deg"] - match["pitch"]["descent_angle_deg"]) < 3.0


def test_what_the_third_lesson_says() -> None:
    held, cast = (blocks(name) for name in ("06-held", "07-cast"))
    for key in ("depth_in", "height_in", "side_in"):  # "the same contact"
        assert held["meeting"][key] == pytest.approx(cast["meeting"][key], abs=0.1)
    assert cast["window"]["length_ms"] > held["window"]["length_ms"]  # "in this model the wide path has the longer"
    assert held["swing"]["bat_speed_mph"] == pytest.approx(cast["swing"]["bat_speed_mph"], abs=0.1)


def test_a_step_without_a_right_choice_or_with_two_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text('format = 1\ntitle = "A"\n[swing]\nbelow_line_in = 4\n', encoding="utf-8")
    path = tmp_path / "lesson.toml"
    for choices, which in (("pop-up", "none is"), ('miss" }, { says = "y", when = "miss', "A and B is")):
        step = f'[[step]]\nscenario = "a.toml"\nchoices = [{{ says = "x", when = "{choices}" }}]\n'
        path.write_text(f'format = 1\ntitle = "x"\n{step}', encoding="utf-8")
        with pytest.raises(Plane3dError) as caught:
            check_answers(load_lesson(path), "lesson.toml")
        told = "outcome.kind is miss: exactly one choice must be right for it, and "
        assert str(caught.value) == f"lesson.toml: step 1, A: {told}{which}"


def test_numbers_that_do_not_apply_are_left_out() -> None:
    miss = next(step for step in lesson(FIRST).steps if step.path.stem == "02-four-inches-under")
    assert [words for words, _ in answer(miss).rows] == ["Below the line", "Closest pass"]
    fair = answer(lesson(FIRST).steps[0], metric=True)
    assert fair.rows[0] == ("Exit speed", ("153 km/h",))


FIRST, DOWN = "why-an-inch-matters", "32-the-downward-swing"

if __name__ == "__main__":
    for file, spoken in product(FILES, LANGUAGES):
        with speaking(spoken):
            text = talk_track(load_lesson(file))
        page_to_print(file.stem, spoken).write_text(text, encoding="utf-8", newline="\n")
