"""Files to take home, from the menu of the page to the browser's downloads."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watch

pytestmark = pytest.mark.browser
PATIENCE = 60_000  # ms; a loaded machine is no failure
BATTED_BALL = (213, 94, 0)
SKY = (192, 213, 229)


@pytest.fixture(scope="module")
def opened(visited: Page, address: str) -> Page:
    """One visit for all tests, with the menu open."""
    visited.goto(address)
    expect(visited.locator(".stage-root")).to_have_attribute("data-playing", "false")
    visited.locator("button.menu").click()
    return visited


@pytest.fixture
def page(opened: Page, watch: Watch) -> Page:
    """The same; clean at the end of each test."""
    return opened


def taken(page: Page, kind: str) -> tuple[str, bytes]:
    """Name and content of a file that is asked for in the menu."""
    with page.expect_download(timeout=PATIENCE) as download:
        page.locator(f".home .take-{kind}").click()
    expect(page.locator(".home .taken")).to_have_text(f"{download.value.suggested_filename} is with the downloads.")
    return download.value.suggested_filename, Path(download.value.path()).read_bytes()


def share(picture: np.ndarray, color: tuple[int, int, int]) -> float:
    """Share of pixels whose colour is near this one."""
    return float((np.abs(picture.astype(int) - color).max(axis=-1) < 25).mean())


def test_numbers_and_a_picture_come_as_downloads(page: Page) -> None:
    name, data = taken(page, "csv")
    assert name == "one-inch-under-csv.zip"
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        assert len(packed.namelist()) == 3
    page.get_by_role("button", name="Above").click()
    name, data = taken(page, "png")
    picture = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))
    assert (name, picture.shape) == ("one-inch-under.png", (1080, 1920, 3))
    assert 0.0005 < share(picture, BATTED_BALL) < 0.05
    assert share(picture, SKY) < 0.02  # from above there is none
    expect(page.locator(".home .take-png")).to_be_enabled()


def test_a_film_is_given_up(page: Page) -> None:
    page.locator(".home .take-mp4").click()
    expect(page.locator(".home .take-png")).to_be_disabled()
    page.locator(".home .making button").click()
    expect(page.locator(".home .taken")).to_have_text("Cancelled.")
    expect(page.locator(".home .take-png")).to_be_enabled()
