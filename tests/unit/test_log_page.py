"""The page of the hitter's log without a browser: what is asked, what is kept, what is said, and what is left alone."""

from __future__ import annotations

import hashlib
import sqlite3
from datetime import date, timedelta
from html import escape
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import parse_qsl

import pytest

from apps.log import LogPage, create_log
from apps.log_figures import minus
from plane3d.language import speaking
from plane3d.log import FIGURES, Figure, Hitter, Log, Swing, file
from plane3d.log.csv_text import csv_text
from plane3d.log.said import figure_words, with_error
from plane3d.log.trend import compare, split, trend
from plane3d.units import KMH, MPH

CODE = "under-12 contact hitter"
ATTACK, SPEED = "attack_angle_deg", "bat_speed_mph"
FIRST = date(2026, 1, 5)
LOOK = {"theme": "light", "metric": False, "size": 15}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "log.sqlite"


@pytest.fixture
def page(path: Path) -> LogPage:
    """A page with a hitter of 12 swings on 4 days."""
    log = Log(path)
    log.add_hitter(Hitter(CODE, "left", "under-12", "likes the low pitch"))
    days = [FIRST + timedelta(days=7 * (k // 3)) for k in range(12)]
    swings = [
        Swing(day, {SPEED: Figure(50 + k / 3, 1.0), ATTACK: Figure(5 + k * k % 5)}, "two cameras", note=f"n{k}")
        for k, day in enumerate(days)
    ]
    log.add_swings(CODE, swings)
    opened = LogPage(path)
    ask(opened, "arrive", LOOK, {})
    ask(opened, "choose", CODE)
    return opened


def ask(page: LogPage, what: str, *values: Any) -> None:
    """What the browser sends."""
    part = next(part for part in (page.head, page.list, page.hitter, page.swings) if what in part.actions)
    part._obey(SimpleNamespace(data={"do": what, "with": values}))


def said(page: LogPage) -> str:
    return str(page.said.object)


def refused(page: LogPage, words: str) -> bool:
    return "problem" in said(page) and words in said(page)


def rows(page: LogPage) -> list[dict[str, Any]]:
    return [swing for day in page.swings.state["days"] for swing in day["swings"]]


def handed(page: LogPage, monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, Any]]:
    given: list[tuple[str, Any]] = []
    monkeypatch.setattr(page.head, "hand_over", lambda name, content: given.append((name, content)))
    return given


# --- making, reading, switching off ----------------------------------------------------------------------------------


def test_no_log_is_made_until_something_is_kept(path: Path) -> None:
    page = LogPage(path)
    ask(page, "arrive", LOOK, {"hitter": "abc", "view": "trend"})
    ask(page, "backup")
    assert refused(page, "no log yet")
    ask(page, "add", " ", "", "", "")
    assert refused(page, "one line of 1 to")
    assert not path.exists() and page.list.state["hitters"] == []
    ask(page, "add", " H7 ", "left", "under-12", "a note")
    assert path.exists() and "H7 is in the log" in said(page)
    assert Log(path).hitters() == [Hitter("H7", "left", "under-12", "a note")]
    assert page.hitter.state["hitter"]["code"] == "H7"


def test_the_log_can_be_switched_off(path: Path) -> None:
    assert set(create_log(None, None)._render_items) == {"head"}, "nothing that could read or write a log is there"
    assert {"head", "list", "hitter", "swings"} < set(create_log(None, path)._render_items)


def test_pages_see_each_others_changes_at_the_next_action(page: LogPage, path: Path) -> None:
    other = LogPage(path)
    ask(other, "choose", CODE)
    number = rows(page)[0]["number"]
    ask(page, "note", number, "hands lower")
    ask(other, "more")
    assert rows(other)[0]["note"] == "hands lower"
    ask(other, "change", "H8", "", "", "")
    ask(page, "view", "trend")
    assert refused(page, "not in the log any more") and page.hitter.state["hitter"] is None
    assert [hitter["code"] for hitter in page.list.state["hitters"]] == ["H8"]


def test_the_address_brings_the_view_back_and_holds_no_code(page: LogPage, path: Path) -> None:
    ask(page, "view", "compare")
    ask(page, "split", "2026-01-19")
    link = page.head.state["link"]
    assert "contact" not in link
    again = LogPage(path)
    ask(again, "arrive", LOOK, dict(parse_qsl(link)))
    assert again.head.state["link"] == link
    assert again.compare_words.object == page.compare_words.object != ""
    ask(again, "arrive", LOOK, {"hitter": hashlib.sha256(CODE.encode()).hexdigest()[:12], "split": "soon"})
    assert refused(again, "2026-03-14, not &quot;soon&quot;")


# --- swings ----------------------------------------------------------------------------------------------------------


def test_swings_are_shown_as_they_were_kept(page: LogPage, path: Path) -> None:
    (newest, *_), kept = page.swings.state["days"], Log(path).swings(CODE)
    assert newest["day"] == kept[-1].day.isoformat() and newest["heads"] == ["Bat speed", "Attack angle"]
    assert newest["about"] == ["two cameras"], "said once for the day"
    swings = {swing["number"]: swing for swing in rows(page)}
    for swing in kept:
        assert swings[swing.number]["cells"] == [figure_words(name, swing.figures[name]) for name in (SPEED, ATTACK)]
        assert swings[swing.number]["note"] == swing.note
    ask(page, "look", {"metric": True})
    assert rows(page)[0]["cells"][0].endswith(" km/h")


def test_a_swing_is_added_by_hand_in_the_units_shown(page: LogPage, path: Path) -> None:
    ask(page, "look", {"metric": True})
    figures = [["exit_speed_mph", "100,5", "2"], [ATTACK, "−3.5", ""], [SPEED, "", ""]]
    ask(page, "swing", "2026-05-01", " radar gun ", "", "said 'up'", figures)
    assert "Saved as swing 13" in said(page)
    kept = Log(path).swings(CODE)[-1]
    assert (kept.day, kept.source, kept.note) == (date(2026, 5, 1), "radar gun", "said 'up'")
    assert set(kept.figures) == {"exit_speed_mph", ATTACK}
    assert kept.figures["exit_speed_mph"].value == pytest.approx(100.5 * KMH / MPH)
    assert kept.figures["exit_speed_mph"].uncertainty == pytest.approx(2 * KMH / MPH)
    assert kept.figures[ATTACK] == Figure(-3.5)
    assert rows(page)[0]["cells"] == ["−3.5°", "100.5 ± 2.0 km/h"]


@pytest.mark.parametrize(
    ("message", "words"),
    [
        (("swing", "2026-13-01", "", "", "", []), "2026-13-01"),
        (("swing", "2026-01-01", "", "", "", [[SPEED, "fast", ""]]), "bat speed must be a number"),
        (("swing", "2026-01-01", "", "", "", [[SPEED, "nan", ""]]), "bat speed of a swing must be a number"),
        (("swing", "2026-01-01", "", "", "", [[SPEED, "1e300", ""]]), "bat speed of a swing must be a number"),
        (("swing", "2026-01-01", "", "", "", [[SPEED, "50", "-1"]]), "must be 0 or more"),
        (("swing", "2026-01-01", "", "", "", [[SPEED, "50", ""], [SPEED, "51", ""]]), "given twice"),
        (("swing", "2026-01-01", "", "", "x" * 10_001, []), "too long"),
        (("swing", "2026-01-01", "", "", "", [["charm", "1", ""]]), "fault in plane3d"),
        (("note", 999, "x"), "no swing number 999"),
        (("drop", 999), "no swing number 999"),
        (("change", "", "", "", ""), "one line of 1 to"),
        (("change", "x", "both", "", ""), "both"),
        (("add", CODE, "", "", ""), "already"),
        (("delete", CODE.upper()), "type the code"),
        (("split", "2026"), "must be written"),
        (("file", "huge.sqlite", None), "huge.sqlite is too large"),
        (("file", "video.mp4", b"\0\0\0 ftypisom" * 99), "video.mp4 is damaged, or is not a log"),
        (("file", "empty.sqlite", b""), "empty.sqlite is not a log"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_said_in_one_sentence_and_changes_nothing(
    page: LogPage, path: Path, message: tuple[Any, ...], words: str
) -> None:
    before = csv_text(Log(path))
    ask(page, *message)
    assert refused(page, escape(words)), said(page)
    assert "Traceback" not in said(page) and str(path.parent) not in said(page)
    assert csv_text(Log(path)) == before and page.list.state["pending"] == ""
    ask(page, "note", 1, "still alive")
    assert not refused(page, "") and Log(path).swings(CODE)[0].note == "still alive"


def test_many_swings_come_in_parts(page: LogPage, path: Path) -> None:
    Log(path).add_swings(CODE, [Swing(FIRST) for _ in range(300)])
    ask(page, "view", "swings")
    assert (len(rows(page)), page.swings.state["hidden"]) == (200, 112)
    ask(page, "more")
    assert (len(rows(page)), page.swings.state["hidden"]) == (312, 0)


def test_points_of_a_swing_are_handed_over(page: LogPage, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (number,) = Log(path).add_swings(CODE, [Swing(date(2026, 6, 1), measured="time_s,knob_x_m\n0,1\n")])
    ask(page, "view", "swings")
    assert [row["number"] for row in rows(page) if row["measured"]] == [number]
    given = handed(page, monkeypatch)
    ask(page, "points", number)
    assert given == [(f"swing-{number}.csv", "time_s,knob_x_m\n0,1\n")]


# --- trend, before and after -----------------------------------------------------------------------------------------


def test_trend_is_that_of_the_library(page: LogPage, path: Path) -> None:
    swings = Log(path).swings(CODE)
    ask(page, "view", "trend")
    for name in (SPEED, ATTACK):
        ask(page, "figure", name)
        sentence = minus(trend(swings, name).sentence())
        assert sentence in page.trend_words.object and sentence in page.hitter.state["alt"]
        at, error = trend(swings, name).at(FIRST)
        assert with_error(name, at, error) in page.trend_table.object
    points = [one for one in page.figure.object.renderers if "Scatter" in type(one.glyph).__name__]
    assert sorted(points[0].data_source.data["y"]) == sorted(swing.figures[ATTACK].value for swing in swings)
    ask(page, "look", {"metric": True, "theme": "dark"})
    ask(page, "figure", SPEED)
    assert trend(swings, SPEED).sentence(metric=True) in page.trend_words.object
    assert page.figure.object.yaxis[0].axis_label == "Bat speed (km/h)"


@pytest.mark.parametrize("days", [(), (0,), (0, 0), (0, 1), (0, 0, 1)])
def test_few_swings_are_no_fault(path: Path, days: tuple[int, ...]) -> None:
    page = LogPage(path)
    ask(page, "arrive", LOOK, {})
    ask(page, "add", "H7", "", "", "")
    Log(path).add_swings("H7", [Swing(FIRST + timedelta(days=day), {SPEED: Figure(50.0 + day)}) for day in days])
    for view in ("trend", "compare", "swings"):
        ask(page, "view", view)
        assert not refused(page, ""), (view, said(page))
    wanted = "needs swings" if len(set(days)) < 2 else "too few swings" if len(days) == 2 else "too few days"
    assert wanted in page.trend_words.object


def test_before_and_after_is_that_of_the_library(page: LogPage, path: Path) -> None:
    swings, day = Log(path).swings(CODE), FIRST + timedelta(days=14)
    ask(page, "view", "compare")
    assert page.hitter.state["split"] == day.isoformat(), "as many days before as after"
    ask(page, "split", (FIRST + timedelta(days=7)).isoformat())
    for name in (SPEED, ATTACK):
        found = compare(*split(swings, FIRST + timedelta(days=7)), name)
        assert escape(minus(found.sentence())) in page.compare_words.object
        assert with_error(name, found.before, found.before_error) in page.compare_words.object
    ask(page, "split", "2030-01-01")
    assert "on both sides" in page.compare_words.object and not refused(page, "")


# --- deleting, backups -----------------------------------------------------------------------------------------------


def test_a_hitter_is_deleted_for_good(page: LogPage, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    handed(page, monkeypatch)
    ask(page, "backup")
    assert CODE.encode() in path.read_bytes()
    ask(page, "delete", f" {CODE} ")
    for words in ("with 12 swings", "Backups made up to", "Exported files still hold"):
        assert words in said(page)
    assert CODE.encode() not in path.read_bytes() and b"two cameras" not in path.read_bytes()
    assert page.hitter.state["hitter"] is None and rows(page) == []
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_one_swing_is_deleted(page: LogPage, path: Path) -> None:
    number = rows(page)[0]["number"]
    ask(page, "drop", number)
    assert number not in [swing.number for swing in Log(path).swings(CODE)] and len(rows(page)) == 11
    assert "still hold it" in said(page)


def test_a_backup_is_handed_over_checked_and_put_back(
    page: LogPage, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = handed(page, monkeypatch)
    before = csv_text(Log(path))
    ask(page, "backup")
    ask(page, "export")
    (name, content), (table, text) = given
    assert name.endswith(".sqlite") and table.endswith(".csv") and text == before
    ask(page, "delete", CODE)
    ask(page, "add", "another", "", "", "")
    ask(page, "file", "mine.sqlite", content)
    assert page.list.state["pending"] == "mine.sqlite holds 1 hitter and 12 swings."
    assert [one.code for one in Log(path).hitters()] == ["another"], "nothing happens before it is said"
    ask(page, "forget")
    ask(page, "restore")
    assert [one.code for one in Log(path).hitters()] == ["another"]
    ask(page, "file", "mine.sqlite", content)
    ask(page, "restore")
    assert csv_text(Log(path)) == before and page.list.state["pending"] == ""
    assert [one.name for one in path.parent.iterdir()] == [path.name], "no other copy of it is left anywhere"


# --- broken files, texts of others -----------------------------------------------------------------------------------


@pytest.mark.parametrize("harm", ["damaged", "newer", "folder", "locked", "day"])
def test_a_log_that_cannot_be_read_is_said_and_the_page_lives_on(
    page: LogPage, path: Path, tmp_path: Path, harm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = Log(path).backup_bytes()
    other = None
    if harm == "damaged":
        path.write_bytes(b"power cut" * 1000)
    elif harm == "folder":
        path.unlink()
        path.mkdir()
    else:
        monkeypatch.setattr(file, "PATIENCE", 0.01)
        other = sqlite3.connect(path, isolation_level=None)
        other.execute({"newer": "PRAGMA user_version = 99", "locked": "BEGIN EXCLUSIVE",
                       "day": "UPDATE swing SET day = 'soon'"}[harm])  # fmt: skip
    for message in (("look", {"metric": True}), ("note", 1, "x"), ("view", "compare")):
        ask(page, *message)
        assert refused(page, ""), message
        assert said(page).count(".") <= 2 and "Traceback" not in said(page)
    if other is not None:
        other.close()
    if harm == "damaged":
        ask(page, "file", "good.sqlite", good)
        ask(page, "restore")
        assert path.with_name("log.sqlite.broken").exists()
    if harm in ("damaged", "locked"):
        ask(page, "choose", CODE)
        assert len(rows(page)) == 12


def test_a_folder_that_may_not_be_written_to(page: LogPage, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the database says there; a test run by an administrator may write everywhere."""

    def refuse(*_: object) -> None:
        error = sqlite3.OperationalError("attempt to write a readonly database")
        error.sqlite_errorcode = sqlite3.SQLITE_READONLY  # type: ignore[misc]
        raise error

    monkeypatch.setattr("plane3d.log.store._insert", refuse)
    ask(page, "swing", "2026-05-01", "", "", "", [])
    assert refused(page, "cannot be opened for writing here") and len(rows(page)) == 12


def test_texts_of_the_log_are_shown_as_text(page: LogPage, path: Path) -> None:
    evil = "<img src=x onerror=alert(1)>"
    ask(page, "add", evil, "", "", evil)
    assert evil not in said(page) and escape(evil) in said(page)
    ask(page, "swing", "2026-05-01", evil, evil, evil, [[SPEED, evil, ""]])
    assert refused(page, escape(evil)) and evil not in said(page)
    ask(page, "file", f"{evil}.sqlite", b"x")
    assert evil not in said(page)
    ask(page, "swing", "2026-05-01", evil, evil, evil, [[SPEED, "50", ""]])
    for view in ("trend", "compare"):
        ask(page, "view", view)
        assert not any(evil in str(pane.object) for pane in (page.trend_words, page.trend_table, page.compare_words))


def test_spanish_and_every_figure(path: Path) -> None:
    with speaking("es"):
        page = LogPage(path)
    figures = {name: label for _, group in page.swings.state["figures"] for name, label, _ in group}
    assert set(figures) == set(FIGURES) and figures[SPEED] == "Velocidad del bate"
