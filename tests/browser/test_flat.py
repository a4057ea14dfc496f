"""The flat views hold the stage's own geometry: what they drew, read back and compared with the scene's arrays."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Locator, Page, expect

from plane3d.scene.describe import describe
from plane3d.scene.parts import Scene
from plane3d.units import FOOT
from tests.browser.below_app import play_of
from tests.browser.conftest import SIZES, Watch
from tests.browser.fitted import wait_until_fitted

pytestmark = pytest.mark.browser

DRAWN = 0.012  # px; paths are written with two decimals
ABOVE, SIDE, NEAR = 0, 1, 2
AXES = {ABOVE: ([1, 0, 0], [0, 1, 0]), SIDE: ([0, 1, 0], [0, 0, 1]), NEAR: ([0, 1, 0], [0, 0, 1])}
Array = NDArray[np.float64]


@pytest.fixture(scope="session")
def address(serve: Callable[..., str]) -> str:
    return serve("-m", "tests.browser.below_app")


@pytest.fixture(scope="module")
def page(visited: Page, address: str) -> Page:
    """One visit for all tests that leave the scene as it is."""
    opened(visited, address)
    return visited


@pytest.fixture
def flat(page: Page, watch: Watch) -> Locator:
    """The flat views of the first scene."""
    return page.locator(".flat-root")


def opened(page: Page, address: str) -> Locator:
    """The flat views of the first scene, once they are drawn."""
    page.goto(address)
    root = page.locator(".flat-root")
    expect(root).to_have_attribute("data-scene", "1", timeout=20_000)
    return root


@pytest.fixture(scope="module")
def scene() -> Scene:
    return describe(play_of())


def sheet(flat: Locator, which: int) -> Locator:
    return flat.locator(".sheet").nth(which)


def mapped(svg: Locator, points: Array, axes: tuple[list[int], list[int]]) -> Array:
    """Where points (n, 3) belong on a sheet with this scale and origin."""
    scale, x, y = (float(svg.get_attribute(f"data-{name}") or "nan") for name in ("scale", "x", "y"))
    right, up = np.array(axes, dtype=float)
    points = np.asarray(points, dtype=float)
    return np.stack([x + scale * points @ right, y - scale * points @ up], axis=-1)


def drawn(path: Locator) -> Array:
    """Points of a path, (n, 2)."""
    numbers = re.findall(r"-?\d+(?:\.\d+)?", path.get_attribute("d") or "")
    return np.array(numbers, dtype=float).reshape(-1, 2)


def test_lines_are_the_stage_s_arrays(flat: Locator, scene: Scene) -> None:
    for which, axes in AXES.items():
        svg = sheet(flat, which)
        for name in ("pitch line", "barrel path", "hand path", "contact window", "batted ball"):
            line = next(tube for tube in scene.tubes if tube.name == name)
            path = svg.locator(f'.line[data-part="{name}"]')
            assert np.abs(drawn(path) - mapped(svg, line.points, axes)).max() < DRAWN, (which, name)
            assert path.get_attribute("stroke") == line.color


def test_the_road_is_drawn_from_above(flat: Locator, scene: Scene) -> None:
    svg = sheet(flat, ABOVE)
    for name, css in (("straight way", ".line"), ("around", ".dimension")):
        points = next(tube for tube in scene.tubes if tube.name == name).points
        assert np.abs(drawn(svg.locator(f'{css}[data-part="{name}"]')) - mapped(svg, points, AXES[ABOVE])).max() < DRAWN
    shade = drawn(svg.locator(".shade"))
    start, end = mapped(svg, next(t for t in scene.tubes if t.name == "straight way").points, AXES[ABOVE])
    assert np.abs(shade[0] - start).max() < 0.1
    assert np.abs(shade[-1] - end).max() < DRAWN
    expect(flat.locator("figure").nth(ABOVE).get_by_text("in around the straight way")).to_be_visible()
    expect(flat.locator("figure").nth(ABOVE).get_by_text("Hinge opens 60 ms before contact")).to_be_visible()


def test_the_gap_is_dimensioned_to_scale(flat: Locator, scene: Scene) -> None:
    ends = next(tube for tube in scene.tubes if tube.name == "below the line").points
    for which in (SIDE, NEAR):
        svg = sheet(flat, which)
        (_, top), (_, bottom) = drawn(svg.locator('.dimension[data-part="below the line"]'))
        heights = mapped(svg, ends, AXES[which])[:, 1]
        assert [top, bottom] == pytest.approx(list(heights), abs=DRAWN)
        assert bottom > top  # the barrel is below the ball
        expect(flat.locator("figure").nth(which).get_by_text("1.0 in below the line")).to_be_visible()


def test_the_ruler_tells_the_scale(flat: Locator) -> None:
    svg = sheet(flat, ABOVE)
    d = svg.locator(".ruler").get_attribute("d") or ""
    length = float(re.search(r"h([\d.]+)", d).group(1))  # type: ignore[union-attr]
    assert length == pytest.approx(FOOT * float(svg.get_attribute("data-scale") or "nan"), abs=DRAWN)
    expect(svg.get_by_text("12 in")).to_be_visible()


def place(scene: Scene, body: str, time: float) -> tuple[Array, Array]:
    """Position and axis (+z turned) of a body at a time, by linear interpolation between samples."""
    motion = scene.motion
    position, turn = (getattr(motion, f"{body}_{what}").astype(float) for what in ("position", "rotation"))
    at = np.array([np.interp(time, motion.times, position[:, k]) for k in range(3)])
    w, x, y, z = (np.interp(time, motion.times, turn[:, k]) for k in range(4))
    axis = np.array([2 * (x * z + w * y), 2 * (y * z - w * x), 1 - 2 * (x * x + y * y)])
    return at, axis / np.linalg.norm(axis)


def test_bat_and_ball_stand_where_the_stage_has_them(page: Page, flat: Locator, scene: Scene, watch: Watch) -> None:
    said = len(watch.sent)
    page.get_by_role("button", name="Go to contact").click()
    for steps in range(4):
        time = scene.motion.closest_time - 0.010 * steps
        expect(flat).to_have_attribute("data-clock", f"{time:.6f}")
        for which in AXES:
            check_bodies(sheet(flat, which), scene, time, AXES[which])
        page.locator(".stage-root").press("Shift+ArrowLeft")
    assert len(watch.sent) == said


def check_bodies(svg: Locator, scene: Scene, time: float, axes: tuple[list[int], list[int]]) -> None:
    scale = float(svg.get_attribute("data-scale") or "nan")
    centre = [float(svg.locator(".ball").get_attribute(name) or "nan") for name in ("cx", "cy")]
    assert np.abs(centre - mapped(svg, place(scene, "ball", time)[0], axes)).max() < 2e-4 * scale
    knob, axis = place(scene, "bat", time)
    barrel = next(mesh for mesh in scene.meshes if mesh.name == "bat barrel").points.astype(float)
    stations = np.unique(barrel[:, 2])
    sides = drawn_sides(svg.locator(".moving .bat-barrel").first, len(stations))
    assert np.abs(sides.mean(axis=0) - mapped(svg, knob + stations[:, None] * axis, axes)).max() < 1e-3 * scale
    radii = np.array([np.hypot(*barrel[barrel[:, 2] == z, :2].T).max() for z in stations])
    assert np.abs(np.linalg.norm(sides[0] - sides[1], axis=-1) - 2 * radii * scale).max() < 0.03


def drawn_sides(path: Locator, stations: int) -> Array:
    """Both sides (2, stations, 2) of the first outline of a body, each from its low end to its high end."""
    first = (path.get_attribute("d") or "").split("z")[0]
    points = np.array(re.findall(r"-?\d+(?:\.\d+)?", first), dtype=float).reshape(-1, 2)
    return np.stack([points[:stations], points[stations:][::-1]])


def test_they_follow_a_slider_and_an_early_hinge_is_plain_from_above(fresh: Page, address: str) -> None:
    flat = opened(fresh, address)
    fresh.locator(".noUi-handle").press("ArrowRight")
    expect(flat).to_have_attribute("data-scene", "2")
    expect(flat.locator("figure").nth(SIDE).get_by_text("1.5 in below the line")).to_be_visible()
    svg, changed = sheet(flat, SIDE), describe(play_of(below_in=1.5))
    points = next(tube for tube in changed.tubes if tube.name == "barrel path").points
    assert np.abs(drawn(svg.locator('[data-part="barrel path"]')) - mapped(svg, points, AXES[SIDE])).max() < DRAWN
    around = sheet(flat, ABOVE).locator('.dimension[data-part="around"]')
    held = np.ptp(drawn(around), axis=0)
    fresh.locator("input[type=checkbox]").check()
    expect(flat.locator("figure").nth(ABOVE).get_by_text("Hinge opens 130 ms before contact")).to_be_visible()
    early = np.ptp(drawn(around), axis=0)
    assert np.hypot(*early) > 1.3 * np.hypot(*held)


def test_a_left_handed_hitter_is_seen_from_the_open_side_and_in_metric_units(fresh: Page, address: str) -> None:
    root = opened(fresh, f"{address}?bats=left&metric=1")
    svg, scene = sheet(root, SIDE), describe(play_of(bats="left"))
    points = next(tube for tube in scene.tubes if tube.name == "barrel path").points
    mirrored = ([0, -1, 0], [0, 0, 1])
    assert np.abs(drawn(svg.locator('[data-part="barrel path"]')) - mapped(svg, points, mirrored)).max() < DRAWN
    svg = sheet(root, ABOVE)
    length = float(re.search(r"h([\d.]+)", svg.locator(".ruler").get_attribute("d") or "").group(1))  # type: ignore[union-attr]
    assert length == pytest.approx(0.30 * float(svg.get_attribute("data-scale") or "nan"), abs=DRAWN)
    expect(svg.get_by_text("30 cm")).to_be_visible()
    expect(root.get_by_text("2.5 cm below the line").first).to_be_visible()
    expect(fresh.locator(".strip-root").get_by_text("80 km/h")).to_be_visible()


def test_words_stay_inside_and_apart_at_any_size(page: Page, flat: Locator) -> None:
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        wait_until_fitted(page, sheet(flat, NEAR).locator(".still"), width)
        check_words(flat, width)


def check_words(flat: Locator, width: int) -> None:
    for figure in flat.locator("figure").all():
        outer = figure.locator(".sheet").bounding_box()
        assert outer is not None
        assert 0 <= outer["x"] <= outer["x"] + outer["width"] <= width + 1
        boxes = [word.bounding_box() for word in figure.locator(".labels span").all() if word.is_visible()]
        assert boxes
        for i, box in enumerate(boxes):
            assert box is not None
            for at, length in (("x", "width"), ("y", "height")):
                assert outer[at] <= box[at] <= box[at] + box[length] <= outer[at] + outer[length]  # type: ignore[literal-required]
            for other in boxes[:i]:
                assert other is not None
                assert not all(
                    box[at] < other[at] + other[length] and other[at] < box[at] + box[length]  # type: ignore[literal-required]
                    for at, length in (("x", "width"), ("y", "height"))
                )
