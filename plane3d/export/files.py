"""Files written whole or not at all."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from plane3d.errors import Plane3dError
from plane3d.language import tr


@contextmanager
def whole(path: Path) -> Iterator[Path]:
    """A path beside ``path`` to write to: it takes the place of ``path`` at the end, or is deleted after an error.

    Raises Plane3dError where the file cannot be written.
    """
    beside = path.with_name(f".{path.stem}-{secrets.token_hex(4)}{path.suffix}")
    try:
        yield beside
        os.replace(beside, path)
    except OSError as error:
        reason = error.strerror or str(error)
        raise Plane3dError(tr("{path}: cannot be written ({reason})", path=path, reason=reason)) from error
    finally:
        beside.unlink(missing_ok=True)


def write_whole(data: bytes, path: Path) -> None:
    """Write a file, or leave what stands there as it is. Raises Plane3dError where it cannot be written."""
    with whole(path) as beside:
        beside.write_bytes(data)
