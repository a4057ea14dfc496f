"""Files of marks: what is written is read back, every broken file is one sentence, and the marks give the swing."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plane3d.cli import main
from plane3d.errors import InputError
from plane3d.lesson import scenarios_folder
from plane3d.measured.cameras import MarksError
from plane3d.measured.marks_file import MOST_BYTES, MOST_MARKS, MarksFile, View, dumps, loads
from plane3d.measured.video import block, camera_rows, known_misses, mark_misses, point_rows, run, text
from tests.films import ONE_INCH, SIDE_ON, SMALL, STICK, filmed, marks_of

TWO = marks_of(filmed(240.0))
ONE = MarksFile((replace(marks_of(filmed(240.0, (SIDE_ON,))).views[0], distance=5.2),), STICK)
GOOD = json.loads(dumps(TWO))


def refused(text: str) -> str:
    """The one sentence with which a file is refused."""
    with pytest.raises(InputError) as caught:
        loads(text, "work.marks.json")
    told = str(caught.value)
    assert told.startswith("work.marks.json") and "\n" not in told and len(told) < 500
    return told


def changed(*path: str | int, to: Any) -> str:
    """The good file with another value at a place."""
    whole = json.loads(json.dumps(GOOD))
    there = whole
    for part in path[:-1]:
        there = there[part]
    there[path[-1]] = to
    return json.dumps(whole)


@pytest.mark.parametrize("file", [TWO, ONE, MarksFile((View(),)), MarksFile((View("a"), View("b")), 1.0, "Año ½")])
def test_what_is_written_is_read_back(file: MarksFile) -> None:
    assert loads(dumps(file)) == file
    assert loads("\ufeff" + dumps(file).replace("\n", "\r\n")) == file


KNOB = ("views", 0, "marks", "knob")
FAULTS: dict[str, tuple[str, str]] = {
    "empty": ("", "cut short"),
    "cut": (dumps(TWO)[:500], "cut short"),
    "another file": ("time_s,knob_x_m\n1,2\n", "no file of marks"),
    "another object": ('{"type": "FeatureCollection"}', "does not say plane3d_marks"),
    "a list": ("[1, 2]", "does not say plane3d_marks"),
    "newer": (changed("plane3d_marks", to=2), "the only format"),
    "no number": (changed("views", 0, "rate_hz", to=float("nan")), "NaN, which is no number"),
    "no end": (changed("views", 1, "contact", to=float("-inf")), "-Infinity, which is no number"),
    "overflow": (dumps(TWO).replace("240.0", "1e999", 1), "views[0].rate_hz = inf must be a number from 1"),
    "thousands of digits": (dumps(TWO).replace("240.0", "9" * 5000, 1), "a huge number"),
    "hundreds of digits": (dumps(TWO).replace("240.0", "9" * 400, 1), "views[0].rate_hz"),
    "rate as text": (changed("views", 0, "rate_hz", to="240"), 'views[0].rate_hz = "240" must be a number'),
    "rate of nothing": (changed("views", 0, "rate_hz", to=0), "views[0].rate_hz = 0 must be"),
    "rate true": (changed("views", 0, "rate_hz", to=True), "must be a number from 1"),
    "stick in cm": (changed("stick_m", to=120), "stick_m = 120 must be a number from 0.1 to 5"),
    "no views": (changed("views", to=[]), "one or two views"),
    "views missing": ('{"plane3d_marks": 1}', "views is missing; it must be a list"),
    "three views": (changed("views", to=GOOD["views"] * 2), "one or two views"),
    "a view that is none": (changed("views", 1, to=7), "views[1] = 7 must be a list of one or two views"),
    "three sides": (changed("views", 0, "size", to=[1, 2, 3]), "views[0].size = [1, 2, 3] must be width and height"),
    "half a pixel": (changed("views", 0, "size", to=[1920.5, 1080]), "whole px"),
    "no size": (changed("views", 0, "size", to=None), "whose size it does not say"),
    "unknown key": (changed("views", 0, "lens", to=4), "views[0].lens is not known here"),
    "unknown point": (changed("views", 0, "known", "nose", to=[1, 2]), "views[0].known.nose is not known here"),
    "unknown part": (changed("views", 0, "marks", "glove", to={}), "known are: knob, tip, ball"),
    "frame as a name": (changed(*KNOB, "first", to=[1, 2]), "knob.first is not known here; known are: a whole number"),
    "frame 038": (changed(*KNOB, "038", to=[1, 2]), "a whole number"),
    "a frame twice": (dumps(TWO).replace('"38":', '"37":', 1), 'says "37" twice'),
    "one coordinate": (changed(*KNOB, "38", to=[1.0]), "each two numbers"),
    "a mark of text": (changed(*KNOB, "38", to=["1", 2]), "each two numbers"),
    "a mark far away": (changed(*KNOB, "38", to=[1e9, 2]), "each two numbers"),
    "too many marks": (changed(*KNOB, to={str(k): [1, 2] for k in range(MOST_MARKS + 1)}), "more than 500 marks"),
    "nested": ("[" * 200_000, "nested too deeply"),
    "nested objects": ('{"a":' * 100_000 + "1" + "}" * 100_000, "nested too deeply"),
    "large": (" " * (MOST_BYTES + 1), "larger than 2 MB"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_every_broken_file_is_one_sentence(name: str) -> None:
    broken, said = FAULTS[name]
    assert said in refused(broken)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(dumps(TWO)) - 1), st.text('0123456789-+.eE"{}[]:,nult \\\x00\ud800é', max_size=4))
def test_a_spoilt_file_is_read_or_refused(place: int, other: str) -> None:
    """A small fuzz: a stretch of the file put anew, or the file cut there. Nothing but InputError may come out."""
    whole = dumps(TWO)
    for spoilt in (whole[:place] + other + whole[place + len(other) :], whole[:place] + other):
        try:
            loads(spoilt)
        except InputError as error:
            assert str(error)


@settings(max_examples=100, deadline=None)
@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*GOOD, *GOOD["views"][0]]), inner),
        max_leaves=12,
    ),
    st.sampled_from([("views",), ("views", 0), ("views", 1, "known"), KNOB, (*KNOB, "38"), ("views", 0, "size")]),
)
def test_values_of_any_kind_are_read_or_refused(value: Any, path: tuple[str | int, ...]) -> None:
    try:
        loads(changed(*path, to=value))
    except InputError as error:
        assert str(error)


# --- what the marks tell ---------------------------------------------------------------------------------------------


def test_two_views_give_the_swing() -> None:
    """Marks of the project's own scene through known cameras, 0.3 px off; truth is the scenario's."""
    answer = run(TWO, ONE_INCH, "work")
    assert answer.found is not None and answer.plane is None
    true = {name: getattr(ONE_INCH.to_inputs().swing, name) for name in ("bat_speed", "attack_angle", "below_line")}
    for name, value in true.items():
        figure = answer.found.figures[name]
        assert abs(figure.value - value) < 2 * max(figure.half, 1e-3), name
    told = block(answer)
    assert [one["misfit_px"] < 1.5 for one in told["cameras"]] == [True, True]
    assert np.abs(told["cameras"][0]["place_m"][0] - SIDE_ON.position[0]) < 0.2
    assert told["points"]["knob"]["points"] > 20 and told["points"]["knob"]["off_px"] < 1.5
    words = text(answer)
    assert "bat speed" in words and "stands" in words and "docs/model.md" in words


def test_the_example_that_comes_with_plane3d_holds_the_truth() -> None:
    file = loads((scenarios_folder() / "films" / "films.marks.json").read_text(encoding="utf-8"))
    assert file == replace(marks_of(filmed(240.0, size=SMALL), off=0.4), note=file.note) and "Invented" in file.note
    answer = run(file, ONE_INCH, "films")
    assert answer.found is not None
    for name in ("bat_speed", "attack_angle", "below_line"):
        figure = answer.found.figures[name]
        assert figure.low < getattr(ONE_INCH.to_inputs().swing, name) < figure.high


def test_one_view_gives_plane_figures_with_a_warning() -> None:
    answer = run(ONE, ONE_INCH, "work")
    assert answer.plane is not None and answer.found is None
    value, error = answer.plane.attack_angle
    assert abs(value - ONE_INCH.to_inputs().swing.attack_angle) < 2 * error
    words = text(answer)
    assert "One view sees nothing" in words and "attack angle" in words and "±" in words
    assert block(answer)["figures"]["attack_angle_deg"] == pytest.approx(np.degrees(value), abs=0.01)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda f: replace(f, stick=None), "State the height of the stick"),
        (lambda f: replace(f, views=(replace(f.views[0], rate=None), f.views[1])), "State the frame rate"),
        (lambda f: replace(f, views=(replace(f.views[0], contact=None), f.views[1])), "State the frame of contact"),
        (lambda f: replace(f, views=(f.views[0], View())), "Open a film and set marks in both views"),
        (lambda f: replace(f, views=(replace(f.views[0], known={}), f.views[1])), "at least 6 are needed"),
        (lambda f: replace(f, views=(replace(f.views[0], marks={}), f.views[1])), "Mark both ends of the bat"),
        (lambda f: replace(ONE, views=(replace(ONE.views[0], known={}),)), "Mark the plate's rear point"),
        (lambda f: replace(ONE, views=(replace(ONE.views[0], marks={}),)), "Mark both ends of the bat"),
    ],
)
def test_what_is_missing_is_asked_for(change: Callable[[MarksFile], MarksFile], said: str) -> None:
    with pytest.raises(MarksError, match=said):
        run(change(TWO), ONE_INCH, "work")


def test_the_command_reads_marks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scenario, work = tmp_path / "a.toml", tmp_path / "work.marks.json"
    scenario.write_text(ONE_INCH.to_toml(), encoding="utf-8")
    work.write_text(dumps(ONE), encoding="utf-8")
    assert main(["measure", str(scenario), str(work)]) == 0
    assert "One view sees nothing" in capsys.readouterr().out
    work.write_text(dumps(TWO), encoding="utf-8")
    assert main(["measure", str(scenario), str(work), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert set(told) >= {"figures", "cameras", "points", "link", "warnings"}
    work.write_bytes(b"\xff\xfe{")
    assert main(["measure", str(scenario), str(work)]) != 0
    assert "UTF-16" in capsys.readouterr().err


def test_what_makes_no_swing_still_says_what_the_marks_are_worth() -> None:
    answer = run(TWO, ONE_INCH.with_values({"hitter.bats": "left"}), "work")
    assert answer.found is None and "left-handed" in str(answer.refused)
    assert len(camera_rows(answer)) == 2 and point_rows(answer)


def test_a_bad_mark_leads_the_list() -> None:
    view = TWO.views[0]
    tip = {**view.marks["tip"], 30: (view.marks["tip"][30][0], view.marks["tip"][30][1] + 60.0)}
    known = {**view.known, "third-rear": (view.known["third-rear"][0] + 4.0, view.known["third-rear"][1])}
    spoilt = replace(TWO, views=(replace(view, known=known, marks={**view.marks, "tip": tip}), TWO.views[1]))
    answer = run(spoilt, ONE_INCH, "work")
    worst = mark_misses(answer)[0]
    assert (worst["part"], worst["frames"]) == ("tip", [30, 30]) and worst["off"] > 10
    assert known_misses(answer)[0] | {"off": 0} == {
        "view": 0,
        "name": "third-rear",
        "off": 0,
        "word": "Rear corner of the plate on the third-base side",
    }
