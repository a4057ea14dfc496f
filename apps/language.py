"""The language of a session: what its viewer chose, or else what the browser asks for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from weakref import WeakKeyDictionary

import panel as pn
from bokeh.document import Document

from plane3d import language
from plane3d.language import ENGLISH, LANGUAGES

COOKIE = "plane3d-language"  # set by browser/menu.js

_sessions: WeakKeyDictionary[Document, str] = WeakKeyDictionary()


def wanted(cookies: Mapping[str, str], headers: Mapping[str, str]) -> str:
    """The first language there is of: the viewer's choice, those the browser asks for in order, English."""
    asked = re.findall(r"(?:^|,)\s*([a-z]{2})(?![a-z])", headers.get("Accept-Language", ""), re.IGNORECASE)
    chosen = (cookies.get(COOKIE, ""), *(name.lower() for name in asked), ENGLISH)
    return next(name for name in chosen if name in LANGUAGES)


def of_session() -> str:
    """The language of the session at hand; empty where there is none. It stays the same for the session's life."""
    doc = pn.state.curdoc
    if doc is None or doc.session_context is None:
        return ""
    if doc not in _sessions:
        _sessions[doc] = wanted(pn.state.cookies, pn.state.headers)
    return _sessions[doc]


language.ask(of_session)
