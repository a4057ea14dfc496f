"""The practice plan: causes found on hitters made to have one, and the sheet that is printed.

That timing, barrel height, the place along the barrel, the match of swing and pitch, and casting each cost solid
contact is a fact of the trade (common practice, no source). Each hitter here has one fault, and the model must find it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from plane3d.causes import Replays
from plane3d.drills import AGES, CAUSES, CAUTIONS, COMES_FIRST, load_drills
from plane3d.errors import Plane3dError
from plane3d.plan import MOST, Plan, choose, plan
from plane3d.plays import play_many
from plane3d.practice_sheet import PACE, sheet
from plane3d.scenario import Scenario, loads
from plane3d.studies.contact_map import SOLID_SHARE
from plane3d.studies.remedy import Goal
from plane3d.studies.spread import best_ball, spread
from plane3d.study.scatter import Scatter
from plane3d.terminal import save
from plane3d.units import INCH
from tests.catalogue import template

NONE = Scatter(0.0, 0.0, 0.0, 0.0, 0.0)
STEADY = Scatter(timing_ms=8.0, height_in=0.7, depth_in=2.0, along_in=1.2, bat_speed_mph=2.0)
PLAYS = 300


@cache
def made(scatter: Scatter | None = STEADY, level: str = "high-school", **swing: float) -> Plan:
    """The plan of an invented hitter."""
    values = "".join(f"{key} = {value}\n" for key, value in swing.items())
    scenario = loads(f'format = 1\ntitle = "Cage, Monday"\n[setting]\nlevel = "{level}"\n[swing]\n{values}')
    found = plan(scenario, scatter, n=PLAYS)
    assert found is not None
    return found


# --- causes -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("scatter", "cause"),
    [
        (replace(NONE, timing_ms=16.0), "timing-varies"),
        (replace(NONE, height_in=1.2), "height-varies"),
        (replace(NONE, along_in=2.5), "place-varies"),
    ],
)
def test_the_one_thing_that_varies_comes_first(scatter: Scatter, cause: str) -> None:
    found = made(scatter)
    assert found.causes[0] == cause
    assert not {"timing-varies", "height-varies", "place-varies"} - {cause} & set(found.causes)


@pytest.mark.parametrize(
    ("swing", "cause"),
    [
        ({"timing_ms": 10}, "timing-late"),
        ({"timing_ms": -12}, "timing-early"),
        ({"below_line_in": 1.6}, "barrel-low"),  # an inch under the place that suits this swing
        ({"below_line_in": -0.6}, "barrel-high"),
        ({"along_barrel_in": 2}, "off-the-end"),
        ({"along_barrel_in": -3}, "jammed"),
        ({"attack_angle_deg": 22}, "too-steep"),
        ({"attack_angle_deg": 22, "below_line_in": 0.0}, "too-steep"),  # and still hits a liner when all is right
        ({"attack_angle_deg": -8}, "too-flat"),
        ({"bat_direction_deg": 25}, "barrel-ahead"),
        ({"bat_direction_deg": -15}, "barrel-behind"),
    ],
)
def test_the_one_constant_miss_comes_first(swing: dict[str, float], cause: str) -> None:
    assert made(**swing).causes[0] == cause


def test_a_cast_swing_is_told_so() -> None:
    found = made(hinge_deg=130, release_ms=100)
    assert "cast" in found.causes
    assert "cast" not in made().causes


def test_an_inch_low_without_any_scatter() -> None:
    found = made(NONE, below_line_in=1.5)
    assert found.causes == ("barrel-low",)
    assert found.findings[0].alone == 1.0


def test_two_misses_at_once_are_both_found() -> None:
    """Neither alone wins much: the ball is missed until both are mended."""
    found = made(timing_ms=20, below_line_in=3.5)
    assert set(found.causes[:2]) == {"barrel-low", "timing-late"}
    assert found.findings[1].alone < 0.05 < found.findings[1].within


@pytest.mark.parametrize("level", ["under-8", "under-12", "professional", "softball-12"])
def test_a_perfect_hit_without_scatter_needs_nothing(level: str) -> None:
    scenario = loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n')
    found = plan(scenario.with_values({"swing.below_line_in": liner_height(scenario)}), NONE, n=5)
    assert found is not None and found.causes == () and len(found.drills) == 3
    assert "nothing needs fixing" in sheet(found)


def liner_height(scenario: Scenario) -> float:
    """Inches below the line at which a swing without scatter hits a solid line drive, the least of them."""
    inputs, heights = scenario.to_inputs(), np.arange(-10, 20) / 10
    plays = play_many(replace(inputs, swing=replace(inputs.swing, below_line=heights * INCH)))
    good = plays.fair & (plays.kind == "line-drive") & (plays.exit_speed >= SOLID_SHARE * best_ball(inputs))
    return float(heights[good][0])


def test_a_finding_is_what_a_spread_of_the_mended_swing_wins() -> None:
    """Computed anew, by a plain spread of the scenario with its timing put right."""
    found = made(timing_ms=10)
    first = found.findings[0]
    scenario = found.scenario.with_values({"swing.timing_ms": 0})
    mended = spread(scenario.to_inputs(), STEADY.to_si(), PLAYS, found.now.seed)
    assert mended is not None
    assert first.toward == 0 and first.alone == pytest.approx(mended.solid.mean() - found.now.solid.mean(), abs=1e-12)


def test_the_standard_error_of_a_finding_is_its_scatter_over_seeds() -> None:
    scenario = made(timing_ms=10).scenario.with_values({"swing.attack_angle_deg": 6, "swing.below_line_in": 0.8})
    inputs, goal = scenario.to_inputs(), Goal(("line-drive",))
    gains, errors = [], []
    for seed in range(16):
        replays = Replays(inputs, replace(NONE, timing_ms=10.0).to_si(), goal, 100, seed)
        assert replays.run(None)
        late = next(f for f in replays.findings() if f.cause == "timing-late")
        gains.append(late.alone)
        errors.append(late.error)
    assert np.std(gains) == pytest.approx(np.mean(errors), rel=0.5)  # 16 repetitions know their own scatter to 18 %


def test_a_held_swing_is_early_on_a_slower_pitch() -> None:
    """By as much as that pitch comes later; computed here from the two flights."""
    fast = made().scenario
    slow = fast.hold(True).with_values({"pitch.speed_mph": fast.pitch.speed_mph - 8})
    found = plan(slow, STEADY, n=PLAYS)
    assert found is not None and found.causes[0] == "timing-early"
    later = play_many(slow.aimed().with_values({"pitch.speed_mph": slow.pitch.speed_mph}).to_inputs()).due[0]
    assert found.findings[0].now == pytest.approx(-1000 * (later - play_many(fast.to_inputs()).due[0]), abs=1e-6)
    assert found.findings[0].toward == 0


def test_a_held_swing_is_under_a_higher_pitch() -> None:
    fast = made().scenario
    found = plan(
        fast.hold(True).with_values({"pitch.plate_height_in": fast.pitch.plate_height_in + 3}), STEADY, n=PLAYS
    )
    assert found is not None and found.causes[0] == "barrel-low"
    assert found.findings[0].now == pytest.approx(3.5, abs=0.3)  # half an inch under before, three more now


def test_no_cause_is_not_called_a_perfect_swing() -> None:
    found = made(NONE)
    lost = replace(found, findings=(), ball=replace(found.ball, already=False))
    assert "no single cause" in sheet(lost) and "nothing needs fixing" not in sheet(lost)


def test_a_slow_bat_is_told_last() -> None:
    found = made(bat_speed_mph=58)
    assert found.slow is not None and found.causes[-1] == "bat-speed"
    now, typical, gain = found.slow
    # A mile per hour of bat speed is worth 1.2 of exit speed at the most, and about 1 (from memory, PHYSICS 7).
    assert (now, typical) == (58, 68) and 0.9 < gain / (typical - now) < 1.3
    assert made().slow is None


def test_no_more_than_three_causes() -> None:
    assert all(len(made(timing_ms=t).findings) <= MOST for t in (-12, 10))


def test_it_can_be_stopped() -> None:
    told: list[float] = []
    assert plan(made().scenario, STEADY, n=1500, progress=lambda done: told.append(done) or len(told) < 2) is None
    assert len(told) == 2 and 0 < told[0] < told[1] < 1


# --- drills -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("age", AGES)
@pytest.mark.parametrize("cause", CAUSES)
def test_three_different_drills_the_first_for_the_first_cause(age: str, cause: str) -> None:
    chosen = choose(load_drills(), age, {cause: 0.1})
    assert len({drill.name for drill, _ in chosen}) == 3
    assert cause in chosen[0][0].works_on and chosen[0][1] == cause
    assert all(drill.dose_for(age) for drill, _ in chosen)
    assert all(not named or named in drill.works_on for drill, named in chosen)


def test_a_second_cause_gets_a_drill_too() -> None:
    chosen = choose(load_drills(), "from_15", {"barrel-low": 0.2, "timing-late": 0.15})
    assert {"barrel-low", "timing-late"} <= {cause for _, cause in chosen}


def test_a_cause_that_no_drill_works_on_leaves_the_others() -> None:
    few = [drill for drill in load_drills() if "cast" not in drill.works_on]
    chosen = choose(few, "from_15", {"cast": 0.5, "jammed": 0.1})
    assert chosen[0][1] == "jammed" and len(chosen) == 3


# --- the sheet --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("level", ["under-8", "under-12", "professional", "softball-college"])
def test_a_sheet_has_everything(level: str) -> None:
    found = made(None, level, timing_ms=6)
    text = sheet(found)
    assert all(caution in text for caution in CAUTIONS)
    assert COMES_FIRST in text and PACE[found.age] in text
    assert text.index(CAUTIONS[0]) < text.index("## Three drills")
    assert f"{level} hitter, bats right" in text and f"Doses for: {AGES[found.age]}" in text
    assert f"Seed {found.now.seed}, {PLAYS} swings" in text
    assert "typical one of the level" in text and "not a measurement" in text
    for drill, _ in found.drills:
        dose = drill.dose_for(found.age)
        assert dose is not None
        assert drill.name in text and drill.measure in text and all(step in text for step in drill.do)
        assert f"{dose.sets} sets of {dose.swings} swings, {dose.rest_s} s of rest" in text


def test_a_measured_scatter_is_not_called_typical() -> None:
    assert "typical one of the level" not in sheet(made())


def test_the_numbers_on_the_sheet_are_those_of_the_plan() -> None:
    found = made(timing_ms=10)
    text = sheet(found)
    solid = 100 * found.now.solid.mean()
    assert re.search(rf"\| Solid, of 100 swings \| {solid:.0f} ± \d \|", text)
    assert f"makes {100 * found.findings[0].alone:.0f} ± " in text
    assert "| Timing | 10 ms late |" in text


def test_a_missed_ball_comes_with_single_changes_that_make_it_a_line_drive() -> None:
    found = made(below_line_in=1.6)
    assert not found.ball.already and found.ball.remedies
    assert all(change.result.outcome.kind == "line-drive" for change in found.ball.remedies)
    assert "Any one of these makes it one" in sheet(found)


def test_metric() -> None:
    found = made(below_line_in=1.6)
    assert "| Height of the barrel | 1.6 in below the line |" in sheet(found)
    assert "| Height of the barrel | 4.1 cm below the line |" in sheet(found, metric=True)
    assert " mph" not in sheet(found, metric=True)


def test_same_seed_same_text() -> None:
    scenario = made(below_line_in=1.6).scenario
    first, again, other = (sheet(found) for seed in (4, 4, 5) if (found := plan(scenario, n=80, seed=seed)))
    assert first == again != other


def test_a_sheet_in_a_file(tmp_path: Path) -> None:
    text = sheet(made())
    save(text, tmp_path / "sheet.md")
    assert (tmp_path / "sheet.md").read_text(encoding="utf-8") == text
    with pytest.raises(Plane3dError, match=r"^.*sheet\.md: cannot be written \(.+\)$"):
        save(text, tmp_path / "none" / "sheet.md")


def test_every_word_can_be_said_in_another_language(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever is said stands in the catalogues: outside the marks set there, only figures and units remain."""
    said: set[str] = set()

    def marked(language: str, message: str, context: str = "") -> str:
        said.add(message)
        return f"‹{message}›"

    for found in (made(timing_ms=10, below_line_in=1.6), made(bat_speed_mph=58), made(NONE), made(None)):
        with monkeypatch.context() as patch:
            patch.setattr("plane3d.language._said", marked)
            text = sheet(found)
        while (shorter := re.sub(r"‹[^‹›]*›", "", text)) != text:
            text = shorter
        assert set(re.findall(r"[A-Za-z]{2,}", text)) <= {"ms", "mph"}
    known = {str(message.id) for message in template()}
    assert said - known == {made().scenario.title}
    for drill in load_drills():
        assert {drill.name, drill.setup, *drill.do, drill.cue, *drill.equipment, drill.measure} <= known
