"""The top of the page: scenario, question, the result in words; the Python end of ``browser/heading.js``."""

from __future__ import annotations

from typing import Any, ClassVar

import param

from apps.asking import Asking
from apps.browser_files import BROWSER, import_map, styles


class Heading(Asking):
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

    def show(self, **shown: Any) -> None:
        """Change some of: chosen, sentence, problem, sure, asks_sure, changed, metric, held."""
        self.state = self.state | shown
