"""Files to take home of what a page shows: each made by a ``plane3d render`` of its own and handed to the viewer.

A process of its own, because drawing can end one, and so that the page stays quick meanwhile. Few are made at once;
the others wait in order. The Python end of ``browser/take_home.js``.
"""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, TypeGuard

from apps.background import FAULT, Background, Deliver
from apps.files import zipped
from plane3d.cli_render import all_kinds
from plane3d.errors import Plane3dError
from plane3d.language import current, mark, tr
from plane3d.quantities import choices
from plane3d.scene.style import THEMES

AT_ONCE = 2  # files that are made at the same time, of all sessions together
MADE = "made"  # folder of what is made, inside the one that is deleted afterwards
LOOK_AGAIN = 0.1  # s between two looks at how far a file is, or whose turn it is
SOONEST, LATEST = -500.0, 1000.0  # ms from contact that a picture may show
SHARE = re.compile(r"(\d+) %")  # a line of progress
CANCELLED = mark("Cancelled.")
DONE = mark("{name} is with the downloads.")
NOTHING = mark("There is nothing to make a file of.")

Progress = Callable[[float], bool]  # told the share done; False says stop
Handed = tuple[str, bytes]  # name and content


@dataclass(frozen=True)
class Order:
    """A file that is asked for.

    files : the scenario or lesson to be made into something, and what it needs, by name; the first is what is rendered
    kind : ending of the wanted file, one of `plane3d.cli_render.all_kinds`
    looks : ``view`` and ``theme`` by name, ``camera`` as ten numbers, ``time`` in ms from contact, ``figure`` and
        ``metric``; what makes no difference to the kind, or is no such thing, is left out
    """

    files: Mapping[str, str]
    kind: str
    looks: Mapping[str, Any]

    def options(self) -> Iterator[str]:
        """The looks as options of the command."""
        heeded = {name: value for name, value in self.looks.items() if name in all_kinds()[self.kind].heeds}
        for name, allowed in (("view", choices()["view.camera"]), ("theme", tuple(THEMES))):
            if heeded.get(name) in allowed:
                yield f"--{name}={heeded[name]}"
        for name in ("figure", "metric"):
            if heeded.get(name) is True:
                yield f"--{name}"
        camera, time = heeded.get("camera"), heeded.get("time")
        if isinstance(camera, list) and all(map(_is_number, camera)):
            yield f"--camera={','.join(f'{value:.6f}' for value in camera)}"
        if _is_number(time):
            yield f"--time={min(max(time, SOONEST), LATEST):.3f}"


def _is_number(value: Any) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


class Turns:
    """Work that few may do at the same time; the others wait in the order they came."""

    def __init__(self, most: int):
        self._most, self._line = most, list[object]()
        self._moved = threading.Condition()

    @contextmanager
    def turn(self, waiting: Callable[[int], bool]) -> Iterator[bool]:
        """Wait for one's turn; gives whether it came.

        waiting : told now and then how many are ahead of whoever waits; False gives up
        """
        me = object()
        with self._moved:
            self._line.append(me)
        try:
            yield self._wait(me, waiting)
        finally:
            with self._moved:
                self._line.remove(me)
                self._moved.notify_all()

    def _wait(self, me: object, waiting: Callable[[int], bool]) -> bool:
        while True:
            with self._moved:
                ahead = self._line.index(me) - self._most + 1
                if ahead > 0:
                    self._moved.wait(LOOK_AGAIN)
            if ahead <= 0:
                return True
            if not waiting(ahead):
                return False


TURNS = Turns(AT_ONCE)


def render(order: Order, progress: Progress) -> Handed | None:
    """Make a file in a process of its own; None where ``progress`` stopped it. Several files come as one zip file.

    Raises Plane3dError with what that process said.
    """
    with TemporaryDirectory(prefix="plane3d-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        for file, text in order.files.items():
            (folder / file).write_text(text, encoding="utf-8")
        source, made, told = folder / next(iter(order.files)), folder / MADE, folder / "told"
        made.mkdir()
        target = made / f"{source.stem}.{order.kind}"
        command = [sys.executable, "-X", "utf8", "-m", "plane3d", "render", str(source), "-o", str(target), "--lines",
                   "--language", current(), *order.options()]  # fmt: skip
        with told.open("wb") as lines:
            process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=lines)
        try:
            while process.poll() is None:
                if not progress(_share(told)):
                    return None
                with suppress(subprocess.TimeoutExpired):
                    process.wait(LOOK_AGAIN)
        finally:
            if process.poll() is None:
                process.kill()  # what draws for it ends by itself
                process.wait()
        if process.returncode:
            raise Plane3dError(_problem(told, folder))
        return _handed(made, source.stem, order.kind)


def _share(told: Path) -> float:
    """The share done that was told last, from 0 to 1."""
    found = SHARE.findall(told.read_text(encoding="utf-8", errors="replace"))
    return float(found[-1]) / 100 if found else 0.0


def _problem(told: Path, folder: Path) -> str:
    """Why there is no file, without names of places the viewer never saw."""
    said = told.read_text(encoding="utf-8", errors="replace")
    lines = [line for line in said.splitlines() if line and not SHARE.fullmatch(line)]
    if not lines or any(line.startswith("Traceback") for line in lines):
        sys.stderr.write(said)
        return tr(FAULT)
    words = " ".join(lines)
    for place in (folder / MADE, folder):
        words = words.replace(f"{place}{os.sep}", "")
    return words


def _handed(made: Path, stem: str, kind: str) -> Handed:
    files = sorted(made.iterdir())
    if len(files) == 1:
        return files[0].name, files[0].read_bytes()
    return f"{stem}-{kind}.zip", zipped({path.name: path.read_bytes() for path in files})


class TakeHome:
    """One session's files to take home, one at a time.

    Parameters
    ----------
    ordered : the files to be made into something and the looks, as in an `Order`; told what is asked for, as the
        browser names it
    show : given the state to be shown: ``of`` and ``kind`` of what is being made, or ""; ``share`` done, ``ahead``: how
        many come first; ``said``: a sentence on the last one; ``wrong``: whether that tells of a problem
    send : given name and content of a file for the viewer
    deliver : as in `apps.background.Background`
    """

    def __init__(
        self,
        ordered: Callable[[str], tuple[Mapping[str, str], Mapping[str, Any]]],
        show: Callable[[dict[str, Any]], None],
        send: Callable[[str, bytes], None],
        deliver: Deliver | None = None,
    ):
        self._ordered, self._show, self._send = ordered, show, send
        self._ahead = 0
        self._now = ("", "")
        self.worker: Background[Handed] = Background(self._progress, self._refuse, deliver)
        self.actions: dict[str, Callable[..., None]] = {"take": self.take, "take_cancel": self.cancel}

    def take(self, of: str, kind: str, looks: Mapping[str, Any] | None = None) -> None:
        """Make a file, unless one is being made. of : what of; kind : its ending; looks : of the stage, see `Order`"""
        if self.worker.running or kind not in all_kinds():
            return
        self._now = (of, "")
        try:
            files, own = self._ordered(of)
            if not files:
                raise Plane3dError(tr(NOTHING))
        except Plane3dError as error:
            self._refuse(str(error))
            return
        order = Order(files, kind, {**(looks or {}), **own})
        self._now, self._ahead = (of, kind), 0
        self._say()
        self.worker.start(lambda progress: self._work(order, progress), self._done)

    def cancel(self) -> None:
        """Give up what is being made."""
        if self.worker.cancel():
            self._end(tr(CANCELLED))

    def _work(self, order: Order, progress: Progress) -> Handed | None:
        """In the worker's thread."""

        def waiting(ahead: int) -> bool:
            self._ahead = ahead
            return progress(0.0)

        with TURNS.turn(waiting) as mine:
            self._ahead = 0
            return render(order, progress) if mine else None

    def _progress(self, share: float) -> None:
        self._say(round(share, 2))

    def _done(self, handed: Handed) -> None:
        self._send(*handed)
        self._end(tr(DONE, name=handed[0]))

    def _refuse(self, words: str) -> None:
        self._end(words, wrong=True)

    def _end(self, words: str, wrong: bool = False) -> None:
        of, _ = self._now
        self._now, self._ahead = ("", ""), 0
        self._show(self._state() | {"of": of, "said": words, "wrong": wrong})

    def _say(self, share: float = 0.0) -> None:
        self._show(self._state() | {"share": share})

    def _state(self) -> dict[str, Any]:
        of, kind = self._now
        return {"of": of, "kind": kind, "share": 0.0, "ahead": self._ahead, "said": "", "wrong": False}
