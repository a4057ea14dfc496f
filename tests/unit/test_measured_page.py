"""One session of the page of measured points, without a browser: files, placing, pitches, log, broken files."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from apps.link import decode
from apps.measured import EMPTY, MeasuredPage, create_measured
from apps.measured_answer import IN_LOG, SIGMAS, AnswerView
from apps.measured_files import EXAMPLES, PITCH_EXAMPLES, example
from apps.measured_inputs import MOST_BYTES, MeasuredInputs
from plane3d.language import speaking
from plane3d.lesson import scenarios_folder
from plane3d.log import FIGURES, Log
from plane3d.measured import measure
from plane3d.measured.measure import FIGURES as READ
from plane3d.measured.points import read_csv
from plane3d.play import play
from plane3d.scenario import loads
from plane3d.words import sentence

FOLDER = scenarios_folder() / "measured"
GOOD = (FOLDER / "swing-right-240.csv").read_bytes()
C3D = (FOLDER / "swing-right-240.c3d").read_bytes()
TRUTH = json.loads((FOLDER / "truth.json").read_text(encoding="utf-8"))
HEAD = GOOD.split(b"\n", 1)[0] + b"\n"
STATED = {"contact": "state", "time": "0.5"}
LONG = 60.0  # s within which a thread is surely done
PIECE = 1_000_000


@pytest.fixture
def page(tmp_path: Path) -> MeasuredPage:
    return MeasuredPage(log_path=tmp_path / "hitters.sqlite")


def ask(page: MeasuredPage, what: str, *values: Any) -> None:
    """What the browser sends, and the answer to it."""
    panel = page.inputs if what in page.inputs.actions else page.answer.view
    panel = page.head if what in page.head.actions else panel
    panel._obey(SimpleNamespace(data={"do": what, "with": values}))
    assert page.worker.wait(LONG)


def give(page: MeasuredPage, name: str, data: bytes, kind: str = "points") -> None:
    """A file as the browser sends it."""
    ask(page, "file", kind, name, len(data))
    for at in range(0, len(data), PIECE):
        ask(page, "piece", data[at : at + PIECE])


def shown(page: MeasuredPage) -> Mapping[str, Any]:
    return dict(page.answer.view.state)


def found(page: MeasuredPage) -> Mapping[str, Any]:
    state = shown(page)
    assert state["answer"] is not None, state["words"]
    return dict(state["answer"])


def handed(monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Files handed over from now on, by name."""
    files: dict[str, str] = {}
    monkeypatch.setattr(AnswerView, "hand_over", lambda self, name, text: files.update({name: text}))
    return files


def test_nothing_is_asked_at_first(page: MeasuredPage, tmp_path: Path) -> None:
    assert (shown(page)["words"], shown(page)["answer"]) == (EMPTY, None)
    create_measured()
    assert list(tmp_path.iterdir()) == []  # no log is made


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_every_example_can_be_tried_at_once(page: MeasuredPage, name: str) -> None:
    ask(page, "example", name)
    answer = found(page)
    assert answer["notes"][0].startswith("An invented example, made from a bat speed of 70 mph")
    assert answer["enough"] == ("-60." not in name)
    assert page.answer.found is not None
    for key, (suffix, unit, _) in READ.items():
        figure, true = page.answer.found.figures[key], TRUTH[name][key + suffix] * unit
        assert figure.low - figure.half <= true <= figure.high + figure.half, key
    assert page.inputs.state["bats"] == ("left" if "left" in name else "right")
    assert page.inputs.state["form"]["knob"] == ("BAT:KNOB" if name.endswith("c3d") else "")
    assert EXAMPLES.keys() == TRUTH.keys()


def test_the_answer_is_that_of_the_library(page: MeasuredPage) -> None:
    ask(page, "form", STATED)
    give(page, "mine.csv", GOOD)
    run = measure.run("mine.csv", page._asked.scenario, data=GOOD, impact=0.5)
    answer = found(page)
    plain = [value.replace("\N{NO-BREAK SPACE}", " ") for _, value in answer["figures"]]
    assert plain == [value for _, value in measure.figure_rows(run)]
    kept = page.answer._answer
    assert kept is not None and kept.source == "mine.csv: points of the bat, 240 a second"
    drawn = answer["picture"]
    assert len(drawn["times"]) == len(drawn["tip"]["samples"]) == len(drawn["knob"]["off"])
    # three coordinates of noise s make a distance of 1.6 s at the mean (Maxwell distribution, from memory)
    assert np.mean(drawn["tip"]["off"]) == pytest.approx(1.6 * drawn["noise"], rel=0.35)
    ask(page, "look", {"metric": True, "theme": "dark", "size": 15})
    assert "km/h" in shown(page)["words"]
    with speaking("es"):
        ask(page, "form", {"time": "0.5001"})
        assert "Velocidad del bate" in dict(found(page)["figures"])


def test_a_swing_is_handed_on(page: MeasuredPage, monkeypatch: pytest.MonkeyPatch) -> None:
    files = handed(monkeypatch)
    ask(page, "example", "swing-right-240.csv")
    answer = found(page)
    scenario = decode(answer["scenario"])
    assert scenario.is_measured and scenario.title == "One inch under: measured swing" and not scenario.question
    for ending in ("scenario", "points"):
        ask(page, ending)
    again = loads(files["one-inch-under-measured-swing.toml"])
    assert again.given == scenario.given
    assert page.answer.found is not None
    assert sentence(play(again.to_inputs()).result) == sentence(play(page.answer.found.inputs).result) == answer["play"]
    points = read_csv(files["swing-right-240-points.csv"].encode(), "again.csv")
    assert np.allclose(points.tip, page.answer.found.measured.points.tip, atol=1e-5)


def test_a_swing_is_kept_in_the_log(page: MeasuredPage, tmp_path: Path) -> None:
    ask(page, "example", "swing-right-240.csv")
    ask(page, "hitters")
    ask(page, "keep", " ", "2026-05-01", "", "")
    assert not list(tmp_path.iterdir())
    assert shown(page)["log"]["problem"] and "new code or role" in shown(page)["log"]["said"]
    ask(page, "keep", "under-12 contact hitter", "the first of May", "", "")
    assert "year-month-day" in shown(page)["log"]["said"]
    ask(page, "keep", "under-12 contact hitter", "2026-05-01", "tee", "calm hands")
    assert shown(page)["log"]["said"] == "Kept for under-12 contact hitter, on 2026-05-01."
    assert shown(page)["log"]["hitters"] == ["under-12 contact hitter"]
    log = Log(tmp_path / "hitters.sqlite")
    (swing,) = log.swings("under-12 contact hitter")
    assert page.answer.found is not None
    assert set(swing.figures) == set(IN_LOG.values()) <= set(FIGURES)
    for name, key in IN_LOG.items():
        figure, unit = page.answer.found.figures[name], READ[name][1]
        assert swing.figures[key].value * unit == pytest.approx(figure.value)
        kept = swing.figures[key].uncertainty
        assert kept is not None and kept * SIGMAS * unit == pytest.approx(figure.half)
    assert (swing.session, swing.note) == ("tee", "calm hands")
    assert read_csv(log.measured(swing.number).encode(), "kept.csv").name == "kept.csv"
    unoffered = MeasuredPage()
    assert not shown(unoffered)["log"]["offered"]


def test_a_measured_pitch_takes_the_place_of_the_scenarios(page: MeasuredPage) -> None:
    ask(page, "example", "swing-right-240.csv")
    before = found(page)["figures"]
    own = page.inputs.state["against"]
    for name in PITCH_EXAMPLES:
        give(page, name, example(name).data, "pitches")
        assert page.inputs.state["pitches"] == ["pitch 1: 82 mph", "pitch 2: 78 mph", "pitch 3: 70 mph"]
        assert page.inputs.state["form"]["pitch"] == "0"
        ask(page, "form", {"pitch": "2"})
        assert "a pitch of 70 mph" in page.inputs.state["against"]
        assert found(page)["figures"] != before
        pitched = decode(page.inputs.state["pitched"])
        assert pitched.pitch.speed_mph == pytest.approx(70.0, abs=0.1)
        assert pitched.pitch.plate_side_in == pytest.approx(0.0, abs=0.2)
    give(page, "pitches.csv", (FOLDER / "pitches-flight.csv").read_bytes(), "pitches")
    assert "stays within 5 mm" in page.inputs.state["pitch_note"]
    give(page, "pitches.csv", b"name,speed_mph\nfast,80\n", "pitches")
    assert "plate_side is missing" in page.inputs.state["pitch_problem"]
    ask(page, "forget", "pitches")
    assert page.inputs.state["against"] == own
    assert found(page)["figures"] == before


def rewritten(data: bytes, change: Any) -> bytes:
    """A CSV file with its columns (n, 7) changed."""
    table = change(np.genfromtxt(BytesIO(data), delimiter=",", skip_header=1))
    text = BytesIO()
    np.savetxt(text, table, delimiter=",", fmt="%.6f")
    return HEAD + text.getvalue()


PLACED = {
    "swapped ends": (lambda t: t[:, [0, 4, 5, 6, 1, 2, 3]], {}, "are knob and tip exchanged?"),
    "inches as metres": (lambda t: t * ([1] + [39.37] * 6), {}, "is the file in inches?"),
    "mirrored": (lambda t: t * [1, -1, 1, 1, -1, 1, 1], {}, "is the hitter left-handed, or an axis mirrored?"),
    "said mirrored": (lambda t: t * [1, -1, 1, 1, -1, 1, 1], {"x": "third"}, ""),
    "upside down": (lambda t: t, {"z": "down", "x": "third"}, "under the ground"),
    "two axes alike": (lambda t: t, {"y": "first"}, "one must point across the plate"),
    "the plate elsewhere": (lambda t: t, {"plate_y": "5"}, "where is the plate?"),
    "no number": (lambda t: t, {"plate_y": "five"}, "must be a number; five was given"),
    "a decimal comma": (lambda t: t, {"plate_y": "0,0"}, ""),
    "corners missing": (lambda t: t, {"by": "corners", "rear_x": "0", "rear_y": "0", "rear_z": "0"}, "4 are needed"),
    "a corner half typed": (lambda t: t, {"by": "corners", "rear_x": "0"}, "Corner of the plate, rear point"),
    "contact without a time": (lambda t: t, {"time": ""}, "Time of contact must be a number; nothing was given"),
    "nothing was hit": (lambda t: t, {"hit": "no"}, ""),
    "contact not seen": (lambda t: t, {"contact": "look"}, "state the time of impact"),
}  # fmt: skip


@pytest.mark.parametrize("case", sorted(PLACED))
def test_a_wrong_placing_is_said_and_never_guessed(page: MeasuredPage, case: str) -> None:
    change, form, words = PLACED[case]
    give(page, "swing.csv", rewritten(GOOD, change))
    ask(page, "form", STATED | form)
    if not words:
        assert found(page)
        return
    assert shown(page)["problem"] and words in shown(page)["words"]
    assert shown(page)["answer"] is None


def test_corners_place_the_swing(page: MeasuredPage) -> None:
    """The plate's corners (Official Baseball Rules 2.02, as quoted in `measured.placing`), typed in inches."""
    corners = {"front-first": (8.5, 17), "front-third": (-8.5, 17), "side-first": (8.5, 8.5), "rear": (0, 0)}
    form = {
        f"{name}_{axis}": str(value)
        for name, (x, y) in corners.items()
        for axis, value in zip("xyz", (x, y, 0), strict=True)
    }
    give(page, "swing.csv", GOOD)
    ask(page, "form", STATED)
    by_axes = found(page)["figures"]
    ask(page, "form", form | {"by": "corners", "corner_unit": "in"})
    assert found(page)["figures"] == by_axes


def test_the_markers_of_a_c3d_file_are_chosen_from_it(page: MeasuredPage) -> None:
    ask(page, "form", STATED | {"time": "0.24891"})
    give(page, "lab.C3D", C3D.replace(b"BAT:TIP ", b"BAT:END "))
    assert "Choose the markers of knob and tip" in shown(page)["words"]
    assert page.inputs.state["markers"] == ["BAT:KNOB", "BAT:END"]
    ask(page, "form", {"tip": "BAT:END"})
    assert found(page)


def zipped() -> bytes:
    """A zip file that would unpack to 100 MB."""
    file = BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("swing.csv", b"0" * 100_000_000)
    return file.getvalue()


def absurd(markers: int) -> bytes:
    """A C3D file whose header says that it holds so many markers in 60000 frames (layout: c3d.org, from memory)."""
    data = bytearray(C3D)
    data[2:4] = markers.to_bytes(2, "little")
    data[6:10] = (1).to_bytes(2, "little") + (60000).to_bytes(2, "little")
    return bytes(data)


BROKEN = {
    "cut within a line": ("a.csv", GOOD[: GOOD.index(b"\n", 2000) - 9], "is the file cut short"),
    "UTF-16": ("a.csv", GOOD.decode().encode("utf-16"), "UTF-16"),
    "Latin-1": ("a.csv", GOOD + "é".encode("latin-1"), "is not UTF-8 text"),
    "a column missing": ("a.csv", GOOD.replace(b"tip_z_m", b"hand_z_m"), "the column tip_z is missing"),
    "unsorted": ("a.csv", HEAD + b"\n".join(reversed(GOOD.split(b"\n")[1:])), "times must grow"),
    "repeated": ("a.csv", GOOD + GOOD.split(b"\n")[-2] + b"\n", "repeats the time"),
    "all NaN": ("a.csv", HEAD + b"0,nan,nan,nan,nan,nan,nan\n1,nan,nan,nan,nan,nan,nan\n", "no sample has both"),
    "ten million rows": ("a.csv", HEAD + b"1\n" * 9_900_000, "has 1 cells where the header has 7"),
    "rows and rows": ("a.csv", HEAD + b"1,1,1,1,1,1,1\n" * 210_000, "has more than 200000 rows"),
    "zip bomb": ("a.csv", zipped(), "is packed (zip)"),
    "zip bomb as C3D": ("a.c3d", zipped(), "is packed (zip)"),
    "absurd frames": ("a.c3d", absurd(2), "is cut short"),
    "absurd markers": ("a.c3d", absurd(65535), "is a broken C3D file"),
    "C3D cut short": ("a.c3d", C3D[:2000], ""),
    "empty": ("a.csv", b"", "is empty"),
    "a picture": ("a.csv", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40, "is not UTF-8 text"),
    "a picture as C3D": ("a.c3d", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40, "is a broken C3D file"),
    "a film as C3D": ("a.c3d", b"\x00\x00\x00\x18ftypmp42" + bytes(range(256)) * 40, "is not a C3D file"),
    "a lone bracket in its name": ("{0}\n<b>.csv", b"", "is empty"),
}  # fmt: skip


@pytest.mark.parametrize("case", sorted(BROKEN))
def test_a_broken_file_is_one_sentence_and_the_page_lives_on(page: MeasuredPage, tmp_path: Path, case: str) -> None:
    name, data, words = BROKEN[case]
    ask(page, "example", "swing-right-240.csv")
    ask(page, "keep", "A", "2026-05-01", "", "")
    log = (tmp_path / "hitters.sqlite").read_bytes()
    give(page, name, data)
    said = shown(page)["words"]
    assert shown(page)["problem"] and words in said and "\n" not in said and "Traceback" not in said
    assert said.count(":") and len(said) < 400
    assert shown(page)["answer"] is None
    ask(page, "keep", "A", "2026-05-01", "", "")  # there is nothing to be kept
    ask(page, "points")
    assert (tmp_path / "hitters.sqlite").read_bytes() == log
    ask(page, "form", STATED)
    give(page, "good.csv", GOOD)
    assert found(page)


def test_a_file_too_large_is_refused_before_it_comes(page: MeasuredPage) -> None:
    ask(page, "file", "points", "film.csv", MOST_BYTES + 1)
    assert shown(page)["words"] == "film.csv: is larger than 20 MB; cut it to the second around the swing."
    ask(page, "piece", b"0" * 10)  # of a file that was refused
    ask(page, "file", "points", "liar.csv", 5)
    ask(page, "piece", b"0" * 10)
    assert "liar.csv: is larger" in shown(page)["words"]
    ask(page, "file", "elsewhere", "a.csv", 5)
    assert page._coming is None


def test_what_no_form_can_say_changes_nothing(page: MeasuredPage) -> None:
    before = page._asked.form
    ask(page, "form", {"x": "sideways", "plate_x": 3, "unknown": "1", "hit": True, "contact": None})
    assert page._asked.form == before
    ask(page, "example", "../01-one-inch-under.toml")
    ask(page, "bats", "both")
    assert page._asked.points is None and page.inputs.state["bats"] == "right"


def test_a_link_brings_its_scenario(page: MeasuredPage) -> None:
    ask(page, "bats", "left")
    link = page.head.state["link"]
    other = MeasuredPage()
    ask(other, "arrive", {"metric": True}, {"s": link.removeprefix("s=")})
    assert other.inputs.state["bats"] == "left" and "km/h" in other.inputs.state["against"]
    ask(other, "arrive", {}, {"s": "1broken"})
    assert shown(other)["problem"]
    assert isinstance(other.inputs, MeasuredInputs)
