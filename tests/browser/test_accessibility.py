"""Every route looked over by axe-core on a phone in Spanish and dark, some on a laptop in English and light too.

In Spanish nothing is left in English, and nothing scrolls sideways at any size.

What a machine can find is about a third of what there is to find (common practice, no source); the rest is tested by
keyboard in the other tests here and looked at by eye.
"""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.conftest import SIZES, open_everything
from tests.browser.test_language import english_left

pytestmark = pytest.mark.browser

LESSON = "lesson?lesson=why-an-inch-matters&step="
STAGE, LISTED = ".stage-root[data-frame]", ".list li"
ANSWERED = 'html[data-part="{}"]:not([data-stale]) .headline'
# What is looked at in one visit: a name, its address, and what to wait for. Addresses that differ in what follows the
# hash are one load.
VISITS: dict[str, list[tuple[str, str, str]]] = {
    "page": [("page", "", STAGE)],  # with its menu open
    "compare": [("compare", "compare", STAGE)],
    "video": [("video", "video", "canvas[role=application]")],
    "answer": [("answer", LESSON + "6", STAGE)],  # has the timing strip, and stands below the question
    "lessons": [("lessons", "lesson", LISTED)],
    "end": [("end", LESSON + "7", LISTED)],
    "document": [("document", "docs/model.md", "main h1")],
    "measured": [("measured", "measured", ".headline")],
    "studies": [
        (part, f"studies#part={part}&swings-spread=1000", ANSWERED.format(part))
        for part in ("spread", "remedy", "target", "versus", "sheet")
    ],
}
ENGLISH, SPANISH = "en-US", "es-MX"
# All in one way; in another what has most to do and most to read. What is found hardly depends on the language.
SOME = ("page", "compare", "answer", "document", "measured")
WAYS = ((SPANISH, "dark", "phone", tuple(VISITS)), (ENGLISH, "light", "laptop", SOME))
CASES = [(visit, *way) for *way, visits in WAYS for visit in visits]
FITS = """() => document.documentElement.scrollWidth <= innerWidth
  && [...document.querySelectorAll(".studies .part *, .studies .head *")]
    .every((part) => part.getBoundingClientRect().right <= innerWidth + 1)"""
GRAVE = ("serious", "critical")
OPTIONS = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],  # where each thing stands that is in order need not be worked out
}


def told(violations: list[dict[str, Any]]) -> list[str]:
    return [
        f"{found['impact']} {found['id']}: {node['target']} {node.get('failureSummary', '')}"
        for found in violations
        for node in found["nodes"]
        if found["impact"] in GRAVE
    ]


@pytest.mark.parametrize(("visit", "language", "theme", "size"), CASES)
def test_nothing_serious(chromium: Browser, address: str, visit: str, language: str, theme: str, size: str) -> None:
    width, height = SIZES[size]
    window = chromium.new_context(
        viewport={"width": width, "height": height},
        color_scheme=theme,
        locale=language,
        has_touch=size == "phone",
        reduced_motion="reduce",
    )
    page = window.new_page()
    for route, where, ready in VISITS[visit]:
        page.set_viewport_size({"width": width, "height": height})
        page.goto(address + where)
        page.locator(ready).first.wait_for()
        spoken = "" if route == "document" else f'[lang="{language[:2]}"]'  # a document has a language of its own
        page.locator(f'html[data-theme="{theme}"]{spoken}').wait_for()
        if ready == STAGE:
            page.locator(f'{STAGE}[data-theme="{theme}"]').first.wait_for()
        open_everything(page, route)
        page.wait_for_timeout(500)  # strip and flat views are laid out anew
        response = Axe().run(page, options=OPTIONS).response
        assert response["passes"], f"axe-core looked at nothing of {route}"
        assert told(response["violations"]) == [], route
        if language == SPANISH and route != "document":
            all_spanish_and_inside(page, route)
    window.close()


def all_spanish_and_inside(page: Page, route: str) -> None:
    """At any size nothing is left in English, and nothing scrolls sideways."""
    for wide, high in reversed(SIZES.values()):
        page.set_viewport_size({"width": wide, "height": high})
        page.wait_for_function(FITS)
        assert english_left(page) == [], route
