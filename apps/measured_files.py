"""Files that measured swings come in: sent by the browser in pieces, and the invented ones to try."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from plane3d.language import mark, tr
from plane3d.lesson import scenarios_folder
from plane3d.measured.files import MOST_BYTES, refuse
from plane3d.measured.measure import FIGURES
from plane3d.words import show

SHOWN = ("bat_speed", "attack_angle", "below_line")  # of the truth of an example
EXAMPLES = {
    "swing-right-240.csv": mark("Right-handed, 240 samples a second"),
    "swing-right-500.csv": mark("Right-handed, 500 samples a second"),
    "swing-right-60.csv": mark("Right-handed, 60 samples a second"),
    "swing-left-240.csv": mark("Left-handed, 240 samples a second"),
    "swing-left-500.csv": mark("Left-handed, 500 samples a second"),
    "swing-left-60.csv": mark("Left-handed, 60 samples a second"),
    "swing-right-240.c3d": mark("Right-handed, 240 samples a second, C3D"),
}
PITCH_EXAMPLES = {
    "pitches-flight.csv": mark("Whole flights"),
    "pitches-speed-and-place.csv": mark("Speed and place over the plate"),
}
LONGEST_NAME = 120  # letters


@dataclass(frozen=True)
class Given:
    """A file a viewer gave, or chose to try."""

    name: str
    data: bytes

    @property
    def is_c3d(self) -> bool:
        return self.name.lower().endswith(".c3d")

    def size_words(self) -> str:
        kilobytes = len(self.data) / 1000
        return f"{kilobytes / 1000:.1f} MB" if kilobytes >= 1000 else f"{kilobytes:.1f} kB"


class Arriving:
    """A file on its way from the browser: it says how large it is, then come the pieces."""

    def __init__(self, kind: str, name: str, size: int):
        """Raises InputError for a file that is too large."""
        self.kind = kind
        self.name = "".join(letter for letter in name if letter.isprintable())[-LONGEST_NAME:]
        self._size, self._pieces, self._there = size, list[bytes](), 0
        if size > MOST_BYTES:
            raise self._too_large()

    def add(self, piece: bytes) -> Given | None:
        """The whole file, once it is there. Raises InputError where more comes than was said."""
        self._pieces.append(bytes(piece))
        self._there += len(piece)
        if self._there > self._size:
            raise self._too_large()
        return Given(self.name, b"".join(self._pieces)) if self._there == self._size else None

    def _too_large(self) -> Exception:
        return refuse(self.name, tr("is larger than {most} MB; cut it to the second around the swing",
                                    most=MOST_BYTES // 1_000_000))  # fmt: skip


def example(name: str) -> Given:
    """One of `EXAMPLES` or `PITCH_EXAMPLES`."""
    return Given(name, (_folder() / name).read_bytes())


@cache
def truths() -> dict[str, dict[str, float]]:
    """What each example swing was made from, in coach units, and its contact on the file's clock."""
    found: dict[str, dict[str, float]] = json.loads((_folder() / "truth.json").read_text(encoding="utf-8"))
    return found


def truth_words(name: str, metric: bool) -> str:
    """That a file is invented and what it was made from, where it is an example unchanged; else nothing."""
    truth = truths().get(name)
    if truth is None:
        return ""
    speed, attack, below = (show(key, truth[key], metric) for key in (name + FIGURES[name][0] for name in SHOWN))
    return tr(
        "An invented example, made from a bat speed of {speed}, an attack angle of {attack} and a barrel {below} below "
        "the line, with {noise} mm of noise in every coordinate.",
        speed=speed, attack=attack, below=below, noise=f"{truth['noise_mm']:.0f}",
    )  # fmt: skip


def _folder() -> Path:
    return scenarios_folder() / "measured"
