"""A presenter and two phones: they follow, predict, let go and come back, and outlast a server that is killed."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from plane3d.lesson import scenarios_folder
from tests.browser.conftest import ROOT, SIZES, Watch, wait_until_alive
from tests.browser.test_accessibility import OPTIONS, told

pytestmark = pytest.mark.browser

LESSON = scenarios_folder() / "why-an-inch-matters.toml"
Opens = Callable[[str, str], Page]


class Server:
    """``plane3d serve --share`` as a presenter starts it, which can be killed and started again."""

    def __init__(self, folder: Path):
        with socket.socket() as one, socket.socket() as two:
            for probe in (one, two):
                probe.bind(("127.0.0.1", 0))
            ports = [str(probe.getsockname()[1]) for probe in (one, two)]
        sharing = ["--share", "--share-address", "127.0.0.1", "--share-port", ports[1]]
        command = ["-m", "plane3d", "serve", str(LESSON), "--no-open", "--port", ports[0], *sharing]
        self._command, self._own = [sys.executable, *command], os.environ | {"XDG_DATA_HOME": str(folder)}
        self.page = f"http://127.0.0.1:{ports[0]}/"
        self.start()

    def start(self) -> None:
        self._running = subprocess.Popen(
            self._command, cwd=ROOT, env=self._own, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        wait_until_alive(self.page, self._running)
        assert self._running.stdout is not None
        said = ""
        while "with the code" not in said:
            said += self._running.stdout.readline()
        self.presenter = re.search(r"presenter is at (\S+)", said)[1]  # type: ignore[index]
        self.viewers, code = re.search(r"are at (\S+) with the code (\w+)", said).groups()  # type: ignore[union-attr]
        self.join = f"{self.viewers}#{code}"

    def kill(self) -> None:
        self._running.kill()
        self._running.communicate(timeout=10)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    running = Server(tmp_path)
    yield running
    running.kill()


@pytest.fixture
def opens(chromium: Browser, watch: Watch) -> Iterator[Opens]:
    """Opens an address in a window of its own, at a size of screen."""
    windows = []

    def open_(address: str, size: str) -> Page:
        width, height = SIZES[size]
        window = chromium.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
        windows.append(window)
        page = window.new_page()
        watch.follow(page)
        page.goto(address)
        page.locator(".stage-root[data-frame]").wait_for(timeout=30_000)
        return page

    yield open_
    for window in windows:
        window.close()


def test_a_room_follows_predicts_lets_go_and_comes_back(server: Server, opens: Opens) -> None:
    presenter = opens(server.presenter, "laptop")
    assert "token" not in presenter.url
    one, two = opens(server.join, "phone"), opens(server.join, "phone")
    expect(presenter.locator(".share .line .count")).to_have_text("2 viewers connected")
    for phone in (one, two):
        expect(phone.locator("h1")).to_have_text(presenter.locator("h1.question").inner_text())
        expect(phone.locator(".answer")).to_be_hidden()
    one.locator(".choices li").nth(1).tap()
    two.locator(".choices li").nth(2).tap()
    two.locator(".choices li").nth(1).tap()  # and thinks again
    expect(presenter.locator(".tally output").nth(1)).to_have_text("2")

    two.locator(".bar .step-back").tap()  # lets go
    expect(two.locator(".follow")).to_have_text("Follow again")
    presenter.keyboard.press("r")
    expect(one.locator(".result")).to_have_text(presenter.locator(".result").inner_text())
    expect(one.locator(".choices .right")).to_have_count(1)
    expect(one.locator(".stage-root")).to_have_attribute("data-playing", "true")
    expect(two.locator(".answer")).to_be_hidden()
    two.locator(".reveal").tap()  # opens by itself what has been revealed
    expect(two.locator(".result")).to_have_text(presenter.locator(".result").inner_text())
    presenter.keyboard.press("ArrowRight")
    expect(one.locator(".count")).to_have_text("2 of 6")
    expect(two.locator(".count")).to_have_text("1 of 6")
    one.locator(".views button").nth(2).tap()  # a viewer's own view is no letting go, and outlasts a slider
    presenter.keyboard.press("h")
    slider = presenter.locator("[data-key='swing.below_line_in'] input[type=range]")
    before = one.locator(".stage-root").get_attribute("data-scene")
    slider.focus()
    slider.press("End")
    expect(one.locator(".stage-root")).not_to_have_attribute("data-scene", str(before))
    expect(one.locator(".stage-root")).to_have_attribute("data-view", "above")
    two.locator(".follow").tap()
    expect(two.locator(".count")).to_have_text("2 of 6")
    expect(two.locator(".answer")).to_be_hidden()
    presenter.locator(".share .open").click()
    expect(presenter.locator(".share .code")).to_have_text(server.join[-6:])
    for page in (one, presenter):
        assert told(Axe().run(page, options=OPTIONS).response["violations"]) == []


def test_a_killed_server_comes_back_where_it_was(server: Server, chromium: Browser, opens: Opens) -> None:
    presenter = opens(server.presenter, "laptop")
    phone = chromium.new_page()  # not watched: its connection is lost on purpose
    phone.goto(server.viewers)
    phone.locator("#code").fill(server.join[-6:].lower())  # typed instead of photographed
    phone.locator("#join button").click()
    presenter.keyboard.press("ArrowRight")
    presenter.keyboard.press("r")
    expect(phone.locator(".count")).to_have_text("2 of 6")
    expect(phone.locator(".answer")).to_be_visible()
    presenter.close()
    old = (server.presenter, server.join)
    server.kill()
    expect(phone.locator("#status")).to_contain_text("lost")
    server.start()
    assert (server.presenter, server.join) == old
    expect(phone.locator("#status")).to_be_empty()
    expect(phone.locator(".answer")).to_be_visible()
    again = opens(server.presenter, "laptop")  # as in another browser
    expect(again.locator(".count", has_text=" of ")).to_have_text("2 of 6")
    expect(again.locator(".answer")).to_be_visible()
    again.keyboard.press("ArrowRight")
    expect(phone.locator(".count")).to_have_text("3 of 6")
    phone.context.close()
    plain = opens(server.page, "laptop")  # without the token
    expect(plain.locator(".result")).not_to_be_empty()
    assert plain.locator(".share").count() == 0
    with urllib.request.urlopen(server.viewers) as page:
        assert page.status == 200
