"""One session of the studies, without a browser: what is asked, worked out, shown, refused; and the worker."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import parse_qsl

import pytest

from apps.background import FAULT, Background, Progress
from apps.link import encode
from apps.studies import CANCELLED, StudiesPage, create_studies
from apps.studies_asked import PARTS
from apps.studies_html import signed
from apps.studies_parts import STUDIES
from plane3d.drills import SUPPLIED
from plane3d.errors import Plane3dError
from plane3d.language import current, speaking
from plane3d.lesson import scenarios_folder
from plane3d.practice_sheet import sheet
from plane3d.scenario import Scenario, load, loads
from plane3d.study import remedy, spread, target, versus

ONE_INCH = load(scenarios_folder() / "01-one-inch-under.toml")
MATCHED = load(scenarios_folder() / "08-matched-swing.toml")
LITTLE = load(scenarios_folder() / "20-small-hitter-lifts.toml")
PITCHES = 'format = 1\ntitle = "Own"\n[[pitch]]\ntitle = "Our own slider"\ncount = 1\nfamily = "slider"\n'
LONG = 60.0  # s within which a thread is surely done


class Tried(StudiesPage):
    """A session whose answers wait until `ask` takes them, as they wait in a browser's session for its next tick."""

    def __init__(self, path: Path | None = None):
        self.waiting: list[Callable[[], None]] = []
        super().__init__(path, self.waiting.append)


def opened_page() -> Tried:
    opened = Tried()
    ask(
        opened, "arrive", {"theme": "dark", "metric": False, "size": 15}, {"swings-spread": "1000", "kinds": "fly-ball"}
    )
    return opened


@pytest.fixture
def page() -> Tried:
    return opened_page()


@pytest.fixture(scope="module")
def kept() -> Tried:
    """A page for many mistakes, none of which may leave anything behind."""
    return opened_page()


def ask(page: Tried, what: str, *values: Any) -> None:
    """What the browser sends, and the answer to it."""
    panel = page.inputs if what in page.inputs.actions else page.head
    panel._obey(SimpleNamespace(data={"do": what, "with": values}))
    assert page.worker.wait(LONG)
    while page.waiting:
        page.waiting.pop(0)()


def said(page: Tried) -> str:
    return str(page.head.state["headline"])


def link(page: Tried) -> dict[str, str]:
    return dict(parse_qsl(page.head.state["link"]))


def test_nothing_is_worked_out_before_the_browser_is_there() -> None:
    fresh = Tried()
    assert not fresh.worker.running
    assert fresh.head.state["sentence"].startswith("The barrel is 1.0 in below the line: a fly ball")
    create_studies()


def test_spread_is_that_of_the_library(page: Tried) -> None:
    found = spread.run(ONE_INCH, plays=1000)
    assert found is not None
    assert said(page) == spread.headline(found)
    for _, words in (*spread.outcome_rows(found), *spread.contact_rows(found)):
        assert f"<td>{signed(words)}</td>" in page.words["spread"].object
    assert {name for name, pane in page.figures.items() if pane.object} == {"outcomes", "landings", "cloud"}
    assert "31" in page.head.state["alts"]["outcomes"]


def test_every_part_shows_what_the_library_says(page: Tried) -> None:
    ask(page, "open", "remedy")
    assert said(page) == remedy.headline(remedy.run(ONE_INCH, remedy.goal("fly-ball")))
    ask(page, "open", "target")
    assert said(page) == target.headline(target.run(ONE_INCH))
    ask(page, "open", "versus")
    found = versus.run(ONE_INCH, MATCHED)
    assert found is not None and said(page) == versus.headline(found)
    ask(page, "open", "sheet")
    made = page._found["sheet"][1]
    assert page._shown["sheet"][1].file == sheet(made)
    assert all(drill.name in page.words["sheet"].object for drill, _ in made.drills)
    assert all(page.figures[name].object is not None for name in page.figures)
    assert not page.head.state["stale"]


def test_a_known_answer_is_not_worked_out_again(page: Tried) -> None:
    found = page._found["spread"][1]
    ask(page, "open", "target")
    ask(page, "open", "spread")
    ask(page, "look", {"metric": True})
    assert page._found["spread"][1] is found
    assert "km/h" in page.words["spread"].object


def test_scatter_follows_the_level_until_it_is_set(page: Tried) -> None:
    ask(page, "scatter", {"timing_ms": 3.5})
    assert page.inputs.state["changed"] == ["timing_ms"]
    assert page.inputs.state["scatter"]["timing_ms"] == 3.5
    before = said(page)
    place = [one.title for one in page._scenarios].index(LITTLE.title)
    ask(page, "choose", place)
    assert page.inputs.state["scatter"]["height_in"] == 1.2
    assert page.inputs.state["scatter"]["timing_ms"] == 3.5
    ask(page, "scatter", {"timing_ms": None})
    assert page.inputs.state["changed"] == []
    assert said(page) != before


@pytest.mark.parametrize(
    ("message", "words"),
    [
        (("scatter", {"timing_ms": 400}), "Scatter of timing = 400 must be a number from 0 to 40 ms."),
        (("scatter", {"timing_ms": "much"}), "Scatter of timing = \"much\" must be a number from 0 to 40 ms."),
        (("seed", "one"), "Seed must be a whole number from 0 to 4294967295."),
        (("seed", "99999999999999"), "Seed must be a whole number from 0 to 4294967295."),
        (("goal", [], "middle"), "The ball you want must be at least one kind; tick one."),
        (("file", "pitches", "a.toml", b"\xff\xfe"), "a.toml: is no text file in UTF-8"),
        (("file", "drills", "a.toml", None), "a.toml: is larger than 1 MB"),
        (("file", "drills", "a.toml", b"format = 1"), "drills file"),
        (("file", "pitches", "a.toml", b"format = 1"), "pitch set"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_said_in_one_sentence_and_changes_nothing(
    kept: Tried, message: tuple[Any, ...], words: str
) -> None:
    before = link(kept)
    ask(kept, *message)
    assert kept.head.state["problem"]
    assert words in said(kept)
    assert "Traceback" not in said(kept) and "/" not in said(kept)
    assert link(kept) == before
    ask(kept, "seed", 7)
    assert not kept.head.state["problem"]


def test_a_swing_that_cannot_be_made_is_refused_in_words(page: Tried) -> None:
    slow = "[pitch]\nspeed_mph = 30\nplate_height_in = 8\n[swing]\ncontact_depth_in = -12\n"
    far = loads(f'format = 1\ntitle = "x"\n{slow}')
    ask(page, "arrive", {}, {"s": encode(far), "part": "spread"})
    assert page.head.state["problem"] and page.head.state["wrong"]
    assert said(page) == page.head.state["sentence"] != ""


def test_files_are_used(page: Tried) -> None:
    ask(page, "file", "pitches", "mine.toml", PITCHES.encode())
    ask(page, "open", "versus")
    assert page.inputs.state["pitches"] == "own"
    assert "Our own slider" in page.words["versus"].object
    ask(page, "pitches", "mixed")
    assert "Slider on the first-base side" in page.words["versus"].object
    assert "Our own slider" not in page.words["versus"].object
    own = SUPPLIED.read_text(encoding="utf-8").replace('name = "', 'name = "Our own ')
    ask(page, "open", "remedy")
    ask(page, "file", "drills", "mine.toml", own.encode())
    ask(page, "open", "sheet")
    assert page.inputs.state["own_drills"]
    assert "Our own " in page.words["sheet"].object
    ask(page, "supplied")
    assert "Our own " not in page.words["sheet"].object


def test_the_address_brings_the_same_numbers_back(page: Tried) -> None:
    ask(page, "open", "remedy")
    ask(page, "scatter", {"timing_ms": 6.25, "along_in": 0.5})
    ask(page, "seed", "42")
    ask(page, "goal", ["ground-ball", "line-drive"], "pull")
    ask(page, "second", 8)
    ask(page, "file", "pitches", "mine.toml", PITCHES.encode())
    ask(page, "held", True)
    ask(page, "open", "versus")
    again = Tried()
    ask(again, "arrive", {"theme": "dark"}, link(page))
    assert link(again) == link(page)
    assert said(again) == said(page)
    assert again.words["versus"].object == page.words["versus"].object
    assert again._asked.goal.where == "pull" and again._asked.seed == 42
    for part in PARTS:
        assert STUDIES[part].key(again._asked.__class__(**vars(again._asked) | {"part": part}))


@pytest.mark.parametrize(
    "address", [{"s": "1broken"}, {"b": "2"}, {"seed": "-1"}, {"timing_ms": "x"}, {"kinds": "a-fly"}, {"own": "1?"}]
)
def test_a_broken_address_is_said_and_leaves_the_page_usable(address: dict[str, str]) -> None:
    page = Tried()
    ask(page, "arrive", {"theme": "light"}, address)
    assert page.head.state["problem"] and said(page)
    ask(page, "open", "remedy")
    assert not page.head.state["problem"]


def test_remedies_lead_to_the_stage_and_the_comparison(page: Tried) -> None:
    ask(page, "open", "remedy")
    ask(page, "goal", ["line-drive"], "middle")
    found = remedy.run(ONE_INCH, remedy.goal("line-drive", "middle"))
    html = page.words["remedy"].object
    for one in found.remedies:
        changed = encode(one.scenario)
        assert f'href="/#s={changed}"' in html
        assert f'href="/compare#a={encode(ONE_INCH)}&amp;b={changed}"' in html
        assert remedy.cue(one) in html
    assert html.count("not by this alone") == len(found.hopeless) > 0


def test_a_sheet_is_handed_over_as_a_file(page: Tried, monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[tuple[str, str]] = []
    monkeypatch.setattr(page.head, "hand_over", lambda name, text: sent.append((name, text)))
    ask(page, "save")
    assert sent == []
    ask(page, "open", "sheet")
    ask(page, "save")
    assert sent[0][0] == "practice-one-inch-under.md"
    assert sent[0][1].startswith("# Practice sheet: One inch under\n")


def test_spanish(monkeypatch: pytest.MonkeyPatch) -> None:
    with speaking("es"):
        page = Tried()
        ask(page, "arrive", {}, {"swings-spread": "1000"})
        assert said(page).startswith("De 1,000 swings")


def test_a_file_given_to_the_server_comes_first(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text('format = 1\ntitle = "Mine"\n', encoding="utf-8")
    assert StudiesPage(path)._asked.scenario.title == "Mine"
    path.write_text("format = 2\n", encoding="utf-8")
    assert StudiesPage(path).head.state["problem"]


# --- the worker ------------------------------------------------------------------------------------------------------


class Session:
    """A session's queue, run by hand, and what came of it."""

    def __init__(self) -> None:
        self.calls: list[Callable[[], None]] = []
        self.shares: list[float] = []
        self.failed: list[str] = []
        self.done: list[str] = []
        self.worker: Background[str] = Background(self.shares.append, self.failed.append, self.calls.append)

    def run(self) -> None:
        calls, self.calls[:] = list(self.calls), []
        for call in calls:
            call()


@pytest.fixture
def session() -> Iterator[Session]:
    one = Session()
    yield one
    one.worker.cancel()
    assert one.worker.wait(LONG)


def steps(session: Session, go: threading.Event, heard: threading.Event) -> Callable[[Progress], str | None]:
    """Work that reports, waits until it is let go, and reports again until it is stopped or done."""

    def work(progress: Progress) -> str | None:
        heard.set()
        go.wait(LONG)
        return "finished" if progress(0.5) and progress(1.0) else None

    return work


def test_the_answer_comes_in_the_session(session: Session) -> None:
    session.worker.start(lambda progress: "answer", session.done.append)
    assert session.worker.wait(LONG)
    assert session.done == [] and session.worker.running
    session.run()
    assert session.done == ["answer"] and not session.worker.running


def test_progress_is_told(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("apps.background.OFTEN", 0.0)
    session.worker.start(lambda progress: str([progress(i / 4) for i in range(5)]), session.done.append)
    assert session.worker.wait(LONG)
    session.run()
    assert session.shares == [0, 0.25, 0.5, 0.75, 1]


def test_cancelled_work_says_nothing_more(session: Session) -> None:
    go, heard = threading.Event(), threading.Event()
    session.worker.start(steps(session, go, heard), session.done.append)
    heard.wait(LONG)
    assert session.worker.cancel()
    assert not session.worker.running and not session.worker.cancel()
    go.set()
    assert session.worker.wait(LONG)
    session.run()
    assert session.done == session.failed == session.shares == []


def test_newer_work_takes_the_place_of_older(session: Session) -> None:
    go, heard = threading.Event(), threading.Event()
    session.worker.start(steps(session, go, heard), session.done.append)
    heard.wait(LONG)
    session.worker.start(lambda progress: "skipped", session.done.append)
    session.worker.start(lambda progress: "newest", session.done.append)
    go.set()
    assert session.worker.wait(LONG)
    session.run()
    assert session.done == ["newest"]


def test_an_answer_on_its_way_is_dropped_when_something_else_is_asked(session: Session) -> None:
    session.worker.start(lambda progress: "old", session.done.append)
    assert session.worker.wait(LONG)
    session.worker.start(lambda progress: "new", session.done.append)
    assert session.worker.wait(LONG)
    session.run()
    assert session.done == ["new"]


@pytest.mark.parametrize(
    ("error", "words"), [(Plane3dError("one sentence"), "one sentence"), (ZeroDivisionError(), FAULT)]
)
def test_an_error_becomes_one_sentence(session: Session, error: Exception, words: str) -> None:
    def work(progress: Progress) -> str:
        raise error

    session.worker.start(work, session.done.append)
    assert session.worker.wait(LONG)
    session.run()
    assert (session.failed, session.done) == ([words], [])
    assert not session.worker.running


def test_the_language_of_the_session_is_spoken_in_the_thread(session: Session) -> None:
    with speaking("es"):
        session.worker.start(lambda progress: current(), session.done.append)
    assert session.worker.wait(LONG)
    session.run()
    assert session.done == ["es"]


def test_a_closed_session_stops_the_work() -> None:
    """A document that is gone refuses what comes for it; the thread then ends at its next step."""

    def refuse(call: Callable[[], None]) -> None:
        raise RuntimeError("gone")

    asked: list[bool] = []

    def work(progress: Progress) -> str | None:
        asked.extend(progress(0.1 * i) for i in range(3))
        return "late"

    worker: Background[str] = Background(lambda share: None, lambda words: None, refuse)
    worker.start(work, lambda answer: asked.clear())
    assert worker.wait(LONG)
    assert len(asked) == 3


def test_cancelling_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    go, heard = threading.Event(), threading.Event()

    def slow(scenario: Scenario, *_: Any) -> None:
        heard.set()
        go.wait(LONG)

    monkeypatch.setattr("apps.studies_parts.spread.run", slow)
    page = Tried()
    page.head._obey(SimpleNamespace(data={"do": "arrive", "with": [{}, {}]}))
    heard.wait(LONG)
    assert page.head.state["running"] and page.head.state["stale"]
    page.head._obey(SimpleNamespace(data={"do": "cancel", "with": []}))
    assert said(page) == CANCELLED and not page.head.state["running"]
    page.head._obey(SimpleNamespace(data={"do": "look", "with": [{"metric": True}]}))
    assert said(page) == CANCELLED
    go.set()
    ask(page, "open", "target")
    assert said(page).startswith("Train for launch angles")
