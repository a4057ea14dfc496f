"""Words over the picture: never over bat or ball, never over each other, never cut off; from all views, at all times.

Where bat and ball are seen is worked out here from the play and the cameras, not asked of the page.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Locator, Page, expect
from scipy.spatial import ConvexHull

from plane3d.scene.parts import Scene
from plane3d.scene.render import pose
from plane3d.scene.view import project
from tests.browser.conftest import SIZES
from tests.browser.play_app import scene_of
from tests.browser.test_stage import box_of, inside, overlap, settle

pytestmark = pytest.mark.browser

VIEWS = ("catcher", "pitcher", "above", "side", "hitter")
TIMES = (-120, -40, -12, 0, 40)  # ms from contact
WORDS = """(stage) => {
  const picture = stage.querySelector(".picture"), { x: left, y: top } = picture.getBoundingClientRect()
  return [...stage.querySelectorAll(".labels span")]
    .filter((word) => word.checkVisibility({ visibilityProperty: true }))
    .map((word) => [word.innerText, word.getBoundingClientRect()])
    .filter(([, { width, height }]) => width && height)
    .map(([text, { x, y, width, height }]) =>
      [text, { x: x - left - picture.clientLeft, y: y - top - picture.clientTop, width, height }])
}"""


@pytest.fixture(scope="session")
def address(serve: Callable[..., str]) -> str:
    return serve("-m", "tests.browser.play_app")


def outlines(scene: Scene, view: str, t: float, size: tuple[int, int]) -> list[np.ndarray]:
    """Convex outlines (n, 2), px, of grip, barrel and ball as the camera sees them at time t."""
    found = []
    for mesh in scene.meshes:
        if mesh.name not in ("bat grip", "bat barrel", "ball"):
            continue
        pixels, before = project(scene.cameras[view], size, pose(scene.motion, mesh.moves_with, t, mesh.points))
        if before.all():
            found.append(pixels[ConvexHull(pixels).vertices])
    return found


def covers(box: dict[str, Any], outline: np.ndarray) -> bool:
    """Whether a box and a convex outline overlap: no line along an edge of either parts them."""
    corners = np.array(
        [[box["x"] + i * box["width"], box["y"] + j * box["height"]] for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))]
    )
    edges = np.vstack([np.roll(outline, -1, axis=0) - outline, [[1.0, 0.0], [0.0, 1.0]]])
    across = np.stack([-edges[:, 1], edges[:, 0]], axis=1)
    a, b = corners @ across.T, outline @ across.T
    return bool(np.all((a.min(axis=0) < b.max(axis=0)) & (b.min(axis=0) < a.max(axis=0))))


def words_of(stage: Locator) -> dict[str, dict[str, Any]]:
    """The words that are seen and their boxes, px from the upper left corner of the picture within its border."""
    return dict(stage.evaluate(WORDS))


def check_words(stage: Locator, scene: Scene, view: str, t: float) -> int:
    """Nothing is covered or cut off; gives the number of words seen."""
    canvas = box_of(stage.locator(".canvas"))
    size = (round(canvas["width"]), round(canvas["height"]))
    words = words_of(stage)
    things = outlines(scene, view, t, size)
    room = {"x": 0, "y": 0, "width": size[0], "height": size[1]}
    for text, box in words.items():
        assert inside(box, room), (view, t, text)
        assert not any(covers(box, outline) for outline in things), (view, t, text)
        assert not any(overlap(box, other) for name, other in words.items() if name != text), (view, t, text)
    return len(words)


@pytest.mark.parametrize(("bats", "sizes"), [("left", ("projector", "phone")), ("right", ("laptop",))])
def test_words_cover_neither_bat_nor_ball_nor_each_other(
    page: Page, address: str, bats: str, sizes: tuple[str, ...]
) -> None:
    page.goto(f"{address}?bats={bats}")
    stage = page.locator(".stage-root")
    expect(stage).to_have_attribute("data-scene", "1", timeout=20_000)
    scene = scene_of(bats)
    slider = stage.get_by_role("slider", name="Time")
    for width, height in (SIZES[size] for size in sizes):
        page.set_viewport_size({"width": width, "height": height})
        settle(page)
        seen = 0
        for k, view in enumerate(VIEWS):
            stage.press(str(k + 1))
            for ms in TIMES:
                slider.fill(str(ms))
                t = scene.motion.closest_time + ms / 1000
                expect(stage).to_have_attribute("data-clock", f"{t:.6f}")
                expect(stage).to_have_attribute("data-view", view)
                seen += check_words(stage, scene, view, t)
        assert seen > 4 * len(VIEWS) * len(TIMES), width  # most are seen most of the time


def test_a_box_over_an_outline_is_told_from_one_beside_it() -> None:
    """The check itself: a slanted bar and boxes on, beside and in the bend of it (plane geometry)."""
    bar = np.array([[0.0, 0.0], [10.0, 10.0], [9.0, 11.0], [-1.0, 1.0]])
    assert covers({"x": 4, "y": 4, "width": 3, "height": 3}, bar)
    assert not covers({"x": 6, "y": 0, "width": 3, "height": 3}, bar)
    assert not covers({"x": 20, "y": 20, "width": 3, "height": 3}, bar)


def test_words_stay_clear_while_it_plays(page: Page, address: str) -> None:
    page.goto(address)
    stage = page.locator(".stage-root")
    expect(stage).to_have_attribute("data-scene", "1", timeout=20_000)
    scene = scene_of()
    stage.get_by_role("slider", name="Time").fill("-40")
    stage.locator("select").select_option("0.01")
    stage.get_by_role("button", name="Play").click()
    for _ in range(4):
        page.wait_for_timeout(300)
        stage.press(" ")  # rest: words and clock belong together
        settle(page)
        t = float(stage.get_attribute("data-clock") or "nan")
        check_words(stage, scene, "catcher", t)
        stage.press(" ")
