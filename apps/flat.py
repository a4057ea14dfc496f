"""The flat views: the Python end of the browser component in ``browser/flat.js``. They need nothing but a stage."""

from __future__ import annotations

from typing import ClassVar

import param
from panel.custom import JSComponent

from apps.browser_files import BROWSER, import_map, styles


class FlatViews(JSComponent):
    """The stage's scene seen from above and from the side, drawn to scale.

    In the browser they listen to the stage on the same page and draw its own arrays, at its own clock.
    """

    metric = param.Boolean(default=False, doc="Whether the scale is in cm instead of in.")

    _esm = BROWSER / "flat.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map(
        "words", "shapes", "drawing", "labels", "outline", "sheet"
    )
    _stylesheets: ClassVar[list[str]] = styles("labels", "flat")
