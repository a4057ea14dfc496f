"""Two plays compared: what was changed, what followed from it, and one plain sentence.

Works on scenarios and on the blocks of `report.report`, in coach units; metric is only a way of showing them.
A scenario's second pitch is no part of the comparison: a comparison of its own shows it better.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from plane3d.language import ENGLISH, mark, speaking, tr, trc
from plane3d.play import Play, play
from plane3d.plays import pitch_flight
from plane3d.quantities import CHOICE_LABELS, all_quantities, choice_in_words, choices, quantities
from plane3d.report import read_map, report
from plane3d.scenario import Scenario
from plane3d.words import CAVEAT, KINDS, NAMES, TEXT, Block, capital, listed, show

LEFT_OUT = "second_pitch"  # a table of the scenario and a block of the answer
NAMED = 3  # changes that the sentence names; more are counted

# What a greater and a smaller second value is called, by the name of the value.
WAYS = {
    "below_line_in": (mark("{size} lower"), mark("{size} higher")),
    "undercut_in": (mark("{size} lower"), mark("{size} higher")),
    "timing_ms": (mark("{size} later"), mark("{size} earlier")),
    "speed_mph": (mark("{size} faster"), mark("{size} slower")),
    "plate_speed_mph": (mark("{size} faster"), mark("{size} slower")),
    "bat_speed_mph": (mark("{size} faster"), mark("{size} slower")),
    "exit_speed_mph": (mark("{size} faster"), mark("{size} slower")),
    "turn_rate_rad_s": (mark("{size} faster"), mark("{size} slower")),
    "spin_rpm": (mark("{size} faster"), mark("{size} slower")),
    "attack_angle_deg": (mark("{size} higher"), mark("{size} lower")),
    "launch_angle_deg": (mark("{size} higher"), mark("{size} lower")),
    "descent_angle_deg": (mark("{size} steeper"), mark("{size} flatter")),
    "vertical_bat_angle_deg": (mark("{size} steeper"), mark("{size} flatter")),
    "bat_direction_deg": (mark("{size} further ahead"), mark("{size} further back")),
    "contact_depth_in": (mark("{size} further forward"), mark("{size} deeper")),
    "depth_in": (mark("{size} further forward"), mark("{size} deeper")),
    "from_depth_in": (mark("{size} further forward"), mark("{size} deeper")),
    "to_depth_in": (mark("{size} further forward"), mark("{size} deeper")),
    "along_barrel_in": (mark("{size} nearer the tip"), mark("{size} nearer the hands")),
    "hinge_deg": (mark("{size} wider"), mark("{size} narrower")),
    "release_ms": (mark("{size} earlier"), mark("{size} later")),
    "plate_height_in": (mark("{size} higher"), mark("{size} lower")),
    "release_height_ft": (mark("{size} higher"), mark("{size} lower")),
    "height_in": (mark("{size} higher"), mark("{size} lower")),
    "apex_ft": (mark("{size} higher"), mark("{size} lower")),
    "plate_side_in": (mark("{size} nearer first base"), mark("{size} nearer third base")),
    "release_side_ft": (mark("{size} nearer first base"), mark("{size} nearer third base")),
    "side_in": (mark("{size} nearer first base"), mark("{size} nearer third base")),
    "heading_deg": (mark("{size} toward first base"), mark("{size} toward third base")),
    "spray_angle_deg": (mark("{size} toward first base"), mark("{size} toward third base")),
    "landing_side_ft": (mark("{size} toward first base"), mark("{size} toward third base")),
    "release_distance_ft": (mark("{size} farther out"), mark("{size} nearer")),
    "carry_ft": (mark("{size} farther"), mark("{size} shorter")),
    "landing_out_ft": (mark("{size} farther"), mark("{size} shorter")),
    "closest_in": (mark("{size} farther"), mark("{size} nearer")),
    "dip_in": (mark("{size} deeper"), mark("{size} shallower")),
    "length_in": (mark("{size} longer"), mark("{size} shorter")),
    "length_ms": (mark("{size} longer"), mark("{size} shorter")),
    "flight_time_s": (mark("{size} longer"), mark("{size} shorter")),
    "duration_s": (mark("{size} longer"), mark("{size} shorter")),
    "hang_time_s": (mark("{size} longer"), mark("{size} shorter")),
    "around_ms": (mark("{size} later"), mark("{size} earlier")),
    "hinge_opens_ms": (mark("{size} later"), mark("{size} earlier")),
    "fair_early_ms": (mark("{size} later"), mark("{size} earlier")),
    "fair_late_ms": (mark("{size} later"), mark("{size} earlier")),
    "weight_oz": (mark("{size} heavier"), mark("{size} lighter")),
    "barrel_diameter_in": (mark("{size} thicker"), mark("{size} thinner")),
    "temperature_f": (mark("{size} warmer"), mark("{size} colder")),
    "altitude_ft": (mark("{size} higher"), mark("{size} lower")),
    "fence_ft": (mark("{size} farther"), mark("{size} nearer")),
    "fence_line_ft": (mark("{size} farther"), mark("{size} nearer")),
    "fence_height_ft": (mark("{size} higher"), mark("{size} lower")),
}
MORE, LESS = mark("{size} more"), mark("{size} less")

# A changed input as a clause. Where the second value is told as greater or smaller, ``difference`` says by how much.
CAUSES = {
    "setting.level": mark("the second is played at level {second}, not {first}"),
    "setting.temperature_f": mark("the second air is {difference}"),
    "setting.humidity_percent": mark("the second humidity is {second}, not {first}"),
    "setting.altitude_ft": mark("the second field is {difference}"),
    "setting.pressure_inhg": mark("the second air pressure is {second}, not {first}"),
    "setting.wind_mph": mark("the second wind is {second}, not {first}"),
    "setting.wind_toward_deg": mark("the second wind toward is {second}, not {first}"),
    "setting.base_ft": mark("the second base length is {second}, not {first}"),
    "setting.fence_ft": mark("the second fence is {difference}"),
    "setting.fence_line_ft": mark("the second fence on the lines is {difference}"),
    "setting.fence_height_ft": mark("the second fence height is {difference}"),
    "hitter.bats": mark("the second hitter bats {second}"),
    "hitter.height_in": mark("the second hitter's height is {difference}"),
    "bat.length_in": mark("the second bat is {difference}"),
    "bat.weight_oz": mark("the second bat is {difference}"),
    "bat.barrel_diameter_in": mark("the second barrel is {difference}"),
    "bat.material": mark("the second bat material is {second}, not {first}"),
    "pitch.family": mark("the second pitch family is {second}, not {first}"),
    "pitch.throws": mark("the second pitcher throws {second}"),
    "pitch.speed_mph": mark("the second pitch is {difference}"),
    "pitch.release_side_ft": mark("the second release is {difference}"),
    "pitch.release_height_ft": mark("the second release is {difference}"),
    "pitch.release_distance_ft": mark("the second release is {difference}"),
    "pitch.spin_rpm": mark("the second pitch spin is {difference}"),
    "pitch.spin_tilt_deg": mark("the second spin tilt is {second}, not {first}"),
    "pitch.gyro_deg": mark("the second gyro angle is {second}, not {first}"),
    "pitch.plate_side_in": mark("the second pitch is {difference}"),
    "pitch.plate_height_in": mark("the second pitch is {difference}"),
    "swing.bat_speed_mph": mark("the second bat is {difference}"),
    "swing.attack_angle_deg": mark("the second attack angle is {difference}"),
    "swing.vertical_bat_angle_deg": mark("the second bat is {difference}"),
    "swing.bat_direction_deg": mark("the second barrel is {difference}"),
    "swing.contact_depth_in": mark("the second contact point is {difference}"),
    "swing.below_line_in": mark("the second barrel is {difference}"),
    "swing.along_barrel_in": mark("the second hit is {difference}"),
    "swing.timing_ms": mark("the second swing is {difference}"),
    "swing.hinge_deg": mark("the second hinge angle is {difference}"),
    "swing.release_ms": mark("the second hinge release is {difference}"),
    "view.window_in": mark("the second contact window within is {second}, not {first}"),
    "held": mark("the second {second}, the first {first}"),
}
GREATER = mark("the second {thing} is {difference}")
OTHERWISE = mark("the second {thing} is {second}, not {first}")
COUNTED = mark("the second differs in {count} settings")
HELD, AIMS, IS_HELD = mark("Swing"), mark("swing aims at the pitch"), mark("swing is held")
HELD_FOR = mark("Held for: {name}")
UNSET = mark("not given")
ONLY_FIRST, ONLY_SECOND = mark("only the first"), mark("only the second")
YES = mark("changed")
WITHIN = mark("within rounding")
MISS, OVER_FENCE = mark("a miss"), mark("{kind} over the fence")
SAME = mark("The two are the same: {kind} both times.")
STILL, BECOMES = mark("still {kind}"), mark("{first} becomes {second}")
OUTCOME = mark("Outcome")
HEADINGS = (mark("Changed"), mark("What followed"))
COLUMNS = (mark("First"), mark("Second"), mark("Difference"))
FOLLOWS = mark("follows")  # beside an input that nobody gave
STAR = mark("* differs beyond rounding")
NAME_WIDTH = 36  # letters of the column of names, at least


@dataclass(frozen=True)
class Row:
    """One line of the table.

    key : dotted key of the scenario or of the answer; group : heading it belongs under, to be said with `tr`
    name : what it is called
    first, second : values in coach units, words in English, or None where there is none
    words : first, second and difference as shown
    differs : whether they differ by more than is lost in showing them
    asked : False for an input that nobody gave and that follows from others
    """

    key: str
    group: str
    name: str
    first: Any
    second: Any
    words: tuple[str, str, str]
    differs: bool
    asked: bool = True


@dataclass(frozen=True)
class Case:
    """A scenario with its play and its answer, as made by `report.report`."""

    scenario: Scenario
    play: Play
    answer: Block


@dataclass(frozen=True)
class Comparison:
    """One sentence; the inputs that differ; every number of the answers."""

    sentence: str
    changed: tuple[Row, ...]
    followed: tuple[Row, ...]


def solved(scenario: Scenario) -> Case:
    """Play a scenario and answer it in full. Raises UnreachableError."""
    played = play(scenario.to_inputs())
    other = scenario.with_second_pitch()
    second = None if other is None else pitch_flight(other.to_inputs())
    return Case(scenario, played, report(played.result, read_map(played, second, scenario.si("view.window_in"))))


def compare(first: Case, second: Case, metric: bool = False) -> Comparison:
    """What differs between two plays; greater, later, farther and so on are said of the second."""
    changed = changes(first.scenario, second.scenario, metric)
    followed = differences(first.answer, second.answer, metric)
    return Comparison(_sentence(changed, followed, first.answer, second.answer, metric), changed, followed)


# --- what was changed ------------------------------------------------------------------------------------------------


def changes(first: Scenario, second: Scenario, metric: bool = False) -> tuple[Row, ...]:
    """The inputs that differ: first those that one of the two asks for, then those that follow."""
    rows = [_held_row(first, second)] if first.is_held != second.is_held else []
    both_held = first.is_held and second.is_held
    keys = [*(key for key in choices() if key != "view.camera"), *quantities()]
    keys += [key for key in all_quantities() if both_held and key.startswith("held.")]
    for key in keys:
        a, b = first.value(key), second.value(key)
        if a != b:
            asked = key in first.given or key in second.given
            rows.append(_input_row(key, a, b, asked, metric))
    return tuple(sorted(rows, key=lambda row: not row.asked))


def _held_row(first: Scenario, second: Scenario) -> Row:
    a, b = (IS_HELD if scenario.is_held else AIMS for scenario in (first, second))
    return Row("held", HEADINGS[0], tr(HELD), a, b, (tr(a), tr(b), tr(YES)), True)


def _input_row(key: str, first: Any, second: Any, asked: bool, metric: bool) -> Row:
    if key in CHOICE_LABELS:
        a, b = (choice_in_words(key, value) for value in (first, second))
        return Row(key, HEADINGS[0], tr(CHOICE_LABELS[key]), first, second, (a, b, tr(YES)), True, asked)
    quantity = all_quantities()[key]
    label = tr(quantity.label)
    name = tr(HELD_FOR, name=label.lower()) if key.startswith("held.") else label
    a, b = (tr(UNSET) if value is None else quantity.words(value, metric) for value in (first, second))
    difference = tr(YES)
    if first is not None and second is not None:
        difference = _way(key, second > first, quantity.step_words(abs(second - first), metric))
    return Row(key, HEADINGS[0], name, first, second, (a, b, difference), True, asked)


def _way(key: str, greater: bool, size: str) -> str:
    more, less = WAYS.get(key.rpartition(".")[2], (MORE, LESS))
    return tr(more if greater else less, size=size)


# --- what followed ---------------------------------------------------------------------------------------------------


def differences(first: Block, second: Block, metric: bool = False) -> tuple[Row, ...]:
    """Every number that either answer has, side by side: the outcome first, then as in the text of an answer."""
    rows = [_outcome_row(first, second)]
    for block, (heading, names) in TEXT.items():
        if block == LEFT_OUT or not (first[block] or second[block]):
            continue
        for name, label in names.items():
            values = [(answer[block] or {}).get(name) for answer in (first, second)]
            rows.append(_answer_row(f"{block}.{name}", heading, capital(tr(label)), *values, metric=metric))
    return tuple(rows)


def _outcome_row(first: Block, second: Block) -> Row:
    a, b = (_kind(answer, NAMES) for answer in (first, second))
    with speaking(ENGLISH):
        plain_a, plain_b = (_kind(answer, NAMES) for answer in (first, second))
    return Row("outcome.kind", OUTCOME, tr(OUTCOME), plain_a, plain_b, (a, b, "" if a == b else tr(YES)), a != b)


def _answer_row(key: str, group: str, name: str, first: float | None, second: float | None, *, metric: bool) -> Row:
    a, b = (show(key, value, metric) for value in (first, second))
    if first is None or second is None:
        differs = first is not second
        note = "" if not differs else tr(ONLY_SECOND if first is None else ONLY_FIRST)
    else:
        size = show(key, abs(second - first), metric)
        differs = size != show(key, 0.0, metric)
        note = _way(key, second > first, size) if differs else "" if a == b else tr(WITHIN)
    return Row(key, group, name, first, second, (a, b, note), differs)


def _kind(answer: Block, names: Mapping[str, str]) -> str:
    """The outcome: a fly ball over the fence, a miss; with its article where the names have one."""
    outcome = answer["outcome"]
    kind = tr(names.get(outcome["kind"], MISS))
    return tr(OVER_FENCE, kind=kind) if outcome["over_fence"] else kind


# --- in words --------------------------------------------------------------------------------------------------------


def _sentence(changed: tuple[Row, ...], followed: tuple[Row, ...], first: Block, second: Block, metric: bool) -> str:
    kinds = _kind(first, KINDS), _kind(second, KINDS)
    if not changed:
        return tr(SAME, kind=kinds[0])
    asked = [row for row in changed if row.asked] or list(changed)
    cause = tr(COUNTED, count=len(asked)) if len(asked) > NAMED else listed([_cause(row) for row in asked])
    if kinds[0] != kinds[1]:
        effect = tr(BECOMES, first=kinds[0], second=kinds[1])
    else:
        effect = ", ".join([tr(STILL, kind=kinds[0]), *_how_much(followed, first["outcome"]["kind"])])
    return f"{capital(cause)}: {effect}."


def _cause(row: Row) -> str:
    """A changed input as a clause: the second barrel is 3.0 in lower."""
    first, second, difference = row.words
    told = GREATER if row.key.rpartition(".")[2] in WAYS and difference != tr(YES) else OTHERWISE
    thing = row.name[0].lower() + row.name[1:]
    return tr(CAUSES.get(row.key, told), thing=thing, first=first, second=second, difference=difference)


def _how_much(followed: tuple[Row, ...], kind: str) -> list[str]:
    """What tells two balls of one kind apart, as far as they differ."""
    if kind not in KINDS:
        keys = ["meeting.closest_in"]
    elif kind in ("foul-tip", "foul-back"):
        keys = ["collision.exit_speed_mph"]
    else:
        keys = ["flight.carry_ft", "collision.exit_speed_mph"]
    rows = {row.key: row for row in followed}
    return [_told(key, rows[key].words[2]) for key in keys if rows[key].differs]


def _told(key: str, difference: str) -> str:
    if key == "flight.carry_ft":
        return trc("carry", "{difference}", difference=difference)
    if key == "collision.exit_speed_mph":
        return tr("{difference} off the bat", difference=difference)
    return tr("{difference} from touching", difference=difference)


def text(first: Case, second: Case, metric: bool = False) -> str:
    """A readable page of a comparison, in coach units or metric."""
    found = compare(first, second, metric)
    titles = [tr(first.scenario.title), tr(second.scenario.title)]
    heads = [tr("First: {title}", title=titles[0]), tr("Second: {title}", title=titles[1])]
    both = (*found.changed, *found.followed)
    wide = max(NAME_WIDTH, 1 + max(len(_name(row)) for row in both)), 2 + max(len(w) for r in both for w in r.words[:2])
    changed, followed = ([_line("", tr(heading), _columns(), wide)] for heading in HEADINGS)
    changed += [_line("*", _name(row), row.words, wide) for row in found.changed]
    for heading, rows in groupby(found.followed, key=lambda row: row.group):
        followed += [] if heading == OUTCOME else [f"  {tr(heading)}"]
        followed += [_line("*" if row.differs else "", row.name, row.words, wide) for row in rows]
    parts = [heads, [found.sentence], changed if found.changed else [], followed, [tr(STAR), tr(CAVEAT)]]
    return "\n\n".join("\n".join(part) for part in parts if part)


def _columns() -> tuple[str, str, str]:
    first, second, difference = (tr(words) for words in COLUMNS)
    return first, second, difference


def _name(row: Row) -> str:
    return row.name if row.asked else f"{row.name} ({tr(FOLLOWS)})"


def _line(star: str, name: str, words: tuple[str, str, str], wide: tuple[int, int]) -> str:
    first, second, difference = words
    return f"{star:<2}{name:<{wide[0]}}{first:>{wide[1]}}{second:>{wide[1]}}  {difference}".rstrip()


def against(first: Case, second: Case) -> Block:
    """The block "against" of ``plane3d solve --against --json``: the other answer, and what differs, in coach units."""
    found = compare(first, second)
    return {
        "title": second.scenario.title,
        "sentence": found.sentence,
        "answer": second.answer,
        "changed": {row.key: _pair(row) | {"asked": row.asked} for row in found.changed},
        "followed": {row.key: _pair(row) | {"differs": row.differs} for row in found.followed},
    }


def _pair(row: Row) -> Block:
    """First and second value, and second minus first where both are numbers."""
    numbers = all(isinstance(value, int | float) for value in (row.first, row.second))
    return {"first": row.first, "second": row.second, "difference": row.second - row.first if numbers else None}
