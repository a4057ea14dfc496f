"""The answer in coach units and in words."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from plane3d.inputs import (
    CollisionResult,
    FlightResult,
    MeetingResult,
    OutcomeResult,
    PitchResult,
    Result,
    SwingResult,
    WhyResult,
)
from plane3d.play import play
from plane3d.plays import pitch_flight
from plane3d.report import (
    KINDS,
    MISSES,
    MapReading,
    climb,
    read_map,
    report,
    sentence,
    show,
    side_word,
    text,
    window_words,
)
from plane3d.scenario import Scenario, loads
from plane3d.units import DEGREE, FOOT, INCH, MPH, RPM
from tests.cases import inputs

# Block by block, the keys other programs read (DESIGN 9, and swing.heading_deg).
KEYS = {
    "pitch": "flight_time_s plate_speed_mph speed_lost_mph descent_angle_deg plate_side_in plate_height_in",
    "swing": "bat_speed_mph attack_angle_deg vertical_bat_angle_deg duration_s turn_rate_rad_s heading_deg dip_in",
    "meeting": "touch below_line_in undercut_in along_barrel_in struck_in depth_in height_in side_in closest_in miss",
    "window": "from_depth_in to_depth_in length_in length_ms fair_early_ms fair_late_ms",
    "barrel_path": "around_in around_ms hinge_opens_ms",
    "second_pitch": "arrives_later_ms apart_at_decision_in decision_s",
    "collision": "exit_speed_mph launch_angle_deg spray_angle_deg backspin_rpm sidespin_rpm efficiency regime",
    "flight": "carry_ft hang_time_s apex_ft landing_side_ft landing_out_ft",
    "outcome": "kind fair over_fence sentence",
    "why": "attack_deg undercut_deg rest_deg",
    "timing": "touch_early_ms touch_late_ms fair_early_ms fair_late_ms solid_early_ms solid_late_ms",
}
STRIP_KEYS = "timing_ms kind exit_speed_mph launch_angle_deg spray_angle_deg"  # of every entry of the strip

READING = MapReading(2 * INCH, 12 * INCH, 10 * INCH, 0.009, 1.5 * INCH, (-0.008, 0.011))


def a_fly(bats: str = "right", **asks: Any) -> Result:
    """A made-up answer with round numbers; what it says need not be physics."""
    return Result(
        inputs=inputs(bats, **asks),
        pitch=PitchResult(0.48, 73 * MPH, 7 * MPH, 6 * DEGREE, 0.0, 28 * INCH),
        swing=SwingResult(70 * MPH, 12 * DEGREE, 30 * DEGREE, 0.15, 46.0, -3 * DEGREE),
        meeting=MeetingResult(True, 0.47, 1.0 * INCH, 0.86 * INCH, 0.0, 0.0, 6 * INCH, 29 * INCH, 0.0, 0.0, None),
        collision=CollisionResult(94 * MPH, 27 * DEGREE, 10 * DEGREE, 3000 * RPM, 500 * RPM, 0.2, "grip"),
        flight=FlightResult(340 * FOOT, 5.0, 80 * FOOT, 60 * FOOT, 335 * FOOT),
        outcome=OutcomeResult("fly-ball", True, False),
        why=WhyResult(8 * DEGREE, 21 * DEGREE, -2 * DEGREE),
    )


def with_hit(result: Result, **changes: Any) -> Result:
    assert result.collision is not None
    return replace(result, collision=replace(result.collision, **changes))


def with_kind(result: Result, kind: str, fair: bool | None = True, over_fence: bool = False) -> Result:
    return replace(result, outcome=OutcomeResult(kind, fair, over_fence))


def a_miss(miss: str) -> Result:
    meeting = replace(a_fly().meeting, touch=False, miss=miss, below_line=4 * INCH, closest=1.2 * INCH)
    result = replace(a_fly(), meeting=meeting, collision=None, flight=None, why=None)
    return with_kind(result, "miss", None)


def test_keys_are_the_fixed_ones() -> None:
    _, blocks = computed(second_pitch__family="curve")
    columns = blocks.pop("strip")
    assert {name: " ".join(block) for name, block in blocks.items()} == KEYS
    assert {" ".join(column) for column in columns} == {STRIP_KEYS}


def test_values_are_in_the_unit_of_their_name() -> None:
    blocks = report(a_fly(), READING)
    expected = {
        ("pitch", "plate_speed_mph"): 73,
        ("pitch", "descent_angle_deg"): 6,
        ("swing", "heading_deg"): -3,
        ("swing", "dip_in"): 1.5,
        ("meeting", "undercut_in"): 0.86,
        ("window", "from_depth_in"): 2,
        ("window", "length_ms"): 9,
        ("window", "fair_early_ms"): -8,
        ("window", "fair_late_ms"): 11,
        ("collision", "backspin_rpm"): 3000,
        ("flight", "carry_ft"): 340,
        ("why", "rest_deg"): -2,
    }
    assert {key: blocks[key[0]][key[1]] for key in expected} == pytest.approx(expected)


def test_a_miss_has_no_hit() -> None:
    blocks = report(a_miss("under"), READING)
    assert [name for name, block in blocks.items() if block is None] == [
        "barrel_path",
        "second_pitch",
        "collision",
        "flight",
        "why",
        "timing",
        "strip",
    ]
    assert blocks["meeting"]["miss"] == "under"
    assert blocks["outcome"]["fair"] is None


def test_no_fair_timing_is_null() -> None:
    block = report(a_fly(), replace(READING, fair=None))["window"]
    assert block["fair_early_ms"] is block["fair_late_ms"] is None


def test_the_sentence() -> None:
    expected = "The barrel is 1.0 in below the line: a fly ball up the middle, 27° up, 94 mph off the bat, 340 ft."
    assert sentence(a_fly()) == expected
    assert report(a_fly())["outcome"]["sentence"] == expected


def test_the_sentence_in_metric() -> None:
    expected = "The barrel is 2.5 cm below the line: a fly ball up the middle, 27° up, 151 km/h off the bat, 104 m."
    assert sentence(a_fly(), metric=True) == expected


@pytest.mark.parametrize(
    ("below", "timing", "along", "words"),
    [
        (0.0, 0.0, 0.0, "The barrel is on the line: "),
        (-0.02, 0.0, 0.0, "The barrel is on the line: "),
        (-0.5, 0.0, 0.0, "The barrel is 0.5 in above the line: "),
        (1.0, 0.010, 0.0, "The barrel is 1.0 in below the line and 10 ms late: "),
        (1.0, -0.003, 0.0, "The barrel is 1.0 in below the line and 3 ms early: "),
        (0.0, 0.010, -4.0, "The barrel is on the line, 10 ms late and 4.0 in off the sweet spot toward the hands: "),
        (0.0, 0.0, 2.0, "The barrel is on the line and 2.0 in off the sweet spot toward the tip: "),
    ],
)
def test_where_they_met(below: float, timing: float, along: float, words: str) -> None:
    result = a_fly(timing=timing)
    result = replace(result, meeting=replace(result.meeting, below_line=below * INCH, along_barrel=along * INCH))
    assert sentence(result).startswith(words)


@pytest.mark.parametrize("miss", MISSES)
def test_a_miss_in_words(miss: str) -> None:
    words = sentence(a_miss(miss))
    assert words.endswith(f": a miss; {MISSES[miss]}, 1.2 in from touching.")
    assert "off the bat" not in words


@pytest.mark.parametrize(
    ("kind", "fair", "end"),
    [
        ("ground-ball", True, "a ground ball up the middle, 27° up, 94 mph off the bat, first bounce at 340 ft."),
        ("line-drive", True, "a line drive up the middle, 27° up, 94 mph off the bat, 340 ft."),
        ("pop-up", True, "a pop-up up the middle, 27° up, 94 mph off the bat, 340 ft."),
        ("foul-pull", False, "a foul ball to the pull side, 27° up, 94 mph off the bat, 340 ft."),
        ("foul-opposite", False, "a foul ball to the opposite side, 27° up, 94 mph off the bat, 340 ft."),
        ("foul-back", False, "a foul back, 27° up, 94 mph off the bat."),
        ("foul-tip", False, "a foul tip, 94 mph off the bat."),
    ],
)
def test_every_kind_in_words(kind: str, fair: bool, end: str) -> None:
    assert kind in KINDS
    assert sentence(with_kind(a_fly(), kind, fair)).endswith(end)


def test_over_the_fence() -> None:
    assert sentence(with_kind(a_fly(), "fly-ball", over_fence=True)).endswith("340 ft, over the fence.")


@pytest.mark.parametrize(
    ("spray", "bats", "side"),
    [
        (-30, "right", "pull side"),
        (30, "right", "opposite side"),
        (-30, "left", "opposite side"),
        (30, "left", "pull side"),
        (14, "right", "middle"),
        (-14, "left", "middle"),
    ],
)
def test_sides_depend_on_the_hitter(spray: float, bats: str, side: str) -> None:
    """A right-handed hitter pulls toward third base, which is negative spray: what the words mean in the trade."""
    assert side_word(spray, bats) == side
    out, aside = 300 * FOOT * np.cos(spray * DEGREE), 300 * FOOT * np.sin(spray * DEGREE)
    fly = a_fly(bats)
    words = sentence(replace(fly, flight=replace(fly.flight, landing_out=out, landing_side=aside)))
    assert ("up the middle" if side == "middle" else f"to the {side}") in words


@pytest.mark.parametrize(("angle", "words"), [(26.6, "27° up"), (-3.2, "3° down"), (0.4, "level"), (-0.4, "level")])
def test_climb(angle: float, words: str) -> None:
    assert climb(angle) == words


@pytest.mark.parametrize(
    ("key", "value", "coach", "metric"),
    [
        ("exit_speed_mph", 100, "100 mph", "161 km/h"),
        ("dip_in", 10, "10.0 in", "25.4 cm"),
        ("carry_ft", 400, "400 ft", "122 m"),
        ("launch_angle_deg", -0.2, "0°", "0°"),
        ("turn_rate_rad_s", 46.4, "46 rad/s", "46 rad/s"),
        ("hang_time_s", 5.318, "5.32 s", "5.32 s"),
        ("length_ms", 9.4, "9 ms", "9 ms"),
        ("backspin_rpm", None, "none", "none"),
    ],
)
def test_show(key: str, value: float | None, coach: str, metric: str) -> None:
    assert (show(key, value), show(key, value, metric=True)) == (coach, metric)


def computed(**values: Any) -> tuple[Scenario, dict[str, Any]]:
    scenario = loads('format = 1\ntitle = "x"\n').with_values({k.replace("__", "."): v for k, v in values.items()})
    played = play(scenario.to_inputs())
    other = scenario.with_second_pitch()
    blocks = report(played.result, read_map(played, None if other is None else pitch_flight(other.to_inputs())))
    json.dumps(blocks, allow_nan=False)
    return scenario, blocks


def test_a_computed_play_answers_what_was_asked() -> None:
    scenario, blocks = computed(swing__below_line_in=1.0, swing__attack_angle_deg=12, swing__bat_speed_mph=70)
    assert blocks["pitch"]["plate_height_in"] == pytest.approx(scenario.pitch.plate_height_in, abs=1e-4)
    assert blocks["swing"]["bat_speed_mph"] == pytest.approx(70)
    assert blocks["swing"]["attack_angle_deg"] == pytest.approx(12)
    assert blocks["meeting"]["below_line_in"] == pytest.approx(1.0, abs=0.02)
    assert blocks["meeting"]["depth_in"] == pytest.approx(6.0, abs=0.05)
    assert sum(blocks["why"].values()) == pytest.approx(blocks["collision"]["launch_angle_deg"])
    assert blocks["window"]["from_depth_in"] <= 6 <= blocks["window"]["to_depth_in"]
    assert blocks["window"]["fair_early_ms"] < 0 < blocks["window"]["fair_late_ms"]


def test_the_strip_is_the_play_at_every_timing() -> None:
    """Each entry against one play computed for that timing alone."""
    scenario, blocks = computed(swing__below_line_in=1.0)
    columns = blocks["strip"]
    assert [column["timing_ms"] for column in columns] == list(range(-40, 41))
    for column in columns[::16]:
        alone = report(play(scenario.with_values({"swing.timing_ms": column["timing_ms"]}).to_inputs()).result)
        assert column["kind"] == alone["outcome"]["kind"]
        hit = alone["collision"] or dict.fromkeys(("exit_speed_mph", "launch_angle_deg", "spray_angle_deg"))
        for key in ("exit_speed_mph", "launch_angle_deg", "spray_angle_deg"):
            assert column[key] == (hit[key] if hit[key] is None else pytest.approx(hit[key], abs=1e-4))


def test_the_road_is_the_studys_and_counts_from_contact() -> None:
    _, blocks = computed(swing__release_ms=110, swing__hinge_deg=75)
    found = blocks["barrel_path"]
    assert found["hinge_opens_ms"] == pytest.approx(-110)
    assert -60 < found["around_ms"] < 0
    assert 5 < found["around_in"] < 15
    _, later = computed(swing__release_ms=60, swing__hinge_deg=75)
    assert later["barrel_path"]["around_in"] < found["around_in"]


def test_the_second_pitch_is_measured_against_the_first() -> None:
    """A change-up some 10 % slower over some 55 ft of flight in about half a second: about 50 ms later (kinematics)."""
    scenario, blocks = computed(second_pitch__family="change-up", pitch__family="four-seam")
    found = blocks["second_pitch"]
    assert found["arrives_later_ms"] == pytest.approx(53, abs=5)
    # The swing must start its own duration before the ball is 6 in in front of the plate, not at its edge.
    at_edge = blocks["pitch"]["flight_time_s"] - blocks["swing"]["duration_s"]
    ahead = 6 * INCH / (blocks["pitch"]["plate_speed_mph"] * MPH)
    assert found["decision_s"] == pytest.approx(at_edge - ahead, abs=1e-4)
    assert found["apart_at_decision_in"] > 0
    lines = text(scenario.title, play(scenario.to_inputs()).result, blocks).splitlines()
    assert any(line.startswith("  arrives later by") and line.endswith(" 53 ms") for line in lines)
    _, alone = computed()
    assert alone["second_pitch"] is None
    assert "Second pitch" not in text(scenario.title, play(scenario.to_inputs()).result, alone)


def test_timing_windows_lie_one_in_the_other() -> None:
    _, blocks = computed(swing__below_line_in=1.0)
    early = [blocks["timing"][f"{name}_early_ms"] for name in ("touch", "fair", "solid")]
    late = [blocks["timing"][f"{name}_late_ms"] for name in ("touch", "fair", "solid")]
    assert early == sorted(early)
    assert late == sorted(late, reverse=True)
    assert early[1] == blocks["window"]["fair_early_ms"]
    kinds = {column["timing_ms"]: column["kind"] for column in blocks["strip"]}
    assert kinds[early[0]] != "miss"
    assert kinds[early[0] - 1] == "miss"


def test_a_swing_that_never_touches_has_no_windows() -> None:
    scenario, blocks = computed(swing__below_line_in=6.0, swing__attack_angle_deg=6)
    assert set(blocks["timing"].values()) == {None}
    assert {column["kind"] for column in blocks["strip"]} == {"miss"}
    lines = text(scenario.title, play(scenario.to_inputs()).result, blocks).splitlines()
    assert "  solid     none" in lines
    assert any(" ".join(line.split()) == "40 ms early to 40 ms late miss" for line in lines)


def test_the_text_groups_equal_outcomes() -> None:
    scenario, blocks = computed(swing__below_line_in=1.0)
    lines = text(scenario.title, play(scenario.to_inputs()).result, blocks).splitlines()
    table = lines[lines.index("What each timing gives") + 1 :]
    table = table[: table.index("")]
    changes = [a["kind"] != b["kind"] for a, b in zip(blocks["strip"], blocks["strip"][1:], strict=False)]
    assert len(table) == 1 + sum(changes)
    assert table[0].startswith("  40 ms early to ")
    assert table[-1].split("  ")[1].endswith("40 ms late")
    metric = text(scenario.title, play(scenario.to_inputs()).result, blocks, metric=True)
    assert "mph" not in metric


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (-0.012, 0.004, "12 ms early to 4 ms late"),
        (-0.012, 0.0, "12 ms early to on time"),
        (0.003, 0.003, "3 ms late"),
        (-0.040, 0.004, "at least 40 ms early to 4 ms late"),
        (-0.012, 0.040, "12 ms early to at least 40 ms late"),
    ],
)
def test_a_timing_window_in_words(first: float, last: float, words: str) -> None:
    assert window_words(first, last) == words


def test_text_holds_the_numbers_of_the_blocks() -> None:
    lines = text("A title", a_fly(), report(a_fly(), READING)).splitlines()
    assert lines[0] == "A title"
    assert lines[2] == sentence(a_fly())
    rows = {line.strip().rsplit("  ", 1)[0].strip(): line.split("  ")[-1].strip() for line in lines if "  " in line}
    assert rows["exit speed"] == "94 mph"
    assert rows["fair from a timing of"] == "-8 ms"
    assert "Off the bat" not in text("x", a_miss("late"), report(a_miss("late"), READING))
    assert "151 km/h" in text("x", a_fly(), report(a_fly()), metric=True)
