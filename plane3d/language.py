"""The words a reader sees, in the reader's language.

Messages stand in English where they are used: ``tr("...")``, or ``mark("...")`` where a message is only named and said
later. Every other language has one catalogue, ``catalogues/<language>.po``; what a catalogue lacks is said in English,
and so are a viewer's own words. ``python -m tests.catalogue`` brings the catalogues in line with the code.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

LANGUAGES = {"en": "English", "es": "Español"}  # each by the name it gives itself
ENGLISH = "en"
CATALOGUES = Path(__file__).parent / "catalogues"

_spoken: ContextVar[str] = ContextVar("spoken", default="")
_sources: list[Callable[[], str]] = []  # asked where nobody has said otherwise; at most one


def tr(message: str, **values: object) -> str:
    """A message in the language in use, with values put in the places it names in braces."""
    said = _said(current(), message)
    return said.format(**values) if values else said


def trc(context: str, message: str, **values: object) -> str:
    """The same for a message that another language says in more than one way; the context tells which is meant."""
    said = _said(current(), message, context)
    return said.format(**values) if values else said


def mark(message: str) -> str:
    """The message itself; it is put into the catalogues and said later with `tr`."""
    return message


def current() -> str:
    """The language in use, one of `LANGUAGES`: that of `speaking`, or else of the session, or else English."""
    return _spoken.get() or (_sources[0]() if _sources else "") or ENGLISH


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Say everything within in this language."""
    before = _spoken.set(language if language in LANGUAGES else ENGLISH)
    try:
        yield
    finally:
        _spoken.reset(before)


def ask(source: Callable[[], str]) -> None:
    """Where to ask for the language of the session at hand; an empty answer means that there is none."""
    _sources[:] = [source]


def browser_words(language: str) -> dict[str, str]:
    """The messages said by scripts of the page, which look them up themselves; with context as ``context|message``."""
    return {
        f"{context}|{message}" if context else message: said
        for (context, message), (said, in_browser) in _catalogue(language).items()
        if in_browser
    }


def _said(language: str, message: str, context: str = "") -> str:
    said, _ = _catalogue(language).get((context, message), ("", False))
    return said or message


@cache
def _catalogue(language: str) -> dict[tuple[str, str], tuple[str, bool]]:
    """Context and message to what is said instead, and whether a script of the page says it."""
    if language == ENGLISH:
        return {}
    from babel.messages.pofile import read_po  # here, because English needs none of it

    with (CATALOGUES / f"{language}.po").open("rb") as file:
        found = read_po(file, locale=language)
    return {
        (entry.context or "", str(entry.id)): (
            str(entry.string),
            any(name.startswith("apps/browser/") for name, _ in entry.locations),
        )
        for entry in found
        if entry.id and entry.string and not entry.fuzzy
    }
