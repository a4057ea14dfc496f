"""The words of an answer: values with their units, outcomes, one sentence, and a page of readable text.

Names of values end in their unit; that unit alone decides how a value is shown, in coach units or metric.
"""

from __future__ import annotations

import math
from itertools import groupby
from typing import Any

from plane3d import units
from plane3d.frames import side_sign
from plane3d.inputs import Result
from plane3d.studies.contact_map import STRIP

Block = dict[str, Any]
MIDDLE = 15.0  # deg either side of centre field: the fair quarter circle in three equal parts, own choice
ON_LINE = 0.05  # in; a smaller gap would be shown as 0.0

# unit ending: coach unit, decimals; metric unit, decimals, factor (coach to metric)
SHOWN = {
    "_mph": (" mph", 0, " km/h", 0, units.MPH / units.KMH),
    "_in": (" in", 1, " cm", 1, units.INCH / units.CENTIMETRE),
    "_ft": (" ft", 0, " m", 0, units.FOOT),
    "_deg": ("°", 0, "°", 0, 1.0),
    "_rpm": (" rpm", 0, " rpm", 0, 1.0),
    "_ms": (" ms", 0, " ms", 0, 1.0),
    "_rad_s": (" rad/s", 0, " rad/s", 0, 1.0),
    "_s": (" s", 2, " s", 2, 1.0),
}

KINDS = {
    "foul-tip": "a foul tip",
    "foul-back": "a foul back",
    "foul-pull": "a foul ball to the pull side",
    "foul-opposite": "a foul ball to the opposite side",
    "ground-ball": "a ground ball",
    "line-drive": "a line drive",
    "fly-ball": "a fly ball",
    "pop-up": "a pop-up",
}

MISSES = {
    "under": "the bat passes under the ball",
    "over": "the bat passes over the ball",
    "early": "the bat is early",
    "late": "the bat is late",
    "inside the barrel": "the ball passes inside the barrel",
    "off the end": "the ball passes off the end of the bat",
}

# Headings and rows of the text; each row is a key of the JSON block and its name in words.
TEXT: dict[str, tuple[str, dict[str, str]]] = {
    "pitch": ("Pitch", {
        "flight_time_s": "time to the plate", "plate_speed_mph": "speed at the plate",
        "speed_lost_mph": "speed lost", "descent_angle_deg": "descent angle",
        "plate_height_in": "pitch height", "plate_side_in": "pitch side, toward first base",
    }),
    "swing": ("Swing", {
        "bat_speed_mph": "bat speed", "attack_angle_deg": "attack angle",
        "vertical_bat_angle_deg": "vertical bat angle", "heading_deg": "barrel heading, toward first base",
        "duration_s": "launch to contact", "turn_rate_rad_s": "turn rate of the bat", "dip_in": "dip",
    }),
    "meeting": ("Meeting", {
        "below_line_in": "below the line", "undercut_in": "undercut", "along_barrel_in": "along the barrel",
        "depth_in": "contact depth", "height_in": "contact height",
        "side_in": "contact side, toward first base",
        "closest_in": "closest pass",
    }),
    "window": ("Contact window", {
        "from_depth_in": "from a depth of", "to_depth_in": "to a depth of", "length_in": "length",
        "length_ms": "length in time", "fair_early_ms": "fair from a timing of",
        "fair_late_ms": "fair to a timing of",
    }),
    "barrel_path": ("Barrel path, seen from above", {
        "around_in": "outside the straight way",
        "around_ms": "furthest off, from contact", "hinge_opens_ms": "hinge opens, from contact",
    }),
    "second_pitch": ("Second pitch", {
        "arrives_later_ms": "arrives later by", "apart_at_decision_in": "apart when the swing must start",
        "decision_s": "the swing must start at",
    }),
    "collision": ("Off the bat", {
        "exit_speed_mph": "exit speed", "launch_angle_deg": "launch angle",
        "spray_angle_deg": "spray angle, toward first base",
        "backspin_rpm": "backspin", "sidespin_rpm": "sidespin",
    }),
    "flight": ("Flight", {
        "carry_ft": "carry", "hang_time_s": "hang time", "apex_ft": "apex",
        "landing_out_ft": "first bounce, toward centre field",
        "landing_side_ft": "first bounce, toward first base",
    }),
    "why": ("Why this launch angle", {
        "attack_deg": "the swing's climb", "undercut_deg": "the undercut", "rest_deg": "the rest",
    }),
}  # fmt: skip


def show(key: str, value: float | None, metric: bool = False) -> str:
    """A value in words; the key's ending names its coach unit. ``show("apex_ft", 88.2)`` is ``88 ft``."""
    ending = next(e for e in SHOWN if key.endswith(e))
    if value is None:
        return "none"
    unit, decimals, metric_unit, metric_decimals, factor = SHOWN[ending]
    if metric:
        unit, decimals, value = metric_unit, metric_decimals, value * factor
    return f"{round(value, decimals) + 0.0:.{decimals}f}{unit}"


def sentence(result: Result, metric: bool = False) -> str:
    """The play in one sentence, such as "The barrel is 1.0 in below the line: a fly ball, ..., 340 ft."."""
    where = _where(result, metric)
    c, f, kind = result.collision, result.flight, result.outcome.kind
    if c is None or f is None:
        how = MISSES[result.meeting.miss or "under"]
        gap = show("_in", result.meeting.closest / units.INCH, metric)
        near = "less than " + show("_in", 0.1, metric) if gap == show("_in", 0.0, metric) else gap
        return f"{where}: a miss; {how}, {near} from touching."
    parts = [KINDS[kind] + _toward(result)]
    if kind != "foul-tip":
        parts.append(climb(c.launch_angle / units.DEGREE))
    parts.append(f"{show('_mph', c.exit_speed / units.MPH, metric)} off the bat")
    carry = show("_ft", f.carry / units.FOOT, metric)
    if kind == "ground-ball":
        parts.append(f"first bounce at {carry}")
    elif kind not in ("foul-tip", "foul-back"):
        parts.append(carry)
    if result.outcome.over_fence:
        parts.append("over the fence")
    return f"{where}: {', '.join(parts)}."


def climb(angle_deg: float) -> str:
    """An angle in words: 27° up, 3° down, level."""
    whole = round(angle_deg)
    return f"{abs(whole)}° {'up' if whole > 0 else 'down'}" if whole else "level"


def side_word(goes_deg: float, bats: str) -> str:
    """Where a ball goes as the hitter says it: pull side, middle or opposite side.

    goes_deg : bearing of the first bounce, toward first base positive; a sliced ball lands far from where it started
    """
    toward_opposite = goes_deg * side_sign(bats)
    if abs(toward_opposite) <= MIDDLE:
        return "middle"
    return "opposite side" if toward_opposite > 0 else "pull side"


def gap_words(below: float, metric: bool = False) -> str:
    """A gap below the line (m, barrel lower positive) in words: 1.0 in below the line, on the line."""
    gap = below / units.INCH
    if abs(gap) < ON_LINE:
        return "on the line"
    return f"{show('_in', abs(gap), metric)} {'below' if gap > 0 else 'above'} the line"


def timing_words(seconds: float) -> str:
    """A timing error (s, late positive) in words: 12 ms late, on time."""
    size = show("_ms", abs(seconds) / units.MILLISECOND)
    if size == show("_ms", 0.0):
        return "on time"
    return f"{size} {'late' if seconds > 0 else 'early'}"


def range_words(first: float, last: float) -> str:
    """A range of timings (s) in words: 12 ms early to 4 ms late."""
    return timing_words(first) if first == last else f"{timing_words(first)} to {timing_words(last)}"


def window_words(first: float, last: float) -> str:
    """A timing window in words. At an end of the strip it says "at least": what lies beyond was not computed."""
    early = "at least " if first <= STRIP[0] else ""
    late = "at least " if last >= STRIP[-1] else ""
    if first == last:
        return early + late + timing_words(first)
    return f"{early}{timing_words(first)} to {late}{timing_words(last)}"


def _toward(result: Result) -> str:
    if result.flight is None or not result.outcome.fair:
        return ""
    goes = math.atan2(result.flight.landing_side, result.flight.landing_out)
    side = side_word(goes / units.DEGREE, result.inputs.bats)
    return " up the middle" if side == "middle" else f" to the {side}"


def _where(result: Result, metric: bool) -> str:
    """How barrel and ball met, or passed: below the line, timing, place along the barrel."""
    m = result.meeting
    parts = []
    if m.miss not in ("early", "late"):
        parts.append(gap_words(m.below_line, metric))
    timing = float(result.inputs.swing.timing) / units.MILLISECOND
    if abs(timing) >= 0.5:
        parts.append(f"{show('_ms', abs(timing))} {'late' if timing > 0 else 'early'}")
    along = m.along_barrel / units.INCH
    if m.touch and abs(along) >= 1.0:
        end = "tip" if along > 0 else "hands"
        parts.append(f"{show('_in', abs(along), metric)} off the sweet spot toward the {end}")
    if not parts:
        return "The swing is off time for this pitch"
    *most, last = parts
    return f"The barrel is {', '.join(most)}{' and ' if most else ''}{last}"


def text(title: str, result: Result, blocks: Block, metric: bool = False) -> str:
    """A readable page of an answer and its `report` blocks, in coach units or metric."""
    lines = [title, "", sentence(result, metric)]
    for name, (heading, rows) in TEXT.items():
        if blocks[name] is None:
            continue
        lines += ["", heading]
        lines += [f"  {words:<34}{show(key, blocks[name][key], metric):>12}" for key, words in rows.items()]
    lines += _timing_lines(blocks, metric)
    lines += ["", "A model's answer, not a measurement; docs/model.md says what it leaves out."]
    return "\n".join(lines)


def _timing_lines(blocks: Block, metric: bool) -> list[str]:
    """The timing windows, and the strip with equal outcomes taken together."""
    if blocks["timing"] is None:
        return []
    lines = ["", "Timing windows"]
    for name in ("touch", "fair", "solid"):
        ends = [blocks["timing"][f"{name}_{key}_ms"] for key in ("early", "late")]
        words = "none" if None in ends else window_words(*(end * units.MILLISECOND for end in ends))
        lines.append(f"  {name:<10}{words}")
    lines += ["", "What each timing gives"]
    for kind, run in groupby(blocks["strip"], key=lambda column: column["kind"]):
        columns = list(run)
        words = range_words(*(columns[end]["timing_ms"] * units.MILLISECOND for end in (0, -1)))
        outcome = KINDS[kind].removeprefix("a ") + _speeds(columns, metric) if kind in KINDS else kind
        lines.append(f"  {words:<34}{outcome}")
    return lines


def _speeds(columns: list[Block], metric: bool) -> str:
    """The exit speeds of some columns: ", 84 mph" or ", 63 to 87 mph"."""
    speeds = [column["exit_speed_mph"] for column in columns]
    low, high = (show("_mph", end(speeds), metric) for end in (min, max))
    return f", {high}" if low == high else f", {low.split()[0]} to {high}"
