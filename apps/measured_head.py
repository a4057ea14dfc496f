"""The common top of the pages of measured swings: the Python end of ``browser/measured_head.js``."""

from __future__ import annotations

from typing import Any, ClassVar

import param

from apps.asking import Actions, Asking
from apps.browser_files import BROWSER, import_map, styles

POINTS, VIDEO, LOG = "points", "video", "log"  # the pages, each a tab


class MeasuredHead(Asking):
    """Title, tabs of the three pages, links to stage and studies, units, theme and language.

    Its ``state`` may hold ``metric``; ``scenario``, the one at hand as `apps.link.encode` writes it, which then goes
    along to the other pages; and ``link``, what the page's address is to say after ``#``.

    Parameters
    ----------
    actions : ``look`` with some of the fields of `apps.figures.Look`, and ``arrive``, once the page is there or its
        address has changed, with such fields and those of the address
    active : the page it stands on: `POINTS`, `VIDEO` or `LOG`
    """

    active = param.String(default=POINTS, doc="Name of the tab of the page it stands on.")

    _esm = BROWSER / "measured_head.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map(
        "words", "settings", "scenarios", "handing", "page_top"
    )  # fmt: skip
    _stylesheets: ClassVar[list[str]] = styles("common", "measured_head")

    def __init__(self, actions: Actions, active: str, **params: Any):
        super().__init__(actions, active=active, **{"sizing_mode": "stretch_width"} | params)
