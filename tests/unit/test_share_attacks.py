"""Attacks on what is shared, against a real server on a free port of this machine.

None may change what is shown, read a file or run.
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from tornado.httpclient import AsyncHTTPClient, HTTPClientError, HTTPResponse
from tornado.httpserver import HTTPServer
from tornado.testing import bind_unused_port
from tornado.web import Application

from apps import share, share_kept, share_panel, share_server
from apps.files import new_step
from apps.lesson import LessonPage
from apps.page import Page
from apps.share import Share
from apps.share_server import ShareServer
from tests.share_room import INCH, Room, alone, asked, closed, hear, run, say, shown, wait

HARM = '<img src=x onerror="alert(1)"></script>'
PRESENTER = [
    {"do": "clock", "with": [True, 0.0, 1.0, "side"]},
    {"do": "take", "with": []},
    {"do": "hide", "with": [False]},
    {"do": "show", "step": 1, "revealed": True},
    {"do": "drawn", "number": 1, "revealed": True},
    {"do": "join", "code": "AAAAAA", "name": "0" * 32},  # once more
    {"do": "predict", "question": "../../etc/passwd", "choice": 0},
    {"do": "predict", "question": "0" * 16, "choice": -1},
    {"do": "predict", "question": "0" * 16, "choice": True},
    {"do": "drawn", "number": 1e3},
    {"do": "__init__"},
    {"do": ["drawn"]},
    {},
]
RAW: list[str | bytes] = [
    "", "null", "[]", "{", '{"do": "drawn", "number": NaN}', "[" * 1000, '{"a":' * 150 + "1" + "}" * 150, "\x00",
    '{"do": "drawn", "number": ' + "9" * 900 + "}", b"\xff\xfe", b'{"do": "drawn", "number": 1}',
]  # fmt: skip


def test_nothing_but_the_three_messages_is_taken(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        before = (room.share.shown, room.share.clock, room.share.presenter, room.file.read_bytes())
        for message in [*map(json.dumps, PRESENTER), *RAW]:
            live = await room.join()
            await hear(live)
            await live.write_message(message, binary=isinstance(message, bytes))
            assert await closed(live) == (1008, None), message
        live = await room.join()
        await hear(live)
        await live.write_message(json.dumps({"do": "drawn", "number": 1, "x": "x" * 2000}))
        assert (await closed(live))[0] in (1006, 1009, None)  # too large: cut off
        stranger = await room.connect()
        await say(stranger, do="drawn", number=1)
        assert await closed(stranger) == (1008, None)
        await wait(lambda: not room.share.viewers)
        assert (room.share.shown, room.share.clock, room.share.presenter, room.file.read_bytes()) == before
        assert room.share.tally() == [0] * 6

    run(tmp_path, asked(), visit)


def test_a_flood_of_messages_closes_the_socket(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        live = await room.join()
        for _ in range(60):
            await say(live, do="predict", question="0" * 16, choice=0)
        assert await closed(live) == (1008, None)

    run(tmp_path, asked(), visit)


def test_wrong_codes(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        assert await closed(await room.join(code="ÄÖÜ…")) == (4001, "code")
        for _ in range(share.WRONG_CODES - 1):
            assert await closed(await room.join(code="AAAAAA")) == (4001, "code")
        assert await closed(await room.join()) == (4001, "wait")  # even with the right one
        for number in range(2000):
            room.share.admits("AAAAAA", f"10.0.{number // 250}.{number % 250}")
        assert len(room.share._wrong) <= share.MOST_ADDRESSES
        assert room.share.admits(room.share.code, "10.1.0.1") == ""

    run(tmp_path, asked(), visit)


def test_only_so_many_get_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(share_server, "MOST_VIEWERS", 2)
    monkeypatch.setattr(share_server, "MOST_STRANGERS", 3)
    monkeypatch.setattr(share_server, "JOIN_WITHIN", 0.3)

    async def visit(room: Room) -> None:
        for _ in range(2):
            await hear(await room.join())
        assert await closed(await room.join()) == (1013, "full")
        strangers = [await room.connect() for _ in range(2)]
        with pytest.raises(HTTPClientError, match="503"):
            await room.connect()
        assert [await closed(live) for live in strangers] == [(1008, None)] * 2  # who does not join must go

    run(tmp_path, shown(), visit)


def test_foreign_pages_and_other_names_for_this_machine_get_nothing(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        port = room.server.port
        for origin in ("http://example.org", f"http://127.0.0.1:{port + 1}", f"https://127.0.0.1:{port}", "null", ""):
            with pytest.raises(HTTPClientError, match="403"):
                await room.connect(Origin=origin)
        for host in (
            f"example.org:{port}",
            "example.org",
            f"127.0.0.1.example.org:{port}",
            "127.0.0.1",
            f"[::1]:{port}",
        ):
            with pytest.raises(HTTPClientError, match="403"):
                await room.connect(Host=host, Origin=f"http://{host}")
            assert (await room.get("/", headers={"Host": host})).code == 403
        assert (await room.get("/live")).code in (400, 403)
        assert not room.share.viewers

    run(tmp_path, shown(), visit)


NOWHERE = (
    "/lesson", "/compare", "/studies", "/log", "/measured", "/video", "/docs/model.md", "/ws", "/static/", "/present",
    "/static/js/bokeh.min.js", "/autoload.js", "/index.html", "/..", "/../pyproject.toml", "/%2e%2e/pyproject.toml",
    "//etc/passwd", "/etc/passwd", "/live/..%2f..%2fetc%2fpasswd", "/live/", "/favicon.ico", "/?../..", "/share.json",
)  # fmt: skip


def test_there_is_a_page_and_a_socket_and_nothing_else(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        for path in NOWHERE:
            answer = await room.get(path)
            assert answer.code == (200 if path == "/?../.." else 404), path
            if answer.code == 404:
                assert answer.body == b"404\n"
        for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
            assert (await room.get("/", method=method, body=b"", allow_nonstandard_methods=True)).code in (404, 405)
        upload = await room.get("/share.json", method="PUT", body=b"{}")
        large = await room.get("/", method="POST", body=b"x" * 5000)
        assert upload.code == 404 and large.code in (400, 599)

    run(tmp_path, shown(), visit)


def test_the_page_holds_nothing_and_may_reach_nothing_else(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        page = await room.get("/", decompress_response=False, headers={"Accept-Encoding": "gzip"})
        assert page.headers["Content-Encoding"] == "gzip" and len(page.body) < 1_500_000
        policy = page.headers["Content-Security-Policy"]
        assert f"connect-src ws://127.0.0.1:{room.server.port};" in policy
        assert "default-src 'none'" in policy and "unsafe-inline" not in policy.split("style-src")[0]
        assert page.headers["X-Content-Type-Options"] == "nosniff"
        assert page.headers["Referrer-Policy"] == "no-referrer"
        assert page.headers["Cache-Control"] == "no-store"
        assert not {"Server", "Set-Cookie", "Access-Control-Allow-Origin"} & set(page.headers)
        text = (await room.get("/")).body.decode()
        assert room.share.code not in text and room.share.token not in text and INCH.question not in text

    run(tmp_path, shown(), visit)


def test_script_in_words_stays_words(tmp_path: Path) -> None:
    scenario = INCH.with_values({"title": HARM, "question": HARM, "notice": HARM})
    harmful = replace(shown(), step=new_step(scenario), scenario=scenario, title=HARM)

    async def visit(room: Room) -> None:
        _, table = await hear(await room.join())
        assert table["ask"]["title"] == table["ask"]["question"] == table["tell"]["notice"] == HARM  # put in as text
        assert "<img" not in table["tell"]["numbers"] and "<img" not in table["tell"]["file"]

    run(tmp_path, harmful, visit)


@pytest.fixture
def presenting(tmp_path: Path) -> Iterator[ShareServer]:
    server = ShareServer(Share(share_kept.fresh(), tmp_path / "share.json"), 5007, "192.0.2.7")
    yield server


def test_only_the_token_makes_a_presenter(presenting: ShareServer, monkeypatch: pytest.MonkeyPatch) -> None:
    cookies: dict[str, str] = {}
    monkeypatch.setattr(share_panel.pn.state, "_cookies", cookies, raising=False)
    monkeypatch.setattr(type(share_panel.pn.state), "cookies", property(lambda _: cookies))
    old = share_kept.fresh().token  # of another time, or of another server
    for token in ("", "x", old, presenting.share.token[:-1], presenting.share.token + "x", presenting.share.code, "é"):
        cookies[share_panel.COOKIE] = token
        assert Page(viewers=presenting).sharing is None
        assert LessonPage(viewers=presenting).sharing is None
    cookies[share_panel.COOKIE] = presenting.share.token
    assert Page(viewers=presenting).sharing is not None
    assert Page().sharing is None  # without --share there is nothing to present


def test_the_token_is_taken_from_the_address_and_kept_where_no_script_reads_it(presenting: ShareServer) -> None:
    @asynccontextmanager
    async def started() -> AsyncIterator[Callable[..., Awaitable[HTTPResponse]]]:
        listening, port = bind_unused_port()
        server = HTTPServer(Application(share_panel.routes(presenting.share, {f"127.0.0.1:{port}"}, "lesson")))
        server.add_sockets([listening])

        async def get(token: str, host: str = "") -> HTTPResponse:
            url = f"http://127.0.0.1:{port}/present?token={token}"
            client = AsyncHTTPClient(force_instance=True)
            headers = {"Host": host} if host else {}
            return await client.fetch(url, follow_redirects=False, raise_error=False, headers=headers)

        yield get
        server.stop()

    async def visit() -> None:
        async with started() as get:
            right = await get(presenting.share.token)
            assert (right.code, right.headers["Location"]) == (302, "/lesson")
            cookie = right.headers["Set-Cookie"]
            assert "HttpOnly" in cookie and "SameSite=Strict" in cookie and "Path=/" in cookie
            for token, host in (("x", ""), ("", ""), (presenting.share.token, "example.org")):
                wrong = await get(token, host)
                assert wrong.code == 403 and "Set-Cookie" not in wrong.headers

    alone(visit)
