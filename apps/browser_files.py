"""The scripts and styles of the browser, and what else stands in the documents that hold them."""

from __future__ import annotations

import base64
import json
from pathlib import Path
from typing import Any

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


def inline(value: Any) -> str:
    """A value as JSON that may stand in a script of a document: nothing in it can end the script."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False).replace("<", "\\u003c")


def icon() -> str:
    """A small picture for the browser's tab: a line and a ball."""
    return (
        "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'%3E%3Cpath d='M1 13 15 5' "
        "stroke='%23009E73' stroke-width='2'/%3E%3Ccircle cx='8' cy='6' r='3' fill='%23E69F00'/%3E%3C/svg%3E"
    )


def _module_url(name: str) -> str:
    script = (BROWSER / f"{name}.js").read_bytes()
    return "data:text/javascript;base64," + base64.b64encode(script).decode("ascii")
