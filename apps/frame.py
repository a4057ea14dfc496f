"""The document round the parts of a page: its head is the same for all pages, its words are the session's."""

from __future__ import annotations

import json
from collections.abc import Mapping

import panel as pn

from apps import language  # noqa: F401 - from here on words are said in the session's language
from apps.browser_files import BROWSER, script, styles
from plane3d.language import browser_words, current, tr


def frame(name: str, parts: Mapping[str, pn.viewable.Viewable], *sheets: str) -> pn.Template:
    """A page of the session at hand.

    Parameters
    ----------
    name : of the HTML file that lays the parts out
    parts : by the names that file gives them
    sheets : names of the style sheets
    """
    head, body = ((BROWSER / f"{part}.html").read_text(encoding="utf-8") for part in ("head", name))
    page = pn.Template(head + body)
    for part, shown in parts.items():
        page.add_panel(part, shown)
    variables = {
        "tr": tr,
        "language": current(),
        "words": _inline(browser_words(current())),
        "theme": script("theme"),
        "style": "".join(styles("theme", *sheets)),
        "app_favicon": _icon(),
        "apple_icon": _icon(),
    }
    for variable, value in variables.items():
        page.add_variable(variable, value)
    return page


def _inline(words: Mapping[str, str]) -> str:
    """Words as JSON that may stand in a script of a document: nothing in it can end the script."""
    return json.dumps(words, ensure_ascii=False, sort_keys=True).replace("<", "\\u003c")


def _icon() -> str:
    """A small picture for the browser's tab: a line and a ball."""
    return (
        "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'%3E%3Cpath d='M1 13 15 5' "
        "stroke='%23009E73' stroke-width='2'/%3E%3Ccircle cx='8' cy='6' r='3' fill='%23E69F00'/%3E%3C/svg%3E"
    )
