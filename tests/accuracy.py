"""Writes docs/accuracy.md from the rows of tests/reference: `python -m tests.accuracy`.

The page is only text and numbers that the rows work out; what is said around them stands in this file.
"""

from __future__ import annotations

import inspect
import math
from pathlib import Path

from tests.reference.row import BASES, EXACT, KNOWN, Row, at_most, decimals, shown
from tests.reference.rows import MODULES, ROWS, SUBJECTS

PAGE = Path(__file__).parents[1] / "docs" / "accuracy.md"
HEADS = ("what", "published", "ours", "off by", "allowed", "kind", "note")

INTRODUCTION = """\
# Accuracy

How far plane3d agrees with what others have published, measured or computed: {rows} checks, each with its source.
`python -m tests.accuracy` works all of them out and writes this page; a test fails when a row leaves what is allowed,
and when the page no longer says what the rows say. What the model does not know at all is in [model.md](model.md).

**{misses} of the {rows} are misses, and are shown as such**, with what we make of them. Nothing was left out because it
disagrees; what is not used at all, and why, stands at the end.

## How to read it

A figure agrees for one of four reasons, and only the first says that the model is right:

{bases}

How far each published figure is known:

{known}

*Allowed* is as much as the source itself is sure of: what it states, or the rounding of its last digit. Where it is
more, the note below the table says why. Where a library works out the same cases, *ours* is the largest difference
found, rounded up; what is less than a hundredth of the allowed is shown as that.

## In short

{summary}

The misses:

{list}
"""

CLOSING = """\
## Checks that are not a number

- Directions the trade expects: late goes to the opposite side and is met deeper, early to the pull side; a deep dip
  leaves a short contact window; an early hinge makes the way round longer and costs reach inside
  (`tests/reference/test_trade_expectations.py`, with the figures found).
- The corners of a ball's mesh lie outside the bat's mesh 0.02 ms before the touch, some inside 0.02 ms after
  (`test_meeting_meshes.py`, trimesh).
- A walk of 124 markers recorded in a laboratory, from a package of the public registry, is read to the same numbers as
  ezc3d reads (`test_public_c3d.py`; it needs a network, so it has no row).

## What is not used

- Head- and tail-wind columns of the Exploratorium's table: they state no wind speed.
- Smallest inertias of the 0.50-limit bat standard: known from memory only. For information: 6805, 7630, 8538 and 9530
  oz in² for 31 to 34 in.
- The best swing by Sawicki, Hubbard and Stronge (2003): its numbers are known from memory only, and undercut is
  measured another way there.
- Terminal speed of a baseball, near 95 mph: from memory.
- A ball 10 °F warmer goes 4 ft farther (Adair, read): the ball's own temperature is not in the model.
"""


def page() -> str:
    """The whole page."""
    misses = [(subject, row) for subject, rows in SUBJECTS.items() for row in rows if row.miss]
    start = INTRODUCTION.format(
        rows=len(ROWS),
        misses=len(misses),
        bases=_items(BASES),
        known=_items(KNOWN),
        summary=_summary(),
        list="\n".join(f"- {subject}. {_missed(row)}" for subject, row in misses),
    )
    return "\n".join([start, *(_section(subject, rows) for subject, rows in SUBJECTS.items()), CLOSING])


def _missed(row: Row) -> str:
    ours, published = _with_unit(_ours(row), row.unit), _with_unit(_published(row), row.unit)
    return f"{row.what}: {ours}, where {published} is published"


def _items(meanings: dict[str, str]) -> str:
    return "\n".join(f"- **{name}**: {meaning}" for name, meaning in meanings.items())


def _summary() -> str:
    """Rows and misses by subject and kind."""
    lines = [["subject", *BASES, "in all", "misses"]]
    for subject, rows in [*SUBJECTS.items(), ("in all", ROWS)]:
        kinds = [str(sum(row.basis == basis for row in rows)) for basis in BASES]
        lines.append([subject, *kinds, str(len(rows)), str(sum(bool(row.miss) for row in rows))])
    return _table(lines)


def _section(subject: str, rows: tuple[Row, ...]) -> str:
    """What a subject is about, its table, and below it the notes its rows share."""
    about = inspect.getdoc(MODULES[subject])
    notes = list(dict.fromkeys(_note(row) for row in rows))
    lines = [list(HEADS), *([*_cells(row), str(notes.index(_note(row)) + 1)] for row in rows)]
    below = "\n".join(f"{number}. {note}" for number, note in enumerate(notes, 1))
    return f"## {subject}\n\n{about}\n\n{_table(lines)}\n\n{below}\n"


def _note(row: Row) -> str:
    """Source, how it is known, what we make of a miss, and why so much is allowed."""
    parts = [f"{row.source} ({row.known})."]
    if row.miss:
        parts.append(f"**Miss**: {row.miss}.")
    if row.why:
        parts.append(f"Why so much is allowed: {row.why}.")
    return " ".join(parts)


def _table(lines: list[list[str]]) -> str:
    head, *rest = (f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in line)} |" for line in lines)
    return "\n".join([head, "|" + "---|" * len(lines[0]), *rest])


def _cells(row: Row) -> list[str]:
    return [
        row.what,
        _with_unit(_published(row), row.unit) if row.published is not None else "the same",
        _with_unit(_ours(row), row.unit),
        _difference(row),
        _allowed(row),
        row.basis,
    ]


def _with_unit(number: str, unit: str) -> str:
    return f"{number}\N{NO-BREAK SPACE}{unit}".strip()


def _published(row: Row) -> str:
    if isinstance(row.published, tuple):
        low, high = row.published
        if math.isinf(low):
            return f"at most {high:g}"
        return f"at least {low:g}" if math.isinf(high) else f"{low:g} to {high:g}"
    return shown(row.published, _known_places(row)) if row.published is not None else ""


def _known_places(row: Row) -> int:
    """All digits of a figure that was published as it stands; what was worked out from one, as ours is shown."""
    text = f"{row.published:g}"
    return max(decimals(row), len(text.partition(".")[2]) if len(text) < 6 else 0)


def _ours(row: Row) -> str:
    if row.published is None:  # what is far below the allowed is rounding, and differs between machines
        return "within " + at_most(max(row.value, 0.01 * row.reach))
    return shown(row.value, decimals(row))


def _difference(row: Row) -> str:
    if row.published is None:
        return "**miss**" if row.miss else "inside"
    if row.holds and isinstance(row.published, tuple) and not row.difference:
        return "inside"
    number = shown(row.difference, decimals(row))
    number = number if number.startswith("-") or number == "0" else f"+{number}"
    return f"**{number}, miss**" if row.miss else number


def _allowed(row: Row) -> str:
    if (row.published is None and not row.allowed) or row.allowed == EXACT:
        return "nothing"
    if isinstance(row.published, tuple):
        return f"{row.allowed:g} beyond" if row.allowed else "the band"
    return f"{100 * row.allowed:g} %" if row.share else shown(row.allowed, 9)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(f"{PAGE.name}: {len(ROWS)} rows, {sum(bool(row.miss) for row in ROWS)} of them misses")
