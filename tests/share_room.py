"""A viewers' server with something shown, on a free port of this machine, and ways to knock at it."""

from __future__ import annotations

import asyncio
import json
import secrets
import time
from collections.abc import Awaitable, Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

from tornado.httpclient import AsyncHTTPClient, HTTPRequest, HTTPResponse
from tornado.websocket import WebSocketClientConnection, websocket_connect

from apps import share_kept
from apps.files import new_step
from apps.share import Share
from apps.share_server import ShareServer
from apps.share_shown import OUTCOMES, Shown
from plane3d.lesson import load_lesson, scenarios_folder
from plane3d.play import play
from plane3d.scenario import load
from tests.share_load import unpacked

INCH = load(scenarios_folder() / "01-one-inch-under.toml")
LESSON = load_lesson(scenarios_folder() / "why-an-inch-matters.toml")
PLAYED = play(INCH.to_inputs())


def shown(**changes: Any) -> Shown:
    return replace(Shown(new_step(INCH), INCH, PLAYED, INCH.title), **changes)


def asked(**changes: Any) -> Shown:
    """A question that can be predicted, not revealed."""
    return shown(step=replace(new_step(INCH), choices=OUTCOMES), revealed=False, **changes)


class Room:
    """A viewers' server with something shown, and ways to knock at it."""

    def __init__(self, folder: Path):
        self.file = folder / "share.json"
        self.share = Share(share_kept.fresh(), self.file)
        self.server = ShareServer(self.share, 0, "127.0.0.1")

    async def open(self, what: Shown) -> None:
        self.server.start()
        await self.show(what)

    async def show(self, what: Shown) -> None:
        number = self.share.states.number
        self.share.present(what)
        while self.share.states.number == number:
            await asyncio.sleep(0.01)

    async def get(self, path: str, **options: Any) -> HTTPResponse:
        url = f"http://127.0.0.1:{self.server.port}{path}"
        return await AsyncHTTPClient(force_instance=True).fetch(url, raise_error=False, **options)

    async def connect(self, **headers: str) -> WebSocketClientConnection:
        own = {"Origin": f"http://127.0.0.1:{self.server.port}"} | headers
        url = f"ws://127.0.0.1:{self.server.port}/live"
        return await websocket_connect(HTTPRequest(url, headers=own))

    async def join(self, name: str = "", code: str = "") -> WebSocketClientConnection:
        live = await self.connect()
        await say(live, do="join", code=code or self.share.code, name=name or secrets.token_hex(16))
        return live


async def say(live: WebSocketClientConnection, **message: Any) -> None:
    await live.write_message(json.dumps(message))


async def hear(live: WebSocketClientConnection) -> tuple[dict[str, Any], dict[str, Any]]:
    """The next message, said to be drawn."""
    frame = await asyncio.wait_for(live.read_message(), 5)
    assert frame is not None, f"closed: {live.close_code} {live.close_reason}"
    head, table = unpacked(frame)
    await say(live, do="drawn", number=head["number"])
    return head, table


async def closed(live: WebSocketClientConnection) -> tuple[int | None, str | None]:
    """How the server closed a socket; whatever it says before that is passed over."""
    while await asyncio.wait_for(live.read_message(), 5) is not None:
        pass
    return live.close_code, live.close_reason


def alone(whole: Callable[[], Coroutine[Any, Any, None]]) -> None:
    """Run to the end in a loop and a thread of its own: browser tests leave a loop at work in the main thread."""
    with ThreadPoolExecutor(1) as thread:
        thread.submit(asyncio.run, whole()).result()


def run(folder: Path, what: Shown, visit: Callable[[Room], Awaitable[None]]) -> None:
    """Visit a room."""

    async def whole() -> None:
        room = Room(folder)
        await room.open(what)
        try:
            await visit(room)
        finally:
            room.server.stop()

    alone(whole)


async def wait(condition: Callable[[], bool], patience: float = 5.0) -> None:
    end = time.monotonic() + patience
    while not condition():
        assert time.monotonic() < end, "it did not come to that"
        await asyncio.sleep(0.01)
