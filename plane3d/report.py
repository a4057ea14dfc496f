"""A play's answer in coach units: the numbers as JSON blocks. Its words stand in `words`, and are offered here too."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plane3d import units
from plane3d.inputs import Result
from plane3d.physics.flight import Flight
from plane3d.play import Play
from plane3d.plays import Plays
from plane3d.studies.contact_map import (
    STRIP,
    TOLERANCE,
    Road,
    contact_map,
    dip,
    road,
    solid,
    strip,
    timing_range,
    window,
)
from plane3d.studies.tunnel import Tunnel, tunnel
from plane3d.words import (
    KINDS,
    MISSES,
    NAMES,
    TEXT,
    Block,
    capital,
    climb,
    gap_words,
    range_words,
    sentence,
    show,
    side_word,
    text,
    timing_words,
    toward,
    window_words,
)

__all__ = [
    "KINDS", "MISSES", "NAMES", "TEXT", "Block", "MapReading", "capital", "climb", "gap_words", "range_words",
    "read_map", "report", "sentence", "show", "side_word", "text", "timing_words", "toward", "window_words",
]  # fmt: skip


@dataclass(frozen=True)
class MapReading:
    """What the contact map says about one play, SI.

    from_depth, to_depth : m from the plate's front edge; length : m; length_time : s
    dip : m; fair : earliest and latest timing (s, late positive) that give a fair ball, None if none does
    timed : the play again at each timing of `STRIP`, as full plays
    road : how the barrel came, of this one swing; pair : this pitch beside a second one, None where there is none
    """

    from_depth: float
    to_depth: float
    length: float
    length_time: float
    dip: float
    fair: tuple[float, float] | None
    timed: Plays | None = None
    road: Road | None = None
    pair: Tunnel | None = None


def read_map(play: Play, second: Flight | None = None, tolerance: float = TOLERANCE) -> MapReading:
    """The contact window, the dip and the fair timings of a play; about as much work as a hundred plays.

    second : one pitch to compare the play's own with; tolerance : of the contact window, m
    """
    cmap = contact_map(play.plays)
    found = window(cmap, tolerance)
    timed = strip(play.plays)
    return MapReading(
        from_depth=float(found.from_depth[0]),
        to_depth=float(found.to_depth[0]),
        length=float(found.length[0]),
        length_time=float(found.length_time[0]),
        dip=float(dip(cmap)[0]),
        fair=timing_range(STRIP, timed.fair),
        timed=timed,
        road=road(play.plays),
        pair=None if second is None else tunnel(play.plays.pitch, second, play.decision_time),
    )


def report(result: Result, reading: MapReading | None = None) -> Block:
    """The answer as ``plane3d solve --json`` prints it; a block that does not apply is None.

    reading : from `read_map`; without it the window, the dip, the road, the timing and the strip are None
    """
    p, s, m, o = result.pitch, result.swing, result.meeting, result.outcome
    blocks: Block = {
        "pitch": {
            "flight_time_s": p.flight_time,
            "plate_speed_mph": p.plate_speed / units.MPH,
            "speed_lost_mph": p.speed_lost / units.MPH,
            "descent_angle_deg": p.descent_angle / units.DEGREE,
            "plate_side_in": p.plate_side / units.INCH,
            "plate_height_in": p.plate_height / units.INCH,
        },
        "swing": {
            "bat_speed_mph": s.bat_speed / units.MPH,
            "attack_angle_deg": s.attack_angle / units.DEGREE,
            "vertical_bat_angle_deg": s.vertical_bat_angle / units.DEGREE,
            "duration_s": s.duration,
            "turn_rate_rad_s": s.turn_rate,
            "heading_deg": s.heading / units.DEGREE,
            "dip_in": None if reading is None else reading.dip / units.INCH,
        },
        "meeting": {
            "touch": bool(m.touch),
            "below_line_in": m.below_line / units.INCH,
            "undercut_in": m.undercut / units.INCH,
            "along_barrel_in": m.along_barrel / units.INCH,
            "struck_in": m.struck / units.INCH,
            "depth_in": m.depth / units.INCH,
            "height_in": m.height / units.INCH,
            "side_in": m.side / units.INCH,
            "closest_in": m.closest / units.INCH,
            "miss": m.miss,
        },
        "window": _window(reading),
        "barrel_path": _barrel_path(reading),
        "second_pitch": _second_pitch(reading),
        **_after_contact(result),
        "outcome": {"kind": o.kind, "fair": o.fair, "over_fence": o.over_fence, "sentence": sentence(result)},
        "why": None,
        **_timings(reading),
    }
    if result.why is not None:
        w = result.why
        parts = {"attack_deg": w.attack, "undercut_deg": w.undercut, "rest_deg": w.rest}
        blocks["why"] = {name: part / units.DEGREE for name, part in parts.items()}
    return blocks


def _window(reading: MapReading | None) -> Block | None:
    if reading is None:
        return None
    early, late = reading.fair or (None, None)
    return {
        "from_depth_in": reading.from_depth / units.INCH,
        "to_depth_in": reading.to_depth / units.INCH,
        "length_in": reading.length / units.INCH,
        "length_ms": reading.length_time / units.MILLISECOND,
        "fair_early_ms": None if early is None else early / units.MILLISECOND,
        "fair_late_ms": None if late is None else late / units.MILLISECOND,
    }


def _barrel_path(reading: MapReading | None) -> Block | None:
    if reading is None or reading.road is None:
        return None
    found = reading.road
    return {
        "around_in": float(found.around[0]) / units.INCH,
        "around_ms": float(found.around_time[0]) / units.MILLISECOND,
        "hinge_opens_ms": None if np.isnan(found.hinge_time[0]) else float(found.hinge_time[0]) / units.MILLISECOND,
    }


def _second_pitch(reading: MapReading | None) -> Block | None:
    if reading is None or reading.pair is None:
        return None
    return {
        "arrives_later_ms": reading.pair.arrives_later / units.MILLISECOND,
        "apart_at_decision_in": reading.pair.apart_then / units.INCH,
        "decision_s": reading.pair.decision_time,
    }


def _timings(reading: MapReading | None) -> Block:
    """The blocks of the timing windows and of the strip."""
    if reading is None or reading.timed is None:
        return {"timing": None, "strip": None}
    timed = reading.timed
    windows: Block = {}
    for name, good in {"touch": timed.meeting.touch, "fair": timed.fair, "solid": solid(timed)}.items():
        ends = timing_range(STRIP, good) or (None, None)
        for key, end in zip(("early", "late"), ends, strict=True):
            windows[f"{name}_{key}_ms"] = None if end is None else _milliseconds(end)
    return {"timing": windows, "strip": [_column(timed, i) for i in range(len(timed))]}


def _column(timed: Plays, i: int) -> Block:
    """One timing of the strip."""
    column = {
        "exit_speed_mph": timed.exit_speed[i] / units.MPH,
        "launch_angle_deg": timed.launch_angle[i] / units.DEGREE,
        "spray_angle_deg": timed.spray_angle[i] / units.DEGREE,
    }
    touch = bool(timed.meeting.touch[i])
    return {"timing_ms": _milliseconds(STRIP[i]), "kind": str(timed.kind[i])} | {
        name: float(value) if touch else None for name, value in column.items()
    }


def _milliseconds(seconds: float) -> float:
    """Whole steps of the strip stay whole numbers."""
    return round(float(seconds) / units.MILLISECOND, 6)


def _after_contact(result: Result) -> Block:
    """The blocks of the hit and its flight."""
    c, f = result.collision, result.flight
    return {
        "collision": c and {
            "exit_speed_mph": c.exit_speed / units.MPH,
            "launch_angle_deg": c.launch_angle / units.DEGREE,
            "spray_angle_deg": c.spray_angle / units.DEGREE,
            "backspin_rpm": c.backspin / units.RPM,
            "sidespin_rpm": c.sidespin / units.RPM,
            "efficiency": c.efficiency,
            "regime": c.regime,
        },
        "flight": f and {
            "carry_ft": f.carry / units.FOOT,
            "hang_time_s": f.hang_time,
            "apex_ft": f.apex / units.FOOT,
            "landing_side_ft": f.landing_side / units.FOOT,
            "landing_out_ft": f.landing_out / units.FOOT,
        },
    }  # fmt: skip
