"""Meetings of a plain cylinder with balls on made-up paths: instant and place follow by hand (facts of geometry)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np
import pytest
from scipy.optimize import brentq

from plane3d.physics.bat import Bat
from plane3d.physics.meeting import Meeting, find_meeting
from tests.cases import METAL

BALL, BARREL, LENGTH, GRIP = 0.037, 0.03, 0.85, 0.2  # m
REACH = BALL + BARREL  # m between ball's centre and axis at a touch beside the barrel
HEIGHT = 1.0  # m, of the bat's axis
CYLINDER: Bat = replace(
    METAL, station=np.array([0.0, LENGTH]), radius=np.array([BARREL, BARREL]), length=LENGTH, grip_end=GRIP
)
Path = Callable[[np.ndarray], list]


@dataclass(frozen=True)
class Thrown:
    """Balls on one path, each shifted in space by its own (n, 3); the velocity is by differences."""

    path: Path
    shift: np.ndarray

    def take(self, index):
        return Thrown(self.path, self.shift[index])

    def at(self, t):
        return np.stack(np.broadcast_arrays(*self.path(t)), axis=-1) + self.shift[:, None]

    def velocity_at(self, t):
        return (self.at(t + 1e-6) - self.at(t - 1e-6)) / 2e-6


@dataclass(frozen=True)
class Held:
    """A bat that turns level about its knob, or is still; at s = 0 it points along x."""

    turn: float = 0.0  # rad/s about z
    height: float = HEIGHT

    def take(self, index):
        return self

    def pose(self, s):
        knob = np.broadcast_to([0.0, 0.0, self.height], (*s.shape, 3))
        return knob, np.stack([np.cos(self.turn * s), np.sin(self.turn * s), 0 * s], axis=-1)

    def motion(self, s):
        return np.zeros((*s.shape, 3)), np.broadcast_to([0.0, 0.0, self.turn], (*s.shape, 3))


def meet(path: Path, shift=(0.0, 0.0, 0.0), swing=Held(), due=0.0, aim=0.0) -> Meeting:
    shift = np.atleast_2d(np.asarray(shift, float))
    whole = np.ones(len(shift))
    return find_meeting(CYLINDER, BALL, Thrown(path, shift), swing, due * whole, aim * whole)


def straight(t):
    """In from the field at 40 m/s, at the height of the axis over the middle of the barrel."""
    return [0.6, -40.0 * t, HEIGHT]


@pytest.mark.parametrize("high", [0.0, 0.03, -0.05, 0.066])
def test_beside_the_barrel(high):
    """A right triangle: the ball's centre is a ball's and a barrel's radius from the axis."""
    before = sqrt(REACH**2 - high**2)
    found = meet(straight, (0, 0, high))
    assert found.touch[0] and found.gap[0] == 0
    assert found.time[0] == pytest.approx(-before / 40, abs=2e-9)
    assert found.place[0] == pytest.approx(0.6)
    assert found.ball[0] == pytest.approx([0.6, before, HEIGHT + high], abs=1e-7)
    assert found.offset[0] == pytest.approx([0, before, high], abs=1e-7)
    assert found.normal[0] == pytest.approx([0, before / REACH, high / REACH], abs=1e-6)
    assert found.relative_velocity[0] == pytest.approx([0, -40, 0], abs=1e-4)
    assert found.across()[0] == pytest.approx([0, 0, 1], abs=1e-6)
    assert found.undercut()[0] == pytest.approx(high, abs=1e-7)


@pytest.mark.parametrize("high", [0.0671, -0.07, 0.3])
def test_over_and_under(high):
    found = meet(straight, (0, 0, high))
    assert not found.touch[0]
    assert found.gap[0] == pytest.approx(abs(high) - REACH, abs=1e-7)
    assert found.time[0] == pytest.approx(0, abs=1e-5)
    assert found.normal[0] == pytest.approx([0, 0, np.sign(high)], abs=1e-3)


@pytest.mark.parametrize(
    ("beyond", "touch"), [(-0.01, True), (0.01, True), (0.036, True), (0.038, False), (0.2, False)]
)
def test_off_the_end(beyond, touch):
    """Past the flat end the ball comes no nearer than along the axis, or to the rim where it arrives."""
    found = meet(straight, (LENGTH - 0.6 + beyond, 0, 0))
    assert found.touch[0] == touch
    assert found.place[0] == pytest.approx(min(LENGTH, LENGTH + beyond))
    if touch:
        before = BARREL + sqrt(BALL**2 - max(beyond, 0) ** 2)
        assert found.time[0] == pytest.approx(-before / 40, abs=2e-9)
    else:
        assert found.gap[0] == pytest.approx(beyond - BALL, abs=1e-7)
        assert found.normal[0] == pytest.approx([1, 0, 0], abs=1e-3)


def test_the_hands_are_let_through():
    """The ball meets the bat beyond the grip: beside the hands only the edge where the barrel begins is near."""
    found = meet(straight, (GRIP - 0.6 - 0.1, 0, 0))
    assert not found.touch[0]
    assert found.gap[0] == pytest.approx(0.1 - BALL, abs=0.035)
    assert found.place[0] == pytest.approx(GRIP)


A = 0.015  # s between the middle and either dip of a path that comes near twice


def nearly(first: float, second: float) -> Path:
    """Comes down on the barrel twice, down to these gaps (m) at -A and A, and rises by some 0.6 m between."""

    def path(t):
        u = t / A
        gap = 0.6 * (u**2 - 1) ** 2 + (first + second) / 2 + (second - first) / 2 * (3 * u - u**3) / 2
        return [0.6, 0 * t, HEIGHT + REACH + gap]

    return path


@pytest.mark.parametrize(
    ("first", "second", "at"),
    [(0.15, -0.02, 1), (0.02, -0.02, 1), (0.001, -0.02, 1), (-0.02, -0.03, -1), (-0.01, 0.1, -1)],
)
def test_of_two_dips_the_first_that_touches_counts(first, second, at):
    path = nearly(first, second)

    def gap(t):
        return float(path(np.array(t))[2]) - HEIGHT - REACH

    found = meet(path, due=0.2 * A)
    assert found.touch[0]
    assert found.time[0] == pytest.approx(brentq(gap, (at - 0.5) * A, at * A, xtol=1e-12), abs=2e-9)


def test_second_touches_of_many_balls_at_once():
    """The same path looked at from other moments, with balls among them that touch at once or never."""
    due, high = A * np.linspace(0.1, 0.3, 9), np.tile([0.0, -0.03, 0.05], 3)
    shift = np.column_stack([np.zeros((9, 2)), high])
    found = meet(nearly(0.02, -0.02), shift, due=due)
    assert list(found.touch) == [True, True, False] * 3
    assert found.gap[2::3] == pytest.approx(np.full(3, 0.03), abs=1e-6)
    for start in (0, 1):
        assert found.time[start::3] == pytest.approx(np.full(3, found.time[start]), abs=4e-9)
    assert found.time[1] < 0 < found.time[0]


def test_of_two_passes_without_touch_the_nearer_counts():
    for first, second, at in ((0.3, 0.2, 1), (0.2, 0.3, -1), (0.03, 0.01, 1), (0.01, 0.03, -1), (0.03, 0.2, -1)):
        found = meet(nearly(first, second), due=0.2 * A)
        assert not found.touch[0]
        assert found.gap[0] == pytest.approx(min(first, second), abs=1e-6)
        assert found.time[0] == pytest.approx(at * A, abs=1e-5)


@pytest.mark.parametrize("touch", [False, True])
def test_a_pitch_that_has_met_the_ground_is_not_hit(touch):
    height = BALL + (0.001 if touch else -0.001)
    found = meet(straight, (0, 0, height - HEIGHT), Held(height=height))
    assert found.touch[0] == touch


@pytest.mark.parametrize("turn", [20.0, -20.0, 45.0])
def test_a_turning_bat_on_its_own_clock(turn):
    """Against the gap written out: distance of the ball from a line that turns about the knob."""

    def ball(t):
        return np.array([0.6, -40.0 * (t - 0.4)])

    def turned(s):
        return np.array([np.cos(turn * s), np.sin(turn * s)])

    def gap(s):
        along, across = turned(s), turned(s) @ np.array([[0, 1], [-1, 0]])
        return float(np.hypot(across @ ball(s + 0.4), 0.02)) - REACH, float(along @ ball(s + 0.4))

    moment = brentq(lambda s: gap(s)[0], -0.01, 0.0, xtol=1e-13)
    found = meet(lambda t: [0.6, -40.0 * (t - 0.4), HEIGHT + 0.02], swing=Held(turn), due=0.4, aim=0.4)
    assert found.touch[0]
    assert found.swing_time[0] == pytest.approx(moment, abs=2e-9)
    assert found.time[0] == pytest.approx(moment + 0.4, abs=2e-9)
    assert found.place[0] == pytest.approx(gap(moment)[1], abs=1e-6)
    assert found.axis[0] == pytest.approx([*turned(moment), 0], abs=1e-6)
    swept = turn * found.place[0] * np.array([-found.axis[0, 1], found.axis[0, 0], 0])
    assert found.relative_velocity[0] == pytest.approx([0, -40, 0] - swept, abs=1e-4)


def test_many_at_once_are_as_each_alone():
    """Touches over the barrel and off the end, and misses, with balls and swings at different times."""
    rng = np.random.default_rng(5)
    shift = np.column_stack([rng.uniform(-0.5, 0.35, 60), rng.uniform(-0.3, 0.3, 60), rng.uniform(-0.2, 0.2, 60)])
    every = meet(straight, shift, Held(15.0))
    assert 10 < every.touch.sum() < 50
    for i, own in enumerate(shift):
        alone = meet(straight, own, Held(15.0))
        for name in ("touch", "time", "ball", "place", "normal", "gap"):
            assert getattr(every, name)[i] == pytest.approx(getattr(alone, name)[0], abs=1e-6), (i, name)


def test_a_ball_far_from_its_aim_is_found():
    """A swing 25 ms early or late: the ball is a metre from where it was due when they meet."""
    for late in (-0.025, 0.025):
        found = meet(straight, due=late, aim=0.0)
        assert found.touch[0]
        assert found.time[0] == pytest.approx(-REACH / 40, abs=2e-9)
