"""Placing on the field; wrong hands, mirrored axes and wrong places are noticed and said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from plane3d.errors import InputError, Plane3dError
from plane3d.measured.placing import CORNERS, Placing, by_axes, by_corners
from plane3d.measured.points import BatPoints
from plane3d.measured.swing import measure
from plane3d.measured.synthetic import sampled
from tests.cases import inputs

CONTACT = 0.5


def points_of(bats: str = "right") -> BatPoints:
    return sampled(inputs(bats=bats), 240.0, 0.003, 1, CONTACT)


def seen_in(points: BatPoints, placing: Placing) -> BatPoints:
    """The points along the axes of a file with this placing."""
    knob, tip = (end @ placing.turn + placing.rear for end in (points.knob, points.tip))
    return replace(points, knob=knob, tip=tip)


def refused(points: BatPoints, placing: Placing, bats: str = "right") -> str:
    with pytest.raises(InputError) as caught:
        measure(points, placing, bats, CONTACT)
    return str(caught.value)


@pytest.mark.parametrize("bats", ["right", "left"])
@pytest.mark.parametrize(
    "axes",
    [("first", "pitcher", "up"), ("pitcher", "up", "first"), ("third", "up", "pitcher"), ("up", "catcher", "third")],
)
def test_named_axes_and_plate_bring_the_bat_home(bats: str, axes: tuple[str, ...]) -> None:
    points, placing = points_of(bats), by_axes(axes, (1.0, -2.0, 3.0))
    back = placing.place(seen_in(points, placing))
    assert np.allclose(back.knob, points.knob) and np.allclose(back.tip, points.tip)
    measure(seen_in(points, placing), placing, bats, CONTACT)


def test_the_place_of_the_plate_is_in_the_unit_that_is_said() -> None:
    assert np.allclose(by_axes(plate=(10.0, 0.0, 0.0), unit="in").rear, [0.254, 0.0, 0.0])


@pytest.mark.parametrize(
    ("axes", "said"),
    [
        (("first", "pitcher", "north"), "axis north must be one of first, third"),
        (("first", "third", "up"), "must be three"),
        (("first", "up"), "must be three"),
    ],
)
def test_axes_that_span_nothing_are_refused(axes: tuple[str, ...], said: str) -> None:
    with pytest.raises(Plane3dError, match=said):
        by_axes(axes)


@pytest.mark.parametrize("left_out", list(CORNERS))
def test_four_corners_of_the_plate_place_the_file(left_out: str) -> None:
    turn, rear = Rotation.from_euler("xyz", [0.3, -1.1, 2.0]).as_matrix(), np.array([3.0, -1.0, 0.5])
    true = Placing(turn, rear)
    corners = {name: tuple((c @ turn + rear) / 0.0254) for name, c in CORNERS.items() if name != left_out}
    found = by_corners(corners, "in")
    assert np.allclose(found.turn, turn, atol=1e-9) and np.allclose(found.rear, rear, atol=1e-9)
    points = points_of()
    assert np.allclose(found.place(seen_in(points, true)).tip, points.tip, atol=1e-8)


def test_noise_in_the_corners_is_told() -> None:
    rng = np.random.default_rng(1)
    found = by_corners({name: tuple(c + 0.004 * rng.standard_normal(3)) for name, c in CORNERS.items()})
    assert 0.001 < found.off < 0.02


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda c: dict(list(c.items())[:3]), "3 corners of the plate are given; 4 are needed"),
        (lambda c: c | {"back": (0, 0, 0)}, "corner back must be one of"),
        (lambda c: {k: v / 0.0254 for k, v in c.items()}, "are the corners in inches"),
        (lambda c: {k: v * 1.5 for k, v in c.items()}, "instead of 0.432 m"),
        (lambda c: c | {"rear": c["front-first"], "front-first": c["rear"]}, "do not make a plate"),
        (lambda c: c | {"rear": (0.0, float("nan"), 0.0)}, "must be three numbers"),
    ],
)
def test_corners_that_make_no_plate_are_refused(change, said: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(Plane3dError, match=said):
        by_corners(change(dict(CORNERS)))


def test_the_other_hand_is_noticed() -> None:
    assert "the wrong way for a left-handed hitter; is the hitter right-handed" in refused(
        points_of(), by_axes(), "left"
    )


@pytest.mark.parametrize("bats", ["right", "left"])
def test_a_mirrored_axis_is_noticed(bats: str) -> None:
    text = refused(points_of(bats), by_axes(("third", "pitcher", "up")), bats)
    assert "an axis mirrored" in text and "left-handed)" in text


def test_axes_that_are_truly_left_handed_are_taken_and_said() -> None:
    placing = by_axes(("third", "pitcher", "up"))
    m = measure(seen_in(points_of(), placing), placing, "right", CONTACT)
    assert any("mirrored (left-handed)" in note for note in m.notes)


def test_corners_mirrored_are_noticed() -> None:
    swapped = {
        name.replace("first", "?").replace("third", "first").replace("?", "third"): tuple(c)
        for name, c in CORNERS.items()
    }
    assert "A mirrored axis looks like this too." in refused(points_of(), by_corners(swapped))


@pytest.mark.parametrize(
    ("placing", "said"),
    [
        (by_axes(("third", "catcher", "up")), "moves toward the catcher"),
        (by_axes(("first", "catcher", "down")), "under the ground"),
        (by_axes(plate=(3.0, 0.0, 0.0)), "m from the plate at contact"),
        (by_axes(plate=(0.0, 0.0, -3.0)), "m high at contact"),
    ],
)
def test_a_wrong_place_is_noticed(placing: Placing, said: str) -> None:
    assert said in refused(points_of(), placing)
