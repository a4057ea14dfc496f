"""The presenter's session: what it shows goes to the viewers; the Python end of ``browser/share.js``.

Only a browser that has the presenter's token gets one. It comes by it at ``/present?token=...``, which keeps it in a
cookie that scripts cannot read and that no other site's page can use.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, ClassVar
from urllib.parse import urlencode

import panel as pn
import param
import segno
from pydantic import TypeAdapter
from tornado.ioloop import IOLoop
from tornado.web import HTTPError, RequestHandler

from apps.asking import Asking
from apps.browser_files import BROWSER, import_map, styles
from apps.files import new_step
from apps.link import encode
from apps.share import Share
from apps.share_kept import Tab
from apps.share_server import ShareServer
from apps.share_shown import OUTCOMES, Shown
from plane3d.language import current, mark, tr
from plane3d.play import Play
from plane3d.quantities import all_choices
from plane3d.report import MapReading
from plane3d.scenario import Scenario

COOKIE = "plane3d-presenter"
ARRIVAL = 0.5  # s in which a reloaded page puts itself back where it was
REST = 0.2  # s between two changes of what the presenter sees of the viewers
BUSY = mark("Sharing could not start: {reason}.")
VIEWS = ("", *all_choices()["view.camera"])


class SharePanel(Asking):
    """A line with what the presenter sees of the viewers, and a box with how to join.

    Parameters
    ----------
    actions : what to call for each message of the browser, by name; see `Sharing`
    """

    state = param.Dict(default={}, doc="What is shown; see `Sharing.state`.")

    _esm = BROWSER / "share.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "elements")
    _stylesheets: ClassVar[list[str]] = styles("common", "share")


class Sharing:
    """One session of a presenter. Of several, one presents; the others may take over.

    Parameters
    ----------
    server : the viewers'
    own : whether the page shows scenarios by themselves, which the presenter reveals here; a lesson does that itself
    """

    def __init__(self, server: ShareServer, own: bool):
        self._server, self._share, self._own = server, server.share, own
        self._shown: Shown | None = None
        self._problem = ""
        self._waiting = False
        before = self._share.shown
        self._asked = before.asked if before else 0
        self._asking = self._hidden = False  # whether a question is put, and not answered yet
        if own and before is not None and not before.lesson:
            self._asking, self._hidden = bool(before.step.choices), not before.revealed
        self._doc = pn.state.curdoc
        self.panel = SharePanel(
            {"arrive": self._arrive, "take": self._take, "open": self._open, "hide": self._hide, "clock": self._clock},
            sizing_mode="stretch_width",
            margin=0,
        )
        self.panel.state = self.state()
        self._share.listeners.add(self._tell_soon)
        if self._doc is not None and self._doc.session_context is not None:
            pn.state.on_session_destroyed(lambda _: self.leave())

    # --- what the page shows -----------------------------------------------------------------------------------------

    def show(self, scenario: Scenario, play: Play, metric: bool, theme: str, reading: MapReading | None = None) -> None:
        """The page shows a scenario by itself."""
        step = new_step(scenario)
        if self._shown is not None and self._shown.title != scenario.title:
            self._asking = self._hidden
            self._asked += self._hidden
        if self._asking:
            step = replace(step, choices=OUTCOMES)
        shown = Shown(step, scenario, play, scenario.title, metric=metric, theme=theme, reading=reading)
        self.show_step(replace(shown, revealed=not self._hidden, asked=self._asked))

    def show_step(self, shown: Shown) -> None:
        """The page shows a step."""
        self._shown = shown
        if self._presents:
            self._share.present(shown)

    def close(self, words: str) -> None:
        """A lesson has come to its end."""
        if self._shown is not None:
            self.show_step(replace(self._shown, close=words))

    def leave(self) -> None:
        """The session has ended; what it showed last stays."""
        self._share.listeners.discard(self._tell_soon)
        if self._presents:
            self._share.presenter = None

    @property
    def _presents(self) -> bool:
        return self._share.presenter is self

    # --- what the presenter asks -------------------------------------------------------------------------------------

    def _arrive(self, tab: str) -> None:
        """The page has opened in a tab: the one that presented before, or the first, goes on at once."""
        self._tab = TypeAdapter(Tab).validate_python(tab)
        if self._share.tab in ("", tab):
            self._take()

    def _take(self) -> None:
        self._share.presenter = self
        self._share.change(tab=self._tab)
        if self._shown is not None:
            self._share.present(self._shown, soon=ARRIVAL)

    def _open(self, on: bool) -> None:
        self._problem = ""
        try:
            if on:
                self._server.start()
            else:
                self._server.stop()
        except OSError as error:
            self._problem = tr(BUSY, reason=error.strerror or str(error))
            self._share.tell_presenter()

    def _hide(self, on: bool) -> None:
        """Put the present scenario as a question, or reveal the answer."""
        if self._shown is None or not self._own:
            return
        self._hidden = bool(on)
        self._asking = self._asking or self._hidden
        self._asked += self._hidden
        shown = self._shown
        self.show(shown.scenario, shown.play, shown.metric, shown.theme, shown.reading)

    def _clock(self, playing: bool, time: float, speed: float, view: str) -> None:
        if self._presents:
            self._share.run(bool(playing), float(time), float(speed), view if view in VIEWS else "")

    # --- what the presenter sees -------------------------------------------------------------------------------------

    def state(self) -> dict[str, Any]:
        """What the browser shows of all this."""
        share, shown = self._share, self._share.shown
        hidden = shown is None or not shown.revealed
        words = share.states.now.made(current()) if share.states.now and shown else None
        return {
            "on": share.on,
            "address": self._server.address,
            "code": share.code,
            "qr": self._qr(),
            "connected": len(share.viewers),
            "presenting": self._presents,
            "own": self._own,
            "hidden": self._hidden,
            "lesson": shown.lesson if shown else "",
            "place": shown.place if shown else 0,
            "choices": words.ask["choices"] if words else [],
            "right": words.tell["right"] if words and words.tell and not hidden else None,
            "tally": share.tally(),
            "problem": self._problem or share.problem,
        }

    def _qr(self) -> str:
        code = segno.make(self._server.join_address, error="m")
        return str(code.svg_inline(omitsize=True, border=2, light="#ffffff"))

    def _tell_soon(self) -> None:
        """Something may have changed; many things that change together are told once."""
        if not self._waiting:
            self._waiting = True
            IOLoop.current().call_later(REST, self._tell)

    def _tell(self) -> None:
        if self._doc is not None and self._doc.session_context is not None:
            self._doc.add_next_tick_callback(self._tell_now)
        else:
            self._tell_now()

    def _tell_now(self) -> None:
        self._waiting = False
        self.panel.state = self.state()


def sharing(server: ShareServer | None, own: bool) -> Sharing | None:
    """The end of a session at hand that has the presenter's token; None for any other."""
    if server is None or not server.share.is_token(str(pn.state.cookies.get(COOKIE, ""))):
        return None
    return Sharing(server, own)


def entrance(token: str) -> str:
    """The way in for the presenter, from the address of the pages on."""
    return f"present?token={token}"


def home(shown: Shown | None, start: str = "") -> str:
    """Where the presenter's pages go on from: the step of the lesson or the scenario shown last, or else the start."""
    if shown is None:
        return f"/{start}"
    if not shown.lesson:
        return f"/#s={encode(shown.scenario)}"
    return "/lesson?" + urlencode({"lesson": shown.lesson, "step": shown.place + 1, "open": int(shown.revealed)})


class _Present(RequestHandler):
    """Takes the token from the address, once, and goes on without it."""

    def initialize(self, share: Share, hosts: set[str], start: str) -> None:
        self._share, self._hosts, self._start = share, hosts, start

    def get(self) -> None:
        self.set_header("Cache-Control", "no-store")
        self.set_header("Referrer-Policy", "no-referrer")
        if self.request.host not in self._hosts or not self._share.is_token(self.get_query_argument("token", "")):
            raise HTTPError(403)
        self.set_cookie(COOKIE, self._share.token, path="/", httponly=True, samesite="Strict")
        self._share.change(tab="")  # the page that opens now presents
        self.redirect(home(self._share.shown, self._start))


def routes(share: Share, hosts: set[str], start: str) -> list[tuple[Any, ...]]:
    """What the presenter's server answers besides its pages.

    hosts : the names under which it may be asked
    start : what to open where nothing was shown before, ``lesson`` or nothing
    """
    return [("/present", _Present, {"share": share, "hosts": hosts, "start": start})]
