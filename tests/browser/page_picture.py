"""Saves the page as a picture: ``python -m tests.browser.page_picture FILE.png``."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from plane3d.lesson import scenarios_folder
from tests.browser.conftest import FLAGS, NAMES, SIZES

SCENARIO = scenarios_folder() / "01-one-inch-under.toml"
STILL = 1000  # ms in which the page comes to rest


def main(path: Path) -> None:
    serve = [sys.executable, "-m", "plane3d", "serve", str(SCENARIO), "--no-open", "--port", "0"]
    with subprocess.Popen(serve, stdout=subprocess.PIPE, text=True) as server, sync_playwright() as playwright:
        assert server.stdout is not None
        address = next(word for word in server.stdout.readline().split() if word.startswith("http"))
        chromium = next(found for name in NAMES if (found := shutil.which(name)))
        browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        width, height = SIZES["laptop"]
        page = browser.new_page(viewport={"width": width, "height": height})
        page.goto(address, wait_until="commit")
        page.locator(".stage-root[data-frame]").wait_for()
        page.wait_for_timeout(STILL)
        page.screenshot(path=path)
        browser.close()
        server.terminate()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
