"""Many viewers at once: how soon every change is with all of them, and what the server grows to.

``python -m tests.share_load [VIEWERS] [SECONDS]`` starts ``plane3d serve --share``, lets that many viewers follow, and
moves a slider of a presenter's page in a real browser ten times a second, with a pause after each second. Not part of
the test suite; `tests/unit/test_share.py` has a short one without a browser.
"""

from __future__ import annotations

import asyncio
import json
import os
import re
import secrets
import shutil
import signal
import statistics
import subprocess
import sys
import time
import zlib
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from tornado.httpclient import HTTPRequest
from tornado.websocket import WebSocketClientConnection, websocket_connect

ROOT = Path(__file__).parents[1]


@dataclass
class Follower:
    """One viewer: when each state arrived, by its number, and when each text of the scenario did."""

    address: str
    code: str
    arrived: dict[int, float] = field(default_factory=dict)
    texts: list[tuple[float, str]] = field(default_factory=list)
    broken: int = 0  # messages that did not fit the one before
    lost: bool = False
    bytes: int = 0

    async def follow(self, started: asyncio.Event) -> None:
        """Follow until the socket closes."""
        socket = await self.connect()
        await socket.write_message(json.dumps({"do": "join", "code": self.code, "name": secrets.token_hex(16)}))
        held = 0
        while (frame := await socket.read_message()) is not None:
            head, table = unpacked(frame)
            self.bytes += len(frame)
            self.broken += bool(table) and not table["whole"] and not held
            held = head["number"]
            self.arrived.setdefault(held, time.time())
            if table.get("tell"):
                self.texts.append((time.time(), table["tell"]["toml"]))
            started.set()
            await socket.write_message(json.dumps({"do": "drawn", "number": held}))
        self.lost = True

    async def connect(self) -> WebSocketClientConnection:
        url = self.address.replace("http://", "ws://") + "live"
        return await websocket_connect(HTTPRequest(url, headers={"Origin": self.address.rstrip("/")}))


def unpacked(frame: str | bytes) -> tuple[dict, dict]:  # type: ignore[type-arg]
    """The head of a message and, where something is to be drawn, the table of what changed."""
    assert isinstance(frame, bytes)
    size = int.from_bytes(frame[:4], "little")
    head, rest = json.loads(frame[4 : 4 + size]), frame[4 + size :]
    if not rest:
        return head, {}
    data = zlib.decompress(rest)
    return head, json.loads(data[4 : 4 + int.from_bytes(data[:4], "little")])


def delays(followers: list[Follower]) -> list[float]:
    """For each state that any viewer got, how long after the first viewer each other one had it or a newer one, s."""
    found = []
    first: dict[int, float] = {}
    for follower in followers:
        for number, at in follower.arrived.items():
            first[number] = min(at, first.get(number, at))
    for follower in followers:
        for number, at in first.items():
            later = [t for n, t in follower.arrived.items() if n >= number]
            found.append(min(later) - at if later else float("inf"))
    return found


def memory(process: int) -> float:
    """MB in use by a process."""
    status = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmRSS:\s+(\d+)", status)[1]) / 1000  # type: ignore[index]


@dataclass(frozen=True)
class Move:
    """One move of the presenter's slider: when, how many ms until the own picture followed, and to what."""

    at: float
    own: float
    value: float


def reached(follower: Follower, moves: list[Move]) -> list[float]:
    """For each move how long, s, until a viewer had it or a later one; infinite where it never did."""
    seen = []
    for at, text in follower.texts:
        found = re.search(r"^below_line_in = (\S+)$", text, re.MULTILINE)
        value = float(found[1]) if found else 0.0
        named = [i for i, move in enumerate(moves) if move.at <= at and abs(move.value - value) < 1e-6]
        if named:
            seen.append((at, named[-1]))
    return [
        min((at for at, named in seen if named >= i), default=float("inf")) - move.at for i, move in enumerate(moves)
    ]


async def present(address: str, seconds: float, moves: list[Move]) -> None:
    """A presenter's page in a browser whose slider moves: a second of moves, a second of rest."""
    from playwright.async_api import async_playwright

    from tests.browser.conftest import FLAGS, NAMES

    path = next(found for name in NAMES if (found := shutil.which(name)))
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        page = await browser.new_page(viewport={"width": 800, "height": 600})
        await page.goto(address)
        await page.locator(".stage-root[data-frame]").wait_for(timeout=60_000)
        await page.wait_for_timeout(2000)
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            moves += [Move(*values) for values in await page.evaluate(SLIDE)]
            await page.wait_for_timeout(1000)
        await browser.close()


# Ten moves of the slider "below the line": when, s; how many ms until the stage has drawn it; to what.
SLIDE = """async () => {
  const inside = (e) => e.shadowRoot ? deep(e.shadowRoot) : []
  const deep = (root) => [...root.querySelectorAll("*")].flatMap((e) => [e, ...inside(e)])
  const all = deep(document), stage = all.find((e) => e.classList.contains("stage-root"))
  const slider = all.find((e) => e.matches("input[type=range]") && e.closest("[data-key='swing.below_line_in']"))
  const found = []
  for (let i = 0; i < 10; i++) {
    const before = stage.dataset.scene, start = performance.now(), at = Date.now() / 1000
    const value = Math.round(10 * (Number(slider.value) > 2 ? -2 : Number(slider.value) + 0.1)) / 10
    slider.value = value
    slider.dispatchEvent(new Event("input", { bubbles: true }))
    while (stage.dataset.scene === before && performance.now() - start < 3000) await new Promise(requestAnimationFrame)
    found.push([at, performance.now() - start, value])
  }
  return found
}"""


async def main(viewers: int, seconds: float) -> None:
    with TemporaryDirectory() as folder:
        command = ["-m", "plane3d", "serve", "--no-open", "--port", "0", "--share", "--share-port", "0"]
        own = os.environ | {"XDG_DATA_HOME": folder}
        server = subprocess.Popen([sys.executable, *command], cwd=ROOT, stdout=subprocess.PIPE, text=True, env=own)
        assert server.stdout is not None
        said = ""
        while "code" not in said:
            said += server.stdout.readline()
        presenter = re.search(r"http://127\S+token=\S+", said)[0]  # type: ignore[index]
        address, code = re.search(r"are at (\S+) with the code (\w+)", said).groups()  # type: ignore[union-attr]
        try:
            await _measure(server.pid, presenter, address, code, viewers, seconds)
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(20)


async def _measure(server: int, presenter: str, address: str, code: str, viewers: int, seconds: float) -> None:
    followers = [Follower(address, code) for _ in range(viewers)]
    moves: list[Move] = []
    tasks = [asyncio.create_task(follower.follow(asyncio.Event())) for follower in followers]
    presenting = asyncio.create_task(present(presenter, seconds, moves))
    used = []
    while not presenting.done():
        await asyncio.sleep(5)
        used.append(memory(server))
    await presenting
    await asyncio.sleep(2)
    lost = sum(follower.lost for follower in followers)
    for task in tasks:
        task.cancel()
    late = sorted(delay for follower in followers for delay in reached(follower, moves))
    own = sorted(move.own for move in moves)
    states = len({number for follower in followers for number in follower.arrived})
    print(
        f"{viewers} viewers, {seconds:.0f} s, {states} states, {lost} lost, {sum(f.broken for f in followers)} broken"
    )
    print(
        f"{len(moves)} moves: with 95 % of viewers in {late[int(0.95 * len(late))]:.3f} s, with all in {late[-1]:.3f} s"
    )
    print(f"presenter's slider: median {statistics.median(own):.0f} ms, 95 % {own[int(0.95 * len(own))]:.0f} ms")
    print(f"memory MB: {', '.join(f'{mb:.0f}' for mb in used[:: max(1, len(used) // 12)])}")
    print(f"sent to each viewer: {statistics.mean(f.bytes for f in followers) / 1e6 / seconds:.2f} MB/s")


if __name__ == "__main__":
    given = [float(value) for value in sys.argv[1:]]
    asyncio.run(main(int(given[0]) if given else 40, given[1] if len(given) > 1 else 300.0))
