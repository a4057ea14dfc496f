"""The top of the page: scenario, question, the result in words; the Python end of ``browser/heading.js``."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

import param
from panel.custom import JSComponent

from apps.browser_files import BROWSER, styles


class Heading(JSComponent):
    """Scenario picker, start again, units, question, result line, notice.

    Parameters
    ----------
    actions : what to call for each message of the browser, by name: ``choose`` with the place of a scenario in
        ``shelves``, ``restart`` with nothing, ``hold`` with whether the swing is held, ``measure`` with whether
        units are metric
    shelves : names of scenarios in groups: ``[(heading or "", [title, ...]), ...]``
    """

    shelves = param.List(default=[], doc="Titles of the scenarios in groups.")
    state = param.Dict(default={}, doc="What is shown; set by `show` only.")

    _esm = BROWSER / "heading.js"
    _stylesheets: ClassVar[list[str]] = styles("common", "heading")

    def __init__(self, actions: dict[str, Callable[..., None]], **params: Any):
        super().__init__(**params)
        self._actions = actions
        self.on_msg(lambda event: self._actions[event.data["do"]](*event.data["with"]))

    def show(self, **shown: Any) -> None:
        """Change some of: chosen, question, notice, sentence, problem, changed, metric, held."""
        self.state = self.state | shown
