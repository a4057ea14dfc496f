"""What is typed on the log's page, read: days and figures."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from plane3d.language import tr
from plane3d.log import FIGURES, Figure, LogError, Swing
from plane3d.log.said import unit_of


def day_of(text: str) -> date:
    """A day as a browser or a person writes it. Raises LogError with one sentence."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        raise LogError(tr('A day must be written as 2026-03-14, not "{given}".', given=text)) from error


def swing_of(day: str, source: str, session: str, note: str, figures: Sequence[Sequence[str]], metric: bool) -> Swing:
    """A swing as typed. figures : name, value and uncertainty of each, in the units shown. Raises LogError."""
    found: dict[str, Figure] = {}
    for name, value, uncertainty in figures:
        if not value.strip() and not uncertainty.strip():
            continue
        if name in found:
            raise LogError(tr("The {figure} is given twice.", figure=tr(FIGURES[name])))
        factor = unit_of(name, metric)[1]
        spread = _number(uncertainty, name) / factor if uncertainty.strip() else None
        found[name] = Figure(_number(value, name) / factor, spread)
    return Swing(day_of(day), found, source.strip(), session.strip(), note)


def _number(text: str, name: str) -> float:
    """A number with a decimal point or a decimal comma. Whether it can be kept is for the log to say."""
    try:
        return float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError as error:
        what = tr(FIGURES.get(name, name))
        raise LogError(tr('"{given}" for the {figure} must be a number.', given=text, figure=what)) from error
