"""A swing seen by two fixed cameras: marks of knob, tip and ball in both pictures to timed points in the field frame.

The two cameras have clocks of their own. Each user states the moment of contact in each film, by frame and fraction;
that links the clocks to a fraction of a frame. A bat moves by centimetres in that time, so the marks themselves then
say how far the link is off: with the right one the lines of sight of both cameras meet. All swing marks also sharpen
what the known points said of the cameras, since every pair of lines of sight must meet. So must
the bat's length be the same at all moments, whatever it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline
from scipy.optimize import least_squares

from plane3d.frames import Array, norm, unit
from plane3d.language import tr, trc
from plane3d.measured.cameras import FixedCamera, MarksError, slopes
from plane3d.measured.triangulation import left_inverse, meet, triangulate

PARTS = ("knob", "tip", "ball")
MOST_GAP = 2.5  # frames between marks that are still joined
CONTACT_SPREAD = 0.5  # frames, standard error of a stated moment of contact, own choice
RATE_SPREAD = 0.002  # relative standard error of a stated frame rate, own choice
SEARCH = 2.0  # frames either way in which the link of the clocks is looked for
POWER = 3  # of the curves between marks
MOST_ROUNDS = 100  # of fitting; good marks take 5 to 8, a mark set wrong up to 70
NARROW, ALIKE = np.radians([10.0, 2.0])  # lines of sight crossing at less tell little of depth, or nothing; own choice
ZONE = np.array([0.0, 0.4, 0.8])  # m, the middle of the strike zone of an adult, about
WILD = 6.0  # times the noise of a mark: no chance, a mistake


@dataclass(frozen=True)
class Marks:
    """Marks of one swing in the pictures of one camera.

    rate : frames a second
    contact : number of the frame at contact, with its fraction, such as 41.3
    frames : (n,) numbers of the marked frames, rising
    pixels : by "knob", "tip", "ball": (n, 2) px from the upper left corner, NaN where not marked
    """

    rate: float
    contact: float
    frames: Array
    pixels: Mapping[str, Array]

    @property
    def times(self) -> Array:
        """(n,) s from contact, by this camera's clock."""
        return (np.asarray(self.frames, dtype=float) - self.contact) / self.rate


@dataclass(frozen=True)
class Link:
    """How the second clock runs: its time is ``t (1 + rate) + offset`` at time t (s from contact) of the first.

    errors : standard errors of offset (s) and rate
    """

    offset: float = 0.0
    rate: float = 0.0
    errors: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class SeenSwing:
    """Timed points of a swing, field frame.

    time : (n,) s from contact; points : by "knob", "tip", "ball": (n, 3) m, NaN where not both cameras saw it
    errors : standard errors (n, 3) m of the points, from marks and cameras together
    off : (n,) px, root mean square distance between marks and the point as seen, over both pictures
    cameras : both, as the whole of the marks gives them
    link : how the clock of the slower view (of the second, if both are as fast) runs against that of the other, whose
        contact is the zero of the times
    warnings : sentences on what makes the points doubtful
    """

    time: Array
    points: Mapping[str, Array]
    errors: Mapping[str, Array]
    off: Mapping[str, Array]
    cameras: tuple[FixedCamera, FixedCamera]
    link: Link
    warnings: tuple[str, ...]

    @property
    def knob(self) -> Array:
        """(n, 3) m."""
        return self.points["knob"]

    @property
    def tip(self) -> Array:
        """(n, 3) m."""
        return self.points["tip"]


def both_views(cameras: tuple[FixedCamera, FixedCamera], marks: tuple[Marks, Marks]) -> SeenSwing:
    """Timed points of a swing from its marks in two views.

    The points stand at the frames of the view with the higher rate; the other's marks are joined by smooth curves,
    never across contact and never across more than `MOST_GAP` frames. Raises MarksError with one sentence.
    """
    for one in marks:
        check_marks(one)
    order = (0, 1) if marks[0].rate >= marks[1].rate else (1, 0)
    cameras = (cameras[order[0]], cameras[order[1]])
    first, second = marks[order[0]], marks[order[1]]
    parts = [part for part in PARTS if part in first.pixels and part in second.pixels]
    if not {"knob", "tip"} <= set(parts):
        raise MarksError(tr("Mark both ends of the bat, knob and tip, in both views."))
    if _crossing(cameras) < ALIKE:
        raise MarksError(tr("Both cameras look along the same line; two views from one side show no depth."))
    pairs = _Pairs(first, second, parts)
    start = _search(cameras, pairs)
    cameras, link, joint = _sharpened(cameras, pairs, start)
    points, errors, off = {}, {}, {}
    for part in parts:
        pixels = (first.pixels[part], pairs.second(part, link))
        points[part], errors[part], residuals = triangulate(cameras, pixels, joint)
        off[part] = np.sqrt(np.sum(residuals**2, axis=-1) / 2)
    warnings = _warnings(cameras, first, off, link.offset * second.rate)
    back = cast(tuple[FixedCamera, FixedCamera], tuple(cameras[k] for k in order))
    return SeenSwing(first.times, points, errors, off, back, link, warnings)


def check_marks(marks: Marks) -> None:
    """Raises MarksError for marks that no swing can have."""
    if not (np.isfinite(marks.rate) and marks.rate > 0):
        raise MarksError(tr("The frame rate must be above 0; {given} was given.", given=marks.rate))
    frames = np.asarray(marks.frames, dtype=float)
    if not (np.isfinite(frames).all() and (np.diff(frames) > 0).all()):
        raise MarksError(tr("The numbers of the marked frames must rise, each one once."))
    if not np.isfinite(marks.contact):
        raise MarksError(tr("State the frame of contact in each view; it links the two clocks."))
    for part, pixels in marks.pixels.items():
        if np.shape(pixels) != (len(frames), 2):
            told = {"part": _word(part), "given": len(pixels), "frames": len(frames)}
            raise MarksError(tr("The {part} has {given} marks for {frames} frames.", **told))


class _Pairs:
    """The second view's marks at the times of the first."""

    def __init__(self, first: Marks, second: Marks, parts: Sequence[str]):
        self.first, self.marks, self.parts = first, second, parts
        early, late = second.times < 0, second.times >= 0
        self.curves = {part: [_Curve(second, part, side) for side in (early, late)] for part in parts}
        if not any(np.isfinite(self.second(part, Link())).any() for part in parts):
            raise MarksError(tr("No moment of the swing is marked in both views."))

    def second(self, part: str, link: Link) -> Array:
        """(n, 2) px, NaN where the second view has no marks around the moment."""
        now = self.first.times
        there = now * (1.0 + link.rate) + link.offset
        early, late = self.curves[part]
        return np.where((now < 0)[:, None], early.at(there), late.at(there))

    def usable(self, link: Link, margin: float) -> dict[str, NDArray[np.bool_]]:
        """Which moments of each part are seen in both views, the link moved either way by a margin (s)."""
        moved = [replace(link, offset=link.offset + step) for step in (-margin, 0.0, margin)]
        return {
            part: np.isfinite(self.first.pixels[part]).all(axis=1)
            & np.all([np.isfinite(self.second(part, one)).all(axis=1) for one in moved], axis=0)
            for part in self.parts
        }

    def seen(self, link: Link, usable: Mapping[str, NDArray[np.bool_]]) -> Array:
        """(m, 4) px, both views' marks of all parts at the usable moments."""
        return np.concatenate(
            [np.hstack([self.first.pixels[p], self.second(p, link)])[usable[p]] for p in self.parts], axis=0
        )


class _Curve:
    """A smooth curve through the marks of one part on one side of contact."""

    def __init__(self, marks: Marks, part: str, side: NDArray[np.bool_]):
        good = side & np.isfinite(marks.pixels[part]).all(axis=1)
        self.times, self.most = marks.times[good], MOST_GAP / marks.rate
        power = min(POWER, len(self.times) - 1)
        power -= power == 2  # two-sided curves need an odd power
        self.curve = make_interp_spline(self.times, marks.pixels[part][good], k=power) if power > 0 else None

    def at(self, t: Array) -> Array:
        """(n, 2) px at times (n,) s; NaN outside the marks and in gaps."""
        if self.curve is None:
            return np.full((len(t), 2), np.nan)
        after = np.clip(np.searchsorted(self.times, t), 1, len(self.times) - 1)
        within = (t >= self.times[0]) & (t <= self.times[-1])
        within &= self.times[after] - self.times[after - 1] <= self.most
        return np.where(within[:, None], self.curve(t), np.nan)


def _search(cameras: Sequence[FixedCamera], pairs: _Pairs) -> Link:
    """The link at which lines of sight meet best, to a tenth of a frame."""
    values = np.concatenate([camera.values for camera in cameras])
    tried = [Link(step / pairs.marks.rate) for step in np.arange(-SEARCH, SEARCH + 0.05, 0.1)]

    def badness(link: Link) -> float:
        seen = pairs.seen(link, pairs.usable(link, 0.0))
        if not len(seen):
            return np.inf
        away = link.offset * pairs.marks.rate / CONTACT_SPREAD
        residuals = meet(values, [camera.size for camera in cameras], seen)[1]
        return float(np.median(np.nansum(residuals**2, axis=1))) * (1.0 + 0.01 * away**2)

    return min(tried, key=badness)


def _sharpened(
    cameras: tuple[FixedCamera, FixedCamera], pairs: _Pairs, start: Link
) -> tuple[tuple[FixedCamera, FixedCamera], Link, Array]:
    """Cameras and link that fit known points and swing together, and the joint covariance of the cameras."""
    sizes = [camera.size for camera in cameras]
    prior = np.concatenate([camera.values for camera in cameras])
    roots = [np.linalg.inv(np.linalg.cholesky(camera.covariance)) for camera in cameras]
    noise = np.repeat([camera.noise for camera in cameras], 2)
    usable = pairs.usable(start, 0.3 / pairs.marks.rate)
    scale = np.array([CONTACT_SPREAD / pairs.marks.rate, RATE_SPREAD])
    bat = _bat_rows(pairs.parts, usable)

    def misfit(unknown: Array) -> Array:
        moved = unknown[:16] - prior
        link = Link(*(unknown[16:18] * scale))
        points, residuals, slope = meet(unknown[:16], sizes, pairs.seen(link, usable))
        stiff = _length_misfit(points, slope, noise, bat, unknown[18:])
        return np.concatenate(
            [
                roots[0] @ moved[:8],
                roots[1] @ moved[8:],
                unknown[16:18],
                np.nan_to_num(residuals / noise, nan=1e3).ravel(),
                stiff,
            ]
        )

    begin = np.append(prior, [start.offset / scale[0], start.rate])
    if len(bat[0]):
        points = meet(prior, sizes, pairs.seen(start, usable))[0]
        begin = np.append(begin, np.median(norm(points[bat[0]] - points[bat[1]])))
    fit = least_squares(misfit, begin, x_scale="jac", loss="soft_l1", max_nfev=MOST_ROUNDS)
    slope = slopes(misfit, fit.x)
    # Each pair of lines of sight has one number to spare, and so has each length but for the one that is found.
    spare = sum(int(one.sum()) for one in usable.values()) + max(len(bat[0]) - 1, 0)
    excess = max(1.0, float(np.sum(misfit(fit.x) ** 2)) / max(spare, 1))
    covariance = excess * np.linalg.inv(slope.T @ slope)
    (offset, rate), (offset_error, rate_error) = fit.x[16:18] * scale, np.sqrt(np.diag(covariance)[16:18]) * scale
    link = Link(float(offset), float(rate), (float(offset_error), float(rate_error)))
    sharper = tuple(
        replace(camera, values=fit.x[part], covariance=covariance[part, part], noise=camera.noise * np.sqrt(excess))
        for camera, part in zip(cameras, (slice(0, 8), slice(8, 16)), strict=True)
    )
    return cast(tuple[FixedCamera, FixedCamera], sharper), link, covariance[:16, :16]


def _bat_rows(parts: Sequence[str], usable: Mapping[str, NDArray[np.bool_]]) -> tuple[Array, Array]:
    """Rows of knob and tip, among the usable points of all parts, at the moments that have both."""
    starts = dict(zip(parts, np.cumsum([0, *(usable[p].sum() for p in parts)]), strict=False))
    both = usable["knob"] & usable["tip"]
    rows = [starts[part] + np.cumsum(usable[part])[both] - 1 for part in ("knob", "tip")]
    return rows[0], rows[1]


def _length_misfit(points: Array, slope: Array, noise: Array, bat: tuple[Array, Array], length: Array) -> Array:
    """How far the bat's length (1,) m is from the one seen at each moment, in standard errors."""
    if not len(length):
        return np.zeros(0)
    knob, tip = bat
    seen = points[tip] - points[knob]
    way = unit(seen)
    spread = np.zeros(len(knob))
    for row in bat:
        spread += np.sum(np.square(np.einsum("ni,nik->nk", way, left_inverse(slope[row])) * noise), axis=1)
    return np.nan_to_num((norm(seen) - length[0]) / np.sqrt(spread), nan=1e3)


def _crossing(cameras: Sequence[FixedCamera]) -> float:
    """Angle, rad, at which the cameras' lines of sight to the strike zone cross; at most a right angle."""
    ways = [ZONE - camera.place for camera in cameras]
    return float(np.arccos(np.clip(abs(unit(ways[0]) @ unit(ways[1])), 0.0, 1.0)))


def _warnings(cameras: Sequence[FixedCamera], first: Marks, off: Mapping[str, Array], lag: float) -> tuple[str, ...]:
    """What makes the points doubtful. lag : frames by which the second view's contact was stated wrong, by the marks"""
    told = []
    crossing = _crossing(cameras)
    if crossing < NARROW:
        narrow = tr(
            "The cameras look almost the same way ({angle}° apart): depth is poorly known; place one of them nearer to "
            "a right angle.",
            angle=f"{np.degrees(crossing):.0f}",
        )
        told.append(narrow)
    if abs(lag) > 1.0:
        apart = tr(
            "The stated moments of contact do not go together: by the marks, that of the slower view is off by "
            "{frames} frames.",
            frames=f"{lag:.1f}",
        )
        told.append(apart)
    for part, distance in off.items():
        if np.nanmax(distance, initial=0.0) > WILD * max(camera.noise for camera in cameras):
            worst = int(np.nanargmax(distance))
            told.append(_wild(part, float(first.frames[worst]), float(distance[worst])))
    return tuple(told)


def _wild(part: str, frame: float, off: float) -> str:
    return tr(
        "The marks of the {part} around frame {frame} miss each other by {off} px; look at them again in both views.",
        part=_word(part), frame=f"{frame:g}", off=f"{off:.0f}",
    )  # fmt: skip


def _word(part: str) -> str:
    return {"knob": tr("knob"), "tip": trc("bat", "tip"), "ball": tr("ball")}[part]
