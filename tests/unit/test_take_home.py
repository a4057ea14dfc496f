"""Files to take home, made for the page in processes of their own: what is asked, whose turn it is, what comes."""

from __future__ import annotations

import csv
import io
import json
import threading
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from apps import take_home
from apps.files import lesson_files
from apps.lesson import LessonPage
from apps.page import Page
from apps.take_home import Order, TakeHome, Turns, render
from plane3d.errors import Plane3dError
from plane3d.language import speaking
from plane3d.lesson import load_lesson, scenarios_folder

ONE_INCH = scenarios_folder() / "01-one-inch-under.toml"
FILES = {"one-inch-under.toml": ONE_INCH.read_text(encoding="utf-8")}
LIMIT = 20.0  # s


def going_on(share: float) -> bool:
    return True


def order(kind: str, files: Mapping[str, str] = FILES, **looks: Any) -> Order:
    return Order(files, kind, looks)


# --- what is asked of the command ------------------------------------------------------------------------------------


def test_only_looks_that_count_are_passed_on() -> None:
    looks = {"view": "above", "theme": "dark", "metric": True, "figure": True, "time": -12.5, "camera": [1.0] * 10}
    wanted = ["--view=above", "--theme=dark", "--figure", "--metric", "--camera=" + ",".join(["1.000000"] * 10)]
    assert list(order("png", **looks).options()) == [*wanted, "--time=-12.500"]
    assert list(order("mp4", **looks).options()) == wanted
    assert list(order("pdf", **looks).options()) == ["--figure", "--metric"]
    assert list(order("csv", **looks).options()) == []


@pytest.mark.parametrize("looks", [
    {"view": "--output=x"}, {"view": 3}, {"view": None}, {"theme": "dark; rm"}, {"metric": "yes"}, {"figure": 1},
    {"camera": "1,2"}, {"camera": [1, "x"]}, {"camera": [float("nan")] * 10}, {"time": "now"}, {"time": True},
])  # fmt: skip
def test_what_a_browser_makes_up_is_left_out(looks: dict[str, Any]) -> None:
    assert list(order("png", **looks).options()) == []


def test_a_moment_far_off_is_the_nearest_that_can_be_shown() -> None:
    assert list(order("png", time=9e9).options()) == ["--time=1000.000"]


# --- the command itself ----------------------------------------------------------------------------------------------


def test_numbers_come_in_one_zip_file() -> None:
    name, data = render(order("csv", metric=True), going_on) or ("", b"")
    assert name == "one-inch-under-csv.zip"
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        files = ["one-inch-under-paths.csv", "one-inch-under-timings.csv", "one-inch-under.csv"]
        assert sorted(packed.namelist()) == files
        table = list(csv.reader(io.StringIO(packed.read(files[2]).decode("utf-8-sig"))))
    assert table[1][:2] == ["title", "One inch under"]


def test_words_are_in_the_language_of_the_session() -> None:
    with speaking("es"):
        name, data = render(order("json"), going_on) or ("", b"")
    assert (name, json.loads(data)["title"]) == ("one-inch-under.json", "Una pulgada por debajo")


def test_a_lesson_comes_with_all_its_scenarios() -> None:
    files = lesson_files(load_lesson(scenarios_folder() / "inside-the-ball.toml"))
    name, data = render(order("html", files), going_on) or ("", b"")
    assert name == "lesson-inside-the-ball.html"
    assert "The hinge cast" in data.decode()


def test_a_problem_is_one_sentence_without_places_of_this_machine() -> None:
    with pytest.raises(Plane3dError) as caught:
        render(order("json", {"a.toml": 'format = 1\ntitle = "x"\n[swing]\nbat_speed_mph = 900\n'}), going_on)
    assert str(caught.value).startswith("a.toml:4: swing.bat_speed_mph = 900 must be")
    assert "/" not in str(caught.value).partition("must be")[0]


def test_a_machine_that_cannot_draw_says_what_it_needs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    fails = "import os; os.abort()"  # as a missing graphics library does
    (tmp_path / "pyvista.py").write_text(fails, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with pytest.raises(Plane3dError, match="libegl1 libgl1-mesa-dri"):
        render(order("png"), going_on)


def test_a_fault_is_told_as_one_and_the_terminal_says_more(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = tmp_path / "told"
    told.write_text("3 %\nTraceback (most recent call last):\nZeroDivisionError\n", encoding="utf-8")
    assert take_home._problem(told, tmp_path) == take_home.FAULT
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_work_that_is_given_up_ends_its_process(monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[Any] = []
    popen = take_home.subprocess.Popen

    def watched(*arguments: Any, **how: Any) -> Any:
        started.append(popen(*arguments, **how))
        return started[-1]

    monkeypatch.setattr(take_home.subprocess, "Popen", watched)
    assert render(order("mp4"), lambda share: not started) is None
    assert started[0].poll() is not None


def test_progress_is_the_last_that_was_told(tmp_path: Path) -> None:
    told = tmp_path / "told"
    told.write_text("", encoding="utf-8")
    assert take_home._share(told) == 0.0
    told.write_text("3 %\n41 %\n", encoding="utf-8")
    assert take_home._share(told) == 0.41


# --- turns -----------------------------------------------------------------------------------------------------------


def test_two_at_a_time_and_the_third_waits_its_turn() -> None:
    turns = Turns(2)
    ahead: list[int] = []
    waits, came = threading.Event(), threading.Event()

    def waiting(count: int) -> bool:
        ahead.append(count)
        waits.set()
        return True

    def third() -> None:
        with turns.turn(waiting) as mine:
            if mine:
                came.set()

    with turns.turn(waiting) as first:
        with turns.turn(waiting) as second:
            assert first and second and not ahead
            thread = threading.Thread(target=third)
            thread.start()
            assert waits.wait(LIMIT) and not came.is_set()
            told: list[int] = []
            with turns.turn(lambda count: bool(told.append(count))) as fourth:
                assert not fourth and told == [2]
        assert came.wait(LIMIT)
    thread.join(LIMIT)
    assert set(ahead) == {1}


# --- a session -------------------------------------------------------------------------------------------------------


class Session:
    """What a session's browser is told and given; work runs in the worker's thread until it is let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, made: Callable[[Order], Any]):
        self.states: list[dict[str, Any]] = []
        self.files: list[tuple[str, bytes]] = []
        self.asked: list[Order] = []
        self.go = threading.Event()

        def work(one: Order, progress: Callable[[float], bool]) -> Any:
            self.asked.append(one)
            while not self.go.wait(0.01):
                if not progress(0.5):
                    return None
            return made(one)

        monkeypatch.setattr(take_home, "render", work)
        self.home = TakeHome(
            lambda of: (FILES if of == "scenario" else {}, {"metric": True, "view": "above"}), self.states.append,
            lambda name, data: self.files.append((name, data)), lambda call: call(),
        )  # fmt: skip

    def wait(self) -> None:
        assert self.home.worker.wait(LIMIT)


def test_a_file_is_made_and_handed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    session = Session(monkeypatch, lambda one: ("a.png", b"png"))
    session.home.take("scenario", "png", {"view": "side", "metric": False, "time": 3.0})
    session.home.take("scenario", "gif", {})  # one at a time
    session.go.set()
    session.wait()
    assert session.files == [("a.png", b"png")]
    assert session.asked == [Order(FILES, "png", {"view": "above", "metric": True, "time": 3.0})]
    assert session.states[0]["kind"] == "png"
    assert session.states[-1] == {
        "of": "scenario", "kind": "", "share": 0.0, "ahead": 0, "said": "a.png is with the downloads.", "wrong": False,
    }  # fmt: skip


def test_cancelling_gives_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    session = Session(monkeypatch, lambda one: ("a.png", b"png"))
    session.home.take("scenario", "png")
    session.home.cancel()
    session.wait()
    assert session.files == []
    assert session.states[-1]["said"] == "Cancelled." and not session.states[-1]["kind"]


def test_a_problem_is_said_where_it_was_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(one: Order) -> Any:
        raise Plane3dError("The drawing process ended.")

    session = Session(monkeypatch, fails)
    session.go.set()
    session.home.take("scenario", "png")
    session.wait()
    assert (session.states[-1]["said"], session.states[-1]["wrong"]) == ("The drawing process ended.", True)
    session.home.take("lesson", "pdf")  # which has no step
    assert (session.states[-1]["of"], session.states[-1]["wrong"]) == ("lesson", True)
    session.home.take("scenario", "exe")
    session.home.take("scenario", "../x")
    assert len(session.asked) == 1


def test_the_page_takes_what_it_shows() -> None:
    page = Page(ONE_INCH)
    page.heading.actions["measure"](True)
    page.heading.actions["theme"]("dark")
    page._change({"swing.below_line_in": 0.4})
    files, looks = page._to_take("scenario")
    assert list(files) == ["one-inch-under.toml"] and "below_line_in = 0.4" in files["one-inch-under.toml"]
    assert looks == {"metric": True, "theme": "dark"}
    assert page._to_take("lesson")[0] == {}
    page.heading.actions["lesson_add"]()
    assert len(page._to_take("lesson")[0]) == 2


def test_lesson_mode_takes_a_lesson_by_name() -> None:
    page = LessonPage(None)
    assert next(iter(page._to_take("inside-the-ball")[0])) == "lesson-inside-the-ball.toml"
    assert page._to_take("../secret")[0] == {}
    page.panel.actions["take"]("../secret", "pdf", SimpleNamespace())
    assert page.panel.home["wrong"]
