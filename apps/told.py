"""The answer of a lesson's step as a message to the browser."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from itertools import groupby
from typing import Any

from plane3d.answers import Answer
from plane3d.language import tr
from plane3d.lesson import Step
from plane3d.scene.strip import LOOKS, describe_strip, look


def told(found: Answer, step: Step) -> dict[str, Any]:
    """A step's answer as a message."""
    return {
        "right": found.right,
        "sentence": found.sentence,
        "columns": [tr(title) for title in found.columns],
        "rows": [[tr(words), *values] for words, values in found.rows],
        "notice": tr(step.notice),
        "strip": _runs(found) if step.strip else None,
    }


def _runs(found: Answer) -> dict[str, Any]:
    """The timing strip in runs of equal outcome, large enough to be read from afar; times in ms, late positive."""
    strip = describe_strip(found.play, found.reading.timed)
    first = round(float(strip.timings[0]) * 1e3)
    runs, at = [], first
    for kind, columns in groupby(strip.kinds):
        length = len(list(columns))
        runs.append({"kind": kind, "from": at - 0.5, "to": at + length - 0.5})
        at += length
    kinds = dict.fromkeys(strip.kinds)
    fair = [(round(r.first * 1e3), round(r.last * 1e3)) for r in strip.ranges if r.name == "fair"]
    return {
        "runs": runs,
        "fair": {"from": fair[0][0], "to": fair[0][1]} if fair else None,
        "timing": float(strip.timing) * 1e3,
        "looks": looks(kinds),
    }


def looks(kinds: Iterable[str]) -> dict[str, dict[str, str]]:
    """How some outcomes look, with their words, as the browser draws and says them."""
    wanted = set(kinds)
    return {kind: asdict(look(kind)) for kind in LOOKS if kind in wanted}
