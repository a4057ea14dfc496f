"""The numbers of a play as a page fragment, and mistakes in words."""

from __future__ import annotations

from html import escape

from plane3d.errors import InputError, Plane3dError
from plane3d.language import mark, tr
from plane3d.quantities import quantities
from plane3d.report import TEXT, Block, capital, show

PENDING = "…"
FAULT = mark("This cannot be shown because of a fault in plane3d; the terminal it was started from says more.")
MISSED = mark("Nothing here: the bat misses the ball.")
BACKWARD = mark("Nothing here: for a ball that leaves backward the climb of the swing says nothing by itself.")
WHY = "why"
SECOND = "second_pitch"
WHY_REACH = 60.0  # deg, half the width of the bars


def numbers(blocks: Block, metric: bool = False) -> str:
    """The blocks of `report` as HTML, in coach units or metric. A window not yet worked out shows as dots."""
    shown = {name: words for name, words in TEXT.items() if name != SECOND or blocks[SECOND]}
    sections = (_section(name, heading, rows, blocks, metric) for name, (heading, rows) in shown.items())
    return f'<div class="numbers">{"".join(sections)}</div>'


def _section(name: str, heading: str, rows: dict[str, str], blocks: Block, metric: bool) -> str:
    block = blocks[name]
    missed = not blocks["meeting"]["touch"] and name in ("collision", "flight", WHY)
    if missed:
        body = f"<p>{escape(tr(MISSED))}</p>"
    elif name == WHY and block is None:
        body = f"<p>{escape(tr(BACKWARD))}</p>"
    elif name == WHY:
        body = _why(rows, block, blocks["collision"]["launch_angle_deg"])
    else:
        body = "".join(
            _row(tr(words), _value(key, block, blocks["window"] is None, metric)) for key, words in rows.items()
        )
        body = f"<dl>{body}</dl>"
    return f'<section class="{name}"><h3>{escape(tr(heading))}</h3>{body}</section>'


def _value(key: str, block: Block | None, pending: bool, metric: bool) -> str:
    if block is None or (pending and block[key] is None):
        return PENDING
    return show(key, block[key], metric)


def _row(words: str, value: str, bar: str = "") -> str:
    return f"<div><dt>{escape(capital(words))}</dt>{bar}<dd>{escape(value.replace('-', '−'))}</dd></div>"


def _why(rows: dict[str, str], block: Block, launch: float) -> str:
    """The parts of the launch angle as bars from a zero line, each with its figure, and their sum."""
    parts = [_row(tr(words), signed(block[key]), _bar(block[key])) for key, words in rows.items()]
    parts.append(_row(tr("launch angle"), signed(launch), _bar(launch)))
    return f"<dl>{''.join(parts)}</dl>"


def _bar(angle: float) -> str:
    length = min(abs(angle) / WHY_REACH, 1.0) * 50
    start = 50 - (length if angle < 0 else 0)
    return f'<i class="bar" aria-hidden="true"><b style="left:{start:.1f}%;width:{length:.1f}%"></b></i>'


def signed(angle: float) -> str:
    """An angle that adds to others: ``+12°``, ``−3°``, ``0°``."""
    whole = round(angle)
    return f"{'+' if whole > 0 else '−' if whole < 0 else ''}{abs(whole)}°"


def mistake(error: Plane3dError) -> str:
    """What cannot be shown and why, naming controls by their labels instead of their keys."""
    if not isinstance(error, InputError):
        return str(error)
    known = quantities()
    named = ((tr(known[m.key].label) if m.key in known else m.key, m.text) for m in error.mistakes)
    return " ".join(tr("{name} {problem}.", name=name, problem=problem) for name, problem in named)
