"""Reading CSV of numbers whose header names each column with its unit, such as ``tip_x_mm``.

Columns in any order, others ignored; commas, semicolons or tabs; decimal points, or decimal commas where the cells are
not separated by commas; byte-order mark, blank lines, Windows line ends and ``#`` lines are taken as they come.
An empty cell, ``nan`` or ``-`` is a gap.
"""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from plane3d import units
from plane3d.errors import InputError, Mistake
from plane3d.frames import Array
from plane3d.language import mark, tr
from plane3d.measured.files import refuse, text_of

MOST_ROWS = 200_000
MOST_COLUMNS = 1000
MOST_MISTAKES = 8  # named one by one
MOST_NUMBER = 1e15  # a clock may count ms since 1970; squares of what is more would overflow
GAPS = ("", "nan", "na", "n/a", "-")
UNITS: dict[str, dict[str, float]] = {
    "time": {"s": 1.0, "ms": units.MILLISECOND},
    "length": {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": units.INCH, "ft": units.FOOT},
    "speed": {"m_s": 1.0, "km_h": units.KMH, "mph": units.MPH, "ft_s": units.FOOT},
    "acceleration": {"m_s2": 1.0, "ft_s2": units.FOOT},
    "spin": {"rad_s": 1.0, "rpm": units.RPM},
}
UNIT_WORDS = {"m": mark("metres"), "cm": mark("centimetres"), "mm": mark("millimetres"), "in": mark("inches"),
              "ft": mark("feet")}  # fmt: skip
TEXT = "text"
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$")


@dataclass(frozen=True)
class Table:
    """Columns by name without unit, each (n,) in SI, NaN in a gap; texts as they stand.

    name : of the file; header : line of the header; lines : (n,) line of each row
    stated : the unit of each column as the header states it
    """

    name: str
    header: int
    lines: Array
    columns: dict[str, Array]
    texts: dict[str, list[str]]
    stated: dict[str, str]

    def where(self, row: int) -> str:
        """``file:line`` of a row."""
        return f"{self.name}:{self.lines[row]}"


def read_table(data: bytes, name: str, required: Mapping[str, str], optional: Mapping[str, str] | None = None) -> Table:
    """The table in the bytes of a CSV file.

    required, optional : columns by name without unit, each with its kind: a key of `UNITS`, or `TEXT`

    Raises InputError: one sentence for each fault, with file and line.
    """
    lines = _lines(text_of(data, name))
    number, head = next(lines, (1, ""))
    if not head:
        raise refuse(name, tr("holds no table: the first line must be the header, such as time_s,knob_x_m,..."))
    between = next((m for m in (";", "\t") if m in head), ",")
    names = [cell.strip().lower() for cell in next(csv.reader([head], delimiter=between))]
    found = _columns(names, name, number, required, optional or {})
    rows, numbers = _rows(lines, name, between, len(names))
    kinds = dict(required) | dict(optional or {})
    columns: dict[str, Array] = {}
    texts: dict[str, list[str]] = {}
    mistakes: list[Mistake] = []
    for key, (place, factor) in found.items():
        cells = [row[place].strip() for row in rows]
        if kinds[key] == TEXT:
            texts[key] = cells
        else:
            columns[key] = _numbers(cells, names[place], between != ",", name, numbers, mistakes) * factor
    if mistakes:
        raise InputError(_shortened(mistakes, name))
    stated = {key: names[place].removeprefix(f"{key}_") for key, (place, _) in found.items() if key in columns}
    return Table(name, number, np.array(numbers), columns, texts, stated)


def _lines(text: str) -> Iterator[tuple[int, str]]:
    """Lines that say something, with their numbers."""
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), start=1):
        if line.strip(" \t;,") and not line.lstrip().startswith("#"):
            yield number, line


def _columns(
    names: list[str], file: str, line: int, required: Mapping[str, str], optional: Mapping[str, str]
) -> dict[str, tuple[int, float]]:
    """Place and factor of each column that is there; raises InputError for those that are missing."""
    if len(names) > MOST_COLUMNS:
        raise refuse(file, tr("has more than {most} columns", most=MOST_COLUMNS), line)
    found: dict[str, tuple[int, float]] = {}
    mistakes = []
    for key, kind in {**required, **optional}.items():
        spelled = {f"{key}_{unit}": factor for unit, factor in UNITS[kind].items()} if kind != TEXT else {key: 1.0}
        there = [place for place, name in enumerate(names) if name in spelled]
        if len(there) > 1:
            given = ", ".join(names[i] for i in there)
            mistakes.append(tr("has the column {key} more than once: {given}", key=key, given=given))
        elif there:
            found[key] = there[0], spelled[names[there[0]]]
        elif key in required:
            mistakes.append(_missing(key, list(spelled), names))
    if mistakes:
        raise InputError([Mistake(f"{file}:{line}", "", text) for text in mistakes])
    return found


def _missing(key: str, spelled: list[str], names: Iterable[str]) -> str:
    allowed = ", ".join(spelled)
    near = [n for n in names if n == key] or [n for n in names if n.startswith(f"{key}_")]
    if near:
        return tr("the column {given} must say its unit: {allowed}", given=near[0], allowed=allowed)
    near = difflib.get_close_matches(key, list(names), n=1, cutoff=0.7)
    if near:
        return tr(
            "the column {key} is missing; name it {allowed}; is {given} meant?", key=key, allowed=allowed, given=near[0]
        )
    return tr("the column {key} is missing; name it {allowed}", key=key, allowed=allowed)


def _rows(lines: Iterator[tuple[int, str]], name: str, between: str, width: int) -> tuple[list[list[str]], list[int]]:
    """Rows of cells and their lines; raises InputError where there are too many or one has not all its cells."""
    rows: list[list[str]] = []
    numbers: list[int] = []
    mistakes: list[Mistake] = []
    for number, line in lines:
        if len(rows) == MOST_ROWS:
            raise refuse(name, tr("has more than {most} rows; cut it to the second around the swing", most=MOST_ROWS))
        row = next(csv.reader([line], delimiter=between)) if '"' in line else line.split(between)
        if len(row) < width or any(cell.strip() for cell in row[width:]):
            text = tr("has {given} cells where the header has {allowed}; is the file cut short, or are decimal commas "
                      "mixed with commas between cells?", given=len(row), allowed=width)  # fmt: skip
            mistakes.append(Mistake(f"{name}:{number}", "", text))
            if len(mistakes) > MOST_MISTAKES:
                break
        rows.append(row)
        numbers.append(number)
    if mistakes:
        raise InputError(_shortened(mistakes, name))
    if not rows:
        raise refuse(name, tr("has a header but no rows"))
    return rows, numbers


def _numbers(
    cells: list[str], column: str, commas: bool, name: str, lines: list[int], mistakes: list[Mistake]
) -> Array:
    """The cells of a column as numbers (n,), NaN in a gap; what is no number is added to the mistakes."""
    values = np.full(len(cells), np.nan)
    for i, cell in enumerate(cells):
        if cell.lower() in GAPS:
            continue
        plain = cell.replace(",", ".") if commas and "." not in cell else cell
        is_number = _NUMBER.match(plain)
        if is_number and abs(float(plain)) <= MOST_NUMBER:
            values[i] = float(plain)
        else:
            given = cell if len(cell) <= 30 else cell[:27] + "..."
            no_number = tr("= {given} must be a number, or empty for a gap", given=given)
            text = tr("= {given} is far too large", given=given) if is_number else no_number
            mistakes.append(Mistake(f"{name}:{lines[i]}", column, text))
            if len(mistakes) > MOST_MISTAKES:
                break
    return values


def _shortened(mistakes: list[Mistake], name: str) -> list[Mistake]:
    """The first few mistakes, and that there are more."""
    if len(mistakes) <= MOST_MISTAKES:
        return mistakes
    return [*mistakes[:MOST_MISTAKES], Mistake(name, "", tr("and more like these"))]
