"""The timing strip as plain data: what each timing gives, in words, colours and paths, for the page to draw."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plane3d import units
from plane3d.frames import Array
from plane3d.language import mark, tr, trc
from plane3d.physics.flight import fly, launch
from plane3d.play import Play
from plane3d.plays import Plays, medium_of
from plane3d.report import MISSES, NAMES, capital, show, timing_words, toward, window_words
from plane3d.scene.describe import HIT_SHOWN
from plane3d.scene.parts import Floats
from plane3d.scene.shapes import floats
from plane3d.studies.contact_map import STRIP, solid, strip, timing_range

PATH_POINTS = 13
PATH_STEPS = 5  # of the integration; 0.1 s each at most, as everywhere


@dataclass(frozen=True)
class Look:
    """How an outcome looks, so that colour is never alone: ``texture`` is plain, dots, level, falling or rising."""

    word: str  # short, for a stretch of the strip
    name: str  # full, for the legend
    letter: str
    color: str
    texture: str = "plain"


# Fair balls go from light to dark as they leave more steeply; fouls are one colour in four textures, a miss is bare.
FOUL = "#DDB3CB"
LOOKS = {
    "miss": Look(mark("miss"), mark("miss"), "M", "#E4E8EC", "dots"),
    "foul-tip": Look(mark("tip"), mark("foul tip"), "T", FOUL, "dots"),
    "foul-back": Look(mark("back"), mark("foul back"), "B", FOUL, "level"),
    "foul-pull": Look(mark("foul pull"), mark("foul to the pull side"), "P", FOUL, "falling"),
    "foul-opposite": Look(mark("foul opposite"), mark("foul to the opposite side"), "O", FOUL, "rising"),
    "ground-ball": Look(mark("ground"), mark("ground ball"), "G", "#A9D5EF"),
    "line-drive": Look(mark("line"), mark("line drive"), "L", "#4C9FD0"),
    "fly-ball": Look(mark("fly"), mark("fly ball"), "F", "#1C6399"),
    "pop-up": Look(mark("pop"), mark("pop-up"), "U", "#12304D"),
}


def look(kind: str) -> Look:
    """How an outcome looks, its words and its letter in the language in use."""
    letters = {
        "miss": trc("letter", "M"), "foul-tip": trc("letter", "T"), "foul-back": trc("letter", "B"),
        "foul-pull": trc("letter", "P"), "foul-opposite": trc("letter", "O"), "ground-ball": trc("letter", "G"),
        "line-drive": trc("letter", "L"), "fly-ball": trc("letter", "F"), "pop-up": trc("letter", "U"),
    }  # fmt: skip
    named = LOOKS[kind]
    return replace(named, word=tr(named.word), name=tr(named.name), letter=letters[kind])


@dataclass(frozen=True)
class Range:
    """An unbroken range of timings that still give a result: s, late positive; and the range in words."""

    name: str
    first: float
    last: float
    words: str


@dataclass(frozen=True)
class TimingStrip:
    """The strip of one play. Arrays and tuples have one entry for each of n timings.

    timings : (n,) s, late positive; kinds : outcomes of DESIGN 4
    exit_speeds : (n,) m/s, NaN for a miss
    sentences : each timing in one line
    paths : (n, PATH_POINTS, 3) m, the ball from the first touch on; NaN for a miss
    ranges : fair and solid, where there are any; timing : s, the one asked for
    """

    timings: Floats
    kinds: tuple[str, ...]
    exit_speeds: Floats
    sentences: tuple[str, ...]
    paths: Floats
    ranges: tuple[Range, ...]
    timing: float
    metric: bool = False


def describe_strip(play: Play, timed: Plays | None = None, metric: bool = False) -> TimingStrip:
    """The strip of a play.

    Parameters
    ----------
    timed : the play again at each timing of `STRIP`, such as `report.MapReading.timed`; computed if not given
    metric : whether the sentences are in km/h and m
    """
    timed = strip(play.plays) if timed is None else timed
    found = {"fair": timing_range(STRIP, timed.fair), "solid": timing_range(STRIP, solid(timed))}
    return TimingStrip(
        timings=floats(STRIP),
        kinds=tuple(str(kind) for kind in timed.kind),
        exit_speeds=floats(np.where(timed.meeting.touch, timed.exit_speed, np.nan)),
        sentences=tuple(_sentence(timed, i, metric) for i in range(len(timed))),
        paths=_paths(timed),
        ranges=tuple(Range(name, *ends, window_words(*ends)) for name, ends in found.items() if ends is not None),
        timing=float(play.inputs.swing.timing),
        metric=metric,
    )


def _sentence(timed: Plays, i: int, metric: bool) -> str:
    """One timing in one line: "12 ms late: foul ball to the opposite side, 84 mph"."""
    kind = str(timed.kind[i])
    when, words = capital(timing_words(float(STRIP[i]))), tr(NAMES[kind])
    if kind == "miss":
        return f"{when}: {words}; {tr(MISSES[str(timed.miss[i])])}"
    if timed.fair[i]:
        words = toward(words, float(timed.goes[i]) / units.DEGREE, timed.inputs.bats)
    parts = [words, show("_mph", float(timed.exit_speed[i]) / units.MPH, metric)]
    if kind in ("line-drive", "fly-ball"):
        parts.append(show("_ft", float(np.hypot(*timed.batted.x[i, :2])) / units.FOOT, metric))
    if timed.batted.over_fence[i]:
        parts.append(tr("over the fence"))
    return f"{when}: {', '.join(parts)}"


def _paths(timed: Plays) -> Floats:
    """The first of each hit, (n, PATH_POINTS, 3), evenly in time; NaN for a miss."""
    paths: Array = np.full((len(timed), PATH_POINTS, 3), np.nan)
    hit = np.flatnonzero(timed.meeting.touch)
    if len(hit):
        medium = medium_of(timed.inputs.setting)
        first = launch(timed.meeting.ball[hit], timed.blow.velocity[hit], timed.blow.spin[hit], medium)
        duration = np.minimum(HIT_SHOWN, timed.batted.hang_time[hit])
        flight = fly(first, duration, PATH_STEPS, medium)
        paths[hit] = flight.at(duration[:, None] * np.linspace(0.0, 1.0, PATH_POINTS))
    return floats(paths)
