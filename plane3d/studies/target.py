"""Which balls this hitter should aim to hit: where they land against where fielders get to in time.

The hitter's own exit speeds come from full plays with the barrel at different heights; each of those balls is then
flown in every direction. Fielders run by a simple law (PHYSICS 11); where they stand and how they field a ground
ball is our own choice and says so. A chance is a judgement of margins, not a statistic.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plane3d.frames import Array, direction, elevation, norm
from plane3d.inputs import Inputs
from plane3d.physics.aero import spin_axes
from plane3d.plays import Batted, fly_balls, play_many
from plane3d.units import FOOT

# Where nine fielders stand on a 90-ft diamond: feet from the plate, degrees from centre (from memory, PHYSICS 11).
POSITIONS = {
    "pitcher": (58, 0), "first base": (110, 36), "second base": (145, 13), "shortstop": (147, -13),
    "third base": (115, -36), "left field": (300, -27), "centre field": (322, 0), "right field": (295, 27),
}  # fmt: skip
FULL_BASE = 90 * FOOT
FULL_FENCE = 400 * FOOT
REACTION = 0.4  # s before the first step (0.37 s read for one measured catch)
RUN_UP = 1.2  # s time constant of getting to full speed
ARM_REACH = 1.0  # m
HUMAN_MARGIN = 0.12  # a chance is even when the run just suffices; its spread, as a share of the ground covered
GLOVE_HEIGHT = 2.6  # m, as high as a fielder catches a passing ball
SAMPLES = 41  # of a flight, where it may be caught
BOUNCE_KEEPS = 0.65  # of its speed along the ground that a ball keeps at the first bounce, own choice
AIM_SCATTER = np.radians(6.0)  # of a good hitter's launch angle about the one aimed at, own choice
ROLL_SLOWING = 3.0  # m/s2 on grass and dirt, own choice
THROW_TIME = 1.5  # s from glove to first base on a 90-ft diamond, own choice
RUNNER_TIME = 4.3  # s, home to first over 90 ft: 4.0-4.3 s (read, weak)


@dataclass(frozen=True)
class Target:
    """Chances over launch angle (rows) and spray (columns). Arrays (k, m) unless said; SI.

    launch_angle, exit_speed, below_line : (k,) of the hitter's own balls; spray : (m,)
    carry : m; safe, out, over : chance of falling safe, of an out, of leaving the park; they add up to 1
    """

    launch_angle: Array
    exit_speed: Array
    below_line: Array
    spray: Array
    carry: Array
    safe: Array
    out: Array
    over: Array

    def chance(self) -> Array:
        """(k,) chance of a hit or better for each launch angle, over all fair directions alike."""
        return (self.safe + self.over).mean(axis=1)

    def aimed(self, scatter: float = AIM_SCATTER) -> Array:
        """(k,) the same for a hitter who aims at a launch angle and misses it by ``scatter`` (rad, normal)."""
        apart = (self.launch_angle[:, None] - self.launch_angle) / scatter
        weight = np.exp(-0.5 * apart**2)
        return weight @ self.chance() / weight.sum(axis=1)

    def band(self, slack: float = 0.93, scatter: float = AIM_SCATTER) -> tuple[float, float]:
        """Launch angles (rad) around the best aim that are nearly as good, ``slack`` of it: the band to train for."""
        reward = self.aimed(scatter)
        good = reward >= slack * reward.max()
        best = int(reward.argmax())
        bad = np.flatnonzero(~good)
        first = bad[bad < best].max(initial=-1) + 1
        last = bad[bad > best].min(initial=len(good)) - 1
        return float(self.launch_angle[first]), float(self.launch_angle[last])


def run_distance(time: Array, speed: float) -> Array:
    """Ground (m) a fielder covers in a time (s): d = v [(t - t0) - ta (1 - exp(-(t - t0)/ta))] + arm's reach."""
    moving = np.maximum(time - REACTION, 0.0)
    return speed * (moving - RUN_UP * (1.0 - np.exp(-moving / RUN_UP))) + ARM_REACH


def target(inputs: Inputs, fielder_speed: float, rows: int = 46, columns: int = 31) -> Target:
    """The chart for one hitter. ``fielder_speed`` : m/s at full run, typical for the level."""
    launch, speed, below, spin, height = _own_balls(inputs, rows)
    spray = np.radians(np.linspace(-44.0, 44.0, columns))
    k, m = np.meshgrid(np.arange(len(launch)), np.arange(columns), indexing="ij")
    velocity = speed[k.ravel(), None] * direction(spray[m.ravel()], launch[k.ravel()])
    back, _ = spin_axes(velocity)
    start = np.zeros_like(velocity)
    start[:, 1], start[:, 2] = 0.5, height
    flown = fly_balls(inputs.setting, start, velocity, spin[k.ravel(), None] * back, keep=True)
    shape = (len(launch), columns)
    over = flown.over_fence.reshape(shape).astype(float)
    caught = _caught(inputs, flown, fielder_speed)
    thrown = _thrown_out(inputs, flown.x, flown.v, flown.hang_time, fielder_speed)
    out = np.maximum(caught, thrown).reshape(shape) * (1 - over)
    carry = np.hypot(flown.x[:, 0], flown.x[:, 1]).reshape(shape)
    return Target(launch, speed, below, spray, carry, 1 - over - out, out, over)


def _own_balls(inputs: Inputs, rows: int) -> tuple[Array, Array, Array, Array, float]:
    """Launch angle, exit speed, barrel height, backspin of this hitter's on-time balls, from -10 to 60 degrees."""
    heights = np.linspace(-1.2, 2.2, 240) * 0.0254
    swing = replace(inputs.swing, below_line=heights, timing=0.0, along_barrel=0.0)
    plays = play_many(replace(inputs, swing=swing))
    launch = np.where(plays.meeting.touch, elevation(plays.blow.velocity), np.nan)
    wanted = np.radians(np.linspace(-10.0, 60.0, rows))
    rising = np.flatnonzero(np.isfinite(launch) & (launch >= np.maximum.accumulate(np.nan_to_num(launch, nan=-9.0))))
    wanted = wanted[(wanted >= launch[rising[0]]) & (wanted <= launch[rising[-1]])]
    back, _ = spin_axes(plays.blow.velocity)
    spin = np.einsum("ni,ni->n", plays.blow.spin, back)
    speed = norm(plays.blow.velocity)
    curves = (np.interp(wanted, launch[rising], values[rising]) for values in (speed, heights, spin))
    return wanted, *curves, float(plays.meeting.ball[rising[0], 2])


def _fielders(inputs: Inputs) -> tuple[Array, Array]:
    """Where fielders stand (p, 2) m, and which of them (p,) are infielders; scaled by bases and by the fence."""
    field = inputs.setting.field
    distance, angle = np.array(list(POSITIONS.values()), dtype=float).T
    inner = distance < 200
    scale = np.where(inner, field.base / FULL_BASE, field.fence_centre / FULL_FENCE)
    reach = distance * FOOT * scale
    return np.stack([reach * np.sin(np.radians(angle)), reach * np.cos(np.radians(angle))], axis=-1), inner


def _chance(margin: Array, ground: Array) -> Array:
    """Chance of making it with a margin (m) over the ground to cover (m): even at none."""
    return 1.0 / (1.0 + np.exp(-margin / (0.5 + HUMAN_MARGIN * ground)))


def _caught(inputs: Inputs, flown: Batted, speed: float) -> Array:
    """(n,) chance that some fielder gets to the ball's path while it is low enough to catch."""
    if flown.flight is None:
        raise ValueError("the flights must be kept to see where they can be caught")
    place, _ = _fielders(inputs)
    best = np.zeros(len(flown.x))
    for share in np.linspace(0.0, 1.0, SAMPLES):
        time = share * flown.hang_time
        ball = flown.flight.at(time[:, None])[:, 0]
        away = np.hypot(ball[:, None, 0] - place[:, 0], ball[:, None, 1] - place[:, 1])
        chance = _chance(run_distance(time, speed)[:, None] - away, away).max(axis=1)
        best = np.maximum(best, np.where(ball[:, 2] < GLOVE_HEIGHT, chance, 0.0))
    return np.where(flown.hang_time > REACTION, best, 0.0)


def _thrown_out(inputs: Inputs, landing: Array, velocity: Array, hang_time: Array, speed: float) -> Array:
    """(n,) chance that an infielder cuts a bouncing ball off in time to throw the runner out."""
    place, inner = _fielders(inputs)
    scale = inputs.setting.field.base / FULL_BASE
    roll = np.hypot(velocity[:, 0], velocity[:, 1]) * BOUNCE_KEEPS
    way = velocity[:, :2] / np.maximum(np.hypot(velocity[:, 0], velocity[:, 1]), 1e-9)[:, None]
    best = np.zeros(len(landing))
    for spot in place[inner]:
        ahead = np.einsum("ni,ni->n", spot - landing[:, :2], way)
        aside = np.abs(way[:, 0] * (spot - landing[:, :2])[:, 1] - way[:, 1] * (spot - landing[:, :2])[:, 0])
        # Time until the ball passes the fielder's depth, slowing as it rolls; a ball that stops short is charged.
        square = np.maximum(roll**2 - 2 * ROLL_SLOWING * np.maximum(ahead, 0.0), 0.25)
        passing = hang_time + (roll - np.sqrt(square)) / ROLL_SLOWING
        gets = _chance(run_distance(passing, speed) - aside, aside)
        beats = 1.0 / (1.0 + np.exp((passing + (THROW_TIME - RUNNER_TIME) * scale) / 0.25))
        best = np.maximum(best, np.where(ahead > 0, gets * beats, 0.0))
    return best
