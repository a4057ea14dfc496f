"""The documents (docs/*.md) for the browser: plain HTML with no script, from the files on this machine."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from markdown_it import MarkdownIt
from tornado.web import HTTPError, RequestHandler, StaticFileHandler

from apps.browser_files import styles

_PAGE = """<!DOCTYPE html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title} - plane3d</title><style>{style}</style></head>
<body><p><a href="/">To the stage</a></p>{body}</body>
</html>"""


def documents_folder() -> Path:
    """The documents that come with plane3d: inside an installed package, or beside it in a checkout."""
    root = Path(__file__).parents[1]
    installed = root / "plane3d" / "docs"
    return installed if installed.is_dir() else root / "docs"


def document(path: Path) -> str:
    """A Markdown file as a page; its first line is the title."""
    text = path.read_text(encoding="utf-8")
    body = MarkdownIt("commonmark", {"html": False}).enable("table").render(text)
    return _PAGE.format(title=text.partition("\n")[0].lstrip("# "), style=styles("document")[0], body=body)


class _Document(RequestHandler):
    def get(self, name: str) -> None:
        path = documents_folder() / name
        if not path.is_file():
            raise HTTPError(404)
        self.finish(document(path))


def routes() -> list[tuple[Any, ...]]:
    """What the server answers besides the page: ``/docs/model.md`` and its neighbours, and their pictures."""
    images = {"path": str(documents_folder() / "images")}
    return [(r"/docs/((?:lessons/)?[a-z-]+\.md)", _Document), (r"/docs/images/(.*)", StaticFileHandler, images)]
