"""The hitter's log in a real browser: keeping, notes, trend, backup and restore, Spanish on a phone."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from plane3d.log import Figure, Hitter, Log, Swing
from plane3d.log.csv_text import csv_text
from plane3d.log.trend import trend
from tests.browser.conftest import SIZES, Watch
from tests.browser.test_accessibility import OPTIONS
from tests.browser.test_accessibility import told as grave
from tests.browser.test_language import english_left

pytestmark = pytest.mark.browser

CODE = "under-12 contact hitter"
SPEED = "bat_speed_mph"
EVIL = "<img src=x onerror=window.harmed=1>"


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Log:
    """Where the log will be; it is not there yet."""
    return Log(tmp_path_factory.mktemp("log") / "log.sqlite", at_once=False)


@pytest.fixture(scope="module")
def log_address(serve: Callable[..., str], log: Log) -> str:
    return serve("-m", "plane3d", "serve", "--no-open", "--log", str(log.path), "--port") + "log"


def told(page: Page, words: str | re.Pattern[str]) -> None:
    expect(page.locator(".said")).to_contain_text(words)


def add_swing(page: Page, speed: str, day: str) -> None:
    form = page.locator(".view form")
    form.get_by_label("Day").fill(day)
    form.get_by_label("Where the numbers come from").fill("radar gun")
    form.get_by_label("Value").first.fill(speed)
    form.get_by_role("button", name="Keep this swing").click()


def fill(log: Log) -> None:
    """One hitter, with 12 swings on 6 days."""
    for hitter in log.hitters():
        log.delete_hitter(hitter.code)
    log.add_hitter(Hitter(CODE, "left", "under-12"))
    days = [date(2026, 1, 5) + timedelta(days=7 * k) for k in range(6)]
    log.add_swings(CODE, [Swing(day, {SPEED: Figure(50 + k, 1.0)}) for k, day in enumerate(days) for _ in "ab"])


def test_a_hitter_is_kept_changed_and_deleted_for_good(page: Page, log_address: str, log: Log, watch: Watch) -> None:
    page.goto(log_address)
    page.get_by_text("No hitters yet.").wait_for()
    assert not log.exists, "looking makes no log"
    expect(page.locator(".privacy")).to_contain_text("Use a code or a role instead of a name.")
    page.locator(".list").get_by_label("Code or role").fill(EVIL)
    page.locator(".list").get_by_role("button", name="Add", exact=True).click()
    told(page, f"Saved: {EVIL}")
    add_swing(page, "62,5", "2026-03-14")
    told(page, "Saved as swing 1.")
    add_swing(page, "fast", "2026-03-15")
    told(page, '"fast" for the bat speed must be a number.')
    expect(page.locator(".view form").get_by_label("Value").first).to_have_value("fast")
    page.get_by_label("Note of swing 1").fill(f"hands lower {EVIL}")
    page.get_by_label("Note of swing 1").press("Tab")
    told(page, "Saved: note of swing 1.")
    (swing,) = log.swings(EVIL)
    assert (swing.figures, swing.note) == ({SPEED: Figure(62.5)}, f"hands lower {EVIL}")
    page.wait_for_url("**/log#hitter=*")
    page.reload()
    page.get_by_text("Delete for good").click()
    remove = page.get_by_role("button", name="Delete this hitter for good")
    expect(remove).to_be_disabled()
    page.get_by_label("Type the code to confirm").fill(EVIL)
    remove.click()
    told(page, "Deleted for good, with 1 swing.")
    page.get_by_text("No hitters yet.").wait_for()
    assert EVIL.encode() not in log.path.read_bytes()
    assert page.evaluate("window.harmed") is None and page.locator("img").count() == 0


def test_backup_restore_trend_and_two_pages(
    page: Page, log_address: str, log: Log, tmp_path: Path, watch: Watch
) -> None:
    fill(log)
    before = csv_text(log)
    page.goto(log_address)
    page.get_by_role("button", name=CODE).click()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save a backup").click()
    saved.value.save_as(tmp_path / "copy.sqlite")
    other = page.context.new_page()
    watch.follow(other)
    other.goto(log_address)
    other.get_by_role("button", name=CODE).click()
    other.locator("tbody").get_by_role("button", name="Delete").first.click()
    other.get_by_role("button", name="Yes, delete").click()
    told(other, "is deleted for good.")
    page.get_by_role("tab", name="Swings").press("ArrowRight")
    expect(page.get_by_role("tab", name="Trend")).to_be_focused()
    expect(page.locator(".says")).to_have_text(trend(log.swings(CODE), SPEED).sentence())
    expect(page.locator(".drawing canvas").first).to_be_visible()
    expect(page.locator(".drawing")).to_have_attribute("aria-label", re.compile("11 swings from 2026-01-05"))
    page.locator("input[type=file]").set_input_files(tmp_path / "copy.sqlite")
    expect(page.locator(".pending")).to_contain_text("holds 1 hitter and 12 swings")
    page.get_by_role("button", name="Replace the log").click()
    told(page, "The log is as it was in copy.sqlite.")
    assert csv_text(log) == before
    page.get_by_role("button", name=CODE).click()
    page.get_by_role("tab", name="Before and after").click()
    expect(page.locator("td:visible").last).to_contain_text("Bat speed is")


def test_spanish_on_a_phone(chromium: Browser, log_address: str, log: Log, watch: Watch) -> None:
    fill(log)
    width, height = SIZES["phone"]
    window = chromium.new_context(viewport={"width": width, "height": height}, locale="es-MX", has_touch=True)
    page = window.new_page()
    watch.follow(page)
    page.goto(log_address)
    page.get_by_role("button", name=CODE).click()
    page.locator(".view tbody tr").first.wait_for()
    for view in range(3):
        page.get_by_role("tab").nth(view).click()
        page.locator("details").evaluate_all("(all) => all.forEach((fold) => { fold.open = true })")
        page.wait_for_function(
            "(view) => document.documentElement.dataset.view === view", arg=["swings", "trend", "compare"][view]
        )
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert grave(Axe().run(page, options=OPTIONS).response["violations"]) == []
    left = english_left(page)
    window.close()
    assert left == []
