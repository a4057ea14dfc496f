"""Which balls this hitter should aim to hit: where they land against where fielders get to in time.

The hitter's own exit speeds come from full plays with the barrel at different heights; each of those balls is then
flown in every direction. Fielders run by a simple law (PHYSICS 11); where they stand, how they field a bouncing ball
and how they throw is our own choice and says so. A chance is a judgement of margins, not a statistic.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.frames import Array, direction
from plane3d.inputs import Inputs
from plane3d.language import tr
from plane3d.physics.aero import spin_axes
from plane3d.plays import Batted, fly_balls, play_many
from plane3d.units import FOOT

# Where fielders stand on a 90-ft diamond: feet from the plate, degrees from centre (from memory, PHYSICS 11).
POSITIONS = {
    "pitcher": (58, 0), "first base": (110, 36), "second base": (145, 13), "shortstop": (147, -13),
    "third base": (115, -36), "left field": (300, -27), "centre field": (322, 0), "right field": (295, 27),
    "catcher": (-4, 0),
}  # fmt: skip
INFIELD = 200  # ft; who stands nearer throws runners out
DEPTHS = np.array([0.7, 0.8, 0.9, 1.0])  # of where the field puts the outfield: as far as it plays in, own choice
NEAREST = 1.2  # times as deep as the shortstop at the least, own choice
FULL_BASE = 90 * FOOT
FULL_FENCE = 400 * FOOT
REACTION = 0.4  # s before the first step (0.37 s read for one measured catch)
RUN_UP = 1.2  # s time constant of getting to full speed
ARM_REACH = 1.0  # m
HUMAN_MARGIN = 0.12  # a chance is even when the run just suffices; its spread, as a share of the ground covered
SURE = 0.5  # m of that spread however near the ball is
GLOVE_HEIGHT = 2.6  # m, as high as a fielder catches a passing ball
SAMPLES = 41  # of a flight, where it may be caught
BOUNCE_KEEPS = 0.65  # of its speed along the ground that a ball keeps at the first bounce, own choice
ROLL_SLOWING = 3.0  # m/s2 on grass and dirt, own choice
ROLL_TIMES = np.linspace(0.0, 6.0, 49)  # s after the first bounce at which a ball may be picked up
HANDLING = 0.9  # s from glove to the ball leaving the hand, own choice
THROW_SHARE = 4.0  # throwing speed against running speed, own choice: 78 mph where players run 8.7 m/s
CLOSE_PLAY = 0.25  # s, spread of who is first at the base, own choice
AIM_SCATTER = np.radians(6.0)  # of a good hitter's launch angle about the one aimed at, own choice
CONTACT_Y = 0.5  # m, where the balls of the chart start
LOWEST, HIGHEST = np.radians(-10.0), np.radians(60.0)  # launch angles looked at
AIM_HEIGHTS = np.linspace(-1.2, 2.2, 240) * 0.0254  # m below the line, over which the hitter's own balls are made


@dataclass(frozen=True)
class Players:
    """Fielders and runner of a level. speed : m/s at full run; hands : chance of finishing a catch or a throw begun."""

    speed: float
    hands: float = 1.0


@dataclass(frozen=True)
class Spots:
    """Places where some of ``count`` balls can be caught: which ball (k,), where it is (k, 3) m, and when (k,) s."""

    which: Array
    ball: Array
    time: Array
    count: int


@dataclass(frozen=True)
class Target:
    """Chances over launch angle (rows) and spray (columns). Arrays (k, m) unless said; SI.

    launch_angle, exit_speed, below_line : (k,) of the hitter's own balls; spray : (m,)
    carry : m; safe, out, over : chance of falling safe, of an out, of leaving the park; they add up to 1
    fielders : (p, 2) m, where they stand, in the order of POSITIONS
    """

    launch_angle: Array
    exit_speed: Array
    below_line: Array
    spray: Array
    carry: Array
    safe: Array
    out: Array
    over: Array
    fielders: Array

    def chance(self) -> Array:
        """(k,) chance of a hit or better for each launch angle, over all fair directions alike."""
        return (self.safe + self.over).mean(axis=1)

    def aimed(self, scatter: float = AIM_SCATTER) -> Array:
        """(k,) the same for a hitter who aims at a launch angle and misses it by ``scatter`` (rad, normal)."""
        apart = (self.launch_angle[:, None] - self.launch_angle) / scatter
        weight = np.exp(-0.5 * apart**2)
        return weight @ self.chance() / weight.sum(axis=1)

    def best(self, scatter: float = AIM_SCATTER) -> int:
        """Row of the launch angle that is best to aim at."""
        return int(self.aimed(scatter).argmax())

    def band(self, slack: float = 0.93, scatter: float = AIM_SCATTER) -> tuple[float, float]:
        """Launch angles (rad) around the best aim that are nearly as good, ``slack`` of it: the band to train for."""
        reward = self.aimed(scatter)
        good = reward >= slack * reward.max()
        best = self.best(scatter)
        bad = np.flatnonzero(~good)
        first = bad[bad < best].max(initial=-1) + 1
        last = bad[bad > best].min(initial=len(good)) - 1
        return float(self.launch_angle[first]), float(self.launch_angle[last])


def run_distance(time: Array, speed: float) -> Array:
    """Ground (m) a fielder covers in a time (s): d = v [(t - t0) - ta (1 - exp(-(t - t0)/ta))] + arm's reach."""
    return _covered(np.maximum(time - REACTION, 0.0), speed) + ARM_REACH


def home_to_first(base: float, speed: float) -> float:
    """Time (s) the batter needs over a base length (m), by the same law of getting to full speed.

    90 ft at 8.7 m/s take 4.3 s; 4.0 to 4.3 s are quoted for professionals (read, weak; PHYSICS 11).
    """
    time = base / speed + RUN_UP
    for _ in range(20):
        time += (base - float(_covered(np.array(time), speed))) / speed
    return time


def _covered(moving: Array, speed: float) -> Array:
    """Ground (m) covered in a time (s) of running from rest."""
    return speed * (moving - RUN_UP * (1.0 - np.exp(-moving / RUN_UP)))


def target(inputs: Inputs, players: Players, rows: int = 46, columns: int = 31) -> Target:
    """The chart for one hitter, the swing aimed at the pitch and on time.

    The outfield stands where it leaves this hitter least: nobody plays deep on a hitter who cannot reach them.
    Raises UnreachableError where the swing cannot be made, or hits no ball of this pitch forward.
    """
    launch, speed, below, spin, height = _own_balls(replace(inputs, held=None), rows)
    spray = np.radians(np.linspace(-44.0, 44.0, columns))
    k, m = np.meshgrid(np.arange(len(launch)), np.arange(columns), indexing="ij")
    velocity = speed[k.ravel(), None] * direction(spray[m.ravel()], launch[k.ravel()])
    back, _ = spin_axes(velocity)
    start = np.zeros_like(velocity)
    start[:, 1], start[:, 2] = CONTACT_Y, height
    flown = fly_balls(inputs.setting, start, velocity, spin[k.ravel(), None] * back, keep=True)
    shape = (len(launch), columns)
    over = flown.over_fence.reshape(shape).astype(float)
    carry = np.hypot(flown.x[:, 0], flown.x[:, 1]).reshape(shape)
    places, inner = _defences(inputs)
    spots, infield = _catchable(flown), places[0][inner]  # which stands alike in each
    caught = players.hands * _caught(spots, infield, players.speed)
    thrown = players.hands**2 * _thrown_out(flown, infield, inputs.setting.field.base, players.speed)
    charts = []
    for place in places:
        far = players.hands * _caught(spots, place[~inner], players.speed)
        out = np.maximum(np.maximum(caught, thrown), far).reshape(shape) * (1 - over)
        charts.append(Target(launch, speed, below, spray, carry, 1 - over - out, out, over, place))
    return min(charts, key=lambda chart: float(chart.aimed().max()))


def _own_balls(inputs: Inputs, rows: int) -> tuple[Array, Array, Array, Array, float]:
    """Launch angle, exit speed, barrel height, backspin (k,) of this hitter's on-time balls, and contact height.

    Launch angles run from LOWEST to HIGHEST as far as this swing can hit them.
    """
    swing = replace(inputs.swing, below_line=AIM_HEIGHTS, timing=0.0, along_barrel=0.0)
    plays = play_many(replace(inputs, swing=swing))
    launch = np.where(plays.meeting.touch, plays.launch_angle, np.nan)
    highest = np.maximum.accumulate(np.nan_to_num(launch, nan=-9.0))
    rising = np.flatnonzero(np.isfinite(launch) & (launch >= highest))
    wanted = np.linspace(LOWEST, HIGHEST, rows)
    if len(rising) == 0 or not np.any(wanted := wanted[(wanted >= launch[rising[0]]) & (wanted <= launch[rising[-1]])]):
        raise UnreachableError(tr("This swing hits no ball between 10° down and 60° up; change its attack angle."))
    back, _ = spin_axes(plays.blow.velocity)
    spin = np.einsum("ni,ni->n", plays.blow.spin, back)
    curves = (np.interp(wanted, launch[rising], v[rising]) for v in (plays.exit_speed, AIM_HEIGHTS, spin))
    speed, below, backspin = curves
    return wanted, speed, below, backspin, float(plays.meeting.ball[rising[0], 2])


def _defences(inputs: Inputs) -> tuple[list[Array], Array]:
    """Where fielders may stand, each (p, 2) m, and which of them (p,) are infielders: the outfield at several depths.

    The infield scales with the bases, the outfield with the fence.
    """
    field = inputs.setting.field
    distance, angle = np.array(list(POSITIONS.values()), dtype=float).T
    inner = distance < INFIELD
    infield, outfield = field.base / FULL_BASE, field.fence_centre / FULL_FENCE
    least = NEAREST * POSITIONS["shortstop"][0] * infield / (POSITIONS["right field"][0] * outfield)
    shares = np.unique(np.clip(DEPTHS, min(least, 1.0), 1.0))
    reaches = (distance * FOOT * np.where(inner, infield, share * outfield) for share in shares)
    toward = np.stack([np.sin(np.radians(angle)), np.cos(np.radians(angle))], axis=-1)
    return [reach[:, None] * toward for reach in reaches], inner


def _chance(margin: Array, ground: Array) -> Array:
    """Chance of making it with a margin (m) over the ground to cover (m): even at none."""
    return 1.0 / (1.0 + np.exp(-margin / (SURE + HUMAN_MARGIN * ground)))


def _catchable(flown: Batted) -> Spots:
    """The sampled places of the balls' paths that are low enough to catch."""
    if flown.flight is None:
        raise ValueError("the flights must be kept to see where they can be caught")
    time = np.linspace(0.0, 1.0, SAMPLES) * flown.hang_time[:, None]
    ball = flown.flight.at(time)
    low = (ball[..., 2] < GLOVE_HEIGHT) & (time > REACTION)
    return Spots(np.nonzero(low)[0], ball[low], time[low], len(time))


def _caught(spots: Spots, place: Array, speed: float) -> Array:
    """(n,) chance that a fielder from some place (p, 2) gets to the ball's path while it is low enough to catch."""
    best = np.zeros(spots.count)
    np.maximum.at(best, spots.which, _gets_there(spots.ball, spots.time, place, speed))
    return best


def _gets_there(ball: Array, time: Array, place: Array, speed: float) -> Array:
    """(n,) chance that a fielder from some place (p, 2) is where a ball (n, 2 or 3) is at a time (n,)."""
    away = np.hypot(ball[:, None, 0] - place[:, 0], ball[:, None, 1] - place[:, 1])
    return _chance(run_distance(time, speed)[:, None] - away, away).max(axis=1)


def _thrown_out(flown: Batted, place: Array, base: float, speed: float) -> Array:
    """(n,) chance that an infielder picks up a bouncing ball in time to throw to first base before the runner."""
    first_base, runner = base * np.sqrt(0.5), home_to_first(base, speed)
    bounce = np.hypot(flown.v[:, 0], flown.v[:, 1])
    way = flown.v[:, :2] / np.maximum(bounce, 1e-9)[:, None]
    best = np.zeros(len(flown.x))
    for after in ROLL_TIMES:
        moving = np.minimum(after, BOUNCE_KEEPS * bounce / ROLL_SLOWING)  # until it lies still
        rolled = BOUNCE_KEEPS * bounce * moving - 0.5 * ROLL_SLOWING * moving**2
        ball = flown.x[:, :2] + rolled[:, None] * way
        time = flown.hang_time + after
        throw = HANDLING + np.hypot(ball[:, 0] - first_base, ball[:, 1] - first_base) / (THROW_SHARE * speed)
        beats = 1.0 / (1.0 + np.exp((time + throw - runner) / CLOSE_PLAY))
        best = np.maximum(best, _gets_there(ball, time, place, speed) * beats)
    return best
