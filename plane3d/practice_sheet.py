"""A practice plan in words: a sheet of Markdown to print, hang up and write on."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from plane3d.causes import Finding
from plane3d.drills import AGES, CAUSES, CAUTIONS, COMES_FIRST, Dose, Drill
from plane3d.language import mark, tr
from plane3d.plan import Plan
from plane3d.quantities import choice_in_words, quantity
from plane3d.scenario import Scenario
from plane3d.study import target
from plane3d.study.remedy import cue, goal_words
from plane3d.study.scatter import QUANTITIES
from plane3d.units import DEGREE, INCH, MILLISECOND, MPH
from plane3d.words import climb, gap_words, sentence, show, timing_words

REMEDIES = 3  # single changes named for the scenario's own ball

# How often, by age; common practice, no source. Fewer is always right when swings get worse or anything hurts.
PACE = {
    "up_to_10": mark(
        "Two days a week are plenty, never two days running. Stop while it is still fun; a bad swing is the last one."
    ),
    "from_11": mark("Two or three days a week, never two days running. Stop when the swings get worse."),
    "from_15": mark(
        "Three or four days a week, with a rest day after every second one. Stop when the swings get worse."
    ),
}
# Why something is to be worked on: won by that alone, or only once the rest is put right.
HALF_ALONE = mark("{now} from swing to swing. Half of that makes {gain} more of 100 swings solid.")
HALF_WITHIN = mark("{now} from swing to swing. With the rest put right, half of that makes {gain} more of 100 solid.")
MENDED_ALONE = mark("{what}: {now}, better {better}. That alone makes {gain} more of 100 swings solid.")
MENDED_WITHIN = mark("{what}: {now}, better {better}. With the rest put right, that makes {gain} more of 100 solid.")
FOR_THE_BALL = mark("{what}: {now}, better {better}. Without any scatter that makes this ball {ball}.")
DOSE = mark("{sets} sets of {swings} swings, {rest} s of rest between sets")
LIMITS = (
    mark("A model's answer, not a measurement: it knows the numbers entered, not this hitter's body or eyes."),
    mark("Which drill helps which cause is common practice in coaching; the model does not test drills."),
    mark("Seed {seed}, {number} swings in each replay: the same file and seed give the same sheet."),
)


def sheet(found: Plan, metric: bool = False) -> str:
    """The sheet of a plan, in the language in use. Ends with a line break."""
    parts = [
        _head(found),
        _work(found, metric),
        _ball(found, metric),
        _cautions(found),
        *_drills(found),
        _next_time(found, metric),
        [_heading(tr("What this sheet does not know")), "", *(f"- {line}" for line in limits(found))],
    ]
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def hitter(scenario: Scenario) -> str:
    """The hitter by role: level and side, never a name."""
    level = choice_in_words("setting.level", scenario.setting.level)
    if scenario.hitter.bats == "right":
        return tr("{level} hitter, bats right", level=level)
    return tr("{level} hitter, bats left", level=level)


def _head(found: Plan) -> list[str]:
    lines = [
        _heading(tr("Practice sheet: {title}", title=tr(found.scenario.title)), 1),
        "",
        "- " + tr("For: {hitter}", hitter=hitter(found.scenario)),
        "- " + tr("Doses for: {age}", age=tr(AGES[found.age])),
    ]
    if found.chart is not None:
        lines += [f"- {target.headline(found.chart)} {target.why(found.chart)}"]
    return lines


def _work(found: Plan, metric: bool) -> list[str]:
    """What to work on, with the numbers why."""
    solid = _of_100(found.now.share_of(found.now.solid))
    lines = [_heading(tr("What to work on")), ""]
    lines.append(
        tr("Now {solid} of 100 swings are solid: fair, with nine tenths or more of the best exit speed.", solid=solid)
    )
    if not found.causes and found.ball.already:
        return [*lines, "", tr("By this model nothing needs fixing. The drills below keep it that way.")]
    if not found.causes:
        return [*lines, "", tr("The model finds no single cause. The drills below are general ones.")]
    return [*lines, "", *(f"{place}. {item}" for place, item in enumerate(to_work_on(found, metric), start=1))]


def to_work_on(found: Plan, metric: bool = False) -> list[str]:
    """What to work on, most important first: each cause with the numbers why."""
    items = [f"{tr(CAUSES[finding.cause])}. {_why(found, finding, metric)}" for finding in found.findings]
    if found.slow is not None:
        now, typical, gain = (show("_mph", value, metric) for value in found.slow)
        why = tr(
            "{now}, where {typical} is typical of the level; that would add {gain} to the best exit speed.",
            now=now, typical=typical, gain=gain,
        )  # fmt: skip
        items.append(f"{tr(CAUSES['bat-speed'])}. {why}")
    return items


def _why(found: Plan, finding: Finding, metric: bool) -> str:
    """The numbers behind a finding."""
    alone = finding.alone >= finding.error
    values = {
        "now": _now(finding, metric),
        "gain": _of_100((finding.alone if alone else finding.within, finding.error)),
    }
    if finding.wanders:
        message = HALF_ALONE if alone else HALF_WITHIN
        return tr(message, **values)
    step = quantity(finding.key).step
    better = _value(finding.key, round(finding.toward / step) * step, metric)
    values |= {"what": _label(finding.key), "better": better, "ball": goal_words(found.ball.goal)}
    if not finding.counts:
        return tr(FOR_THE_BALL, **values)
    return tr(MENDED_ALONE if alone else MENDED_WITHIN, **values)


def _now(finding: Finding, metric: bool) -> str:
    """The value a finding is about, as it is now."""
    if finding.wanders:
        return f"± {quantity(finding.key).step_words(finding.now, metric)}"
    return _value(finding.key, finding.now, metric)


def _label(key: str) -> str:
    """What a number of the swing is called here; `_value` says on which side of the line the barrel is."""
    return tr("Height of the barrel") if key == "swing.below_line_in" else tr(quantity(key).label)


def _value(key: str, value: float, metric: bool) -> str:
    """A number of the swing in words, without signs to be looked up."""
    if key == "swing.timing_ms":
        return timing_words(value * MILLISECOND)
    return gap_words(value * INCH, metric) if key == "swing.below_line_in" else quantity(key).words(value, metric)


def _of_100(share: tuple[float, float]) -> str:
    """A share and its standard error, of a hundred swings: ``12 ± 1``."""
    value, error = (100 * number for number in share)
    return f"{value:.0f} ± {max(error, 1.0):.0f}"


def _ball(found: Plan, metric: bool) -> list[str]:
    """The scenario's own ball, and what would have made it the wanted one."""
    lines = [_heading(tr("This ball")), "", sentence(found.ball.now, metric)]
    ball = goal_words(found.ball.goal)
    if found.ball.already:
        return [*lines, tr("That is the ball to hit: {ball}.", ball=ball)]
    lines += [tr("The ball to hit is {ball}.", ball=ball)]
    cues = [cue(change, metric) for change in found.ball.remedies[:REMEDIES]]
    if not cues:
        return [*lines, tr("No single change makes it one.")]
    return [*lines, tr("Any one of these makes it one, the easiest first:"), "", *(f"- {line}" for line in cues)]


def _cautions(found: Plan) -> list[str]:
    lines = [_heading(tr("Before anybody swings")), "", *(f"- {line}" for line in cautions(found.age))]
    return [*lines, "", f"**{tr(COMES_FIRST)}**"]


def cautions(age: str) -> list[str]:
    """The usual cautions, and how often to practise at one of `AGES`."""
    return [*map(tr, CAUTIONS), tr(PACE[age])]


def _drills(found: Plan) -> Iterator[list[str]]:
    yield [_heading(tr("Three drills"))]
    for place, (drill, cause) in enumerate(found.drills, start=1):
        yield _drill(place, drill, cause, found.age)
    total = sum(dose.total for drill, _ in found.drills if (dose := drill.dose_for(found.age)))
    yield [tr("All three: {number} swings. Fewer is fine.", number=total)]


def _drill(place: int, drill: Drill, cause: str, age: str) -> list[str]:
    lines = [_heading(f"{place}. {tr(drill.name)}", 3), ""]
    if cause:
        lines.append(_point(tr("Works on"), tr(CAUSES[cause])))
    lines += [_point(tr("Set-up"), tr(drill.setup)), _point(tr("Do"))]
    lines += [f"    {number}. {tr(step)}" for number, step in enumerate(drill.do, start=1)]
    lines.append(_point(tr("Cue"), tr("“{words}”", words=tr(drill.cue))))
    if drill.equipment:
        lines.append(_point(tr("Needed"), ", ".join(tr(thing) for thing in drill.equipment)))
    if dose := drill.dose_for(age):
        lines.append(_point(tr("Dose"), dose_words(dose)))
    if drill.caution:
        lines.append(_point(tr("Take care"), tr(drill.caution)))
    return [*lines, _point(tr("Note"), tr(drill.measure))]


def dose_words(dose: Dose) -> str:
    """How much of a drill in words."""
    return tr(DOSE, sets=dose.sets, swings=dose.swings, rest=dose.rest_s)


def _heading(words: str, depth: int = 2) -> str:
    return f"{'#' * depth} {words}"


def _point(name: str, words: str = "") -> str:
    return f"- **{name}:** {words}".rstrip()


def _next_time(found: Plan, metric: bool) -> list[str]:
    """A table to write in: the numbers as they are, and room for the next ones."""
    lines = [_heading(tr("What to measure next time")), ""]
    lines += [_row(tr("What"), tr("In the model now"), tr("Next time")), "|---|---|---|"]
    lines += [_row(what, now, "") for what, now in _numbers(found, metric)]
    how = tr(
        "Count twenty swings from the same feed and multiply by five; a count of 100 made so is uncertain by about "
        "ten. Enter measured numbers in the scenario and make a new sheet."
    )
    return [*lines, "", how]


def _row(*cells: str) -> str:
    return f"| {' | '.join(cells)} |"


def _numbers(found: Plan, metric: bool) -> Iterator[tuple[str, str]]:
    now = found.now
    yield tr("Solid, of 100 swings"), _of_100(now.share_of(now.solid))
    yield tr("Fair, of 100 swings"), _of_100(now.share_of(now.fair))
    yield tr("Touched, of 100 swings"), _of_100(now.share_of(now.touch))
    if now.fair.any():
        speed = show("_mph", float(np.median(now.exit_speed[now.fair])) / MPH, metric)
        yield tr("Exit speed of the middle fair ball"), speed
        low, high = (climb(a / DEGREE) for a in np.quantile(now.launch_angle[now.fair], (0.25, 0.75)))
        yield tr("Launch angle of the middle half of the fair balls"), tr("{low} to {high}", low=low, high=high)
    for finding in found.findings:
        unit = finding.key.rpartition("_")[2]
        scatter = QUANTITIES.get(f"{finding.wanders}_{unit}")
        yield tr(scatter.label) if scatter else _label(finding.key), _now(finding, metric)
    if found.slow is not None:
        yield tr(quantity("swing.bat_speed_mph").label), show("_mph", found.slow[0], metric)


def limits(found: Plan) -> Iterator[str]:
    """What the plan does not know, and the seed of its draws."""
    if found.typical:
        yield tr("The scatter is the typical one of the level, our own choice: measure this hitter's and enter it.")
    model, drills, seed = LIMITS
    yield tr(model)
    yield tr(drills)
    yield tr(seed, seed=found.now.seed, number=len(found.now))
