"""What a hitter loses, taken apart: the spread replayed with one thing mended at a time.

A constant miss is put right; a scatter is halved, since a constant miss can be aimed away but a wandering one only
narrowed. Every replay has the same draws, so that differences are those of the swing.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass, fields, replace

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.frames import Array, elevation
from plane3d.inputs import Inputs, SwingAsk
from plane3d.levels import COMMON
from plane3d.physics.swing import square_direction
from plane3d.plays import play_many
from plane3d.quantities import SI, quantity
from plane3d.studies.contact_map import SOLID_SHARE
from plane3d.studies.pieces import SIZE, pieces
from plane3d.studies.remedy import Goal
from plane3d.studies.spread import BEST_HEIGHTS, Progress, Scatter, Spread, best_ball, scattered, spread
from plane3d.units import DEGREE, INCH, MILLISECOND

SMALLEST = 0.02  # share of solid contact that is worth working on, own choice
SURE = 2.0  # and it must be this many standard errors
HALVED = 0.5  # of a scatter that practice may take away, own choice

# Constant misses: the number of the swing, how small a miss is none (SI), the causes for a miss up and for one down.
CONSTANT: dict[str, tuple[str, float, str, str]] = {
    "timing": ("swing.timing_ms", 0.5 * MILLISECOND, "timing-late", "timing-early"),
    "below_line": ("swing.below_line_in", 0.1 * INCH, "barrel-low", "barrel-high"),
    "along_barrel": ("swing.along_barrel_in", 0.25 * INCH, "off-the-end", "jammed"),
    "attack_angle": ("swing.attack_angle_deg", 1.0 * DEGREE, "too-steep", "too-flat"),
    "bat_direction": ("swing.bat_direction_deg", 1.0 * DEGREE, "barrel-ahead", "barrel-behind"),
    "hinge": ("swing.hinge_deg", 2.0 * DEGREE, "cast", ""),
    "release": ("swing.release_ms", 2.0 * MILLISECOND, "cast", ""),
}
# What some of them should be, SI; the others depend on the pitch and on each other.
PROPER = {
    "timing": 0.0,
    "along_barrel": 0.0,
    "hinge": COMMON["swing.hinge_deg"] * DEGREE,
    "release": COMMON["swing.release_ms"] * MILLISECOND,
}
# Scatters: the quantity in which each is shown, and the cause. Measured: halving that of the depth wins nothing, that
# of the bat speed 1 to 4 of 100, and common practice has no drill for it.
WANDERING = {
    "timing": ("swing.timing_ms", "timing-varies"),
    "height": ("swing.below_line_in", "height-varies"),
    "along": ("swing.along_barrel_in", "place-varies"),
}


@dataclass(frozen=True)
class Finding:
    """One cause, with what it costs.

    cause : one of `CAUSES`; key : the quantity it is about; now, toward : its value and where to take it, coach units
        (of a held swing, against this pitch and not the one it was made for)
    wanders : "" for a constant miss; for a scatter, its name, and now and toward are standard deviations
    alone : share of solid contact won by mending this alone; error : its standard error
    within : the same with every other constant miss already mended
    """

    cause: str
    key: str
    now: float
    toward: float
    alone: float
    within: float
    error: float
    wanders: str = ""

    @property
    def gain(self) -> float:
        """What it is ranked by: the mean of what it wins first and what it wins last."""
        return (self.alone + self.within) / 2

    @property
    def counts(self) -> bool:
        """Whether it is worth working on, and sure enough."""
        return self.gain >= max(SMALLEST, SURE * self.error)


Job = tuple[frozenset[str], str]  # what is mended, and which scatter is halved


class Replays:
    """The hitter's spread as it is and with things mended, all on the same draws.

    A held swing may be off time and off the line because the pitch is another one than it was made for.
    """

    def __init__(self, inputs: Inputs, scatter: Scatter, wanted: Goal, n: int, seed: int):
        self._inputs, self._scatter, self._wanted, self._n, self._seed = inputs, scatter, wanted, n, seed
        self._best = best_ball(inputs)
        self._matched = _matched_attack(inputs)
        self._proper, self._shift = PROPER | {"timing": _on_time(inputs)}, 0.0
        if inputs.held is not None:
            self._shift = _lower_than_asked(inputs, self._proper["timing"])
        self._aims = {a: self._aim(a) for a in {float(inputs.swing.attack_angle), self._matched}}
        self._misses = {name for name in CONSTANT if self._missed_by(name)}
        self._wanders = [name for name in WANDERING if getattr(scatter, name) > 0]
        self._solid: dict[Job, Array] = {}
        self.now: Spread

    def run(self, progress: Progress | None) -> bool:
        """Replay everything there is to compare; False where it was stopped. Raises UnreachableError."""
        now = spread(self._inputs, self._scatter, self._n, self._seed)
        tries = [(job, swing) for job in dict.fromkeys(self._jobs()) for swing in self._ways(job[0])]
        solid = self._play(tries, progress)
        if now is None or solid is None:
            return False
        self.now = now
        for (job, _), row in zip(tries, solid, strict=True):
            self._solid[job] = max(self._solid.get(job, row), row, key=np.sum)
        return True

    def _play(self, tries: list[tuple[Job, SwingAsk]], progress: Progress | None) -> Array | None:
        """(len(tries), n) bool, which swings are solid, all in one go; a swing that cannot be made is not."""
        count = len(tries) * self._n
        deviations = {
            name: np.concatenate([d * (HALVED if name == halved else 1.0) for (_, halved), _ in tries])
            for name, d in self._scatter.draws(self._n, self._seed).items()
        }
        values = {f.name: np.repeat([getattr(swing, f.name) for _, swing in tries], self._n) for f in fields(SwingAsk)}
        many = scattered(replace(self._inputs, swing=SwingAsk(**values)), deviations)
        solid = np.zeros(count, dtype=bool)
        for done, (places, plays) in enumerate(pieces(many, count), start=1):
            if plays is not None:
                solid[places] = plays.fair & (plays.exit_speed >= SOLID_SHARE * self._best)
            if progress and not progress(min(done * SIZE, count) / count):
                return None
        return solid.reshape(len(tries), self._n)

    def _jobs(self) -> Iterator[Job]:
        """What is mended, and which scatter is halved, in each replay that `findings` needs."""
        nothing, everything = frozenset[str](), frozenset(self._misses)
        yield nothing, ""
        for mended in (nothing, everything):
            yield mended, ""
            yield from ((mended ^ {name}, "") for name in sorted(self._misses))
            yield from ((mended, name) for name in self._wanders)

    def findings(self) -> Iterator[Finding]:
        """Every cause there is, whether it counts or not."""
        nothing, everything = frozenset[str](), frozenset(self._misses)
        base, ideal = self._solid[nothing, ""], self._solid[everything, ""]
        for name in sorted(self._misses):
            key, _, _, _ = CONSTANT[name]
            one = frozenset({name})
            seen = {"timing": -self._proper["timing"], "below_line": self._shift}.get(name, 0.0)
            now, toward = (float(getattr(swing, name)) + seen for swing in (self._inputs.swing, self._ways(one)[0]))
            gains = _gains(self._solid[one, ""], base), _gains(ideal, self._solid[everything - one, ""])
            yield _finding(self._cause(name), key, now, toward, *gains)
        for name in self._wanders:
            key, cause = WANDERING[name]
            now = float(getattr(self._scatter, name))
            gains = _gains(self._solid[nothing, name], base), _gains(self._solid[everything, name], ideal)
            yield replace(_finding(cause, key, now, HALVED * now, *gains), wanders=name)

    def findings_that_count(self) -> list[Finding]:
        """The causes worth working on, most costly first, each once."""
        found: dict[str, Finding] = {}
        for finding in sorted(self.findings(), key=lambda f: -f.gain):
            if finding.counts:
                found.setdefault(finding.cause, finding)
        return list(found.values())

    def for_the_ball(self) -> list[Finding]:
        """The same, led by a constant miss whose mending makes the scenario's own ball the wanted one, if one does."""
        able = {self._cause(name) for name in self._misses if any(map(self._mends_the_ball, self._ways({name})))}
        leading = max((f for f in self.findings() if f.cause in able), key=lambda f: f.gain, default=None)
        others = [f for f in self.findings_that_count() if leading is None or f.cause != leading.cause]
        return others if leading is None else [leading, *others]

    def _mends_the_ball(self, swing: SwingAsk) -> bool:
        try:
            return bool(self._wanted.met(play_many(replace(self._inputs, swing=swing)))[0])
        except UnreachableError:
            return False

    def _cause(self, name: str) -> str:
        _, _, up, down = CONSTANT[name]
        return up if self._missed_by(name) > 0 else down

    def _missed_by(self, name: str) -> float:
        """How far a number of the swing is from where it should be, SI; 0 where that is no miss."""
        _, least, up, down = CONSTANT[name]
        swing = self._inputs.swing
        should = self._proper | {
            "attack_angle": self._matched,
            "bat_direction": _square(swing, float(swing.attack_angle)),
            "below_line": self._aims[float(swing.attack_angle)],
        }
        off = float(getattr(swing, name)) - should[name]
        return off if abs(off) >= least and (up if off > 0 else down) else 0.0

    def _ways(self, mended: Set[str]) -> list[SwingAsk]:
        """The swing with some misses mended. A mended climb may keep the height of the barrel or its miss in height."""
        was = self._inputs.swing
        changes = {name: value for name, value in self._proper.items() if name in mended}
        climb, low = float(was.attack_angle), float(was.below_line)
        new = self._matched if "attack_angle" in mended else climb
        turned = 0.0 if "bat_direction" in mended else float(was.bat_direction) - _square(was, climb)
        changes |= {"attack_angle": new, "bat_direction": _square(was, new) + turned}
        if "below_line" in mended:
            heights = [self._aims[new]]
        else:
            heights = list(dict.fromkeys((low, low + self._aims[new] - self._aims[climb])))
        return [replace(was, **changes, below_line=height) for height in heights]

    def _aim(self, climb: float) -> float:
        """Where the barrel should be (m below the line) with this climb: amid the heights that give the wanted ball.

        Where none is both wanted and solid, amid the solid ones; where none is solid, where it is now.
        """
        was = self._inputs.swing
        heights = BEST_HEIGHTS - self._shift
        swing = replace(
            was,
            attack_angle=climb,
            bat_direction=_square(was, climb),
            timing=self._proper["timing"],
            along_barrel=0.0,
            below_line=heights,
        )
        try:
            plays = play_many(replace(self._inputs, swing=swing))
        except UnreachableError:
            return float(was.below_line)
        solid = plays.fair & (plays.exit_speed >= SOLID_SHARE * self._best)
        for good in (solid & self._wanted.met(plays), solid):
            if good.any():
                return float(np.median(heights[good]))
        return float(was.below_line)


def _finding(cause: str, key: str, now: float, toward: float, alone: Array, within: Array) -> Finding:
    """A finding from what each play gains (n,); now and toward in SI."""
    unit = SI[quantity(key).unit]
    error = max(float(gains.std()) for gains in (alone, within)) / np.sqrt(len(alone))
    return Finding(cause, key, now / unit, toward / unit, float(alone.mean()), float(within.mean()), float(error))


def _gains(after: Array, before: Array) -> Array:
    """(n,) 1 for a play that became solid, -1 for one that no longer is."""
    return after.astype(float) - before


def _matched_attack(inputs: Inputs) -> float:
    """Climb (rad) of a barrel that moves along the pitch line where the ball is to be met: the descent angle there."""
    plays = play_many(inputs)
    return max(0.0, -float(elevation(plays.pitch.velocity_at(plays.due[:, None]))[0, 0]))


def _on_time(inputs: Inputs) -> float:
    """Timing (s) with which the swing is on time: that of the pitch it is aimed at, or for a held swing of this one."""
    if inputs.held is None:
        return 0.0
    return float(play_many(replace(inputs, held=None)).due[0] - play_many(inputs).due[0])


def _lower_than_asked(inputs: Inputs, timing: float) -> float:
    """How much further (m) below this pitch than below its own a held swing passes, when it is on time."""
    _, below, _ = play_many(replace(inputs, swing=replace(inputs.swing, timing=timing))).met
    return float(below[0] - inputs.swing.below_line)


def _square(swing: SwingAsk, climb: float) -> float:
    """Bat direction (rad) that is square with this climb."""
    return square_direction(float(swing.vertical_bat_angle), climb)
