"""Words that all studies share: outcomes, shares with their errors, lines of a table."""

from __future__ import annotations

from collections.abc import Iterable

from plane3d.frames import Array
from plane3d.language import mark, tr

TOUCH, FAIR, SOLID = mark("touched"), mark("fair"), mark("solid")
NAME, NUMBER = 36, 16  # characters of a column


def percent(share: tuple[float, float]) -> str:
    """A share with its standard error: ``44.5 % ± 0.5``."""
    value, error = (100 * number for number in share)
    return f"{value:.1f} % ± {error:.1f}"


def points(share: tuple[float, float]) -> str:
    """A difference of two shares with its standard error, in points of a hundred: ``+3.2 ± 0.8``."""
    value, error = (100 * number for number in share)
    return f"{value + 0.0:+.1f} ± {error:.1f}"


def share_block(share: tuple[float, float]) -> dict[str, float]:
    """A share and its standard error for JSON, from 0 to 1."""
    return {"share": round(share[0], 6), "error": round(share[1], 6)}


def rows(pairs: Iterable[tuple[str, str]]) -> list[str]:
    """Names and their values as lines of text."""
    return [f"  {name:<{NAME}}{value:>{NUMBER}}".rstrip() for name, value in pairs]


def table(heads: Iterable[str], lines: Iterable[Iterable[str]], first: int = NAME) -> list[str]:
    """A table as lines of text, the first column to the left, the others to the right and as wide as they need."""
    cells = [list(heads), *map(list, lines)]
    wide = [max(len(line[i]) for line in cells) for i in range(len(cells[0]))]
    wide[0] = max(wide[0], first)
    return [
        ("  " + line[0].ljust(wide[0]) + "".join("  " + c.rjust(w) for c, w in zip(line[1:], wide[1:], strict=True)))
        .rstrip()
        for line in cells
    ]  # fmt: skip


def number(value: float, decimals: int = 2) -> float | None:
    """A number for JSON; None where there is none."""
    return None if value != value else round(float(value), decimals) + 0.0


def numbers(values: Array, unit: float, decimals: int) -> list[float | None]:
    """Numbers (n,) in SI as a list in a coach unit for JSON; None where there is none."""
    return [number(value, decimals) for value in values / unit]


def closing() -> list[str]:
    """The last words of every answer."""
    return ["", tr("A model's answer, not a measurement; docs/model.md says what it leaves out.")]
