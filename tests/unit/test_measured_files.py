"""Files of points and pitches: every way of writing them is read alike, and every fault is one sentence."""

from __future__ import annotations

import gzip
import io
import time
import zipfile
from pathlib import Path

import ezc3d
import numpy as np
import pytest

from plane3d.errors import InputError
from plane3d.measured import files
from plane3d.measured.checks import clean
from plane3d.measured.placing import by_axes
from plane3d.measured.points import read_c3d, read_csv, read_points
from plane3d.measured.swing import measure
from plane3d.measured.synthetic import csv_text, sampled
from tests.cases import inputs

POINTS = sampled(inputs(), 240.0, 0.002, 1)
PLAIN = csv_text(POINTS)


def refused(data: bytes | str, name: str = "swing.csv") -> str:
    """The sentence with which a file is refused."""
    with pytest.raises(InputError) as caught:
        clean(read_points(name, data.encode() if isinstance(data, str) else data))
    text = str(caught.value)
    assert "Traceback" not in text and text.startswith(name)
    return text


def same(data: bytes | str, unit: float = 1e-5) -> None:
    read = read_csv(data.encode() if isinstance(data, str) else data, "swing.csv")
    assert np.allclose(read.times, POINTS.times, atol=2e-6)
    assert np.allclose(read.knob, POINTS.knob, atol=unit)
    assert np.allclose(read.tip, POINTS.tip, atol=unit)


@pytest.mark.parametrize("unit", ["m", "cm", "mm", "in", "ft"])
@pytest.mark.parametrize("time_unit", ["s", "ms"])
@pytest.mark.parametrize("semicolons", [False, True])
def test_units_and_marks(unit: str, time_unit: str, semicolons: bool) -> None:
    same(csv_text(POINTS, time_unit, unit, semicolons), 2e-5)


def test_order_of_columns_others_blank_lines_marks_and_line_ends() -> None:
    head, *rows = PLAIN.splitlines()
    turned = [
        "note," + ",".join(reversed(head.split(","))),
        *("x," + ",".join(reversed(row.split(","))) for row in rows),
    ]
    same("\r\n".join(["", "# a remark", *turned[:5], "", *turned[5:], ",,,", ""]))
    same(b"\xef\xbb\xbf" + PLAIN.upper().encode())
    same(PLAIN.replace(",", "\t"))
    same(PLAIN.replace(",", ";"))
    same("\n".join([head, *(",".join(f'"{cell}"' for cell in row.split(",")) for row in rows)]))


def test_a_gap_is_a_gap() -> None:
    rows = PLAIN.splitlines()
    cells = rows[3].split(",")
    for gap in ("", "NaN", "-"):
        rows[3] = ",".join([*cells[:4], gap, *cells[5:]])
        read = read_csv("\n".join(rows).encode(), "swing.csv")
        assert np.isnan(read.tip[2, 0]) and np.isfinite(read.knob).all()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda t: "", "is empty"),
        (lambda t: "# only a remark\n", "holds no table"),
        (lambda t: t.splitlines()[0], "has a header but no rows"),
        (lambda t: t.replace("tip_z_m", "tip_q_m", 1), "swing.csv:1: the column tip_z is missing"),
        (lambda t: t.replace("tip_z_m", "tip_z", 1), "must say its unit: tip_z_m, tip_z_cm"),
        (lambda t: t.replace("tip_z_m", "tip_z_yd", 1), "must say its unit"),
        (lambda t: t.replace("knob_x_m", "tip_x_m", 1), "more than once"),
        (lambda t: t[:-20], "cells where the header has 7"),
        (lambda t: t.replace("\n", "\n0.1,a,1,1,1,1,1\n", 1), "swing.csv:2: knob_x_m = a must be a number"),
        (lambda t: t.replace(".", ","), "cells where the header has 7"),
        (lambda t: t.replace("\n", "\n9,1,1,1,1,1,1\n", 1), "times must grow"),
        (lambda t: "\n".join([*t.splitlines()[:3], *t.splitlines()[2:]]), "swing.csv:4: repeats the time"),
        (lambda t: t.replace("\n", "\n,1,1,1,1,1,1\n", 1), "swing.csv:2: has no time"),
        (lambda t: "\n".join(t.splitlines()[:8]), "has 7 samples"),
        (lambda t: "\n".join([t.splitlines()[0], *(f"{i},,,,,," for i in range(20))]), "no sample has both"),
        (lambda t: t.replace("_m", "_in"), "is the file in metres?"),
        (
            lambda t: csv_text(POINTS, unit="in").replace("_in", "_m"),
            "the bat would be 33 m long; is the file in inches?",
        ),
        (lambda t: csv_text(POINTS, unit="mm").replace("_mm", "_m"), "is the file in millimetres?"),
        (lambda t: csv_text(POINTS, unit="ft").replace("_ft", "_m"), "is the file in feet?"),
        (lambda t: t.replace("time_s", "time_ms"), "are the times in seconds?"),
        (lambda t: csv_text(POINTS, "ms").replace("time_ms", "time_s"), "are the times in milliseconds?"),
        (lambda t: t.replace("knob", "?").replace("tip", "knob").replace("?", "tip"), "knob and tip exchanged?"),
    ],
)
def test_each_fault_is_one_sentence(change, said: str) -> None:  # type: ignore[no-untyped-def]
    assert said in refused(change(PLAIN))


def test_points_of_two_things_are_not_a_bat() -> None:
    wild = sampled(inputs(), 240.0, 0.08, 1)
    assert "on one bat?" in refused(csv_text(wild))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (PLAIN.encode("utf-16"), "UTF-16"),
        (PLAIN.replace("time_s", "tíme_s").encode("latin-1"), "is not UTF-8 text (byte 2)"),
        (b"PK\x03\x04" + bytes(100), "packed (zip)"),
        (gzip.compress(bytes(10_000_000)), "packed (gzip)"),
        (b"time_s\0,1", "is not text"),
        (bytes(range(200, 250)) * 40, "is not UTF-8"),
    ],
)
def test_what_is_not_text_is_refused(data: bytes, said: str) -> None:
    assert said in refused(data)


def test_a_zip_bomb_is_refused_unopened_and_ten_million_rows_unread(tmp_path: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("swing.csv", b"0" * 50_000_000)
    started = time.process_time()
    assert "packed" in refused(packed.getvalue())
    path = tmp_path / "long.csv"
    head, *_ = PLAIN.splitlines()
    with path.open("wb") as file:
        file.write(head.encode() + b"\n")
        file.truncate(600_000_000)  # ten million rows take so much; the rest of this one takes no disk
    with pytest.raises(InputError, match="is larger than 20 MB"):
        read_points(path)
    rows = ("\n".join([head] + ["1,1,1,1,1,1,1"] * 250_000)).encode()
    assert "more than 200000 rows" in refused(rows)
    assert time.process_time() - started < 5.0


def test_a_folder_and_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder"):
        files.read_bytes(tmp_path)
    with pytest.raises(InputError, match="there is no such file"):
        files.read_bytes(tmp_path / "none.csv")


def c3d_bytes(
    tmp_path: Path, units: str | None = "mm", labels: tuple[str, ...] = ("Hat", "S1:Knob", "S1:Tip")
) -> bytes:
    """A file written by ezc3d, with a third marker and a gap of the tip."""
    file = ezc3d.c3d()
    file["parameters"]["POINT"]["UNITS"]["value"] = [units] if units else []
    file["parameters"]["POINT"]["RATE"]["value"] = [240.0]
    file["parameters"]["POINT"]["LABELS"]["value"] = list(labels)
    places = 1e3 * np.stack([POINTS.knob * 0 + 1.7, POINTS.knob, POINTS.tip])
    places[2, 5:8] = np.nan
    data = np.ones((4, 3, len(POINTS.times)))
    data[:3] = places.transpose(2, 0, 1)
    file["data"]["points"] = data
    path = tmp_path / "made.c3d"
    file.write(str(path))
    return path.read_bytes()


def test_c3d_of_another_library_is_read_identically(tmp_path: Path) -> None:
    data = c3d_bytes(tmp_path)
    read = read_c3d(data, "made.c3d", "knob", "S1:Tip")
    again = ezc3d.c3d(str(tmp_path / "made.c3d"))["data"]["points"]
    assert np.array_equal(read.knob, again[:3, 1].T * 0.001)
    gap = np.isnan(read.tip[:, 0])
    assert list(np.flatnonzero(gap)) == [5, 6, 7]
    assert np.array_equal(read.tip[~gap], again[:3, 2].T[~gap] * 0.001)
    assert np.allclose(read.knob, POINTS.knob, atol=1e-6)
    assert np.allclose(read.times, np.arange(len(POINTS.times)) / 240.0)
    assert clean(read).frame_rate == pytest.approx(240.0)


def test_c3d_says_what_is_wrong(tmp_path: Path) -> None:
    data = c3d_bytes(tmp_path)
    assert "the markers are: Hat, S1:Knob, S1:Tip" in str(_c3d_error(data, "handle", "tip"))
    assert "same marker" in str(_c3d_error(data, "knob", "knob"))
    assert "states its unit as mm; in was said" in str(_c3d_error(data, "knob", "tip", "in"))
    assert "states no unit" in str(_c3d_error(c3d_bytes(tmp_path, None), "knob", "tip"))
    assert "unit furlong" in str(_c3d_error(c3d_bytes(tmp_path, "furlong"), "knob", "tip"))
    assert read_c3d(c3d_bytes(tmp_path, None), "a.c3d", "knob", "tip", "mm").unit == "mm"
    assert "is not a C3D file" in refused(b"hello" * 1000, "a.c3d")


def test_c3d_cut_short_or_scrambled_is_refused(tmp_path: Path) -> None:
    data = c3d_bytes(tmp_path)
    for keep in (100, 600, 1100, len(data) // 2, len(data) - 700):
        assert str(_c3d_error(data[:keep], "knob", "tip")).startswith("a.c3d")
    rng = np.random.default_rng(0)
    for _ in range(60):
        broken = bytearray(data)
        for place in rng.integers(0, 1500, 12):
            broken[place] = rng.integers(0, 256)
        try:
            clean(read_c3d(bytes(broken), "a.c3d", "knob", "tip"))
        except InputError as error:
            assert str(error).startswith("a.c3d")


def _c3d_error(data: bytes, knob: str, tip: str, unit: str = "") -> InputError:
    with pytest.raises(InputError) as caught:
        read_c3d(data, "a.c3d", knob, tip, unit)
    return caught.value


def test_scrambled_csv_never_ends_in_anything_but_a_sentence() -> None:
    rng = np.random.default_rng(1)
    plain = PLAIN.encode()
    for _ in range(150):
        broken = bytearray(plain)
        for place in rng.integers(0, len(broken) if rng.uniform() < 0.5 else 80, 6):
            broken[place] = rng.integers(0, 256)
        try:
            measure(read_csv(bytes(broken), "swing.csv"), by_axes(), "right", 0.5, draws=2)
        except InputError as error:
            assert str(error).startswith("swing.csv")
