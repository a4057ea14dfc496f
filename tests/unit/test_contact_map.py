"""The contact map against full plays, and what must follow from geometry: matched swings stay on the line longer."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.constants import PLATE_FRONT_Y
from plane3d.play import play, play_many
from plane3d.studies.contact_map import STRIP, contact_map, dip, solid, strip, timing_range, window
from plane3d.units import DEGREE, INCH
from tests.cases import inputs

SIDES = pytest.mark.parametrize("bats", ["right", "left"])
SWINGS = {
    "climbing and tilted": {},
    "level and matched": {"attack_angle": 5.83 * DEGREE, "vertical_bat_angle": 0.0, "bat_direction": 0.0},
    "barrel ahead, under": {"bat_direction": 0.2, "below_line": 0.8 * INCH, "vertical_bat_angle": 20 * DEGREE},
}


STRAIGHT = {"release_side": 0.0, "spin_tilt": 0.0}  # a pitch with no sideways motion: the same for both sides
ON_TIME = 183  # moments, one of them exactly at contact


def climbing(attack_deg, bats="right", tilt_deg=30.0, **asks):
    """Plays that climb at the given angles (deg), each pointed so that it travels at centre field."""
    attack, tilt = np.atleast_1d(attack_deg) * DEGREE, tilt_deg * DEGREE
    straight = np.arcsin(np.tan(attack) * np.tan(tilt))
    return play_many(inputs(bats, attack_angle=attack, vertical_bat_angle=tilt, bat_direction=straight, **asks))


def matched_angle(bats, tilt_deg, **asks):
    """Climb (deg) with which barrel and pitch line neither close nor part at contact."""
    angles = np.linspace(0.0, 16.0, 33)
    cmap = contact_map(climbing(angles, bats, tilt_deg, **asks), ON_TIME)
    k = np.abs(cmap.swing_time[0]).argmin()
    parting = (cmap.below_line[:, k + 1] - cmap.below_line[:, k - 1]) / (cmap.depth[:, k + 1] - cmap.depth[:, k - 1])
    return float(np.interp(0.0, -parting, angles))


@SIDES
@pytest.mark.parametrize("swing", SWINGS)
def test_the_map_tells_where_a_mistimed_swing_meets_the_ball(swing, bats):
    """The map knows pitch and swing only; 300 full plays at random timings say the same. Measured: 0.003 in at most,
    and that is the straight line drawn between the map's moments."""
    timing = np.random.default_rng(4).uniform(-0.020, 0.020, 300)
    cmap = contact_map(play_many(inputs(bats, **SWINGS[swing])))
    plays = play_many(inputs(bats, timing=timing, **SWINGS[swing]))
    near = np.abs(cmap.swing_time[0]) < 0.020
    assert np.all(np.diff(cmap.timing[0, near]) < 0)  # later moments belong to earlier swings

    def read(values):
        return np.interp(timing, cmap.timing[0, near][::-1], values[0, near][::-1])

    ball, below, along = plays.met
    hit = plays.meeting.touch & (np.abs(along) < 6 * INCH)
    assert hit.mean() > 0.8
    for ours, full in (
        (read(cmap.depth), ball[:, 1] - PLATE_FRONT_Y),
        (read(cmap.below_line), below),
        (read(cmap.along_barrel), along),
        (read(cmap.undercut), plays.meeting.undercut()),
    ):
        assert ours[hit] == pytest.approx(full[hit], abs=0.01 * INCH)


def test_the_aimed_moment_is_the_asked_pose():
    asked = inputs(below_line=0.7 * INCH, along_barrel=1.0 * INCH, contact_depth=9 * INCH)
    cmap = contact_map(play_many(asked), ON_TIME)
    now = np.abs(cmap.swing_time[0]).argmin()
    assert cmap.swing_time[0, now] == pytest.approx(0, abs=1e-12)
    assert cmap.depth[0, now] == pytest.approx(9 * INCH, abs=1e-9)
    assert cmap.below_line[0, now] == pytest.approx(0.7 * INCH, abs=1e-9)
    assert cmap.along_barrel[0, now] == pytest.approx(1.0 * INCH, abs=1e-9)
    assert cmap.timing[0, now] == pytest.approx(0, abs=1e-12)
    assert cmap.attack_angle[0, now] == pytest.approx(12 * DEGREE, abs=1e-9)
    assert cmap.bat_speed[0, now] == pytest.approx(asked.swing.bat_speed, rel=1e-9)


def test_undercut_is_the_gap_across_the_relative_motion():
    """Geometry: smaller than the gap below the line, by the cosine of the axis' tilt when met square."""
    cmap = contact_map(play_many(inputs(below_line=1.0 * INCH)), ON_TIME)
    now = np.abs(cmap.swing_time[0]).argmin()
    assert np.nanmax(np.abs(cmap.undercut[0]) - np.abs(cmap.below_line[0])) <= 1e-12
    assert cmap.undercut[0, now] / cmap.below_line[0, now] == pytest.approx(np.cos(30 * DEGREE), rel=0.03)


def test_a_level_bat_matches_the_pitch_when_it_climbs_as_the_pitch_falls():
    """Trade: swing up as steeply as the pitch comes down. Exact for a level bat met square, but for the curve."""
    descent = play(inputs(**STRAIGHT)).result.pitch.descent_angle / DEGREE
    assert matched_angle("right", 0.0, **STRAIGHT) == pytest.approx(descent, abs=0.3)


@SIDES
@pytest.mark.parametrize("tilt", [0.0, 30.0])
@pytest.mark.parametrize("pitch", [STRAIGHT, {}], ids=["straight pitch", "right-handed pitcher"])
def test_a_matched_swing_stays_on_the_line_at_least_twice_as_long(bats, tilt, pitch):
    """As one that climbs 10 deg more. Measured: 27.1-27.8 in against 11.0-11.2. With the bat 30 deg down the match lies
    at another climb than the pitch's fall (7.0-8.7 deg against 5.7): the turning bat also sweeps across the line."""
    match = matched_angle(bats, tilt, **pitch)
    length = window(contact_map(climbing([match, match + 10], bats, tilt, **pitch))).length
    assert length[0] >= 2 * length[1]
    assert length[0] > 20 * INCH


@SIDES
@pytest.mark.parametrize("tilt", [0.0, 30.0])
def test_climbing_beyond_the_match_shortens_the_window_and_deepens_the_dip(bats, tilt):
    beyond = matched_angle(bats, tilt, **STRAIGHT) + np.arange(0, 17, 2)
    cmap = contact_map(climbing(beyond, bats, tilt, **STRAIGHT))
    length, deep = window(cmap).length, dip(cmap)
    assert np.all(np.diff(length) < 0)
    assert np.all(np.diff(deep) > 0)
    assert deep[0] < 0.1 * INCH and deep[-1] > 3 * INCH


def test_swinging_down_shortens_the_window_too_and_has_no_dip():
    cmap = contact_map(climbing([matched_angle("right", 30.0, **STRAIGHT), 0.0, -6.0, -10.0], **STRAIGHT))
    assert np.all(np.diff(window(cmap).length) < 0)
    assert dip(cmap)[1:] == pytest.approx(np.zeros(3), abs=1e-9)


@pytest.mark.parametrize("swing", SWINGS)
def test_inside_the_window_the_barrel_is_on_the_line_and_outside_it_is_not(swing):
    """The window again by full plays: at its edges one of its two limits is reached, a little beyond it is passed."""
    plays = play_many(inputs(**SWINGS[swing]))
    cmap = contact_map(plays)
    w = window(cmap)
    near = np.abs(cmap.swing_time[0]) < 0.03
    depth, timing = cmap.depth[0, near], cmap.timing[0, near]

    def excess(at):
        along, below = (np.interp(at, depth, values[0, near]) for values in (cmap.along_barrel, cmap.below_line))
        return max(abs(below) - 1.0 * INCH, abs(along) - 3.0 * INCH)

    assert w.from_depth[0] < inputs(**SWINGS[swing]).swing.contact_depth < w.to_depth[0]
    for edge, out in ((w.from_depth[0], -1), (w.to_depth[0], 1)):
        assert abs(excess(edge)) < 0.02 * INCH
        assert excess(edge + out * 0.5 * INCH) > 0 > excess(edge - out * 0.5 * INCH)
    spread = abs(np.interp(w.from_depth[0], depth, timing) - np.interp(w.to_depth[0], depth, timing))
    assert w.length_time[0] == pytest.approx(spread, abs=2e-4)
    assert w.length[0] == pytest.approx(w.to_depth[0] - w.from_depth[0])


def test_a_wider_tolerance_gives_a_longer_window_and_four_inches_under_none():
    cmap = contact_map(climbing(14.0))
    assert window(cmap, 0.5 * INCH).length[0] < window(cmap).length[0] < window(cmap, 1.5 * INCH).length[0]
    none = window(contact_map(play_many(inputs(below_line=4 * INCH))))
    assert none.length[0] == 0 and none.length_time[0] == 0 and none.from_depth[0] == none.to_depth[0]


def test_left_and_right_maps_are_the_same():
    right, left = (contact_map(play_many(inputs(bats, **STRAIGHT))) for bats in ("right", "left"))
    for name in ("depth", "below_line", "undercut", "along_barrel", "timing", "bat_direction", "attack_angle"):
        assert getattr(right, name) == pytest.approx(getattr(left, name), abs=1e-9, nan_ok=True)


def test_strip_is_full_plays_at_each_timing():
    plays = play_many(inputs(below_line=0.4 * INCH))
    shown = strip(plays)
    assert len(shown) == 81 == len(STRIP)
    for k in (25, 40, 47):
        one = play(inputs(below_line=0.4 * INCH, timing=STRIP[k]))
        assert shown.kind[k] == one.result.outcome.kind
        assert shown.exit_speed[k] == pytest.approx(one.result.collision.exit_speed, rel=1e-9)
    assert shown.kind[0] == "miss" == shown.kind[-1]


def test_timing_range_reads_the_stretch_nearest_to_on_time():
    good = np.zeros(81, bool)
    good[[5, 6, 38, 39, 40, 41, 60]] = True
    assert timing_range(STRIP, good) == pytest.approx((-0.002, 0.001))
    good[40] = False
    assert timing_range(STRIP, good) == pytest.approx((-0.002, -0.001))  # of two as near, the early one
    assert timing_range(STRIP, np.zeros(81, bool)) is None
    assert timing_range(STRIP, np.ones(81, bool)) == pytest.approx((-0.040, 0.040))


def test_timing_windows_nest():
    """Touch holds fair, fair holds solid; a solid hit is fair and within a tenth of the best exit speed."""
    shown = strip(play_many(inputs(below_line=0.4 * INCH)))
    touch, fair, good = (timing_range(STRIP, g) for g in (shown.meeting.touch, shown.fair, solid(shown)))
    assert touch[0] <= fair[0] <= good[0] <= 0 <= good[1] <= fair[1] <= touch[1]
    assert touch[0] < good[0] and good[1] < touch[1]
    best = shown.exit_speed[shown.fair].max()
    assert np.all(shown.exit_speed[solid(shown)] >= 0.9 * best)


def test_many_maps_at_once_are_the_maps_one_by_one():
    angles = np.array([4.0, 9.0, 15.0])
    together = contact_map(climbing(angles))
    for i, angle in enumerate(angles):
        alone = contact_map(climbing(angle))
        for name in ("depth", "below_line", "along_barrel", "timing"):
            assert getattr(alone, name)[0] == pytest.approx(getattr(together, name)[i], abs=1e-9, nan_ok=True)
        assert window(alone).length[0] == pytest.approx(window(together).length[i], abs=1e-9)
