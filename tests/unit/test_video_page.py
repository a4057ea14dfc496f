"""One session of the page of films, without a browser: marks come in, an answer or one sentence goes out."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from apps.link import encode
from apps.video import VideoPage, create_video
from plane3d.language import speaking
from plane3d.log import Log
from plane3d.measured.marks_file import MarksFile, dumps, loads
from tests.films import ONE_INCH, SIDE_ON, STICK, filmed, marks_of

TWO = marks_of(filmed(240.0))
ONE = MarksFile(marks_of(filmed(240.0, (SIDE_ON,))).views, STICK)
LONG = 60.0  # s within which a thread is surely done


class Session:
    """A page, and what it sends to its browser."""

    def __init__(self, log: Path):
        self.page = VideoPage(log_path=log)
        self.sent: list[dict[str, Any]] = []
        self.page.desk._send_msg = self.sent.append
        self.ask("arrive", {"metric": False}, {"s": encode(ONE_INCH)})

    def ask(self, what: str, *values: Any) -> dict[str, Any]:
        """What the browser sends, and the state after the answer to it."""
        panel = self.page.desk if what in self.page.desk.actions else self.page.head
        panel._obey(SimpleNamespace(data={"do": what, "with": values}))
        assert self.page.worker.wait(LONG)
        return self.state

    @property
    def state(self) -> dict[str, Any]:
        state: dict[str, Any] = self.page.desk.state
        json.dumps(state, allow_nan=False)  # nothing that a browser could not read
        return state


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    yield Session(tmp_path / "log.sqlite")
    assert not list(tmp_path.iterdir()), "the log was made with nothing to keep"


def test_two_views_come_to_a_swing(session: Session) -> None:
    state = session.ask("work", dumps(TWO))
    assert state["found"] and not state["problem"] and not state["running"]
    answer = state["answer"]
    assert [name for name, _ in answer["cameras"]] == ["First view", "Second view"]
    assert len(answer["points"]) == 3
    assert {one["part"] for one in answer["misses"]} == {"knob", "tip", "ball"}
    assert {one["view"] for one in answer["known"]} == {0, 1}
    found = session.page.answer.found
    assert (
        found is not None
        and abs(found.figures["bat_speed"].value / found.scenario.si("swing.bat_speed_mph") - 1) < 0.03
    )
    assert "ft" in answer["cameras"][0][1]
    session.ask("look", {"metric": True})
    assert " m " in session.state["answer"]["cameras"][0][1] and session.page.answer.metric


def test_one_view_comes_to_plane_figures(session: Session) -> None:
    state = session.ask("work", dumps(ONE))
    shown = session.page.answer.view.state["answer"]
    assert shown["figures"][0][0] == "Attack angle" and shown["headline"].startswith("Attack angle")
    assert "One view sees nothing" in shown["notes"][0]
    assert state["found"] and not shown["swing"] and session.page.answer.found is None


def test_the_figures_of_one_view_are_kept_too(tmp_path: Path) -> None:
    session = Session(tmp_path / "log.sqlite")
    session.ask("work", dumps(ONE))
    session.page.answer.view.actions["keep"]("a role", "2026-03-14", "", "")
    (swing,) = Log(tmp_path / "log.sqlite").swings("a role")
    assert set(swing.figures) == {"attack_angle_deg", "below_line_in", "dip_in", "depth_in", "height_in"}
    kept = swing.figures["attack_angle_deg"]
    row = session.page.answer.view.state["answer"]["figures"][0][1]
    assert row.replace("−", "-").startswith(f"{kept.value:.1f}°") and "one view" in swing.source
    assert row.endswith(f"{1.96 * kept.uncertainty:.1f}°")


def test_what_is_missing_is_one_sentence(session: Session) -> None:
    state = session.ask("work", dumps(replace(TWO, stick=None)))
    assert (state["headline"], state["problem"]) == ("State the height of the stick stood on the plate.", True)
    assert state["answer"] is None
    state = session.ask("work", dumps(replace(TWO, stick=STICK)).replace("240.0", "-3", 1))
    assert "rate_hz = -3 must be a number from 1" in state["headline"]
    assert session.ask("work", dumps(TWO))["found"]


def test_the_other_side_is_told_with_what_the_marks_are_worth(session: Session) -> None:
    session.ask("work", dumps(TWO))
    state = session.ask("bats", "left")
    assert state["problem"] and "left-handed" in state["headline"] and state["answer"]["cameras"]
    assert not state["found"] and session.page.answer.found is None
    assert session.ask("bats", "right")["found"]


def test_saved_work_is_read_by_the_library(session: Session) -> None:
    session.ask("open", "work.marks.json", dumps(TWO))
    assert session.sent[-1]["do"] == "take" and loads(session.sent[-1]["data"]) == TWO
    for text, said in (("{", "cut short"), (None, "larger than 2 MB"), ("[]", "no file of marks")):
        session.ask("open", "work.marks.json", text)
        assert session.sent[-1]["do"] == "refuse" and said in session.sent[-1]["data"]
        assert session.sent[-1]["data"].startswith("work.marks.json")
    assert session.state["headline"] == "Set the marks, then work it out."


def test_a_bad_link_is_one_sentence(session: Session) -> None:
    state = session.ask("arrive", {"metric": False}, {"s": "nonsense"})
    assert state["problem"] and "link" in state["headline"]


def test_the_page_is_made_in_both_languages() -> None:
    for language in ("en", "es"):
        with speaking(language):
            assert create_video() is not None
