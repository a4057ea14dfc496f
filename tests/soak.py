"""Wear: thousands of random moves on pages of one process, then hundreds of sessions that come to a server and go.

``python -m tests.soak [--states N] [--sessions N] [--seed S]``. Pages are driven by the messages a browser sends. Now
and then what a page shows is compared with a fresh page that is asked for the same scenario; sessions must end, and the
server's memory stay level. Not part of the test suite; `tests/unit/test_soak.py` has a short one.
"""

from __future__ import annotations

import argparse
import logging
import os
import random
import re
import signal
import subprocess
import sys
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from tempfile import TemporaryDirectory
from types import SimpleNamespace
from typing import Any
from urllib.request import urlopen

from bokeh.client import pull_session
from bokeh.document.events import MessageSentEvent
from bokeh.events import DocumentReady, Event
from panel.models.esm import DataEvent

from apps.controls import groups
from apps.page import FAULT, Page
from apps.patch import Block, changes
from plane3d.quantities import quantities
from tests.share_load import ROOT, memory

PAGES = 6  # sessions alive at once in one process
CHECK = 40  # moves between two comparisons with a fresh page
WILD = 0.02  # share of values that no slider can send
TOGETHER = 8  # sessions of the server alive at once
WARM = 100  # sessions before memory is taken for the first time: caches fill
REST = 40.0  # s after the last session: an unused one is kept for 15 s and looked for every 17 s
ROWS = [row for group in groups() for row in (*group["open"], *group["more"]) if row["key"] != "measured.motion"]


@dataclass
class Wear:
    """What the moves came to."""

    ends: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)


class Viewer:
    """One page and what its browser would send."""

    def __init__(self, rng: random.Random):
        self.page, self.rng, self.count = Page(), rng, 0
        self.metric, self.theme = False, "light"
        self.say("arrive", "", None)

    def say(self, what: str, *values: Any) -> None:
        self.page.heading._obey(SimpleNamespace(data={"do": what, "with": list(values)}))

    def move(self) -> str:
        """One random thing a viewer may do; its name."""
        every: dict[Callable[[], None], int] = {
            self.slide: 80, self.drag: 5, self.choose: 4, self.undo: 3, self.redo: 2, self.measure: 2, self.paint: 1,
            self.hold: 2, self.restart: 1,
        }  # fmt: skip
        (what,) = self.rng.choices(list(every), weights=list(every.values()))
        what()
        return what.__name__

    def slide(self) -> None:
        """Some controls move: along their sliders, typed anywhere in the range, given back, or past all sense."""
        self.count += 1
        rows = self.rng.sample(ROWS, self.rng.choice((1, 1, 1, 2, 3)))
        given = {row["key"]: self._value(row) for row in rows}
        back = {key: None for key in self.page.controls.state["changed"] if self.rng.random() < 0.25}
        back.pop("measured.motion", None)
        message = {"id": self.count, "changes": back | given, "gesture": self.count // 3}
        self.page.controls._asked(SimpleNamespace(data=message))

    def _value(self, row: dict[str, Any]) -> Any:
        rng = self.rng
        if rng.random() < WILD:
            return rng.choice((float("nan"), 1e300, "", True, -1, [], "fast"))
        if "options" in row:
            return rng.choice(row["options"])[0]
        if rng.random() < 0.1:
            return None
        asked = quantities()[row["key"]]
        if rng.random() < 0.1:
            return rng.uniform(asked.low, asked.high)
        steps = round((row["end"] - row["start"]) / row["step"])
        return row["start"] + rng.randint(0, steps) * row["step"]

    def drag(self) -> None:
        """The marker of the timing strip."""
        self.page.strip._ask(SimpleNamespace(data={"timing_ms": self.rng.randint(-40, 40), "gesture": self.count}))

    def choose(self) -> None:
        self.say("choose", self.rng.randrange(sum(len(titles) for _, titles in self.page.heading.shelves)))

    def undo(self) -> None:
        self.say("undo")

    def redo(self) -> None:
        self.say("redo")

    def restart(self) -> None:
        self.say("restart")

    def hold(self) -> None:
        self.say("hold", self.rng.random() < 0.3)

    def measure(self) -> None:
        self.metric = not self.metric
        self.say("measure", self.metric)

    def paint(self) -> None:
        self.theme = "dark" if self.theme == "light" else "light"
        self.say("theme", self.theme)

    def shown_anew(self) -> dict[str, Any]:
        """Everything the page shows of the present scenario, once it has come to rest."""
        self.say("measure", not self.metric)
        self.say("measure", self.metric)  # a refused change has left its sentence: show the scenario again
        self.page._settle()
        state, page = self.page.controls.state, self.page
        return {
            "sentence": page.heading.state["sentence"],
            "problem": page.heading.state["problem"],
            "held": page.heading.state["held"],
            "values": state["values"],
            "offered": state["offered"],
            "numbers": page.numbers.object,
            "strip": page.strip.table,
            "scale": page.flat.metric,
        }

    def twin(self) -> Viewer:
        """A fresh session that asks for the same, by the link of this one."""
        other = Viewer(random.Random(0))
        other.say("arrive", self.page.heading.keep["link"], None)
        if self.theme == "dark":
            other.paint()
        if self.metric:
            other.measure()
        return other

    def differs(self) -> list[str]:
        """What a fresh session asked for the same shows otherwise. A refused scenario leaves the picture before it."""
        twin = self.twin()
        mine, theirs = self.shown_anew(), twin.shown_anew()
        alike = ["sentence", "problem", "held", "values", "offered", "scale"] if mine["problem"] else list(mine)
        found = [name for name in alike if mine[name] != theirs[name]]
        if not mine["problem"] and changes(twin.page.stage.scene, self.page.stage.scene, Block()):
            found.append("scene")
        return found


class _Logged(logging.Handler):
    """Faults that the page has caught and only logged."""

    def __init__(self, wear: Wear):
        super().__init__(logging.ERROR)
        self.wear = wear

    def emit(self, record: logging.LogRecord) -> None:
        self.wear.faults.append(f"logged: {record.getMessage()} {record.exc_info and record.exc_info[1]!r}")


def wear_pages(states: int, seed: int) -> Wear:
    """That many moves of controls on several pages at once, and other moves between them."""
    wear, rng = Wear(), random.Random(seed)
    logged = _Logged(wear)
    logging.getLogger("apps").addHandler(logged)
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)  # a NaN on its way somewhere
        viewers = [Viewer(random.Random(f"{seed} {k}")) for k in range(PAGES)]
        moves = 0
        while wear.ends["slide"] < states:
            moves += 1
            viewer = rng.choice(viewers)
            _one_move(viewer, wear, f"seed {seed}, move {moves}")
            if moves % CHECK == 0:
                wear.ends["compared"] += 1
                wear.faults += [f"seed {seed}, move {moves}: {name} differs from a fresh session's"
                                for name in viewer.differs()]  # fmt: skip
            if moves % (10 * CHECK) == 0:  # one goes, another comes
                viewers[rng.randrange(PAGES)] = Viewer(random.Random(f"{seed} {moves}"))
    logging.getLogger("apps").removeHandler(logged)
    return wear


def _one_move(viewer: Viewer, wear: Wear, case: str) -> None:
    try:
        wear.ends[viewer.move()] += 1
    except Exception as error:
        wear.faults.append(f"{case}: {error!r}")
        return
    state = viewer.page.heading.state
    wear.ends["refused" if state["problem"] else "shown"] += 1
    if state["sentence"] == FAULT or not state["sentence"]:
        wear.faults.append(f"{case}: {state['sentence']!r}")
    if viewer.page.controls.state["answered"] != viewer.count:
        wear.faults.append(f"{case}: the controls still wait for an answer")


# --- the server ------------------------------------------------------------------------------------------------------


@contextmanager
def served() -> Iterator[tuple[int, str]]:
    """Process and address of a server with a log of its own."""
    with TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "plane3d", "serve", "--no-open", "--port", "0"]
        own = os.environ | {"XDG_DATA_HOME": folder}
        server = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, env=own)
        assert server.stdout is not None
        address = re.search(r"http://\S+", server.stdout.readline())
        assert address is not None
        try:
            yield server.pid, address.group()
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(30)


class Guest:
    """One session of a server, as Bokeh's own client has it; it says what a browser's script would say."""

    def __init__(self, address: str, rng: random.Random):
        self.session, self.rng, self.count = pull_session(url=address), rng, 0
        self.document = self.session.document
        self.document.models.flush_synced()  # the server has them all: say their names, do not send them back
        (self.controls,) = (m for m in self.document.models if getattr(m, "class_name", "") == "Controls")
        self._tell(DocumentReady())

    def _tell(self, event: Event) -> None:
        self.session._connection._send_patch_document(
            self.session.id, MessageSentEvent(self.document, "bokeh_event", event)
        )

    def slide(self) -> bool:
        """Move a slider; whether the page has answered."""
        key = self.rng.choice(("swing.below_line_in", "swing.timing_ms", "pitch.plate_height_in"))
        asked = quantities()[key]
        self.count += 1
        value = round(self.rng.uniform(asked.low, asked.high) / asked.step) * asked.step
        self._tell(DataEvent(self.controls, data={"id": self.count, "changes": {key: value}}))
        connection = self.session._connection
        patience = connection._loop.call_later(60, self.session.close)
        connection._loop_until(lambda: not self.session.connected or self._answered)
        connection._loop.remove_timeout(patience)
        return self._answered

    @property
    def _answered(self) -> bool:
        return bool(self.controls.data.state["answered"] == self.count)

    def leave(self) -> None:
        self.session.close()


def wear_server(sessions: int, seed: int) -> tuple[list[tuple[int, float]], list[str]]:
    """Memory (MB) of a server after a number of sessions, all of them gone; and what went wrong."""
    rng, used, faults = random.Random(seed), [], []
    with served() as (process, address):
        wait_for(address)
        done = 0
        marks = [m for m in (WARM, WARM + sessions // 4, WARM + sessions // 2, WARM + sessions) if m]
        for mark in dict.fromkeys(marks):
            while done < mark:
                guests = [Guest(address, rng) for _ in range(min(TOGETHER, mark - done))]
                urlopen(address, timeout=60).close()  # and one that leaves before its socket is open
                for guest in guests:
                    if not all(guest.slide() for _ in range(3)):
                        faults.append(f"session {done}: a slider was not answered")
                for guest in guests:
                    guest.leave()
                done += len(guests)
            time.sleep(REST)
            used.append((done, memory(process)))
            print(f"{done} sessions: {used[-1][1]:.0f} MB", flush=True)
    return used, faults


def wait_for(address: str) -> None:
    """Until the server answers."""
    for _ in range(120):
        try:
            urlopen(address, timeout=5).close()
            return
        except OSError:
            time.sleep(0.5)
    raise TimeoutError(address)


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("--states", type=int, default=10_000, metavar="N")
    parser.add_argument("--sessions", type=int, default=200, metavar="N")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(arguments)
    faults: list[str] = []
    if asked.states:
        start, before = time.monotonic(), memory(os.getpid())
        wear = wear_pages(asked.states, asked.seed)
        faults += wear.faults
        print(f"{asked.states} slider states, {time.monotonic() - start:.0f} s: {dict(wear.ends)}; "
              f"{before:.0f} MB before, {memory(os.getpid()):.0f} MB after")  # fmt: skip
    if asked.sessions:
        used, wrong = wear_server(asked.sessions, asked.seed)
        faults += wrong
        (_, first), (_, last) = used[0], used[-1]
        print(f"{asked.sessions} sessions after the first {WARM}: {first:.0f} MB before, {last:.0f} MB after")
    print(*faults, f"{len(faults)} faults", sep="\n")
    return bool(faults)


if __name__ == "__main__":
    sys.exit(main())
