"""Cameras from marks of known points, against cameras that are known, and mistakes in marking."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from plane3d.constants import PLATE_FRONT_Y, PLATE_SIDE
from plane3d.measured.cameras import (
    CORNERS,
    NOISE,
    TOP,
    FixedCamera,
    MarksError,
    by_points,
    known_points,
    point_name,
    project,
    sight,
    solve_camera,
)
from plane3d.scene.parts import Camera
from plane3d.scene.view import project as seen_by

SIZE = (1920, 1080)
KNOWN = known_points(1.2)
VIEWS = {
    "side": Camera((5.2, 0.6, 1.1), (0.0, 0.6, 0.9), view_angle_deg=26.0),
    "catcher": Camera((0.3, -4.5, 1.6), (0.0, 0.5, 0.9), view_angle_deg=28.0),
    "front": Camera((1.0, 7.0, 1.5), (0.0, 0.5, 0.9), view_angle_deg=22.0),
    "high": Camera((-3.0, -4.0, 3.5), (0.0, 0.5, 0.7), view_angle_deg=28.0),
}


def marks(view: str, noise: float = 0.0, seed: int = 0) -> dict[str, Any]:
    pixels = seen_by(VIEWS[view], SIZE, np.array(list(KNOWN.values())))[0]
    return dict(zip(KNOWN, pixels + np.random.default_rng(seed).normal(0, noise, pixels.shape), strict=True))


def true_focal(view: str) -> float:
    return SIZE[1] / 2 / np.tan(np.radians(VIEWS[view].view_angle_deg) / 2)


@pytest.mark.parametrize("view", VIEWS)
def test_exact_marks_give_the_camera_exactly(view: str) -> None:
    found = solve_camera(KNOWN, marks(view), SIZE)
    assert found.place == pytest.approx(VIEWS[view].position, abs=1e-6)
    assert found.focal == pytest.approx(true_focal(view), rel=1e-6)
    assert found.misfit < 1e-6 and found.noise == NOISE
    inside = np.random.default_rng(1).uniform([-1, -1, 0], [1, 1.5, 2], (40, 3))
    assert found.project(inside) == pytest.approx(seen_by(VIEWS[view], SIZE, inside)[0], abs=1e-3)


@pytest.mark.parametrize("view", VIEWS)
def test_stated_errors_hold(view: str) -> None:
    """Squares of the true misses in stated errors: 1 on the average, 3 values in 60 draws, so within 0.6 and 1.6."""
    ratios = []
    for seed in range(60):
        found = solve_camera(KNOWN, marks(view, 1.0, seed), SIZE, focal=true_focal(view))
        ratios.append((found.place - VIEWS[view].position) / found.place_error)
    assert 0.4 < np.mean(np.square(ratios)) < 1.6


def test_a_lens_that_bends_is_found() -> None:
    """A wide view, marks to a tenth of a pixel: the radial term is told apart from the focal length."""
    values = np.array([*solve_camera(KNOWN, marks("catcher"), SIZE).values])
    values[3:] = 0.1, -2.2, 1.2, np.log(1100.0), -0.12
    pixels = project(values, SIZE, np.array(list(KNOWN.values())))
    noisy = pixels + np.random.default_rng(2).normal(0, 0.1, pixels.shape)
    found = solve_camera(KNOWN, dict(zip(KNOWN, noisy, strict=True)), SIZE, noise=0.1)
    error = np.sqrt(found.covariance[7, 7])
    assert error < 0.05 and abs(found.values[7] + 0.12) < 3 * error
    assert found.misfit < 0.2


def test_lines_of_sight_go_through_what_is_seen() -> None:
    values = np.array([1.2, -0.4, 0.3, 1.0, -4.0, 1.5, np.log(1500.0), -0.1])
    points = values[3:6] + 4.0 * sight(values, SIZE, np.random.default_rng(3).uniform(0, SIZE, (50, 2)))
    again = values[3:6] + 4.0 * sight(values, SIZE, project(values, SIZE, points))
    assert again == pytest.approx(points, abs=1e-5)


def test_the_derivative_by_points_is_that_of_the_pixels() -> None:
    values = np.array([1.2, -0.4, 0.3, 1.0, -4.0, 1.5, np.log(1500.0), -0.1])
    points = values[3:6] + 4.0 * sight(values, SIZE, np.random.default_rng(4).uniform(0, SIZE, (20, 2)))
    steps = 1e-5 * np.eye(3)
    numeric = [(project(values, SIZE, points + w) - project(values, SIZE, points - w)) / 2e-5 for w in steps]
    assert by_points(values, points) == pytest.approx(np.stack(numeric, axis=-1), rel=1e-5, abs=1e-3)


def test_the_known_points_are_the_rule_books_plate_and_a_stick() -> None:
    assert len(KNOWN) == 10
    assert KNOWN["first-front"] == pytest.approx([PLATE_SIDE, PLATE_FRONT_Y, 0.0])
    assert KNOWN["third-rear" + TOP] == pytest.approx([-PLATE_SIDE, PLATE_FRONT_Y - PLATE_SIDE, 1.2])
    assert point_name("rear" + TOP) == "top of the stick on the rear point of the plate"
    assert point_name("fence post") == "fence post"


def test_six_marks_are_enough_and_the_error_says_what_they_are_worth() -> None:
    few = {name: pixel for name, pixel in marks("side", 0.5).items() if TOP not in name or name == "rear" + TOP}
    found, full = solve_camera(KNOWN, few, SIZE), solve_camera(KNOWN, marks("side", 0.5), SIZE)
    assert np.linalg.norm(found.place_error) > 1.5 * np.linalg.norm(full.place_error)
    assert np.all(np.abs(found.place - VIEWS["side"].position) < 4 * found.place_error)


def test_points_behind_a_camera_are_not_seen() -> None:
    found: FixedCamera = solve_camera(KNOWN, marks("side"), SIZE)
    assert np.isnan(found.project(np.array([[9.0, 0.6, 1.0]]))).all()


# --- mistakes --------------------------------------------------------------------------------------------------------


def _without(given: Mapping[str, Any], *kept: str) -> dict[str, Any]:
    return {name: given[name] for name in kept}


def _swapped(given: Mapping[str, Any], one: str, two: str) -> dict[str, Any]:
    return {**given, one: given[two], two: given[one]}


GOOD = marks("catcher", 0.7)
CORNER_NAMES = list(CORNERS)
MISTAKES: dict[str, tuple[dict[str, Any], str]] = {
    "none": ({}, "0 known points are marked"),
    "too few": (_without(GOOD, *CORNER_NAMES[:4]), "4 known points are marked; at least 6"),
    "on a line": (_without(GOOD, "first-front", "first-front" + TOP) | {"third-front": GOOD["third-front"]}, "3 known"),
    "in a plane": (GOOD | {}, "one plane"),
    "outside": (GOOD | {"rear": (-20.0, 400.0)}, r"mark of the rear point of the plate \(-20, 400\) is outside"),
    "not a number": (GOOD | {"rear": (float("nan"), 1.0)}, "outside the picture"),
    "same place": (GOOD | {"rear": GOOD["first-rear"]}, "same place"),
    "swapped": (_swapped(GOOD, "first-front", "third-front"), "front corner .* first-base .* seem to be swapped"),
    "swapped tops": (_swapped(GOOD, "first-rear" + TOP, "rear" + TOP), "seem to be swapped"),
    "one far off": (
        GOOD | {"third-front" + TOP: GOOD["third-front" + TOP] + [60.0, 25.0]},
        "stick on the front corner",
    ),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_mistakes_in_marking_are_said_in_one_sentence(name: str) -> None:
    given, words = MISTAKES[name]
    known = KNOWN
    if name == "in a plane":
        known = {key: np.array([*point[:2], 0.0]) for key, point in KNOWN.items() if TOP not in key}
        known |= {"chalk": np.array([0.7, 0.0, 0.0])}
        given = {key: given[key] for key in CORNER_NAMES} | {"chalk": (900.0, 800.0)}
    with pytest.raises(MarksError, match=words) as told:
        solve_camera(known, given, SIZE)
    assert str(told.value).count("\n") == 0 and str(told.value).endswith(".")


def test_three_points_on_one_line_are_said() -> None:
    line = {f"mark {k}": np.array([0.0, 0.4 * k, 0.0]) for k in range(3)}
    with pytest.raises(MarksError, match="one line"):
        solve_camera(line, {name: (100.0 + 50 * k, 300.0) for k, name in enumerate(line)}, SIZE)


def test_left_and_right_exchanged_throughout_is_noticed() -> None:
    mirrored = {
        name.replace("first", "?").replace("third", "first").replace("?", "third"): p for name, p in GOOD.items()
    }
    with pytest.raises(MarksError):
        solve_camera(KNOWN, mirrored, SIZE)


@pytest.mark.parametrize("height", [0.0, -1.0, 40.0, float("nan")])
def test_the_sticks_height_is_checked(height: float) -> None:
    with pytest.raises(MarksError, match="stick"):
        known_points(height)
