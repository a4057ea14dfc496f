"""The stage in a real browser: what is seen, what turns and plays, and what is said to the server meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import LAPTOP, SIZES, Watch
from tests.browser.pixels import Picture, changed, picture, share
from tests.scene.fixture import CONTACT, END, GREEN, ORANGE, START

pytestmark = pytest.mark.browser

STILL = 300  # ms without a frame: nothing is moving


@pytest.fixture(scope="session")
def address(serve: Callable[..., str]) -> str:
    return serve("-m", "tests.browser.stage_app")


@pytest.fixture(scope="module")
def page(visited: Page, address: str) -> Page:
    """One visit for all tests that leave the scene as it is."""
    opened(visited, address)
    return visited


@pytest.fixture
def stage(page: Page, watch: Watch) -> Locator:
    """The stage on its first scene."""
    return from_catcher(page)


def opened(page: Page, address: str) -> Locator:
    """The stage with its first scene drawn."""
    page.goto(address)
    root = page.locator(".stage-root")
    expect(root).to_have_attribute("data-scene", "1", timeout=20_000)
    settle(page)
    return root


def from_catcher(page: Page) -> Locator:
    """The stage at laptop size, still, seen from behind the catcher at the contact."""
    page.set_viewport_size(LAPTOP)
    root = page.locator(".stage-root")
    root.press("ArrowLeft")  # which also stops what plays
    root.get_by_role("button", name="Go to contact").click()
    root.press("1")
    settle(page)
    return root


def settle(page: Page) -> None:
    """Wait until no frame has been drawn for a while."""
    page.locator(".stage-root").evaluate(
        """(root, still) => new Promise((done) => {
          let seen = null, since = 0
          const look = (now) => {
            if (root.dataset.frame !== seen) { seen = root.dataset.frame; since = now }
            if (now - since > still) done()
            else requestAnimationFrame(look)
          }
          requestAnimationFrame(look)
        })""",
        STILL,
    )


def number(stage: Locator, name: str) -> float:
    return float(stage.get_attribute(f"data-{name}") or "nan")


def drag(page: Page, area: Locator, dx: float, dy: float) -> None:
    box = area.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx, y + dy, steps=6)
    page.mouse.up()


def test_first_picture_shows_the_contact_and_the_words(stage: Locator) -> None:
    seen = picture(stage.locator(".canvas"))
    assert 0.0005 < share(seen, ORANGE) < 0.005
    assert 0.002 < share(seen, GREEN) < 0.01
    assert number(stage, "clock") == pytest.approx(CONTACT, abs=1e-6)
    expect(stage.locator("output")).to_have_text("At contact")
    expect(stage.get_by_text("Pitch line", exact=True)).to_be_visible()
    expect(stage.get_by_text("0.0 cm below the line")).to_be_visible()
    expect(stage.get_by_text("Behind the catcher")).to_be_hidden()


def test_turning_changes_the_picture_and_says_nothing_to_the_server(page: Page, stage: Locator, watch: Watch) -> None:
    canvas = stage.locator(".canvas")
    before, said = picture(canvas), len(watch.sent)
    drag(page, canvas, 250, -60)
    settle(page)
    after = picture(canvas)
    assert changed(before, after) > 0.02
    assert 0.001 < share(after, ORANGE) < 0.05
    assert len(watch.sent) == said
    page.keyboard.press("0")
    settle(page)
    assert changed(before, picture(canvas)) < 0.001


def test_wheel_and_two_fingers_come_nearer(page: Page, stage: Locator, watch: Watch) -> None:
    canvas = stage.locator(".canvas")
    said, far = len(watch.sent), share(picture(canvas), ORANGE)
    page.mouse.move(683, 420)
    page.mouse.wheel(0, -600)
    settle(page)
    near = share(picture(canvas), ORANGE)
    assert near > 1.3 * far
    stage.press("Home")
    settle(page)
    fingers = page.context.new_cdp_session(page)
    for kind, reach in (("touchStart", 60), ("touchMove", 100), ("touchMove", 140), ("touchEnd", None)):
        points = [] if reach is None else [{"x": 683 + s * reach, "y": 420, "id": i} for i, s in enumerate((-1, 1))]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    settle(page)
    assert share(picture(canvas), ORANGE) > 1.3 * far
    assert len(watch.sent) == said


def test_views_by_button_key_and_from_python(page: Page, stage: Locator, watch: Watch) -> None:
    canvas = stage.locator(".canvas")
    pictures = {"catcher": picture(canvas)}
    said = len(watch.sent)
    for words, name in (("Above", "above"), ("Open side", "side"), ("Hitter’s eyes", "hitter")):
        button = stage.get_by_role("button", name=words, exact=True)
        button.click()
        expect(stage).to_have_attribute("data-view", name)
        expect(button).to_have_attribute("aria-pressed", "true")
        settle(page)
        pictures[name] = picture(canvas)
        assert all(changed(seen, pictures[name]) > 0.02 for other, seen in pictures.items() if other != name)
    stage.press("2")
    expect(stage).to_have_attribute("data-view", "pitcher")
    assert len(watch.sent) == said
    page.get_by_role("button", name="Look from above").click()
    expect(stage).to_have_attribute("data-view", "above")


def test_stepping_and_scrubbing(page: Page, stage: Locator, watch: Watch) -> None:
    said, reading = len(watch.sent), stage.locator("output")
    stage.press("ArrowLeft")
    expect(reading).to_have_text("1.0 ms before contact")
    stage.get_by_role("button", name="Step forward 1 ms").click()
    expect(reading).to_have_text("At contact")
    stage.get_by_role("button", name="Step back 1 ms").click()
    expect(reading).to_have_text("1.0 ms before contact")
    stage.press("ArrowRight")
    expect(reading).to_have_text("At contact")
    slider = stage.get_by_role("slider", name="Time")
    slider.press("ArrowRight")
    expect(reading).to_have_text("1.0 ms after contact")
    slider.fill("-120")
    expect(reading).to_have_text("120 ms before contact")
    stage.get_by_role("button", name="Go to contact").click()
    expect(stage).to_have_attribute("data-clock", f"{CONTACT:.6f}")
    assert len(watch.sent) == said


def test_bat_and_ball_move_with_the_clock(page: Page, stage: Locator) -> None:
    stage.get_by_role("button", name="Above").click()
    settle(page)
    at_contact = picture(stage.locator(".canvas"))
    stage.get_by_role("slider", name="Time").fill("-40")
    settle(page)
    assert 0.002 < changed(at_contact, picture(stage.locator(".canvas"))) < 0.2


def test_lights_stand_still_while_the_viewer_moves(page: Page, stage: Locator) -> None:
    shades = []
    for view in ("Catcher", "Above"):
        stage.get_by_role("button", name=view, exact=True).click()
        settle(page)
        shades.append(plate_shade(picture(stage.locator(".canvas"))))
    assert shades[0] == pytest.approx(shades[1], abs=2)


def plate_shade(seen: Picture) -> int:
    """The commonest plain grey: the plate is the only large flat white thing."""
    spread = np.ptp(seen.astype(int), axis=-1)
    grey = seen[..., 0][(spread <= 2) & (seen[..., 0] > 100) & (seen[..., 0] < 245)]
    return int(np.bincount(grey).argmax())


def test_nothing_is_drawn_while_nothing_changes(page: Page, stage: Locator) -> None:
    frames = number(stage, "frame")
    page.wait_for_timeout(600)
    assert number(stage, "frame") == frames


def test_a_lost_surface_is_said_and_comes_back(page: Page, stage: Locator) -> None:
    before = picture(stage.locator(".canvas"))
    stage.locator("canvas").evaluate(
        """c => {
          window.loss = c.getContext('webgl2').getExtension('WEBGL_lose_context')
          window.loss.loseContext()
        }"""
    )
    expect(stage.get_by_role("alert")).to_contain_text("The graphics system stopped the 3-D picture.")
    page.evaluate("window.loss.restoreContext()")
    expect(stage.get_by_role("alert")).to_be_hidden()
    settle(page)
    assert changed(before, picture(stage.locator(".canvas"))) < 0.001


def test_play_stops_at_contact_and_goes_on_to_the_end(fresh: Page, address: str, watch: Watch) -> None:
    stage = opened(fresh, address)
    said, frames = len(watch.sent), number(stage, "frame")
    stage.locator("select").select_option("0.25")
    stage.get_by_role("button", name="Play").click()
    expect(stage).to_have_attribute("data-playing", "true")
    assert START <= number(stage, "clock") < CONTACT
    expect(stage).to_have_attribute("data-playing", "false", timeout=10_000)
    assert number(stage, "clock") == pytest.approx(CONTACT, abs=1e-6)
    assert number(stage, "frame") > frames + 10
    stage.press(" ")
    expect(stage).to_have_attribute("data-playing", "true")
    expect(stage).to_have_attribute("data-playing", "false", timeout=10_000)
    assert number(stage, "clock") == pytest.approx(END, abs=1e-6)
    expect(stage.locator("output")).to_have_text("200 ms after contact")
    assert len(watch.sent) == said


def test_a_change_sends_little_and_keeps_camera_and_clock(fresh: Page, address: str, watch: Watch) -> None:
    before = len(watch.received)
    stage = opened(fresh, address)
    first = watch.received[before:]
    stage.get_by_role("button", name="Pitcher").click()
    stage.press("ArrowLeft")
    fresh.locator(".noUi-handle").press("ArrowRight")
    expect(stage).to_have_attribute("data-scene", "2")
    expect(stage.get_by_text("0.5 cm below the line")).to_be_visible()
    expect(stage).to_have_attribute("data-view", "pitcher")
    expect(stage.locator("output")).to_have_text("1.0 ms before contact")
    change = watch.received[before + len(first) :]
    assert sum(map(len, change)) < 0.4 * sum(map(len, first))
    fresh.locator("input[type=checkbox]").check()
    expect(stage).to_have_attribute("data-scene", "3")
    stage.press("ArrowRight")
    expect(stage.locator("output")).to_have_text("At closest pass")
    canvas = stage.locator("canvas").element_handle()  # a stage taken away gives its surface back
    fresh.get_by_role("button", name="Take the stage away").click()
    fresh.wait_for_function("c => !c.isConnected && c.getContext('webgl2').isContextLost()", arg=canvas)


def test_the_clock_is_reported_at_rest_when_asked(fresh: Page, address: str, watch: Watch) -> None:
    fresh.goto(f"{address}?report")
    stage = fresh.locator(".stage-root")
    expect(stage).to_have_attribute("data-scene", "1", timeout=20_000)
    stage.press("ArrowLeft")
    expect(fresh.get_by_text("Python's clock: 0.419")).to_be_visible()
    said = len(watch.sent)
    stage.press(" ")
    expect(fresh.get_by_text("Python's clock: 0.42", exact=True)).to_be_visible()
    assert len(watch.sent) - said <= 3  # one report and the answers to what the server says of it


def test_no_webgl_is_said_in_words(fresh: Page, address: str) -> None:
    fresh.add_init_script(
        """const give = HTMLCanvasElement.prototype.getContext
        HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
          return kind.startsWith("webgl") ? null : give.call(this, kind, ...rest)
        }"""
    )
    fresh.goto(address)
    expect(fresh.get_by_text("WebGL is missing or switched off")).to_be_visible(timeout=20_000)


@pytest.mark.parametrize("size", SIZES)
def test_words_and_controls_stay_inside(page: Page, stage: Locator, size: str) -> None:
    width, height = SIZES[size]
    page.set_viewport_size({"width": width, "height": height})
    settle(page)
    picture_box = box_of(stage.locator(".picture"))
    words = [box_of(word) for word in stage.locator(".labels span").all() if word.is_visible()]
    assert len(words) == 2, words
    assert all(inside(word, picture_box) for word in words)
    assert not overlap(*words)
    window = {"x": 0, "y": 0, "width": width, "height": height}
    for control in stage.locator("button, select, input, output").all():
        assert inside(box_of(control), window), control.evaluate("e => e.outerHTML")


def box_of(part: Locator) -> dict[str, Any]:
    box = part.bounding_box()
    assert box is not None
    return dict(box)


def overlap(a: dict[str, Any], b: dict[str, Any]) -> bool:
    return all(
        a[at] < b[at] + b[length] and b[at] < a[at] + a[length] for at, length in (("x", "width"), ("y", "height"))
    )


def inside(box: dict[str, Any], outer: dict[str, Any]) -> bool:
    slack = 1  # px, rounding
    return all(
        box[at] >= outer[at] - slack and box[at] + box[length] <= outer[at] + outer[length] + slack
        for at, length in (("x", "width"), ("y", "height"))
    )
