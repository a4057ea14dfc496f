"""The documents (docs/*.md) in their order by subject, and each one read: title, headings and text as HTML."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fnmatch import fnmatch
from functools import lru_cache
from pathlib import Path
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token
from mdit_py_plugins.anchors import anchors_plugin

from plane3d.language import ENGLISH, LANGUAGES, current, mark

# Subjects in the order of the list: name, and which documents by their names. Those that are not there are left out.
SUBJECTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (mark("Start here"), ("index", "coach", "player", "presenter")),
    (mark("Teaching"), ("teaching", "lessons/*", "drills")),
    (mark("A hitter measured"), ("measured", "worked-example", "log")),
    (mark("Files and sharing"), ("scenario-format", "render", "share")),
    (mark("The model"), ("model", "axes", "accuracy", "convergence", "sensitivity", "speed")),
    (mark("Changing plane3d"), ("adding",)),
)
OTHERS = mark("More")  # documents that no subject names
DEEPEST = 3  # level of the headings that can be linked to and found
COMMENT = re.compile(r"<!--.*?-->\n*", re.DOTALL)


@dataclass(frozen=True)
class Heading:
    """A heading: its level from 1, its anchor on the page, its words."""

    level: int
    anchor: str
    words: str


@dataclass(frozen=True)
class Document:
    """A document as it is shown: its headings, of which the first is the title, its text as HTML, its language."""

    headings: tuple[Heading, ...]
    body: str
    language: str

    @property
    def title(self) -> str:
        return self.headings[0].words


def documents_folder() -> Path:
    """The documents that come with plane3d: inside an installed package, or beside it in a checkout."""
    root = Path(__file__).parents[1]
    installed = root / "plane3d" / "docs"
    return installed if installed.is_dir() else root / "docs"


def shelf() -> list[tuple[str, list[str]]]:
    """Subjects, as messages, with the names of their documents: ``model``, ``lessons/inside-the-ball``."""
    folder = documents_folder()
    files = [path for kind in ("*.md", "lessons/*.md") for path in folder.glob(kind)]
    rest = sorted(path.relative_to(folder).with_suffix("").as_posix() for path in files)
    found = []
    for subject, patterns in SUBJECTS:
        named = [name for pattern in patterns for name in rest if fnmatch(name, pattern)]
        rest = [name for name in rest if name not in named]
        found.append((subject, named))
    return [(subject, named) for subject, named in (*found, (OTHERS, rest)) if named]


def in_language(name: str) -> Path:
    """The file of a document, or the one in a folder beside it that says the same in the language in use."""
    path = documents_folder() / f"{name}.md"
    other = path.parent / current() / path.name
    return other if other.is_file() else path


def read(path: Path) -> Document:
    """A Markdown file as it is shown; read again only when it has changed."""
    return _read(path, path.stat().st_mtime_ns)


@lru_cache(maxsize=256)
def _read(path: Path, changed: int) -> Document:
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table").use(anchors_plugin, max_level=DEEPEST)
    markdown.add_render_rule("heading_open", _heading_open)
    markdown.add_render_rule("heading_close", _heading_close)
    parts = markdown.parse(COMMENT.sub("", path.read_text(encoding="utf-8")))
    for part in parts:
        if part.type == "table_open":  # one too wide for the window can be reached and scrolled with the keyboard
            part.attrSet("tabindex", "0")
    headings = tuple(
        Heading(int(part.tag[1]), str(part.attrGet("id")), _words(parts[i + 1]))
        for i, part in enumerate(parts)
        if part.type == "heading_open" and int(part.tag[1]) <= DEEPEST
    )
    language = path.parent.name if path.parent.name in LANGUAGES else ENGLISH
    return Document(headings, str(markdown.renderer.render(parts, markdown.options, {})), language)


def _words(inline: Token) -> str:
    return "".join(part.content for part in inline.children or () if part.type in ("text", "code_inline"))


def _heading_open(renderer: Any, parts: Sequence[Token], at: int, options: Any, env: Any) -> str:
    """A heading is a link to itself, so that its address can be copied; the title needs none."""
    part = parts[at]
    anchor = part.attrGet("id")
    link = f'<a href="#{anchor}">' if anchor and part.tag != "h1" else ""
    return f"<{part.tag}{renderer.renderAttrs(part)}>{link}"


def _heading_close(renderer: Any, parts: Sequence[Token], at: int, options: Any, env: Any) -> str:
    opened = parts[at - 2]
    link = "</a>" if opened.attrGet("id") and opened.tag != "h1" else ""
    return f"{link}</{opened.tag}>\n"
