"""A question's scene tells nothing of the answer."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.lesson import scenarios_folder
from plane3d.play import play
from plane3d.scenario import Scenario, load
from plane3d.scene.before import SHORT, before_contact
from plane3d.scene.describe import describe
from plane3d.scene.parts import Scene

FILES = sorted(scenarios_folder().glob("[0-9][0-9]-*.toml"))
FAR = 0.25  # m the ball must still be from where it is met


def scenes(scenario: Scenario) -> tuple[Scene, Scene, float]:
    played = play(scenario.to_inputs())
    whole = describe(played)
    return whole, before_contact(whole, played), played.closest_time


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_only_pitch_and_swing_are_seen_and_only_until_just_before(path: object) -> None:
    whole, short, meets = scenes(load(str(path)))
    assert {tube.name for tube in short.tubes if len(tube.points)} == {"pitch line", "barrel path", "hand path"}
    assert {label.name for label in short.labels} <= {"pitch line", "barrel path", "hand path"}
    assert {marks.name for marks in short.marks if len(marks.points)} == {"pitch marks"}
    assert meets - SHORT - 0.008 <= short.motion.times[-1] <= meets - SHORT + 1e-6
    ball = np.array([np.interp(meets, whole.motion.times, whole.motion.ball_position[:, k]) for k in range(3)])
    for tube in short.tubes:
        assert not len(tube.points) or np.linalg.norm(tube.points - ball, axis=1).min() > FAR / 2
    assert np.linalg.norm(short.motion.ball_position - ball, axis=1).min() > FAR
    assert [part.name for part in short.tubes] == [part.name for part in whole.tubes]  # so that little is sent


def test_a_hit_and_a_miss_look_alike() -> None:
    """What does not move with bat or ball is the same for every swing; and there is no word of a touch."""
    start = load(scenarios_folder() / "01-one-inch-under.toml")
    hit, miss = (scenes(start.with_values({"swing.below_line_in": gap}))[1] for gap in (0.0, 4.0))
    for one, other in zip(hit.meshes, miss.meshes, strict=True):
        if not one.moves_with and not one.name.startswith("figure"):
            np.testing.assert_array_equal(one.points, other.points, err_msg=one.name)
    assert hit.motion.contact_time is miss.motion.contact_time is None
    assert hit.account == miss.account
    assert "touch" not in hit.account and "miss" not in hit.account


def test_the_whole_scene_is_left_as_it_was() -> None:
    whole, _, meets = scenes(load(scenarios_folder() / "01-one-inch-under.toml"))
    assert whole.motion.contact_time == pytest.approx(meets)
    assert any(label.name == "batted ball" for label in whole.labels)
