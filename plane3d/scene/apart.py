"""Work done in a process of its own, because drawing can end a process.

A missing graphics library ends the process that draws, with no error to catch. So whatever may not end that way, such
as the page, draws through a `Painter`, which turns such an end into a message.
"""

from __future__ import annotations

import os
import pickle
import re
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import TracebackType
from typing import Any, TypeVar

from plane3d.errors import Plane3dError
from plane3d.language import current, speaking, tr
from plane3d.scene.parts import Scene
from plane3d.scene.render import SIZE, Picture, get_ready, picture

PATIENCE = 120.0  # s a drawing process may go without a word
GRACE = 5.0  # s it gets to clear up when it is no longer wanted
PACKAGES = "libegl1 libgl1-mesa-dri"
COLOURS = re.compile(r"\x1b\[[0-9;]*m")  # for terminals, within what a library says
MERELY = "WARN|"  # marks what the graphics library only remarks, such as that there is no screen

Answer = TypeVar("Answer")
Progress = Callable[[float], bool]  # told the share done; False says stop


class DrawingError(Plane3dError):
    """The picture could not be drawn on this machine."""


class Stopped(Plane3dError):
    """Whoever asked for the work said stop."""


class Painter:
    """A process that draws, one piece of work after another; it starts at once and gets ready while others compute.

    To be used in a ``with`` statement.
    """

    def __init__(self) -> None:
        self._late = self._busy = False
        self._complaints = tempfile.TemporaryFile()  # noqa: SIM115  closed with the process
        self._process = subprocess.Popen(
            [sys.executable, "-m", "plane3d.scene.apart"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=self._complaints,
        )  # fmt: skip

    def run(self, work: Callable[..., Answer], *values: Any, progress: Progress | None = None) -> Answer:
        """The answer of ``work(*values, told)``, done over there; ``told`` takes the share done.

        work : a function of a module, which the other process imports for itself
        Raises DrawingError if the process ends or keeps silent, Stopped where ``progress`` said stop, and Plane3dError
        for what the work refuses. The first two end the process.
        """
        self._busy = True
        try:
            with self._explained():
                pickle.dump((current(), work, values), self._process.stdin)  # type: ignore[arg-type]
                self._process.stdin.flush()  # type: ignore[union-attr]
            while True:
                kind, answer = self._word()
                self._busy = kind == "share"
                if kind == "done":
                    return answer
                if kind == "refused":
                    raise Plane3dError(answer)
                if progress is not None and not progress(answer):
                    raise Stopped(tr("stopped"))
        except (Stopped, KeyboardInterrupt):
            self.close()
            raise

    @contextmanager
    def _explained(self) -> Iterator[None]:
        """What the end of the process looks like from here becomes a message."""
        try:
            yield
        except (EOFError, OSError, ValueError, pickle.UnpicklingError):
            raise self._failed() from None

    def _word(self) -> tuple[str, Any]:
        """The next word of the process, which is ended if it keeps silent too long."""
        watch = threading.Timer(PATIENCE, self._give_up)
        watch.start()
        try:
            with self._explained():
                return pickle.load(self._process.stdout)  # type: ignore[arg-type]
        finally:
            watch.cancel()

    def _give_up(self) -> None:
        self._late = True
        self._process.kill()

    def _failed(self) -> DrawingError:
        """Why there is no answer."""
        if self._late:
            return DrawingError(tr("Drawing took longer than {time} s and was stopped.", time=f"{PATIENCE:.0f}"))
        code = self.close()
        self._complaints.seek(0)
        said = COLOURS.sub("", self._complaints.read().decode(errors="replace")).splitlines()
        reason = next((line.strip() for line in reversed(said) if line.strip() and MERELY not in line), f"code {code}")
        told = tr(
            "The drawing process ended without a picture ({reason}). Off-screen drawing needs a graphics library: "
            "on Debian or Ubuntu, install the packages {packages}.",
            reason=reason, packages=PACKAGES,
        )  # fmt: skip
        return DrawingError(told)

    def close(self) -> int:
        """End the process, at once where it has nothing to clear up; returns its exit code."""
        if not self._busy:
            self._process.kill()
        for pipe in (self._process.stdin, self._process.stdout):
            with suppress(OSError):  # something was still on its way to a process that is gone
                pipe.close()  # type: ignore[union-attr]
        try:
            return self._process.wait(GRACE)
        except subprocess.TimeoutExpired:
            self._process.kill()
            return self._process.wait()

    def __enter__(self) -> Painter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
        self._complaints.close()


def picture_apart(
    scene: Scene, view: str | None = None, t: float | None = None, size: tuple[int, int] = SIZE
) -> Picture:
    """As `render.picture`, drawn in a process of its own. Raises DrawingError if that process fails."""
    with Painter() as painter:
        return painter.run(one_picture, scene, view, t, size)


def one_picture(
    scene: Scene, view: str | None, t: float | None, size: tuple[int, int], told: Callable[[float], None]
) -> Picture:
    """`render.picture` as work for a `Painter`."""
    return picture(scene, view, t, size)


def main() -> None:
    """Do what a `Painter` asks for on standard input; the answers go to standard output."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # nothing a library prints may get between
    get_ready()  # while the other process computes

    def say(kind: str, what: Any) -> None:
        pickle.dump((kind, what), answers, protocol=pickle.HIGHEST_PROTOCOL)
        answers.flush()

    while True:
        try:
            language, work, values = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        try:
            with speaking(language):
                say("done", work(*values, lambda share: say("share", share)))
        except Plane3dError as error:
            say("refused", str(error))
        except BrokenPipeError:  # nobody waits for the answer any more
            return


if __name__ == "__main__":
    main()
