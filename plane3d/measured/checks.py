"""What is wrong with measured points, noticed and said; nothing is guessed and put right in silence."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plane3d.constants import PLATE_FRONT_Y
from plane3d.errors import InputError, Mistake
from plane3d.frames import Array, cross, norm, side_sign, unit
from plane3d.language import tr
from plane3d.measured.files import refuse
from plane3d.measured.placing import Placing
from plane3d.measured.points import BatPoints
from plane3d.measured.table import UNIT_WORDS, UNITS

LEAST_SAMPLES = 12
LENGTHS = (0.45, 1.10)  # m knob to tip: bats run from 24 to 36 in (common practice), marks may sit inside the ends
RATES = (20.0, 20_000.0)  # samples a second
STEADY = 0.05  # m, spread of the length beyond which the two points are not on one bat
JUMP, JUMP_SPREADS = 0.03, 6.0  # m, and in spreads: a sample whose length is off by more is left out
GAP = 1.6  # of the usual step: a longer one is a gap
LOOKED_AT = 0.020  # s before contact over which the bat's way and turn are looked at
NEAR_PLATE = 1.5  # m, the sweet spot at contact from the middle of the plate in plan
GROUND = -0.05  # m, below which no bat goes
HIGH = 2.2  # m, above which no bat meets a ball
SWEET_SHARE = 0.82  # of the length from the knob, where a bat's sweet spot is (`physics.bat`)


@dataclass(frozen=True)
class Clean:
    """Samples that can be used, and what there is to say about the rest.

    points : without gaps; length, length_spread : m, knob to tip and its robust standard deviation
    frame_rate : samples a second; gaps : stretches with no sample; longest_gap : s; left_out : samples not used
    """

    points: BatPoints
    length: float
    length_spread: float
    frame_rate: float
    gaps: int
    longest_gap: float
    left_out: int
    notes: tuple[str, ...]


def clean(points: BatPoints) -> Clean:
    """Check times, gaps and the rigid bat, on the file's own axes; raises InputError for what cannot be used."""
    _check_times(points)
    kept = _complete(points)
    step = float(np.median(np.diff(points.times)))
    _check_rate(points, step)
    kept, spread, notes = _steady(kept)
    _check_ends(kept)
    steps = np.diff(kept.times)
    gaps: Array = steps > GAP * step
    longest = float(steps.max()) if gaps.any() else 0.0
    if gaps.any():
        time = f"{1e3 * longest:.0f}"
        notes.append(tr("{count} gaps; the longest lasts {time} ms.", count=int(gaps.sum()), time=time))
    length = float(np.median(norm(kept.tip - kept.knob)))
    left_out = len(points.times) - len(kept.times)
    return Clean(kept, length, spread, 1.0 / step, int(gaps.sum()), longest, left_out, tuple(notes))


def _complete(points: BatPoints) -> BatPoints:
    """The samples that have both ends."""
    there: Array = np.isfinite(np.concatenate([points.knob, points.tip], axis=1)).all(axis=1)
    if not there.any():
        raise refuse(points.name, tr("no sample has both the knob and the tip"))
    return _enough(_taken(points, there))


def _steady(points: BatPoints) -> tuple[BatPoints, float, list[str]]:
    """The samples in which knob and tip are as far apart as in the rest; the spread of that, m; what was left out."""
    length = norm(points.tip - points.knob)
    middle = float(np.median(length))
    _check_length(points, middle)
    spread = 1.4826 * float(np.median(np.abs(length - middle)))
    if spread > STEADY:
        text = tr(
            "the bat's length changes by ± {spread} cm from sample to sample; are both points on one bat?",
            spread=f"{100 * spread:.0f}",
        )
        raise refuse(points.name, text)
    jumps = np.asarray(np.abs(length - middle) > max(JUMP, JUMP_SPREADS * spread))
    if not jumps.any():
        return points, spread, []
    count = int(jumps.sum())
    lines = ", ".join(str(line) for line in points.lines[jumps][:6]) + (", ..." if count > 6 else "")
    note = tr("Left out: {count} samples in which knob and tip are farther apart or nearer than in the rest (lines "
              "{lines}).", count=count, lines=lines)  # fmt: skip
    return _enough(_taken(points, ~jumps)), spread, [note]


def _enough(points: BatPoints) -> BatPoints:
    """The same points; raises InputError where there are too few."""
    given = len(points.times)
    if given < LEAST_SAMPLES:
        text = tr(
            "has {given} samples of both knob and tip; at least {least} are needed", given=given, least=LEAST_SAMPLES
        )
        raise refuse(points.name, text)
    return points


def _taken(points: BatPoints, kept: Array) -> BatPoints:
    """Some of the samples."""
    names = ("lines", "times", "knob", "tip")
    return replace(points, **{name: getattr(points, name)[kept] for name in names})


def _check_times(points: BatPoints) -> None:
    times = points.times
    missing = np.flatnonzero(~np.isfinite(times))
    if len(missing):
        raise InputError([Mistake(points.where(missing[0]), "", tr("has no time"))])
    wrong = np.flatnonzero(np.diff(times) <= 0)
    if not len(wrong):
        return
    i = wrong[0] + 1
    if times[i] == times[i - 1]:
        text = tr("repeats the time {time} s of the line before; times must grow", time=f"{times[i]:g}")
    else:
        text = tr("has the time {time} s after {before} s; times must grow from line to line",
                  time=f"{times[i]:g}", before=f"{times[i - 1]:g}")  # fmt: skip
    raise InputError([Mistake(points.where(i), "", text)])


def _check_rate(points: BatPoints, step: float) -> None:
    rate, (least, most) = 1.0 / step, RATES
    if least <= rate <= most:
        return
    if least <= 1000.0 * rate <= most:
        raise refuse(
            points.name, tr("the samples would be {step} s apart; are the times in milliseconds?", step=f"{step:.3g}")
        )
    if least <= rate / 1000.0 <= most:
        raise refuse(
            points.name, tr("the samples would be {step} ms apart; are the times in seconds?", step=f"{1e3 * step:.3g}")
        )
    raise refuse(points.name, tr("has {rate} samples a second; {least} to {most} can be used",
                                 rate=f"{rate:.3g}", least=f"{least:.0f}", most=f"{most:.0f}"))  # fmt: skip


def _check_length(points: BatPoints, length: float) -> None:
    """Refuse a bat that is no bat, naming the unit in which it would be one."""
    least, most = LENGTHS
    if least <= length <= most:
        return
    factors = UNITS["length"]
    fits = [u for u, f in factors.items() if least <= length * f / factors[points.unit] <= most]
    size = f"{length:.2g}" if length < 10 else f"{length:.0f}"
    if fits:
        text = tr("the bat would be {size} m long; is the file in {unit}?", size=size, unit=tr(UNIT_WORDS[fits[0]]))
    else:
        text = tr("the bat would be {size} m long; {least} to {most} m from knob to tip can be used",
                  size=size, least=least, most=most)  # fmt: skip
    raise refuse(points.name, text)


def _check_ends(points: BatPoints) -> None:
    """Refuse knob and tip that are exchanged: the tip of a swung bat is the faster end."""
    span = np.diff(points.times)[:, None]
    knob, tip = (float(np.percentile(norm(np.diff(end, axis=0) / span), 90)) for end in (points.knob, points.tip))
    if knob > tip:
        text = tr(
            "the knob moves at up to {knob} m/s and the tip at {tip} m/s; are knob and tip exchanged?",
            knob=f"{knob:.0f}",
            tip=f"{tip:.0f}",
        )
        raise refuse(points.name, text)


def check_placed(points: BatPoints, placing: Placing, bats: str, contact: float) -> None:
    """Check the swing on the field, around contact (s on the file's clock); raises InputError naming what to look at.

    points : in the field frame
    """
    nearest = int(np.abs(points.times - contact).argmin())
    last = max(nearest, 1)
    first = min(int(np.searchsorted(points.times, points.times[last] - LOOKED_AT)), last - 1)
    axis = unit(points.tip - points.knob)
    sweet = points.knob + SWEET_SHARE * (points.tip - points.knob)
    travel = sweet[last] - sweet[first]
    turn = float(cross(axis[first], axis[last])[2])
    place = sweet[nearest]
    if text := _misplaced(points, place, travel, turn, placing, bats):
        raise refuse(points.name, text)


def _misplaced(points: BatPoints, place: Array, travel: Array, turn: float, placing: Placing, bats: str) -> str:
    """What is wrong with the place, the travel and the turn (up positive) of the bat at contact; or nothing."""
    lowest = float(min(points.knob[:, 2].min(), points.tip[:, 2].min()))
    if lowest < GROUND:
        depth = f"{-lowest:.2f}"
        text = tr("the bat would go {depth} m under the ground; which axis is up, and where is the plate?", depth=depth)
        return text + " " + tr("A mirrored axis looks like this too.")
    if place[2] > HIGH:
        height = f"{place[2]:.1f}"
        return tr(
            "the bat would be {height} m high at contact; which axis is up, and where is the plate?", height=height
        )
    away = float(np.hypot(place[0], place[1] - PLATE_FRONT_Y / 2))
    if away > NEAR_PLATE:
        return tr("the bat would be {away} m from the plate at contact; where is the plate?", away=f"{away:.1f}")
    if travel[1] <= 0:
        return tr("the bat moves toward the catcher at contact; is an axis turned about, or the time of contact wrong?")
    if turn * side_sign(bats) < 0:
        return _wrong_turn(bats, placing.mirrored)
    return ""


def _wrong_turn(bats: str, mirrored: bool) -> str:
    if bats == "right":
        text = tr(
            "the bat turns the wrong way for a right-handed hitter; is the hitter left-handed, or an axis mirrored?"
        )
    else:
        text = tr(
            "the bat turns the wrong way for a left-handed hitter; is the hitter right-handed, or an axis mirrored?"
        )
    return text + " " + tr("The axes given are mirrored (left-handed).") if mirrored else text
