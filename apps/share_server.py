"""The viewers' server: one page and one socket, and nothing else of the machine that it runs on.

It takes no request under another name than its own address, so that a page from elsewhere that had its name pointed
here gets nothing; no socket but from its own page; and no message but the three that are known.
"""

from __future__ import annotations

import gzip
import socket
import time
from collections import Counter
from contextlib import suppress
from functools import lru_cache
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, TypeAdapter, ValidationError
from tornado.httpserver import HTTPServer
from tornado.ioloop import IOLoop
from tornado.iostream import IOStream
from tornado.netutil import bind_sockets
from tornado.web import Application, HTTPError, RequestHandler
from tornado.websocket import WebSocketClosedError, WebSocketHandler

from apps.language import wanted
from apps.share import MOST_VIEWERS, Share, Viewer
from apps.share_page import share_page, share_policy
from plane3d.language import LANGUAGES, speaking
from plane3d.quantities import Strict

MOST_BYTES = 1024  # of a message from a viewer
MOST_HEADERS = 8192  # bytes
MOST_OPEN = 150  # connections that are not sockets of viewers yet
MOST_STRANGERS = 50  # sockets from one address that have not joined yet
JOIN_WITHIN = 10.0  # s
STEADY, BURST = 10.0, 40.0  # messages from a viewer, each second and at once
IDLE = 20.0  # s a connection may stay silent
PING = 10.0  # s
ALONE = "127.0.0.1"  # the address of a machine in no network
REFUSED, UNKNOWN, TOO_MANY = 4001, 1008, 1013  # codes with which sockets are closed


class _Join(Strict):
    do: Literal["join"]
    code: Annotated[str, StringConstraints(max_length=20)]
    name: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]


class _Drawn(Strict):
    do: Literal["drawn"]
    number: Annotated[int, Field(ge=0, le=2**31)]


class _Predict(Strict):
    do: Literal["predict"]
    question: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")]
    choice: Annotated[int, Field(ge=0, le=9)]


_message: TypeAdapter[_Join | _Drawn | _Predict] = TypeAdapter(
    Annotated[_Join | _Drawn | _Predict, Field(discriminator="do")]
)


class _Own(RequestHandler):
    """Answers under the address that the connection came in by, or the one that was given, and under no other name."""

    def initialize(self, share: Share, names: set[str]) -> None:
        self.share, self._names = share, names

    def set_default_headers(self) -> None:
        self.clear_header("Server")
        for name, value in {
            "X-Content-Type-Options": "nosniff",
            "X-Frame-Options": "DENY",
            "Referrer-Policy": "no-referrer",
            "Cross-Origin-Resource-Policy": "same-origin",
            "Cache-Control": "no-store",
            "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
        }.items():
            self.set_header(name, value)

    def prepare(self) -> None:
        here, port = self.request.connection.stream.socket.getsockname()[:2]
        names = {here, *self._names} | ({"localhost"} if here == ALONE else set())
        allowed = {f"{name}:{port}" for name in names} | (names if port == 80 else set())
        if self.request.headers.get_list("Host") != [self.request.host] or self.request.host not in allowed:
            raise HTTPError(403)

    def write_error(self, status_code: int, **_: Any) -> None:
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(f"{status_code}\n")


class _Nothing(_Own):
    """Whatever else is asked for."""

    def prepare(self) -> None:
        raise HTTPError(404)


class _Page(_Own):
    """The viewers' page, made once for each language."""

    async def get(self) -> None:
        cookies = {key: morsel.value for key, morsel in self.cookies.items()}
        language = wanted(cookies, self.request.headers)
        page, policy = await IOLoop.current().run_in_executor(None, packed_page, language)
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Content-Security-Policy", policy.format(host=self.request.host))
        self.set_header("Vary", "Accept-Encoding, Accept-Language, Cookie")
        if "gzip" in self.request.headers.get("Accept-Encoding", ""):
            self.set_header("Content-Encoding", "gzip")
            self.finish(page)
        else:
            self.finish(gzip.decompress(page))


class _Live(_Own, WebSocketHandler):
    """A viewer's socket."""

    viewer: Viewer | None = None

    def initialize(self, share: Share, names: set[str], sockets: set[_Live]) -> None:  # type: ignore[override]
        super().initialize(share, names)
        self._sockets = sockets
        self._left, self._at = BURST, time.monotonic()

    def prepare(self) -> None:
        super().prepare()
        if self.request.headers.get_list("Origin") != [f"http://{self.request.host}"]:
            raise HTTPError(403)
        address = self.request.remote_ip
        strangers = Counter(other.request.remote_ip for other in self._sockets if other.viewer is None)
        if strangers[address] >= MOST_STRANGERS or strangers.total() >= MOST_VIEWERS:
            raise HTTPError(503)

    def check_origin(self, origin: str) -> bool:
        return origin == f"http://{self.request.host}"

    def open(self) -> None:
        self._sockets.add(self)
        self.set_nodelay(True)
        self._patience = IOLoop.current().call_later(JOIN_WITHIN, self._expect_joined)

    def on_message(self, message: str | bytes) -> None:
        now = time.monotonic()
        self._left, self._at = min(self._left + STEADY * (now - self._at), BURST) - 1, now
        try:
            said = _message.validate_json(message) if isinstance(message, str) else None
        except ValidationError:
            said = None
        viewer = self.viewer
        if self._left < 0:
            self.close(UNKNOWN)
        elif isinstance(said, _Join) and viewer is None:
            self._join(said)
        elif isinstance(said, _Drawn) and viewer is not None:
            self.share.drawn(viewer, said.number)
        elif isinstance(said, _Predict) and viewer is not None:
            self.share.predict(viewer, said.question, said.choice)
        else:
            self.close(UNKNOWN)

    def on_close(self) -> None:
        self._sockets.discard(self)
        IOLoop.current().remove_timeout(self._patience)
        if self.viewer is not None:
            self.share.leave(self.viewer)

    def _join(self, said: _Join) -> None:
        if why := self.share.admits(said.code, str(self.request.remote_ip)):
            self.close(REFUSED, why)
        elif len(self.share.viewers) >= MOST_VIEWERS:
            self.close(TOO_MANY, "full")
        else:
            cookies = {key: morsel.value for key, morsel in self.cookies.items()}
            self.viewer = Viewer(said.name, wanted(cookies, self.request.headers), self._send)
            self.share.join(self.viewer)

    def _send(self, frame: bytes) -> None:
        with suppress(WebSocketClosedError):  # `on_close` is on its way
            self.write_message(frame, binary=True)

    def _expect_joined(self) -> None:
        if self.viewer is None:
            self.close(UNKNOWN)


class _Server(HTTPServer):
    """Takes only so many connections, so that nobody can use up those of the presenter's pages."""

    def handle_stream(self, stream: IOStream, address: Any) -> None:
        if len(self._connections) >= MOST_OPEN:
            stream.close()
        else:
            super().handle_stream(stream, address)


class ShareServer:
    """The viewers' server, to be started and stopped.

    Parameters
    ----------
    name : address or name under which viewers reach it; empty for the machine's own address in its network
    """

    def __init__(self, share: Share, port: int, name: str = ""):
        self.share, self.port = share, port
        self.name = name.lower() or own_address()
        self._sockets: set[_Live] = set()
        self._server: _Server | None = None

    @property
    def address(self) -> str:
        return f"http://{self.name}:{self.port}/"

    @property
    def join_address(self) -> str:
        """With the code, for the QR code: what follows the sign # is never sent to a server by a browser's page."""
        return f"{self.address}#{self.share.code}"

    def start(self) -> None:
        """Let viewers in. Raises OSError where the port cannot be had."""
        if self._server is not None:
            return
        sockets = bind_sockets(self.port, "0.0.0.0", family=socket.AF_INET)
        self.port = sockets[0].getsockname()[1]
        self._server = _Server(
            application(self.share, {self.name}, self._sockets),
            max_header_size=MOST_HEADERS,
            max_body_size=MOST_BYTES,
            idle_connection_timeout=IDLE,
            body_timeout=IDLE,
        )
        self._server.add_sockets(sockets)
        self.share.change(on=True, port=self.port)

    def stop(self) -> None:
        """Send all viewers away and close the port."""
        if self._server is None:
            return
        self._server.stop()
        self._server = None
        for live in tuple(self._sockets):
            live.close(REFUSED, "stopped")
        self.share.change(on=False)


def application(share: Share, names: set[str], sockets: set[_Live]) -> Application:
    """What is served: a page, a socket, and for all else nothing. Who asks is written down nowhere."""
    given = {"share": share, "names": names}
    return Application(
        [("/", _Page, given), ("/live", _Live, given | {"sockets": sockets})],
        default_handler_class=_Nothing,
        default_handler_args=given,
        log_function=lambda handler: None,
        websocket_max_message_size=MOST_BYTES,
        websocket_ping_interval=PING,
        websocket_ping_timeout=PING,
    )


@lru_cache(maxsize=len(LANGUAGES))
def packed_page(language: str) -> tuple[bytes, str]:
    """The viewers' page in a language, packed with gzip, and its policy."""
    with speaking(language):
        page, scripts = share_page()
    return gzip.compress(page.encode("utf-8"), 6), share_policy(scripts)


def own_address() -> str:
    """The machine's address in its network: that of the interface by which it would reach another. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 9))
        except OSError:  # there is no network
            return ALONE
        return str(probe.getsockname()[0])
