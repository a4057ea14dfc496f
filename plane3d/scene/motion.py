"""The play sampled for playback: poses of bat and ball, fine where things happen fast."""

from __future__ import annotations

import numpy as np

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import Array, cross, dot, norm, unit
from plane3d.physics.pitch import time_at_y
from plane3d.play import Play
from plane3d.scene.parts import Motion
from plane3d.scene.shapes import floats

AFTER = 1.0  # s shown after the meeting
NEAR, NEAR_STEP = 0.020, 0.001  # s either side of the meeting, and its step
SWING_STEP = 0.002  # s
COARSE_STEP = 0.008  # s
LARGEST_TURN = 2.0  # rad the ball may turn between samples, so that the shorter way round is the true one


def motion(play: Play) -> Motion:
    """Poses of bat and ball from release to about a second after the meeting."""
    times = _times(play)
    t = times.astype(float)
    knob, axis = play.bat_at(t)
    return Motion(
        times=times,
        bat_position=floats(knob),
        bat_rotation=floats(_bat_turns(axis)),
        ball_position=floats(play.ball_at(t)),
        ball_rotation=floats(_ball_turns(play, t)),
        contact_time=play.contact_time,
        closest_time=play.closest_time,
        decision_time=decision_time(play),
    )


def decision_time(play: Play) -> float:
    """s, the latest moment a swing can start that meets this pitch over the plate's front edge, as `studies.tunnel`."""
    due = float(time_at_y(play.plays.pitch, np.array([PLATE_FRONT_Y]))[0, 0])
    return max(due - float(play.plays.swing.duration[0]), 0.0)


def last_time(play: Play) -> float:
    """s at which playback ends: the ball down or caught and the swing over, at most `AFTER` past the meeting."""
    swing_over = play.aim_time + float(play.plays.swing.follow_time[0])
    return max(swing_over, min(play.end_time, play.closest_time + AFTER))


def _times(play: Play) -> Array:
    end, meet = last_time(play), play.closest_time
    stop = play.aim_time + float(play.plays.swing.follow_time[0])
    near = meet + np.arange(-NEAR, NEAR + NEAR_STEP / 2, NEAR_STEP)
    times = np.concatenate([
        _steps(0.0, meet, _coarse(play, 0.0)),
        _steps(meet, end, _coarse(play, meet + 1e-6)),
        np.linspace(play.launch_time, stop, 2 + int((stop - play.launch_time) / SWING_STEP)),
        near, [0.0, meet, end],
    ])  # fmt: skip
    return np.unique(floats(times[(times >= 0.0) & (times <= end)]))


def _coarse(play: Play, t: float) -> float:
    """Longest step for the ball's spin at time t: spin only decays along a flight."""
    spin = float(norm(play.ball_spin_at(np.array([t])))[0])
    return min(COARSE_STEP, LARGEST_TURN / max(spin, 1e-9))


def _steps(start: float, end: float, step: float) -> Array:
    return np.linspace(start, end, 2 + int((end - start) / step))


def _bat_turns(axis: Array) -> Array:
    """Quaternions (k, 4) taking +z to unit axes (k, 3), each carried on from the last without twist."""
    start = np.concatenate([[[0.0, 0.0, 1.0]], axis[:-1]])
    return _chained(_shortest_turn(start, axis))


def _ball_turns(play: Play, t: Array) -> Array:
    """Quaternions (k, 4) of the ball: its spin, constant between two samples, turned exactly; none at the start."""
    step = np.diff(t)
    turn = play.ball_spin_at(t[:-1] + step / 2) * step[:, None]
    turn[t[:-1] >= play.end_time] = 0.0
    half = norm(turn)[:, None] / 2
    steps = np.concatenate([np.cos(half), np.sin(half) * unit(turn)], axis=1)
    return _chained(np.concatenate([[[1.0, 0.0, 0.0, 0.0]], steps]))


def _shortest_turn(a: Array, b: Array) -> Array:
    """Quaternions (k, 4) of the shortest turns from unit vectors a to b, (k, 3)."""
    turn = np.concatenate([1.0 + dot(a, b)[:, None], cross(a, b)], axis=1)
    turn[turn[:, 0] < 1e-9] = [0.0, 1.0, 0.0, 0.0]  # straight back: about x, which suits a bat's own +z
    return turn / np.sqrt(np.einsum("ki,ki->k", turn, turn))[:, None]


def _chained(turns: Array) -> Array:
    """Running products of quaternions (k, 4), each new turn applied after the ones before it."""
    total, reach = turns.copy(), 1
    while reach < len(total):
        total[reach:] = _product(total[reach:], total[:-reach])
        reach *= 2
    return total


def _product(p: Array, q: Array) -> Array:
    """Quaternions (k, 4): first q, then p."""
    w = p[:, :1] * q[:, :1] - dot(p[:, 1:], q[:, 1:])[:, None]
    return np.concatenate([w, p[:, :1] * q[:, 1:] + q[:, :1] * p[:, 1:] + cross(p[:, 1:], q[:, 1:])], axis=1)
