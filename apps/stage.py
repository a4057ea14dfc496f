"""The 3-D stage: the Python end of the browser component in ``browser/stage.js``.

Python sends what changed in the scene; turning, views, playback and scrubbing happen in the browser alone.
"""

from __future__ import annotations

from typing import Any, ClassVar

import param
from panel.custom import JSComponent

from apps.browser_files import BROWSER, import_map, styles
from apps.patch import patch
from plane3d.scene.parts import Scene


class Stage(JSComponent):
    """A scene one can turn and play. The page needs ``pn.extension("vtk")`` for the drawing library.

    Parameters
    ----------
    scene : what to show first; `show` replaces it
    """

    patch = param.Dict(default={}, doc="The latest changes, as made by `apps.patch`; set by `show` only.")
    clock = param.Number(default=None, allow_None=True, doc="Time (s from release) at the last pause; see `report`.")
    report = param.Boolean(default=False, doc="Whether the browser reports `clock` whenever it comes to rest.")

    _esm = BROWSER / "stage.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map(
        "words", "shapes", "drawing", "outline", "labels", "bodies", "turning", "player", "sound", "views"
    )  # fmt: skip
    _stylesheets: ClassVar[list[str]] = styles("labels", "stage")

    def __init__(self, scene: Scene, **params: Any):
        self._scene = scene
        self._sent = 1
        super().__init__(patch=self._whole(), **params)
        self.on_msg(self._answer)

    @property
    def scene(self) -> Scene:
        """The scene shown last."""
        return self._scene

    @property
    def scene_id(self) -> int:
        """Counts the scenes sent; the browser writes it into ``data-scene`` once that scene has been drawn."""
        return self._sent

    def show(self, scene: Scene) -> None:
        """Show another scene, sending only what differs. Camera and clock stay where the viewer put them,
        unless the scene names another starting camera."""
        changes = patch(self._scene, scene)
        self._scene = scene
        self._sent += 1
        self.patch = changes | {"id": self._sent, "base": self._sent - 1}

    def look(self, view: str) -> None:
        """Turn to the named camera of the scene."""
        self._send_msg({"do": "look", "view": view})

    def play(self) -> None:
        """Start playback, as the button does."""
        self._send_msg({"do": "play"})

    def pause(self) -> None:
        """Stop playback where it is."""
        self._send_msg({"do": "pause"})

    def go(self, time: float) -> None:
        """Set the clock, s from release."""
        self._send_msg({"do": "go", "time": float(time)})

    def _whole(self) -> dict[str, Any]:
        return patch(None, self._scene) | {"id": self._sent, "base": 0}

    def _answer(self, event: Any) -> None:
        """The browser found a gap in the sequence (a change it never received): send everything once more."""
        if event.data == "resend":
            self.patch = self._whole()

    def _get_properties(self, doc: Any) -> dict[str, Any]:
        # A new view of this component holds nothing yet, so it starts from the whole scene.
        with param.parameterized.discard_events(self):
            self.patch = self._whole()
        return super()._get_properties(doc)
