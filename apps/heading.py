"""The top of the page: scenario, question, the result in words; the Python end of ``browser/heading.js``."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

import panel as pn
import param
from panel.custom import JSComponent

from apps.browser_files import BROWSER, import_map, styles


class Heading(JSComponent):
    """Scenario picker, steps back and forth, question, result line, notice, and the menu.

    Parameters
    ----------
    actions : what to call for each message of the browser, by name: ``choose`` with the place of a scenario in
        ``shelves``, ``restart`` with nothing, ``hold`` with whether the swing is held, ``measure`` with whether
        units are metric, ``theme`` with ``light`` or ``dark``, ``sure`` with whether to say how sure the answer is,
        and those of `apps.keep.Keep` and `apps.take_home.TakeHome`
    """

    shelves = param.List(default=[], doc="Titles in groups: ``[(heading or , [title, ...]), ...]``.")
    state = param.Dict(default={}, doc="What is shown of the scenario; set by `show` only.")
    keep = param.Dict(default={}, doc="What can be kept, as made by `apps.keep.Keep.shown`.")
    home = param.Dict(default={}, doc="What is being made to take home, see `apps.take_home.TakeHome`.")

    _esm = BROWSER / "heading.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map(
        "words", "settings", "scenarios", "menu", "tab", "handing", "elements", "take_home"
    )
    _stylesheets: ClassVar[list[str]] = styles("common", "heading", "menu", "take_home")

    def __init__(self, actions: dict[str, Callable[..., None]], **params: Any):
        super().__init__(**params)
        self.actions = actions
        self.on_msg(self._obey)

    def _obey(self, event: Any) -> None:
        """Act on a message. One that comes before the page has loaded waits: Panel loses changes made until then."""
        pn.state.onload(lambda: self.actions[event.data["do"]](*event.data["with"]))

    def show(self, **shown: Any) -> None:
        """Change some of: chosen, sentence, problem, sure, asks_sure, changed, metric, held."""
        self.state = self.state | shown

    def hand_over(self, name: str, data: bytes) -> None:
        """Hand a file to the viewer."""
        self.send({"do": "file", "name": name, "data": data})

    def send(self, message: dict[str, Any]) -> None:
        """Send a message to the browser: ``file`` with ``name`` and ``data`` (bytes) hands a file to the viewer."""
        self._send_msg(message)
