"""The documents as one site, without a network: each on a page with the list of all, its neighbours and a search."""

from __future__ import annotations

from typing import Any

from jinja2 import Environment
from markupsafe import Markup
from tornado.web import HTTPError, RedirectHandler, RequestHandler, StaticFileHandler

from apps.browser_files import BROWSER, icon, inline, script, styles
from apps.document_list import Heading, documents_folder, in_language, read, shelf
from apps.language import wanted
from plane3d.language import current, speaking, tr
from plane3d.lesson import scenarios_folder


def document(name: str) -> str:
    """The page of a document, by a name of `shelf`, for a reader of the language in use."""
    shown = read(in_language(name))
    entries = [[_entry(one, name) for one in names] for _, names in shelf()]
    in_order = [entry for group in entries for entry in group]
    here = next(i for i, entry in enumerate(in_order) if entry["current"])
    template = Environment(autoescape=True).from_string((BROWSER / "document.html").read_text(encoding="utf-8"))
    return template.render(
        tr=tr,
        language=shown.language,
        reader=current(),
        title=shown.title,
        icon=icon(),
        theme=Markup(script("theme")),
        style=Markup("".join(styles("theme", "document"))),
        body=Markup(shown.body),
        subjects=[(tr(subject), group) for (subject, _), group in zip(shelf(), entries, strict=True)],
        before=in_order[here - 1] if here else None,
        after=in_order[here + 1] if here + 1 < len(in_order) else None,
        headings=Markup(inline([_searched(entry) for entry in in_order])),
        script=Markup(script("document")),
    )


def _entry(name: str, shown: str) -> dict[str, Any]:
    """One document in the list; that of the page shown has its main headings below it."""
    found = read(in_language(name))
    return {
        "address": f"/docs/{name}.md",
        "title": found.title,
        "language": found.language,
        "current": name == shown,
        "parts": [heading for heading in found.headings if heading.level == 2] if name == shown else [],
        "headings": found.headings,
    }


def _searched(entry: dict[str, Any]) -> dict[str, Any]:
    """What the search in the browser looks through: addresses and words of the headings of a document."""
    headings: tuple[Heading, ...] = entry["headings"]
    return {
        "address": entry["address"],
        "title": entry["title"],
        "language": entry["language"],
        "headings": [[heading.anchor, heading.words] for heading in headings[1:]],
    }


class _Document(RequestHandler):
    def get(self, name: str) -> None:
        if not any(name in names for _, names in shelf()):
            raise HTTPError(404)
        cookies = {key: morsel.value for key, morsel in self.cookies.items()}
        with speaking(wanted(cookies, self.request.headers)):
            self.finish(document(name))


def routes() -> list[tuple[Any, ...]]:
    """What the server answers besides the page: ``/docs/model.md`` and its neighbours, and their pictures; and the
    invented films to try."""
    images = {"path": str(documents_folder() / "images")}
    films = {"path": str(scenarios_folder() / "films")}
    return [
        (r"/docs/?", RedirectHandler, {"url": "/docs/index.md", "permanent": False}),
        (r"/docs/((?:lessons/)?[a-z-]+)\.md", _Document),
        (r"/docs/images/(.*)", StaticFileHandler, images),
        (r"/films/(film[a-z-]*\.(?:webm|marks\.json))", StaticFileHandler, films),
    ]
