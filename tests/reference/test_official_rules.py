"""Sizes laid down by the Official Baseball Rules. See SOURCES.md."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d import constants as c
from plane3d.physics.field import LINE_BEARING
from plane3d.units import FOOT, INCH, OUNCE


@pytest.mark.parametrize(
    ("size", "rule"),
    [
        (c.PLATE_WIDTH, 17 * INCH),
        (c.PLATE_SIDE, 8.5 * INCH),
        (c.PLATE_FRONT_Y, 17 * INCH),
        (c.BOX_WIDTH, 4 * FOOT),
        (c.BOX_LENGTH, 6 * FOOT),
        (c.BOX_GAP, 6 * INCH),
    ],
)
def test_plate_and_boxes(size, rule):
    assert size == pytest.approx(rule)


def test_rear_edges_of_the_plate():
    """2.02 asks for 12 in; sides of 8.5 in and a right-angled point give 12.02, which the rule rounds."""
    assert np.hypot(c.PLATE_WIDTH / 2, c.PLATE_FRONT_Y - c.PLATE_SIDE) == pytest.approx(12 * INCH, abs=0.03 * INCH)


def test_baseball():
    """3.01: 9 to 9 1/4 in round, 5 to 5 1/4 oz."""
    assert 9 * INCH <= 2 * np.pi * c.BASEBALL_RADIUS <= 9.25 * INCH
    assert 5 * OUNCE <= c.BASEBALL_MASS <= 5.25 * OUNCE


def test_softball():
    """Association rules: 12 +- 1/8 in round (read); 6.25 to 7 oz (from memory)."""
    assert 11.875 * INCH <= 2 * np.pi * c.SOFTBALL_RADIUS <= 12.125 * INCH
    assert 6.25 * OUNCE <= c.SOFTBALL_MASS <= 7 * OUNCE


def test_foul_lines_meet_at_a_right_angle():
    """2.01: from home, first and third lie at right angles, 127 ft 3 3/8 in across to second."""
    assert np.tan(LINE_BEARING) == pytest.approx(1.0)
    assert 90 * np.sqrt(2) * FOOT == pytest.approx(127 * FOOT + 3.375 * INCH, abs=0.05 * INCH)
