"""The contact map over random inputs: against the full model, and what geometry demands of window and dip."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plane3d.constants import PLATE_FRONT_Y
from plane3d.levels import LEVELS
from plane3d.plays import Plays, play_many
from plane3d.scenario import Scenario, loads
from plane3d.studies.contact_map import ContactMap, contact_map, dip, window
from plane3d.units import DEGREE, INCH
from tests.cases import inputs, random_asks

ON_TIME = 183  # moments of a map, one of them exactly at contact


def at_timing(cmap: ContactMap, i: int, timing: float) -> list[float]:
    """Depth, undercut, place along the barrel and gap that map i tells for a timing: the moment nearest to contact."""
    off = cmap.timing[i] - timing
    with np.errstate(invalid="ignore"):
        passes = np.flatnonzero(off[:-1] * off[1:] <= 0)
    k = passes[np.abs(cmap.swing_time[i, passes]).argmin()]
    share = off[k] / (off[k] - off[k + 1])
    told = (cmap.depth, cmap.undercut, cmap.along_barrel, cmap.below_line, cmap.touch_depth, cmap.touch_along)
    return [float(v[i, k] + share * (v[i, k + 1] - v[i, k])) for v in told]


@pytest.mark.parametrize("bats", ["right", "left"])
def test_the_map_agrees_with_the_full_model(bats: str) -> None:
    """400 random plays at random timings against maps made from the same swings on time.

    Depth, place and gap at the crossing follow from the same geometry in both, so 0.01 in is no surprise there. The
    undercut is that of the search, and depth and place at the first touch are too: the map gets them by going back
    from the crossing in a straight line. On the barrel, and short of a graze, they agree within 0.15 in. What is left
    out has a reason: toward the tip the barrel narrows within the line's length (0.4 in off), and where the undercut
    is most of the two radii a hair of it moves the touch by inches.
    """
    rng = np.random.default_rng(7)
    asks, timing = random_asks(rng, 400), rng.uniform(-0.030, 0.030, 400)
    cmap = contact_map(play_many(inputs(bats, **(asks | {"timing": 0.0}))))
    full = play_many(inputs(bats, **(asks | {"timing": timing})))
    hits = np.flatnonzero(full.meeting.touch)
    assert len(hits) > 200
    told = np.array([at_timing(cmap, i, timing[i]) for i in hits])
    ball, below, along = full.met
    crossing = np.stack([ball[:, 1] - PLATE_FRONT_Y, full.meeting.undercut(), along, below], axis=1)
    assert told[:, :4] == pytest.approx(crossing[hits], abs=0.01 * INCH)
    assert np.ptp(crossing[hits, 0]) > 30 * INCH and np.ptp(crossing[hits, 1]) > 4 * INCH  # not all one kind of hit
    bat, place = full.inputs.bat, full.meeting.place
    touch = np.stack([full.meeting.ball[:, 1] - PLATE_FRONT_Y, place - bat.sweet_spot], axis=1)
    reach = full.inputs.setting.ball.radius + bat.radius_at(place)
    clean = (np.abs(full.meeting.undercut()) < 0.7 * reach) & (np.abs(place - bat.sweet_spot) < 4 * INCH)
    assert clean[hits].sum() > 120
    assert told[clean[hits], 4:] == pytest.approx(touch[np.flatnonzero(clean & full.meeting.touch)], abs=0.15 * INCH)


def climbing(start: Scenario, angles_deg: np.ndarray) -> Plays:
    """The scenario's swing at several climbs (deg), each pointed so that it travels at centre field, on the line."""
    asked = start.to_inputs()
    climb = angles_deg * DEGREE
    pointed = np.arcsin(np.tan(climb) * np.tan(asked.swing.vertical_bat_angle))
    return play_many(
        replace(asked, swing=replace(asked.swing, attack_angle=climb, bat_direction=pointed, below_line=0.0))
    )


def matched_deg(start: Scenario) -> float:
    """Climb with which barrel and pitch line neither close nor part at contact."""
    angles = np.linspace(-2.0, 26.0, 29)
    cmap = contact_map(climbing(start, angles), ON_TIME)
    k = np.abs(cmap.swing_time[0]).argmin()
    parting = (cmap.below_line[:, k + 1] - cmap.below_line[:, k - 1]) / (cmap.depth[:, k + 1] - cmap.depth[:, k - 1])
    return float(np.interp(0.0, -parting, angles))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    level=st.sampled_from(sorted(LEVELS)),
    bats=st.sampled_from(["right", "left"]),
    height=st.floats(0.30, 0.52),
    speed=st.floats(0.85, 1.10),
    tilt=st.floats(5.0, 35.0),
    side=st.floats(-6.0, 6.0),
)
def test_beyond_the_match_the_window_shrinks_and_the_dip_grows(
    level: str, bats: str, height: float, speed: float, tilt: float, side: float
) -> None:
    """Any level, side, bat angle, and pitch: 2, 4, ... 10 deg beyond the match, and there less than half is left.

    height, speed : of the pitch, as shares of the hitter's height and of the level's fastball; side : in
    """
    values = {
        "hitter.bats": bats,
        "pitch.plate_height_in": height * LEVELS[level].height_in,
        "pitch.speed_mph": speed * LEVELS[level].pitch_mph,
        "pitch.plate_side_in": side,
        "swing.vertical_bat_angle_deg": tilt,
    }
    start = loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n').with_values(values)
    match = matched_deg(start)
    assert 0.0 < match < 26.0
    cmap = contact_map(climbing(start, match + np.arange(0.0, 11.0, 2.0)))
    length, deep = window(cmap).length, dip(cmap)
    assert np.all(np.diff(length) < 0)
    assert np.all(np.diff(deep) > 0)
    assert length[0] >= 2 * length[-1] > 0
