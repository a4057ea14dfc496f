"""Every check against the outside holds or is shown as a miss, and docs/accuracy.md says what the rows say."""

from __future__ import annotations

import re
from itertools import zip_longest

import pytest

from tests import accuracy
from tests.reference.row import BASES, KNOWN, Row
from tests.reference.rows import ROWS, SUBJECTS

NUMBER = re.compile(r"(within )?([+-]?\d+(?:\.\d+)?)")
VERSIONS = 2.0  # by this factor a largest difference may change with the version of a library
NAMED = [pytest.param(row, id=f"{subject}: {row.what}") for subject, rows in SUBJECTS.items() for row in rows]


@pytest.mark.parametrize("row", NAMED)
def test_row(row: Row) -> None:
    if row.needs:
        pytest.importorskip(row.needs)
    if row.miss:
        assert not row.holds, "this no longer misses: take its explanation out, and the model page's with it"
    else:
        assert row.holds, f"{row.value} against {row.published}: off by {row.difference}, allowed {row.reach}"


def test_rows_say_how_far_they_are_known_and_why_so_much_is_allowed() -> None:
    for row in ROWS:
        assert row.known in KNOWN and row.basis in BASES, row.what
        assert row.what and row.source
        assert row.why or not row.wider_than_source, f"{row.what}: more is allowed than the source is sure of: say why"


def test_a_value_from_memory_proves_nothing() -> None:
    """From memory: the standard atmosphere, and one weight that is only taken over."""
    assert sum(row.known == "from memory" for row in ROWS) <= 2


def test_no_row_is_there_twice() -> None:
    for subject, rows in SUBJECTS.items():
        names = [(row.what, row.source) for row in rows]
        assert len(set(names)) == len(names), subject
    assert len(ROWS) >= 60


def differences(ours: str, theirs: str) -> list[str]:
    """Lines of two pages that differ in words, or in a number by more than one of its last place.

    A largest difference ("within") may change more: its row says what is allowed.
    """
    return [
        f"{a!r} is not {b!r}"
        for a, b in zip_longest(ours.splitlines(), theirs.splitlines(), fillvalue="")
        if a != b and not _alike(a, b)
    ]


def _alike(a: str, b: str) -> bool:
    if NUMBER.sub("#", a) != NUMBER.sub("#", b):
        return False
    pairs = zip(NUMBER.findall(a), NUMBER.findall(b), strict=True)
    return all(bool(within) == bool(other) and _near(x, y, bool(within)) for (within, x), (other, y) in pairs)


def _near(x: str, y: str, within: bool) -> bool:
    a, b = float(x), float(y)
    if within:
        return max(a, b) <= VERSIONS * min(a, b)
    return abs(a - b) <= 1.01 * 10 ** -max(_places(x), _places(y))


def _places(number: str) -> int:
    return len(number.partition(".")[2])


def test_the_page_says_what_the_rows_say() -> None:
    """Up to one in the last place shown, so that another machine's arithmetic may round the other way."""
    for row in ROWS:
        if row.needs:
            pytest.importorskip(row.needs)
    off = differences(accuracy.PAGE.read_text(encoding="utf-8"), accuracy.page())
    assert not off, "`python -m tests.accuracy` writes the page anew:\n" + "\n".join(off[:20])


def test_pages_are_compared_in_words_and_numbers() -> None:
    assert differences("a 1.25 b", "a 1.26 b") == differences("within 30 mm", "within 50 mm") == []
    assert differences("within 30 mm", "within 70 mm") and differences("within 30 mm", "within 0 mm")
    assert differences("a 1.25 b", "a 1.27 b") and differences("a 1.25 b", "a 1.25 c") and differences("a", "a\nb")
