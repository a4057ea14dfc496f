"""What changed between two scenes, packed for the browser: a small table of words and numbers plus one block of bytes.

One block instead of many arrays keeps a change to a single binary message, however many lines moved.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, fields, is_dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from plane3d.scene.parts import Scene

PARTS = ("meshes", "tubes", "marks", "labels")
WHOLES = ("theme", "lights", "cameras", "camera", "background", "account", "shown")
MOTIONS = ("motion", "ghost_motion")


class Block:
    """Arrays laid one after the other, equal ones once; what goes into the table is where to find each."""

    def __init__(self) -> None:
        self._data = bytearray()
        self._offsets: dict[bytes, int] = {}

    def add(self, array: NDArray[Any]) -> dict[str, Any]:
        """Append an array as little-endian 32-bit numbers; returns its place, in bytes, and its length, in numbers."""
        kind = "f4" if np.issubdtype(array.dtype, np.floating) else "i4"
        packed = np.ascontiguousarray(array, dtype=f"<{kind}").tobytes()
        offset = self._offsets.setdefault(packed, len(self._data))
        if offset == len(self._data):
            self._data += packed
        return {"kind": kind, "offset": offset, "length": int(array.size)}

    def bytes(self) -> bytes:
        return bytes(self._data)


def patch(old: Scene | None, new: Scene) -> dict[str, Any]:
    """The changes that turn ``old`` into ``new``: the table of `changes`, and ``data``: the bytes it points into."""
    block = Block()
    return changes(old, new, block) | {"data": block.bytes()}


def changes(old: Scene | None, new: Scene, block: Block) -> dict[str, Any]:
    """The changes that turn ``old`` into ``new``, without the arrays.

    Parameters
    ----------
    old : the scene the browser holds, or None when it holds nothing
    new : the scene to show
    block : takes the arrays; it may hold those of other scenes

    Returns
    -------
    For each of `PARTS` a table ``name -> changed fields``; ``gone``: the names to remove; the changed ones of
    `WHOLES`; for each of `MOTIONS` its changed fields, or None where there is none any more. Absent = unchanged.

    Raises
    ------
    ValueError : two parts of one kind share a name
    """
    table: dict[str, Any] = {}
    gone: dict[str, list[str]] = {}
    for kind in PARTS:
        before = {} if old is None else _by_name(kind, getattr(old, kind))
        after = _by_name(kind, getattr(new, kind))
        changed = {name: _changed(before.get(name), part, block) for name, part in after.items()}
        if changed := {name: change for name, change in changed.items() if change}:
            table[kind] = changed
        if missing := [name for name in before if name not in after]:
            gone[kind] = missing
    for name in WHOLES:
        if old is None or getattr(old, name) != getattr(new, name):
            table[name] = _plain(getattr(new, name))
    for name in MOTIONS:
        held, motion = None if old is None else getattr(old, name), getattr(new, name)
        if motion is None and held is not None:
            table[name] = None
        elif motion is not None and (change := _changed(held, motion, block)):
            table[name] = change
    if gone:
        table["gone"] = gone
    return table


def _by_name(kind: str, parts: Iterable[Any]) -> dict[str, Any]:
    named: dict[str, Any] = {}
    for part in parts:
        if part.name in named:
            raise ValueError(f"two {kind} are named {part.name!r}; names must differ")
        named[part.name] = part
    return named


def _changed(old: Any, new: Any, block: Block) -> dict[str, Any]:
    """The fields of a dataclass that differ from ``old`` (all of them when it is None)."""
    if old is new:
        return {}
    change: dict[str, Any] = {}
    for field in fields(new):
        value = getattr(new, field.name)
        if old is not None and _same(getattr(old, field.name), value):
            continue
        change[field.name] = block.add(value) if isinstance(value, np.ndarray) else _plain(value)
    return change


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, np.ndarray):
        return a is b or np.array_equal(a, b)
    return bool(a == b)


def _plain(value: Any) -> Any:
    """Dataclasses, dicts and tuples as the dicts, lists and numbers that a message can carry."""
    if is_dataclass(value) and not isinstance(value, type):
        return _plain(asdict(value))
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    return value.item() if isinstance(value, np.generic) else value
