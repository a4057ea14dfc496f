"""What a session has made so far, with every earlier step of it, so that steps can be taken back."""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable
from dataclasses import dataclass

from plane3d.lesson import Lesson
from plane3d.scenario import Scenario

STEPS = 200  # how many steps a session can take back
NO_LESSON = Lesson("", "", ())


@dataclass(frozen=True)
class Work:
    """Everything a viewer can change and would not want to lose.

    Parameters
    ----------
    place : where the scenario started from stands in the list of the picker
    asked : the scenario as it is now
    own : scenarios opened on the page; in the picker they follow those that were there before
    lesson : the lesson being made; its title may still be missing, and so may its steps
    """

    place: int
    asked: Scenario
    own: tuple[Scenario, ...] = ()
    lesson: Lesson = NO_LESSON


class History:
    """The present work, the steps that led to it and those taken back; bounded, and a session's own."""

    def __init__(self, work: Work):
        self.now = work
        self._past: deque[Work] = deque(maxlen=STEPS)
        self._undone: list[Work] = []
        self._gesture: Hashable = None

    @property
    def can_undo(self) -> bool:
        return bool(self._past)

    @property
    def can_redo(self) -> bool:
        return bool(self._undone)

    def add(self, work: Work, gesture: Hashable = None) -> None:
        """Take a step. Steps of one gesture, such as one drag of a slider, count as a single one."""
        if work == self.now:
            return
        if gesture is None or gesture != self._gesture:
            self._past.append(self.now)
        self.now, self._gesture = work, gesture
        self._undone.clear()

    def undo(self) -> None:
        """Go back one step, if there is one."""
        if self._past:
            self._undone.append(self.now)
            self.now, self._gesture = self._past.pop(), None

    def redo(self) -> None:
        """Take the step again that was taken back last, if there is one."""
        if self._undone:
            self._past.append(self.now)
            self.now, self._gesture = self._undone.pop(), None
