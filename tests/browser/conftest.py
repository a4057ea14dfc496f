"""A page in headless Chromium, watched: an error, a lost request or a request to another host fails the test."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, WebSocket, expect, sync_playwright

from plane3d.lesson import scenarios_folder

ROOT = Path(__file__).parents[2]
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
FLAGS = (  # draws without a graphics card and does not call home
    "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
START_LIMIT = 30.0  # s
expect.set_options(timeout=20_000)  # ms; a loaded machine is no failure
SIZES = {"projector": (1920, 1080), "laptop": (1366, 768), "phone": (390, 844)}
LAPTOP = dict(zip(("width", "height"), SIZES["laptop"], strict=True))
# With fingers; of a viewer who wants no motion, since each frame takes time.
WINDOW: dict[str, Any] = {"viewport": LAPTOP, "has_touch": True, "reduced_motion": "reduce"}


@dataclass
class Watch:
    """What a page did that it should not, and what it said to the server."""

    page_errors: list[str] = field(default_factory=list)
    console_errors: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)
    sent: list[Any] = field(default_factory=list)  # websocket frames to the server
    received: list[Any] = field(default_factory=list)

    def follow(self, page: Page) -> None:
        page.on("pageerror", lambda error: self.page_errors.append(str(error)))
        page.on("console", lambda m: self.console_errors.append(m.text) if m.type == "error" else None)
        page.on("requestfailed", lambda request: self.failed.append(request.url))
        page.on("request", lambda request: self._check(request.url))
        page.on("websocket", self._listen)

    def _check(self, url: str) -> None:
        where = urlsplit(url)
        if where.scheme not in ("data", "blob") and where.hostname != "127.0.0.1":
            self.outside.append(url)

    def _listen(self, socket_: WebSocket) -> None:
        self._check(socket_.url)
        socket_.on("framesent", lambda frame: self.sent.append(frame))
        socket_.on("framereceived", lambda frame: self.received.append(frame))

    def assert_clean(self) -> None:
        assert self.page_errors == []
        assert self.console_errors == []
        assert self.failed == []
        assert self.outside == []


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser; skipped when there is none, unless PLANE3D_BROWSER=required."""
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        reason = f"no Chromium on the PATH (looked for {', '.join(NAMES)})"
        if os.environ.get("PLANE3D_BROWSER") == "required":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def serve() -> Iterator[Callable[..., str]]:
    """Starts ``python <arguments> PORT`` from the project's root; gives the address once it answers."""
    running: list[subprocess.Popen[str]] = []

    def start(*arguments: str) -> str:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        command = [sys.executable, *arguments, str(port)]
        server = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        running.append(server)
        address = f"http://127.0.0.1:{port}/"
        wait_until_alive(address, server)
        return address

    yield start
    for server in running:
        server.terminate()
        server.communicate(timeout=10)


def wait_until_alive(address: str, server: subprocess.Popen[str]) -> None:
    limit = time.monotonic() + START_LIMIT
    while time.monotonic() < limit:
        if server.poll() is not None:
            pytest.fail(f"the server stopped:\n{server.communicate()[0]}")
        try:
            with urllib.request.urlopen(address, timeout=5):
                return
        except OSError:
            time.sleep(0.05)
    pytest.fail(f"the server did not answer within {START_LIMIT:.0f} s")


@pytest.fixture(scope="session")
def address(serve: Callable[..., str]) -> str:
    """The whole page on its first scenario, started the way a user starts it; some files test another server."""
    first = scenarios_folder() / "01-one-inch-under.toml"
    return serve("-m", "plane3d", "serve", str(first), "--no-open", "--port")


@pytest.fixture(scope="module")
def record() -> Watch:
    """What the pages of a file did."""
    return Watch()


@pytest.fixture
def watch(record: Watch) -> Iterator[Watch]:
    """The same; must be clean at the end of the test."""
    yield record
    record.assert_clean()


@pytest.fixture(scope="module")
def visited(chromium: Browser, record: Watch) -> Iterator[Page]:
    """An empty page that tests of a file share which only look, or can put it back: a load costs more than most."""
    window = chromium.new_context(**WINDOW)
    tab = window.new_page()
    record.follow(tab)
    yield tab
    window.close()


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    """A window of a test's own."""
    window = chromium.new_context(**WINDOW)
    yield window
    window.close()


@pytest.fixture
def fresh(context: BrowserContext, watch: Watch) -> Page:
    """An empty page of a test's own."""
    tab = context.new_page()
    watch.follow(tab)
    return tab


@pytest.fixture
def page(fresh: Page) -> Page:
    """The same, in files that share no visit."""
    return fresh


def open_everything(page: Page, route: str) -> None:
    """Unfold what is folded, so that it is looked at too."""
    for fold in page.locator("details").all():
        fold.evaluate("(e) => { e.open = true }")
    if route == "page":
        page.locator("button.menu").click()
        page.locator("button.add").click()
        page.locator("ol .shown").wait_for()
    elif route == "answer":
        for key in ("7", "t", "r", "h"):
            page.keyboard.press(key)
        page.locator(".ribbon svg").wait_for()
