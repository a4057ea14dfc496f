"""The table of differences and the result lines of a comparison as page fragments."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from itertools import groupby

from plane3d.compare import COLUMNS, FOLLOWS, HEADINGS, Case, Comparison, Row
from plane3d.language import mark, tr
from plane3d.report import sentence

NAMES = {"first": mark("First"), "second": mark("Second")}
NAME = mark("Setting or result")
NOTHING_CHANGED = mark("No setting differs.")
OUTCOME = "outcome.kind"  # the row that stands above all groups
ALIKE = mark("What agrees ({count})")


def result_line(side: str, title: str, case: Case, problem: str, metric: bool, pattern: bool) -> str:
    """Which of the two it is, and its result or why there is none.

    side : first or second
    pattern : whether to show how its lines look where both are in one stage
    """
    words = problem or sentence(case.play.result, metric)
    looks = f"says {side}{' problem' if problem else ''}"
    sample = '<i class="pattern" aria-hidden="true"></i>' if pattern else ""
    named = f"<b>{escape(tr(NAMES[side]))}: {escape(title)}.</b>"
    return f'<p class="{looks}">{sample}<span>{named} {escape(words)}</span></p>'


def table(found: Comparison) -> str:
    """What was changed, what followed and differs, and, folded away, what agrees."""
    differing = [row for row in found.followed if row.differs]
    alike = [row for row in found.followed if not row.differs]
    heading, followed = (tr(words) for words in HEADINGS)
    changed = _rows(heading, found.changed) if found.changed else _heading(f"{heading}: {tr(NOTHING_CHANGED)}")
    shown = _table(changed + _groups(followed, differing))
    count = escape(tr(ALIKE, count=len(alike)))
    return f'{shown}<details class="alike"><summary>{count}</summary>{_table(_groups("", alike))}</details>'


def _table(body: str) -> str:
    heads = "".join(f'<th scope="col">{escape(tr(words))}</th>' for words in (NAME, *COLUMNS))
    return f"<table><thead><tr>{heads}</tr></thead>{body}</table>"


def _groups(heading: str, found: Iterable[Row]) -> str:
    """Rows under the heading of their group, after one heading for all of them."""
    body = _heading(heading) if heading else ""
    for group, members in groupby(found, key=lambda row: row.group):
        rows = list(members)
        body += _rows("" if rows[0].key == OUTCOME else tr(group), rows, "group")
    return body


def _rows(heading: str, rows: Iterable[Row], level: str = "part") -> str:
    lines = "".join(_row(row) for row in rows)
    return f"{_heading(heading, level) if heading else ''}<tbody>{lines}</tbody>"


def _heading(words: str, level: str = "part") -> str:
    return f'<tbody><tr class="{level}"><th colspan="4" scope="rowgroup">{escape(words)}</th></tr></tbody>'


def _row(row: Row) -> str:
    name = escape(row.name) + ("" if row.asked else f" <small>({escape(tr(FOLLOWS))})</small>")
    cells = "".join(f"<td>{escape(_signed(words))}</td>" for words in row.words)
    looks = ' class="differs"' if row.differs else ""
    return f'<tr{looks} data-key="{escape(row.key)}"><th scope="row">{name}</th>{cells}</tr>'


def _signed(words: str) -> str:
    """A minus sign in place of the hyphen before a number."""
    return f"−{words[1:]}" if words[:1] == "-" and words[1:2].isdigit() else words
