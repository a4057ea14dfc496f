"""The file of a scene, opened from a folder with no network: seen, turned, played, asked and answered."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from apps.scene_page import lesson_page, scene_page
from plane3d.lesson import load_lesson, scenarios_folder
from plane3d.scenario import load, loads
from plane3d.scene.style import BATTED_BALL, PITCH_LINE
from tests.browser.conftest import SIZES
from tests.browser.pixels import changed, picture, share
from tests.browser.test_accessibility import OPTIONS, told
from tests.browser.test_stage import settle

pytestmark = pytest.mark.browser

HARM = '</script><script>window.harmed = 1</script><img src=x onerror="window.harmed = 1">'
INCH = load(scenarios_folder() / "01-one-inch-under.toml").with_values({"title": f"A{HARM}", "notice": HARM})
LESSON = load_lesson(scenarios_folder() / "staying-on-the-pitch.toml")
Opens = Callable[[str, str], Page]


@pytest.fixture
def opens(chromium: Browser, tmp_path: Path) -> Iterator[Opens]:
    """Opens a text as a file at a size of screen, offline; at the end nothing but the file was asked for."""
    windows, asked, wrong = [], [], []
    path = tmp_path / "scene.html"

    def open_(text: str, size: str) -> Page:
        path.write_text(text, encoding="utf-8")
        width, height = SIZES[size]
        window = chromium.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
        windows.append(window)
        window.set_offline(True)
        page = window.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
        page.goto(path.as_uri())
        page.locator(".stage-root[data-frame]").wait_for(timeout=20_000)
        settle(page)
        return page

    yield open_
    for window in windows:
        window.close()
    assert [url for url in asked if not url.startswith("blob:")] == [path.as_uri()]
    assert wrong == []


def middle(area: Locator) -> tuple[float, float]:
    box = area.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_scene_turns_and_plays_with_no_network(opens: Opens) -> None:
    page = opens(scene_page([INCH], INCH.title), "laptop")
    stage, canvas = page.locator(".stage-root"), page.locator(".canvas")
    before = picture(canvas)
    assert share(before, PITCH_LINE) > 0.0005 and share(before, BATTED_BALL) > 0.0005
    x, y = middle(canvas)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 120, y + 30, steps=5)
    page.mouse.up()
    settle(page)
    assert changed(before, picture(canvas)) > 0.05
    stage.locator("select").select_option("0.25")
    stage.locator("button.play").click()  # from the release, up to contact
    expect(stage).to_have_attribute("data-playing", "true")
    expect(stage.locator("output")).to_have_text("At contact", timeout=30_000)
    expect(stage).to_have_attribute("data-playing", "false")
    expect(page.locator("#numbers")).to_contain_text("Exit speed")
    assert page.locator("h1").inner_text() == INCH.question
    assert page.evaluate("window.harmed") is None and page.locator(".answer .notice").inner_text() == HARM
    with page.expect_download() as download:
        page.locator(".save").click()
    assert loads(Path(download.value.path()).read_text(encoding="utf-8")) == INCH
    response = Axe().run(page, options=OPTIONS).response
    assert response["passes"] and told(response["violations"]) == []


def test_a_lesson_asks_and_answers_under_a_finger(opens: Opens) -> None:
    page = opens(lesson_page(LESSON, language="es", theme="dark"), "phone")
    stage, canvas, answer = page.locator(".stage-root"), page.locator(".canvas"), page.locator(".answer")
    expect(page.locator(".count")).to_have_text("1 de 7")
    page.locator(".next").tap()
    expect(page.locator(".count")).to_have_text("2 de 7")
    expect(answer).to_be_hidden()
    asked = picture(canvas)
    assert share(asked, BATTED_BALL) < 0.0002
    page.locator(".choices button").nth(1).tap()
    expect(page.locator('.choices [aria-pressed="true"]')).to_have_count(1)
    page.locator(".reveal").tap()
    expect(page.locator(".result")).to_be_in_viewport()
    expect(page.locator(".choices .right")).to_contain_text("Más corta")
    expect(stage.locator("output")).to_contain_text("después del contacto", timeout=30_000)  # it flew on by itself
    stage.locator("button.play").tap()
    settle(page)
    before = picture(canvas)
    assert share(before, BATTED_BALL) > 0.0005
    x, y = middle(canvas)
    finger = page.context.new_cdp_session(page)
    for kind, dx in (("touchStart", 0), ("touchMove", 40), ("touchMove", 90), ("touchEnd", None)):
        points = [] if dx is None else [{"x": x + dx, "y": y}]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    settle(page)
    assert changed(before, picture(canvas)) > 0.05
    page.locator(".back").tap()
    expect(answer).to_be_hidden()
    page.locator(".next").tap()
    expect(answer).to_be_visible()  # once shown, a step comes with its answer
    for _ in range(3):
        page.keyboard.press("PageDown")
    page.keyboard.press("b")
    expect(page.locator(".ribbon svg")).to_be_visible()
    response = Axe().run(page, options=OPTIONS).response
    assert response["passes"] and told(response["violations"]) == []
