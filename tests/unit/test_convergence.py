"""Finer steps converge, at the order that theory gives, and what is in use is fine enough (docs/convergence.md)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from plane3d.physics.bat import make_bat
from plane3d.physics.meeting import SURELY_APART, surface_distance
from plane3d.units import INCH, OUNCE
from tests.convergence import Study, carry, meshes, pitch_height, touch_search

PLAYS = 80


@pytest.mark.parametrize(
    ("study", "order"),
    [(pitch_height(PLAYS), 4.0), (carry(PLAYS), 4.0), *((mesh, 2.0) for mesh in meshes())],
    ids=lambda value: value.title if isinstance(value, Study) else "",
)
def test_finer_steps_converge(study: Study, order: float) -> None:
    """Classical Runge-Kutta has order 4, inscribed polygons 2 (textbook laws)."""
    errors = [row.median for row in study.rows]
    assert all(b < a for a, b in pairwise(errors))
    assert study.order("median") == pytest.approx(order, abs=0.5)
    assert study.at_use.worst < study.limit


def test_the_scan_does_not_decide_when_they_touch() -> None:
    study = touch_search(PLAYS)
    assert all(row.worst < study.limit for row in study.rows)


@pytest.mark.parametrize("size", [(26, 16, 2.625, 0.0369), (34, 31, 2.61, 0.0369), (34, 24, 2.25, 0.0485)])
def test_the_scan_starts_before_the_touch(size: tuple[float, float, float, float]) -> None:
    """Where the scan says "surely apart", ball and bat are apart, the steep end of the barrel included."""
    length, weight, diameter, ball = size
    bat = make_bat(length * INCH, weight * OUNCE, diameter * INCH, "metal")
    along, away = np.meshgrid(np.linspace(bat.grip_end, bat.length + 0.06, 400), np.linspace(0.0, 0.12, 300))
    gap = surface_distance(bat, along, away)[0] - ball
    inside = np.clip(along, bat.grip_end, bat.length)
    side = away - bat.radius_at(inside)
    rough = np.where(along == inside, side, np.hypot(along - inside, np.maximum(side, 0.0))) - ball
    assert rough[gap <= 0].max() < SURELY_APART
