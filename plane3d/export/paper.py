"""Words and pictures set on paper: every piece is measured before it is set, so that nothing runs out of its place."""

from __future__ import annotations

import re
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Protocol

from plane3d import __version__
from plane3d.errors import Plane3dError
from plane3d.language import current, mark, tr

PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}  # mm
MARGIN = 12.0  # mm, the least that printers leave blank and some more
POINT = 25.4 / 72.0  # mm
LEADING = 1.27  # from line to line, in letters
FAMILY = "DejaVu"
FILES = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}  # of matplotlib, which comes with pyvista
DATE = datetime(2000, 1, 1, tzinfo=UTC)  # of every file: with the day of its making no two would be the same
NUMBER = 9.0  # points, of a page's number
UNKNOWN = "□"  # for a sign that the font lacks
INK, QUIET, RULE, TINT = "#1f2933", "#52606d", "#aeb8c2", "#eef1f4"
NO_LIBRARY = mark("Paper needs the packages fpdf2 and matplotlib: pip install fpdf2 matplotlib.")


class Piece(Protocol):
    """Something that stands on a page."""

    def height(self, paper: Paper, width: float) -> float:
        """How much of a page it takes where it may be so wide, mm."""

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        """Set it with its upper left corner there, mm from that of the page."""


class Paper:
    """A document being made, and how large its letters are.

    Parameters
    ----------
    title : of the document
    size : one of `PAPERS`
    numbered : whether each page has its number in the lower margin

    Attributes
    ----------
    letter : size of ordinary letters, points; may be changed between pages
    """

    def __init__(self, title: str, size: str, numbered: bool = False):
        try:
            from fpdf import FPDF  # here, because only paper needs it
        except ImportError as error:
            raise Plane3dError(tr(NO_LIBRARY)) from error
        self.letter = 10.0
        self._heights: dict[tuple[str, float, float, bool], float] = {}
        self._numbered = numbered
        self.width, self.height = PAPERS[size]
        self.pdf: Any = FPDF(unit="mm", format=PAPERS[size])
        self.pdf.set_auto_page_break(False)
        self.pdf.set_margin(0)
        self.pdf.c_margin = 0
        self.pdf.set_creation_date(DATE)
        self.pdf.set_lang(current())
        self.pdf.set_title(title)
        self.pdf.set_creator(f"plane3d {__version__}")
        for style, path in font_files().items():
            self.pdf.add_font(FAMILY, style, path)
        fonts: dict[str, Any] = self.pdf.fonts
        self._signs = frozenset.intersection(*(frozenset(font.cmap) for font in fonts.values()))
        self.pdf.set_font(FAMILY)

    @property
    def room(self) -> float:
        """Width between the margins, mm."""
        return self.width - 2 * MARGIN

    @property
    def bottom(self) -> float:
        """How far down a page may be used, mm."""
        return self.height - MARGIN

    @property
    def em(self) -> float:
        """Size of ordinary letters, mm."""
        return self.letter * POINT

    def add_page(self) -> float:
        """Begin a page; returns how far down it begins, mm."""
        self.pdf.add_page()
        if self._numbered:
            at = (MARGIN, self.bottom + 2.0)
            self.words(str(self.pdf.page_no()), at, self.room, NUMBER / self.letter, False, QUIET, "R")
        return MARGIN

    def flow(self, pieces: Sequence[Piece], y: float) -> float:
        """Set pieces one below the other from y (mm) on, on a new page where one has no room; where they end, mm."""
        for piece in pieces:
            tall = piece.height(self, self.room)
            if y + tall > self.bottom and y > MARGIN:
                y = self.add_page()
            piece.put(self, MARGIN, y, self.room)
            y += tall
        return y

    def pages(self, pieces: Sequence[Piece]) -> int:
        """How many pages `flow` takes for pieces from the top of a page on."""
        count, y = 1, MARGIN
        for piece in pieces:
            tall = piece.height(self, self.room)
            if y + tall > self.bottom and y > MARGIN:
                count, y = count + 1, MARGIN
            y += tall
        return count

    def tall(self, pieces: Sequence[Piece], width: float | None = None) -> float:
        """Height of pieces one below the other, mm."""
        return sum(piece.height(self, self.room if width is None else width) for piece in pieces)

    def words_height(self, text: str, width: float, size: float, bold: bool) -> float:
        """Height of words broken into lines, mm; size in ordinary letters. Measured once: pieces ask repeatedly."""
        asked = (text, width, size * self.letter, bold)
        if text and asked not in self._heights:
            self._heights[asked] = self._cell(text, width, size, bold, output="HEIGHT", dry_run=True)
        return self._heights[asked] if text else 0.0

    def words_width(self, text: str, size: float, bold: bool) -> float:
        """Width of words on one line, mm."""
        self._font(size, bold)
        return float(self.pdf.get_string_width(self.printable(text)))

    def words(self, text: str, at: tuple[float, float], width: float, size: float, bold: bool, color: str,
              align: str = "L") -> None:  # fmt: skip
        """Set words broken into lines."""
        self.pdf.set_xy(*at)
        self.pdf.set_text_color(color)
        self._cell(text, width, size, bold, align=align)

    def printable(self, text: str) -> str:
        """Words as they are printed: a number stays with its unit, minus is a minus, unknown signs are boxes."""
        text = re.sub(r"(?<![\w.)])-(?=\d)", "−", text)
        text = re.sub(r"(?<=\d) (?=[^\W\d])", "\u00a0", text)
        return "".join(sign if ord(sign) in self._signs or sign == "\n" else UNKNOWN for sign in text)

    def _font(self, size: float, bold: bool) -> None:
        self.pdf.set_font(FAMILY, "B" if bold else "", size * self.letter)

    def _cell(self, text: str, width: float, size: float, bold: bool, align: str = "L", **how: Any) -> Any:
        self._font(size, bold)
        return self.pdf.multi_cell(width, LEADING * size * self.em, self.printable(text), align=align, **how)

    def bytes(self) -> bytes:
        """The whole file."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)
            return bytes(self.pdf.output())


@lru_cache(maxsize=1)
def font_files() -> dict[str, Path]:
    """The font by its style, "" and "B". Raises Plane3dError where it is not installed."""
    found = find_spec("matplotlib")
    if found is None or found.origin is None:
        raise Plane3dError(tr(NO_LIBRARY))
    folder = Path(found.origin).parent / "mpl-data/fonts/ttf"
    return {style: folder / name for style, name in FILES.items()}


@dataclass(frozen=True)
class Words:
    """A paragraph. Sizes and distances in ordinary letters.

    before : distance from what stands above; lead : a sign or number that hangs before its lines
    """

    text: str
    size: float = 1.0
    bold: bool = False
    color: str = INK
    before: float = 0.25
    lead: str = ""
    align: str = "L"

    def height(self, paper: Paper, width: float) -> float:
        tall = paper.words_height(self.text, width - self._hang(paper), self.size, self.bold)
        return self.before * paper.em + tall if self.text else 0.0

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        if not self.text:
            return
        y += self.before * paper.em
        hang = self._hang(paper)
        if self.lead:
            paper.words(self.lead, (x, y), hang, self.size, self.bold, self.color)
        paper.words(self.text, (x + hang, y), width - hang, self.size, self.bold, self.color, self.align)

    def _hang(self, paper: Paper) -> float:
        wide = paper.words_width(self.lead, self.size, self.bold)
        return wide + 0.5 * self.size * paper.em if self.lead else 0.0


@dataclass(frozen=True)
class Head:
    """A heading with a rule below it."""

    text: str

    def height(self, paper: Paper, width: float) -> float:
        return self._words.height(paper, width) + 0.45 * paper.em

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        self._words.put(paper, x, y, width)
        low = y + self._words.height(paper, width) + 0.1 * paper.em
        paper.pdf.set_draw_color(RULE)
        paper.pdf.set_line_width(0.3)
        paper.pdf.line(x, low, x + width, low)

    @property
    def _words(self) -> Words:
        return Words(self.text, 1.15, bold=True, before=0.8)


@dataclass(frozen=True)
class Rows:
    """A table: names at the left, one or more values at the right, whose columns together take at most 60 %.

    head : whether the first row names the columns; total : whether the last row is a sum
    """

    rows: tuple[tuple[str, ...], ...]
    head: bool = False
    total: bool = False
    size: float = 1.0

    def height(self, paper: Paper, width: float) -> float:
        return sum(self._heights(paper, width)) + 0.2 * paper.em

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        wide = self._widths(paper, width)
        y += 0.1 * paper.em
        for place, (row, tall) in enumerate(zip(self.rows, self._heights(paper, width), strict=True)):
            strong = self._strong(place)
            if place:
                paper.pdf.set_draw_color(INK if strong else RULE)
                paper.pdf.set_line_width(0.25 if strong else 0.1)
                paper.pdf.line(x, y, x + width, y)
            left = x
            for column, (text, w) in enumerate(zip(row, wide, strict=True)):
                at = (left, y + 0.1 * paper.em)
                paper.words(text, at, w, self.size, strong or column > 0, INK, "R" if column else "L")
                left += w + self._gap(paper)
            y += tall

    def _strong(self, place: int) -> bool:
        return (self.head and place == 0) or (self.total and place == len(self.rows) - 1)

    @staticmethod
    def _gap(paper: Paper) -> float:
        return 0.8 * paper.em

    def _widths(self, paper: Paper, width: float) -> list[float]:
        values = list(zip(*self.rows, strict=True))[1:]
        most = 0.6 * width / len(values)
        wide = [min(max(paper.words_width(text, self.size, True) for text in column) + 0.1, most) for column in values]
        return [width - sum(wide) - self._gap(paper) * len(wide), *wide]

    def _heights(self, paper: Paper, width: float) -> list[float]:
        wide = self._widths(paper, width)
        return [
            0.2 * paper.em
            + max(
                paper.words_height(text, w, self.size, self._strong(place) or column > 0)
                for column, (text, w) in enumerate(zip(row, wide, strict=True))
            )
            for place, row in enumerate(self.rows)
        ]


@dataclass(frozen=True)
class Columns:
    """Pieces in columns side by side. shares : of the width, adding up to 1; gap : mm"""

    columns: tuple[tuple[Piece, ...], ...]
    shares: tuple[float, ...]
    gap: float = 7.0

    def height(self, paper: Paper, width: float) -> float:
        wide = self._widths(width)
        return max(paper.tall(pieces, w) for pieces, w in zip(self.columns, wide, strict=True))

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        for pieces, wide in zip(self.columns, self._widths(width), strict=True):
            down = y
            for piece in pieces:
                piece.put(paper, x, down, wide)
                down += piece.height(paper, wide)
            x += wide + self.gap

    def _widths(self, width: float) -> list[float]:
        rest = width - self.gap * (len(self.shares) - 1)
        return [rest * share for share in self.shares]


@dataclass(frozen=True)
class Framed:
    """Words on a tinted ground with a bar before them."""

    words: Words
    bar: str = "#0072B2"

    def height(self, paper: Paper, width: float) -> float:
        inner = self.words.height(paper, width - self._side(paper))
        return inner + 1.3 * paper.em if inner else 0.0

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        tall = self.height(paper, width) - 0.5 * paper.em
        if not self.words.text:
            return
        y += 0.5 * paper.em
        paper.pdf.set_fill_color(TINT)
        paper.pdf.rect(x, y, width, tall, style="F")
        paper.pdf.set_fill_color(self.bar)
        paper.pdf.rect(x, y, 1.2, tall, style="F")
        self.words.put(paper, x + self._side(paper) / 2, y + 0.4 * paper.em, width - self._side(paper))

    @staticmethod
    def _side(paper: Paper) -> float:
        return 2.0 * paper.em + 1.2


@dataclass(frozen=True, eq=False)
class Pictures:
    """Pictures (height, width, 3) uint8 side by side, each with its words below.

    account : for those who cannot see them
    """

    pictures: tuple[Any, ...]
    captions: tuple[str, ...]
    account: str
    gap: float = 3.0
    before: float = 0.6

    def height(self, paper: Paper, width: float) -> float:
        below = max(words.height(paper, self._wide(width)) for words in self._words)
        return self.before * paper.em + self._tall(width) + below

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        from PIL import Image  # here, because only pictures need it

        wide, y = self._wide(width), y + self.before * paper.em
        for image, words in zip(self.pictures, self._words, strict=True):
            told = f"{words.text}. {self.account}"
            paper.pdf.image(Image.fromarray(image), x, y, wide, self._tall(width), alt_text=told)
            words.put(paper, x, y + self._tall(width), wide)
            x += wide + self.gap

    @property
    def _words(self) -> list[Words]:
        return [Words(caption, 0.9, color=QUIET, before=0.15, align="C") for caption in self.captions]

    def _wide(self, width: float) -> float:
        return (width - self.gap * (len(self.pictures) - 1)) / len(self.pictures)

    def _tall(self, width: float) -> float:
        high, wide = self.pictures[0].shape[:2]
        return self._wide(width) * float(high) / float(wide)


@dataclass(frozen=True)
class Lines:
    """Lines to write on. tall : mm in all; apart : mm"""

    tall: float
    apart: float = 8.0

    def height(self, paper: Paper, width: float) -> float:
        return self.tall

    def put(self, paper: Paper, x: float, y: float, width: float) -> None:
        paper.pdf.set_draw_color(RULE)
        paper.pdf.set_line_width(0.2)
        for place in range(1, int(self.tall / self.apart + 1e-9) + 1):
            paper.pdf.line(x, y + place * self.apart, x + width, y + place * self.apart)
