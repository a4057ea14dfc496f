"""The words of an answer: values with their units, outcomes, one sentence, and a page of readable text.

Names of values end in their unit; that unit alone decides how a value is shown, in coach units or metric. Tables hold
messages in English, to be said with `language.tr`; functions answer in the language in use.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from plane3d import units
from plane3d.frames import side_sign
from plane3d.inputs import Result
from plane3d.language import mark, tr
from plane3d.quantities import unit_name
from plane3d.studies.contact_map import STRIP

Block = dict[str, Any]
MIDDLE = 15.0  # deg either side of centre field: the fair quarter circle in three equal parts, own choice
ON_LINE = 0.05  # in; a smaller gap would be shown as 0.0
NAME_WIDTH, VALUE_WIDTH, WINDOW_WIDTH = 34, 12, 10  # letters of a column in the text, at least

# unit ending: coach unit, decimals; metric unit, decimals, factor (coach to metric)
SHOWN = {
    "_mph": ("mph", 0, "km/h", 0, units.MPH / units.KMH),
    "_in": ("in", 1, "cm", 1, units.INCH / units.CENTIMETRE),
    "_ft": ("ft", 0, "m", 0, units.FOOT),
    "_deg": ("°", 0, "°", 0, 1.0),
    "_rpm": ("rpm", 0, "rpm", 0, 1.0),
    "_ms": ("ms", 0, "ms", 0, 1.0),
    "_rad_s": ("rad/s", 0, "rad/s", 0, 1.0),
    "_s": ("s", 2, "s", 2, 1.0),
}

# Outcomes within a sentence, and by name alone.
KINDS = {
    "foul-tip": mark("a foul tip"),
    "foul-back": mark("a foul back"),
    "foul-pull": mark("a foul ball to the pull side"),
    "foul-opposite": mark("a foul ball to the opposite side"),
    "ground-ball": mark("a ground ball"),
    "line-drive": mark("a line drive"),
    "fly-ball": mark("a fly ball"),
    "pop-up": mark("a pop-up"),
}
NAMES = {
    "miss": mark("miss"),
    "foul-tip": mark("foul tip"),
    "foul-back": mark("foul back"),
    "foul-pull": mark("foul ball to the pull side"),
    "foul-opposite": mark("foul ball to the opposite side"),
    "ground-ball": mark("ground ball"),
    "line-drive": mark("line drive"),
    "fly-ball": mark("fly ball"),
    "pop-up": mark("pop-up"),
}
TOWARD = {
    "pull side": mark("{kind} to the pull side"),
    "middle": mark("{kind} up the middle"),
    "opposite side": mark("{kind} to the opposite side"),
}

MISSES = {
    "under": mark("the bat passes under the ball"),
    "over": mark("the bat passes over the ball"),
    "early": mark("the bat is early"),
    "late": mark("the bat is late"),
    "inside the barrel": mark("the ball passes inside the barrel"),
    "off the end": mark("the ball passes off the end of the bat"),
}

WINDOWS = {"touch": mark("touch"), "fair": mark("fair"), "solid": mark("solid")}
CAVEAT = mark("A model's answer, not a measurement; docs/model.md says what it leaves out.")

# Headings and rows of the text; each row is a key of the JSON block and its name in words.
TEXT: dict[str, tuple[str, dict[str, str]]] = {
    "pitch": (mark("Pitch"), {
        "flight_time_s": mark("time to the plate"), "plate_speed_mph": mark("speed at the plate"),
        "speed_lost_mph": mark("speed lost"), "descent_angle_deg": mark("descent angle"),
        "plate_height_in": mark("pitch height"), "plate_side_in": mark("pitch side, toward first base"),
    }),
    "swing": (mark("Swing"), {
        "bat_speed_mph": mark("bat speed"), "attack_angle_deg": mark("attack angle"),
        "vertical_bat_angle_deg": mark("vertical bat angle"), "heading_deg": mark("barrel heading, toward first base"),
        "duration_s": mark("launch to contact"), "turn_rate_rad_s": mark("turn rate of the bat"), "dip_in": mark("dip"),
    }),
    "meeting": (mark("Meeting"), {
        "below_line_in": mark("below the line"), "undercut_in": mark("undercut"),
        "along_barrel_in": mark("along the barrel"),
        "depth_in": mark("contact depth"), "height_in": mark("contact height"),
        "side_in": mark("contact side, toward first base"),
        "closest_in": mark("closest pass"),
    }),
    "window": (mark("Contact window"), {
        "from_depth_in": mark("from a depth of"), "to_depth_in": mark("to a depth of"), "length_in": mark("length"),
        "length_ms": mark("length in time"), "fair_early_ms": mark("fair from a timing of"),
        "fair_late_ms": mark("fair to a timing of"),
    }),
    "barrel_path": (mark("Barrel path, seen from above"), {
        "around_in": mark("outside the straight way"),
        "around_ms": mark("furthest off, from contact"), "hinge_opens_ms": mark("hinge opens, from contact"),
    }),
    "second_pitch": (mark("Second pitch"), {
        "arrives_later_ms": mark("arrives later by"), "apart_at_decision_in": mark("apart when the swing must start"),
        "decision_s": mark("the swing must start at"),
    }),
    "collision": (mark("Off the bat"), {
        "exit_speed_mph": mark("exit speed"), "launch_angle_deg": mark("launch angle"),
        "spray_angle_deg": mark("spray angle, toward first base"),
        "backspin_rpm": mark("backspin"), "sidespin_rpm": mark("sidespin"),
    }),
    "flight": (mark("Flight"), {
        "carry_ft": mark("carry"), "hang_time_s": mark("hang time"), "apex_ft": mark("apex"),
        "landing_out_ft": mark("first bounce, toward centre field"),
        "landing_side_ft": mark("first bounce, toward first base"),
    }),
    "why": (mark("Why this launch angle"), {
        "attack_deg": mark("the swing's climb"), "undercut_deg": mark("the undercut"), "rest_deg": mark("the rest"),
    }),
}  # fmt: skip


def show(key: str, value: float | None, metric: bool = False, small: bool = False) -> str:
    """A value in words; the key's ending names its coach unit. ``show("apex_ft", 88.2)`` is ``88 ft``.

    small : whether a value that whole numbers would say too roughly gets a decimal
    """
    ending = next(e for e in SHOWN if key.endswith(e))
    if value is None:
        return tr("none")
    unit, decimals, metric_unit, metric_decimals, factor = SHOWN[ending]
    if metric:
        unit, decimals, value = metric_unit, metric_decimals, value * factor
    if small and abs(value) < 2.0:
        decimals = max(decimals, 1)
    number = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return f"{number}{unit}" if unit == "°" else f"{number} {unit_name(unit)}"


def sentence(result: Result, metric: bool = False) -> str:
    """The play in one sentence, such as "The barrel is 1.0 in below the line: a fly ball, ..., 340 ft."."""
    where = _where(result, metric)
    c, f, kind = result.collision, result.flight, result.outcome.kind
    if c is None or f is None:
        miss = result.meeting.miss or "under"
        gap = show("_in", result.meeting.closest / units.INCH, metric)
        near = tr("less than {gap}", gap=show("_in", 0.1, metric)) if gap == show("_in", 0.0, metric) else gap
        return tr("{where}: a miss; {how}, {gap} from touching.", where=where, how=tr(MISSES[miss]), gap=near)
    parts = [tr(KINDS[kind])]
    if result.outcome.fair:
        goes = math.atan2(f.landing_side, f.landing_out)
        parts = [toward(parts[0], goes / units.DEGREE, result.inputs.bats)]
    if kind != "foul-tip":
        parts.append(climb(c.launch_angle / units.DEGREE))
    parts.append(tr("{speed} off the bat", speed=show("_mph", c.exit_speed / units.MPH, metric)))
    carry = show("_ft", f.carry / units.FOOT, metric)
    if kind == "ground-ball":
        parts.append(tr("first bounce at {carry}", carry=carry))
    elif kind not in ("foul-tip", "foul-back"):
        parts.append(carry)
    if result.outcome.over_fence:
        parts.append(tr("over the fence"))
    return f"{where}: {', '.join(parts)}."


def capital(words: str) -> str:
    """Words as they begin a line or a sentence."""
    return words[:1].upper() + words[1:]


def listed(parts: Sequence[str]) -> str:
    """Parts of a sentence one after the other: a, b and c."""
    *most, last = parts
    return tr("{most} and {last}", most=", ".join(most), last=last) if most else last


def climb(angle_deg: float) -> str:
    """An angle in words: 27° up, 3° down, level."""
    whole = round(angle_deg)
    if whole == 0:
        return tr("level")
    size = f"{abs(whole)}°"
    return tr("{angle} up", angle=size) if whole > 0 else tr("{angle} down", angle=size)


def side_word(goes_deg: float, bats: str) -> str:
    """Where a ball goes as the hitter says it: pull side, middle or opposite side, the keys of TOWARD.

    goes_deg : bearing of the first bounce, toward first base positive; a sliced ball lands far from where it started
    """
    toward_opposite = goes_deg * side_sign(bats)
    if abs(toward_opposite) <= MIDDLE:
        return "middle"
    return "opposite side" if toward_opposite > 0 else "pull side"


def toward(kind: str, goes_deg: float, bats: str) -> str:
    """A kind of ball, in words, with where it goes: a fly ball to the pull side."""
    return tr(TOWARD[side_word(goes_deg, bats)], kind=kind)


def gap_words(below: float, metric: bool = False) -> str:
    """A gap below the line (m, barrel lower positive) in words: 1.0 in below the line, on the line."""
    gap = below / units.INCH
    if abs(gap) < ON_LINE:
        return tr("on the line")
    size = show("_in", abs(gap), metric)
    return tr("{gap} below the line", gap=size) if gap > 0 else tr("{gap} above the line", gap=size)


def timing_words(seconds: float) -> str:
    """A timing error (s, late positive) in words: 12 ms late, on time."""
    size = show("_ms", abs(seconds) / units.MILLISECOND)
    if size == show("_ms", 0.0):
        return tr("on time")
    return _off_time(size, seconds)


def _off_time(size: str, seconds: float) -> str:
    return tr("{time} late", time=size) if seconds > 0 else tr("{time} early", time=size)


def range_words(first: float, last: float) -> str:
    """A range of timings (s) in words: 12 ms early to 4 ms late."""
    start, end = timing_words(first), timing_words(last)
    return start if first == last else tr("{first} to {last}", first=start, last=end)


def window_words(first: float, last: float) -> str:
    """A timing window in words. At an end of the strip it says "at least": what lies beyond was not computed."""
    start, end = timing_words(first), timing_words(last)
    if first <= STRIP[0]:
        start = tr("at least {time}", time=start)
    if last >= STRIP[-1]:
        end = tr("at least {time}", time=end)
    if first == last:
        return start if first <= STRIP[0] else end
    return tr("{first} to {last}", first=start, last=end)


def _where(result: Result, metric: bool) -> str:
    """How barrel and ball met, or passed: below the line, timing, place along the barrel."""
    m = result.meeting
    parts = []
    if m.miss not in ("early", "late"):
        parts.append(gap_words(m.below_line, metric))
    timing = float(result.inputs.swing.timing)
    if abs(timing / units.MILLISECOND) >= 0.5:
        parts.append(_off_time(show("_ms", abs(timing / units.MILLISECOND)), timing))
    along = m.along_barrel / units.INCH
    if m.touch and abs(along) >= 1.0:
        tip, hands = mark("{gap} off the sweet spot toward the tip"), mark("{gap} off the sweet spot toward the hands")
        parts.append(tr(tip if along > 0 else hands, gap=show("_in", abs(along), metric)))
    return tr("The barrel is {how}", how=listed(parts)) if parts else tr("The swing is off time for this pitch")


def text(title: str, result: Result, blocks: Block, metric: bool = False, sure: str = "") -> str:
    """A readable page of an answer and its `report` blocks, in coach units or metric.

    sure : a line on how sure the answer is, to stand under its sentence
    """
    shown = {name: words for name, words in TEXT.items() if blocks[name] is not None}
    names = [tr(words) for _, rows in shown.values() for words in rows.values()]
    wide = max(NAME_WIDTH, 1 + max(map(len, names)))
    lines = [tr(title), "", sentence(result, metric), *([sure] if sure else [])]
    for name, (heading, rows) in shown.items():
        lines += ["", tr(heading)]
        for key, words in rows.items():
            lines.append(f"  {tr(words):<{wide}}{show(key, blocks[name][key], metric):>{VALUE_WIDTH}}")
    lines += _timing_lines(blocks, metric)
    lines += ["", tr(CAVEAT)]
    return "\n".join(lines)


def _timing_lines(blocks: Block, metric: bool) -> list[str]:
    """The timing windows, and the strip with equal outcomes taken together."""
    if blocks["timing"] is None:
        return []
    windows = []
    for name, words in WINDOWS.items():
        ends = [blocks["timing"][f"{name}_{key}_ms"] for key in ("early", "late")]
        found = tr("none") if None in ends else window_words(*(end * units.MILLISECOND for end in ends))
        windows.append((tr(words), found))
    gives = []
    for kind, run in groupby(blocks["strip"], key=lambda column: column["kind"]):
        columns = list(run)
        ends = [columns[end]["timing_ms"] * units.MILLISECOND for end in (0, -1)]
        outcome = tr(NAMES[kind])
        gives.append((range_words(*ends), outcome if kind == "miss" else f"{outcome}, {_speeds(columns, metric)}"))
    return [
        "", tr("Timing windows"), *_two_columns(windows, WINDOW_WIDTH),
        "", tr("What each timing gives"), *_two_columns(gives, NAME_WIDTH),
    ]  # fmt: skip


def _two_columns(rows: Sequence[tuple[str, str]], least: int) -> list[str]:
    wide = max(least, 2 + max(len(first) for first, _ in rows))
    return [f"  {first:<{wide}}{second}" for first, second in rows]


def _speeds(columns: list[Block], metric: bool) -> str:
    """The exit speeds of some columns: "84 mph" or "63 to 87 mph"."""
    speeds = [column["exit_speed_mph"] for column in columns]
    low, high = (show("_mph", end(speeds), metric) for end in (min, max))
    return high if low == high else tr("{low} to {high}", low=low.split()[0], high=high)
