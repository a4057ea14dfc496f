"""Components that show a state and talk by messages."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import panel as pn
import param
from panel.custom import JSComponent

Actions = dict[str, Callable[..., None]]


class Asking(JSComponent):
    """A component that talks by messages ``{do, with}``.

    One that comes before the page has loaded waits: Panel loses changes made until then.

    Parameters
    ----------
    actions : what to call for each message of the browser, by name
    """

    state = param.Dict(default={}, doc="What is shown; set by the page only.")

    def __init__(self, actions: Actions, **params: Any):
        super().__init__(**params)
        self.actions = actions
        self.on_msg(self._obey)

    def _obey(self, event: Any) -> None:
        pn.state.onload(lambda: self.actions[event.data["do"]](*event.data["with"]))

    def hand_over(self, name: str, content: str | bytes) -> None:
        """Give the viewer a file."""
        self._send_msg({"do": "file", "name": name, "data": content})
