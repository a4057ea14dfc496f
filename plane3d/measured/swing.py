"""From points of a bat to a measured swing: smoothed on either side of contact, with what the samples leave open."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import BSpline
from scipy.spatial.transform import Rotation

from plane3d.frames import Array, cross, norm, side_sign, unit
from plane3d.inputs import Inputs
from plane3d.language import tr
from plane3d.measured.checks import Clean, check_placed, clean
from plane3d.measured.coordinates import GRIP, Turning
from plane3d.measured.files import refuse
from plane3d.measured.impact import Impact, find_impact, stated
from plane3d.measured.placing import Placing
from plane3d.measured.points import BatPoints
from plane3d.measured.smoothing import Fit, Smoother
from plane3d.physics.flight import Flight
from plane3d.physics.measured_swing import LEAST_POSES, Track, contact_numbers, spline_through
from plane3d.plays import pitch_flight

ZONE = 0.066  # s before contact: what contact is read from
LEAST_ZONE = 7  # samples in it; where there are fewer, it reaches further back
LONGEST_ZONE = 0.150  # s, and no further than this
NEXT = 0.012  # s, or two steps: the last sample before contact must be so near
ROAD, FOLLOW = 0.6, 0.4  # s before and after contact that are kept
BLEND = 0.015  # s over which the road goes over into the zone
SETTLE = 0.020  # s after contact over which the follow-through is brought to where the bat was
CARRY_ON = 0.040  # s the bat goes on turning where nothing was measured after contact
LAUNCH_SHARE = 0.10  # of the tip's speed at contact: slower than this, the swing has not begun
FINE = 0.001  # s between the places at which the launch is looked for
STEP, STEP_AFTER = 0.004, 0.008  # s, most between the poses of the finished track up to contact and from it on
DRAWS = 400
SEED = 1
LEAST_AFTER = 6  # samples after contact that make a follow-through


@dataclass(frozen=True)
class Contact:
    """The bat at contact, each row one of what the samples leave open: (d, 3), field frame, SI.

    grip, grip_velocity : of the place `coordinates.GRIP` from the knob mark
    axis, axis_rate : unit axis from knob to tip, and its rate
    """

    grip: Array
    grip_velocity: Array
    axis: Array
    axis_rate: Array

    def numbers(self, pitch: Flight, sweet_spot: float, side: float) -> dict[str, Array]:
        """What `physics.measured_swing.contact_numbers` reads off each row; ``sweet_spot`` m from the knob."""
        lever = sweet_spot - GRIP
        place, velocity = self.grip + lever * self.axis, self.grip_velocity + lever * self.axis_rate
        return contact_numbers(place, velocity, self.axis, pitch, side)


@dataclass(frozen=True)
class Measured:
    """A measured swing.

    track : its motion, for `inputs.Inputs.measured`
    contact : draws of what the samples leave open about contact
    impact : when it was, on the file's clock; impact_found : whether it was found in the samples rather than stated
    noise : m, standard deviation of one coordinate of one point, from the residuals before contact
    noise_road, noise_after : m, the same over the whole way to contact, and after it (NaN where nothing was measured)
    zone, zone_samples : s before contact that contact is read from, and how many samples lie there
    """

    points: BatPoints
    checked: Clean
    bats: str
    track: Track
    contact: Contact
    impact: Impact
    impact_found: bool
    noise: float
    noise_road: float
    noise_after: float
    zone: float
    zone_samples: int
    notes: tuple[str, ...]

    def inputs(self, base: Inputs) -> Inputs:
        """The play of ``base`` with this swing in the place where it was measured, on time for the pitch of ``base``.

        Its contact depth, gap below the line and place along the barrel are read off; changing them shifts the swing
        as a rigid body, as changing an angle turns it and changing the bat speed runs it faster. On time means that
        the ball's centre comes into the vertical plane of the bat when the bat is where it was at impact; surfaces
        then touch about a millisecond earlier.
        """
        read = self.track.read(pitch_flight(base), base.bat.sweet_spot, side_sign(self.bats))
        swing = replace(base.swing, **read, timing=0.0)
        return replace(base, bats=self.bats, swing=swing, held=None, measured=self.track)


def measure(
    points: BatPoints,
    placing: Placing,
    bats: str,
    impact: float | None = None,
    hit: bool = True,
    seed: int = SEED,
    draws: int = DRAWS,
) -> Measured:
    """Judge, place and smooth the points of a bat.

    Parameters
    ----------
    points : along the file's own axes
    bats : "right" or "left"
    impact : s on the file's clock; None to find it in the samples
    hit : whether a ball was hit. If not, ``impact`` is the moment to look at, and samples on both sides serve it.
    seed, draws : of what the samples leave open

    Raises InputError, one sentence for what cannot be used.
    """
    checked = clean(points)
    placed = placing.place(checked.points)
    if impact is None and not hit:
        raise refuse(points.name, tr("nothing was hit: state the moment to look at"))
    moment = find_impact(placed, checked.length) if impact is None else stated(impact)
    check_placed(placed, placing, bats, moment.time)
    samples = _Samples(replace(placed, times=placed.times - moment.time), checked.length, hit)
    samples.check(1.0 / checked.frame_rate, moment.time)
    zone, offsets = _Zone(samples, moment), moment.moments - moment.time
    rng = np.random.default_rng(seed)
    shift = rng.choice(offsets, size=draws, p=moment.weights)
    track, noise_road, noise_after = _track(samples, zone)
    notes = list(checked.notes)
    if placing.mirrored:
        notes.append(
            tr("The axes given are mirrored (left-handed), and so they were taken: the swing then turns rightly.")
        )
    return Measured(placed, checked, bats, track, zone.draw(shift, rng), moment, impact is None, zone.fit.noise,
                    noise_road, noise_after, zone.length, zone.count, tuple(notes))  # fmt: skip


class _Samples:
    """Samples in the field frame, their clock at 0 at contact."""

    def __init__(self, points: BatPoints, length: float, hit: bool):
        self.name, self.times, self.length, self.hit = points.name, points.times, length, hit
        self.middle = (points.knob + points.tip) / 2
        self.axes = unit(points.tip - points.knob)

    def check(self, step: float, contact: float) -> None:
        """Refuse where too little was measured before contact."""
        before = -self.times[self.times <= 0]
        enough = before <= LONGEST_ZONE
        if enough.sum() < LEAST_ZONE:
            raise refuse(self.name, tr("has {given} samples in the {time} ms before contact at {contact} s; at least "
                                       "{least} are needed", given=int(enough.sum()), time=f"{1e3 * LONGEST_ZONE:.0f}",
                                       contact=f"{contact:g}", least=LEAST_ZONE))  # fmt: skip
        if before.min() > max(NEXT, 2 * step):
            raise refuse(self.name, tr("has no sample in the last {time} ms before contact at {contact} s",
                                       time=f"{1e3 * before.min():.0f}", contact=f"{contact:g}"))  # fmt: skip

    def between(self, start: float, end: float) -> Array:
        """Places of the samples in a stretch of time, ends included."""
        return np.flatnonzero((self.times >= start) & (self.times <= end))


class _Zone:
    """The last stretch before contact, smoothed in gentle coordinates."""

    def __init__(self, samples: _Samples, impact: Impact):
        last = 0.0 if samples.hit else ZONE / 2
        before = np.sort(-samples.times[samples.times <= 0])
        self.length = float(max(ZONE, before[LEAST_ZONE - 1])) + 1e-9
        rows = samples.between(-self.length, last)
        self.count = int(np.sum(samples.times[rows] <= 0))
        times, self._middle = samples.times[rows], samples.middle[rows]
        self._plane = Turning.of(samples.axes[rows], samples.length)
        self._angles = self._plane.angles(samples.axes[rows])
        reach = max(last, float((impact.moments - impact.time).max()), float(times.max()))
        self._smoother = Smoother(times, -self.length, reach)
        axes = samples.axes[rows]
        for _ in range(2):  # the grip is found with the smoothed axis, which carries less noise than each sample's own
            self._columns = np.concatenate([self._angles, self._plane.grip(self._middle, axes)], axis=1)
            self.fit: Fit = self._smoother.fit(self._columns)
            spline = self._smoother.spline(self.fit.coefficients)
            axes = self._plane.axes(spline(times))
        self._spline = spline

    def pose(self, s: Array) -> tuple[Array, Array]:
        """Grip (m, 3) and unit axis (m, 3) at times s (m,)."""
        columns = self._spline(s)
        return columns[:, 2:] / np.sqrt(2.0), self._plane.axes(columns)

    def draw(self, shift: Array, rng: np.random.Generator) -> Contact:
        """The bat at contact as the samples leave it open; ``shift`` (d,) s, where contact itself is drawn."""
        smoother, plane = self._smoother, self._plane
        which, noise = smoother.choose(self.fit, self._columns, len(shift), rng)
        angles = smoother.draw(self._angles, which, noise, rng)
        axes = plane.axes(smoother.sampled @ angles)
        grip = smoother.draw(plane.grip(self._middle, axes), which, noise, rng)
        value, rate = smoother.at(shift)
        turned, turn_rate = np.einsum("dk,dkq->dq", value, angles), np.einsum("dk,dkq->dq", rate, angles)
        return Contact(
            grip=np.einsum("dk,dkq->dq", value, grip) / np.sqrt(2.0),
            grip_velocity=np.einsum("dk,dkq->dq", rate, grip) / np.sqrt(2.0),
            axis=plane.axes(turned),
            axis_rate=plane.axis_rates(turned, turn_rate),
        )


def _track(samples: _Samples, zone: _Zone) -> tuple[Track, float, float]:
    """The whole motion, and the noise on the way to contact and after it."""
    rows = samples.between(-ROAD, 0.0)
    start = float(samples.times[rows[0]])
    coefficients, fit, smoother = _along(samples, rows, start, 0.0)
    road = smoother.spline(coefficients)

    def places(s: Array) -> tuple[Array, Array]:
        share = np.clip((s + zone.length) / BLEND, 0.0, 1.0)
        share = (share**2 * (3 - 2 * share))[:, None]
        near_grip, near_axis = zone.pose(np.maximum(s, -zone.length))
        far = road(s)
        far_axis = unit(far[:, 3:])
        return far[:, :3] + share * (near_grip - far[:, :3]), unit(far_axis + share * (near_axis - far_axis))

    s = np.linspace(start, 0.0, max(LEAST_POSES, int(-start / FINE)))
    grip, axis = places(s)
    speed = norm(np.gradient(grip + (samples.length - GRIP) * axis, s, axis=0))
    slow = np.flatnonzero(speed < LAUNCH_SHARE * speed[-1])
    launch = float(s[min(slow[-1], len(s) - LEAST_POSES)]) if len(slow) else start
    before = _poses(*places(_steps(launch, 0.0, STEP)))
    after, end, noise = _after(samples, spline_through(before, launch, 0.0))
    return Track.through(before, after, launch, end), fit.noise, noise


def _along(samples: _Samples, rows: Array, start: float, end: float) -> tuple[Array, Fit, Smoother]:
    """Samples of a longer way smoothed along the field's axes: grip (3) and axis (3) as columns of one spline."""
    axes, scale = samples.axes[rows], samples.length / np.sqrt(2.0)
    grip = np.sqrt(2.0) * (samples.middle[rows] - (samples.length / 2 - GRIP) * axes)
    smoother = Smoother(samples.times[rows], start, end)
    fit = smoother.fit(np.concatenate([grip, scale * axes], axis=1))
    return fit.coefficients / np.repeat([np.sqrt(2.0), scale], 3), fit, smoother


def _after(samples: _Samples, before: BSpline) -> tuple[Array, float, float]:
    """Poses of the follow-through, its end (s) and its noise (m); an even turn on where none was measured."""
    now, rate = before(0.0), before.derivative()(0.0)
    grip, axis = now[:3] + GRIP * now[3:], unit(now[3:])
    rows = np.flatnonzero((samples.times > 0) & (samples.times <= FOLLOW))
    if len(rows) < LEAST_AFTER:
        s = _steps(0.0, CARRY_ON, STEP_AFTER)
        turn = cross(axis, rate[3:])
        turned = Rotation.from_rotvec(s[:, None] * turn).apply(axis)
        return _poses(grip + s[:, None] * (rate[:3] + GRIP * rate[3:]), turned), CARRY_ON, float("nan")
    end = float(samples.times[rows[-1]])
    coefficients, fit, smoother = _along(samples, rows, 0.0, end)
    s = _steps(0.0, end, STEP_AFTER)
    columns = smoother.spline(coefficients)(s)
    settle = (np.maximum(1.0 - s / SETTLE, 0.0) ** 2)[:, None]
    first = np.concatenate([grip, axis])
    columns = columns + settle * (first - columns[0])
    return _poses(columns[:, :3], unit(columns[:, 3:])), end, fit.noise


def _steps(start: float, end: float, longest: float) -> Array:
    """Even steps from start to end, s."""
    return np.linspace(start, end, max(LEAST_POSES, 1 + int(np.ceil((end - start) / longest))))


def _poses(grip: Array, axis: Array) -> Array:
    """(n, 6) knob end and axis, as `Track.through` takes them; to the digits that a file keeps of them."""
    return np.concatenate([grip - GRIP * axis, axis], axis=1).astype(np.float32).astype(float)
