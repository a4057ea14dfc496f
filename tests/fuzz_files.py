"""Files of every kind plane3d reads, spoilt at random, and what reading each kind means; for `tests.fuzz`."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from shutil import copyfile

from apps.files import open_files
from apps.link import VERSION, decode, encode, pack
from plane3d.drills import SUPPLIED, load_drills
from plane3d.errors import Plane3dError
from plane3d.lesson import is_lesson, load_lesson, scenarios_folder
from plane3d.log import Figure, Hitter, Log, Swing, held
from plane3d.log.csv_text import csv_text
from plane3d.log.said import figure_words, hitter_words
from plane3d.log.trend import trend
from plane3d.measured import marks_file, video
from plane3d.measured.files import text_of
from plane3d.measured.pitches import read_pitches
from plane3d.measured.placing import by_axes
from plane3d.measured.points import BatPoints, markers, read_c3d, read_csv
from plane3d.measured.swing import measure
from plane3d.pitch_set import complete, load_pitch_set
from plane3d.play import play, play_many
from plane3d.report import read_map, report
from plane3d.scenario import Scenario, load, loads
from tests.hard_inputs import track

SCENARIOS = scenarios_folder()
NUMBERS = (
    *("0", "-0.0", "1", "-1", "20", "60", "99", "0.1", "1e-320", "1e308", "1e999", "nan", "inf", "-inf", "NaN"),
    *("9" * 400, "0x1F", "1_000", "true", "null", '""', "[]", "{}", '"x"', '"\\u0000"', "1979-05-27", "1,5", "-", ""),
    *("[" * 300, "{a=" * 300, '"""', "'''", "\\", "#", "\r\n", "\t", "\x00", "\x7f", "\u2028", "\ud7ff", "é", "½"),
)
_NUMBER = re.compile(rb"-?\d+(\.\d+)?")
_WORD = re.compile(rb"[A-Za-z_][A-Za-z_0-9]*")


# --- spoiling --------------------------------------------------------------------------------------------------------


def spoilt(rng: random.Random, data: bytes, other: bytes) -> bytes:
    """A file with one to four things in it changed; ``other`` is a file of any kind to take pieces from."""
    gentle = rng.random() < 0.5  # such files are mostly still read, and what they say is used
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3, 4))):
        ways = (_number,) if gentle else (_number, _token, _word, _lines, _lines, _bytes, _bytes, _stretch)
        data = rng.choice(ways)(rng, data, other)
    return data


def _number(rng: random.Random, data: bytes, _: bytes) -> bytes:
    """A number becomes another one: most of the time one that may still be allowed."""
    found = list(_NUMBER.finditer(data))
    if not found:
        return data
    at = rng.choice(found)
    old = float(at.group()[:300])
    new = rng.choice((old * rng.uniform(0.7, 1.4), -old, old + rng.gauss(0, 5), rng.uniform(-100, 100), old + 1))
    new = new if b"." in at.group() or rng.random() < 0.2 else round(new)
    return _put(data, at.span(), repr(new).encode())


def _token(rng: random.Random, data: bytes, _: bytes) -> bytes:
    """A number or a word becomes something strange."""
    found = list((_NUMBER if rng.random() < 0.7 else _WORD).finditer(data))
    new = rng.choice(NUMBERS).encode("utf-8")
    return _put(data, rng.choice(found).span(), new) if found else data + new


def _word(rng: random.Random, data: bytes, other: bytes) -> bytes:
    """A word becomes another one of this file or of another, so that keys and choices get mixed up."""
    found, words = list(_WORD.finditer(data)), _WORD.findall(rng.choice((data, other)))
    return _put(data, rng.choice(found).span(), rng.choice(words)) if found and words else data


def _lines(rng: random.Random, data: bytes, other: bytes) -> bytes:
    """Lines are left out, doubled, exchanged, or come from another file."""
    lines = data.split(b"\n")
    here, there = rng.randrange(len(lines)), rng.randrange(len(lines))
    what = rng.randrange(4)
    if what == 0:
        del lines[here]
    elif what == 1:
        lines.insert(there, lines[here])
    elif what == 2:
        lines[here], lines[there] = lines[there], lines[here]
    else:
        lines.insert(here, rng.choice(other.split(b"\n")))
    return b"\n".join(lines)


def _bytes(rng: random.Random, data: bytes, _: bytes) -> bytes:
    """Single bytes change, near the beginning as often as anywhere: headers stand there."""
    new = bytearray(data)
    for _ in range(rng.choice((1, 2, 8)) if new else 0):
        most = min(len(new), 600) if rng.random() < 0.5 else len(new)
        new[rng.randrange(most)] = rng.choice((0, 255, 127, 32, 10, 34, rng.randrange(256)))
    return bytes(new)


def _stretch(rng: random.Random, data: bytes, other: bytes) -> bytes:
    """A stretch is left out, doubled, or comes from another file; or the file ends early."""
    start, end = sorted(rng.randrange(len(data) + 1) for _ in range(2))
    end = min(end, start + rng.choice((3, 40, 100_000)))
    piece = other[:: rng.choice((1, -1))][: rng.choice((5, 100, 4000))]
    return rng.choice((_put(data, (start, end), b""), data[:end] + data[start:], _put(data, (start, end), piece),
                       data[:start]))  # fmt: skip


def _put(data: bytes, span: tuple[int, int], new: bytes) -> bytes:
    return data[: span[0]] + new + data[span[1] :]


# --- reading ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Place:
    """Where the fuzzed files lie: a folder that also has the scenarios a lesson may name."""

    folder: Path

    @staticmethod
    def made(folder: Path) -> Place:
        for path in SCENARIOS.glob("*.toml"):
            copyfile(path, folder / path.name)
        return Place(folder)

    def write(self, data: bytes, name: str = "any.toml") -> Path:
        path = self.folder / name
        path.write_bytes(data)
        return path


Reader = Callable[[bytes, random.Random, Place], object]


def some(rng: random.Random, share: float) -> bool:
    """Whether to go on to the slow part of a reading."""
    return rng.random() < share


def _base() -> Scenario:
    return load(SCENARIOS / "01-one-inch-under.toml")


def read_scenario(data: bytes, rng: random.Random, place: Place) -> object:
    """Load, write and load again, play; now and then with all its slower numbers and words."""
    return _used(load(place.write(data)), rng)


def _used(scenario: Scenario, rng: random.Random) -> object:
    again = loads(scenario.to_toml())
    if again != scenario:
        raise AssertionError("a scenario written and read again is another one")
    if some(rng, 0.9):
        return play_many(scenario.to_inputs())
    shown = play(scenario.to_inputs())
    return json.dumps(report(shown.result, read_map(shown)), allow_nan=False)


def read_lesson(data: bytes, _: random.Random, place: Place) -> object:
    path = place.write(data, "lesson.toml")
    return is_lesson(path) and load_lesson(path)


def read_pitch_set(data: bytes, rng: random.Random, place: Place) -> object:
    base = _base()
    numbers = complete(load_pitch_set(place.write(data)), base)
    values = {f"pitch.{name}": value for name, value in rng.choice(numbers).items()}
    return play_many(base.with_values({"pitch.family": "fastball"} | values).to_inputs())


def read_drills(data: bytes, _: random.Random, place: Place) -> object:
    return load_drills(place.write(data))


def read_swing(data: bytes, rng: random.Random, _: Place) -> object:
    return _measured(read_csv(data, "swing.csv"), rng)


def read_c3d_swing(data: bytes, rng: random.Random, _: Place) -> object:
    markers(data, "swing.c3d")
    return _measured(read_c3d(data, "swing.c3d", "knob", "tip", rng.choice(("", "mm"))), rng)


def _measured(points: BatPoints, rng: random.Random) -> object:
    if some(rng, 0.8):
        return points
    return measure(points, by_axes(), rng.choice(("right", "left")), rng.choice((None, 0.5)), draws=2)


def read_measured_pitches(data: bytes, rng: random.Random, _: Place) -> object:
    pitches = read_pitches("pitches.csv", data)
    return some(rng, 0.1) and rng.choice(pitches).ask(_base().to_inputs())


def read_marks(data: bytes, rng: random.Random, _: Place) -> object:
    file = marks_file.loads(text_of(data, "film.marks.json"), "film.marks.json")
    if marks_file.loads(marks_file.dumps(file)) != file:
        raise AssertionError("marks written and read again are others")
    return some(rng, 0.05) and video.run(file, _base(), "film.marks.json")


def read_link(data: bytes, rng: random.Random, _: Place) -> object:
    """A link whose letters are spoilt, or a whole one around a spoilt scenario."""
    text = data.decode("utf-8", "replace")
    return _used(decode(text if text.startswith(VERSION) else pack(text)), rng)


def read_opened(data: bytes, _: random.Random, __: Place) -> object:
    """What the page does with a file given to it: mistakes are told beside whatever could be read."""
    opened = open_files([("any.zip" if data[:1] == b"P" else "any.toml", data)])
    if opened.mistakes:
        raise Plane3dError("\n".join(str(mistake) for mistake in opened.mistakes[:1]))
    return opened


def read_backup(data: bytes, rng: random.Random, place: Place) -> object:
    """A backup of the log; one that is taken for whole is put back and read to the end."""
    held(data, "backup.sqlite")
    if some(rng, 0.7):
        return None
    path = place.folder / "log.sqlite"
    path.unlink(missing_ok=True)
    log = Log(path, at_once=False)
    log.restore(data)
    for hitter in log.hitters():
        hitter_words(hitter)
        swings = log.swings(hitter.code)
        for name, figure in {name: figure for swing in swings for name, figure in swing.figures.items()}.items():
            figure_words(name, figure)
            with suppress(Plane3dError):
                trend(swings, name)
    return csv_text(log)


# --- what is spoilt --------------------------------------------------------------------------------------------------


def _backup(folder: Path) -> bytes:
    log = Log(folder / "seed.sqlite")
    log.add_hitter(Hitter("under-12 contact hitter", "left", "under-12", "invented"))
    days = [
        Swing(date(2026, 3, day), {"bat_speed_mph": Figure(50.0 + day, 1.0)}, "film", "first") for day in (1, 8, 15)
    ]
    log.add_swings("under-12 contact hitter", days)
    return log.backup_bytes()


def _zip(files: list[Path]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in files:
            archive.write(path, path.name)
    return packed.getvalue()


def kinds(folder: Path) -> dict[str, tuple[int, Reader, list[bytes]]]:
    """Every kind of file: how many of a hundred cases it gets, its reader, and sound files of it."""
    scenarios = [path for path in sorted(SCENARIOS.glob("*.toml")) if not is_lesson(path)]
    lessons = [path for path in sorted(SCENARIOS.glob("*.toml")) if is_lesson(path)]
    measured = SCENARIOS / "measured"
    texts = [path.read_bytes() for path in scenarios]
    texts.append(_base().with_measured(track("right")).to_toml().encode())
    links = [encode(load(path)).encode() for path in scenarios[:4]]
    few = lessons[:1] + scenarios[:3]

    def read(*paths: Path) -> list[bytes]:
        return [path.read_bytes() for path in paths]

    return {
        "scenario": (30, read_scenario, texts),
        "lesson": (10, read_lesson, read(*lessons)),
        "pitch set": (8, read_pitch_set, read(*sorted((SCENARIOS / "pitches").glob("*.toml")))),
        "drills": (6, read_drills, read(SUPPLIED)),
        "measured swing": (
            12,
            read_swing,
            read(*sorted(measured.glob("swing-*-60.csv")), measured / "swing-left-240.csv"),
        ),
        "measured pitches": (6, read_measured_pitches, read(*sorted(measured.glob("pitches-*.csv")))),
        "C3D": (8, read_c3d_swing, read(measured / "swing-right-240.c3d")),
        "marks": (8, read_marks, read(SCENARIOS / "films" / "films.marks.json")),
        "link": (6, read_link, links + texts),
        "given to the page": (3, read_opened, [_zip(few), *texts[:2]]),
        "backup of the log": (3, read_backup, [_backup(folder)]),
    }
