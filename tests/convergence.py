"""How far the answers depend on steps, searches and meshes: `python -m tests.convergence` writes docs/convergence.md.

Each figure is held against the same computation done much finer, over many random plays of all kinds. The order is
the slope of a straight line through the logarithms of step and median error, while the error is above the noise.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from unittest.mock import patch

import numpy as np

from plane3d.constants import BASEBALL_RADIUS, PLATE_FRONT_Y
from plane3d.inputs import Inputs
from plane3d.physics import meeting, pitch
from plane3d.physics.flight import STEP, Knot, fly, fly_until, launch
from plane3d.plays import Plays, play_many
from plane3d.scene.shapes import Shape, revolved, sphere
from plane3d.studies.contact_map import MOMENTS, contact_map, dip, window
from tests.cases import MILD_AIR, inputs, medium, random_asks

PAGE = Path(__file__).parents[1] / "docs" / "convergence.md"
PLAYS, MANY = 400, 4000
NOISE = 1e-12  # errors below, in SI, are those of the machine's numbers
WELL_ON = 0.13  # m from the sweet spot, within the reach from which the dip is told
COARSE_WAY = (
    0.45 + 0.20
)  # of a swing's duration, the stretch of the contact map; 13 equal parts have contact on an edge


@dataclass(frozen=True)
class Row:
    """One setting and the errors (k,) that it makes, in SI."""

    step: float
    setting: str
    errors: np.ndarray

    @property
    def median(self) -> float:
        return float(np.median(self.errors))

    @property
    def worst(self) -> float:
        return float(np.max(self.errors))


@dataclass(frozen=True)
class Study:
    """One answer against one setting, coarse to fine.

    used : the setting that plane3d uses; limit : how far off the answer may be there, in SI
    unit, factor : how errors are shown; due : the order to expect
    """

    title: str
    unit: str
    factor: float
    rows: tuple[Row, ...]
    used: str
    limit: float
    due: str = ""

    def order(self, of: str) -> float:
        """Observed order of the "median" or the "worst" error, fitted over rows above the noise; NaN where too few."""
        good = [(row.step, getattr(row, of)) for row in self.rows if getattr(row, of) > NOISE]
        return float(np.polyfit(*np.log(good).T, 1)[0]) if len(good) > 1 else float("nan")

    @property
    def at_use(self) -> Row:
        return next(row for row in self.rows if row.setting == self.used)


def asked(n: int, seed: int = 8) -> Inputs:
    """Random plays of all kinds, n at once."""
    return inputs(**random_asks(np.random.default_rng(seed), n))


def studied(
    title: str, unit: str, factor: float, settings: Sequence[tuple[float, str]], used: str, limit: float,
    work: Callable[[float], np.ndarray], finest: float, due: str = "",
) -> Study:  # fmt: skip
    """A study of ``work``, which gives answers (n,) for a step; NaN answers are left out."""
    truth = work(finest)
    rows = []
    for step, name in settings:
        errors = np.abs(work(step) - truth)
        rows.append(Row(step, name, errors[~np.isnan(errors)]))
    return Study(title, unit, factor, tuple(rows), used, limit, due)


# --- the pitch -------------------------------------------------------------------------------------------------------

STEPS = [(1 / k, f"{k} steps") for k in (2, 4, 8, 16, 32)]


SPUN = "4; 2 from the spin, whose decay is told in straight lines between steps"


def pitch_height(n: int) -> Study:
    """Height at the plate's front edge of pitches let go alike and flown in more or fewer steps."""
    flown = play_many(asked(n)).pitch
    first = launch(flown.x[0], flown.v[0], flown.w[0], medium(MILD_AIR))
    duration = flown.step * (len(flown.x) - 1)

    def work(step: float) -> np.ndarray:
        flight = fly(first, duration, round(1 / step), medium(MILD_AIR))
        t = pitch.time_at_y(flight, np.full(n, PLATE_FRONT_Y))
        return flight.at(t)[:, 0, 2]

    return studied("Pitch height at the plate", "mm", 1e3, STEPS, f"{pitch.STEPS} steps", 0.1e-3, work, 1 / 256,
                   "4")  # fmt: skip


def with_settings(case: Inputs, **values: float) -> Plays:
    """Plays with other numerical settings: of pitch, STEPS; of the meeting, COARSE and TIME_TOLERANCE."""
    with ExitStack() as stack:
        for name, value in values.items():
            stack.enter_context(patch.object(pitch if name == "STEPS" else meeting, name, value))
        return play_many(case)


def after_pitch(n: int) -> list[Study]:
    """Touch time, launch angle and exit speed of whole plays whose pitch is flown in more or fewer steps."""
    case = asked(n)
    found = {1 / k: with_settings(case, STEPS=k) for k in (2, 4, 8, 16, 32, 128)}
    used = f"{pitch.STEPS} steps"

    def of(answer: Callable[[Plays], np.ndarray]) -> Callable[[float], np.ndarray]:
        return lambda step: np.where(found[step].meeting.touch, answer(found[step]), np.nan)

    return [
        studied("Touch time, by steps of the pitch", "µs", 1e6, STEPS, used, 1e-6, of(lambda p: p.meeting.time),
                1 / 128, "4"),
        studied("Launch angle, by steps of the pitch", "°", 180 / np.pi, STEPS, used, 2e-5,
                of(lambda p: p.launch_angle), 1 / 128, SPUN),
        studied("Exit speed, by steps of the pitch", "mm/s", 1e3, STEPS, used, 1e-3, of(lambda p: p.exit_speed),
                1 / 128, SPUN),
    ]  # fmt: skip


# --- the batted ball -------------------------------------------------------------------------------------------------


def carry(n: int) -> Study:
    """Carry of batted balls by the step of their flight."""
    plays = play_many(asked(n))
    hit = np.flatnonzero(plays.meeting.touch & (plays.blow.velocity[:, 2] > 0))
    air = medium(MILD_AIR)
    first = launch(plays.meeting.ball[hit], plays.blow.velocity[hit], plays.blow.spin[hit], air)

    def work(step: float) -> np.ndarray:
        return landed(first, step)

    settings = [(h, f"{h:g} s") for h in (0.4, 0.2, 0.1, 0.05, 0.025)]
    return studied("Carry, by step of the flight", "mm", 1e3, settings, f"{STEP:g} s", 30e-3, work, 0.1 / 32,
                   "up to 4; less where a ball crosses a bend of the drag or lift law within a step")  # fmt: skip


def landed(first: Knot, step: float) -> np.ndarray:
    """Carry (n,) m of balls flown in steps of so many seconds."""
    air = medium(MILD_AIR)
    x = fly_until(first, air, lambda x, v: x[:, 2] - air.radius, step=step)[0].x
    return np.hypot(x[:, 0], x[:, 1])


# --- the touch -------------------------------------------------------------------------------------------------------


def touch_search(n: int) -> Study:
    """Touch time by the number of samples of the scan; the touch itself is refined after it."""
    case = asked(n)
    found = {1 / k: with_settings(case, COARSE=k) for k in (10, 20, 40, 80, 160, 640)}

    def work(step: float) -> np.ndarray:
        same = found[step].meeting.touch & found[1 / 640].meeting.touch
        return np.where(same, found[step].meeting.time, np.nan)

    settings = [(1 / k, f"{k} samples") for k in (10, 20, 40, 80, 160)]
    return studied("Touch time, by samples of the scan", "µs", 1e6, settings, f"{meeting.COARSE} samples", 1e-6, work,
                   1 / 640, "none: it only has to bracket the touch")  # fmt: skip


def touches_lost(n: int) -> dict[int, int]:
    """Of n random plays, by samples of the scan, how many are a touch for it and a miss for the finest, or reverse."""
    case = asked(n)
    truth = with_settings(case, COARSE=640).meeting.touch
    return {k: int(np.sum(with_settings(case, COARSE=k).meeting.touch != truth)) for k in (10, 20, 40, 80, 160)}


def touch_tolerance(n: int) -> list[Study]:
    """Touch time and launch angle by the tolerance to which the instant is refined."""
    case = asked(n)
    tolerances = (1e-4, 1e-5, 1e-6, 1e-7, 1e-9)
    found = {t: with_settings(case, TIME_TOLERANCE=t) for t in (*tolerances, 1e-13)}
    settings = [(t, f"{t:.0e} s") for t in tolerances]
    used = f"{meeting.TIME_TOLERANCE:.0e} s"

    def of(answer: Callable[[Plays], np.ndarray]) -> Callable[[float], np.ndarray]:
        return lambda step: np.where(found[step].meeting.touch, answer(found[step]), np.nan)

    due = "at least 1; the last round lands far inside its tolerance"
    return [
        studied("Touch time, by tolerance of the search", "µs", 1e6, settings, used, 2e-9,
                of(lambda p: p.meeting.time), 1e-13, due),
        studied("Launch angle, by tolerance of the search", "°", 180 / np.pi, settings, used, 1e-6,
                of(lambda p: p.launch_angle), 1e-13, due),
    ]  # fmt: skip


# --- contact map and meshes ------------------------------------------------------------------------------------------


def map_resolution(n: int) -> list[Study]:
    """Contact window and dip by moments of the map, where there is a window and the hit is near the sweet spot."""
    case = asked(n)
    along = np.clip(case.swing.along_barrel, -WELL_ON, WELL_ON)
    plays = play_many(replace(case, swing=replace(case.swing, timing=0.0, along_barrel=along)))
    parts = (2, 4, 7, 14, 28)
    found = {13 * k + 1: contact_map(plays, 13 * k + 1) for k in (*parts, 224)}

    def step(moments: int) -> float:
        return COARSE_WAY / (moments - 1)

    settings = [(step(m), f"{m} moments") for m in list(found)[:-1]]
    by_step = {step(m): cmap for m, cmap in found.items()}
    finest, used = step(13 * 224 + 1), f"{MOMENTS} moments"
    there = window(by_step[finest]).length > 0
    return [
        studied("Contact window's length, by moments of the map", "mm", 1e3, settings, used, 10e-3,
                lambda h: np.where(there, window(by_step[h]).length, np.nan), finest,
                "2: straight lines between moments; 1 at a sharp end"),
        studied("Dip, by moments of the map", "mm", 1e3, settings, used, 1e-3,
                lambda h: dip(by_step[h]), finest, "2"),
    ]  # fmt: skip


def volume(shape: Shape) -> float:
    """m3 within a closed mesh."""
    points, triangles = shape
    a, b, c = (points[triangles[:, i]] for i in range(3))
    return float(np.einsum("ni,ni->n", a, np.cross(b, c)).sum() / 6)


def meshes() -> list[Study]:
    """Volume of the drawn bat and ball against that of the bodies they stand for, as a share."""
    bat = inputs().bat
    z, r = bat.station, bat.radius
    solid = float(np.sum(np.pi / 3 * np.diff(z) * (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2)))
    ball = 4 / 3 * np.pi * BASEBALL_RADIUS**3

    def share(value: float, true: float) -> np.ndarray:
        return np.array([value / true])

    settings = [(1 / k, f"{k} sides") for k in (8, 16, 32, 64, 128)]
    rows = [(1 / k, f"{3 * k // 4} rows of {k} sides") for k in (8, 16, 24, 48, 96)]
    return [
        studied("Volume of the drawn bat, by sides", "%", 100, settings, "32 sides", 0.01,
                lambda h: share(volume(revolved(z, r, round(1 / h))) if h else solid, solid), 0.0, "2"),
        studied("Volume of the drawn ball, by rows and sides", "%", 100, rows, "18 rows of 24 sides", 0.03,
                lambda h: share(volume(sphere(BASEBALL_RADIUS, round(0.75 / h), round(1 / h))) if h else ball, ball),
                0.0, "2"),
    ]  # fmt: skip


# --- the page --------------------------------------------------------------------------------------------------------


def all_studies(n: int) -> list[Study]:
    """Every study over n random plays."""
    return [
        pitch_height(n), *after_pitch(n), carry(n), touch_search(n), *touch_tolerance(n), *map_resolution(n), *meshes(),
    ]  # fmt: skip


INTRODUCTION = """# Convergence: what the computer's steps cost

Written by `python -m tests.convergence`; every figure is computed. {n} random plays of all kinds (baseball pitches of
55 to 98 mph, bat speeds of 55 to 78 mph, good hits, weak ones and misses), each held against the same computation done
much finer. "Order" is fitted, to the median and to the worst error: 4 means that half the step makes a sixteenth of
the error. What is in use stands in bold.

These are errors of the arithmetic alone, next to those of the model they are nothing: what the model's coefficients
leave open is told by `plane3d solve --sure` ([how sure, and what matters](sensitivity.md)).

| answer | in use | median error | worst error | bound | observed order | expected order |
|---|---|---|---|---|---|---|
"""


def figure(value: float) -> str:
    return "0" if value == 0 else f"{value:.2g}" if 1e-3 <= value < 1e4 else f"{value:.0e}"


def page(studies: Sequence[Study], lost: dict[int, int], n: int, many: int) -> str:
    """The document."""
    lines = [INTRODUCTION.format(n=n).rstrip("\n")]
    for s in studies:
        found = [np.nan if s.due.startswith("none") else s.order(of) for of in ("median", "worst")]
        orders = ("-" if np.isnan(order) else f"{order:.1f}" for order in found)
        row, limit = s.at_use, f"{figure(s.limit * s.factor)} {s.unit}"
        errors = (f"{figure(value * s.factor)} {s.unit}" for value in (row.median, row.worst))
        lines.append(f"| {s.title} | {s.used} | {' | '.join(errors)} | {limit} | {', '.join(orders)} | {s.due} |")
    for s in studies:
        lines += ["", f"## {s.title}", "", f"| | median error, {s.unit} | worst error, {s.unit} |", "|---|---|---|"]
        for row in s.rows:
            name = f"**{row.setting}**" if row.setting == s.used else row.setting
            lines.append(f"| {name} | {figure(row.median * s.factor)} | {figure(row.worst * s.factor)} |")
    lines += ["", "## Touches found and lost, by samples of the scan", "",
              "Plays that are a touch at one number of samples and a miss at 640.", "",
              f"| samples | of {many} plays |", "|---|---|"]  # fmt: skip
    lines += [f"| {f'**{k}**' if k == meeting.COARSE else k} | {count} |" for k, count in lost.items()]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(all_studies(PLAYS), touches_lost(MANY), PLAYS, MANY), encoding="utf-8")
    print(f"wrote {PAGE}")
