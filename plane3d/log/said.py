"""What a log holds in words: figures with their units and uncertainties, hitters."""

from __future__ import annotations

import numpy as np

from plane3d.language import tr
from plane3d.log.values import Figure, Hitter
from plane3d.quantities import choice_in_words, unit_name
from plane3d.words import SHOWN

MOST_DECIMALS = 2


def unit_of(name: str, metric: bool = False) -> tuple[str, float, int]:
    """The unit a figure is shown in, what a value in its coach unit is multiplied by, and decimals that tell enough."""
    unit, decimals, metric_unit, metric_decimals, factor = next(SHOWN[end] for end in SHOWN if name.endswith(end))
    return (metric_unit, factor, metric_decimals) if metric else (unit, 1.0, decimals)


def with_error(name: str, value: float, error: float, metric: bool = False) -> str:
    """A figure with its standard error, such as ``2.1 ± 0.8°``: as many decimals as the error has something to say."""
    unit, factor, _ = unit_of(name, metric)
    value, error = value * factor, error * factor
    decimals = int(np.clip(1 - np.floor(np.log10(error)), 0, MOST_DECIMALS)) if error > 0 else 1
    return _with_unit(f"{round(value, decimals) + 0.0:.{decimals}f} ± {error:.{decimals}f}", unit)


def figure_words(name: str, figure: Figure, metric: bool = False) -> str:
    """A figure as it was kept, such as ``51.3 ± 1.0 mph``, or ``51.5 mph`` where its uncertainty is not known."""
    if figure.uncertainty is not None:
        return with_error(name, figure.value, figure.uncertainty, metric)
    unit, factor, decimals = unit_of(name, metric)
    return _with_unit(f"{round(figure.value * factor, decimals + 1) + 0.0:.{decimals + 1}f}".removesuffix(".0"), unit)


def _with_unit(number: str, unit: str) -> str:
    return f"{number}{unit}" if unit == "°" else f"{number} {unit_name(unit)}"


def hitter_words(hitter: Hitter) -> str:
    """Side and level of a hitter; empty where neither is said."""
    sides = {"left": tr("bats left"), "right": tr("bats right")}
    level = [choice_in_words("setting.level", hitter.level)] if hitter.level else []
    return ", ".join([*([sides[hitter.bats]] if hitter.bats in sides else []), *level])


def hitters_words(count: int) -> str:
    return tr("1 hitter") if count == 1 else tr("{hitters} hitters", hitters=count)


def swings_words(count: int) -> str:
    return tr("1 swing") if count == 1 else tr("{swings} swings", swings=count)
