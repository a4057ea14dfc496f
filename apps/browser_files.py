"""The scripts and styles of the browser components, as Panel takes them."""

from __future__ import annotations

import base64
from pathlib import Path

BROWSER = Path(__file__).parent / "browser"


def import_map(*names: str) -> dict[str, dict[str, str]]:
    """Scripts as data URLs: modules import each other by name, with no extra request and no bundling step."""
    return {"imports": {f"plane3d/{name}": _module_url(name) for name in names}}


def styles(*names: str) -> list[str]:
    """The text of style sheets."""
    return [(BROWSER / f"{name}.css").read_text(encoding="utf-8") for name in names]


def script(name: str) -> str:
    """The text of a script that stands in a document itself."""
    return (BROWSER / f"{name}.js").read_text(encoding="utf-8")


def _module_url(name: str) -> str:
    script = (BROWSER / f"{name}.js").read_bytes()
    return "data:text/javascript;base64," + base64.b64encode(script).decode("ascii")
