"""Drills from a file that a coach can edit, and the cautions that stand wherever players swing.

The supplied file is `drills.toml` beside this module; docs/drills.md says what one looks like.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, StringConstraints, ValidationError

from plane3d.errors import InputError, Mistake
from plane3d.language import mark, tr
from plane3d.messages import explain, given_text, one_of, suggestion
from plane3d.quantities import Strict
from plane3d.scenario import FormatNumber, OneLine
from plane3d.toml_text import KeyLines, parse, read_text

SUPPLIED = Path(__file__).parent / "drills.toml"
PER_SHEET = 3  # drills on a practice sheet

# What a drill may work on: only what the model can tell from numbers (`plan`), each as a heading of the sheet.
# Measured: where the ball is met and how that varies change nothing by themselves, they come from timing; left out.
CAUSES = {
    "timing-varies": mark("The timing varies"),
    "timing-early": mark("The swing is early"),
    "timing-late": mark("The swing is late"),
    "height-varies": mark("The height of the barrel varies"),
    "barrel-low": mark("The barrel is too low"),
    "barrel-high": mark("The barrel is too high"),
    "place-varies": mark("The place on the barrel varies"),
    "off-the-end": mark("The ball is met toward the tip"),
    "jammed": mark("The ball is met toward the hands"),
    "too-steep": mark("The swing climbs too steeply for this pitch"),
    "too-flat": mark("The swing is too flat for this pitch, or goes down"),
    "cast": mark("The bat opens early (cast)"),
    "barrel-ahead": mark("The barrel is too far ahead at contact"),
    "barrel-behind": mark("The barrel is too far behind at contact"),
    "bat-speed": mark("The bat is slow for this level"),
}

AGES = {
    "up_to_10": mark("10 and under"),
    "from_11": mark("11 to 14"),
    "from_15": mark("15 and older"),
}

# The usual cautions, the same as in README, under Safety. Sources: PHYSICS 12 (read: a policy statement of
# paediatricians, and the guidance of youth coaching bodies and leagues).
CAUTIONS = (
    mark(
        "A helmet that fits for anyone batting, waiting to bat, running or feeding; a face guard and softer balls for "
        "the youngest. The feeder stands behind a sound screen and gets back behind it after every toss."
    ),
    mark(
        "One bat swings at a time, everyone else well outside its reach plus a step. Nobody walks up to a batter. "
        "Idle bats lie on the ground or in a rack."
    ),
    mark(
        "Before starting, look for torn nets, a wet floor, loose balls, and bats with cracks, dents, rattles or a "
        "loose grip."
    ),
    mark(
        "Teach turning away from an inside pitch. Build up the number of swings slowly, take rest days, stop at pain."
    ),
    mark(
        "Keep a first-aid plan and a defibrillator near. After any blow to the head: stop, and see a clinician."
    ),
)  # fmt: skip
COMES_FIRST = mark(
    "This is general advice, not medical advice. Local codes, league rules and licensed practice come first, and so "
    "does a qualified coach who sees the hitter."
)

Text = Annotated[str, StringConstraints(max_length=1000, pattern=r"\S")]
_PROSE = mark("text, at most 1000 characters")
_LINE = mark("one line of text, at most 120 characters")
_DOSE = mark("a table with sets, swings and rest_s")


class Dose(Strict):
    """How much of a drill at one age."""

    sets: int = Field(ge=1, le=6, title=mark("a whole number from 1 to 6"), description="How often the set is done.")
    swings: int = Field(ge=1, le=15, title=mark("a whole number from 1 to 15"), description="Swings in one set.")
    rest_s: int = Field(
        ge=15, le=300, title=mark("a whole number from 15 to 300"), description="Seconds of rest between sets."
    )

    @property
    def total(self) -> int:
        """Swings in all."""
        return self.sets * self.swings


class Doses(Strict):
    """Doses by age; a drill is not offered to an age left out."""

    up_to_10: Dose | None = Field(None, title=_DOSE, description="For hitters of 10 and under.")
    from_11: Dose | None = Field(None, title=_DOSE, description="For hitters of 11 to 14.")
    from_15: Dose | None = Field(None, title=_DOSE, description="For hitters of 15 and older.")


class Drill(Strict):
    """One drill, as it stands in a file."""

    name: OneLine = Field(title=_LINE, description="What it is called.")
    works_on: Annotated[list[str], Field(min_length=1, max_length=6)] = Field(
        title=mark("a list of 1 to 6 causes"), description="What it helps against; the causes are listed below."
    )
    setup: Text = Field(title=_PROSE, description="Where everything and everybody stands.")
    do: Annotated[list[OneLine], Field(min_length=1, max_length=8)] = Field(
        title=mark("a list of 1 to 8 steps, each one line of at most 120 characters"), description="Steps, in order."
    )
    cue: OneLine = Field(title=_LINE, description="The few words to say to the hitter.")
    equipment: Annotated[list[OneLine], Field(max_length=12)] = Field(
        [], title=mark("a list of at most 12 things"), description="What is needed besides bat, balls and helmets."
    )
    measure: Text = Field(title=_PROSE, description="What to count or note.")
    caution: str = Field(
        "",
        max_length=1000,
        title=_PROSE,
        description="Care needed besides the usual cautions, which are always printed.",
    )
    dose: Doses = Field(title=mark("a table: write [drill.dose] below the drill"), description="How much, by age.")

    def dose_for(self, age: str) -> Dose | None:
        """The dose for one of `AGES`; None where the drill is not for it."""
        dose: Dose | None = getattr(self.dose, age)
        return dose


class DrillFile(Strict):
    """A file of drills."""

    format: FormatNumber = Field(title=mark("1, the only file format there is"), description="Always 1.")
    drill: Annotated[list[Drill], Field(min_length=PER_SHEET, max_length=200)] = Field(
        title=mark("a list of at least 3 drills: write [[drill]] above each"), description="The drills."
    )


TABLES: dict[str, type[Strict]] = {"": DrillFile, "drill": Drill, "drill.dose": Doses}


def keys() -> dict[str, Any]:
    """Every key of a file of drills and its field: title, what it must be, and description, its meaning."""
    doses = {f"drill.dose.{age}": Dose for age in AGES}
    return {
        f"{table}.{name}".lstrip("."): field
        for table, model in (TABLES | doses).items()
        for name, field in model.model_fields.items()
    }


def age_of(level: str) -> str:
    """Which of `AGES` plays at a level; a level for the under-12s is for those of 11 and 12."""
    years = re.search(r"\d+", level)
    if years is None:
        return "from_15"
    return "up_to_10" if int(years.group()) <= 10 else "from_11"


def is_drills(path: str | Path) -> bool:
    """Whether a file lists drills; raises InputError if it cannot be read at all."""
    return isinstance(parse(read_text(Path(path)), str(path)).get("drill"), list)


def load_drills(path: str | Path = SUPPLIED) -> tuple[Drill, ...]:
    """The drills in a file, in order; raises InputError with every mistake, each by file, line and key."""
    text = read_text(Path(path))
    lines = KeyLines(text, str(path))
    try:
        file = DrillFile.model_validate(parse(text, str(path)))
    except ValidationError as error:
        texts = {key: field.title for key, field in keys().items()}
        raise InputError(explain(error.errors(), lines, texts, keys())) from None
    mistakes = [*_mistakes(file.drill, lines), *_too_few(file.drill, lines)]
    if mistakes:
        raise InputError(mistakes)
    return tuple(file.drill)


def _mistakes(drills: list[Drill], lines: KeyLines) -> Iterator[Mistake]:
    """What is wrong with drills whose values are each fine."""
    names: set[str] = set()
    for place, drill in enumerate(drills):
        at = f"drill.{place}"
        if drill.name in names:
            text = tr("= {given} is the name of an earlier drill; give each its own", given=given_text(drill.name))
            yield Mistake(lines.where(f"{at}.name"), "drill.name", text)
        names.add(drill.name)
        for cause in drill.works_on:
            if cause not in CAUSES:
                text = tr("= {given} must be {allowed}", given=given_text(cause), allowed=one_of(CAUSES))
                yield Mistake(lines.where(f"{at}.works_on"), "drill.works_on", text + suggestion(cause, CAUSES))
        given = [(age, dose) for age in AGES if (dose := drill.dose_for(age))]
        for (young, less), (old, more) in pairwise(given):
            if less.total > more.total:
                text = tr(
                    "has {number} swings in all, more than the {other} of {older}; the younger get no more",
                    number=less.total, other=more.total, older=old,
                )  # fmt: skip
                yield Mistake(lines.where(f"{at}.dose.{young}"), f"drill.dose.{young}", text)


def _too_few(drills: list[Drill], lines: KeyLines) -> Iterator[Mistake]:
    """A mistake for each age that has too few drills for a sheet."""
    for age in AGES:
        count = sum(drill.dose_for(age) is not None for drill in drills)
        if count < PER_SHEET:
            text = tr(
                "stands in {number} of the drills, but a sheet needs {least} of them for every age",
                number=count, least=PER_SHEET,
            )  # fmt: skip
            yield Mistake(lines.where("drill"), f"drill.dose.{age}", text)
