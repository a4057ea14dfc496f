"""Typical values by level: complete, and narrowing with age (our own choice, so only its order can be tested)."""

from __future__ import annotations

from dataclasses import astuple, fields

import numpy as np
import pytest

from plane3d.levels import LEVELS
from plane3d.typical import TYPICAL, Typical
from plane3d.units import MPH

RUNS = {  # m/s, PHYSICS 11 "youth scale", from memory, low confidence
    "under-8": (4.5, 5.0), "under-10": (5.0, 5.5), "under-12": (5.5, 6.3), "under-14": (6.0, 7.0),
    "high-school": (7.0, 8.0), "professional": (8.2, 9.2),
}  # fmt: skip


def test_every_level_has_typical_values():
    assert list(TYPICAL) == list(LEVELS)
    assert all(value > 0 for typical in TYPICAL.values() for value in astuple(typical))


@pytest.mark.parametrize("softball", [False, True])
def test_scatter_narrows_and_running_grows_with_age(softball):
    rows = np.array([astuple(t) for name, t in TYPICAL.items() if name.startswith("softball") == softball])
    grows = [field.name in ("run_mph", "hands") for field in fields(Typical)]
    steps = np.diff(rows, axis=0)
    assert np.all(steps[:, grows] > 0)
    assert np.all(steps[:, ~np.array(grows)] <= 0)


@pytest.mark.parametrize("level", RUNS)
def test_running_speeds_lie_in_their_band(level):
    low, high = RUNS[level]
    assert low <= TYPICAL[level].run_mph * MPH <= high
