"""Two plays compared: what was changed, what followed, and the sentence on top."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from plane3d.cli import main
from plane3d.compare import WITHIN, Case, against, changes, compare, differences, solved, text
from plane3d.lesson import scenarios_folder
from plane3d.play import play
from plane3d.quantities import CHOICE_LABELS, all_choices, quantities, quantity
from plane3d.report import Block, read_map, report
from plane3d.scenario import Scenario, load
from tests.cases import inputs, mirrored

ONE_INCH = scenarios_folder() / "01-one-inch-under.toml"
FOUR_INCHES = scenarios_folder() / "02-four-inches-under.toml"
START = load(ONE_INCH)
# Values that change their sign in a mirror along the line from plate to mound.
SIDEWAYS = {
    "pitch.plate_side_in", "swing.heading_deg", "meeting.side_in", "collision.spray_angle_deg",
    "collision.sidespin_rpm", "flight.landing_side_ft",
}  # fmt: skip


@pytest.fixture(scope="module")
def one() -> Case:
    return solved(START)


@pytest.fixture(scope="module")
def four() -> Case:
    return solved(load(FOUR_INCHES))


def changed(**values: Any) -> Scenario:
    """The start with some values of the swing changed."""
    return START.with_values({f"swing.{name}": value for name, value in values.items()})


def answer(asked: Any) -> Block:
    played = play(asked)
    return report(played.result, read_map(played))


def test_one_inch_against_four(one: Case, four: Case) -> None:
    found = compare(one, four)
    assert found.sentence == "The second barrel is 3.0 in lower: a fly ball becomes a miss."
    (row,) = found.changed
    assert (row.key, row.name, row.words) == (
        "swing.below_line_in", "Below the line", ("1.0 in", "4.0 in", "3.0 in lower"),
    )  # fmt: skip
    rows = {row.key: row for row in found.followed}
    assert rows["outcome.kind"].words == ("fly ball", "miss", "changed")
    assert rows["flight.carry_ft"].words[1:] == ("none", "only the first")
    assert not rows["pitch.plate_speed_mph"].differs


def test_every_row_holds_the_numbers_of_both_answers(one: Case, four: Case) -> None:
    second = solved(changed(below_line_in=0.2, timing_ms=-5, bat_speed_mph=62))
    for other in (four, second):
        for row in differences(one.answer, other.answer):
            block, _, name = row.key.partition(".")
            values = [(case.answer[block] or {}).get(name) for case in (one, other)]
            if row.key != "outcome.kind":
                assert [row.first, row.second] == values, row.key


def test_identical_plays_have_no_differences(one: Case) -> None:
    found = compare(one, solved(load(ONE_INCH)))
    assert found.changed == ()
    assert [row for row in found.followed if row.differs or row.words[2]] == []
    assert found.sentence == "The two are the same: a fly ball both times."


def test_swapping_turns_every_difference_round(one: Case) -> None:
    other = solved(changed(below_line_in=0.4, attack_angle_deg=6))
    there, back = compare(one, other), compare(other, one)
    for row, turned in zip((*there.changed, *there.followed), (*back.changed, *back.followed), strict=True):
        assert (row.key, row.first, row.second) == (turned.key, turned.second, turned.first)
        assert row.differs == turned.differs
        assert row.words[:2] == turned.words[1::-1]
        if row.differs and isinstance(row.first, float):
            assert row.words[2].split()[0] == turned.words[2].split()[0]
            assert row.words[2] != turned.words[2]


def test_a_mirrored_pair_differs_in_the_same_way() -> None:
    pair = inputs(below_line=0.02), inputs(below_line=0.01, timing=0.004, plate_side=0.1)
    plain = differences(*(answer(asked) for asked in pair))
    mirror = differences(*(answer(mirrored(asked)) for asked in pair))
    for row, seen in zip(plain, mirror, strict=True):
        assert (row.key, row.differs) == (seen.key, seen.differs)
        if isinstance(row.first, float):
            sign = -1 if row.key in SIDEWAYS else 1
            assert seen.second - seen.first == pytest.approx(sign * (row.second - row.first), abs=2e-3), row.key


def test_only_what_is_more_than_rounding_is_marked(one: Case) -> None:
    rows = differences(one.answer, solved(changed(bat_speed_mph=70.2)).answer)
    speed = next(row for row in rows if row.key == "swing.bat_speed_mph")
    assert speed.second - speed.first == pytest.approx(0.2)
    assert not speed.differs
    for row in rows:
        if not row.differs:
            assert row.words[2] in ("", WITHIN)
            assert (row.words[2] == "") == (row.words[0] == row.words[1])


@pytest.mark.parametrize(
    ("values", "cause"),
    [
        ({"swing.timing_ms": 10}, "The second swing is 10 ms later"),
        ({"swing.timing_ms": -3}, "The second swing is 3 ms earlier"),
        ({"swing.below_line_in": 0.5}, "The second barrel is 0.5 in higher"),
        ({"swing.contact_depth_in": 2}, "The second contact point is 4.0 in deeper"),
        ({"pitch.speed_mph": 85}, "The second pitch is 5 mph faster"),
        ({"hitter.bats": "left"}, "The second hitter bats left"),
        ({"bat.material": "wood"}, "The second bat material is wood, not metal"),
        ({"setting.wind_mph": 10}, "The second wind is 10 mph, not 0 mph"),
        (
            {"swing.below_line_in": 4, "swing.timing_ms": 10, "swing.bat_speed_mph": 60},
            "The second bat is 10 mph slower, the second barrel is 3.0 in lower and the second swing is 10 ms later",
        ),
        (
            {"swing.below_line_in": 4, "swing.timing_ms": 9, "swing.bat_speed_mph": 60, "swing.attack_angle_deg": 5},
            "The second differs in 4 settings",
        ),
    ],
)
def test_the_sentence_names_what_was_changed(one: Case, values: dict[str, Any], cause: str) -> None:
    assert compare(one, solved(START.with_values(values))).sentence.partition(": ")[0] == cause


def test_what_follows_from_a_change_is_told_apart(one: Case) -> None:
    found = compare(one, solved(changed(attack_angle_deg=5)))
    assert [(row.key, row.asked) for row in found.changed] == [
        ("swing.attack_angle_deg", True), ("swing.bat_direction_deg", False),
    ]  # fmt: skip
    assert found.sentence.startswith("The second attack angle is 7° lower: ")


def test_balls_of_one_kind_are_told_apart_by_carry_and_speed(one: Case) -> None:
    slower = solved(changed(bat_speed_mph=66))
    carry = round(one.answer["flight"]["carry_ft"] - slower.answer["flight"]["carry_ft"])
    words = compare(one, slower).sentence
    assert words.startswith(f"The second bat is 4 mph slower: still a fly ball, {carry} ft shorter, ")


def test_a_held_swing_against_one_that_aims(one: Case) -> None:
    held = solved(START.hold(True).with_values({"pitch.plate_height_in": 30}))
    found = compare(one, held)
    assert [row.key for row in found.changed] == ["held", "pitch.plate_height_in"]
    assert found.sentence.startswith(
        "The second swing is held, the first swing aims at the pitch and the second pitch "
    )
    both = changes(held.scenario, START.with_values({"pitch.plate_height_in": 30}).hold(True))
    assert [row.key for row in both] == ["held.plate_height_in"]


def test_metric_changes_words_and_nothing_else(one: Case, four: Case) -> None:
    found = compare(one, four, metric=True)
    assert found.sentence == "The second barrel is 7.6 cm lower: a fly ball becomes a miss."
    for row, coach in zip(found.followed, compare(one, four).followed, strict=True):
        assert (row.first, row.second) == (coach.first, coach.second)
    warm = changes(START, START.with_values({"setting.temperature_f": 88}), metric=True)
    assert warm[0].words == ("21.1 °C", "31.1 °C", "10 °C warmer")  # 70 and 88 °F: 18 steps of 5/9


@pytest.mark.parametrize("key", [*quantities(), *(key for key in CHOICE_LABELS if not key.startswith("second"))])
def test_every_setting_can_be_told_apart(key: str) -> None:
    if key in quantities():
        other: Any = quantity(key).low if START.value(key) != quantity(key).low else quantity(key).high
    else:
        other = next(word for word in all_choices()[key] if word not in (START.value(key), "own"))
    try:
        second = START.with_values({key: other})
    except ValueError:
        pytest.skip("not at this level")
    row = next(row for row in changes(START, second) if row.key == key)
    assert row.asked
    assert all(row.words)


@pytest.mark.parametrize("pair", [*pairwise(sorted(scenarios_folder().glob("[0-9]*.toml")))], ids=lambda p: p[1].stem)
def test_scenarios_in_turn_compare_in_words(pair: tuple[Path, Path]) -> None:
    first, second = (solved(load(path)) for path in pair)
    page = text(first, second)
    assert compare(first, second).sentence in page
    assert "None" not in page
    assert json.dumps(against(first, second), allow_nan=False)


def test_the_command_line_prints_it(capsys: pytest.CaptureFixture[str], one: Case, four: Case) -> None:
    assert main(["solve", str(ONE_INCH), "--against", str(FOUR_INCHES)]) == 0
    out = capsys.readouterr().out
    assert out.splitlines()[3] == "The second barrel is 3.0 in lower: a fly ball becomes a miss."
    marked = [line for line in out.splitlines() if line.startswith("* ")]
    assert any("Dip" in line for line in marked)
    assert not any("Descent angle" in line for line in marked)
    assert main(["solve", str(ONE_INCH), "--against", str(FOUR_INCHES), "--json"]) == 0
    blocks = json.loads(capsys.readouterr().out)
    assert blocks["outcome"]["kind"] == "fly-ball"
    found = blocks["against"]
    assert found["answer"]["outcome"]["kind"] == "miss"
    assert found["changed"] == {"swing.below_line_in": {"first": 1.0, "second": 4.0, "difference": 3.0, "asked": True}}
    assert found["followed"]["swing.dip_in"]["difference"] == pytest.approx(
        four.answer["swing"]["dip_in"] - one.answer["swing"]["dip_in"]
    )
    assert found["followed"]["flight.carry_ft"]["difference"] is None
