"""Flight of one ball or thousands: fixed-step Runge-Kutta, dense output, events.

A flight is solved once and then sampled at any time; nothing depends on how often it is sampled.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from plane3d.frames import Array
from plane3d.physics import aero
from plane3d.physics.roots import bracketed_root

MAX_TIME = 30.0  # s; no batted ball stays up this long
STEP = 0.1  # s; landing off by 0.03 mm at the median, 4 mm at the worst of 1000 wild balls (test_flight.py)


@dataclass(frozen=True)
class Medium:
    """What the ball flies through, and the ball: kg/m3, (3,) m/s, m, kg, and factors on the laws of `aero`.

    All but the radius may differ from ball to ball: arrays (n,), and (n, 3) for the wind.
    """

    air_density: float | Array
    wind: Array
    radius: float
    mass: float | Array
    drag: float | Array = 1.0
    lift: float | Array = 1.0
    decay_time: float | Array = 1.0

    def acceleration(self, velocity: Array, spin: Array) -> tuple[Array, Array]:
        return aero.acceleration(
            velocity,
            spin,
            self.wind,
            self.air_density,
            self.radius,
            self.mass,
            self.drag,
            self.lift,
            self.decay_time,
        )

    @cached_property
    def _own(self) -> dict[str, Array]:
        """What differs from ball to ball."""
        ends = {"wind": 1}
        return {name: value for name, value in vars(self).items() if np.ndim(value) > ends.get(name, 0)}

    @property
    def count(self) -> int:
        """How many balls it tells apart, 1 where it is the same for all."""
        return max((len(value) for value in self._own.values()), default=1)

    def take(self, index: Array) -> Medium:
        """The same for some balls."""
        fewer: dict[str, Any] = {name: value[index] for name, value in self._own.items()}
        return replace(self, **fewer) if fewer else self


@dataclass(frozen=True)
class Knot:
    """State of n balls at one time: position, velocity, acceleration, spin (n, 3), and the spin's decay (n,), 1/s."""

    x: Array
    v: Array
    a: Array
    w: Array
    decay: Array

    def take(self, index: Array) -> Knot:
        return Knot(self.x[index], self.v[index], self.a[index], self.w[index], self.decay[index])

    def overlaid(self, index: Array, other: Knot) -> Knot:
        """This knot with some balls' states replaced by another's."""
        whole = {name: values.copy() for name, values in vars(self).items()}
        for name, values in whole.items():
            values[index] = getattr(other, name)
        return Knot(**whole)


@dataclass(frozen=True)
class Flight:
    """Dense output for n balls.

    start : (n,) s, time of the first knot
    step : (n,) s between knots
    x, v, a, w : (k, n, 3) position, velocity, acceleration, spin at the knots; m, s, rad
    """

    start: Array
    step: Array
    x: Array
    v: Array
    a: Array
    w: Array

    @property
    def end(self) -> Array:
        """(n,) s, time of the last knot."""
        return self.start + self.step * (len(self.x) - 1)

    def take(self, index: Array) -> Flight:
        """The flights of some balls; a single flight shared by all stays as it is."""
        if len(self.start) == 1:
            return self
        knots = (self.x[:, index], self.v[:, index], self.a[:, index], self.w[:, index])
        return Flight(self.start[index], self.step[index], *knots)

    def at(self, t: Array) -> Array:
        """Positions (n, m, 3) at times t (n, m) s; beyond the ends the last polynomial is continued."""
        return self._sample(t, _position)

    def velocity_at(self, t: Array) -> Array:
        """Velocities (n, m, 3) at times t (n, m)."""
        return self._sample(t, _velocity)

    def spin_at(self, t: Array) -> Array:
        """Spin vectors (n, m, 3), rad/s, at times t (n, m)."""
        k, n, u, _ = self._locate(t)
        return self.w[k, n] + u[..., None] * (self.w[k + 1, n] - self.w[k, n])

    def _locate(self, t: Array) -> tuple[Array, Array, Array, Array]:
        n = np.broadcast_to(np.arange(len(self.start))[:, None], np.broadcast(t, self.start[:, None]).shape)
        s = (t - self.start[:, None]) / self.step[:, None]
        k = np.clip(s.astype(np.intp), 0, len(self.x) - 2)
        return k, n, s - k, self.step[n]

    def _sample(self, t: Array, basis: Callable[[Array, Array], tuple[Array, ...]]) -> Array:
        k, n, u, h = self._locate(np.asarray(t, dtype=float))
        ends = (values[i, n] for values in (self.x, self.v, self.a) for i in (k, k + 1))
        return _blend(basis(u, h), *ends)


def _position(u: Array, h: Array) -> tuple[Array, ...]:
    """Quintic Hermite weights of x0, x1, v0, v1, a0, a1 at u in [0, 1] of a step h."""
    u2, u3 = u * u, u * u * u
    b1 = u3 * (10 + u * (6 * u - 15))
    c0 = u + u3 * (-6 + u * (8 - 3 * u))
    c1 = u3 * (-4 + u * (7 - 3 * u))
    d0 = 0.5 * u2 + u3 * (-1.5 + u * (1.5 - 0.5 * u))
    d1 = u3 * (0.5 + u * (-1 + 0.5 * u))
    return 1 - b1, b1, h * c0, h * c1, h * h * d0, h * h * d1


def _velocity(u: Array, h: Array) -> tuple[Array, ...]:
    """The derivative of those weights with respect to time."""
    u2 = u * u
    b1 = u2 * (30 + u * (30 * u - 60))
    c0 = 1 + u2 * (-18 + u * (32 - 15 * u))
    c1 = u2 * (-12 + u * (28 - 15 * u))
    d0 = u + u2 * (-4.5 + u * (6 - 2.5 * u))
    d1 = u2 * (1.5 + u * (-4 + 2.5 * u))
    return -b1 / h, b1 / h, c0, c1, h * d0, h * d1


def _blend(weights: tuple[Array, ...], *ends: Array) -> Array:
    """Sum of weights (...) times ends (..., 3), in the order of `_position`."""
    total = weights[0][..., None] * ends[0]
    for weight, end in zip(weights[1:], ends[1:], strict=True):
        total += weight[..., None] * end
    return total


def advance(knot: Knot, h: Array, medium: Medium) -> Knot:
    """One classical Runge-Kutta step of h (n, 1) s."""
    half = 0.5 * h
    v2, w2 = knot.v + half * knot.a, knot.w * (1 - half * knot.decay[:, None])
    a2, r2 = medium.acceleration(v2, w2)
    v3, w3 = knot.v + half * a2, knot.w - half * r2[:, None] * w2
    a3, r3 = medium.acceleration(v3, w3)
    v4, w4 = knot.v + h * a3, knot.w - h * r3[:, None] * w3
    a4, r4 = medium.acceleration(v4, w4)
    x = knot.x + h / 6 * (knot.v + 2 * (v2 + v3) + v4)
    v = knot.v + h / 6 * (knot.a + 2 * (a2 + a3) + a4)
    # The spin keeps its direction and its decay hardly changes over a step: the exponential of the mean is enough.
    w = knot.w * np.exp(-h / 6 * (knot.decay + 2 * (r2 + r3) + r4)[:, None])
    return launch(x, v, w, medium)


def launch(x: Array, v: Array, w: Array, medium: Medium) -> Knot:
    """The knot of n balls with position, velocity and spin (n, 3)."""
    a, decay = medium.acceleration(v, w)
    return Knot(x, v, a, w, decay)


def fly(first: Knot, duration: Array, steps: int, medium: Medium) -> Flight:
    """Fly n balls for duration (n,) s each in equal steps, and keep every knot."""
    h = duration / steps
    knots = [first]
    for _ in range(steps):
        knots.append(advance(knots[-1], h[:, None], medium))
    return _join(np.zeros(len(first.x)), h, knots)


def _join(start: Array, h: Array, knots: list[Knot]) -> Flight:
    x, v, a, w = (np.stack([getattr(k, name) for k in knots]) for name in "xvaw")
    return Flight(start, h, x, v, a, w)


Event = Callable[[Array, Array], Array]  # (positions, velocities) -> value that passes from + to - at the event


@dataclass(frozen=True)
class Crossing:
    """First passage of an event for n balls: whether, when (s) and where (n, 3); NaN where it never happened."""

    happened: Array
    time: Array
    x: Array
    v: Array


def fly_until(
    first: Knot,
    medium: Medium,
    stop: Event,
    watch: tuple[Event, ...] = (),
    keep: bool = False,
    step: float = STEP,
) -> tuple[Crossing, tuple[Crossing, ...], Flight | None]:
    """Fly n balls until ``stop``, and find when each event in ``watch`` happens before that.

    Balls that have stopped are dropped from the arrays, so the cost follows the balls still in the air.
    Returns the stop, the watched events, and with ``keep`` the dense flights (a stopped ball's last knots repeat).
    """
    n = len(first.x)
    events = (stop, *watch)
    brackets = [_Bracket.empty(n) for _ in events]
    active = np.arange(n)
    now, time = first, 0.0
    values = [event(now.x, now.v) for event in events]
    knots = [first]
    h = np.array([[step]])
    while len(active) and time < MAX_TIME:
        after = advance(now, h, medium)
        new_values = [event(after.x, after.v) for event in events]
        for bracket, old, new in zip(brackets, values, new_values, strict=True):
            bracket.note(active, time, now, after, (old > 0) & (new <= 0))
        going = ~((values[0] > 0) & (new_values[0] <= 0))
        if keep:
            knots.append(after if len(active) == n else knots[-1].overlaid(active, after))
        time += step
        if going.all():
            now, values = after, new_values
        else:
            active, now, medium = active[going], after.take(going), medium.take(going)
            values = [value[going] for value in new_values]
    crossings = [b.refine(e, step) for b, e in zip(brackets, events, strict=True)]
    flight = _join(np.zeros(n), np.full(n, step), knots) if keep else None
    return crossings[0], tuple(crossings[1:]), flight


@dataclass
class _Bracket:
    """The step in which an event happens, per ball."""

    found: Array
    start: Array
    x: Array  # (2, n, 3) at both ends of the step; likewise v and a
    v: Array
    a: Array

    @staticmethod
    def empty(n: int) -> _Bracket:
        nan = np.full((2, n, 3), np.nan)
        return _Bracket(np.zeros(n, bool), np.full(n, np.nan), nan, nan.copy(), nan.copy())

    def note(self, active: Array, time: float, now: Knot, after: Knot, passed: Array) -> None:
        local = passed & ~self.found[active]
        if not local.any():
            return
        ball = active[local]
        self.found[ball] = True
        self.start[ball] = time
        for end, knot in enumerate((now, after)):
            self.x[end, ball], self.v[end, ball], self.a[end, ball] = (
                knot.x[local],
                knot.v[local],
                knot.a[local],
            )

    def sample(self, u: Array, ball: Array, step: float) -> tuple[Array, Array]:
        ends = [values[i, ball] for values in (self.x, self.v, self.a) for i in (0, 1)]
        h = np.full_like(u, step)
        return _blend(_position(u, h), *ends), _blend(_velocity(u, h), *ends)

    def refine(self, event: Event, step: float) -> Crossing:
        n = len(self.found)
        time, x, v = np.full(n, np.nan), np.full((n, 3), np.nan), np.full((n, 3), np.nan)
        ball = np.flatnonzero(self.found)
        if len(ball):
            u = bracketed_root(
                lambda u, i: event(*self.sample(u, ball[i], step)), np.zeros(len(ball)), np.ones(len(ball)), 1e-12
            )
            time[ball] = self.start[ball] + u * step
            x[ball], v[ball] = self.sample(u, ball, step)
        return Crossing(self.found, time, x, v)
