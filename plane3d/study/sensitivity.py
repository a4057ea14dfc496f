"""Sensitivity: which inputs, and which of the model's own coefficients, matter most for the answer of a scenario."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from plane3d.errors import InputError
from plane3d.inputs import Inputs
from plane3d.language import mark, tr
from plane3d.quantities import quantity
from plane3d.scenario import Scenario
from plane3d.studies import sensitivity as study
from plane3d.studies.coefficients import COEFFICIENTS, OWN
from plane3d.study import sure
from plane3d.study.sure import UNIT
from plane3d.study.words import closing, number, rows, table
from plane3d.typical import TYPICAL, Typical
from plane3d.words import NAMES, Block, sentence, show

DRAWS, MOST_DRAWS, SEED = 4000, 1_000_000, 1
SCATTER = mark("scatter of the level, own choice")

# How far each input is moved: a hitter's own scatter from swing to swing, of the level,
LEVELS_SCATTER: dict[str, Callable[[Typical], float]] = {
    "swing.below_line_in": lambda typical: typical.height_in,
    "swing.timing_ms": lambda typical: typical.timing_ms,
    "swing.attack_angle_deg": lambda typical: typical.attack_deg,
    "swing.vertical_bat_angle_deg": lambda typical: typical.bat_angle_deg,
    "swing.contact_depth_in": lambda typical: typical.depth_in,
    "swing.along_barrel_in": lambda typical: typical.along_in,
    "swing.bat_speed_mph": lambda typical: typical.bat_speed_mph,
}
# or how well someone at the field knows it, or how much it differs from one pitch to the next: our own choice.
OWN_CHOICE: dict[str, float] = {
    "swing.bat_direction_deg": 5.0,
    "swing.hinge_deg": 10.0,
    "swing.release_ms": 10.0,
    "pitch.speed_mph": 1.5,
    "pitch.release_side_ft": 0.2,
    "pitch.release_height_ft": 0.2,
    "pitch.release_distance_ft": 0.5,
    "pitch.spin_rpm": 150.0,
    "pitch.spin_tilt_deg": 10.0,
    "pitch.gyro_deg": 10.0,
    "pitch.plate_side_in": 3.0,
    "pitch.plate_height_in": 3.0,
    "bat.length_in": 0.25,
    "bat.weight_oz": 0.5,
    "bat.barrel_diameter_in": 0.02,
    "hitter.height_in": 1.0,
    "setting.temperature_f": 5.0,
    "setting.humidity_percent": 15.0,
    "setting.altitude_ft": 200.0,
    "setting.pressure_inhg": 0.1,
    "setting.wind_mph": 3.0,
    "setting.wind_toward_deg": 30.0,
}
BUILT_ONLY = ("swing.hinge_deg", "swing.release_ms")  # a measured swing does not look at them
HEADS = {"launch_angle": mark("launch angle"), "exit_speed": mark("exit speed"), "carry": mark("carry")}
LEAST = {"launch_angle": 0.05, "exit_speed": 0.05, "carry": 0.5}  # deg, mph, ft; smaller changes count as none


@dataclass(frozen=True)
class Found:
    """A scenario, its inputs that can be moved with the step of each in its own unit, and what moving them does.

    effects, laws : of the inputs, in the order of ``steps``, and of the coefficients, in that of `COEFFICIENTS`
    sure : all coefficients drawn at once
    """

    scenario: Scenario
    steps: dict[str, float]
    effects: study.Effects
    laws: study.Effects
    sure: sure.Found


@dataclass(frozen=True)
class Row:
    """One thing moved, in words and coach units: by name of the answer what a step less and a step more change.

    key : of the input or coefficient; step, known : how far it is moved, and where that comes from
    slope : by name, change over a whole step if it went on as it does here
    kind_down, kind_up : outcome kinds; "" where that play cannot be made
    """

    key: str
    label: str
    step: str
    known: str
    down: dict[str, float | None]
    up: dict[str, float | None]
    slope: dict[str, float | None]
    kind_down: str
    kind_up: str


def run(scenario: Scenario, draws: int = DRAWS, seed: int = SEED) -> Found:
    """The study. Raises UnreachableError where the play itself cannot be made."""
    found = sure.run(scenario, draws, seed)
    steps = dict(_steps(scenario))
    inputs = scenario.to_inputs()
    changed = [[_moved(scenario, key, share * step) for share in study.STEPS] for key, step in steps.items()]
    return Found(scenario, steps, study.of_inputs(inputs, changed), study.of_coefficients(inputs), found)


def _steps(scenario: Scenario) -> Iterator[tuple[str, float]]:
    typical = TYPICAL[scenario.setting.level]
    for key, of in LEVELS_SCATTER.items():
        yield key, of(typical)
    for key, step in OWN_CHOICE.items():
        if scenario.value(key) is not None and not (scenario.is_measured and key in BUILT_ONLY):
            yield key, step


def _moved(scenario: Scenario, key: str, change: float) -> Inputs | None:
    """The play with one input changed and with what follows from it; None where that value is not allowed."""
    try:
        return scenario.with_values({key: float(scenario.value(key)) + change}).to_inputs()
    except InputError:
        return None


def input_rows(found: Found, by: str = "launch_angle", metric: bool = False) -> list[Row]:
    """The inputs as rows, what matters most for an answer first."""
    keys = list(found.steps)
    steps = [f"± {quantity(key).step_words(step, metric)}" for key, step in found.steps.items()]
    known = [SCATTER if key in LEVELS_SCATTER else OWN for key in keys]
    labels = [tr(quantity(key).label) for key in keys]
    return _rows(found.effects, by, keys, labels, steps, [tr(words) for words in known])


def law_rows(found: Found, by: str = "launch_angle") -> list[Row]:
    """The coefficients as rows, what matters most for an answer first."""
    them = COEFFICIENTS.values()
    known = [tr("{source} ({known})", source=tr(c.source), known=tr(c.known)) for c in them]
    steps = [f"± {100 * c.spread:g} %" for c in them]
    return _rows(found.laws, by, list(COEFFICIENTS), [tr(c.label) for c in them], steps, known)


def _rows(
    effects: study.Effects, by: str, keys: list[str], labels: list[str], steps: list[str], known: list[str]
) -> list[Row]:
    def at(changes: dict[str, np.ndarray], i: int) -> dict[str, float | None]:
        return {name: number(changes[name][i] / unit, 3) for name, (_, unit) in UNIT.items()}

    return [
        Row(
            keys[i],
            labels[i],
            steps[i],
            known[i],
            at(effects.down, i),
            at(effects.up, i),
            at(effects.slope, i),
            str(effects.kind_down[i]),
            str(effects.kind_up[i]),
        )
        for i in effects.order(by)
    ]


def block(found: Found, by: str = "launch_angle") -> Block:
    """The answer as ``plane3d sensitivity --json`` prints it: also what a picture of bars needs, in order."""
    kind = found.sure.result.outcome.kind
    return {
        "title": found.scenario.title,
        "sentence": sentence(found.sure.result),
        "kind": kind,
        "by": by,
        "inputs": [_row_block(row) | {"step": found.steps[row.key]} for row in input_rows(found, by)],
        "coefficients": [_row_block(row) | {"spread": COEFFICIENTS[row.key].spread} for row in law_rows(found, by)],
        "sure": sure.block(found.sure),
    }


def _row_block(row: Row) -> Block:
    changes = {
        f"{name}{ending}": {"less": row.down[name], "more": row.up[name], "slope": row.slope[name]}
        for name, (ending, _) in UNIT.items()
    }
    kinds = {"kind_less": row.kind_down or None, "kind_more": row.kind_up or None}
    return {"key": row.key, "known": row.known, **changes, **kinds}


def text(found: Found, metric: bool = False, by: str = "launch_angle") -> str:
    """The answer to read."""
    now = found.sure.result
    lines = [tr(found.scenario.title), "", sentence(now, metric), sure.line(found.sure, metric), ""]
    moved, still = _sorted_out(input_rows(found, by, metric))
    lines += [tr("Inputs, each alone a typical uncertainty less and more; what matters most for the {answer} first",
                 answer=tr(HEADS[by]))]  # fmt: skip
    lines += _table(tr("input"), moved, now.outcome.kind, metric)
    lines += ["", tr("Steps of the swing are the level's typical scatter, all others how well a value is known.")]
    lines += [tr("Both are our own choice, not a measurement. What follows from an input follows here too.")]
    if any({"", "miss"} & {row.kind_down, row.kind_up} for row in moved):
        lines.append(
            tr("· stands where the ball is missed, the step is not allowed, or such a swing or pitch cannot be made.")
        )
    if still:
        lines.append(tr("Of no weight here: {names}.", names=", ".join(row.label for row in still)))
    laws, idle = _sorted_out(law_rows(found, by))
    lines += ["", tr("The model's own coefficients, each alone one standard deviation less and more")]
    lines += _table(tr("coefficient"), laws, now.outcome.kind, metric)
    lines += ["", tr("How they are known"), *(f"  {row.label}: {row.step}; {row.known}" for row in (*laws, *idle))]
    lines += ["", tr("All coefficients at once: two of three draws lie within"), *rows(_ranges(found, metric))]
    lines.append(tr("{draws} draws, seed {seed}.", draws=f"{len(found.sure.sure.draws.kind):,}", seed=found.sure.seed))
    return "\n".join([*lines, *closing()])


def _sorted_out(every: list[Row]) -> tuple[list[Row], list[Row]]:
    """Rows that change something, and those that do not."""
    moved = [row for row in every if not _idle(row)]
    return moved, [row for row in every if row not in moved]


def _idle(row: Row) -> bool:
    there = "miss" not in (row.kind_down, row.kind_up)
    changes = ((name, value) for side in (row.down, row.up) for name, value in side.items())
    return there and all(value is None or abs(value) < LEAST[name] for name, value in changes)


def _table(first: str, moved: list[Row], kind: str, metric: bool) -> list[str]:
    heads = [first, tr("less and more by"), *(tr(words) for words in HEADS.values()), tr("becomes")]
    return table(heads, [[row.label, row.step, *changes(row, metric), becomes(row, kind)] for row in moved])


def changes(row: Row, metric: bool = False) -> list[str]:
    """What a step less and a step more do to each answer: ``−14° / +13°``."""
    return [" / ".join(_signed(side[name], name, metric) for side in (row.down, row.up)) for name in UNIT]


def _signed(value: float | None, name: str, metric: bool) -> str:
    if value is None:
        return "·"
    words = show(UNIT[name][0], abs(value), metric, small=True)
    return words if words == show(UNIT[name][0], 0.0, metric, small=True) else f"{'+' if value > 0 else '−'}{words}"


def becomes(row: Row, kind: str) -> str:
    """Where another outcome comes of it, which."""
    said = [
        tr(words, kind=tr(NAMES[end]))
        for words, end in ((mark("less: {kind}"), row.kind_down), (mark("more: {kind}"), row.kind_up))
        if end not in ("", kind)
    ]
    return "; ".join(said)


def _ranges(found: Found, metric: bool) -> list[tuple[str, str]]:
    known = found.sure.sure
    return [
        (
            tr(HEADS[name]),
            tr(
                "{low} to {high}",
                low=show(ending, known.low[name] / unit, metric, small=True),
                high=show(ending, known.high[name] / unit, metric, small=True),
            ),
        )
        for name, (ending, unit) in UNIT.items()
        if name in sure.answers_of(found.sure.result.outcome.kind)
    ]
