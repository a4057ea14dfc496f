"""What a presenter shares with viewers: one for the whole server. It knows no sockets and no pages.

Only `Sharing` (the presenter's session) calls what changes it; viewers can join, say that they have drawn what they
were sent, and predict. A viewer is sent one message at a time and the next when it has drawn the last one, always the
newest state: whoever is slow skips states and holds nobody up.
"""

from __future__ import annotations

import hmac
import json
import logging
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tornado.ioloop import IOLoop

from apps import share_kept as kept
from apps.share_kept import Kept
from apps.share_shown import Shown, States
from plane3d.errors import Plane3dError
from plane3d.language import ENGLISH

MOST_VIEWERS = 200
MOST_VOTES = 400  # for one question
MOST_QUESTIONS = 100  # whose votes are held
WRONG_CODES, WRONG_SPAN = 10, 60.0  # so many from one address in so many seconds; then even the right one must wait
MOST_ADDRESSES = 1000  # of which wrong codes are remembered
PACE = 0.25  # s between two states while sliders move

_log = logging.getLogger(__name__)


@dataclass(eq=False)
class Viewer:
    """One that has joined: what it holds, and whether it is still drawing.

    name : random, made by the viewer's tab; only for not counting twice whoever returns
    """

    name: str
    language: str
    send: Callable[[bytes], None]
    state: int = 0
    clock: int = 0
    drawing: bool = False


@dataclass(frozen=True)
class Clock:
    """Where the presenter's picture stands; ``time`` in s from release, as it was ``at`` a moment of `time.monotonic`.

    view : the presenter's view, for viewers who ask for it
    """

    count: int = 0
    playing: bool = False
    time: float = 0.0
    speed: float = 1.0
    view: str = ""
    at: float = 0.0

    def told(self) -> dict[str, Any] | None:
        """For a viewer, as it is now; None where nothing was ever said."""
        if not self.count:
            return None
        run = self.speed * (time.monotonic() - self.at) if self.playing else 0.0
        return {"playing": self.playing, "time": self.time + run, "speed": self.speed, "view": self.view}


class Share:
    """Code and token, what is shown, the viewers, their predictions.

    Parameters
    ----------
    held : what an earlier server has left, or a fresh start
    file : where that is kept from now on; None for nowhere
    """

    def __init__(self, held: Kept, file: Path | None = None):
        self._kept, self._file = held, file
        self.states = States()
        self.shown: Shown | None = None
        self.clock = Clock()
        self.viewers: set[Viewer] = set()
        self.presenter: object = None  # the session whose changes are shown
        self.listeners: set[Callable[[], None]] = set()  # called when what a presenter sees may have changed
        self.problem = ""  # what is wrong with the file, in a sentence
        self._votes: dict[str, dict[str, int]] = {}  # by question: viewer's name to choice
        self._wrong: dict[str, deque[float]] = {}  # by address: when wrong codes came
        self._next: Shown | None = None
        self._made_at = -PACE
        self._timer: object = None
        if held.shown is not None and (shown := kept.restored(held.shown)) is not None:
            self._make(shown)

    # --- who may ---------------------------------------------------------------------------------------------------

    @property
    def code(self) -> str:
        return self._kept.code

    @property
    def token(self) -> str:
        return self._kept.token

    @property
    def on(self) -> bool:
        return self._kept.on

    @property
    def tab(self) -> str:
        return self._kept.tab

    def is_token(self, given: str) -> bool:
        """Whether a text is the presenter's token."""
        return hmac.compare_digest(given.encode("utf-8", "replace"), self.token.encode())

    def admits(self, code: str, address: str) -> str:
        """Why an address is not let in with a code: ``wait`` or ``code``; empty if it is."""
        wrong = self._wrong.get(address, deque())
        now = time.monotonic()
        while wrong and now - wrong[0] > WRONG_SPAN:
            wrong.popleft()
        if len(wrong) >= WRONG_CODES:
            return "wait"
        if hmac.compare_digest(code.encode("utf-8", "replace"), self.code.encode()):
            return "" if self.on else "code"
        self._wrong.pop(address, None)
        self._wrong[address] = wrong
        wrong.append(now)
        if len(self._wrong) > MOST_ADDRESSES:
            del self._wrong[next(iter(self._wrong))]
        return "code"

    # --- the presenter -----------------------------------------------------------------------------------------------

    def change(self, **values: Any) -> None:
        """Change and keep some of ``port``, ``on`` and ``tab``."""
        self._keep(self._kept.model_copy(update=values))
        self.tell_presenter()

    def present(self, shown: Shown, soon: float = 0.0) -> None:
        """Show something to all viewers: at once or, where changes follow each other quickly, the last of them.

        soon : s to wait at least, in which something else may still come
        """
        self._next = shown
        if self._timer is None:
            wait = max(self._made_at + PACE - time.monotonic(), soon, 0.0)
            self._timer = IOLoop.current().call_later(wait, self._make_next)

    def run(self, playing: bool, at: float, speed: float, view: str) -> None:
        """The presenter's picture plays, or rests, at a time."""
        self.clock = Clock(self.clock.count + 1, playing, at, speed, view, time.monotonic())
        self._feed_all()

    def _make_next(self) -> None:
        self._timer = None
        shown, self._next = self._next, None
        if shown is not None:
            self._make(shown)
            self._feed_all()
            self.tell_presenter()

    def _make(self, shown: Shown) -> None:
        """Make the messages, in the languages there are viewers for."""
        self._made_at = time.monotonic()
        try:
            self.states.put(shown, {viewer.language for viewer in self.viewers} or {ENGLISH})
        except Plane3dError:
            _log.exception("this cannot be shared")
            return
        self.shown = shown
        self._keep(self._kept.model_copy(update={"shown": kept.keep_shown(shown)}))

    def _keep(self, held: Kept) -> None:
        if held != self._kept:
            self._kept = held
            self.save()

    def save(self) -> None:
        """Write down what is kept."""
        self.problem = kept.write(self._file, self._kept) if self._file is not None else ""

    # --- the viewers -------------------------------------------------------------------------------------------------

    def join(self, viewer: Viewer) -> None:
        self.viewers.add(viewer)
        self._feed(viewer)
        self.tell_presenter()

    def leave(self, viewer: Viewer) -> None:
        self.viewers.discard(viewer)
        self.tell_presenter()

    def drawn(self, viewer: Viewer, number: int) -> None:
        """A viewer has drawn what it was sent; with another number it says that it must start anew."""
        if number != viewer.state:
            viewer.state = 0
        viewer.drawing = False
        self._feed(viewer)

    def predict(self, viewer: Viewer, question: str, choice: int) -> None:
        """Take a viewer's prediction for the present question, in place of an earlier one, until the reveal."""
        shown = self.shown
        if shown is None or shown.revealed or question != shown.key or not 0 <= choice < len(shown.step.choices):
            return
        votes = self._votes.setdefault(question, {})
        if viewer.name in votes or len(votes) < MOST_VOTES:
            votes[viewer.name] = choice
            if len(self._votes) > MOST_QUESTIONS:
                del self._votes[next(iter(self._votes))]
            self.tell_presenter()

    def tally(self) -> list[int]:
        """How many viewers predict each choice of the present question."""
        if self.shown is None:
            return []
        votes = list(self._votes.get(self.shown.key, {}).values())
        return [votes.count(choice) for choice in range(len(self.shown.step.choices))]

    def tell_presenter(self) -> None:
        for listen in tuple(self.listeners):
            listen()

    def _feed_all(self) -> None:
        for viewer in tuple(self.viewers):
            self._feed(viewer)

    def _feed(self, viewer: Viewer) -> None:
        """Send a viewer what it lacks, unless it is still drawing."""
        if viewer.drawing or (viewer.state, viewer.clock) == (self.states.number, self.clock.count):
            return
        packed = b""
        if viewer.state != self.states.number:
            packed = self.states.packed(viewer.state, viewer.language)
        head = json.dumps({"number": self.states.number, "clock": self.clock.told()}).encode()
        viewer.state, viewer.clock, viewer.drawing = self.states.number, self.clock.count, True
        viewer.send(len(head).to_bytes(4, "little") + head + packed)
