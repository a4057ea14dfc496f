"""A measured swing gives back the swing it was sampled from, says how well, and everything works on it unchanged."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from plane3d.errors import InputError
from plane3d.frames import cross, side_sign
from plane3d.inputs import Held, Inputs
from plane3d.measured.measure import against, block, run, shortfalls, text
from plane3d.measured.placing import by_axes
from plane3d.measured.points import BatPoints
from plane3d.measured.swing import Measured, measure
from plane3d.measured.synthetic import csv_text, sampled, sampled_play
from plane3d.play import play
from plane3d.plays import Plays, pitch_flight, play_many
from plane3d.report import read_map, report
from plane3d.scenario import load, loads
from plane3d.scene.describe import describe
from plane3d.scene.road import add_road
from plane3d.studies.contact_map import contact_map, window
from plane3d.study import remedy, spread, target
from plane3d.track_text import packed
from plane3d.units import DEGREE, INCH, MPH
from tests.cases import inputs
from tests.unit.test_wheel import ROOT

CONTACT = 0.5
SEEDS = 200
SLOW = {"attack_angle": -3 * DEGREE, "vertical_bat_angle": 15 * DEGREE, "bat_speed": 50 * MPH, "bat_direction": 0.0}


def measured_of(asked: Inputs, rate: float = 500.0, noise: float = 1e-5, seed: int = 0) -> Measured:
    return measured_again(play_many(asked), rate, noise, seed)


def measured_again(plays: Plays, rate: float, noise: float, seed: int, draws: int = 400) -> Measured:
    points = sampled_play(plays, rate, noise, seed, CONTACT)
    return measure(points, by_axes(), plays.inputs.bats, CONTACT, draws=draws)


@cache
def recovered(rate: float, bats: str, slow: bool = False) -> dict[str, np.ndarray]:
    """Errors and half intervals of the figures over the seeds, and whether the intervals hold the truth; SI."""
    asked = inputs(bats=bats, **(SLOW if slow else {}))
    plays, pitch, side = play_many(asked), pitch_flight(asked), side_sign(bats)
    names = ("bat_speed", "attack_angle", "vertical_bat_angle", "below_line")
    error, half, held = ({name: [] for name in names} for _ in range(3))
    for seed in range(SEEDS):
        m = measured_again(plays, rate, 0.005, seed)
        read = m.track.read(pitch, asked.bat.sweet_spot, side)
        drawn = m.contact.numbers(pitch, asked.bat.sweet_spot, side)
        for name in names:
            true = float(getattr(asked.swing, name))
            low, high = np.nanpercentile(drawn[name], [2.5, 97.5])
            error[name].append(read[name] - true)
            half[name].append((high - low) / 2)
            held[name].append(low <= true <= high)
    return {
        f"{kind} {name}": np.array(values[name])
        for kind, values in (("error", error), ("half", half), ("held", held))
        for name in names
    }


@pytest.mark.parametrize(("bats", "slow"), [("right", False), ("left", False), ("right", True)])
def test_truth_comes_back_at_240_samples_a_second_and_5_mm(bats: str, slow: bool) -> None:
    found = recovered(240.0, bats, slow)
    median = {name: np.median(np.abs(values)) for name, values in found.items() if name.startswith("error")}
    speed = float(inputs(**(SLOW if slow else {})).swing.bat_speed)
    assert median["error attack_angle"] < 1.5 * DEGREE
    assert median["error bat_speed"] < 0.02 * speed
    assert median["error below_line"] < 0.3 * INCH


@pytest.mark.parametrize("bats", ["right", "left"])
@pytest.mark.parametrize("name", ["bat_speed", "attack_angle", "vertical_bat_angle", "below_line"])
def test_the_stated_uncertainty_covers_the_truth(bats: str, name: str) -> None:
    assert 0.90 <= recovered(240.0, bats)[f"held {name}"].mean() <= 0.99


def test_noise_is_found_again() -> None:
    plays = play_many(inputs())
    noises = [measured_again(plays, 500.0, 0.005, seed, draws=2).noise for seed in range(20)]
    assert np.median(noises) == pytest.approx(0.005, rel=0.1)


@pytest.mark.parametrize("bats", ["right", "left"])
def test_without_noise_nothing_is_lost(bats: str) -> None:
    asked = inputs(bats=bats)
    read = measured_of(asked).track.read(pitch_flight(asked), asked.bat.sweet_spot, side_sign(bats))
    assert read["bat_speed"] == pytest.approx(asked.swing.bat_speed, rel=2e-3)
    assert read["attack_angle"] == pytest.approx(asked.swing.attack_angle, abs=0.1 * DEGREE)
    assert read["contact_depth"] == pytest.approx(asked.swing.contact_depth, abs=0.02 * INCH)
    assert read["below_line"] == pytest.approx(0.0, abs=0.02 * INCH)


def test_the_track_follows_the_bat_and_rates_are_its_rates() -> None:
    asked = inputs()
    m = measured_of(asked)
    s = np.linspace(-0.12, 0.0, 50)
    knob, axis = m.track.pose(s)
    true_knob, true_axis = (part[0] for part in play_many(asked).swing.pose(s[None]))
    assert np.abs(knob - true_knob).max() < 2e-3
    assert np.abs(axis - true_axis).max() < 5e-3
    s = np.linspace(-0.1, 0.08, 40)
    (knob0, axis0), (knob1, axis1) = m.track.pose(s - 1e-6), m.track.pose(s + 1e-6)
    speed, turn = m.track.motion(s)
    same = np.abs(s) > 1e-5
    assert np.allclose(((knob1 - knob0) / 2e-6)[same], speed[same], atol=1e-4)
    assert np.allclose(((axis1 - axis0) / 2e-6)[same], cross(turn, m.track.pose(s)[1])[same], atol=1e-3)


def test_samples_after_contact_do_not_touch_what_is_before_it() -> None:
    points = sampled(inputs(), 240.0, 0.005, 3, CONTACT)
    late = points.times > CONTACT
    bent = replace(
        points,
        knob=points.knob + np.where(late, 0.05, 0.0)[:, None],
        tip=points.tip + np.where(late, 0.05, 0.0)[:, None],
    )
    one, two = (measure(p, by_axes(), "right", CONTACT) for p in (points, bent))
    s = np.linspace(-0.1, 0.0, 20)
    assert np.array_equal(one.track.pose(s)[0], two.track.pose(s)[0])
    assert np.array_equal(one.contact.grip_velocity, two.contact.grip_velocity)
    assert not np.allclose(one.track.pose(np.array([0.05]))[0], two.track.pose(np.array([0.05]))[0], atol=0.01)


@pytest.mark.parametrize("bats", ["right", "left"])
def test_in_its_own_place_the_play_meets_as_measured(bats: str) -> None:
    asked = inputs(bats=bats, below_line=1.0 * INCH)
    m = measured_of(asked)
    built, seen = play(asked), play(m.inputs(asked))
    t = built.aim_time + np.linspace(-0.1, 0.0, 20)
    assert np.abs(built.bat_at(t)[0] - seen.bat_at(t)[0]).max() < 3e-3
    one, two = built.result, seen.result
    assert two.outcome.kind == one.outcome.kind
    assert two.meeting.below_line == pytest.approx(one.meeting.below_line, abs=0.03 * INCH)
    assert two.collision.exit_speed == pytest.approx(one.collision.exit_speed, rel=0.01)
    assert two.collision.launch_angle == pytest.approx(one.collision.launch_angle, abs=1.0 * DEGREE)


def test_a_change_of_the_ask_moves_turns_and_paces_the_swing_exactly() -> None:
    base = measured_of(inputs()).inputs(inputs())
    asked = replace(
        base.swing, below_line=1.5 * INCH, along_barrel=-1.0 * INCH, contact_depth=2 * INCH, attack_angle=3 * DEGREE,
        vertical_bat_angle=20 * DEGREE, bat_direction=5 * DEGREE, bat_speed=60 * MPH, timing=0.0,
    )  # fmt: skip
    changed = replace(base, swing=asked)
    answer = play(changed)
    assert answer.result.swing.bat_speed == pytest.approx(60 * MPH, rel=1e-9)
    assert answer.result.swing.attack_angle == pytest.approx(3 * DEGREE, abs=1e-9)
    assert answer.result.swing.vertical_bat_angle == pytest.approx(20 * DEGREE, abs=1e-9)
    assert answer.result.meeting.below_line == pytest.approx(1.5 * INCH, abs=1e-6)
    assert answer.result.meeting.along_barrel == pytest.approx(-1.0 * INCH, abs=1e-6)
    assert answer.result.meeting.depth == pytest.approx(2 * INCH, abs=1e-6)
    _, axis = answer.bat_at(np.linspace(answer.launch_time, answer.aim_time, 30))
    assert np.allclose(np.linalg.norm(axis, axis=1), 1.0)


def test_late_is_a_shift_in_time_and_a_held_swing_stays_where_it_is() -> None:
    base = measured_of(inputs()).inputs(inputs())
    late = play(replace(base, swing=replace(base.swing, timing=0.006)))
    on_time = play(base)
    t = np.linspace(0.3, 0.5, 9)
    assert np.allclose(late.bat_at(t + 0.006)[0], on_time.bat_at(t)[0], atol=1e-12)
    higher = replace(base, held=Held(base.pitch, base.swing), pitch=replace(base.pitch, plate_height=0.9))
    assert np.allclose(play(higher).bat_at(t)[0], on_time.bat_at(t)[0], atol=1e-9)


def test_map_strip_scene_and_report_work_unchanged() -> None:
    base = measured_of(inputs(), 240.0, 0.005).inputs(inputs())
    answer = play(base)
    assert window(contact_map(answer.plays)).length[0] > 0
    reading = read_map(answer)
    blocks = report(answer.result, reading)
    assert len(blocks["strip"]) == 81
    assert blocks["barrel_path"]["hinge_opens_ms"] is None
    scene = add_road(describe(answer), answer)
    assert not any(mark.name == "hinge opens" for mark in scene.marks)
    for tube in scene.tubes:
        assert np.isfinite(np.asarray(tube.points)).all()
    many = play_many(replace(base, swing=replace(base.swing, below_line=np.linspace(-0.03, 0.05, 60))))
    one = play(replace(base, swing=replace(base.swing, below_line=0.05)))
    assert many.launch_angle[-1] == pytest.approx(
        one.result.collision.launch_angle if one.result.collision else np.nan, nan_ok=True
    )


def test_impact_is_found_where_it_shows_and_asked_for_where_not() -> None:
    asked = inputs()
    plays = play_many(asked)
    found = [measure(sampled_play(plays, 500.0, 0.001, seed, CONTACT), by_axes(), "right") for seed in range(10)]
    off = np.array([abs(m.impact.time - CONTACT) for m in found])
    assert np.median(off) < 0.0015
    assert all(m.impact_found and 0.001 < m.impact.spread < 0.004 for m in found)
    with pytest.raises(InputError, match="state the time of impact"):
        measure(sampled(asked, 60.0, 0.005, 1, CONTACT), by_axes(), "right")


def test_a_swing_that_hit_nothing_is_smoothed_on_both_sides() -> None:
    points = sampled(inputs(), 240.0, 0.005, 1, CONTACT, slowed=0.0)
    with pytest.raises(InputError, match="state the moment"):
        measure(points, by_axes(), "right", None, hit=False)
    m = measure(points, by_axes(), "right", CONTACT, hit=False)
    speed = np.linalg.norm(m.track.sweet(inputs().bat.sweet_spot)[1])
    assert speed == pytest.approx(inputs().swing.bat_speed, rel=0.06)


def test_a_gap_and_a_jump_are_left_out_and_said() -> None:
    points = sampled(inputs(), 240.0, 0.003, 2, CONTACT)
    tip = points.tip.copy()
    tip[20:24] = np.nan
    tip[30] += 0.3
    m = measure(replace(points, tip=tip), by_axes(), "right", CONTACT)
    assert m.checked.left_out == 5
    assert m.checked.gaps == 2
    assert any("32" in note and "Left out: 1" in note for note in m.notes)
    assert any("gaps" in note for note in m.notes)


def test_the_same_seed_gives_the_same_answer() -> None:
    one, two = (measured_of(inputs(), 240.0, 0.005) for _ in range(2))
    assert np.array_equal(one.contact.grip, two.contact.grip)


def test_sixty_samples_a_second_are_said_to_be_not_enough_and_by_how_much() -> None:
    scenario = load(ROOT / "scenarios" / "01-one-inch-under.toml")
    points = sampled(scenario.to_inputs(), 60.0, 0.005, 1, CONTACT)
    found = run("swing.csv", scenario, data=csv_text(points).encode(), impact=CONTACT)
    said = shortfalls(found)
    assert "60 samples a second are not enough" in said[0]
    assert any("Attack angle: known to" in line and "times less" in line for line in said)
    assert not block(found)["enough"]
    assert said[0] in text(found)
    fine = run(
        "swing.csv", scenario, data=csv_text(sampled(scenario.to_inputs(), 500.0, 0.002, 1)).encode(), impact=CONTACT
    )
    assert not shortfalls(fine) and block(fine)["enough"]


def test_figures_go_into_a_scenario_and_its_play_is_the_measured_one() -> None:
    scenario = load(ROOT / "scenarios" / "01-one-inch-under.toml")
    m = measured_of(scenario.to_inputs(), 240.0, 0.005)
    found = against(m, scenario)
    again = scenario.with_values(found.values())
    with_track = replace(again.to_inputs(), measured=m.track)
    assert play(with_track).result.meeting.below_line == pytest.approx(found.figures["below_line"].value, abs=1e-6)
    for figure in found.figures.values():
        assert figure.low < figure.high


def test_every_study_takes_a_scenario_with_a_measured_swing() -> None:
    scenario = load(ROOT / "scenarios" / "01-one-inch-under.toml")
    m = measured_of(scenario.to_inputs(), 500.0, 0.001)
    taken = against(m, scenario).measured_scenario()
    assert taken.is_measured and not scenario.is_measured
    assert packed(taken.to_inputs().measured) == packed(m.track)
    assert loads(taken.to_toml()) == taken
    later = taken.with_values({"swing.timing_ms": 3.0}).hold(True)
    assert later.is_measured and later.to_inputs().measured is taken.to_inputs().measured
    assert not taken.with_values({"hitter.bats": "left"}).is_measured
    assert not taken.with_measured(None).is_measured
    one, two = (spread.run(s, plays=400) for s in (scenario, taken))
    assert one is not None and two is not None
    for kind in ("touch", "fair"):
        a, b = (float(getattr(f.spread, kind).mean()) for f in (one, two))
        assert a == pytest.approx(b, abs=0.06), kind
    assert target.run(taken) is not None
    assert remedy.run(taken, remedy.goal("line-drive")) is not None


def test_too_little_before_contact_is_refused() -> None:
    points = sampled(inputs(), 240.0, 0.002, 1, CONTACT)

    def kept(rows: np.ndarray) -> BatPoints:
        return replace(
            points, lines=points.lines[rows], times=points.times[rows], knob=points.knob[rows], tip=points.tip[rows]
        )

    with pytest.raises(InputError, match="before contact"):
        measure(kept(points.times > CONTACT - 0.01), by_axes(), "right", CONTACT)
    with pytest.raises(InputError, match="no sample in the last"):
        measure(kept(np.abs(points.times - CONTACT + 0.02) > 0.02), by_axes(), "right", CONTACT)
