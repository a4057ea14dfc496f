"""Every number of a scenario's inputs, answer and paths, for spreadsheets (CSV) and programs (JSON)."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from plane3d import __version__
from plane3d.export.files import write_whole
from plane3d.export.subject import Subject, Wishes
from plane3d.frames import Array
from plane3d.language import mark, tr
from plane3d.plays import pitch_flight
from plane3d.quantities import CHOICE_LABELS, all_quantities
from plane3d.scene.apart import Progress
from plane3d.words import SHOWN, TEXT, WINDOWS, Block

FRAME = (
    "metres; origin at the rear point of home plate on the ground, x toward first base, y toward the pitcher, z up; "
    "time in seconds from the pitcher's release"
)
STEP, FLIGHT_STEP = 0.001, 0.010  # s between points, while the bat moves and afterwards
HEADER = ("key", "value", "unit", "metric_value", "metric_unit", "meaning")
TIMING_COLUMNS = ("timing_ms", "kind", "exit_speed_mph", "launch_angle_deg", "spray_angle_deg")
DECIMALS = 7
SPREADSHEET = "utf-8-sig"  # with the mark by which spreadsheets know it
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # a text that begins so would be taken for one

# What stands in the answer beyond the rows of its text.
MEANINGS = {
    "meeting.touch": mark("Meeting: whether bat and ball touch"),
    "meeting.struck_in": mark("Meeting: where the barrel is struck, from the sweet spot toward the tip"),
    "meeting.miss": mark("Meeting: how the bat misses"),
    "collision.efficiency": mark("Off the bat: collision efficiency"),
    "collision.regime": mark("Off the bat: whether the ball grips the bat or slides"),
    "outcome.kind": mark("Outcome: kind of ball"),
    "outcome.fair": mark("Outcome: whether it is fair"),
    "outcome.over_fence": mark("Outcome: whether it clears the fence"),
    "outcome.sentence": mark("Outcome in words"),
}
ENDS = {"early": mark("Timing window: {what}, from"), "late": mark("Timing window: {what}, to")}


def paths(subject: Subject) -> dict[str, Array]:
    """Times (n,) s and the places (n, 3) m of ball, knob, tip, sweet spot and hands at them, by name with its unit.

    Points stand `STEP` apart until the swing is over and `FLIGHT_STEP` until the ball is down; contact or the closest
    pass is one of them. With a second pitch its ball is there too.
    """
    play = subject.play
    swing_over = max(play.aim_time + float(play.plays.swing.follow_time[0]), play.closest_time)
    end = max(play.end_time, swing_over)
    t = np.unique(np.round(np.concatenate([
        np.arange(0.0, swing_over, STEP), np.arange(swing_over, end, FLIGHT_STEP), [play.closest_time, end],
    ]), DECIMALS))  # fmt: skip
    knob, axis = play.bat_at(t)
    found = {
        "time_s": t,
        "ball_m": play.ball_at(t),
        "knob_m": knob,
        "tip_m": knob + play.inputs.bat.length * axis,
        "sweet_spot_m": play.sweet_spot_at(t),
        "hands_m": play.hands_at(t),
    }
    other = subject.scenario.with_second_pitch()
    if other is not None:
        flight = pitch_flight(other.to_inputs())
        found["second_ball_m"] = flight.at(np.clip(t, 0.0, play.pitch_end_time)[None])[0]
    return {name: np.round(values, DECIMALS) for name, values in found.items()}


def json_text(subject: Subject) -> str:
    """Inputs, answer and paths as JSON; a block, and a path, on a line of its own."""
    scenario, play = subject.scenario, subject.play
    values = scenario.model_dump(mode="json", exclude_none=True)
    texts = {name: tr(values.pop(name)) for name in ("title", "question", "notice")}
    points = paths(subject)
    about = {"frame": FRAME, "contact_time_s": play.contact_time, "closest_time_s": play.closest_time,
             "launch_time_s": play.launch_time}  # fmt: skip
    series = _lines({**about, **{name: values.tolist() for name, values in points.items()}}, " ")
    blocks: Block = {"made_by": f"plane3d {__version__}", **texts, "inputs": values, "answer": subject.answer}
    return _lines(blocks)[:-2] + f',\n"paths": {series}\n}}\n'


def _lines(values: Block, indent: str = "") -> str:
    """An object with each of its values on one line."""
    lines = (f"{indent}{json.dumps(k)}: {json.dumps(v, allow_nan=False)}" for k, v in values.items())
    return "{\n" + ",\n".join(lines) + f"\n{indent}}}"


def rows(subject: Subject) -> Iterator[tuple[Any, ...]]:
    """Each number, word or yes and no, as `HEADER` names its columns; what does not apply is left empty."""
    scenario = subject.scenario
    yield "title", subject.title, "", "", "", ""
    for key, quantity in all_quantities().items():
        value = scenario.value(key)
        if value is None and key.partition(".")[0] in ("held", "second_pitch"):
            continue
        shown = quantity.shown_in(metric=True)
        changed = value is not None and shown.name != quantity.shown_in(metric=False).name
        metric = (value * shown.factor + shown.offset, shown.name) if changed else ("", "")
        yield f"inputs.{key}", value, quantity.unit, *metric, f"{tr(quantity.label)}. {tr(quantity.doc)}"
    for key, label in CHOICE_LABELS.items():
        if (word := scenario.value(key)) is not None:
            yield f"inputs.{key}", word, "", "", "", tr(label)
    for block, values in subject.answer.items():
        for name, value in (values if isinstance(values, dict) else {}).items():
            yield f"answer.{block}.{name}", value, *_units(name, value), _meaning(block, name)


def _units(name: str, value: Any) -> tuple[str, Any, str]:
    """Unit of an answer's number, the number in the metric unit, and that unit; empty where there is none."""
    ending = next((e for e in SHOWN if name.endswith(e)), None)
    if ending is None:
        return "", "", ""
    unit, _, metric_unit, _, factor = SHOWN[ending]
    if value is None or unit == metric_unit:
        return ("deg" if unit == "°" else unit), "", ""
    return unit, value * factor, metric_unit


def _meaning(block: str, name: str) -> str:
    if told := MEANINGS.get(f"{block}.{name}"):
        return tr(told)
    if block == "timing":
        window, end, _ = name.split("_")
        return tr(ENDS[end], what=tr(WINDOWS[window]))
    heading, words = TEXT[block]
    return f"{tr(heading)}: {tr(words[name])}"


def path_rows(subject: Subject) -> Iterator[tuple[Any, ...]]:
    """The paths as a table: a header such as ``ball_x_m``, then one row for each time."""
    points = paths(subject)
    columns: list[tuple[str, Array]] = []
    for name, values in points.items():
        what, _, unit = name.rpartition("_")
        if values.ndim == 1:
            columns.append((name, values))
        else:
            columns += [(f"{what}_{axis}_{unit}", values[:, k]) for k, axis in enumerate("xyz")]
    yield tuple(name for name, _ in columns)
    yield from zip(*(values.tolist() for _, values in columns), strict=True)


def timing_rows(subject: Subject) -> Iterator[tuple[Any, ...]]:
    """What each timing gives as a table with `TIMING_COLUMNS`."""
    yield TIMING_COLUMNS
    for column in subject.answer["strip"]:
        yield tuple(column[name] for name in TIMING_COLUMNS)


def csv_bytes(table: Iterable[tuple[Any, ...]]) -> bytes:
    """A table as CSV (RFC 4180, UTF-8); numbers to `DECIMALS`, what is empty stays empty."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows(tuple(map(_cell, row)) for row in table)
    return text.getvalue().encode(SPREADSHEET)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return f"{round(value, DECIMALS) + 0.0:.12g}"
    return f"'{value}" if str(value).startswith(FORMULA) else str(value)


def csv_paths(path: Path) -> tuple[Path, Path, Path]:
    """The three files of the kind: all numbers, the paths, and what each timing gives."""
    return path, path.with_stem(f"{path.stem}-paths"), path.with_stem(f"{path.stem}-timings")


def write_csv(subject: Subject, path: Path, wishes: Wishes, painter: Any, progress: Progress) -> None:
    """Write the numbers as CSV, in three files (`csv_paths`)."""
    tables = ((HEADER, *rows(subject)), path_rows(subject), timing_rows(subject))
    packed = [csv_bytes(table) for table in tables]
    for place, data in zip(csv_paths(path), packed, strict=True):
        write_whole(data, place)


def write_json(subject: Subject, path: Path, wishes: Wishes, painter: Any, progress: Progress) -> None:
    """Write the numbers as JSON."""
    write_whole(json_text(subject).encode(), path)
