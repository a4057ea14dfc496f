"""What the commands say: the answer to the output, and how far a long study is to a person at a terminal."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path
from types import TracebackType

from plane3d.errors import Plane3dError
from plane3d.language import tr

SOON = 0.5  # s of work after which a person is told how far it is
EVERY = 0.1  # s between two such words


def write(text: str) -> None:
    """Print an answer at once. Raises Plane3dError where it cannot be written, BrokenPipeError where nobody reads."""
    if sys.stdout is None:
        raise Plane3dError(tr("the answer cannot be written: the output is closed"))
    try:
        print(text, flush=True)
    except BrokenPipeError:
        drop_output()
        raise
    except OSError as error:  # such as a full disk
        drop_output()
        raise Plane3dError(tr("the answer cannot be written ({reason})", reason=error.strerror)) from error


def complain(problem: object) -> None:
    """Say what is wrong with a part of the work that does not end all of it."""
    print(problem, file=sys.stderr, flush=True)


def save(text: str, path: Path) -> None:
    """Write an answer to a file. Raises Plane3dError where that cannot be done."""
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise Plane3dError(tr("{path}: cannot be written ({reason})", path=path, reason=error.strerror)) from error


def drop_output() -> None:
    """Send the rest of the output nowhere, so that the end of the program does not fail on it once more."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


class Progress:
    """How far a study is, on one line that goes away again; nothing where nobody sits at a terminal.

    Call it with the share done; it never stops the study. To be used in a ``with`` statement.

    lines : on lines of their own instead, whoever reads them
    """

    def __init__(self, lines: bool = False) -> None:
        self._lines = lines
        self._start = self._last = time.monotonic()
        self._shown = False

    def __call__(self, share: float) -> bool:
        now = time.monotonic()
        if self._lines:
            if now - self._last > EVERY:
                print(f"{100 * share:.0f} %", file=sys.stderr, flush=True)
                self._last = now
        elif now - self._start > SOON and now - self._last > EVERY and sys.stderr is not None and sys.stderr.isatty():
            self._say(f"{100 * share:3.0f} %")
            self._last, self._shown = now, True
        return True

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._shown:
            self._say(" " * 6)
            self._say("")

    @staticmethod
    def _say(words: str) -> None:
        print(f"\r{words}", end="", file=sys.stderr, flush=True)
