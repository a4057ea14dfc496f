"""The page of measured points in a real browser: a good and a broken file dropped, a large one sent, sizes, hand-on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from plane3d.lesson import scenarios_folder
from plane3d.log import Log
from tests.browser.conftest import SIZES, Watch

pytestmark = pytest.mark.browser

FOLDER = scenarios_folder() / "measured"
FOUND, REFUSED = ".root[data-state=found]", ".root[data-state=refused]"
INSIDE = """() => document.documentElement.scrollWidth <= innerWidth
  && [...document.querySelectorAll("main *")].every((part) => part.getBoundingClientRect().right <= innerWidth + 1)"""
# Drops a file on the page, as a viewer does.
DROP = """([name, bytes]) => {
  const carried = new DataTransfer()
  carried.items.add(new File([Uint8Array.from(bytes)], name))
  for (const kind of ["dragover", "drop"]) {
    document.body.dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: carried }))
  }
}"""


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("log") / "hitters.sqlite"


@pytest.fixture(scope="session")
def address(serve: Callable[..., str], kept: Path) -> str:
    return serve("-m", "plane3d", "serve", "--no-open", "--log", str(kept), "--port")


def drop(page: Page, name: str, data: bytes) -> None:
    page.evaluate(DROP, [name, list(data)])


def test_files_are_dropped_judged_kept_and_handed_on(page: Page, watch: Watch, address: str, kept: Path) -> None:
    good = (FOLDER / "swing-right-240.csv").read_bytes()
    page.goto(f"{address}measured")
    page.locator("#contact").select_option("state")
    page.locator("#time").fill("0.5")
    drop(page, "swing.csv", good)
    page.locator(FOUND).wait_for()
    said = page.locator(".headline").inner_text()
    assert said.startswith("Bat speed 67.8") and "±" in said
    assert page.locator('[data-view="side"] .sample').count() > 100
    assert page.evaluate(INSIDE)

    drop(page, "swing.csv", good.replace(b"tip_z_m", b"hand_z_m"))
    page.locator(REFUSED).wait_for()
    expect(page.locator(".headline")).to_contain_text("swing.csv:1: the column tip_z is missing")
    drop(page, "long.csv", good.split(b"\n", 1)[0] + b"\n" * 19_000)
    expect(page.locator(".headline")).to_contain_text("has a header but no rows")
    assert not kept.exists()

    drop(page, "swing.csv", good)
    page.locator(FOUND).wait_for()
    page.locator("#measure").select_option("metric")
    expect(page.locator(".headline")).to_contain_text("km/h")
    page.locator("button.log").click()
    page.locator("[name=code]").fill("under-12 contact hitter")
    page.locator(".keep button[type=submit]").click()
    expect(page.locator(".said")).to_contain_text("Kept for under-12 contact hitter")
    assert len(Log(kept).swings("under-12 contact hitter")) == 1
    page.locator(".buttons a.stage").click()
    expect(page.locator(".result").first).to_contain_text("3.5 cm below the line")  # units go along too
    page.goto(f"{address}measured")  # the file is still there
    expect(page.locator(".headline")).to_contain_text("109.1 km/h")
    expect(page.locator("#time")).to_have_value("0.5")
    a_file_of_20_mb_comes_through_and_a_larger_one_is_not_sent(page)


def a_file_of_20_mb_comes_through_and_a_larger_one_is_not_sent(page: Page) -> None:
    page.evaluate(f"() => {{ window.send = {DROP} }}")
    head = (FOLDER / "swing-right-240.csv").read_text(encoding="utf-8").split("\n", 1)[0]
    for size, words in ((20_000_000, "has a header but no rows"), (20_000_001, "is larger than 20 MB")):
        page.evaluate(
            "([head, size]) => window.send(['large.csv', new TextEncoder().encode(head.padEnd(size, '\\n'))])",
            [head, size],
        )
        expect(page.locator(".headline")).to_contain_text(words)


def test_a_phone_in_spanish(chromium: Browser, watch: Watch, address: str) -> None:
    width, height = SIZES["phone"]
    window = chromium.new_context(viewport={"width": width, "height": height}, locale="es-MX", color_scheme="dark")
    page = window.new_page()
    watch.follow(page)
    page.goto(f"{address}measured")
    page.locator('[data-examples="points"]').select_option("swing-left-60.csv")
    page.locator(FOUND).wait_for()
    assert not page.locator(".inputs").evaluate("(fold) => fold.open")  # the answer comes first
    assert page.evaluate(INSIDE)
    window.close()
