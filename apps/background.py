"""Work that takes longer than a blink: one worker thread a session, so that every page stays usable meanwhile."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

import panel as pn

from apps.result import mistake
from plane3d.errors import Plane3dError
from plane3d.language import current, mark, speaking, tr

FAULT = mark("This cannot be worked out because of a fault in plane3d; the terminal it was started from says more.")
WORKING = mark("Working it out …")
OFTEN = 0.1  # s between two reports of progress
REST = 0.002  # s of rest after each step of a study, in which other sessions get their turn
ENOUGH = 3600.0  # s, far longer than any study, for which a thread is waited for

Answer = TypeVar("Answer")
Progress = Callable[[float], bool]  # told the share done; False says stop
Work = Callable[[Progress], Answer | None]  # None where it was stopped
Deliver = Callable[[Callable[[], None]], object]

_log = logging.getLogger(__name__)


@dataclass(eq=False)
class _Task(Generic[Answer]):
    """One piece of work and whether its answer is still wanted."""

    work: Work[Answer]
    done: Callable[[Answer], None]
    wanted: bool = True
    told: float = field(default_factory=time.monotonic)


class Background(Generic[Answer]):
    """One piece of work at a time for a session; a newer one takes the place of an older one.

    Parameters
    ----------
    progress : called in the session with the share done, from 0 to 1, a few times a second
    failed : called in the session with one sentence where the work could not be done
    deliver : runs a function in the session; left out, at the next tick of the session's document, or at once, in
        the worker's thread, where there is no session
    """

    def __init__(
        self,
        progress: Callable[[float], None],
        failed: Callable[[str], None],
        deliver: Deliver | None = None,
    ):
        self._progress, self._failed = progress, failed
        self._task: _Task[Answer] | None = None
        self._last: threading.Thread | None = None
        doc = pn.state.curdoc
        alive = doc is not None and doc.session_context is not None
        self._deliver: Deliver = deliver or (doc.add_next_tick_callback if alive else lambda call: call())
        if alive:
            pn.state.on_session_destroyed(lambda _: self.cancel())

    @property
    def running(self) -> bool:
        """Whether an answer is awaited."""
        return self._task is not None

    def start(self, work: Work[Answer], done: Callable[[Answer], None]) -> None:
        """Begin; ``done`` is called in the session with the answer. What ran before is given up."""
        self.cancel()
        task = self._task = _Task(work, done)
        before, language = self._last, current()

        def run() -> None:
            if before is not None:
                before.join(ENOUGH)  # it stops at its next step; two at once would only slow each other down
            if task.wanted:
                with speaking(language):
                    self._run(task)

        self._last = threading.Thread(target=run, name="plane3d study", daemon=True)
        self._last.start()

    def cancel(self) -> bool:
        """Give up what runs; whether there was anything. Its answer never comes, the thread ends at its next step."""
        task, self._task = self._task, None
        if task is not None:
            task.wanted = False
        return task is not None

    def wait(self, seconds: float = ENOUGH) -> bool:
        """Wait for the thread; whether it has ended."""
        if self._last is not None:
            self._last.join(seconds)
        return self._last is None or not self._last.is_alive()

    # --- in the thread -----------------------------------------------------------------------------------------------

    def _run(self, task: _Task[Answer]) -> None:
        try:
            answer = task.work(lambda share: self._tell(task, share))
        except Plane3dError as error:
            self._finish(task, self._failed, mistake(error))
        except Exception:
            _log.exception("a study failed")
            self._finish(task, self._failed, tr(FAULT))
        else:
            if answer is not None:
                self._finish(task, task.done, answer)

    def _tell(self, task: _Task[Answer], share: float) -> bool:
        """Report progress, but not too often, and let others have their turn."""
        now = time.monotonic()
        if task.wanted and now - task.told >= OFTEN:
            task.told = now
            self._send(task, lambda: self._progress(share))
        time.sleep(REST)
        return task.wanted

    def _finish(self, task: _Task[Answer], call: Callable[..., None], *values: object) -> None:
        def finish() -> None:
            self._task = None
            call(*values)

        self._send(task, finish)

    def _send(self, task: _Task[Answer], call: Callable[[], None]) -> None:
        """Run something in the session, unless the work is given up before its turn comes or the session is gone."""
        try:
            self._deliver(lambda: call() if task.wanted else None)
        except Exception:  # a document that is being taken down refuses in more than one way
            task.wanted = False
            _log.debug("an answer came too late for its session", exc_info=True)
