"""Words round a picture: title and result above it, small print below it, so that nothing in it is covered."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from plane3d.scene.labels import font_for
from plane3d.scene.render import Picture
from plane3d.scene.style import INK, THEMES

LETTER_SHARE, LETTER_LEAST, LETTER_SMALLEST = 1 / 54, 12, 8  # of the longer side; pixels; pixels where room is short
TITLE, SMALL = 1.45, 0.66  # of the letters of the line
SMALL_LEAST = 10  # pixels
MOST = 0.45  # of the picture's height that words may take before they are made smaller
LEADING = 1.35  # from line to line, in letters


@dataclass(frozen=True)
class Item:
    """A piece of small print: its words, before them a patch of a colour or a bar of some length, pixels."""

    text: str
    color: str = ""
    bar: float = 0.0


@dataclass(frozen=True)
class Caption:
    """What stands round a picture: a title and a line above it, pieces of small print below it."""

    title: str
    line: str = ""
    items: tuple[Item, ...] = ()


class Frame:
    """Room for words above and below a picture.

    Parameters
    ----------
    size : width and height of the whole, pixels
    captions : all that will be shown, so that the room is the same for each of them

    Attributes
    ----------
    inner : width and height left for the picture itself, pixels
    """

    def __init__(self, size: tuple[int, int], captions: Sequence[Caption], theme: str = "light"):
        self.size = size
        look = THEMES[theme]
        self._paper, self._ink = look.paper, look.repaint.get(INK, INK)
        texts = [(c.title, c.line, *(item.text for item in c.items)) for c in captions]
        self._signs = "".join(sorted(set("".join(map("".join, texts)))))  # one font that has them all
        start = max(LETTER_LEAST, round(max(size) * LETTER_SHARE))
        for self._letter in range(start, LETTER_SMALLEST - 1, -1):
            self._top = max(self._height(self._above(caption)) for caption in captions)
            self._bottom = max(self._below_height(caption) for caption in captions)
            if self._top + self._bottom <= MOST * size[1]:
                break
        self.inner = (size[0], max(size[1] - self._top - self._bottom, 1))
        self._drawn: dict[Caption, tuple[Picture, Picture]] = {}

    def around(self, image: Picture, caption: Caption) -> Picture:
        """The picture (inner height, width, 3) with its words, (height, width, 3)."""
        if caption not in self._drawn:
            self._drawn[caption] = self._draw_above(caption), self._draw_below(caption)
        above, below = self._drawn[caption]
        return np.concatenate([above, image, below])[: self.size[1]]

    @property
    def _margin(self) -> int:
        return self._letter

    @property
    def _small(self) -> int:
        return max(min(SMALL_LEAST, self._letter), round(SMALL * self._letter))

    def _font(self, size: int) -> Any:
        return font_for(size, self._signs)

    def _above(self, caption: Caption) -> list[tuple[str, int]]:
        """Lines of title and line, each with the size of its letters."""
        wide = self.size[0] - 2 * self._margin
        sized = ((caption.title, round(TITLE * self._letter)), (caption.line, self._letter))
        return [(line, size) for text, size in sized for line in wrapped(text, self._font(size), wide)]

    def _height(self, lines: list[tuple[str, int]]) -> int:
        return round(sum(LEADING * size for _, size in lines) + self._letter)

    def _rows(self, caption: Caption) -> list[list[tuple[Item, str, float]]]:
        """Small print in rows: each piece with one line of its words and how far from the left it stands."""
        rows: list[list[tuple[Item, str, float]]] = [[]]
        left, end, gap = float(self._margin), self.size[0] - self._margin, 1.5 * self._small
        for item in caption.items:
            font, lead = self._font(self._small), self._lead(item)
            for part, line in enumerate(wrapped(item.text, font, end - self._margin - lead)):
                wide = lead + font.getlength(line)
                if rows[-1] and (part or left + wide > end):
                    rows.append([])
                    left = float(self._margin)
                rows[-1].append((item if part == 0 else Item(item.text), line, left if part == 0 else left + lead))
                left += wide + gap
        return rows if rows[-1] else []

    def _lead(self, item: Item) -> float:
        return item.bar + 0.6 * self._small if item.bar else 1.3 * self._small if item.color else 0.0

    def _below_height(self, caption: Caption) -> int:
        rows = len(self._rows(caption))
        return round(LEADING * self._small * rows + 0.8 * self._small) if rows else 0

    def _blank(self, height: int) -> tuple[Any, Any]:
        from PIL import Image, ImageDraw  # here, because only pictures need it

        paper = Image.new("RGB", (self.size[0], height), self._paper)
        return paper, ImageDraw.Draw(paper)

    def _draw_above(self, caption: Caption) -> Picture:
        paper, draw = self._blank(self._top)
        down = self._letter / 2
        for line, size in self._above(caption):
            middle = down + LEADING * size / 2
            draw.text((self._margin, middle), line, font=self._font(size), fill=self._ink, anchor="lm")
            down += LEADING * size
        return np.asarray(paper)

    def _draw_below(self, caption: Caption) -> Picture:
        paper, draw = self._blank(self._bottom)
        for place, row in enumerate(self._rows(caption)):
            middle = 0.4 * self._small + LEADING * self._small * (place + 0.5)
            for item, line, left in row:
                self._draw_lead(draw, item, left, middle)
                at = (left + self._lead(item), middle)
                draw.text(at, line, font=self._font(self._small), fill=self._ink, anchor="lm")
        return np.asarray(paper)

    def _draw_lead(self, draw: Any, item: Item, left: float, middle: float) -> None:
        """The bar of a scale with its two ends, or a patch of colour."""
        half = 0.32 * self._small
        if item.bar:
            thick = max(1, round(self._small / 10))
            right = left + item.bar
            draw.line([(left, middle), (right, middle)], fill=self._ink, width=thick)
            for end in (left, right):
                draw.line([(end, middle - half), (end, middle + half)], fill=self._ink, width=thick)
        elif item.color:
            draw.rectangle([left, middle - half, left + 0.9 * self._small, middle + half], fill=item.color,
                           outline=self._ink)  # fmt: skip


def wrapped(text: str, font: Any, wide: float) -> Iterator[str]:
    """Lines of a text no wider than ``wide`` pixels; a number stays with its unit, a word wider than that is cut."""
    line = ""
    for word in re.split(r"(?<!\d)\s+", text.strip()):
        longer = f"{line} {word}" if line else word
        if font.getlength(longer) <= wide:
            line = longer
            continue
        if line:
            yield line
        while len(word) > 1 and font.getlength(word) > wide:
            fits = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or font.getlength(word[:n]) <= wide)
            yield word[:fits]
            word = word[fits:]
        line = word
    if line:
        yield line
