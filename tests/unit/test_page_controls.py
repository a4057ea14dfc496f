"""The controls against the quantities they set, and the numbers and documents of the page."""

from __future__ import annotations

from dataclasses import fields

import pytest

from apps.controls import MEASURED, UNSEEN, absent, asked_for, groups, row, values
from apps.documents import document
from apps.result import PENDING, numbers, signed
from plane3d import units
from plane3d.levels import LEVELS
from plane3d.measured.measure import run
from plane3d.play import play
from plane3d.quantities import METRIC, choices, quantities
from plane3d.report import read_map, report
from plane3d.scenario import MOTION, Scenario, load, loads
from tests.unit.test_wheel import ROOT

OPEN = {  # by the task this page was made for
    "swing.contact_depth_in", "pitch.plate_height_in", "swing.vertical_bat_angle_deg", "swing.attack_angle_deg",
    "swing.below_line_in", "swing.timing_ms", "swing.bat_speed_mph", "pitch.speed_mph",
}  # fmt: skip

# coach unit: (coach value, metric value, tolerance). International yard and pound and the Fahrenheit scale: exact;
# the inch of mercury: 33.8639 hPa (common handbook value, from memory).
SAME = {
    "mph": (60, 96.56064, 1e-9),
    "in": (17, 43.18, 1e-9),
    "ft": (90, 27.432, 1e-9),
    "oz": (5, 141.7476, 1e-4),
    "inHg": (29.92, 1013.2, 0.02),
    "°F": (68, 20, 1e-9),
}


def scenario(level: str, **swing: float) -> Scenario:
    table = "\n".join(f"{key} = {value}" for key, value in swing.items())
    return loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n[swing]\n{table}\n')


def test_every_value_stands_on_the_page_once() -> None:
    rows = [row["key"] for group in groups() for row in (*group["open"], *group["more"])]
    assert sorted(rows) == sorted({*quantities(), *choices(), "second_pitch.family", MOTION} - {"view.camera"})
    assert {row["key"] for group in groups() for row in group["open"]} == OPEN | {MOTION}
    assert [group["name"] for group in groups()][:3] == ["Pitch", "Swing", "Meeting"]


def test_a_measured_swing_may_be_left_and_taken_again() -> None:
    built = load(ROOT / "scenarios" / "01-one-inch-under.toml")
    assert absent(built, built) == [MOTION]
    start = run(ROOT / "scenarios" / "measured" / "swing-right-240.csv", built, impact=0.5).measured_scenario()
    assert values(start)[MOTION] == MEASURED and absent(start, start) == [*UNSEEN]
    left = start.with_values(asked_for({MOTION: ""}, start))
    assert not left.is_measured and absent(left, start) == []
    for back in (MEASURED, None):
        assert left.with_values(asked_for({MOTION: back}, start)) == start


@pytest.mark.parametrize("key", quantities())
def test_sliders_run_within_what_is_allowed_and_say_what_it_is(key: str) -> None:
    made, asked = row(key), quantities()[key]
    assert asked.low <= made["start"] < made["end"] <= asked.high
    assert made["label"] == asked.label
    assert f"From {asked.low:g} to {asked.high:g} {asked.unit}." in made["doc"]
    assert made["step"] == asked.step
    decimals = made["units"][0]["decimals"]
    assert round(asked.step, decimals) == asked.step


@pytest.mark.parametrize("level", LEVELS)
def test_starting_values_lie_on_their_sliders(level: str) -> None:
    for key, value in values(scenario(level)).items():
        if key in quantities():
            assert row(key)["start"] <= value <= row(key)["end"], key


@pytest.mark.parametrize("unit", SAME)
def test_metric_units(unit: str) -> None:
    coach, metric, tolerance = SAME[unit]
    _, factor, offset, _ = METRIC[unit]
    assert coach * factor + offset == pytest.approx(metric, abs=tolerance)


def test_units_without_a_metric_one_are_those_of_both() -> None:
    assert {q.unit for q in quantities().values()} - set(METRIC) == {"deg", "rpm", "ms", "%"}


def test_air_pressure_follows_the_altitude_until_it_is_given() -> None:
    assert values(scenario("college"))["setting.pressure_inhg"] == pytest.approx(29.92, abs=0.01)


def test_numbers_show_each_block_and_wait_for_the_window() -> None:
    played = play(scenario("high-school", below_line_in=1.0).to_inputs())
    early = numbers(report(played.result))
    assert early.count(f"<dd>{PENDING}</dd>") == 10  # the dip, six of the window, three of the way round
    reading = read_map(played)
    late = numbers(report(played.result, reading))
    assert PENDING not in late
    assert f"<dd>{reading.length / units.INCH:.1f} in</dd>" in late
    assert f"<dd>{reading.length_time / units.MILLISECOND:.0f} ms</dd>" in late
    for field in fields(played.result.why):  # type: ignore[arg-type]
        assert f"<dd>{signed(getattr(played.result.why, field.name) / units.DEGREE)}</dd>" in late


def test_a_miss_has_no_collision_to_show() -> None:
    played = play(scenario("high-school", below_line_in=4.0).to_inputs())
    assert numbers(report(played.result, read_map(played))).count("the bat misses the ball") == 3


@pytest.mark.parametrize(("angle", "words"), [(12.4, "+12°"), (-0.4, "0°"), (-3.0, "−3°")])
def test_signed_angles(angle: float, words: str) -> None:
    assert signed(angle) == words


def test_the_model_page_is_made_from_the_file() -> None:
    page = document("model")
    assert "<title>The model, for coaches - plane3d</title>" in page
    assert '<h2 id="step-by-step">' in page
