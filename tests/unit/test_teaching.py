"""Scenarios and the teaching page say what the model says: every number quoted, every answer, every next change."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from plane3d.constants import BASEBALL_RADIUS
from plane3d.lesson import is_lesson, scenarios_folder
from plane3d.play import play
from plane3d.plays import pitch_flight
from plane3d.quantities import quantities
from plane3d.report import read_map, report
from plane3d.scenario import Scenario, load
from plane3d.studies.contact_map import TOLERANCE
from plane3d.units import INCH

PAGE = Path(__file__).parents[2] / "docs" / "teaching.md"
FILES = sorted(path.stem for path in scenarios_folder().glob("*.toml") if not is_lesson(path))
NUMBER = re.compile(r"\d+(?:\.\d+)?(?:°| ?(?:in|ms|ft|mph|s|rpm)\b)?")
LABELS = {q.label: key for key, q in quantities().items()} | {"Pitch family": "pitch.family"}

# Number as quoted, by file: where it stands in the answer, or the number itself. A place is a dotted key of the
# answer's blocks or, failing that, of the scenario; before "/" stand another file and changes to it, if any.
LIMIT = "02-four-inches-under"
QUOTED: dict[str, dict[str, str | float]] = {
    "01-one-inch-under": {"27°": "collision.launch_angle_deg"},
    "02-four-inches-under": {"2.7 in": "reach", "3.4 in": "meeting.undercut_in", "2.2 in": "first foul back"},
    "03-on-the-line": {"12°": "swing.attack_angle_deg", "6°": "pitch.descent_angle_deg"},
    "04-half-an-inch-over": {"4°": "collision.launch_angle_deg", "25 ft": "flight.carry_ft"},
    "05-ten-milliseconds-late": {"10 ms": "swing.timing_ms", "6 in": "deeper"},
    "06-held": {"50 ms": "barrel_path.hinge_opens_ms", "5.7 in": "barrel_path.around_in"},
    "07-cast": {
        "130 ms": "barrel_path.hinge_opens_ms",
        "10.3 in": "barrel_path.around_in",
        "22 in": "window.length_in",
        "17 in": "06-held/window.length_in",
        "3 in": 3.0,
        "12 ms": 12.0,
        "3.7 in": "07-cast hold pitch.plate_side_in=-3 swing.timing_ms=12/meeting.along_barrel_in",
        "3.1 in": "06-held hold pitch.plate_side_in=-3 swing.timing_ms=12/meeting.along_barrel_in",
    },
    "08-matched-swing": {
        "1 in": TOLERANCE / INCH,
        "27 in": "window.length_in",
        "42 ms": "window.length_ms",
        "30°": "swing.vertical_bat_angle_deg",
        "8°": "swing.attack_angle_deg",
        "6°": "pitch.descent_angle_deg",
    },
    "09-steep-swing": {
        "12°": "steeper",
        "5.2 in": "swing.dip_in",
        "9 in": "window.length_in",
        "14 ms": "window.length_ms",
        "369 ft": "flight.carry_ft",
        "266 ft": "08-matched-swing/flight.carry_ft",
        "4 ms": "timing.fair_late_ms",
        "28 ms": "08-matched-swing/timing.fair_early_ms",
        "19 ms": "08-matched-swing/timing.fair_late_ms",
    },
    "10-met-deep": {"4 in": "meeting.depth_in", "1 ms": 1.0},
    "11-met-far-in-front": {
        "18 in": "meeting.depth_in",
        "4 in": "window.from_depth_in",
        "23 in": "window.to_depth_in",
    },
    "12-same-swing-higher-pitch": {
        "28 in": "held.plate_height_in",
        "33 in": "pitch.plate_height_in",
        "4.9 in": "meeting.below_line_in",
        "1.6 in": "meeting.closest_in",
    },
    "13-flatter-bat-same-hands": {
        "20°": "swing.vertical_bat_angle_deg",
        "30°": "held.vertical_bat_angle_deg",
        "0.5 in": "meeting.below_line_in",
    },
    "14-two-pitches-one-hand": {
        "1.6 in": "second_pitch.apart_at_decision_in",
        "53 ms": "second_pitch.arrives_later_ms",
    },
    "15-early-on-the-change-up": {"53 ms": "second_pitch.arrives_later_ms"},
    "16-three-miles-an-hour-less": {
        "80 mph": "held.speed_mph",
        "77 mph": "pitch.speed_mph",
        "3 mph": 3.0,
        "18 in": "meeting.depth_in",
        "6 in": "held.contact_depth_in",
        "83 mph": "collision.exit_speed_mph",
        "95 mph": "16-three-miles-an-hour-less pitch.speed_mph=80/collision.exit_speed_mph",
    },
    "17-the-sinker": {
        "3 in": "pitch.plate_side_in",
        "1.8 in": "meeting.below_line_in",
        "3.0 in": "meeting.along_barrel_in",
    },
    "18-the-curve": {
        "10°": "pitch.descent_angle_deg",
        "6°": "18-the-curve pitch.family=four-seam/pitch.descent_angle_deg",
        "12°": "swing.attack_angle_deg",
        "27 in": "window.length_in",
        "19 in": "18-the-curve pitch.family=four-seam/window.length_in",
    },
    "19-the-rise-ball": {
        "3°": "pitch.descent_angle_deg",
        "7°": "19-the-rise-ball pitch.family=drop pitch.plate_height_in=22/pitch.descent_angle_deg",
        "0.4 in": "second_pitch.apart_at_decision_in",
        "8°": "swing.attack_angle_deg",
        "18 in": "window.length_in",
        "26 in": "19-the-rise-ball pitch.family=drop pitch.plate_height_in=22/window.length_in",
    },
    "20-small-hitter-lifts": {
        "59 mph": "collision.exit_speed_mph",
        "177 ft": "flight.carry_ft",
        "200 ft": "setting.fence_ft",
        "3.0 s": "flight.hang_time_s",
    },
    "21-small-hitter-on-a-line": {
        "120 ft": "flight.carry_ft",
        "1.6 s": "flight.hang_time_s",
        "25 in": "window.length_in",
        "12 in": "20-small-hitter-lifts/window.length_in",
    },
    "22-from-the-left-side": {
        "10 ms": "swing.timing_ms",
        "15°": "collision.spray_angle_deg",
        "14°": "22-from-the-left-side hitter.bats=right/collision.spray_angle_deg",
    },
    "31-foul-back": {"2.8": "swing.below_line_in"},
    "32-the-downward-swing": {"7.5 in": "window.length_in", "27 in": "08-matched-swing/window.length_in"},
    "33-matched-and-late": {},
    "34-steep-and-late": {},
}


@cache
def scenario(case: str) -> Scenario:
    """A file, held if the word stands there, with changes: ``06-held hold swing.timing_ms=12``."""
    name, *changes = case.split()
    asked = load(scenarios_folder() / f"{name}.toml")
    if "hold" in changes:
        asked = asked.hold(True)
    pairs = [change.split("=") for change in changes if change != "hold"]
    return asked.with_values({k: float(v) if re.match(r"[-\d]", v) else v for k, v in pairs})


@cache
def answer(case: str) -> dict[str, Any]:
    asked = scenario(case)
    played, other = play(asked.to_inputs()), asked.with_second_pitch()
    return report(played.result, read_map(played, None if other is None else pitch_flight(other.to_inputs())))


def reach() -> float:
    """Radii of ball and bat at the sweet spot, in."""
    bat = scenario(LIMIT).to_inputs().bat
    return float(bat.radius_at(bat.sweet_spot) + BASEBALL_RADIUS) / INCH


def first_foul_back() -> float:
    """Undercut (in) from which that swing fouls the ball back."""
    for hundredths in range(200, 400):
        shown = answer(f"{LIMIT} swing.below_line_in={hundredths / 100}")
        if shown["outcome"]["kind"] == "foul-back":
            return float(shown["meeting"]["undercut_in"])
    raise AssertionError("no foul back at all")


WORKED_OUT = {
    "reach": reach,
    "first foul back": first_foul_back,
    "deeper": lambda: 6 - answer("05-ten-milliseconds-late")["meeting"]["depth_in"],
    "steeper": lambda: (
        scenario("09-steep-swing").swing.attack_angle_deg - scenario("08-matched-swing").swing.attack_angle_deg
    ),
}


def value(file: str, place: str | float) -> float:
    """What the model says about a number quoted for a file."""
    if isinstance(place, float):
        return place
    if place in WORKED_OUT:
        return float(WORKED_OUT[place]())
    case, _, key = place.rpartition("/")
    block, name = key.split(".")
    found = (answer(case or file).get(block) or {}).get(name)
    return float(scenario(case or file).value(key) if found is None else found)


@cache
def sections() -> dict[str, str]:
    """The page's sections by the file each is about."""
    parts = re.split(r"(?m)^#{2,3} ", PAGE.read_text(encoding="utf-8"))
    found = {name.group(1): part for part in parts if (name := re.search(r"(?m)^`([\w-]+)\.toml`$", part))}
    return {name: " ".join(part.split()) for name, part in found.items()}


def prose(file: str) -> str:
    """Everything a coach reads about a file except quoted answers and settings, which have tests of their own."""
    section = re.sub(r"`[^`]*`|\* ?The (barrel|swing) [^*]*\*", " ", sections()[file])
    section = section.partition(" - **Ask:**")[2]
    asked = scenario(file)
    return " ".join((asked.question, asked.notice, section))


def test_every_scenario_has_its_section_and_every_section_its_scenario() -> None:
    assert sorted(sections()) == FILES == sorted(QUOTED)
    assert len(FILES) >= 7 + 8


@pytest.mark.parametrize("file", FILES)
def test_a_section_asks_answers_and_says_what_to_do_next(file: str) -> None:
    section = sections()[file]
    assert section.startswith(scenario(file).title)
    places = [section.index(f"**{word}:**") for word in ("Ask", "Answer", "Notice", "Change next")]
    assert places == sorted(places)
    assert f"**Answer:** *{answer(file)['outcome']['sentence']}*" in section
    if "**On the field:**" in section:
        assert "[cautions](#cautions) first" in section[section.index("**On the field:**") :]


@pytest.mark.parametrize("file", FILES)
def test_the_next_change_gives_what_the_page_says(file: str) -> None:
    told = re.search(r"\*\*Change next:\*\* `([^`]+)`\. \*([^*]+)\*", sections()[file])
    if told is None:
        assert file == "14-two-pitches-one-hand"  # looks, and changes nothing
        return
    changes = [change.split(" = ") for change in told.group(1).split(", ")]
    given = [
        f"{LABELS[label]}={text if label == 'Pitch family' else text.split()[0].rstrip('°')}" for label, text in changes
    ]
    assert answer(f"{file} {' '.join(given)}")["outcome"]["sentence"] == told.group(2)


@pytest.mark.parametrize("file", FILES)
def test_every_number_quoted_is_the_models(file: str) -> None:
    """To half of its last digit, without its sign: words such as "early" or "down" carry that."""
    found = set(NUMBER.findall(prose(file)))
    assert found == set(QUOTED[file])
    for text in found:
        digits = re.match(r"[\d.]+", text).group()  # type: ignore[union-attr]
        half = 0.5 * 10.0 ** -len(digits.partition(".")[2])
        assert float(digits) == pytest.approx(abs(value(file, QUOTED[file][text])), abs=half * 1.0001), text


KINDS = {
    "01-one-inch-under": "fly-ball",
    "02-four-inches-under": "miss",
    "03-on-the-line": "ground-ball",
    "04-half-an-inch-over": "ground-ball",
    "05-ten-milliseconds-late": "foul-opposite",
    "08-matched-swing swing.timing_ms=8": "ground-ball",  # fair, where the steep swing is foul
    "10-met-deep": "line-drive",
    "12-same-swing-higher-pitch": "miss",
    "13-flatter-bat-same-hands": "line-drive",
    "15-early-on-the-change-up": "miss",
    "17-the-sinker": "ground-ball",
    "20-small-hitter-lifts": "fly-ball",
    "20-small-hitter-lifts swing.timing_ms=15": "foul-opposite",
    "21-small-hitter-on-a-line": "line-drive",
    "31-foul-back": "foul-back",
    "33-matched-and-late": "ground-ball",  # fair, and no longer a line drive
    "34-steep-and-late": "foul-opposite",
}


@pytest.mark.parametrize("case", KINDS)
def test_outcomes_the_words_rely_on(case: str) -> None:
    assert answer(case)["outcome"]["kind"] == KINDS[case]


def test_what_is_said_without_numbers() -> None:
    """Each line is a sentence of a notice or of the page."""
    height = [name for name in FILES if name[:2] in ("01", "03", "04")]
    speeds = {name: answer(name)["collision"]["exit_speed_mph"] for name in [*height, "05-ten-milliseconds-late"]}
    assert max(speeds, key=speeds.__getitem__) == "03-on-the-line"  # "nothing else in this group leaves harder"
    spins = {name: answer(name)["collision"]["backspin_rpm"] for name in height}
    assert abs(spins["03-on-the-line"]) < 500 < spins["01-one-inch-under"]  # "hardly any spin"
    assert spins["04-half-an-inch-over"] < -1000  # "the spin turned over"
    assert scenario("01-one-inch-under").bat.barrel_diameter_in > 2  # "less than half the barrel"
    why = answer("01-one-inch-under")["why"]
    assert why["undercut_deg"] > why["attack_deg"]  # "most of it comes from that inch"
    assert answer("10-met-deep")["timing"]["fair_late_ms"] == 0  # "1 ms later it is foul"
    third = answer("09-steep-swing")["window"]["length_in"] / answer("08-matched-swing")["window"]["length_in"]
    assert third == pytest.approx(1 / 3, abs=0.05)  # "a third of the matched swing's"
    window = answer("11-met-far-in-front")["window"]
    met = answer("11-met-far-in-front")["meeting"]["depth_in"]
    assert met - window["from_depth_in"] > 2 * (window["to_depth_in"] - met)  # "most of the window lies deeper"
    inside, outside = (answer(file)["barrel_path"]["around_in"] for file in ("06-held", "07-cast"))
    assert inside < 0 < outside
    assert answer("15-early-on-the-change-up")["meeting"]["miss"] == "early"
    assert answer("12-same-swing-higher-pitch")["meeting"]["miss"] == "under"
    apart = answer("14-two-pitches-one-hand")["second_pitch"]
    assert apart["apart_at_decision_in"] / (2 * BASEBALL_RADIUS / INCH) == pytest.approx(0.5, abs=0.1)  # "half a ball"
    assert apart["arrives_later_ms"] > answer("08-matched-swing")["window"]["length_ms"]  # "longer than any window"
    assert answer("22-from-the-left-side")["collision"]["spray_angle_deg"] > 0  # toward first base
    assert answer("22-from-the-left-side hitter.bats=right")["collision"]["spray_angle_deg"] < 0  # toward third


def test_the_hinge_held_is_inside_for_most_of_its_way() -> None:
    """Share of the time in which the sweet spot, in plan, is on the hitter's side of the straight line."""
    shown = play(scenario("06-held").to_inputs())
    t = np.linspace(shown.launch_time, shown.aim_time, 401)
    path = shown.sweet_spot_at(t)[:, :2]
    way = path[-1] - path[0]
    outside = (path - path[0]) @ np.array([way[1], -way[0]]) / np.hypot(*way)
    assert np.mean(outside < 0) > 0.6
    assert outside.min() / INCH == pytest.approx(answer("06-held")["barrel_path"]["around_in"], abs=0.05)


def test_a_rise_ball_goes_up_at_first_and_then_only_down() -> None:
    for case in ("19-the-rise-ball", "19-the-rise-ball pitch.family=drop pitch.plate_height_in=22"):
        shown = play(scenario(case).to_inputs())
        height = shown.pitch_at(np.linspace(0, answer(case)["pitch"]["flight_time_s"], 101))[:, 2]
        top = height.argmax()
        assert 5 < top < 70
        assert np.all(np.diff(height[top:]) < 0)


def test_roles_only_no_names() -> None:
    """Every file says that it is invented."""
    for name in FILES:
        text = (scenarios_folder() / f"{name}.toml").read_text(encoding="utf-8")
        assert text.startswith("# Invented for teaching; no real player's numbers.")
