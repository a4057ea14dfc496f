"""Plain sentences for wrong values: what was given, what is allowed, and what may have been meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any

from plane3d.errors import Mistake
from plane3d.language import mark, tr
from plane3d.quantities import Quantity, all_choices, all_quantities, unit_name
from plane3d.toml_text import KeyLines, value_text

# What keys other than quantities and choices must be.
TEXTS = {
    "format": mark("1, the only file format there is"),
    "title": mark("one line of text, at most 120 characters"),
    "question": mark("text, at most 1000 characters"),
    "notice": mark("text, at most 1000 characters"),
    "measured.motion": mark("a measured motion as plane3d wrote it, whole"),
}


def suggestion(key: str, known: Iterable[str]) -> str:
    """``; did you mean …?`` for the known key nearest to a wrong one, or nothing.

    The same name in another table comes first, then a like name in the same table, then in any.
    """
    table, _, name = key.rpartition(".")
    keys = {k: k.rpartition(".") for k in known}
    same = [k for k, (_, _, other) in keys.items() if other == name]
    beside = {other: k for k, (t, _, other) in keys.items() if t == table}
    anywhere = {other: k for k, (_, _, other) in keys.items()}
    near = [beside[n] for n in difflib.get_close_matches(name, beside, n=1, cutoff=0.6)]
    far = [anywhere[n] for n in difflib.get_close_matches(name, anywhere, n=1, cutoff=0.7)]
    best = [*same, *near, *far]
    return tr("; did you mean {key}?", key=best[0]) if best else ""


def given_text(value: Any) -> str:
    """A value as it stands in the file, cut short if long."""
    try:
        text = value_text(value)
    except ValueError:  # an integer of thousands of digits
        return tr("a huge number")
    except RecursionError:
        return tr("tables within tables without end")
    return text if len(text) <= 60 else text[:57] + "..."


def number_text(quantity: Quantity) -> str:
    """What a number must be."""
    return tr(
        "a number from {low} to {high} {unit}",
        low=f"{quantity.low:g}", high=f"{quantity.high:g}", unit=unit_name(quantity.unit),
    )  # fmt: skip


def one_of(words: Iterable[str]) -> str:
    """What a choice must be."""
    return tr("one of {allowed}", allowed=", ".join(map(value_text, words)))


def explain(
    errors: Iterable[Mapping[str, Any]], lines: KeyLines, texts: Mapping[str, str], known: Iterable[str]
) -> list[Mistake]:
    """One sentence for each error of a validation, in the order of the lines.

    errors : as pydantic lists them (``loc``, ``type``, ``input``)
    lines : where each key stands
    texts : what keys other than quantities and choices must be, to be said with `tr`
    known : every key there is
    """
    known = list(known)
    found = []
    for error in errors:
        place = ".".join(map(str, error["loc"]))  # counts the tables of a list
        key = ".".join(part for part in error["loc"] if isinstance(part, str))
        sentence = _sentence(key, error["type"], error["input"], texts, known)
        found.append((lines.line(place), Mistake(lines.where(place), key, sentence)))
    return [mistake for _, mistake in sorted(found, key=lambda pair: pair[0])]


def _sentence(key: str, kind: str, value: Any, texts: Mapping[str, str], known: list[str]) -> str:
    if kind == "missing":
        return tr("is missing; it must be {what}", what=tr(texts[key]))
    given = given_text(value)
    if kind == "extra_forbidden":
        return tr("= {given} is not a known key", given=given) + (suggestion(key, known) or _keys_beside(key, known))
    if key in all_quantities():
        return _must_be(given, number_text(all_quantities()[key]))
    if key in all_choices():
        words = all_choices()[key]
        return _must_be(given, one_of(words)) + suggestion(str(value), words)
    if key in texts:
        return _must_be(given, tr(texts[key]))
    return _must_be(given, tr("a table: write [{key}] on a line of its own", key=key))


def _must_be(given: str, what: str) -> str:
    return tr("= {given} must be {what}", given=given, what=what)


def _keys_beside(key: str, known: list[str]) -> str:
    """The keys that may stand where a wrong one was found."""
    table = key.rpartition(".")[0]
    beside = [k.rpartition(".")[2] for k in known if k.rpartition(".")[0] == table]
    return tr("; known here: {keys}", keys=", ".join(beside))
