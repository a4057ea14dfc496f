"""Remedies: the smallest single change, replayed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.play import play
from plane3d.studies.remedy import Goal, remedies
from plane3d.units import DEGREE, INCH
from tests.cases import inputs

LEVERS = {
    "below_line": np.arange(-40, 41) * 0.1 * INCH,
    "timing": np.arange(-30, 31) * 1e-3,
    "attack_angle": np.arange(-10, 26) * DEGREE,
    "vertical_bat_angle": np.arange(0, 56) * DEGREE,
    "contact_depth": np.arange(-24, 49) * 0.5 * INCH,
}
TYPICAL = {
    "below_line": 0.8 * INCH,
    "timing": 0.008,
    "attack_angle": 3 * DEGREE,
    "vertical_bat_angle": 4 * DEGREE,
    "contact_depth": 3 * INCH,
}
LINER = Goal(("line-drive",), "middle")


def reaches(asked, goal):
    try:
        return bool(goal.met(play(asked).plays)[0])
    except UnreachableError:
        return False


def changed(asked, lever, value):
    return replace(asked, swing=replace(asked.swing, **{lever: value}))


def test_every_remedy_works_and_no_smaller_one_does():
    rng = np.random.default_rng(11)
    offered = 0
    for _ in range(12):
        asked = inputs(
            below_line=rng.uniform(-2, 3) * INCH, timing=rng.uniform(-0.015, 0.015), attack_angle=rng.uniform(0, 0.3)
        )
        goal = (LINER, Goal(("fly-ball",), "pull"), Goal(("ground-ball",), "opposite"))[rng.integers(3)]
        found, hopeless = remedies(asked, goal, LEVERS, TYPICAL)
        assert sorted([r.lever for r in found] + hopeless) == sorted(LEVERS)
        for remedy in found:
            offered += 1
            assert reaches(changed(asked, remedy.lever, remedy.value), goal)
            now = getattr(asked.swing, remedy.lever)
            nearer = LEVERS[remedy.lever][np.abs(LEVERS[remedy.lever] - now) < abs(remedy.change) - 1e-12]
            for value in nearer[np.argsort(np.abs(nearer - now))][-3:]:
                assert not reaches(changed(asked, remedy.lever, value), goal)
    assert offered >= 6


def test_raising_the_barrel_is_the_cure_for_two_inches_under():
    found, hopeless = remedies(inputs(below_line=1.8 * INCH), LINER, LEVERS, TYPICAL)
    assert found[0].lever == "below_line"
    assert -1.6 * INCH < found[0].change < -0.6 * INCH
    assert "vertical_bat_angle" in hopeless  # "not by this alone"


def test_remedies_are_ranked_by_effort():
    found, _ = remedies(inputs(below_line=-0.6 * INCH), LINER, LEVERS, TYPICAL)
    efforts = [remedy.effort for remedy in found]
    assert efforts == sorted(efforts)
    assert all(abs(r.change) / TYPICAL[r.lever] == r.effort for r in found)
