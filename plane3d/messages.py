"""Plain sentences for wrong values: what was given, what is allowed, and what may have been meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any

from plane3d.errors import Mistake
from plane3d.quantities import Quantity, all_choices, all_quantities
from plane3d.toml_text import KeyLines, value_text

TEXTS = {
    "format": "must be 1, the only file format there is",
    "title": "must be one line of text, at most 120 characters",
    "question": "must be text, at most 1000 characters",
    "notice": "must be text, at most 1000 characters",
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
    return f"; did you mean {best[0]}?" if best else ""


def given_text(value: Any) -> str:
    """A value as it stands in the file, cut short if long."""
    try:
        text = value_text(value)
    except ValueError:  # an integer of thousands of digits
        return "a huge number"
    except RecursionError:
        return "tables within tables without end"
    return text if len(text) <= 60 else text[:57] + "..."


def number_text(quantity: Quantity) -> str:
    """What a number may be."""
    return f"must be a number from {quantity.low:g} to {quantity.high:g} {quantity.unit}"


def explain(
    errors: Iterable[Mapping[str, Any]], lines: KeyLines, texts: Mapping[str, str], known: Iterable[str]
) -> list[Mistake]:
    """One sentence for each error of a validation, in the order of the lines.

    errors : as pydantic lists them (``loc``, ``type``, ``input``)
    lines : where each key stands
    texts : what keys other than quantities and choices must be
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
        return f"is missing; it {texts[key]}"
    given = given_text(value)
    if kind == "extra_forbidden":
        return f"= {given} is not a known key" + (suggestion(key, known) or _keys_beside(key, known))
    if key in all_quantities():
        return f"= {given} {number_text(all_quantities()[key])}"
    if key in all_choices():
        words = all_choices()[key]
        allowed = ", ".join(map(value_text, words))
        return f"= {given} must be one of {allowed}" + suggestion(str(value), words)
    return f"= {given} " + texts.get(key, f"must be a table: write [{key}] on a line of its own")


def _keys_beside(key: str, known: list[str]) -> str:
    """The keys that may stand where a wrong one was found."""
    table = key.rpartition(".")[0]
    beside = [k.rpartition(".")[2] for k in known if k.rpartition(".")[0] == table]
    return f"; known here: {', '.join(beside)}"
