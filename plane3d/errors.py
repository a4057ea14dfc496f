"""Errors that carry what a message needs: where, what was given, what is allowed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from unicodedata import category


class Plane3dError(Exception):
    """Base of every error this library raises on purpose."""


def shows(sign: str) -> bool:
    """Whether a sign can be shown within a line."""
    kind = category(sign)
    return not kind.startswith("C") and kind not in ("Zl", "Zp")


@dataclass(frozen=True)
class Mistake:
    """One wrong or missing input.

    where : file and line, or the name of the input group
    key : dotted key, such as ``swing.timing_ms``; empty when the whole file is meant
    text : what was given and what is allowed, as one plain sentence
    """

    where: str
    key: str
    text: str

    def __str__(self) -> str:
        """On one line: signs of a file that cannot be shown, such as line ends and halves of letters, become U+FFFD."""
        said = f"{self.where}: {self.key} {self.text}" if self.key else f"{self.where}: {self.text}"
        return "".join(sign if shows(sign) else "\ufffd" for sign in said)


class InputError(Plane3dError):
    """All mistakes of one input, reported together."""

    def __init__(self, mistakes: list[Mistake]):
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(m) for m in mistakes))


class UnreachableError(Plane3dError):
    """A pose or a pitch that the model cannot make from the given numbers.

    names : of the numbers of `inputs.PitchAsk` and `SwingAsk` that stand in each other's way
    which : (n,) bool, which of n plays cannot be made for this reason, or True for all of them
    """

    def __init__(self, text: str, names: tuple[str, ...] = (), which: Any = True):
        self.names = names
        self.which = which
        super().__init__(text)
