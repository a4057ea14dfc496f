"""The documents are true: every block of code in them runs, every link leads somewhere, the site shows them all."""

from __future__ import annotations

import ast
import json
import os
import re
import runpy
import shlex
import shutil
import sys
import tomllib
from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from PIL import Image

from apps.document_list import read, shelf
from apps.documents import document
from plane3d import cli_render, plan
from plane3d.answers import answer
from plane3d.cli import _parser, load_any, main
from plane3d.drills import SUPPLIED, load_drills
from plane3d.export.kinds import Kind
from plane3d.language import speaking
from plane3d.lesson import is_lesson, load_lesson, scenarios_folder
from plane3d.log import Figure, Hitter, Log, Swing, default_path
from plane3d.log import store as log_store
from plane3d.measured.marks_file import loads as loads_marks
from plane3d.pitch_set import complete, is_pitch_set, load_pitch_set
from plane3d.play import play
from plane3d.scenario import load
from plane3d.study import spread, versus

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
SITE = sorted(DOCS.glob("*.md"))
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *SITE]
EVERY = [*PAGES, ROOT / "CHANGELOG.md", *sorted((DOCS / "lessons").rglob("*.md"))]
NAMES = [name for _, names in shelf() for name in names]
MARKDOWN = MarkdownIt("commonmark").enable("table")
Capture = pytest.CaptureFixture[str]

# Commands that no test can run, by how they begin, and why.
NOT_RUN = {
    "python3 .ci/task.py": "installs everything, and runs the tests from within themselves",
    ".venv/bin/": "checks that the test command has run just before",
    "uv pip compile": "asks a package registry",
    "pip install mutmut": "asks a package registry",
    "mutmut run": "takes half an hour",
    "python -m tests.catalogue": "writes into the project",
    "python -m tests.fuzz": "takes minutes; a part of it is a test of its own",
    "python -m tests.soak": "takes minutes",
    "plane3d serve": "runs until it is stopped; its arguments are read and its file is opened",
}
NO_ADDRESS = "no page needs the network: an outside address would be a promise that nothing here keeps"
QUOTES_SHARES = ("worked-example.md",)  # pages that quote what thousands of swings give; others make do with fewer
FEWER = 200
HITTER = "under-12 contact hitter"  # whom the page about the log speaks of
WRITTEN_TEXT = (".md", ".csv", ".toml")  # of files whose lines a page may quote


# --- blocks of code --------------------------------------------------------------------------------------------------


def blocks(path: Path) -> list[tuple[str, str]]:
    """Language and text of each block, in order. Text that quotes what the commands above it print is "printed"."""
    found, above = [], ""
    for part in MARKDOWN.parse(path.read_text(encoding="utf-8")):
        if part.type == "heading_open":
            above = ""
        elif part.type == "fence":
            kind = part.info.strip()
            found.append(("printed" if (above, kind) == ("sh", "text") else kind, part.content))
            above = kind
    return found


def commands(text: str) -> Iterator[list[str]]:
    """The commands of a block as words, names of files spelled out."""
    for line in re.sub(r"\\\n", " ", text).split("\n"):
        for part in line.split("&&"):
            words = shlex.split(part, comments=True)
            spelled = [sorted(map(str, Path().glob(word))) if "*" in word else [word] for word in words]
            if words:
                yield [word for each in spelled for word in each]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to run a page in: the scenarios lie in it, the log is its own, drawing leaves a short file instead."""
    (tmp_path / "scenarios").symlink_to(scenarios_folder())
    paths = os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    monkeypatch.setenv("PYTHONPATH", paths)  # for the process that draws
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(log_store.platformdirs, "user_data_path", lambda *_, **__: tmp_path)
    figures = {"bat_speed_mph": Figure(51.0, uncertainty=1.0)}
    log = Log(default_path())
    log.add_hitter(Hitter(HITTER, bats="left", level="under-12"))
    log.add_swings(HITTER, [Swing(date(2026, 3, day), figures) for day in (1, 8, 15, 22)])

    def make(subject: object, path: Path, *rest: object) -> None:
        path.write_text("made")

    def instead() -> dict[str, Kind]:
        return {
            name: Kind(make, heeds=kind.heeds, files=kind.files, lesson=make if kind.lesson else None)
            for name, kind in real().items()
        }

    real = cli_render.all_kinds
    monkeypatch.setattr(cli_render, "all_kinds", instead)
    monkeypatch.setattr("builtins.input", lambda question: HITTER if "the code" in question else "yes")
    return tmp_path


def run(words: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """One command of a page; those of `NOT_RUN` are only read."""
    if words[:2] == ["plane3d", "serve"]:
        options = _parser().parse_args(words[1:])
        assert options.file is None or load_any(options.file)
    elif words[0] == "plane3d":
        assert main(words[1:]) == 0, words
    elif words[0] == "cp":
        shutil.copy(*words[1:])
    elif words[:2] == ["python", "-m"] and words[2].startswith("plane3d."):
        monkeypatch.setattr(sys, "argv", words[2:])
        runpy.run_module(words[2], run_name="__main__")
    else:
        assert " ".join(words).startswith(tuple(NOT_RUN)), f"{words}: neither run nor listed"


def load_toml(text: str, path: Path) -> None:
    """A file as plane3d reads it, by what it holds."""
    path.write_text(text, encoding="utf-8")
    given = tomllib.loads(text)
    if "drill" in given:
        name = given["drill"][0]["name"]
        others = SUPPLIED.read_text(encoding="utf-8").replace(f'"{name}"', '"Another"')
        path.write_text(
            text + others[others.index("[[drill]]") :], encoding="utf-8"
        )  # there must be enough for every age
        assert load_drills(path)[0].name == name
    elif is_lesson(path):
        assert all(answer(step) for step in load_lesson(path).steps)
    elif is_pitch_set(path):
        assert complete(load_pitch_set(path), load(scenarios_folder() / "01-one-inch-under.toml"))
    else:
        assert play(load(path).to_inputs()).result


# What must come of the Python on a page: of its folder and of what it printed.
COMES_OF: dict[str, Callable[[Path, str], bool]] = {
    "log.md": lambda made, said: (made / "hitters-backup.sqlite").is_file() and "with 1 swing" in said,
    "measured.md": lambda made, said: "At contact, ± 95 %" in said and "mph" in said,
    "render.md": lambda made, said: Image.open(made / "under.png").size == (1280, 720),  # drawn for real
    "adding.md": lambda made, said: "mph" in said or "balance" in said,
}


@pytest.mark.filterwarnings("ignore:.*found in sys.modules")  # a module run as a program, as a reader would
@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_every_block_runs(path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    printed = ""
    if path.name not in QUOTES_SHARES:
        for study in (spread, versus, plan):
            monkeypatch.setattr(study, "PLAYS", FEWER)
    for number, (kind, text) in enumerate(blocks(path)):
        if kind == "sh":
            for words in commands(text):
                run(words, monkeypatch)
                if "-o" in words and (made := Path(words[words.index("-o") + 1])).suffix in WRITTEN_TEXT:
                    print(made.read_text(encoding="utf-8"))
            printed = capsys.readouterr().out
        elif kind == "python":
            exec(compile(text, f"{path.name}, block {number}", "exec"), {})
            printed = capsys.readouterr().out
            assert path.name not in COMES_OF or COMES_OF[path.name](folder, printed)
        elif kind == "toml":
            for name in ("01-one-inch-under", "08-matched-swing", "09-steep-swing"):  # a lesson's lie beside it
                (folder / f"{name}.toml").write_bytes((scenarios_folder() / f"{name}.toml").read_bytes())
            load_toml(text, folder / "block.toml")
        elif kind == "json":
            assert loads_marks(text) if "plane3d_marks" in text else json.loads(text)
        elif kind == "printed":
            assert not [line for line in text.splitlines() if line not in printed.splitlines()], printed
        else:
            assert kind in ("", "text"), f"{kind}: no test reads such a block"  # formulas, heads of tables, trees


def test_reasons_are_not_out_of_date() -> None:
    said = [line for path in PAGES for kind, text in blocks(path) if kind == "sh" for line in text.splitlines()]
    assert not [start for start in NOT_RUN if not any(start in line for line in said)]


# --- links -----------------------------------------------------------------------------------------------------------


@cache
def links(path: Path) -> list[str]:
    """Where the links and pictures of a page lead."""
    inline = [child for part in MARKDOWN.parse(path.read_text(encoding="utf-8")) for child in part.children or ()]
    return [
        str(child.attrGet("href") or child.attrGet("src")) for child in inline if child.type in ("link_open", "image")
    ]


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_link_leads_somewhere(path: Path) -> None:
    for link in links(path):
        name, _, anchor = link.partition("#")
        there = (path.parent / name) if name else path
        assert there.is_file(), link
        assert not anchor or anchor in {heading.anchor for heading in read(there).headings}, link
        inside = DOCS not in path.parents or DOCS in there.resolve().parents
        assert inside, f"{link} is not on the site"
    assert "://" not in path.read_text(encoding="utf-8"), NO_ADDRESS


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_files_that_a_page_names_are_there(path: Path) -> None:
    named = re.findall(r"`(?:python )?((?:plane3d|apps|tests|docs|scenarios|\.ci)/[\w./*-]+)", path.read_text("utf-8"))
    assert not [name for name in named if "NAME" not in name and not list(ROOT.glob(name.rstrip("/")))]


def test_files_in_the_layout_are_there() -> None:
    layout = next(text for kind, text in blocks(ROOT / "DEVELOPERS.md") if not kind)
    there = {path.name for folder in ("plane3d", "apps") for path in (ROOT / folder).rglob("*.py")}
    assert set(re.findall(r"\w+\.py", layout)) <= there


def test_documents_that_the_code_names_are_there() -> None:
    files = [path for folder in ("plane3d", "apps") for path in (ROOT / folder).rglob("*") if path.is_file()]
    texts = [path.read_text("utf-8") for path in files if path.suffix in (".py", ".js", ".html")]
    named = {found for text in texts for found in re.findall(r"\bdocs/([a-z-]+\.md)(?:#([\w-]+))?", text)}
    assert ("model.md", "") in named
    for name, anchor in named:
        assert (DOCS / name).is_file()
        assert not anchor or anchor in {heading.anchor for heading in read(DOCS / name).headings}


# --- the site --------------------------------------------------------------------------------------------------------


class Seen(HTMLParser):
    """What stands in a page: names of its places, links, pictures, and its neighbours."""

    def __init__(self, page: str):
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.pictures: list[str] = []
        self.here: list[str] = []
        self.neighbours: dict[str, str] = {}
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.ids += [given["id"]] if "id" in given else []
        self.links += [given["href"]] if tag == "a" else []
        self.pictures += [given["src"]] if tag == "img" else []
        self.here += [given["href"]] if "aria-current" in given else []
        if "rel" in given and tag == "a":
            self.neighbours[given["rel"]] = given["href"]


@cache
def seen(name: str) -> Seen:
    return Seen(document(name))


def test_every_document_is_on_the_list_once() -> None:
    files = [*SITE, *(DOCS / "lessons").glob("*.md")]
    assert sorted(NAMES) == sorted(path.relative_to(DOCS).with_suffix("").as_posix() for path in files)
    assert NAMES[0] == "index"


@pytest.mark.parametrize("name", NAMES)
def test_a_page_of_the_site(name: str) -> None:
    page, at = seen(name), NAMES.index(name)
    listed = [link for link in page.links if link.startswith("/docs/")]
    assert listed[: len(NAMES)] == [f"/docs/{other}.md" for other in NAMES]
    assert page.here == [f"/docs/{name}.md"]
    assert page.neighbours.get("prev") == (f"/docs/{NAMES[at - 1]}.md" if at else None)
    assert page.neighbours.get("next") == (f"/docs/{NAMES[at + 1]}.md" if at + 1 < len(NAMES) else None)
    assert len(page.ids) == len(set(page.ids))
    assert not [link for link in page.links if link.startswith("#") and link[1:] not in page.ids]
    assert not [picture for picture in page.pictures if not (DOCS / name).parent.joinpath(picture).is_file()]
    assert "<!--" not in document(name) and "&lt;!--" not in document(name)


def test_the_search_knows_every_heading() -> None:
    (found,) = re.findall(r'id="headings">(.*?)</script>', document("model"))
    for page, name in zip(json.loads(found), NAMES, strict=True):
        assert page["address"] == f"/docs/{name}.md"
        assert {anchor for anchor, _ in page["headings"]} < set(seen(name).ids)
    assert ["dip", "Contact window and dip"] not in json.loads(found)[0]["headings"]
    assert any(["contact-window-and-dip", "Contact window and dip"] in page["headings"] for page in json.loads(found))


def test_the_list_is_said_in_the_readers_language() -> None:
    with speaking("es"):
        page, track = document("model"), document("lessons/inside-the-ball")
    assert '<html lang="en">' in page and '<nav class="side" lang="es"' in page
    assert '<html lang="es">' in track


# --- the code says what it is ----------------------------------------------------------------------------------------


def test_every_module_says_in_one_sentence_what_it_is() -> None:
    modules = [path for folder in ("plane3d", "apps") for path in sorted((ROOT / folder).rglob("*.py"))]
    said = {path: (ast.get_docstring(ast.parse(path.read_text("utf-8"))) or "").partition("\n")[0] for path in modules}
    assert not [str(path.relative_to(ROOT)) for path, line in said.items() if not line.endswith(".")]
