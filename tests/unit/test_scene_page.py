"""The file of a scene: what stands in it, that nothing in it can do harm, and that its inputs come out again."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import zlib
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import panel
import pytest

from apps.bundle import bundle
from apps.scene_page import lesson_page, scene_page
from plane3d.drills import CAUTIONS, COMES_FIRST
from plane3d.errors import Plane3dError
from plane3d.language import speaking, tr
from plane3d.lesson import load_lesson, scenarios_folder
from plane3d.play import play
from plane3d.report import sentence
from plane3d.scenario import load, loads
from plane3d.scene.staged import staged

MOST = 3_000_000  # bytes, as promised
INCH = load(scenarios_folder() / "01-one-inch-under.toml")
TWO_PITCHES = load(scenarios_folder() / "14-two-pitches-one-hand.toml")
LESSON = load_lesson(scenarios_folder() / "staying-on-the-pitch.toml")
HARM = '</script></template></style><script>window.harmed = 1</script><img src=x onerror="window.harmed = 1"><!--'


class Document(HTMLParser):
    """The elements of a page, and the text within those that have an id."""

    def __init__(self, text: str):
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[str, str] = {}
        self.scripts: list[str] = []
        self._in: str | None = None
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "script":
            self._in = dict(attrs).get("id") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "script":
            self._in = None

    def handle_data(self, data: str) -> None:
        if self._in == "":
            self.scripts.append(data)
        elif self._in:
            self.texts[self._in] = self.texts.get(self._in, "") + data

    def meta(self, name: str) -> str:
        return next(a["content"] or "" for tag, a in self.tags if tag == "meta" and a.get("http-equiv") == name)

    @property
    def steps(self) -> list[dict[str, Any]]:
        return json.loads(self.texts["steps"])

    def unpacked(self, name: str) -> bytes:
        return zlib.decompress(base64.b64decode(self.texts[name]))


@pytest.fixture(scope="module")
def one() -> str:
    return scene_page([INCH], INCH.title)


@pytest.fixture(scope="module")
def lesson() -> str:
    return lesson_page(LESSON)


def test_files_are_small(one: str, lesson: str) -> None:
    assert len(one.encode()) < 0.5 * MOST
    assert len(lesson.encode()) < MOST
    many = scene_page([INCH.with_values({"swing.timing_ms": place}) for place in range(20)], "Twenty")
    assert len(many.encode()) < MOST


def test_the_words_and_the_numbers_can_be_read_without_scripts(one: str) -> None:
    body = one.partition("<body>")[2].partition('<script type="application/json"')[0]
    for words in (INCH.question, INCH.notice, sentence(play(INCH.to_inputs()).result), "Exit speed", "Undercut"):
        assert words in body
    assert all(words in body for words in (*CAUTIONS, COMES_FIRST))  # test_drills: they are those of README
    assert "Made with plane3d from “One inch under”" in body and "inputs are in this file" in body


def test_a_question_stands_without_its_answer(lesson: str) -> None:
    document = Document(lesson)
    body = lesson.partition("<body>")[2].partition('<script type="application/json"')[0]
    assert LESSON.steps[0].question in body
    assert document.steps[0]["answer"]["sentence"] not in body
    assert [step["question"] for step in document.steps] == [step.question for step in LESSON.steps]
    for said, step in zip(document.steps, LESSON.steps, strict=True):
        assert said["choices"] == [choice.says for choice in step.choices]
        assert said["scene"]["motion"]["contact_time"] is None
        assert "batted ball" not in said["scene"]["labels"] and "camera" not in said["answer"]["scene"]
        assert 0 <= said["answer"]["right"] < len(step.choices)
    assert document.steps[-1]["answer"]["close"] == LESSON.close


@pytest.mark.parametrize("scenario", [INCH, TWO_PITCHES, INCH.hold(True)], ids=["aimed", "two pitches", "held"])
def test_the_scenario_comes_out_again(scenario: Any) -> None:
    (step,) = Document(scene_page([scenario], scenario.title)).steps
    again = loads(step["toml"])
    assert again == scenario and again.given == scenario.given
    assert re.fullmatch(r"[a-z0-9-]+\.toml", step["file"])


def test_the_picture_in_the_file_is_the_scene_of_the_page(one: str) -> None:
    document = Document(one)
    table, data = document.steps[0]["answer"]["scene"], document.unpacked("scenes")
    scene = staged(INCH, play(INCH.to_inputs()))

    def array(place: dict[str, Any]) -> np.ndarray:
        return np.frombuffer(data, {"f4": "<f4", "i4": "<i4"}[place["kind"]], place["length"], place["offset"])

    for kind in ("meshes", "tubes", "marks"):
        parts = getattr(scene, kind)
        assert list(table[kind]) == [part.name for part in parts]
        for part in parts:
            assert (array(table[kind][part.name]["points"]) == part.points.ravel()).all()
    assert (array(table["motion"]["bat_position"]) == scene.motion.bat_position.ravel()).all()
    assert list(table["cameras"]) == list(scene.cameras)  # their order is that of the buttons
    assert (table["camera"], table["background"]) == (scene.camera, list(scene.background))


def test_only_the_two_scripts_may_run_and_nothing_may_be_asked_for(lesson: str) -> None:
    document = Document(lesson)
    policy = dict(part.strip().split(" ", 1) for part in document.meta("Content-Security-Policy").split(";"))
    (script,) = document.scripts
    drawing = document.unpacked("drawing")
    allowed = {
        f"'sha256-{base64.b64encode(hashlib.sha256(text).digest()).decode()}'" for text in (script.encode(), drawing)
    }
    assert set(policy["script-src"].split()) == allowed
    assert policy["default-src"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert set(policy) == {"default-src", "script-src", "style-src", "img-src", "base-uri", "form-action"}
    (library,) = Path(panel.__file__).parent.glob("dist/bundled/abstractvtkplot/vtk.js@*/vtk.js")
    assert drawing == library.read_bytes()
    assert set(re.findall(r"\w+://[\w.]+", lesson)) <= {"http://www.w3.org"}  # a name of SVG, not an address
    assert not [a for _, a in document.tags if (a.get("src") or a.get("href") or "data:").partition(":")[0] != "data"]
    assert "Redistributions in binary form" in lesson  # which the library's licence asks for


def test_what_a_scenario_says_stays_text(one: str) -> None:
    words = {"title": f"A {HARM[:100]}", "question": HARM, "notice": HARM}
    document = Document(scene_page([INCH.with_values(words)], HARM))
    shape = [tag for tag, _ in document.tags]
    assert shape == [tag for tag, _ in Document(one).tags]
    assert document.steps[0]["question"] == document.steps[0]["answer"]["notice"] == HARM
    assert loads(document.steps[0]["toml"]).question == HARM


def test_in_spanish_metric_and_dark() -> None:
    text = scene_page([INCH], INCH.title, metric=True, language="es", theme="dark")
    assert '<html lang="es" data-theme="dark">' in text
    with speaking("es"):
        assert all(tr(line) in text for line in (INCH.title, "Numbers", *CAUTIONS))
    assert "km/h" in text and " mph" not in text.partition("<script")[0]
    assert Document(text).steps[0]["answer"]["scene"]["theme"] == "dark"


def test_what_cannot_be_shown_is_said() -> None:
    slow = INCH.with_values({"title": "Lob", "pitch.speed_mph": 20})
    with pytest.raises(Plane3dError, match=r"^Lob: This pitch cannot reach"):
        scene_page([INCH, slow], "Two")
    with pytest.raises(Plane3dError, match="no scenario"):
        scene_page([], "None")


def test_scripts_become_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("apps.browser_files.BROWSER", tmp_path)

    def write(name: str, text: str) -> None:
        (tmp_path / f"{name}.js").write_text(text, encoding="utf-8")

    write("b", "export const one = 1\nexport function two() { return 2 }\n")
    write("a", 'import { one, two as zwei } from "plane3d/b"\nimport {\n  one as eins,\n} from "plane3d/b"\nzwei()\n')
    whole = bundle("a")
    assert "import " not in whole and "export " not in whole
    assert whole.index("const plane3d_b") < whole.index("const { one, two: zwei } = plane3d_b")
    assert "return { one, two }" in whole and "one: eins" in whole
    for wrong in ('import x from "plane3d/b"\n', "export default 1\n", 'import "plane3d/b"\n', 'f("</script>")\n'):
        write("c", wrong)
        with pytest.raises(ValueError, match=r"not known|must not hold"):
            bundle("c")
