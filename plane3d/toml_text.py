"""Reading TOML so that a mistake can be shown by file and line, and writing it back."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from plane3d.errors import InputError, Mistake
from plane3d.language import tr

MAX_BYTES = 1_000_000
_PART = r"""(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')"""
_DOTTED = rf"({_PART}(?:\s*\.\s*{_PART})*)"
_TABLE = re.compile(rf"\s*(\[\[?)\s*{_DOTTED}\s*\]")
_KEY = re.compile(rf"\s*{_DOTTED}\s*=(.*)")


def read_text(path: Path) -> str:
    """Text of a UTF-8 file; raises InputError with one sentence for whatever stands in the way."""

    def refuse(text: str) -> InputError:
        return InputError([Mistake(str(path), "", text)])

    try:
        if path.is_dir():
            raise refuse(tr("is a folder; give a TOML file"))
        if not path.exists():
            raise refuse(tr("there is no such file"))
        if not path.is_file():
            raise refuse(tr("is not an ordinary file; give a TOML file"))
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        raise refuse(tr("cannot be read ({reason})", reason=getattr(error, "strerror", None) or error)) from error
    if len(data) > MAX_BYTES:
        raise refuse(tr("is larger than {most} MB, too large for a scenario file", most=MAX_BYTES // 1_000_000))
    try:
        return data.decode("utf-8-sig")  # some editors put a byte-order mark first
    except UnicodeDecodeError as error:
        raise refuse(tr("is not UTF-8 text (byte {place}); save it as UTF-8", place=error.start + 1)) from error


def parse(text: str, name: str) -> dict[str, Any]:
    """TOML text as a dictionary; raises InputError naming the line where the text stops being TOML."""
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise InputError([Mistake(name, "", tr("is nested too deeply to be read"))]) from error
    except ValueError as error:
        found = re.search(r"at line (\d+)", str(error))
        where = f"{name}:{found.group(1)}" if found else name
        raise InputError([Mistake(where, "", tr("is not valid TOML: {reason}", reason=error))]) from error


class KeyLines:
    """Where each key of a TOML text stands; ``name`` stands for the file.

    Tables of a list (``[[step]]``) are counted from 0: the second step's question is ``step.1.question``.
    """

    def __init__(self, text: str, name: str):
        self.name = name
        self._lines: dict[str, int] = {}
        self._counted: dict[str, int] = {}
        table = ""
        closing = ""  # the quotes that end the multi-line string we are in
        for number, line in enumerate(text.split("\n"), start=1):
            if closing:
                closing = "" if closing in line else closing
            elif found := _TABLE.match(line):
                table = self._counted_name(_plain(found.group(2)), found.group(1) == "[[")
                self._lines.setdefault(table, number)
            elif found := _KEY.match(line):
                key = _plain(found.group(1))
                self._lines.setdefault(f"{table}.{key}" if table else key, number)
                closing = next((q for q in ('"""', "'''") if found.group(2).count(q) % 2), "")

    def _counted_name(self, table: str, listed: bool) -> str:
        """A table's name with the numbers of the lists it stands in; a listed table opens the next one."""
        name = ""
        *outer, last = table.split(".")
        for part in outer:
            name = f"{name}.{part}".lstrip(".")
            name += f".{self._counted[name]}" if name in self._counted else ""
        name = f"{name}.{last}".lstrip(".")
        if not listed:
            return name
        self._counted[name] = self._counted.get(name, -1) + 1
        return f"{name}.{self._counted[name]}"

    def line(self, key: str) -> int:
        """Line of a dotted key, else of the table it belongs to, else 1."""
        while key:
            if key in self._lines:
                return self._lines[key]
            key = key.rpartition(".")[0]
        return 1

    def where(self, key: str) -> str:
        """``file:line`` of a dotted key; the name alone for values that come from no text."""
        return f"{self.name}:{self.line(key)}" if self._lines else self.name


def _plain(dotted: str) -> str:
    """A dotted key as written, without quotes and blanks."""
    return ".".join(part.strip("\"'") for part in re.findall(_PART, dotted))


def value_text(value: Any) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    if isinstance(value, list | tuple):
        return "[" + ", ".join(value_text(v) for v in value) + "]"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{k} = {value_text(v)}" for k, v in value.items()) + "}"
    return str(value)


def write(values: Mapping[str, Any]) -> str:
    """TOML text of plain keys followed by one level of tables."""
    lines = [f"{k} = {value_text(v)}" for k, v in values.items() if not isinstance(v, Mapping)]
    for name, table in values.items():
        if isinstance(table, Mapping):
            lines += ["", f"[{name}]", *(f"{k} = {value_text(v)}" for k, v in table.items())]
    return "\n".join(lines) + "\n"
