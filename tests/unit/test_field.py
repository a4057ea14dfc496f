"""Fair or foul, the fence, and the names of what happened: rule-book cases and the edges of the launch bands."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.frames import direction
from plane3d.physics.field import FLY, GROUND, LINE, fence_distance, is_fair, kind_of_hit, plate_corners
from plane3d.play import play_many
from plane3d.units import DEGREE, FOOT, INCH, MPH
from tests.cases import FIELD, inputs

BASE = 90 * FOOT


def fair(x, y, vx=0.0, vy=20.0):
    """Whether a ball coming down at (x, y) feet, moving (vx, vy) m/s over the ground, is fair."""
    landing = np.array([[x * FOOT, y * FOOT, 0.0]])
    return bool(is_fair(landing, np.array([[vx, vy, -10.0]]), BASE)[0])


@pytest.mark.parametrize("side", [1, -1], ids=["first base", "third base"])
@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [(0, 300, True), (150, 200, True), (199, 200, True), (200, 200, True), (201, 200, False), (250, 40, False)],
)
def test_a_ball_beyond_the_bases_is_judged_where_it_lands(side, x, y, expected):
    """Rule book: a fly landing on or between the lines beyond first or third is fair, whatever it does next."""
    for vx in (-15.0, 0.0, 15.0):
        assert fair(side * x, y, side * vx) is expected


@pytest.mark.parametrize("side", [1, -1], ids=["first base", "third base"])
def test_a_bounce_before_the_base_is_judged_where_it_passes_the_base(side):
    """Rule book: a ball bounding past first or third on or over fair ground is fair, else foul."""
    assert fair(side * 30, 40, side * 5.0, 30.0) is True  # stays inside
    assert fair(side * 30, 40, side * 40.0, 20.0) is False  # lands fair, rolls foul before the base
    assert fair(side * 41, 40, side * -20.0, 30.0) is True  # lands foul, comes back before the base
    assert fair(side * 60, 30, side * 10.0, 10.0) is False


def test_the_base_bag_decides():
    """The same roll across the line: foul if it crosses before the base, fair if after."""
    before, after = (fair(55.0 * share, 57.0 * share, 12.0, 10.0) for share in (0.3, 1.0))
    assert (before, after) == (False, True)


def test_a_ball_that_never_passes_a_base():
    assert fair(0.0, -20.0, 0.0, -10.0) is False  # behind the plate and going back
    assert fair(-5.0, 10.0, 0.0, -3.0) is False  # rolling on straight, it goes foul behind the plate
    assert fair(0.0, 30.0, 0.0, 10.0) is True  # a roller up the middle


@pytest.mark.parametrize("side", [1, -1], ids=["first base", "third base"])
def test_a_roll_is_judged_at_the_base_to_the_inch(side):
    """Out over the line it is fair if that is past the base (90 ft up the line), else foul; back in, the other way."""
    for up_line, expected in ((89.9, False), (90.1, True)):
        x = y = up_line / np.sqrt(2)
        for speed, way in ((20, 10), (20, 0.5), (0.4, 10)):  # fast or slow, from afar or from near the base
            assert fair(side * (x - way), y - way / 2, side * speed, speed / 2) is expected
            assert fair(side * (x - way / 2), y - way, side * speed / 2, speed) is not expected


def test_a_roll_on_the_line_is_fair():
    assert fair(20, 20, 8.0, 8.0) is True
    assert fair(-20, 20, -0.5, 0.5) is True  # a slow roller
    assert fair(90.001 / np.sqrt(2), 90.001 / np.sqrt(2), 0.0, 0.0) is True  # at rest on the bag


def test_a_roll_across_the_middle_is_judged_on_the_side_it_goes_to():
    for x in (-1.0, 0.0, 1.0):
        assert fair(x, 80, 30.0, 20.0) is True  # passes first base well inside the line
        assert fair(x, 80, -30.0, 20.0) is True  # third base
        assert fair(x, 10, -30.0, 20.0) is False  # crosses the line to third before the base


def test_foul_lines_stand_at_45_degrees():
    """Rule book 2.01: the lines through first and third; a landing exactly on one is fair."""
    for angle, expected in ((45.0, True), (44.9, True), (45.1, False), (-45.0, True), (-45.1, False)):
        x, y = 250 * np.sin(angle * DEGREE), 250 * np.cos(angle * DEGREE)
        assert fair(x, y) is expected


def test_home_plate_is_the_one_of_the_rule_book():
    """Rule book 2.02: a 17-inch square with two corners cut, so that one side is 17, two are 8.5 and two 12 inches."""
    corners = plate_corners() / INCH
    sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    assert sides == pytest.approx([12, 8.5, 17, 8.5, 12], abs=0.03)  # the rule book's figures do not close exactly
    assert corners[0] == pytest.approx([0, 0])
    assert corners[:, 0] == pytest.approx([0, 8.5, 8.5, -8.5, -8.5])
    assert corners[[2, 3], 1] == pytest.approx(17)


def test_fence_swells_from_the_lines_to_centre():
    angles = np.array([-50, -45, -20, 0, 20, 45, 50]) * DEGREE
    fence = fence_distance(angles, 100.0, 120.0)
    assert fence[[0, 1, 3, 5, 6]] == pytest.approx([100, 100, 120, 100, 100])
    assert fence[2] == pytest.approx(fence[4])
    assert 100 < fence[2] < 120


def kind(launch_deg, bearing_deg=0.0, is_fair_ball=True, touch=True, side=1.0, pitch=(0.0, -35.0, -3.0)):
    way = 35.0 * direction(bearing_deg * DEGREE, np.array([launch_deg * DEGREE]))
    opposite = np.array([side * bearing_deg * DEGREE])
    asked = np.array([touch]), np.array([is_fair_ball]), np.array([launch_deg * DEGREE])
    return str(kind_of_hit(*asked, opposite, way, np.array([pitch]))[0])


@pytest.mark.parametrize(
    ("launch", "name"),
    [
        (-30, "ground-ball"), (9.99, "ground-ball"), (10.01, "line-drive"), (24.99, "line-drive"), (25.01, "fly-ball"),
        (49.99, "fly-ball"), (50.01, "pop-up"), (85, "pop-up"),
    ],
)  # fmt: skip
def test_launch_bands(launch, name):
    """Common practice (read in a league glossary and two other pages): 10, 25 and 50 degrees."""
    assert kind(launch) == name


def test_a_launch_on_the_edge_of_two_bands_is_in_the_upper_one():
    """Our own choice; the glossary does not say."""
    edges = np.array([GROUND, LINE, FLY])
    way, pitch = np.tile([0.0, 30.0, 10.0], (3, 1)), np.tile([0.0, -35.0, -3.0], (3, 1))
    names = kind_of_hit(np.ones(3, bool), np.ones(3, bool), edges, np.zeros(3), way, pitch)
    assert list(names) == ["line-drive", "fly-ball", "pop-up"]


def test_a_fair_ball_is_named_by_its_launch_wherever_it_goes():
    for bearing in (-44, -1, 0, 1, 44):
        assert kind(15, bearing) == "line-drive"
    assert kind(-40, 180) == "ground-ball"  # off the plate backward, and yet fair


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_fouls_are_named_by_the_hitters_side(side):
    for bearing in (46, 60, 89.9):  # just forward is not back
        assert kind(20, side * -bearing, False, side=side) == "foul-pull"  # third-base side for a right-handed hitter
        assert kind(20, side * bearing, False, side=side) == "foul-opposite"
    assert kind(20, side * 90.1, False, side=side) == "foul-back"
    assert kind(60, 180, False, side=side) == "foul-back"
    assert kind(20, 180, False, side=side) == "foul-back"
    assert kind(0, 0, touch=False, side=side) == "miss"


def test_a_foul_tip_has_hardly_turned():
    """Less than 15 degrees from its incoming line (our own line between a tip and a ball fouled back)."""
    descent = np.degrees(np.arctan2(-3.0, 35.0))
    assert kind(descent + 14, 180, False) == "foul-tip"
    assert kind(descent + 16, 180, False) == "foul-back"


def test_a_foul_tip_is_told_by_direction_alone():
    """A slow one beside a fast one, and the other way round."""
    pitch = np.array([[0.0, -40.0, 0.0], [0.0, -0.5, 0.0]])
    way = np.array([[0.0, -0.1, 0.01], [0.0, -50.0, 5.0]])
    no, zero = np.zeros(2, bool), np.zeros(2)
    assert list(kind_of_hit(~no, no, zero, zero, way, pitch)) == ["foul-tip", "foul-tip"]
    assert list(kind_of_hit(~no, no, zero, zero, way * [1, 1, 10], pitch)) == ["foul-back", "foul-back"]


def test_over_the_fence_needs_height_at_the_fence_and_fair_ground():
    low, high = (inputs(setting={"field": field}, below_line=0.9 * INCH, bat_speed=80 * MPH) for field in fences())
    assert play_many(low).batted.over_fence[0]
    assert not play_many(high).batted.over_fence[0]
    foul = play_many(inputs(setting={"field": fences()[0]}, bat_direction=-40 * DEGREE, below_line=0.9 * INCH))
    assert not foul.batted.over_fence[0] and not foul.fair[0]


def fences():
    """A small field with a low fence, and the same behind a wall nothing clears."""
    near = {"fence_line": 70.0, "fence_centre": 80.0}
    return type(FIELD)(BASE, fence_height=2.0, **near), type(FIELD)(BASE, fence_height=60.0, **near)
