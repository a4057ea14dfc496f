"""Many plays some at a time, so that memory stays bounded and plays that cannot be made are left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.frames import Array
from plane3d.inputs import Inputs, some
from plane3d.plays import Plays, play_many

SIZE = 5000  # plays at once: faster than fewer, and about 30 MB


def pieces(inputs: Inputs, n: int, size: int = SIZE) -> Iterator[tuple[Array, Plays | None]]:
    """The n plays of some inputs in order, at most ``size`` at once: their places (k,) among the n, and the plays.

    A play that cannot be made is not among the places; where none of a piece can, its places are empty, its plays None.

    inputs : numbers that tell plays apart have shape (n,); the others are shared by all
    """
    for start in range(0, n, size):
        yield _made(inputs, np.arange(start, min(start + size, n)))


def _made(inputs: Inputs, places: Array) -> tuple[Array, Plays | None]:
    """Those of some plays that can be made."""
    while len(places):
        try:
            return places, play_many(take(inputs, places))
        except UnreachableError as error:
            wrong = np.broadcast_to(error.which, len(places))
            places = places[~wrong] if wrong.any() else places[:0]
    return places, None


def take(inputs: Inputs, places: Array) -> Inputs:
    """Some plays of many: every array that tells plays apart reduced to them, what is shared left as it is."""
    return replace(
        inputs,
        setting=some(inputs.setting, places),
        bat=inputs.bat.take(places),
        pitch=some(inputs.pitch, places),
        swing=some(inputs.swing, places),
        held=inputs.held and some(inputs.held, places),
    )
