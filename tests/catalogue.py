"""The catalogues of words, made from the code: ``python -m tests.catalogue`` brings them in line with it.

Words are taken from Python, scripts and pages of the browser, and from the scenarios and lessons that come with
plane3d. New ones come into each catalogue without a translation, those no longer used are dropped.
"""

from __future__ import annotations

import io
import tomllib
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_file
from babel.messages.pofile import read_po, write_po

from plane3d.drills import load_drills
from plane3d.language import CATALOGUES, ENGLISH, LANGUAGES
from plane3d.quantities import all_quantities

ROOT = Path(__file__).parents[1]
# The name of each function that says a message, and which of its arguments are context and message.
KEYWORDS = {"tr": None, "mark": None, "trc": ((1, "c"), 2)}
METHODS = {".py": "python", ".js": "javascript", ".html": "jinja2.ext:babel_extract"}
SAID_IN_FILES = ("title", "question", "notice", "say", "close", "caution", "prepare", "says")
WIDTH = 110
# Parts of a catalogue's head that tell nothing here, or the day.
UNSAID = ("Project", "Report", "POT-Creation", "PO-Revision", "Last-Translator", "Language-Team", "Generated")


def sources() -> Iterator[Path]:
    """Every file that says something to a reader."""
    for folder in ("plane3d", "apps"):
        for ending in METHODS:
            yield from sorted((ROOT / folder).rglob(f"*{ending}"))


def template() -> Catalog:
    """Every message there is, in English, with the files it stands in."""
    found = Catalog(project="plane3d", charset="utf-8")
    for path in sources():
        name = path.relative_to(ROOT).as_posix()
        for _, message, comments, context in extract_from_file(METHODS[path.suffix], path, keywords=KEYWORDS):
            found.add(message, locations=[(name, 0)], auto_comments=comments, context=context)
    for quantity in all_quantities().values():
        for text in (quantity.label, quantity.doc):
            found.add(text, locations=[("plane3d/quantities.py", 0)])
    for path in sorted((ROOT / "scenarios").rglob("*.toml")):
        for text in _said(tomllib.loads(path.read_text(encoding="utf-8"))):
            found.add(text, locations=[(f"scenarios/{path.name}", 0)])
    for drill in load_drills():
        for text in (drill.name, drill.setup, *drill.do, drill.cue, *drill.equipment, drill.caution, drill.measure):
            if text:
                found.add(text, locations=[("plane3d/drills.toml", 0)])
    return found


def _said(values: object) -> Iterator[str]:
    """The texts of a scenario or a lesson that are shown."""
    if isinstance(values, list):
        for value in values:
            yield from _said(value)
    elif isinstance(values, dict):
        for key, value in values.items():
            if isinstance(value, str) and key in SAID_IN_FILES and value:
                yield value
            elif isinstance(value, dict | list):
                yield from _said(value)


def catalogue(language: str) -> Catalog:
    """A catalogue as it stands in its file, or an empty one."""
    path = CATALOGUES / f"{language}.po"
    if not path.exists():
        return Catalog(locale=language, project="plane3d", charset="utf-8")
    with path.open("rb") as file:
        return read_po(file, locale=language)


def updated(language: str) -> bytes:
    """A catalogue in line with the code, as bytes of its file; nothing in it depends on the day."""
    found = catalogue(language)
    found.update(template(), no_fuzzy_matching=True)
    found.obsolete.clear()
    found.header_comment = f"# What plane3d says in {LANGUAGES[language]}; see plane3d/language.py."
    found.fuzzy = False
    text = io.BytesIO()
    write_po(text, found, width=WIDTH, include_lineno=False, sort_by_file=True)
    lines = text.getvalue().decode("utf-8").splitlines(keepends=True)
    unsaid = tuple(f'"{key}' for key in UNSAID)
    return "".join(line for line in lines if not line.startswith(unsaid)).encode("utf-8")


def write() -> None:
    """Bring every catalogue in line with the code."""
    for language in LANGUAGES:
        if language != ENGLISH:
            (CATALOGUES / f"{language}.po").write_bytes(updated(language))


if __name__ == "__main__":
    write()
