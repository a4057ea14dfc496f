"""When the ball was hit, found from the bat alone: the moment at which it suddenly slows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import fdtri

from plane3d.errors import InputError
from plane3d.frames import Array, norm, unit
from plane3d.language import tr
from plane3d.measured.coordinates import Turning
from plane3d.measured.files import refuse
from plane3d.measured.points import BatPoints

REACH = 0.025  # s of samples looked at on either side
LEAST_SIDE = 6  # and at least so many samples
WIDEST = 0.035  # s on either side; over a longer stretch a swing bends by itself as an impact would bend it
FAST = 0.6  # of the greatest speed: an impact is looked for only where the tip is faster
STEPS = 8  # tried in each interval between samples
MOST_TRIED = 500  # in all
BLUR = 0.0015  # s, standard deviation by which the moments found were off where noise was small (docs/measured.md)
CHANCE = 1e-5  # with which noise alone may look like an impact
BEND = 3  # degree of the motion that goes through; the impact adds a change of rate and of its growth


@dataclass(frozen=True)
class Impact:
    """Moment of impact, s on the file's clock; ``moments`` (k,) and ``weights`` (k,) say how well it is known."""

    time: float
    moments: Array
    weights: Array

    @property
    def spread(self) -> float:
        """Standard deviation of the moment, s."""
        return float(np.sqrt(self.weights @ (self.moments - self.time) ** 2))


def stated(time: float) -> Impact:
    """An impact whose moment was stated."""
    return Impact(time, np.array([time]), np.ones(1))


def find_impact(points: BatPoints, length: float) -> Impact:
    """The impact in the samples of a bat, knob to tip ``length`` m; raises InputError where none can be seen.

    A smooth motion is fitted to the samples around each moment, once as it is and once with its rate changed at that
    moment; the moment at which the change explains most is the impact.
    """
    columns = _columns(points, length)
    tried = _moments(points)
    gain = np.array([_gain(points.times, columns, moment) for moment in tried]) if len(tried) else np.zeros(1)
    if gain.max() <= 1.0:
        raise _unseen(points)
    best = tried[gain.argmax()]
    step = float(np.median(np.diff(points.times)))
    window = _window(points.times, best)
    near = best + np.linspace(-1.5, 1.5, 3 * STEPS + 1) * step
    left = np.array([_left(points.times[window], columns[window], moment) for moment in near])
    freedom = (window.sum() - BEND - 3) * columns.shape[1]
    weights = np.exp(-0.5 * freedom * (left / left.min() - 1.0))
    weights /= weights.sum()
    blur, share = np.polynomial.hermite_e.hermegauss(5)
    moments = (near[:, None] + BLUR * blur).ravel()
    return Impact(float(weights @ near), moments, (weights[:, None] * share / share.sum()).ravel())


def _columns(points: BatPoints, length: float) -> Array:
    """The angles of the bat in and out of the plane in which it turns when it is fastest (n, 2)."""
    axes = unit(points.tip - points.knob)
    fastest = points.times[np.argmax(_speed(points))]
    near = np.abs(points.times - fastest) < 2 * REACH
    near = near if near.sum() > LEAST_SIDE else np.ones_like(near)
    return Turning.of(axes[near], length).angles(axes)


def _speed(points: BatPoints) -> Array:
    """Speed of the tip (n,), m/s, over two intervals."""
    return norm(np.gradient(points.tip, points.times, axis=0))


def _moments(points: BatPoints) -> Array:
    """Moments worth trying."""
    speed = _speed(points)
    fast = np.flatnonzero(speed > FAST * np.percentile(speed, 98))
    fast = fast[(fast >= LEAST_SIDE) & (fast < len(speed) - LEAST_SIDE)]
    share = np.arange(STEPS) / STEPS
    tried = (points.times[fast, None] + share * np.diff(points.times)[fast, None]).ravel()
    return tried[:: 1 + len(tried) // MOST_TRIED]


def _window(times: Array, moment: float) -> Array:
    """Which samples (n,) are looked at around a moment."""
    order = np.sort(np.abs(times[times <= moment] - moment)), np.sort(np.abs(times[times > moment] - moment))
    reach = [max(REACH, side[min(LEAST_SIDE, len(side)) - 1]) if len(side) else 0.0 for side in order]
    return (times >= moment - reach[0] - 1e-9) & (times <= moment + reach[1] + 1e-9)


def _smooth_and_bent(times: Array, moment: float) -> tuple[Array, Array]:
    """The motion that goes through (n, 4), and the same with what an impact adds (n, 6)."""
    s = (times - moment) / REACH
    smooth = s[:, None] ** np.arange(BEND + 1)
    late = np.maximum(s, 0.0)
    return smooth, np.column_stack([smooth, late, late**2])


def _left(times: Array, columns: Array, moment: float) -> float:
    """Sum of squares that the motion with an impact leaves."""
    return _unexplained(_smooth_and_bent(times, moment)[1], columns)


def _unexplained(model: Array, columns: Array) -> float:
    return float(np.sum((columns - model @ np.linalg.lstsq(model, columns, rcond=None)[0]) ** 2))


def _gain(times: Array, columns: Array, moment: float) -> float:
    """How much an impact explains, in parts of what noise alone could; 0 where the bat does not slow."""
    window = _window(times, moment)
    near, values = times[window], columns[window]
    if near[-1] - near[0] > 2 * WIDEST:
        return 0.0
    smooth, bent = _smooth_and_bent(near, moment)
    found = np.linalg.lstsq(bent, values, rcond=None)[0]
    left, before = float(np.sum((values - bent @ found) ** 2)), _unexplained(smooth, values)
    q = values.shape[1]
    freedom = (len(near) - bent.shape[1]) * q
    if freedom <= q or found[BEND + 1, 0] * found[1, 0] >= 0:
        return 0.0
    ratio = (before - left) / (2 * q) / (left / freedom)
    return float(ratio / fdtri(2 * q, freedom, 1.0 - CHANCE))


def _unseen(points: BatPoints) -> InputError:
    return refuse(points.name, tr("no sudden slowing of the bat shows when the ball was hit; state the time of impact"))
