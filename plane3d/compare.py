"""Two plays compared: what was changed, what followed from it, and one plain sentence.

Works on scenarios and on the blocks of `report.report`, in coach units; metric is only a way of showing them.
A scenario's second pitch is no part of the comparison: a comparison of its own shows it better.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Any

from plane3d.play import Play, play
from plane3d.plays import pitch_flight
from plane3d.quantities import CHOICE_LABELS, all_quantities, choices, quantities
from plane3d.report import read_map, report
from plane3d.scenario import Scenario
from plane3d.words import KINDS, TEXT, Block, show

LEFT_OUT = "second_pitch"  # a table of the scenario and a block of the answer
NAMED = 3  # changes that the sentence names; more are counted

# What a greater and a smaller second value is called, by the name of the value.
WAYS = {
    "below_line_in": ("lower", "higher"),
    "undercut_in": ("lower", "higher"),
    "timing_ms": ("later", "earlier"),
    "speed_mph": ("faster", "slower"),
    "plate_speed_mph": ("faster", "slower"),
    "bat_speed_mph": ("faster", "slower"),
    "exit_speed_mph": ("faster", "slower"),
    "turn_rate_rad_s": ("faster", "slower"),
    "spin_rpm": ("faster", "slower"),
    "attack_angle_deg": ("higher", "lower"),
    "launch_angle_deg": ("higher", "lower"),
    "descent_angle_deg": ("steeper", "flatter"),
    "vertical_bat_angle_deg": ("steeper", "flatter"),
    "bat_direction_deg": ("further ahead", "further back"),
    "contact_depth_in": ("further forward", "deeper"),
    "depth_in": ("further forward", "deeper"),
    "from_depth_in": ("further forward", "deeper"),
    "to_depth_in": ("further forward", "deeper"),
    "along_barrel_in": ("nearer the tip", "nearer the hands"),
    "hinge_deg": ("wider", "narrower"),
    "release_ms": ("earlier", "later"),
    "plate_height_in": ("higher", "lower"),
    "release_height_ft": ("higher", "lower"),
    "height_in": ("higher", "lower"),
    "apex_ft": ("higher", "lower"),
    "plate_side_in": ("nearer first base", "nearer third base"),
    "release_side_ft": ("nearer first base", "nearer third base"),
    "side_in": ("nearer first base", "nearer third base"),
    "heading_deg": ("toward first base", "toward third base"),
    "spray_angle_deg": ("toward first base", "toward third base"),
    "landing_side_ft": ("toward first base", "toward third base"),
    "release_distance_ft": ("farther out", "nearer"),
    "carry_ft": ("farther", "shorter"),
    "landing_out_ft": ("farther", "shorter"),
    "closest_in": ("farther", "nearer"),
    "dip_in": ("deeper", "shallower"),
    "length_in": ("longer", "shorter"),
    "length_ms": ("longer", "shorter"),
    "flight_time_s": ("longer", "shorter"),
    "duration_s": ("longer", "shorter"),
    "hang_time_s": ("longer", "shorter"),
    "around_ms": ("later", "earlier"),
    "hinge_opens_ms": ("later", "earlier"),
    "fair_early_ms": ("later", "earlier"),
    "fair_late_ms": ("later", "earlier"),
    "weight_oz": ("heavier", "lighter"),
    "barrel_diameter_in": ("thicker", "thinner"),
    "temperature_f": ("warmer", "colder"),
    "altitude_ft": ("higher", "lower"),
    "fence_ft": ("farther", "nearer"),
    "fence_line_ft": ("farther", "nearer"),
    "fence_height_ft": ("higher", "lower"),
}
MORE, LESS = "more", "less"

# The thing that a changed value belongs to, where the name of the value alone would make a poor sentence.
THINGS = {
    "swing.below_line_in": "barrel",
    "swing.timing_ms": "swing",
    "swing.bat_speed_mph": "bat",
    "swing.vertical_bat_angle_deg": "bat",
    "swing.bat_direction_deg": "barrel",
    "swing.contact_depth_in": "contact point",
    "swing.along_barrel_in": "hit",
    "pitch.speed_mph": "pitch",
    "pitch.plate_height_in": "pitch",
    "pitch.plate_side_in": "pitch",
    "pitch.release_side_ft": "release",
    "pitch.release_height_ft": "release",
    "pitch.release_distance_ft": "release",
    "bat.length_in": "bat",
    "bat.weight_oz": "bat",
    "bat.barrel_diameter_in": "barrel",
    "setting.temperature_f": "air",
    "setting.altitude_ft": "field",
}
CHOSEN = {
    "setting.level": "the second is played at level {second}, not {first}",
    "hitter.bats": "the second hitter bats {second}",
    "pitch.throws": "the second pitcher throws {second}",
    "held": "the second {second}, the first {first}",
}
OTHERWISE = "the second {thing} is {second}, not {first}"
COUNTED = "the second differs in {count} settings"
HELD, AIMS, IS_HELD = "Swing", "swing aims at the pitch", "swing is held"
HELD_FOR = "Held for: {name}"
UNSET = "not given"
NONE, ONLY_FIRST, ONLY_SECOND = "none", "only the first", "only the second"
YES = "changed"
WITHIN = "within rounding"
MISS, OVER_FENCE = "a miss", " over the fence"
SAME, BOTH, STILL, BECOMES = "The two are the same", "{kind} both times", "still {kind}", "{first} becomes {second}"
AFTER = {"carry_ft": "", "exit_speed_mph": " off the bat", "closest_in": " from touching"}
OUTCOME = "Outcome"
HEADINGS = ("Changed", "What followed")
COLUMNS = ("First", "Second", "Difference")
FOLLOWS = "follows"  # beside an input that nobody gave
STAR = "* differs beyond rounding"


@dataclass(frozen=True)
class Row:
    """One line of the table.

    key : dotted key of the scenario or of the answer; group : heading it belongs under
    first, second : values in coach units, words, or None where there is none
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
    return Row("held", HEADINGS[0], HELD, a, b, (a, b, YES), True)


def _input_row(key: str, first: Any, second: Any, asked: bool, metric: bool) -> Row:
    if key in CHOICE_LABELS:
        return Row(key, HEADINGS[0], CHOICE_LABELS[key], first, second, (first, second, YES), True, asked)
    quantity = all_quantities()[key]
    name = HELD_FOR.format(name=quantity.label.lower()) if key.startswith("held.") else quantity.label
    a, b = (UNSET if value is None else quantity.words(value, metric) for value in (first, second))
    difference = YES
    if first is not None and second is not None:
        difference = f"{quantity.step_words(abs(second - first), metric)} {_way(key, second > first)}"
    return Row(key, HEADINGS[0], name, first, second, (a, b, difference), True, asked)


def _way(key: str, greater: bool) -> str:
    more, less = WAYS.get(key.rpartition(".")[2], (MORE, LESS))
    return more if greater else less


# --- what followed ---------------------------------------------------------------------------------------------------


def differences(first: Block, second: Block, metric: bool = False) -> tuple[Row, ...]:
    """Every number that either answer has, side by side: the outcome first, then as in the text of an answer."""
    a, b = (_kind(answer).removeprefix("a ") for answer in (first, second))
    rows = [Row("outcome.kind", OUTCOME, OUTCOME, a, b, (a, b, "" if a == b else YES), a != b)]
    for block, (heading, names) in TEXT.items():
        if block == LEFT_OUT or not (first[block] or second[block]):
            continue
        for name, label in names.items():
            values = [(answer[block] or {}).get(name) for answer in (first, second)]
            rows.append(_answer_row(f"{block}.{name}", heading, label[0].upper() + label[1:], *values, metric=metric))
    return tuple(rows)


def _answer_row(key: str, group: str, name: str, first: float | None, second: float | None, *, metric: bool) -> Row:
    a, b = (show(key, value, metric) for value in (first, second))
    if first is None or second is None:
        differs = first is not second
        note = "" if not differs else ONLY_SECOND if first is None else ONLY_FIRST
    else:
        size = show(key, abs(second - first), metric)
        differs = size != show(key, 0.0, metric)
        note = f"{size} {_way(key, second > first)}" if differs else "" if a == b else WITHIN
    return Row(key, group, name, first, second, (a, b, note), differs)


def _kind(answer: Block) -> str:
    """The outcome with its article: a fly ball over the fence, a miss."""
    outcome = answer["outcome"]
    return KINDS.get(outcome["kind"], MISS) + (OVER_FENCE if outcome["over_fence"] else "")


# --- in words --------------------------------------------------------------------------------------------------------


def _sentence(changed: tuple[Row, ...], followed: tuple[Row, ...], first: Block, second: Block, metric: bool) -> str:
    kinds = _kind(first), _kind(second)
    if not changed:
        return f"{SAME}: {BOTH.format(kind=kinds[0])}."
    asked = [row for row in changed if row.asked] or list(changed)
    if len(asked) > NAMED:
        cause = COUNTED.format(count=len(asked))
    else:
        *most, last = [_cause(row) for row in asked]
        cause = f"{', '.join(most)} and {last}" if most else last
    if kinds[0] != kinds[1]:
        effect = BECOMES.format(first=kinds[0], second=kinds[1])
    else:
        effect = ", ".join([STILL.format(kind=kinds[0]), *_how_much(followed, first["outcome"]["kind"])])
    return f"{cause[0].upper()}{cause[1:]}: {effect}."


def _cause(row: Row) -> str:
    """A changed input as a clause: the second barrel is 3.0 in lower."""
    first, second, difference = row.words
    thing = THINGS.get(row.key, row.name[0].lower() + row.name[1:])
    if difference == YES:
        return CHOSEN.get(row.key, OTHERWISE).format(thing=thing, first=first, second=second)
    if row.key.rpartition(".")[2] in WAYS:
        return f"the second {thing} is {difference}"
    return OTHERWISE.format(thing=thing, first=first, second=second)


def _how_much(followed: tuple[Row, ...], kind: str) -> list[str]:
    """What tells two balls of one kind apart, as far as they differ."""
    if kind not in KINDS:
        keys = ["meeting.closest_in"]
    elif kind in ("foul-tip", "foul-back"):
        keys = ["collision.exit_speed_mph"]
    else:
        keys = ["flight.carry_ft", "collision.exit_speed_mph"]
    rows = {row.key: row for row in followed}
    return [rows[key].words[2] + AFTER[key.partition(".")[2]] for key in keys if rows[key].differs]


def text(first: Case, second: Case, metric: bool = False) -> str:
    """A readable page of a comparison, in coach units or metric."""
    found = compare(first, second, metric)
    lines = [f"First: {first.scenario.title}", f"Second: {second.scenario.title}", "", found.sentence]
    wide = 2 + max(len(word) for row in (*found.changed, *found.followed) for word in row.words[:2])
    if found.changed:
        lines += ["", _line("", HEADINGS[0], COLUMNS, wide)]
        for row in found.changed:
            lines.append(_line("*", row.name if row.asked else f"{row.name} ({FOLLOWS})", row.words, wide))
    lines += ["", _line("", HEADINGS[1], COLUMNS, wide)]
    for heading, rows in groupby(found.followed, key=lambda row: row.group):
        lines += [] if heading == OUTCOME else [f"  {heading}"]
        lines += [_line("*" if row.differs else "", row.name, row.words, wide) for row in rows]
    lines += ["", STAR, "A model's answer, not a measurement; docs/model.md says what it leaves out."]
    return "\n".join(lines)


def _line(star: str, name: str, words: tuple[str, str, str], wide: int) -> str:
    first, second, difference = words
    return f"{star:<2}{name:<36}{first:>{wide}}{second:>{wide}}  {difference}".rstrip()


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
