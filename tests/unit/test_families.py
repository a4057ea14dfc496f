"""Pitch families: movement of the model against the usual ranges. PHYSICS 4, from memory: typical, never proof."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.constants import PLATE_FRONT_Y
from plane3d.families import families
from plane3d.levels import LEVELS
from plane3d.physics.flight import fly, launch
from plane3d.physics.pitch import time_at_y
from plane3d.plays import make_pitch, medium_of
from plane3d.scenario import loads
from plane3d.units import INCH

# Inches of lift and of glove-side movement for a professional right-hander, from memory (medium confidence).
USUAL = {
    "four-seam": ((16, 18), (-8, -6)),
    "two-seam": ((7, 9), (-16, -14)),
    "cut": ((7, 9), (0, 3)),
    "slider": ((0, 4), (4, 6)),
    "curve": ((-11, -8), (7, 10)),
    "change-up": ((6, 9), (-14, -12)),
}


def movement(level, name, throws="right"):
    """Inches at the front edge, against the same release without spin: lift, toward first base."""
    text = f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n[pitch]\nfamily = "{name}"\nthrows = "{throws}"\n'
    asked = loads(text).to_inputs()
    medium = medium_of(asked.setting)
    spun = make_pitch(medium, asked.pitch)
    plain = fly(launch(spun.x[0], spun.v[0], 0 * spun.w[0], medium), spun.end, 8, medium)
    edge = np.array([PLATE_FRONT_Y])
    gap = (spun.at(time_at_y(spun, edge)) - plain.at(time_at_y(plain, edge)))[0, 0] / INCH
    return gap[2], gap[0]


@pytest.mark.parametrize("name", USUAL)
def test_professional_movement_is_the_usual_one(name):
    lift, side = movement("professional", name)
    (low, high), (inner, outer) = USUAL[name]
    assert low - 0.5 <= lift <= high + 0.5
    assert inner - 0.5 <= side <= outer + 0.5


@pytest.mark.parametrize("level", LEVELS)
def test_every_family_of_every_level_reaches_the_plate(level):
    for name, family in families(level).items():
        low, high = family.speed_range
        assert low <= family.speed <= high
        lift, _ = movement(level, name)
        assert np.isfinite(lift)


def test_a_left_hander_moves_the_ball_the_other_way():
    for name in USUAL:
        right, left = movement("high-school", name), movement("high-school", name, "left")
        assert left[0] == pytest.approx(right[0], abs=1e-6)
        assert left[1] == pytest.approx(-right[1], abs=1e-6)


def test_softball_rise_lifts_and_drop_falls():
    """Facts of the trade: a rise ball carries backspin, a drop ball topspin (common practice, no source)."""
    assert movement("softball-college", "rise")[0] > 3 > -3 > movement("softball-college", "drop")[0]
