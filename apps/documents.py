"""The documents (docs/*.md) for the browser: plain HTML, from the files on this machine, in the viewer's theme."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

from markdown_it import MarkdownIt
from tornado.web import HTTPError, RequestHandler, StaticFileHandler

from apps.browser_files import script, styles
from apps.language import wanted
from plane3d.language import ENGLISH, LANGUAGES, current, speaking, tr
from plane3d.lesson import scenarios_folder

_PAGE = """<!DOCTYPE html>
<html lang="{language}">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title} - plane3d</title><script>{theme}</script><style>{style}</style></head>
<body><p><a href="/" lang="{reader}">{back}</a></p>{body}</body>
</html>"""


def documents_folder() -> Path:
    """The documents that come with plane3d: inside an installed package, or beside it in a checkout."""
    root = Path(__file__).parents[1]
    installed = root / "plane3d" / "docs"
    return installed if installed.is_dir() else root / "docs"


def document(path: Path) -> str:
    """A Markdown file as a page for a reader of the language in use; its first line is the title."""
    text = path.read_text(encoding="utf-8")
    return _PAGE.format(
        language=path.parent.name if path.parent.name in LANGUAGES else ENGLISH,
        reader=current(),
        title=escape(text.partition("\n")[0].lstrip("# ")),
        theme=script("theme"),
        style="".join(styles("theme", "document")),
        back=escape(tr("To the stage")),
        body=_body(text),
    )


def _body(text: str) -> str:
    """Markdown as HTML; a table too wide for the window can be reached and scrolled with the keyboard."""
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")
    parts = markdown.parse(text)
    for part in parts:
        if part.type == "table_open":
            part.attrSet("tabindex", "0")
    return str(markdown.renderer.render(parts, markdown.options, {}))


def translated(path: Path) -> Path:
    """The file that says the same in the language in use, in a folder beside it, or else the file itself."""
    other = path.parent / current() / path.name
    return other if other.is_file() else path


class _Document(RequestHandler):
    def get(self, name: str) -> None:
        path = documents_folder() / name
        if not path.is_file():
            raise HTTPError(404)
        cookies = {key: morsel.value for key, morsel in self.cookies.items()}
        with speaking(wanted(cookies, self.request.headers)):
            self.finish(document(translated(path)))


def routes() -> list[tuple[Any, ...]]:
    """What the server answers besides the page: ``/docs/model.md`` and its neighbours, and their pictures; and the
    invented films to try."""
    images = {"path": str(documents_folder() / "images")}
    films = {"path": str(scenarios_folder() / "films")}
    return [
        (r"/docs/((?:lessons/)?[a-z-]+\.md)", _Document),
        (r"/docs/images/(.*)", StaticFileHandler, images),
        (r"/films/(film[a-z-]*\.(?:webm|marks\.json))", StaticFileHandler, films),
    ]
