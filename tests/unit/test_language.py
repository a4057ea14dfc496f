"""Words in the reader's language: how they are said, that catalogues are whole, and that the library keeps to them."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import write_po

from plane3d import language
from plane3d.answers import check_answers
from plane3d.compare import compare, solved
from plane3d.compare import text as comparison
from plane3d.errors import Plane3dError
from plane3d.language import ENGLISH, LANGUAGES, browser_words, current, mark, speaking, tr, trc
from plane3d.lesson import load_any, load_lesson, scenarios_folder
from plane3d.quantities import CHOICES, VIEWS, all_choices, choice_words, quantities, quantity
from plane3d.report import NAMES, text
from plane3d.scenario import load, load_playable, loads
from plane3d.scene.account import account
from plane3d.scene.describe import describe
from plane3d.scene.ghost import ghost
from plane3d.scene.labels import write_labels
from plane3d.scene.parts import Camera, Label
from plane3d.scene.strip import LOOKS, describe_strip, look
from plane3d.studies.contact_map import contact_map, window
from plane3d.talk_track import talk_track
from tests.catalogue import catalogue, template, updated

OTHERS = [name for name in LANGUAGES if name != ENGLISH]
SPANISH = "es"
# What Spanish says as English does: names the trade has taken over, units, and signs.
ALIKE = {
    "Swing", "slider", "metal", "tip", "foul tip", "fair", "Fair", "Foul", "{minutes} min", "letter|T", "letter|L",
    "unit|cm", "tee", "out", "Swings", "swing",
    "1 swing", "{swings} swings", "No",
}  # fmt: skip
# Words that both languages write alike, and names of files, in what the library says.
SHARED = {
    "swing", "foul", "fair", "tip", "slider", "metal", "base", "vertical", "mph", "rpm", "rad", "inhg", "min", "esc",
}  # fmt: skip
ONE_INCH = scenarios_folder() / "01-one-inch-under.toml"
LATE = scenarios_folder() / "05-ten-milliseconds-late.toml"
FOUR_INCHES = scenarios_folder() / "02-four-inches-under.toml"
LESSON = scenarios_folder() / "why-an-inch-matters.toml"


@pytest.fixture
def small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A small catalogue of Spanish in place of the real one, and no session that could be asked."""
    words = Catalog(locale=SPANISH)
    words.add("{gap} below", "a {gap} por debajo", locations=[("plane3d/words.py", 0)])
    words.add("right", "derecha", context="side", locations=[("plane3d/words.py", 0)])
    words.add("right", "correcto", context="answer", locations=[("apps/browser/lesson.js", 0)])
    words.add("Save", "Guardar", locations=[("apps/browser/menu.js", 0), ("plane3d/words.py", 0)])
    words.add("Open", "", locations=[("apps/browser/menu.js", 0)])
    words.add("Close", "Cerrar", flags=["fuzzy"], locations=[("apps/browser/menu.js", 0)])
    with (tmp_path / "es.po").open("wb") as file:
        write_po(file, words)
    monkeypatch.setattr(language, "CATALOGUES", tmp_path)
    monkeypatch.setattr(language, "_sources", [])
    language._catalogue.cache_clear()
    yield
    language._catalogue.cache_clear()


# --- how words are said ----------------------------------------------------------------------------------------------


def test_a_message_is_said_in_the_language_in_use(small: None) -> None:
    assert (current(), tr("Save")) == (ENGLISH, "Save")
    with speaking(SPANISH):
        assert (current(), tr("Save"), tr(mark("Save"))) == (SPANISH, "Guardar", "Guardar")
    assert tr("Save") == mark("Save") == "Save"


def test_values_stand_where_the_language_wants_them(small: None) -> None:
    assert tr("{gap} below", gap="2 in") == "2 in below"
    with speaking(SPANISH):
        assert tr("{gap} below", gap="2 {in}") == "a 2 {in} por debajo"


def test_the_context_tells_two_meanings_apart(small: None) -> None:
    assert trc("side", "right") == trc("answer", "right") == "right"
    with speaking(SPANISH):
        assert (trc("side", "right"), trc("answer", "right")) == ("derecha", "correcto")
        assert tr("right") == "right"


@pytest.mark.parametrize("words", ["Mi {título} propio", "{", "}", "{0}", "100 %", "Open", "Close", ""])
def test_what_no_catalogue_has_comes_back_as_it_is(small: None, words: str) -> None:
    with speaking(SPANISH):
        assert tr(words) == words
        assert trc("side", words) == words
    assert tr(words) == words


def test_speaking_nests_and_ends_with_an_error(small: None) -> None:
    with speaking(SPANISH):
        with speaking(ENGLISH):
            assert tr("Save") == "Save"
        assert tr("Save") == "Guardar"
        with pytest.raises(RuntimeError), speaking(ENGLISH):
            raise RuntimeError
        assert tr("Save") == "Guardar"
    assert current() == ENGLISH


def test_another_thread_speaks_for_itself(small: None) -> None:
    heard: list[str] = []

    def speak() -> None:
        heard.append(tr("Save"))
        with speaking(SPANISH):
            heard.append(tr("Save"))
            asked.set()
            done.wait(10)

    asked, done = threading.Event(), threading.Event()
    thread = threading.Thread(target=speak)
    thread.start()
    asked.wait(10)
    assert tr("Save") == "Save"
    done.set()
    thread.join()
    assert heard == ["Save", "Guardar"]


def test_an_unknown_language_is_english(small: None) -> None:
    for name in ("xx", "", "../es", "ES"):
        with speaking(name):
            assert (current(), tr("Save")) == (ENGLISH, "Save")


def test_a_session_is_asked_unless_somebody_speaks(small: None) -> None:
    answer = SPANISH
    language.ask(lambda: answer)
    assert tr("Save") == "Guardar"
    with speaking(ENGLISH):
        assert tr("Save") == "Save"
    answer = ""
    assert tr("Save") == "Save"


def test_the_browser_gets_the_words_its_scripts_say(small: None) -> None:
    assert browser_words(SPANISH) == {"answer|right": "correcto", "Save": "Guardar"}
    assert browser_words(ENGLISH) == {}


# --- catalogues are whole --------------------------------------------------------------------------------------------


def named(message: Message) -> str:
    return f"{message.context}|{message.id}" if message.context else str(message.id)


def places(text: str) -> set[str]:
    return set(re.findall(r"\{\w*\}", text))


def translated(name: str) -> dict[str, str]:
    """Message, with its context, to what is said instead."""
    return {named(entry): str(entry.string) for entry in catalogue(name) if entry.id and not entry.fuzzy}


@pytest.mark.parametrize("name", OTHERS)
def test_the_catalogue_is_in_line_with_the_code(name: str) -> None:
    path = language.CATALOGUES / f"{name}.po"
    assert path.read_bytes() == updated(name), "run: python -m tests.catalogue"


@pytest.mark.parametrize("name", OTHERS)
def test_every_message_is_translated(name: str) -> None:
    said = translated(name)
    assert [named(entry) for entry in template() if entry.id and not said.get(named(entry), "").strip()] == []


@pytest.mark.parametrize("name", OTHERS)
def test_translations_name_the_same_values(name: str) -> None:
    assert [key for key, said in translated(name).items() if said and places(said) != places(key)] == []


@pytest.mark.parametrize("name", OTHERS)
def test_nothing_is_left_in_english(name: str) -> None:
    same = {key for key, said in translated(name).items() if said == key.rpartition("|")[2]}
    assert {key for key in same if re.search(r"[^\W\d_]", re.sub(r"\{\w*\}", "", key))} - ALIKE == set()


# --- choices and letters ---------------------------------------------------------------------------------------------


def test_every_choice_has_its_words() -> None:
    views = {"side": "Open side", "hitter": "Hitter’s eyes"}
    for key, values in all_choices().items():
        for value in values:
            assert choice_words(key, value) == views.get(value, value.replace("-", " ").capitalize())
            assert value in CHOICES or value in VIEWS or value in ("right", "left")


@pytest.mark.parametrize("name", LANGUAGES)
def test_outcomes_look_different_in_every_language(name: str) -> None:
    with speaking(name):
        looks = [look(kind) for kind in LOOKS]
    for part in ("word", "name", "letter"):
        assert len({getattr(one, part) for one in looks}) == len(LOOKS)
    assert {len(one.letter) for one in looks} == {1}
    assert name != ENGLISH or looks == list(LOOKS.values())


# --- the library keeps to them ---------------------------------------------------------------------------------------


def page() -> list[str]:
    case = solved(load(ONE_INCH))
    return [text(case.scenario.title, case.play.result, case.answer)]


def scenes() -> list[str]:
    said = []
    for path in (ONE_INCH, FOUR_INCHES, LATE):
        case = solved(load(path))
        said += [account(case.play, window(contact_map(case.play.plays))), *describe_strip(case.play).sentences]
        scene = describe(case.play)
        said += [label.text for label in (*scene.labels, *ghost(scene, describe(solved(load(LATE)).play)).labels)]
    return said


def compared() -> list[str]:
    start = solved(load(ONE_INCH))
    cases = [start, solved(load(FOUR_INCHES)), solved(start.scenario.hold(True))]
    said = [comparison(start, other) for other in cases]
    for key in (*quantities(), "bat.material", "hitter.bats", "pitch.throws", "pitch.family", "setting.level"):
        for value in all_choices()[key] if key in all_choices() else (quantity(key).low, quantity(key).high):
            try:
                other = start.scenario.with_values({key: value})
            except Plane3dError:  # a pitch that is not thrown at this level
                continue
            said.append(compare(start, replace(start, scenario=other)).sentence)
    return said


def track() -> list[str]:
    return [talk_track(load_lesson(LESSON))]


HEAD = 'format = 1\ntitle = "x"\n'
STEP = f'{HEAD}[[step]]\nscenario = "a.toml"\n'
MISTAKES = [
    "", "x = ", "format = 2\ntitle = 3\nswing = 4\n", f'{HEAD}[pitch]\nspeed_mph = 300\nfamily = "curv"\nz = 1\n',
    f'{HEAD}[pitch]\nfamily = "rise"\n',
]  # fmt: skip
LESSONS = [
    HEAD, f'{HEAD}scenarios = ["a.toml", "../b"]\n[[step]]\nscenario = "../c"\n[[step]]\nscenario = "c"\n',
    f'{STEP}view = "moon"\nchoices = 3\nseconds = 0\n', f'{STEP}measure = "x"\nfigures = ["y"]\n',
    f'{STEP}choices = [{{says = "x", when = "x"}}, {{says = "y", from = 1}}]\n',
    f'{STEP}choices = [{{says = "x", when = "pop-up"}}]\n',
]  # fmt: skip


def mistakes(folder: Path) -> list[str]:
    """What is said of wrong files."""
    (folder / "a.toml").write_text('format = 1\ntitle = "A"\n', encoding="utf-8")
    (folder / "b.toml").write_text(
        'format = 1\ntitle = "B"\n[pitch]\nspeed_mph = 20\nplate_height_in = 70\n', encoding="utf-8"
    )
    tries: list[Callable[[], Any]] = [lambda text=text: loads(text) for text in MISTAKES]  # type: ignore[misc]
    tries += [lambda: load_any(folder), lambda: load(folder / "none"), lambda: load_playable(folder / "b.toml")]
    found = [told(one) for one in tries]
    for words in LESSONS:
        (folder / "l.toml").write_text(words, encoding="utf-8")
        found.append(told(lambda: check_answers(load_lesson(folder / "l.toml"), "l.toml")))
    return [words.replace(str(folder), "") for words in found]


def told(one: Callable[[], Any]) -> str:
    with pytest.raises(Plane3dError) as caught:
        one()
    return str(caught.value)


@pytest.mark.parametrize("speak", [page, scenes, compared, track])
def test_the_library_says_nothing_in_english_only(
    speak: Callable[[], list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every message said has a translation, and no English word of what is said in English is said in Spanish too."""
    missing = record(monkeypatch)
    plain = speak()
    with speaking(SPANISH):
        spoken = speak()
    assert missing == set()
    assert words(plain) & words(spoken) <= SHARED


def test_mistakes_are_told_in_the_language_in_use(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    missing = record(monkeypatch)
    plain = mistakes(tmp_path)
    with speaking(SPANISH):
        spoken = mistakes(tmp_path)
    assert missing == set()
    assert all(one != other for one, other in zip(plain, spoken, strict=True))


def record(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Messages of the code that were said in Spanish without a translation; what is not of the code has none."""
    of_code = {(entry.context or "", str(entry.id)) for entry in template() if entry.id}
    missing: set[str] = set()
    said = language._said

    def listening(name: str, message: str, context: str = "") -> str:
        if name == SPANISH and (context, message) in of_code and (context, message) not in language._catalogue(name):
            missing.add(f"{context}|{message}")
        return said(name, message, context)

    monkeypatch.setattr(language, "_said", listening)
    return missing


def words(said: list[str]) -> set[str]:
    """The words of three letters and more, without keys of files."""
    plain = re.sub(r"\S*[_=./]\S*", " ", " ".join(said).lower())
    return set(re.findall(r"[^\W\d_]{3,}", plain))


def test_a_viewers_own_words_stay_what_they_are() -> None:
    own = loads('format = 1\ntitle = "Bat {path}"\nquestion = "{what}?"\n')
    with speaking(SPANISH):
        case = solved(own)
        assert text(own.title, case.play.result, case.answer).startswith("Bat {path}\n")
        assert tr(own.question) == "{what}?"
    assert "Bat {path}" in comparison(case, case)


def test_answers_as_numbers_are_the_same_in_every_language() -> None:
    plain = solved(load(ONE_INCH)).answer
    with speaking(SPANISH):
        spoken = solved(load(ONE_INCH)).answer
    assert plain.pop("outcome") | {"sentence": ""} == spoken.pop("outcome") | {"sentence": ""}
    assert plain == spoken
    assert set(NAMES) == set(LOOKS)


def test_pictures_can_write_accents() -> None:
    """A sign the font lacks comes out as the same box whatever it is; accents must differ from one another."""
    camera = Camera((0.0, -5.0, 1.0), (0.0, 0.0, 1.0))
    paper = np.full((240, 320, 3), 255, dtype=np.uint8)
    pictures = {write_labels(paper, [Label("x", 4 * sign, (0.0, 0.0, 1.0))], camera).tobytes() for sign in "áéíóúñ¿¡"}
    assert len(pictures) == 8
