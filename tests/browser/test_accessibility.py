"""Every route looked over by axe-core, in both themes and languages, on a laptop and a phone: nothing serious.

In Spanish nothing is left in English, and nothing scrolls sideways at any size.

What a machine can find is about a third of what there is to find (common practice, no source); the rest is tested by
keyboard in the other tests here and looked at by eye.
"""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from tests.browser.conftest import SIZES, open_everything
from tests.browser.test_language import english_left

pytestmark = pytest.mark.browser

STEP = "lesson?lesson=why-an-inch-matters&step=6"  # its answer has the timing strip
ROUTES = {
    "page": "",  # with its menu open
    "compare": "compare",
    "video": "video",
    "answer": STEP,  # which stands below the question
    "end": STEP.replace("6", "7"),
    "lessons": "lesson",
    "document": "docs/model.md",
    "spread": "studies#part=spread&swings-spread=1000",
    "remedy": "studies#part=remedy",
    "target": "studies#part=target",
    "versus": "studies#part=versus",
    "sheet": "studies#part=sheet",
    "measured": "measured",
}
ANSWERED = "html[data-part]:not([data-stale]) .headline"
# What to wait for where there is no stage.
STAGELESS = {"end": ".list li", "lessons": ".list li", "document": "main h1", "measured": ".headline",
             "video": "canvas[role=application]"}  # fmt: skip
STAGELESS |= dict.fromkeys(("spread", "remedy", "target", "versus", "sheet"), ANSWERED)
ENGLISH, SPANISH = "en-US", "es-MX"
# Two ways for pages of much to do; where there are words alone, the narrow one.
WAYS = [(ENGLISH, "light", "laptop"), (SPANISH, "dark", "phone")]
TWICE = ("page", "compare", "video", "answer", "document", "spread", "measured")
CASES = [(route, *way) for route in ROUTES
         for way in (WAYS if route in TWICE else WAYS[1:])]  # fmt: skip
FITS = """() => document.documentElement.scrollWidth <= innerWidth
  && [...document.querySelectorAll(".studies .part *, .studies .head *")]
    .every((part) => part.getBoundingClientRect().right <= innerWidth + 1)"""
GRAVE = ("serious", "critical")
OPTIONS = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


def told(violations: list[dict[str, Any]]) -> list[str]:
    return [
        f"{found['impact']} {found['id']}: {node['target']} {node.get('failureSummary', '')}"
        for found in violations
        for node in found["nodes"]
        if found["impact"] in GRAVE
    ]


@pytest.mark.parametrize(("route", "language", "theme", "size"), CASES)
def test_nothing_serious(chromium: Browser, address: str, route: str, language: str, theme: str, size: str) -> None:
    width, height = SIZES[size]
    window = chromium.new_context(
        viewport={"width": width, "height": height},
        color_scheme=theme,
        locale=language,
        has_touch=size == "phone",
        reduced_motion="reduce",
    )
    page = window.new_page()
    page.goto(address + ROUTES[route])
    ready = STAGELESS.get(route, f'.stage-root[data-frame][data-theme="{theme}"]')
    page.locator(ready).first.wait_for(timeout=20_000)
    spoken = "" if route == "document" else f'[lang="{language[:2]}"]'  # a document has a language of its own
    page.locator(f'html[data-theme="{theme}"]{spoken}').wait_for()
    open_everything(page, route)
    page.wait_for_timeout(500)  # strip and flat views are laid out anew
    response = Axe().run(page, options=OPTIONS).response
    assert response["passes"], "axe-core looked at nothing"
    assert told(response["violations"]) == []
    if language == SPANISH and route != "document":
        for wide, high in SIZES.values():
            page.set_viewport_size({"width": wide, "height": high})
            page.wait_for_function(FITS)
            assert english_left(page) == []
    window.close()
