"""The log as CSV (RFC 4180, UTF-8), for spreadsheets and statistics; docs/log.md describes the columns."""

from __future__ import annotations

import csv
import io

from plane3d.log.store import Log

HEADER = (
    "hitter", "bats", "level", "day", "swing", "session", "source", "figure", "value", "uncertainty", "note",
)  # fmt: skip


def csv_text(log: Log, code: str | None = None) -> str:
    """One row for each figure of each swing; a swing without figures, and a hitter without swings, has one row too.

    code : of one hitter, or None for all of them. Numbers are written so that reading them gives the same number.
    """
    text = io.StringIO(newline="")
    rows = csv.writer(text)
    rows.writerow(HEADER)
    for hitter in log.hitters():
        if code not in (None, hitter.code):
            continue
        who = (hitter.code, hitter.bats, hitter.level)
        swings = log.swings(hitter.code)
        if not swings:
            rows.writerow((*who, "", "", "", "", "", "", "", hitter.note))
        for swing in swings:
            what = (swing.day.isoformat(), swing.number, swing.session, swing.source)
            for name, figure in sorted(swing.figures.items()):
                spread = "" if figure.uncertainty is None else repr(figure.uncertainty)
                rows.writerow((*who, *what, name, repr(figure.value), spread, swing.note))
            if not swing.figures:
                rows.writerow((*who, *what, "", "", "", swing.note))
    return text.getvalue()
