"""The document round the parts of a page: its head is the same for all pages, its words are the session's."""

from __future__ import annotations

from collections.abc import Mapping

import panel as pn

from apps import language  # noqa: F401 - from here on words are said in the session's language
from apps.browser_files import BROWSER, icon, inline, script, styles
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
        "parts": list(parts),
        "tr": tr,
        "language": current(),
        "words": inline(browser_words(current())),
        "theme": script("theme"),
        "style": "".join(styles("theme", *sheets)),
        "app_favicon": icon(),
        "apple_icon": icon(),
    }
    for variable, value in variables.items():
        page.add_variable(variable, value)
    return page
