"""What a room can be asked to predict: a value of a play's answer, and choices of which the model picks one.

A right answer is never typed in. Each choice says for which values of the measure it holds; the model computes the
value, and exactly one choice must fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, StringConstraints

from plane3d.language import mark, tr
from plane3d.quantities import Strict
from plane3d.words import KINDS, MISSES, TEXT, Block, capital

MEASURE = "outcome.kind"  # asked for unless a step names another
LETTERS = "ABCDEF"

# Measures that are words or yes and no, with what they may be.
WORD_MEASURES: dict[str, tuple[str | bool, ...]] = {
    "outcome.kind": ("miss", *KINDS),
    "outcome.fair": (True, False),
    "outcome.over_fence": (True, False),
    "meeting.touch": (True, False),
    "meeting.miss": tuple(MISSES),
}
# Measures that are numbers, in the unit their name ends in: every row of the readable answer.
NUMBER_MEASURES = tuple(f"{block}.{key}" for block, (_, rows) in TEXT.items() for key in rows)
MEASURES = (*WORD_MEASURES, *NUMBER_MEASURES)
# What some are called where they do not stand under the heading of their block.
NAMES = {"window.length_in": mark("contact window"), "window.length_ms": mark("contact window in time")}

Words = tuple[str | bool, ...]


def _words(value: Any) -> Words:
    """One word or yes/no, or a list of them."""
    found = value if isinstance(value, list | tuple) else [value]
    if not found or not all(isinstance(word, str | bool) for word in found):
        raise ValueError
    return tuple(found)


class Choice(Strict):
    """One thing the room may predict, and for which values of the measure it is right."""

    says: Annotated[str, StringConstraints(max_length=60, pattern=r"^[^\r\n]*\S[^\r\n]*$")] = Field(
        title=mark("one line of text, at most 60 characters"), description="What is shown."
    )
    when: Annotated[Words, BeforeValidator(_words), Field(strict=False)] | None = Field(
        None,
        title=mark("a word of the measure, or a list of them"),
        description="Right for these words of a measure in words, such as `outcome.kind`.",
    )
    low: float | None = Field(
        None, alias="from", title=mark("a number"), description="Right from this value of a measure in numbers on."
    )
    high: float | None = Field(None, alias="to", title=mark("a number"), description="Right below this value.")

    def fits(self, value: Any) -> bool:
        """Whether the choice is right for a value of the measure; nothing fits a value that does not apply."""
        if value is None:
            return False
        if self.when is not None:
            return value in self.when
        return (self.low is None or self.low <= value) and (self.high is None or value < self.high)

    def mistake(self, measure: str) -> str:
        """What is wrong with the choice for a measure, in a sentence; empty if nothing is."""
        bounds = [end for end in (self.low, self.high) if end is not None]
        if measure in NUMBER_MEASURES:
            if self.when is not None or not bounds:
                return tr("needs from, to or both, as {measure} is a number", measure=measure)
            return "" if bounds == sorted(set(bounds)) else tr("holds nothing: from must be below to")
        allowed = WORD_MEASURES[measure]
        if bounds or self.when is None:
            return tr("needs when, as {measure} is not a number", measure=measure)
        wrong = [repr(str(word).lower()) for word in self.when if word not in allowed]
        words = ", ".join(str(word).lower() if isinstance(word, bool) else word for word in allowed)
        return (
            tr("names {name}; {measure} is one of {words}", name=wrong[0], measure=measure, words=words)
            if wrong
            else ""
        )


def value_of(blocks: Block, measure: str) -> Any:
    """A measure's value in an answer, None where its block does not apply."""
    block, _, key = measure.partition(".")
    return None if blocks[block] is None else blocks[block][key]


def words_of(measure: str) -> str:
    """What a measure in numbers is called on the screen."""
    block, _, key = measure.partition(".")
    return capital(tr(NAMES.get(measure) or TEXT[block][1][key]))


def fitting(choices: Sequence[Choice], value: Any) -> list[int]:
    """Places of the choices that are right for a value; one in a lesson that is right itself."""
    return [place for place, choice in enumerate(choices) if choice.fits(value)]
