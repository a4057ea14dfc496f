"""A hitter's scatter in coach units: what may be given, what is typical for a level, and the words for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass

from plane3d.errors import InputError, Mistake
from plane3d.language import mark, tr
from plane3d.messages import given_text, number_text, suggestion
from plane3d.quantities import Quantity
from plane3d.studies import spread
from plane3d.typical import TYPICAL

TYPICAL_NOTE = mark("typical of the level: our own choice, not a measurement")


def _quantities(*rows: tuple[str, float, float, str, str]) -> dict[str, Quantity]:
    return {
        name: Quantity(f"scatter.{name}", name.rpartition("_")[2], 0.0, high, step, label, doc)
        for name, high, step, label, doc in rows
    }


# Every scatter there is, by the name of the field of `Scatter`: sliders and messages read this.
QUANTITIES = _quantities(
    ("timing_ms", 40, 0.5, mark("Scatter of timing"), mark("How much the moment of the swing varies.")),
    ("height_in", 4, 0.1, mark("Scatter of barrel height"), mark("How much the barrel's height varies.")),
    ("depth_in", 12, 0.1, mark("Scatter of contact depth"), mark("How much the place where the ball is met varies.")),
    ("along_in", 6, 0.1, mark("Scatter along the barrel"), mark("How much the place of the hit on the bat varies.")),
    ("bat_speed_mph", 15, 0.1, mark("Scatter of bat speed"), mark("How much the bat speed varies.")),
)


@dataclass(frozen=True)
class Scatter:
    """Standard deviations from swing to swing, in coach units, and whether all of them are the level's typical ones."""

    timing_ms: float
    height_in: float
    depth_in: float
    along_in: float
    bat_speed_mph: float

    def to_si(self) -> spread.Scatter:
        """The same for the study."""
        si = {name.rpartition("_")[0]: QUANTITIES[name].si(value) for name, value in asdict(self).items()}
        return spread.Scatter(**si)

    def rows(self, metric: bool = False) -> list[tuple[str, str]]:
        """Each label and its value in words: ``± 10 ms``."""
        return [(tr(QUANTITIES[n].label), f"± {QUANTITIES[n].words(v, metric)}") for n, v in asdict(self).items()]

    def is_typical(self, level: str) -> bool:
        """Whether this is what a level starts with."""
        return self == scatter(level)


def scatter(level: str, given: Mapping[str, float] | None = None) -> Scatter:
    """The typical scatter of a level with what is given laid over it.

    Raises InputError naming everything given that is unknown or out of range.
    """
    given = dict(given or {})
    mistakes = [_mistake(name, value) for name, value in given.items() if not _fine(name, value)]
    if mistakes:
        raise InputError(mistakes)
    start = {name: getattr(TYPICAL[level], name) for name in QUANTITIES}
    return Scatter(**start | {name: float(value) for name, value in given.items()})


def _fine(name: str, value: object) -> bool:
    if name not in QUANTITIES or isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return QUANTITIES[name].low <= value <= QUANTITIES[name].high  # false for NaN too


def _mistake(name: str, value: object) -> Mistake:
    key = f"scatter.{name}"
    if name not in QUANTITIES:
        known = [quantity.key for quantity in QUANTITIES.values()]
        return Mistake(
            "input", key, tr("= {given} is not a known key", given=given_text(value)) + suggestion(key, known)
        )
    return Mistake(
        "input", key, tr("= {given} must be {what}", given=given_text(value), what=number_text(QUANTITIES[name]))
    )
