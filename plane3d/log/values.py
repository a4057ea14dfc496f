"""What a log holds, and what it takes: hitters, swings and their figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.levels import LEVELS
from plane3d.words import TEXT

# What can be kept of a swing: the values of an answer, in coach units, by the same keys as in `report.report`.
BLOCKS = ("swing", "meeting", "collision", "flight", "pitch")
FIGURES = {key: label for block in BLOCKS for key, label in TEXT[block][1].items()}
PRIVACY = mark(
    "Use a code or a role instead of a name. What is kept here stays on this machine; nothing is sent. "
    "Keep a child's swings only if those who care for the child agree."
)
MOST_CODE, MOST_NOTE, MOST_MEASURED = 80, 10_000, 20_000_000  # letters
MOST_VALUE = 1_000_000  # in any coach unit; far beyond all swings, and still a number to reckon with


class LogError(Plane3dError):
    """One sentence about a log: what is wrong with its file, or with what it was given."""


@dataclass(frozen=True)
class Figure:
    """A number of a swing, in the coach unit that ends its name.

    uncertainty : its standard uncertainty (one standard deviation) in the same unit; None where it is not known
    """

    value: float
    uncertainty: float | None = None


@dataclass(frozen=True)
class Hitter:
    """A hitter by a code or a role, such as "under-12 contact hitter"; no name is needed.

    bats : "right", "left", or empty where it is not said; level : of `levels.LEVELS`, or empty
    """

    code: str
    bats: str = ""
    level: str = ""
    note: str = ""


@dataclass(frozen=True)
class Swing:
    """One swing of a hitter.

    figures : by names of `FIGURES`; source : where the numbers come from, such as "two cameras, 240 frames a second"
    session : what the swings of one outing have in common, such as "after two weeks on the tee"
    measured : text of the measured file, where it is wanted; number : given by the log
    """

    day: date
    figures: Mapping[str, Figure] = field(default_factory=dict)
    source: str = ""
    session: str = ""
    note: str = ""
    measured: str = ""
    number: int = 0


def check_hitter(hitter: Hitter) -> None:
    """Raises LogError for a hitter that cannot be kept."""
    if not hitter.code.strip() or not hitter.code.isprintable() or len(hitter.code) > MOST_CODE:
        raise LogError(tr("A hitter's code must be one line of 1 to {most} letters.", most=MOST_CODE))
    if hitter.bats not in ("", "right", "left"):
        raise LogError(tr('Which side a hitter bats from must be "right" or "left", not "{given}".', given=hitter.bats))
    if hitter.level and hitter.level not in LEVELS:
        raise LogError(tr('There is no level of play called "{given}".', given=hitter.level))
    check_text(hitter.note)


def check_swing(swing: Swing) -> None:
    """Raises LogError for a swing that cannot be kept."""
    for name, figure in swing.figures.items():
        if name not in FIGURES:
            raise LogError(tr('The log has no figure called "{given}".', given=name))
        told = {"figure": tr(FIGURES[name]), "most": f"{MOST_VALUE:,}"}
        if not -MOST_VALUE <= figure.value <= MOST_VALUE:
            raise LogError(tr("The {figure} of a swing must be a number from -{most} to {most}.", **told))
        if figure.uncertainty is not None and not 0 <= figure.uncertainty <= MOST_VALUE:
            raise LogError(tr("The uncertainty of the {figure} must be 0 or more, and at most {most}.", **told))
    for text in (swing.source, swing.session, swing.note):
        check_text(text)
    check_text(swing.measured, MOST_MEASURED)


def check_text(text: str, most: int = MOST_NOTE) -> None:
    """Raises LogError for a text that is too long, or that no file can hold."""
    if len(text) > most:
        raise LogError(tr("A text of {given} letters is too long; at most {most}.", given=len(text), most=most))
    if "\0" in text or any("\ud800" <= letter <= "\udfff" for letter in text):  # halves of letters
        raise LogError(tr("A text holds a sign that cannot be kept."))
