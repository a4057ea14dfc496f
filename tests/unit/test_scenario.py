"""Scenario files: what is read, what follows, and one clear sentence for everything that can be wrong."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plane3d.errors import InputError, Mistake
from plane3d.lesson import scenarios_folder
from plane3d.levels import LEVELS
from plane3d.physics.air import air_density
from plane3d.quantities import Quantity, choices, quantities, quantity
from plane3d.scenario import load, loads

HEAD = 'format = 1\ntitle = "x"\n'
NUMBERS = list(quantities().values())
SCENARIOS = sorted(scenarios_folder().glob("[0-9]*.toml"))


def mistakes(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(InputError) as caught:
        loads(text, "f.toml")
    return caught.value.mistakes


def one_mistake(text: str) -> str:
    found = mistakes(text)
    assert len(found) == 1, found
    return str(found[0])


def with_line(key: str, value: str) -> str:
    """A file whose one value stands on line 4."""
    table, _, name = key.partition(".")
    return f"{HEAD}[{table}]\n{name} = {value}\n"


# --- every numeric key, wrongly given


def too_low(q: Quantity) -> str:
    return repr(q.low - 0.001)


def too_high(q: Quantity) -> str:
    return repr(q.high + 0.001)


WRONG = {
    "below": too_low,
    "above": too_high,
    "NaN": lambda q: "nan",
    "minus NaN": lambda q: "-nan",
    "infinite": lambda q: "inf",
    "minus infinite": lambda q: "-inf",
    "text": lambda q: '"fast"',
    "a number as text": lambda q: f'"{q.low}"',
    "empty text": lambda q: '""',
    "true": lambda q: "true",
    "a list": lambda q: f"[{q.low}]",
    "a table": lambda q: "{ a = 1 }",
    "a date": lambda q: "2020-01-01",
    "a huge whole number": lambda q: "9" * 400,
    "a huge hexadecimal number": lambda q: "0x" + "f" * 5000,
}


@pytest.mark.parametrize("wrong", WRONG)
@pytest.mark.parametrize("q", NUMBERS, ids=lambda q: q.key)
def test_wrong_number(q: Quantity, wrong: str) -> None:
    message = one_mistake(with_line(q.key, WRONG[wrong](q)))
    assert message.startswith(f"f.toml:4: {q.key} = ")
    assert message.endswith(f"must be a number from {q.low:g} to {q.high:g} {q.unit}")
    assert len(message) < 200


@pytest.mark.parametrize("q", NUMBERS, ids=lambda q: q.key)
def test_no_value_at_all_is_broken_toml(q: Quantity) -> None:
    assert one_mistake(with_line(q.key, "")).startswith("f.toml:4: is not valid TOML")


@pytest.mark.parametrize("q", NUMBERS, ids=lambda q: q.key)
def test_both_ends_of_a_range_are_allowed(q: Quantity) -> None:
    for value in (q.low, q.high):
        assert loads(with_line(q.key, repr(value))).value(q.key) == value


@pytest.mark.parametrize("q", NUMBERS, ids=lambda q: q.key)
def test_whole_numbers_are_numbers(q: Quantity) -> None:
    value = math.ceil(q.low)
    assert loads(with_line(q.key, str(value))).value(q.key) == value


@pytest.mark.parametrize("q", NUMBERS, ids=lambda q: q.key)
def test_quantity_is_declared_in_full(q: Quantity) -> None:
    assert quantity(q.key) is q
    assert q.low < q.high
    assert 0 < q.step <= q.high - q.low
    assert q.label and q.doc.endswith(".")


# --- other wrong keys


@pytest.mark.parametrize("key", choices())
def test_wrong_choice(key: str) -> None:
    for value in ('"nonsense"', "1", "true", "nan", "[]"):
        message = one_mistake(with_line(key, value))
        assert message.startswith(f"f.toml:4: {key} = {value} must be one of ")
        assert all(f'"{word}"' in message for word in choices()[key])


def test_a_near_choice_is_suggested() -> None:
    assert one_mistake(with_line("setting.level", '"highschool"')).endswith("did you mean high-school?")


@pytest.mark.parametrize(
    ("table", "wrong", "meant"),
    [
        ("swing", "timming_ms", "swing.timing_ms"),
        ("swing", "below_line", "swing.below_line_in"),
        ("swing", "speed_mph", "pitch.speed_mph"),
        ("hitter", "length_in", "bat.length_in"),
        ("pitch", "release_hight_ft", "pitch.release_height_ft"),
    ],
)
def test_an_unknown_key_brings_a_suggestion(table: str, wrong: str, meant: str) -> None:
    message = one_mistake(f"{HEAD}[{table}]\n{wrong} = 1\n")
    assert message == f"f.toml:4: {table}.{wrong} = 1 is not a known key; did you mean {meant}?"


def test_an_unknown_table_and_a_strange_key() -> None:
    assert one_mistake(HEAD + "[swings]\n").endswith("did you mean swing?")
    assert one_mistake(HEAD + "timing_ms = 1\n").endswith("did you mean swing.timing_ms?")
    assert one_mistake(HEAD + "[bat]\nqqq = 1\n").endswith(
        "known here: length_in, weight_oz, barrel_diameter_in, material"
    )


@pytest.mark.parametrize("value", ["3", '"fast"', "true", "[1]", "nan"])
@pytest.mark.parametrize("table", ["setting", "hitter", "bat", "pitch", "swing", "view"])
def test_a_table_that_is_none(table: str, value: str) -> None:
    message = one_mistake(f"{HEAD}{table} = {value}\n")
    assert message == f"f.toml:3: {table} = {value} must be a table: write [{table}] on a line of its own"


@pytest.mark.parametrize("value", ["2", "0", '"1"', "true", "nan", "[1]"])
def test_wrong_format(value: str) -> None:
    message = one_mistake(f'format = {value}\ntitle = "x"\n')
    assert message == f"f.toml:1: format = {value} must be 1, the only file format there is"


@pytest.mark.parametrize("value", ["1", '""', '"  "', '"a\\nb"', '"' + "a" * 121 + '"', "true", "[]"])
def test_wrong_title(value: str) -> None:
    message = one_mistake(f"format = 1\ntitle = {value}\n")
    assert message.startswith("f.toml:2: title = ")
    assert message.endswith("must be one line of text, at most 120 characters")


@pytest.mark.parametrize("key", ["question", "notice"])
@pytest.mark.parametrize("value", ["1", '"' + "a" * 1001 + '"', "[]"])
def test_wrong_prose(key: str, value: str) -> None:
    assert "must be text, at most 1000 characters" in one_mistake(f"{HEAD}{key} = {value}\n")


def test_missing_format_and_title() -> None:
    assert [m.key for m in mistakes("")] == ["format", "title"]
    assert one_mistake("format = 1\n").endswith("title is missing; it must be one line of text, at most 120 characters")


def test_all_mistakes_come_at_once_in_the_order_of_the_file() -> None:
    text = HEAD + "[swing]\ntiming_ms = nan\nzzz = 1\n[hitter]\nbats = 1\n[pitch]\nspeed_mph = 500\n"
    assert [str(m).partition(" = ")[0] for m in mistakes(text)] == [
        "f.toml:4: swing.timing_ms",
        "f.toml:5: swing.zzz",
        "f.toml:7: hitter.bats",
        "f.toml:9: pitch.speed_mph",
    ]


# --- the line of a key, however it is written


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (HEAD + "\n# note\n[swing] # a table\n  timing_ms = 99\n", 6),
        (HEAD + "swing.timing_ms = 99\n", 3),
        (HEAD + "swing . 'timing_ms' = 99\n", 3),
        (HEAD + "\nswing = { attack_angle_deg = 5, timing_ms = 99 }\n", 4),
        (HEAD.replace("\n", "\r\n") + "[swing]\r\ntiming_ms = 99\r\n", 4),
        (HEAD + 'notice = """\n[swing]\ntiming_ms = 1\n"""\n[swing]\ntiming_ms = 99\n', 8),
        (HEAD + "notice = '''\ntiming_ms = 1'''\n[swing]\ntiming_ms = 99\n", 6),
    ],
)
def test_line_of_a_key(text: str, line: int) -> None:
    assert one_mistake(text).startswith(f"f.toml:{line}: swing.timing_ms = 99 must be")


# --- files that are not TOML, or not files


@pytest.mark.parametrize(
    "text",
    [
        "format = \n",
        "[swing\n",
        "a = 1\na = 2\n",
        "[swing]\n[swing]\n",
        'title = "open\n',
        'title = """open\n',
        "just words\n",
        "{}",
        "x = " + "[" * 100_000,
        "x = " + "9" * 5000,
        "\x00",
        "a = 1e999999999",
    ],
)
def test_broken_toml_is_one_sentence(text: str) -> None:
    found = mistakes(text)
    assert all("\n" not in str(m) and len(str(m)) < 300 for m in found)


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        load(path)
    (mistake,) = caught.value.mistakes
    return str(mistake)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    assert refusal(tmp_path).endswith("is a folder; give a TOML file")
    assert refusal(tmp_path / "none.toml").endswith("there is no such file")
    assert refusal(tmp_path / ("n" * 300)).startswith(str(tmp_path))
    latin = tmp_path / "latin.toml"
    latin.write_bytes(HEAD.encode() + 'notice = "Grüße"'.encode("latin-1"))
    assert refusal(latin).endswith("is not UTF-8 text (byte 36); save it as UTF-8")
    wide = tmp_path / "wide.toml"
    wide.write_text(HEAD, encoding="utf-16")
    assert "is not UTF-8 text" in refusal(wide)
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * 1_000_001)
    assert refusal(large).endswith("is larger than 1 MB, too large for a scenario file")


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    path = tmp_path / "bom.toml"
    path.write_text(HEAD, encoding="utf-8-sig")
    assert load(path).title == "x"


@given(st.text())
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        loads(text)
    except InputError as error:
        assert error.mistakes


values = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(), st.lists(st.integers()))


@given(st.dictionaries(st.sampled_from([*quantities(), *choices(), "title", "format", "a.b.c", ""]), values))
def test_any_change_is_made_or_refused(changes: dict[str, Any]) -> None:
    try:
        changed = loads(HEAD).with_values(changes)
    except InputError as error:
        assert error.mistakes
    else:
        assert loads(changed.to_toml()) == changed


# --- what follows from what


def test_values_that_follow() -> None:
    scenario = loads(HEAD)
    assert scenario.setting.level == "high-school"
    tall = scenario.with_values({"hitter.height_in": 80})
    assert tall.pitch.plate_height_in == pytest.approx(0.405 * 80)
    lefty = scenario.with_values({"pitch.throws": "left"})
    assert lefty.pitch.release_side_ft == -scenario.pitch.release_side_ft > 0
    assert lefty.pitch.spin_tilt_deg == -scenario.pitch.spin_tilt_deg
    small = scenario.with_values({"setting.fence_ft": 185})
    assert small.setting.fence_line_ft / 185 == pytest.approx(scenario.setting.fence_line_ft / 370)


def test_bat_direction_follows_until_it_is_given() -> None:
    scenario = loads(HEAD).with_values({"swing.attack_angle_deg": 12, "swing.vertical_bat_angle_deg": 30})
    # sin(heading + direction) = tan(30) tan(12) = 0.57735 x 0.21256 = 0.12272: 7.049 degrees, by hand
    assert scenario.swing.bat_direction_deg == pytest.approx(7.049, abs=1e-3)
    fixed = scenario.with_values({"swing.bat_direction_deg": 0}).with_values({"swing.attack_angle_deg": 20})
    assert fixed.swing.bat_direction_deg == 0
    assert fixed.with_values({"swing.bat_direction_deg": None}).swing.bat_direction_deg > 7


def test_a_level_gives_what_is_left_out_and_nothing_else() -> None:
    young = loads(HEAD + '[setting]\nlevel = "under-10"\n[swing]\nbat_speed_mph = 33\n')
    assert young.swing.bat_speed_mph == 33
    older = young.with_values({"setting.level": "college"})
    assert older.swing.bat_speed_mph == 33
    assert older.bat.length_in == LEVELS["college"].bat[0]
    assert set(older.given) == {"format", "title", "setting.level", "swing.bat_speed_mph"}


def test_a_change_leaves_the_first_scenario_alone() -> None:
    scenario = loads(HEAD)
    before = scenario.model_dump()
    scenario.with_values({"swing.timing_ms": 9})
    assert scenario.model_dump() == before


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_written_and_read_again(path: Path) -> None:
    scenario = load(path)
    again = loads(scenario.to_toml())
    assert again == scenario
    assert again.given == scenario.given


def test_strange_text_survives_writing() -> None:
    title = "quotes \" ' \\ # = [x] \t \x7f é ☃"
    scenario = loads(HEAD).with_values({"title": title, "notice": 'a\nb """ \r\n \x00 c'})
    assert loads(scenario.to_toml()) == scenario


# --- to SI


def test_inputs_are_in_si() -> None:
    scenario = loads(HEAD).with_values(
        {
            "pitch.speed_mph": 100,
            "pitch.release_distance_ft": 50,
            "pitch.spin_rpm": 60,
            "swing.timing_ms": -10,
            "swing.below_line_in": 1,
            "swing.attack_angle_deg": 18,
            "bat.weight_oz": 32,
            "setting.fence_ft": 100,
        }
    )
    inputs = scenario.to_inputs()
    assert inputs.pitch.speed == pytest.approx(44.704)
    assert inputs.pitch.release_distance == pytest.approx(15.24)
    assert inputs.pitch.spin == pytest.approx(2 * math.pi)
    assert inputs.swing.timing == pytest.approx(-0.010)
    assert inputs.swing.below_line == pytest.approx(0.0254)
    assert inputs.swing.attack_angle == pytest.approx(math.pi / 10)
    assert inputs.bat.mass == pytest.approx(0.90718474)
    assert inputs.setting.field.fence_centre == pytest.approx(30.48)
    assert inputs.bats == "right"


def test_wind_blows_toward_its_bearing() -> None:
    base = loads(HEAD).with_values({"setting.wind_mph": 10})
    toward_centre = base.to_inputs().setting.wind
    toward_first = base.with_values({"setting.wind_toward_deg": 90}).to_inputs().setting.wind
    assert toward_centre == pytest.approx((0, 4.4704, 0))
    assert toward_first == pytest.approx((4.4704, 0, 0))


def test_a_measured_pressure_wins_over_the_altitude() -> None:
    high = loads(HEAD).with_values({"setting.altitude_ft": 5000})
    measured = high.with_values({"setting.pressure_inhg": 29.92})
    assert high.to_inputs().setting.air_density < 0.85 * measured.to_inputs().setting.air_density
    # 29.92 inHg is 101 320 Pa; 70 F is 294.26 K; half saturated
    expected = air_density(294.2611, 101320.7, 0.5)
    assert measured.to_inputs().setting.air_density == pytest.approx(float(expected), rel=1e-5)
