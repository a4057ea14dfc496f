"""A scenario as a short text for an address: what a scenario file says, deflated, in letters that need no quoting.

Reading goes through the loader of scenario files, so that a link is held to the same ranges in the same words.
"""

from __future__ import annotations

import base64
import binascii
import zlib

from plane3d.errors import InputError, Mistake
from plane3d.language import mark, tr
from plane3d.scenario import Scenario, loads

VERSION = "1"  # first letter of every link; a new way of writing gets a new one
NAME = mark("link")  # stands in messages for the file
MAX_LETTERS = 8_000  # what fits into an address everywhere that matters
MAX_BYTES = 32_000  # of the text inside; three times the longest scenario

CUT = mark("is damaged or cut short; copy it again")
LONG = mark("is too long to be read; save the scenario as a file instead")
NEWER = mark("was made by another version of plane3d, or is no link to a scenario")


def encode(scenario: Scenario) -> str:
    """The values a scenario asks for as letters, digits, ``-`` and ``_``; all others follow as they do from a file."""
    return _packed(scenario.to_toml())


def pack(text: str) -> str:
    """The text of a file in the same way; empty where it would be too long for an address."""
    packed = _packed(text) if len(text.encode("utf-8")) <= MAX_BYTES else ""
    return packed if len(packed) <= MAX_LETTERS else ""


def _packed(text: str) -> str:
    packed = zlib.compress(text.encode("utf-8"), 9)
    return VERSION + base64.urlsafe_b64encode(packed).decode("ascii").rstrip("=")


def decode(text: str) -> Scenario:
    """The scenario in such a text.

    Raises InputError, with every mistake for values out of range and with one sentence for anything else.
    """
    return loads(unpack(text), tr(NAME))


def unpack(text: str) -> str:
    """The text that was packed. Raises InputError with one sentence."""
    if not text.startswith(VERSION):
        raise _refused(NEWER)
    if len(text) > MAX_LETTERS:
        raise _refused(LONG)
    letters = text[len(VERSION) :]
    try:
        packed = base64.b64decode(letters + "=" * (-len(letters) % 4), altchars=b"-_", validate=True)
        unpacking = zlib.decompressobj()
        data = unpacking.decompress(packed, MAX_BYTES + 1)
        if len(data) > MAX_BYTES:
            raise _refused(LONG)
        if not unpacking.eof or unpacking.unused_data:
            raise _refused(CUT)
        return data.decode("utf-8")
    except (ValueError, binascii.Error, zlib.error) as error:
        raise _refused(CUT) from error


def _refused(text: str) -> InputError:
    return InputError([Mistake(tr(NAME), "", tr(text))])
