"""Answers of the studies as page fragments: tables with the shapes of the figures, remedies, the practice sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from markdown_it import MarkdownIt

from apps.figures import BARE, FIRST, SECOND, SHAPES
from apps.link import encode
from plane3d.drills import COMES_FIRST
from plane3d.language import mark, tr
from plane3d.quantities import quantity
from plane3d.scene.strip import LOOKS
from plane3d.study import remedy
from plane3d.words import NAMES, capital, sentence

# The shapes of `figures.SHAPES` in a square of 16.
PATHS = {
    "x": "M3 3 13 13M13 3 3 13", "plus": "M8 2V14M2 8H14", "hex": "M8 1.5 14 5V11L8 14.5 2 11V5Z",
    "triangle": "M8 2 14.5 13.5H1.5Z", "inverted_triangle": "M8 14 1.5 2.5H14.5Z", "square": "M2.5 2.5H13.5V13.5H2.5Z",
    "circle": "M8 2A6 6 0 1 1 7.99 2Z", "diamond": "M8 1 13 8 8 15 3 8Z",
    "star": "M8 1 10 6.2 15.5 6.2 11 9.6 12.7 15 8 11.7 3.3 15 5 9.6.5 6.2 6 6.2Z",
}  # fmt: skip
SHOW, COMPARE = mark("Show"), mark("Compare")
NOT_ALONE = mark("not by this alone")


def shape(kind: str) -> str:
    """The shape of an outcome as it stands in the figures."""
    fill = "none" if kind in BARE else LOOKS[kind].color
    drawn = f'<path d="{PATHS[SHAPES[kind]]}" fill="{fill}"/>'
    return f'<svg class="shape" viewBox="0 0 16 16" aria-hidden="true">{drawn}</svg>'


def paragraph(words: str, name: str = "") -> str:
    looks = f' class="{name}"' if name else ""
    return f"<p{looks}>{escape(words)}</p>"


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], marks: Sequence[str] = ()) -> str:
    """A table of words, the first column its names.

    heads : of the columns; none for a table of pairs. marks : HTML put before the name of each row
    """
    body = ""
    for i, (name, *values) in enumerate(rows):
        sign = marks[i] if i < len(marks) else ""
        cells = "".join(f"<td>{escape(signed(value))}</td>" for value in values)
        body += f'<tr><th scope="row">{sign}{escape(capital(name))}</th>{cells}</tr>'
    head = "".join(f'<th scope="col">{escape(capital(words))}</th>' if words else "<td></td>" for words in heads)
    top = f"<thead><tr>{head}</tr></thead>" if heads else ""
    return f'<div class="wide"><table><caption>{escape(caption)}</caption>{top}<tbody>{body}</tbody></table></div>'


def outcome_table(shares: Sequence[tuple[str, str]]) -> str:
    """Outcome kinds with their shares in words: the key to the figures."""
    rows = [(tr(NAMES[kind]), words) for kind, words in shares]
    return table(tr("What comes of it"), (), rows, [shape(kind) for kind, _ in shares])


def signed(words: str) -> str:
    """A minus sign in place of the hyphen before a number; the percent sign stays with its number."""
    words = words.replace(" %", "\N{NO-BREAK SPACE}%")
    return f"−{words[1:]}" if words[:1] == "-" and words[1:2].isdigit() else words


def remedies(found: remedy.Found, metric: bool) -> str:
    """The changes that do it, easiest first, each with links that show it, and those that do not."""
    now = encode(found.scenario)
    parts = [paragraph(tr("Now: {sentence}", sentence=sentence(found.now, metric)))]
    if found.remedies:
        parts.append(f"<h3>{escape(tr('Any one of these does it, the easiest first'))}</h3>")
        items = (_remedy(one, now, metric) for one in found.remedies)
        parts.append(f"<ol>{''.join(items)}</ol>")
    if found.hopeless:
        rows = [(tr(quantity(key).label), tr(NOT_ALONE)) for key in found.hopeless]
        parts.append(table(tr("Tried without success, over the whole slider"), (), rows))
    if not found.already:
        parts.append(paragraph(tr("Typical scatters are our own choice for the level, not a measurement."), "quiet"))
    return "".join([*parts, caution()])


def _remedy(one: remedy.Remedy, now: str, metric: bool) -> str:
    changed = encode(one.scenario)
    cue = remedy.cue(one, metric)
    times = tr("{effort} times a typical scatter", effort=f"{one.effort:.1f}")
    links = ((f"/#s={changed}", tr(SHOW)), (f"/compare#a={now}&amp;b={changed}", tr(COMPARE)))
    buttons = "".join(
        f'<a class="button" href="{target}" aria-label="{escape(f"{words}: {cue}")}">{escape(words)}</a>'
        for target, words in links
    )
    return (
        f'<li data-key="{one.key}"><div><b>{escape(cue)}</b> <span class="quiet">({escape(times)})</span>'
        f'<p>{escape(sentence(one.result, metric))}</p></div><div class="buttons">{buttons}</div></li>'
    )


def swatches(first: str, second: str) -> str:
    """Which of two swings looks how in the figures."""
    lines = (
        (FIRST, "plain", tr("First: {title}", title=first)),
        (SECOND, "hatched", tr("Second: {title}", title=second)),
    )
    items = "".join(
        f'<li><i class="swatch {looks}" style="background-color:{color}" aria-hidden="true"></i>{escape(words)}</li>'
        for color, looks, words in lines
    )
    return f'<ul class="key">{items}</ul>'


def caution() -> str:
    """Who comes before the model."""
    return paragraph(tr(COMES_FIRST), "caution")


def sheet(markdown: str) -> str:
    """A practice sheet as it is read and printed."""
    body = MarkdownIt("commonmark", {"html": False}).enable("table").render(markdown)
    return f'<article class="sheet">{body}</article>'


def folded(words: str, inside: str) -> str:
    """What opens at a click."""
    return f"<details><summary>{escape(words)}</summary>{inside}</details>"


def closing() -> str:
    """The last words of every answer."""
    words = escape(tr("A model’s answers, not measurements."))
    more = escape(tr("The whole model in words"))
    return f'<p class="quiet">{words} <a href="/docs/model.md" target="_blank">{more}</a></p>'
