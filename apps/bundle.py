"""Scripts of the browser as one script, for a page that stands alone.

Modules that import each other cannot be opened from a file on every browser, and a page that lists its scripts by
their fingerprints (`fingerprint`) runs nothing else. Only the few forms of import and export that our scripts use are
known; any other is refused.
"""

from __future__ import annotations

import base64
import hashlib
import re

from apps.browser_files import script

_IMPORT = re.compile(r'^import \{([^}]*)\} from "plane3d/(\w+)"$', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async function|function|class|const) (\w+))", re.MULTILINE)
_OTHER = re.compile(r"^(?:import|export)\b.*", re.MULTILINE)
_ENDING = re.compile(r"</script|<!--", re.IGNORECASE)  # would end a script that stands in a document


def bundle(name: str) -> str:
    """A script and all it imports as one classic script.

    Raises ValueError where a script has a form of import or export that is not known, or would end itself.
    """
    modules: dict[str, str] = {}
    _collect(name, modules)
    whole = '"use strict"\n' + "\n".join(modules.values())
    if found := _ENDING.search(whole):
        raise ValueError(f"a script that stands in a document must not hold {found.group()!r}")
    return whole


def fingerprint(text: str) -> str:
    """How a content security policy names a script that it lets run."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def _collect(name: str, modules: dict[str, str]) -> None:
    """Put a script into ``modules``, as a function called once that returns what it exports; first what it imports."""
    if name in modules:
        return
    text = script(name)
    for found in _IMPORT.finditer(text):
        _collect(found.group(2), modules)
    exported = ", ".join(_EXPORT.findall(text))
    text = _EXPORT.sub("", _IMPORT.sub(_taken, text))
    if other := _OTHER.search(text):
        raise ValueError(f"{name}.js: this import or export is not known: {other.group()}")
    modules[name] = f"const {_called(name)} = (() => {{\n{text}\nreturn {{ {exported} }}\n}})()"


def _taken(found: re.Match[str]) -> str:
    """An import as taking apart what the other script returned."""
    names = re.sub(r"(\w+) as (\w+)", r"\1: \2", found.group(1))
    return f"const {{{names}}} = {_called(found.group(2))}"


def _called(name: str) -> str:
    return f"plane3d_{name}"
