"""The road of the barrel in the scene: its figure against a path sampled finely, its sign, its words."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.play import Play, play
from plane3d.scene.describe import describe
from plane3d.scene.parts import Label, Marks, Scene, Tube
from plane3d.scene.road import around_words, hinge_words
from plane3d.units import INCH
from tests.cases import inputs, mirrored

HELD, EARLY = 0.050, 0.130  # s before contact at which the hinge opens


def tube(scene: Scene, name: str) -> Tube:
    return next(part for part in scene.tubes if part.name == name)


def mark(scene: Scene, name: str) -> Marks:
    return next(part for part in scene.marks if part.name == name)


def label(scene: Scene, name: str) -> Label:
    return next(part for part in scene.labels if part.name == name)


def straying(played: Play) -> float:
    """Largest distance (m) of the sweet spot from the straight line of launch and contact, in plan."""
    path = played.sweet_spot_at(np.linspace(played.launch_time, played.aim_time, 5001))[:, :2]
    way = path[-1] - path[0]
    off = (path - path[0]) @ np.array([way[1], -way[0]]) / np.hypot(*way)
    return float(off[np.abs(off).argmax()]) * played.plays.side


@pytest.mark.parametrize("release", [HELD, 0.080, EARLY])
def test_the_figure_is_the_path_s_own(release: float) -> None:
    played = play(inputs(release=release))
    scene = describe(played)
    foot, farthest = tube(scene, "around").points.astype(float)
    assert np.hypot(*(farthest - foot)[:2]) == pytest.approx(abs(straying(played)), abs=1e-4)
    assert foot[2] == pytest.approx(farthest[2], abs=1e-6)
    assert label(scene, "around").text == around_words(straying(played))
    start, end = tube(scene, "straight way").points.astype(float)
    way, to_foot, out = ((b - a)[:2] for a, b in ((start, end), (start, foot), (foot, farthest)))
    assert way[0] * to_foot[1] == pytest.approx(way[1] * to_foot[0], abs=1e-6)  # the foot is on the straight way
    assert way @ out == pytest.approx(0.0, abs=1e-6)


def test_an_early_hinge_goes_round() -> None:
    """Common practice, no source: a cast bat takes the long way, seen from above."""
    held, early = (straying(play(inputs(release=release))) for release in (HELD, EARLY))
    assert 0 < held < early


def test_the_mark_stands_on_the_barrel_path_where_the_hinge_opens() -> None:
    played = play(inputs(release=0.080))
    scene = describe(played)
    place = mark(scene, "hinge opens").points[0].astype(float)
    assert np.abs(place - played.sweet_spot_at(np.array([played.aim_time - 0.080]))[0]).max() < 1e-5
    assert label(scene, "hinge opens").text == "Hinge opens 80 ms before contact"
    swing = played.plays.swing
    before, after = swing.hinge_angle(np.array([[-0.081, -0.079]]))[0]
    assert before == pytest.approx(played.inputs.swing.hinge)
    assert after > before


def test_words() -> None:
    assert around_words(6.2 * INCH) == "6.2 in around the straight way"
    assert around_words(-0.8 * INCH) == "0.8 in inside the straight way"
    assert around_words(0.01 * INCH) == "Along the straight way"
    assert around_words(0.10, metric=True) == "10.0 cm around the straight way"
    assert hinge_words(-0.0604) == "Hinge opens 60 ms before contact"


def test_it_is_seen_from_above_only() -> None:
    scene = describe(play(inputs()))
    parts = [tube(scene, "straight way"), tube(scene, "around"), mark(scene, "hinge opens")]
    words = [label(scene, name) for name in ("straight way", "around", "hinge opens")]
    assert {part.views for part in [*parts, *words]} == {("above",)}


def test_a_mirrored_hitter_has_the_mirrored_road() -> None:
    one, other = describe(play(inputs(release=EARLY))), describe(play(mirrored(inputs(release=EARLY))))
    flip = np.array([-1, 1, 1], np.float32)
    assert np.abs(tube(one, "around").points * flip - tube(other, "around").points).max() < 1e-5
    assert label(one, "around").text == label(other, "around").text
