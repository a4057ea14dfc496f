"""Timed points of a bat as they stand in a file: CSV with our own header, or C3D."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

import c3d
import numpy as np

from plane3d.frames import Array
from plane3d.language import tr, trc
from plane3d.measured.files import check_bytes, read_bytes, refuse
from plane3d.measured.table import UNITS, read_table

HEADER = ("time", *(f"{end}_{axis}" for end in ("knob", "tip") for axis in "xyz"))
MOST_FRAMES = 200_000
C3D_MAGIC = 0x50  # second byte of every C3D file (the format's public description, from memory)


@dataclass(frozen=True)
class BatPoints:
    """What a file says: times (n,) s, knob and tip (n, 3) m along the file's own axes; NaN in a gap.

    name : of the file; lines : (n,) line of each sample, or its frame number in a C3D file
    unit : of lengths, as the file states it
    """

    name: str
    lines: Array
    times: Array
    knob: Array
    tip: Array
    unit: str = "m"

    def where(self, row: int) -> str:
        """``file:line`` of a sample."""
        return f"{self.name}:{self.lines[row]}"


def read_points(
    path: str | Path,
    data: bytes | None = None,
    knob: str = "knob",
    tip: str = "tip",
    unit: str = "",
) -> BatPoints:
    """The points in a file, C3D by its ending or else CSV.

    Parameters
    ----------
    data : its bytes, where they are at hand; else they are read
    knob, tip : names of the two markers in a C3D file
    unit : of lengths in a C3D file that states none: m, cm, mm, in or ft

    Raises InputError: one sentence for each fault.
    """
    name = str(path)
    data = read_bytes(path) if data is None else data
    if Path(name).suffix.lower() == ".c3d":
        return read_c3d(data, name, knob, tip, unit)
    return read_csv(data, name)


def read_csv(data: bytes, name: str) -> BatPoints:
    """The points in the bytes of a CSV file; see docs/measured.md for its header."""
    kinds = {key: "time" if key == "time" else "length" for key in HEADER}
    table = read_table(data, name, kinds)
    time, *places = (table.columns[key] for key in HEADER)
    points = np.stack(places, axis=-1)
    return BatPoints(name, table.lines, time, points[:, :3], points[:, 3:], table.stated["knob_x"])


def read_c3d(data: bytes, name: str, knob: str, tip: str, unit: str = "") -> BatPoints:
    """The points of two markers in the bytes of a C3D file, whose rate and unit count; times run from its start."""
    head = _opened(data, name)
    places = _marker(head.labels, knob, name, "knob"), _marker(head.labels, tip, name, "tip")
    if places[0] == places[1]:
        raise refuse(name, tr("knob and tip are the same marker, {given}", given=knob))
    unit = _unit(head.unit, name, unit)
    if not head.rate > 0:
        raise refuse(name, tr("states no frame rate"))
    points = _frames(head, name, len(data), places) * UNITS["length"][unit]
    frames = np.arange(len(points))
    return BatPoints(name, frames + head.first, frames / head.rate, points[:, 0], points[:, 1], unit)


def markers(data: bytes, name: str) -> tuple[list[str], str]:
    """Names of the markers in the bytes of a C3D file, and the unit of lengths it states, empty for none."""
    head = _opened(data, name)
    return [label for label in head.labels if label], head.unit


@dataclass(frozen=True)
class _Head:
    """What the header of a C3D file says; ``unit`` is empty where it states none."""

    reader: c3d.Reader
    labels: list[str]
    rate: float
    unit: str
    first: int
    last: int
    markers: int
    word: int  # bytes of each of a marker's four numbers


def _opened(data: bytes, name: str) -> _Head:
    check_bytes(data, name)
    if len(data) < 1024 or data[1] != C3D_MAGIC:
        raise refuse(name, tr("is not a C3D file"))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            reader = c3d.Reader(io.BytesIO(data))
            unit = reader.get("POINT:UNITS")
            return _Head(
                reader=reader,
                labels=[str(label).strip() for label in reader.point_labels],
                rate=float(reader.point_rate),
                unit="" if unit is None else unit.string_value.strip().lower(),
                first=int(reader.first_frame),
                last=int(reader.last_frame),
                markers=int(reader.point_used),
                word=4 if reader.point_scale < 0 else 2,
            )
    except Exception as error:  # the library meets a broken header in many ways of its own
        raise refuse(name, tr("is a broken C3D file: its header cannot be read")) from error


def _frames(head: _Head, name: str, size: int, places: tuple[int, int]) -> Array:
    """Two markers (n, 2, 3) in the file's unit, NaN where they were not seen; refuses a file cut short."""
    count = head.last - head.first + 1
    least = count * head.markers * 4 * head.word
    if not 0 < count <= MOST_FRAMES:
        raise refuse(
            name, tr("says that it has {count} frames; 1 to {most} can be read", count=count, most=MOST_FRAMES)
        )
    if least > size:
        raise refuse(name, tr("is cut short: its {count} frames are not all there", count=count))
    seen = np.full((count, 2, 3), np.nan)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            done = 0
            for i, (_, points, _) in enumerate(head.reader.read_frames(copy=False)):
                pair = points[list(places)]
                seen[i] = np.where(pair[:, 3:4] < 0, np.nan, pair[:, :3])
                done = i + 1
    except Exception as error:  # as above
        raise refuse(name, tr("is a broken C3D file: its frames cannot be read")) from error
    if done < count:
        raise refuse(name, tr("is cut short: its {count} frames are not all there", count=count))
    return seen


def _marker(labels: list[str], wanted: str, name: str, end: str) -> int:
    """Place of a marker by its name, whatever its capitals and the subject's name before a colon."""
    for plain in (str.lower, lambda label: label.lower().rpartition(":")[2]):
        there = [i for i, label in enumerate(labels) if plain(label) == wanted.strip().lower()]
        if len(there) == 1:
            return there[0]
    known = ", ".join(label for label in labels if label)[:400]
    text = tr(
        "there is no marker {given} for the {end}; the markers are: {known}",
        given=wanted,
        end=tr("knob") if end == "knob" else trc("bat", "tip"),
        known=known,
    )
    raise refuse(name, text)


def _unit(stated: str, name: str, said: str) -> str:
    """The unit of lengths that the file states, or else the one that was said."""
    allowed = ", ".join(UNITS["length"])
    if stated and said and stated != said:
        raise refuse(name, tr("states its unit as {stated}; {given} was said", stated=stated, given=said))
    if stated and stated not in UNITS["length"]:
        raise refuse(name, tr("states the unit {stated}; it must be one of {allowed}", stated=stated, allowed=allowed))
    if (stated or said) not in UNITS["length"]:
        raise refuse(name, tr("states no unit; say which it is: {allowed}", allowed=allowed))
    return stated or said
