"""Starts the viewers' server for ``plane3d serve --share``, as it was when the last one ended."""

from __future__ import annotations

from pathlib import Path

import segno
from tornado.ioloop import IOLoop

from apps import share_kept as kept
from apps.share import Share
from apps.share_panel import entrance
from apps.share_server import ALONE, ShareServer, packed_page
from plane3d.errors import Plane3dError
from plane3d.language import LANGUAGES, mark, tr

DEFAULT_PORT = 5007
NO_NETWORK = mark("This machine is in no network now, so nobody else can join; connect it and start again.")
BUSY = mark("port {port} cannot be used ({reason}); give another with --share-port, or --share-port 0 for any free one")


def viewers_server(port: int | None, name: str = "", new: bool = False, file: Path | None = None) -> ShareServer:
    """The viewers' server, started; viewers who are still there come back by themselves.

    Parameters
    ----------
    port : to serve at, 0 for any free one; None for that of the last time
    name : address or name under which viewers reach this machine; empty for its own address in the network
    new : whether to make a new code and a new token, and to forget what was shown
    file : where all that is kept; left out, `share_kept.default_file`

    Raises Plane3dError where the port cannot be had.
    """
    file = file or kept.default_file()
    held, problem = (kept.fresh(), "") if new else kept.read(file)
    share = Share(held, file)
    server = ShareServer(share, (held.port or DEFAULT_PORT) if port is None else port, name)
    try:
        server.start()
    except OSError as error:
        told = tr(BUSY, port=server.port, reason=error.strerror)
        raise Plane3dError(told) from error
    share.save()
    share.problem = share.problem or problem
    for language in LANGUAGES:  # so that the first viewers need not wait
        IOLoop.current().add_callback(IOLoop.current().run_in_executor, None, packed_page, language)
    return server


def how_to_join(server: ShareServer, address: str) -> str:
    """What the terminal says: the presenter's address, the viewers' address, the code, and both as a QR code."""
    share = server.share
    lines = [
        tr("The presenter is at {address}", address=address + entrance(share.token)),
        tr("Viewers in this network are at {address} with the code {code}", address=server.address, code=share.code),
        *([tr(NO_NETWORK)] if server.name == ALONE else []),
        *([share.problem] if share.problem else []),
        "",
        *qr_lines(server.join_address),
    ]
    return "\n".join(lines)


def qr_lines(text: str) -> list[str]:
    """A QR code in half blocks, light on dark and dark on light alike."""
    rows = [[*row] for row in segno.make(text, error="m").matrix_iter(border=2)]
    rows += [[0] * len(rows[0])] * (len(rows) % 2)
    blocks = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
    return ["".join(blocks[pair] for pair in zip(*two, strict=True)) for two in zip(rows[::2], rows[1::2], strict=True)]
