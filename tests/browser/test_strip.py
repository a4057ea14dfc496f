"""The timing strip in a real browser: what is read off it, what dragging asks for, the ball it shows in the stage."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from plane3d.scene.strip import LOOKS, TimingStrip, describe_strip
from tests.browser.below_app import play_of
from tests.browser.conftest import LAPTOP, SIZES, Watch
from tests.browser.fitted import wait_until_fitted
from tests.browser.pixels import changed, picture
from tests.browser.test_stage import settle

pytestmark = pytest.mark.browser


@pytest.fixture(scope="session")
def address(serve: Callable[..., str]) -> str:
    return serve("-m", "tests.browser.below_app")


@pytest.fixture(scope="module")
def page(visited: Page, address: str) -> Page:
    """One visit for all tests that leave the swing as it is."""
    opened(visited, address)
    return visited


@pytest.fixture
def strip(page: Page, watch: Watch) -> Locator:
    """The strip of the first swing, on time."""
    page.set_viewport_size(LAPTOP)
    page.evaluate("scrollTo(0, 0)")
    root = page.locator(".strip-root")
    wait_until_fitted(page, root.locator(".plot > svg"), LAPTOP["width"])
    if root.get_attribute("data-timing") != "0":
        page.mouse.click(*column(root, 0))
        expect(page.get_by_text("Asked: 0", exact=True)).to_be_visible()
    page.mouse.move(5, 5)
    return root


def opened(page: Page, address: str) -> Locator:
    """The strip of the first swing, once all is drawn."""
    page.goto(address)
    expect(page.locator(".flat-root")).to_have_attribute("data-scene", "1", timeout=20_000)
    root = page.locator(".strip-root")
    expect(root).to_have_attribute("data-timing", "0")
    return root


@pytest.fixture(scope="module")
def described() -> TimingStrip:
    return describe_strip(play_of())


def column(strip: Locator, ms: int) -> tuple[float, float]:
    """The middle of a timing's column, on the page."""
    box = strip.locator(".plot").bounding_box()
    assert box is not None
    side = 16
    return box["x"] + side + (ms + 40.5) * (box["width"] - 2 * side) / 81, box["y"] + box["height"] / 2


def test_the_ribbon_shows_the_outcomes_in_order(strip: Locator, described: TimingStrip) -> None:
    runs = [kind for i, kind in enumerate(described.kinds) if i == 0 or described.kinds[i - 1] != kind]
    shown = [part.get_attribute("data-kind") for part in strip.locator("rect[data-kind]").all()]
    assert shown == runs
    words = [text.text_content() for text in strip.locator(".plot .outcome").all()]
    assert len(words) == len(runs)
    for kind, word in zip(runs, words, strict=True):
        assert word in {LOOKS[kind].word, LOOKS[kind].word.split()[-1], LOOKS[kind].letter}
    assert strip.locator(".legend li").count() == len(LOOKS) + 1


def test_hovering_reads_a_column_and_shows_its_ball(
    page: Page, strip: Locator, described: TimingStrip, watch: Watch
) -> None:
    expect(strip.locator(".line")).to_have_text(described.sentences[40])
    before, said = picture(page.locator(".canvas")), len(watch.sent)
    page.mouse.move(*column(strip, 12))
    expect(strip.locator(".line")).to_have_text(described.sentences[52])
    ghost = page.locator('.flat-root [data-part="ghost"]').first
    expect(ghost).to_be_attached()
    settle(page)
    assert changed(before, picture(page.locator(".canvas"))) > 0.0005
    page.mouse.move(*column(strip, -38))  # a miss has no flight
    expect(strip.locator(".line")).to_have_text(described.sentences[2])
    expect(ghost).not_to_be_attached()
    page.mouse.move(5, 5)
    expect(strip.locator(".line")).to_have_text(described.sentences[40])
    settle(page)
    assert changed(before, picture(page.locator(".canvas"))) < 0.001
    assert len(watch.sent) == said


def test_dragging_moves_the_marker_at_once_and_asks_for_the_latest(page: Page, strip: Locator) -> None:
    page.mouse.move(*column(strip, 0))
    page.mouse.down()
    for ms in (3, 6, 9, 12, 15):
        page.mouse.move(*column(strip, ms))
    expect(strip).to_have_attribute("data-timing", "15", timeout=200)
    page.mouse.up()
    expect(page.get_by_text("Asked: 15")).to_be_visible()
    expect(strip.get_by_role("slider", name="Timing")).to_have_attribute("aria-valuetext", "15 ms late")
    page.wait_for_timeout(1700)  # longer than the browser waits before it believes the server's older answer
    expect(strip).to_have_attribute("data-timing", "15")


def test_the_server_is_asked_for_the_latest_and_another_swing_keeps_the_timing(
    fresh: Page, address: str, watch: Watch
) -> None:
    page, strip = fresh, opened(fresh, address)
    said = len(watch.sent)
    page.mouse.move(*column(strip, 0))
    page.mouse.down()
    xs = [column(strip, ms)[0] for ms in range(1, 20)]
    strip.locator(".plot").evaluate(  # all at once, faster than any server answers
        """(plot, xs) => {
          for (const clientX of xs) plot.dispatchEvent(new PointerEvent("pointermove", { clientX }))
        }""",
        xs,
    )
    expect(page.get_by_text("Asked: 19")).to_be_visible()
    page.mouse.up()
    asked = [frame for frame in watch.sent[said:] if '"timing_ms"' in str(frame)]
    assert len(asked) == 2  # the first and the latest
    page.mouse.click(*column(strip, 1))
    expect(page.get_by_text("Asked: 1", exact=True)).to_be_visible()
    page.mouse.move(5, 5)
    page.locator(".noUi-handle").press("ArrowLeft")
    expect(strip.locator(".line")).to_have_text(describe_strip(play_of(below_in=0.5)).sentences[41])
    expect(strip).to_have_attribute("data-timing", "1")


def test_keys_move_the_marker(page: Page, strip: Locator) -> None:
    marker = strip.get_by_role("slider", name="Timing")
    for key, value in (("ArrowRight", 1), ("PageUp", 6), ("ArrowLeft", 5), ("Home", -40), ("End", 40)):
        marker.press(key)
        expect(marker).to_have_attribute("aria-valuenow", str(value))
        expect(page.get_by_text(f"Asked: {value}", exact=True)).to_be_visible()
    marker.press("ArrowRight")
    expect(marker).to_have_attribute("aria-valuenow", "40")
    assert marker.get_attribute("aria-valuemin") == "-40"
    assert marker.get_attribute("aria-valuemax") == "40"


def test_a_finger_moves_the_marker(page: Page, strip: Locator) -> None:
    strip.scroll_into_view_if_needed()
    x, y = column(strip, -9)
    page.touchscreen.tap(x, y)
    expect(page.get_by_text("Asked: -9", exact=True)).to_be_visible()
    expect(strip).to_have_attribute("data-timing", "-9")


def test_ranges_are_brackets_over_their_columns(strip: Locator, described: TimingStrip) -> None:
    for found in described.ranges:
        bracket = strip.locator(f'.bracket[data-range="{found.name}"]')
        x, width = bracket.evaluate(
            "e => [e.getBBox().x + e.ownerSVGElement.getBoundingClientRect().x, e.getBBox().width]"
        )
        half = (column(strip, 1)[0] - column(strip, 0)[0]) / 2
        first, last = (column(strip, round(1e3 * t))[0] for t in (found.first, found.last))
        assert x == pytest.approx(first - half, abs=0.1)
        assert x + width == pytest.approx(last + half, abs=0.1)
        expect(strip.get_by_text(found.words)).to_be_visible()


def test_nothing_is_clipped_at_any_size(page: Page, strip: Locator) -> None:
    for width, height in SIZES.values():
        check_nothing_clipped(page, strip, width, height)


def check_nothing_clipped(page: Page, strip: Locator, width: int, height: int) -> None:
    page.set_viewport_size({"width": width, "height": height})
    wait_until_fitted(page, strip.locator(".plot > svg"), width)
    for part in strip.locator("text, .marker, .line, .legend li").all():
        box = part.bounding_box()
        if box is None or not part.text_content():
            continue
        assert box["x"] >= -1, part.text_content()
        assert box["x"] + box["width"] <= width + 1, part.text_content()
    for text in strip.locator(".plot .outcome").all():
        box, run = text.bounding_box(), text.evaluate("e => e.previousElementSibling.getBoundingClientRect().width")
        assert box is None or not text.text_content() or box["width"] <= run + 8, text.text_content()  # 8 px of halo
