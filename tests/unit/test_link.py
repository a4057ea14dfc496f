"""Scenarios as links: what goes in comes out, and whatever else is given is refused in one sentence."""

from __future__ import annotations

import base64
import re
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from apps.link import CUT, LONG, MAX_LETTERS, NEWER, decode, encode
from plane3d.errors import InputError
from plane3d.lesson import is_lesson, scenarios_folder
from plane3d.play import play
from plane3d.quantities import quantities
from plane3d.report import read_map, report
from plane3d.scenario import load, loads

FILES = sorted(path for path in scenarios_folder().glob("*.toml") if not is_lesson(path))
PLAIN = loads('format = 1\ntitle = "Plain"')
ONE = encode(PLAIN)


def link_of(text: str) -> str:
    """A link with any text inside."""
    return "1" + base64.urlsafe_b64encode(zlib.compress(text.encode("utf-8"), 9)).decode("ascii").rstrip("=")


def refusal(link: str) -> str:
    with pytest.raises(InputError) as caught:
        decode(link)
    return str(caught.value)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_comes_back_as_it_was(path) -> None:  # type: ignore[no-untyped-def]
    scenario = load(path)
    link = encode(scenario)
    again = decode(link)
    assert again.given == scenario.given
    assert again.to_inputs() == scenario.to_inputs()
    assert re.fullmatch(r"[A-Za-z0-9_-]+", link)  # needs no quoting in the fragment of an address (RFC 3986, 3.5)
    assert len(link) < 1000


def test_the_answer_is_the_same_to_the_last_digit() -> None:
    scenario = load(FILES[0]).with_values({"swing.timing_ms": 3.7, "pitch.speed_mph": 77.123456789})
    first, second = (play(s.to_inputs()) for s in (scenario, decode(encode(scenario))))
    assert report(first.result, read_map(first)) == report(second.result, read_map(second))


TYPED = st.text(st.characters(exclude_categories=["Cs"]), max_size=100)


@settings(max_examples=60, deadline=None)
@given(data=st.data(), words=TYPED)
def test_any_values_and_any_words_come_back(data: st.DataObject, words: str) -> None:
    keys = [key for key in quantities() if not key.startswith(("held.", "second_pitch."))]
    chosen = data.draw(st.lists(st.sampled_from(keys), max_size=6, unique=True))
    values = {key: data.draw(st.floats(quantities()[key].low, quantities()[key].high)) for key in chosen}
    scenario = PLAIN.with_values(values | {"notice": words})
    assert decode(encode(scenario)).given == scenario.given


def test_the_longest_scenario_fits() -> None:
    words = {"title": "t" * 120, "question": "".join(map(chr, range(0x4E00, 0x4E00 + 1000))), "notice": "n" * 1000}
    scenario = PLAIN.with_values(words)
    assert decode(encode(scenario)).given == scenario.given


@pytest.mark.parametrize(
    ("link", "why"),
    [
        ("", NEWER),
        ("2" + ONE[1:], NEWER),
        ("javascript:alert(1)", NEWER),
        ("1", CUT),
        (ONE[:-3], CUT),
        (ONE + "AAAA", CUT),
        ("1é", CUT),
        ("1%20", CUT),
        ("1../../etc", CUT),
        ("1" + base64.urlsafe_b64encode(zlib.compress(b"\xff\xfe")).decode().rstrip("="), CUT),
        ("1" + "A" * MAX_LETTERS, LONG),
        (link_of("#" * 3_000_000), LONG),  # a few letters that would fill the memory
    ],
)
def test_what_is_no_link_is_refused_in_one_sentence(link: str, why: str) -> None:
    assert refusal(link) == f"link: {why}"


def test_a_link_is_held_to_the_ranges_of_a_file() -> None:
    text = 'format = 1\ntitle = "x"\n[swing]\ntiming_ms = 99\nspeed = 3\n'
    with pytest.raises(InputError) as caught:
        loads(text, "link")
    assert refusal(link_of(text)) == str(caught.value)
    assert "link:4: swing.timing_ms = 99 must be a number from -60 to 60 ms" in refusal(link_of(text))


@settings(max_examples=200, deadline=None)
@given(st.one_of(st.text(max_size=300), TYPED.map(link_of), st.text("1AZaz09-_", max_size=300).map("1".__add__)))
def test_garbage_never_does_anything_but_be_refused(text: str) -> None:
    with pytest.raises(InputError):
        decode(text)
