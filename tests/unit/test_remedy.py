"""Remedies: the smallest single change in the sliders' steps, replayed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields, replace

import numpy as np
import pytest

from plane3d import words
from plane3d.errors import InputError, UnreachableError
from plane3d.inputs import Result, SwingAsk
from plane3d.lesson import scenarios_folder
from plane3d.play import play
from plane3d.quantities import quantity
from plane3d.scenario import Scenario, load, loads
from plane3d.studies.pieces import pieces
from plane3d.studies.remedy import MIDDLE, OVER_FENCE, PLACES, Goal
from plane3d.study import remedy
from plane3d.units import DEGREE

LEVELS = ("under-10", "under-12", "high-school", "professional", "softball-college")
STARTS = 300 // (2 * len(LEVELS))  # for each level and side
LINER = Goal(("line-drive",), "middle")
GOALS = (LINER, Goal(("fly-ball",), "pull"), Goal(("ground-ball",), "opposite"), Goal(("line-drive", "fly-ball")))


def named(name: str) -> Scenario:
    return load(scenarios_folder() / f"{name}.toml")


def swing_of(values: str) -> Scenario:
    return loads(f'format = 1\ntitle = "x"\n[swing]\n{values}\n')


def random_start(rng: np.random.Generator, level: str, bats: str) -> Scenario:
    """A play of a level, good or bad, with its numbers on the sliders' steps."""
    direction = f"bat_direction_deg = {rng.integers(-10, 11)}\n" if rng.random() < 0.3 else ""
    return loads(
        f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n[hitter]\nbats = "{bats}"\n'
        f"[swing]\nbelow_line_in = {round(rng.uniform(-3, 3), 1)}\ntiming_ms = {rng.integers(-20, 21)}\n"
        f"attack_angle_deg = {rng.integers(-5, 21)}\nvertical_bat_angle_deg = {rng.integers(10, 46)}\n"
        f"contact_depth_in = {rng.integers(-8, 33) / 2}\n{direction}"
    )


def brute_force(asked: list[tuple[Scenario, Goal]]) -> list[dict[str, float]]:
    """For each lever the size of the smallest change on its slider that does it; nothing for those that cannot.

    Written apart from the study: every value of the slider's range, the bat direction by its own formula (docs). The
    scenarios differ in their swings alone, so that all are played at once.
    """
    tried = [(number, *one) for number, (scenario, _) in enumerate(asked) for one in every_setting(scenario)]
    columns = {f.name: np.array([swing[f.name] for *_, swing in tried]) for f in fields(SwingAsk)}
    met = {goal: np.zeros(len(tried), dtype=bool) for goal in GOALS}
    for places, plays in pieces(replace(asked[0][0].to_inputs(), swing=SwingAsk(**columns)), len(tried)):
        for goal in GOALS if plays is not None else ():
            met[goal][places] = goal.met(plays)
    smallest: list[dict[str, float]] = [{} for _ in asked]
    for place, (number, key, size, _) in enumerate(tried):
        if met[asked[number][1]][place]:
            smallest[number][key] = min(smallest[number].get(key, math.inf), size)
    return smallest


def every_setting(scenario: Scenario) -> Iterator[tuple[str, float, dict[str, float]]]:
    """For each value of each lever's slider but the present one: its key, the size of the change, and the swing, SI."""
    now_swing, given = vars(scenario.to_inputs().swing), scenario.given
    for key in remedy.LEVERS:
        q, now = quantity(key), float(scenario.value(key))
        low, high = q.usual or (q.low, q.high)
        for value in (now + k * q.step for k in range(-400, 401) if k):
            if not low - 1e-9 <= value <= high + 1e-9:
                continue
            swing = now_swing | {key.partition(".")[2].rpartition("_")[0]: q.si(value)}
            if "swing.bat_direction_deg" not in given:
                sine = math.tan(swing["attack_angle"]) * math.tan(swing["vertical_bat_angle"])
                swing["bat_direction"] = max(-math.pi / 4, min(math.pi / 4, math.asin(max(-1.0, min(1.0, sine)))))
            yield key, abs(value - now), swing


def is_asked(result: Result, goal: Goal) -> bool:
    """Whether an answer is the ball asked for, from its plain numbers."""
    if result.flight is None or not result.outcome.fair or result.outcome.kind not in goal.kinds:
        return False
    goes = math.degrees(math.atan2(result.flight.landing_side, result.flight.landing_out))
    goes *= 1 if result.inputs.bats == "right" else -1
    return {"anywhere": True, "middle": abs(goes) <= 15, "pull": goes < -15, "opposite": goes > 15}[goal.where]


@pytest.mark.parametrize("bats", ["right", "left"])
@pytest.mark.parametrize("level", LEVELS)
def test_over_300_random_plays_every_remedy_works_and_none_is_missed(level: str, bats: str) -> None:
    rng = np.random.default_rng([LEVELS.index(level), bats == "left"])
    asked = [(random_start(rng, level, bats), GOALS[rng.integers(len(GOALS))]) for _ in range(STARTS)]
    offered = hopeless = 0
    for (scenario, goal), smallest in zip(asked, brute_force(asked), strict=True):
        found = remedy.run(scenario, goal)
        assert found.already == is_asked(found.now, goal)
        if found.already:
            continue
        by_key = {one.key: one for one in found.remedies}
        assert set(smallest) == set(by_key), scenario.to_toml()
        assert set(found.hopeless) == set(remedy.LEVERS) - set(by_key)
        for key, one in by_key.items():
            assert abs(one.change) == pytest.approx(smallest[key], abs=1e-6)
            assert is_asked(one.result, goal)
            assert one.scenario.given == scenario.with_values({key: one.value}).given
        offered, hopeless = offered + len(by_key), hopeless + len(found.hopeless)
    assert offered > 12
    assert hopeless > 12


def test_raising_the_barrel_is_the_cure_for_two_inches_under():
    found = remedy.run(swing_of("below_line_in = 1.8"), LINER)
    assert found.remedies[0].key == "swing.below_line_in"
    assert -1.6 < found.remedies[0].change < -0.6
    assert "swing.vertical_bat_angle_deg" in found.hopeless
    assert "not by this alone" in remedy.text(found)
    assert remedy.cue(found.remedies[0]).startswith("Raise the barrel 1.")


def test_remedies_are_ranked_by_effort():
    found = remedy.run(named("01-one-inch-under"), Goal(("fly-ball",), "middle"))
    efforts = [one.effort for one in found.remedies]
    assert len(efforts) > 1
    assert efforts == sorted(efforts)


def test_a_change_is_whole_steps_from_where_the_swing_is():
    found = remedy.run(swing_of("below_line_in = 1.83"), LINER)
    (one,) = [one for one in found.remedies if one.key == "swing.below_line_in"]
    assert round(one.change / 0.1, 6) == round(one.change / 0.1)


def test_a_ball_that_is_already_there_needs_nothing():
    found = remedy.run(swing_of("below_line_in = 0.5"), Goal(("line-drive",)))
    assert found.already and not found.remedies
    assert remedy.headline(found) == "This ball already is a line drive."
    assert remedy.block(found)["already"] is True


def test_no_single_change_is_said():
    found = remedy.run(swing_of("below_line_in = -4\ntiming_ms = 25"), Goal((OVER_FENCE,), "opposite"))
    assert not found.remedies
    assert remedy.headline(found) == "No single change makes this a ball over the fence to the opposite side."
    assert len(found.hopeless) == len(remedy.LEVERS)


def test_a_swing_that_cannot_be_made_is_no_remedy():
    """Deeper than this the slow pitch bounces: those settings are passed over, the others tried."""
    scenario = loads(
        'format = 1\ntitle = "x"\n[pitch]\nspeed_mph = 30\nplate_height_in = 8\n'
        "[swing]\nbelow_line_in = 2.5\ncontact_depth_in = 0\n"
    )
    with pytest.raises(UnreachableError):
        play(scenario.with_values({"swing.contact_depth_in": -12.0}).to_inputs())
    found = remedy.run(scenario, Goal(("line-drive", "ground-ball", "fly-ball")))
    assert found.remedies


def test_a_held_swing_has_remedies_too():
    scenario = named("12-same-swing-higher-pitch")
    found = remedy.run(scenario, Goal(("line-drive",)))
    for one in found.remedies:
        assert one.scenario.is_held
        assert play(one.scenario.to_inputs()).result.outcome.kind == "line-drive"


@pytest.mark.parametrize(
    ("key", "value", "change", "said"),
    [
        ("swing.below_line_in", 0.3, -0.7, "Raise the barrel 0.7 in"),
        ("swing.below_line_in", 0.3, 0.7, "Lower the barrel 0.7 in"),
        ("swing.timing_ms", 0.0, -6.0, "Start 6 ms sooner"),
        ("swing.timing_ms", 0.0, 6.0, "Start 6 ms later"),
        ("swing.contact_depth_in", 2.0, -4.0, "Meet it 4.0 in deeper"),
        ("swing.contact_depth_in", 6.0, 4.0, "Meet it 4.0 in further in front"),
        ("swing.attack_angle_deg", 12.0, 5.0, "Swing 5° more upward"),
        ("swing.attack_angle_deg", 5.0, -5.0, "Swing 5° flatter"),
        ("swing.attack_angle_deg", -4.0, -5.0, "Swing 5° more downward"),
        ("swing.attack_angle_deg", -4.0, 5.0, "Swing 5° less downward"),
        ("swing.vertical_bat_angle_deg", 30.0, 5.0, "Tilt the bat 5° steeper"),
        ("swing.vertical_bat_angle_deg", 30.0, -5.0, "Hold the bat 5° flatter"),
    ],
)
def test_cues(key, value, change, said):
    scenario = named("03-on-the-line")
    assert remedy.cue(remedy.Remedy(key, value, change, 1.0, scenario, play(scenario.to_inputs()).result)) == said


def test_goals_in_words():
    assert remedy.goal_words(remedy.goal("line-drive,fly-ball", "middle")) == "a line drive or a fly ball up the middle"
    assert remedy.goal_words(remedy.goal("ground-ball")) == "a ground ball"
    assert remedy.goal("line-drive , fly-ball", "pull") == Goal(("line-drive", "fly-ball"), "pull")


def test_a_wrong_goal_is_told_with_what_is_allowed():
    with pytest.raises(InputError) as caught:
        remedy.goal("line-drve,miss", "left")
    first, second, third = map(str, caught.value.mistakes)
    assert first.endswith("did you mean line-drive?")
    assert '"miss" must be one of "ground-ball"' in second
    assert all(place in third for place in PLACES)


def test_middle_is_the_same_as_in_words():
    assert pytest.approx(words.MIDDLE) == MIDDLE / DEGREE
