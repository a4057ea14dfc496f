"""The timing strip: the Python end of the browser component in ``browser/strip.js``."""

from __future__ import annotations

from typing import Any, ClassVar

import numpy as np
import param
from panel.custom import JSComponent

from apps.browser_files import BROWSER, import_map, styles
from apps.told import looks
from plane3d import units
from plane3d.report import show
from plane3d.scene import style
from plane3d.scene.strip import LOOKS, TimingStrip


class Strip(JSComponent):
    """What each timing gives, with a marker that can be dragged. `show` fills it.

    While the marker is dragged the browser asks for one timing at a time and for the latest next, so that a slow
    answer never makes a queue. Hovering shows that ball's flight in the stage on the same page, without the server.
    """

    table = param.Dict(default={}, doc="What is drawn; set by `show` only.")
    timing_ms = param.Number(default=0.0, doc="The timing asked for, late positive; changed by dragging and by keys.")

    _rename: ClassVar[dict[str, str | None]] = {"timing_ms": None}  # goes by messages, see above
    _esm = BROWSER / "strip.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "columns")
    _stylesheets: ClassVar[list[str]] = styles("strip")

    def __init__(self, **params: Any):
        super().__init__(**params)
        self.gesture: str | None = None  # which drag or key press asked last
        self.on_msg(self._ask)

    def show(self, described: TimingStrip) -> None:
        """Show the strip of a play, as made by `plane3d.scene.strip.describe_strip`."""
        self.table = _table(described)
        self.timing_ms = self.table["timing"]

    def point(self, timing_ms: float) -> None:
        """Move the marker only, where the strip itself stays or follows later."""
        self.timing_ms = timing_ms
        self._send_msg({"do": "point", "timing": timing_ms})

    def _ask(self, event: Any) -> None:
        gesture = event.data.get("gesture")
        self.gesture = None if gesture is None else f"strip {gesture}"
        try:
            self.timing_ms = float(event.data["timing_ms"])
        finally:
            self._send_msg({"do": "next"})  # the browser may ask again


def _table(strip: TimingStrip) -> dict[str, Any]:
    """The strip as a message: milliseconds, shown units, words, and the paths as bytes."""
    unit, step = (units.KMH, 40) if strip.metric else (units.MPH, 25)
    speeds = strip.exit_speeds / unit
    top = float(max(np.nanmax(speeds, initial=0.0) * 1.05, 2 * step))
    marks = [round(value) for value in np.arange(step, top, step)]
    return {
        "timings": [_ms(t) for t in strip.timings],
        "timing": _ms(strip.timing),
        "kinds": list(strip.kinds),
        "heights": [None if np.isnan(v) else round(float(v / top), 4) for v in speeds],
        "marks": [{"height": v / top, "words": show("_mph", v * unit / units.MPH, strip.metric)} for v in marks],
        "sentences": list(strip.sentences),
        "ranges": {r.name: {"first": _ms(r.first), "last": _ms(r.last), "words": r.words} for r in strip.ranges},
        "looks": looks(LOOKS),
        "ghost": {"color": style.BATTED_BALL, "radius": style.PATH_RADIUS},
        "paths": strip.paths.tobytes(),
    }


def _ms(seconds: float) -> float:
    return round(float(seconds) / units.MILLISECOND, 3)
