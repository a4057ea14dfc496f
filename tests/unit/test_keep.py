"""Keeping, without a browser: files in and out, links, steps back, lessons, and work kept in the tab."""

from __future__ import annotations

import io
import json
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from apps.files import LESSON_NAME, MAX_FILES, TOO_MANY, lesson_files, new_step, open_files, topic, zipped
from apps.history import STEPS, History, Work
from apps.keep import LINKED, LOST, RESTORED, TOO_LARGE
from apps.link import encode
from apps.page import Page
from plane3d.lesson import Lesson, is_lesson, load_lesson, scenarios_folder
from plane3d.play import play
from plane3d.report import report
from plane3d.scenario import Scenario, load, loads
from plane3d.toml_text import MAX_BYTES

ALL = sorted(scenarios_folder().glob("*.toml"))
FILES = [path for path in ALL if not is_lesson(path)]
LESSONS = [path for path in ALL if is_lesson(path)]
ONE_INCH = load(scenarios_folder() / "01-one-inch-under.toml")
WRONG = b'format = 1\ntitle = "x"\n[swing]\ntiming_ms = 99\nbat_spede_mph = 70\n'


class Tab:
    """A page and the browser's end of it: what it sends, what it was given."""

    def __init__(self, saved: Any = None, link: str = ""):
        self.page = Page(scenarios_folder() / "01-one-inch-under.toml")
        self.got: list[dict[str, Any]] = []
        self.page.heading._send_msg = self.got.append
        self.count = 0
        self.say("arrive", link, saved)

    def say(self, what: str, *values: Any) -> None:
        self.page.heading.actions[what](*values)

    def change(self, gesture: int | None = None, **changes: Any) -> None:
        self.count += 1
        message = {"id": self.count, "changes": {f"swing.{key}": value for key, value in changes.items()}}
        self.page.controls._asked(_Event(message | ({} if gesture is None else {"gesture": gesture})))

    def open(self, *files: tuple[str, bytes | None]) -> None:
        self.say("open", [{"name": name, "data": data} for name, data in files])

    @property
    def kept(self) -> dict[str, Any]:
        return dict(self.page.heading.keep)

    @property
    def value(self) -> float:
        return float(self.page.controls.state["values"]["swing.below_line_in"])

    @property
    def titles(self) -> list[str]:
        return [title for _, group in self.page.heading.shelves for title in group]


class _Event:
    def __init__(self, data: dict[str, Any]):
        self.data = data


@pytest.fixture
def tab() -> Tab:
    return Tab()


# --- files -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_saved_and_opened_a_scenario_gives_the_same_answer(path: Path) -> None:
    scenario = load(path)
    [again] = open_files([("any name.toml", scenario.to_toml().encode("utf-8"))]).scenarios
    assert again.given == scenario.given
    assert report(play(again.to_inputs()).result) == report(play(scenario.to_inputs()).result)


def bare(lesson: Lesson) -> Lesson:
    """A lesson without the places its files came from."""
    return replace(lesson, steps=tuple(replace(step, path=Path(), than_path=None) for step in lesson.steps))


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
@pytest.mark.parametrize("packed", [False, True])
def test_saved_and_opened_a_lesson_keeps_everything(path: Path, packed: bool) -> None:
    lesson = load_lesson(path)
    files = lesson_files(lesson)
    given = [("lesson.zip", zipped(files))] if packed else [(name, text.encode()) for name, text in files.items()]
    opened = open_files(given)
    assert opened.mistakes == ()
    assert opened.scenarios == ()  # all of them came with the lesson
    assert [bare(one) for one in opened.lessons] == [bare(lesson)]


def test_a_lesson_of_the_same_titles_keeps_its_order() -> None:
    scenarios = [loads(f'format = 1\ntitle = "Same"\n[swing]\ntiming_ms = {ms}\n') for ms in (3, 1, 2, 1)]
    files = lesson_files(Lesson("01 Same", "", tuple(map(new_step, scenarios))))
    assert len(files) == 4  # the lesson and three different scenarios
    [lesson] = open_files([(name, text.encode()) for name, text in files.items()]).lessons
    assert [scenario.swing.timing_ms for scenario in lesson.scenarios] == [3, 1, 2, 1]


@pytest.mark.parametrize(
    ("title", "name"),
    [("One inch under", "one-inch-under"), ("Más rápido!", "mas-rapido"), ("???", "scenario"), ("../../x", "x")],
)
def test_a_title_makes_a_plain_file_name(title: str, name: str) -> None:
    assert topic(title) == name


def test_every_mistake_is_told_by_file_line_and_key_and_the_rest_is_opened() -> None:
    good = ONE_INCH.to_toml().encode()
    files = [("bad.toml", WRONG), ("good.toml", good), ("no.toml", b"x = "), ("a.txt", b""), ("z.zip", b"PK")]
    opened = open_files(files)
    told = [str(mistake) for mistake in opened.mistakes]
    assert [scenario.title for scenario in opened.scenarios] == ["One inch under"]
    assert any(words.startswith("bad.toml:4: swing.timing_ms = 99 must be a number from") for words in told)
    assert any(words.startswith("bad.toml:5: swing.bat_spede_mph") and "did you mean" in words for words in told)
    assert any(words.startswith("no.toml: is not valid TOML") for words in told)
    assert any(words.startswith("a.txt: is not a scenario") for words in told)
    assert any(words.startswith("z.zip: is not a zip file") for words in told)


def test_a_lesson_without_its_scenarios_says_which_are_missing() -> None:
    [mistake] = open_files([("l.toml", b'format = 1\ntitle = "a"\nscenarios = ["q.toml"]\n')]).mistakes
    assert str(mistake) == 'l.toml:3: scenarios names "q.toml", but there is no such file'


@pytest.mark.parametrize(
    "name",
    ["../../outside.toml", "/etc/outside.toml", "C:\\x\\outside.toml", "a\nb.toml", ".toml", "長" * 300 + ".toml"],
)
def test_a_name_cannot_lead_anywhere(name: str, tmp_path: Path) -> None:
    [scenario] = open_files([(name, ONE_INCH.to_toml().encode())]).scenarios
    assert scenario.given == ONE_INCH.given


def bomb(size: int, count: int = 1) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for i in range(count):
            archive.writestr(f"{i}.toml", b"#" * size)
    return packed.getvalue()


def test_what_is_too_large_is_refused() -> None:
    for files in ([("a.toml", b"#" * (MAX_BYTES + 1))], [("a.zip", bomb(100 * MAX_BYTES))]):
        [mistake] = open_files(files).mistakes
        assert "is larger than 1 MB" in str(mistake)
    [mistake] = open_files([("a.zip", bomb(1, MAX_FILES + 1))]).mistakes
    assert mistake.text == TOO_MANY.format(most=MAX_FILES)
    assert open_files([(f"{i}.toml", b"") for i in range(MAX_FILES + 1)]).mistakes[-1].text == TOO_MANY.format(
        most=MAX_FILES
    )


# --- steps -----------------------------------------------------------------------------------------------------------


def test_undo_and_redo(tab: Tab) -> None:
    tab.change(below_line_in=2.0)
    tab.change(below_line_in=3.0)
    tab.say("undo")
    assert tab.value == 2.0
    tab.say("undo")
    assert (tab.value, tab.kept["undo"], tab.kept["redo"]) == (1.0, False, True)
    tab.say("undo")  # nothing left: nothing happens
    tab.say("redo")
    tab.say("redo")
    assert (tab.value, tab.kept["undo"], tab.kept["redo"]) == (3.0, True, False)
    tab.say("undo")
    tab.change(below_line_in=2.5)
    assert not tab.kept["redo"]  # another road was taken


def test_one_drag_is_one_step(tab: Tab) -> None:
    for tenth in range(11, 31):
        tab.change(gesture=7, below_line_in=tenth / 10)
    tab.change(gesture=8, below_line_in=4.0)
    tab.say("undo")
    assert tab.value == 3.0
    tab.say("undo")
    assert (tab.value, tab.kept["undo"]) == (1.0, False)


def test_a_drag_of_the_strip_is_one_step(tab: Tab) -> None:
    for ms in (1.0, 2.0, 3.0):
        tab.page.strip._ask(_Event({"timing_ms": ms, "gesture": 1}))
    tab.say("undo")
    assert tab.page.controls.state["values"]["swing.timing_ms"] == 0
    assert not tab.kept["undo"]


def test_what_is_refused_is_no_step(tab: Tab) -> None:
    tab.change(timing_ms=99)
    assert not tab.kept["undo"]
    tab.change(timing_ms=0)
    assert not tab.page.heading.state["problem"]


def test_undo_returns_to_another_scenario_with_its_changes(tab: Tab) -> None:
    tab.change(below_line_in=2.0)
    tab.say("choose", 3)
    tab.say("undo")
    assert (tab.value, tab.page.heading.state["chosen"]) == (2.0, 0)
    assert tab.page.heading.state["changed"]


def test_the_history_is_bounded() -> None:
    history = History(Work(0, ONE_INCH))
    for i in range(STEPS + 50):
        history.add(Work(i + 1, ONE_INCH))
    for _ in range(STEPS + 50):
        history.undo()
    assert history.now.place == 50


def test_two_sessions_share_no_history(tab: Tab) -> None:
    other = Tab()
    tab.change(below_line_in=2.0)
    tab.say("lesson_add")
    other.say("undo")
    assert not other.kept["undo"]
    assert (tab.value, other.value, other.kept["lesson"]) == (2.0, 1.0, [])


# --- words -----------------------------------------------------------------------------------------------------------


def test_words_are_edited_saved_and_taken_back(tab: Tab) -> None:
    tab.say("words", {"title": "Mine"})
    tab.say("words", {"question": "First?\nSecond?", "notice": ""})
    tab.say("save")
    [message] = tab.got
    assert message["name"] == "mine.toml"
    saved = loads(message["data"].decode("utf-8"))
    assert (saved.title, saved.question, saved.notice) == ("Mine", "First?\nSecond?", "")
    assert saved.to_inputs() == ONE_INCH.to_inputs()
    tab.say("undo")
    tab.say("undo")
    assert tab.kept["title"] == "One inch under"


@pytest.mark.parametrize("title", ["", "  ", "a\nb", "x" * 121])
def test_a_title_that_cannot_be_is_said_in_the_box(tab: Tab, title: str) -> None:
    tab.say("words", {"title": title})
    [words] = tab.kept["problems"]
    assert "title" in words
    assert "must be one line of text" in words
    assert tab.kept["title"] == "One inch under"


def test_half_a_character_does_no_harm(tab: Tab) -> None:
    tab.say("words", {"title": "a\ud800b"})
    assert tab.kept["title"] == "a?b"


# --- files on the page -----------------------------------------------------------------------------------------------


def test_an_opened_file_joins_the_picker_and_is_shown(tab: Tab) -> None:
    mine = ONE_INCH.with_values({"title": "Mine", "swing.below_line_in": 2.2})
    before = tab.titles
    tab.open(("mine.toml", mine.to_toml().encode()))
    assert tab.titles == [*before, "Mine"]
    assert (tab.value, tab.page.heading.state["changed"]) == (2.2, False)
    tab.open(("mine.toml", mine.to_toml().encode()))
    assert tab.titles == [*before, "Mine"]  # once is enough
    tab.say("undo")
    assert (tab.titles, tab.value) == (before, 1.0)


def test_a_wrong_file_changes_nothing(tab: Tab) -> None:
    words = tab.page.heading.state["sentence"]
    tab.open(("bad.toml", WRONG), ("huge.toml", None))
    assert len(tab.kept["problems"]) == 3
    assert tab.kept["problems"][0].startswith("bad.toml:4: swing.timing_ms")
    assert tab.kept["problems"][-1] == f"huge.toml: {TOO_LARGE}"
    assert (tab.page.heading.state["sentence"], tab.kept["undo"]) == (words, False)
    tab.say("dismiss")
    assert tab.kept["problems"] == ()


# --- lessons ---------------------------------------------------------------------------------------------------------


def test_a_lesson_is_made_ordered_and_saved(tab: Tab) -> None:
    for place in (1, 2, 3):
        tab.say("choose", place)
        tab.say("lesson_add")
    first, second, third = tab.kept["lesson"]
    tab.say("lesson_move", 2, 0)
    tab.say("lesson_remove", 1)
    assert tab.kept["lesson"] == [third, second]
    tab.say("lesson_title", "  My\nlesson ")
    tab.say("lesson_save", False)
    tab.say("lesson_save", True)
    alone, whole = tab.got
    assert (alone["name"], whole["name"]) == ("lesson-my-lesson.toml", "lesson-my-lesson.zip")
    [lesson] = open_files([(whole["name"], whole["data"])]).lessons
    assert (lesson.title, [s.title for s in lesson.scenarios]) == ("My lesson", [third, second])
    assert zipfile.ZipFile(io.BytesIO(whole["data"])).read(alone["name"]) == alone["data"]
    tab.say("undo")
    tab.say("undo")
    assert tab.kept["lesson"] == [third, first, second]


def test_an_opened_lesson_keeps_its_choices_when_it_is_saved_again(tab: Tab) -> None:
    lesson = load_lesson(scenarios_folder() / "why-an-inch-matters.toml")
    tab.open(("l.zip", zipped(lesson_files(lesson))))
    tab.say("lesson_move", 0, 1)
    tab.say("lesson_save", True)
    [again] = open_files([("l.zip", tab.got[0]["data"])]).lessons
    assert bare(again).steps[:2] == bare(lesson).steps[1::-1]
    assert again.steps[0].choices


def test_a_lesson_without_title_still_saves(tab: Tab) -> None:
    tab.say("lesson_add")
    tab.say("lesson_save", True)
    assert tab.got[0]["name"].startswith(LESSON_NAME)
    assert open_files([("l.zip", tab.got[0]["data"])]).mistakes == ()


# --- links and reload ------------------------------------------------------------------------------------------------


def test_a_link_opens_the_same_play(tab: Tab) -> None:
    tab.change(below_line_in=2.3, timing_ms=4)
    other = Tab(link=tab.kept["link"])
    assert other.page.numbers.object == tab.page.numbers.object
    assert other.kept["note"] == LINKED
    assert other.kept["link"] == tab.kept["link"]
    other.say("undo")
    assert other.value == 1.0


@pytest.mark.parametrize("link", ["rubbish", "1AAAA", encode(ONE_INCH)[:-4], "9" * 100_000])
def test_a_wrong_link_is_said_and_the_page_lives_on(link: str) -> None:
    tab = Tab(link=link)
    [words] = tab.kept["problems"]
    assert words.startswith("link: ")
    tab.change(below_line_in=2.0)
    assert (tab.value, tab.kept["problems"]) == (2.0, ())


def test_a_reload_brings_everything_back_and_there_is_a_way_back(tab: Tab) -> None:
    mine = ONE_INCH.with_values({"title": "Mine"})
    tab.open(("mine.toml", mine.to_toml().encode()))
    tab.say("lesson_add")
    tab.say("lesson_title", "My lesson")
    tab.change(below_line_in=2.5)
    saved = json.loads(json.dumps(tab.kept["saved"]))
    again = Tab(saved, tab.kept["link"])
    assert again.kept["note"] == RESTORED
    same = ("title", "lesson", "lesson_title", "link", "start")
    assert {key: again.kept[key] for key in same} == {key: tab.kept[key] for key in same}
    assert (again.value, again.titles) == (2.5, tab.titles)
    again.say("restart")
    assert again.value == 1.0
    again.say("undo")
    again.say("undo")
    assert (again.value, again.kept["saved"]) == (1.0, None)


def test_nothing_is_kept_before_something_was_made(tab: Tab) -> None:
    assert tab.kept["saved"] is None
    tab.change(below_line_in=2.0)
    assert tab.kept["saved"]
    tab.change(below_line_in=None)
    assert tab.kept["saved"] is None


def test_a_link_opened_over_kept_work_loses_nothing(tab: Tab) -> None:
    tab.change(below_line_in=2.0)
    other = Tab(tab.kept["saved"], encode(ONE_INCH.with_values({"swing.below_line_in": 3.0})))
    assert (other.value, other.kept["note"]) == (3.0, LINKED)
    other.say("undo")
    assert other.value == 2.0


@pytest.mark.parametrize("saved", [{}, [], "x", 3, {"own": 3, "lesson": {}}, {"own": ["zzz"], "lesson": {}}])
def test_kept_work_that_is_spoiled_is_put_aside(saved: Any) -> None:
    tab = Tab(saved)
    assert tab.kept["note"] == LOST
    assert tab.value == 1.0


def test_a_scenario_that_cannot_be_played_is_kept_all_the_same() -> None:
    slow: Scenario = ONE_INCH.with_values({"pitch.speed_mph": 20})
    tab = Tab(link=encode(slow))
    assert tab.page.heading.state["problem"]
    assert tab.kept["link"] == encode(slow)
