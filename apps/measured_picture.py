"""The picture of a measured swing as plain numbers: samples, the smoothed path, and how far apart they are."""

from __future__ import annotations

from typing import Any

import numpy as np

from plane3d.frames import Array, norm, side_sign
from plane3d.measured.measure import Found
from plane3d.plays import pitch_flight

MOST_SAMPLES = 1200  # drawn; more are thinned out evenly
STEP = 0.002  # s between the places of the smoothed path
NEAR = 2.0  # m in front of the plate from where the pitch line is drawn


def picture(found: Found) -> dict[str, Any]:
    """Samples and path of knob and tip in m on the field, times in ms from contact, residuals in mm."""
    m = found.measured
    track, times = m.track, m.points.times - m.impact.time
    rows = np.flatnonzero((times >= track.start) & (times <= track.end))
    rows = rows[:: 1 + len(rows) // MOST_SAMPLES]
    ends = {"knob": (m.points.knob, 0.0), "tip": (m.points.tip, m.checked.length)}
    s = np.linspace(track.start, track.end, 2 + int((track.end - track.start) / STEP))

    def path(s: Array, along: float) -> Array:
        knob, axis = track.pose(s)
        return knob + along * axis

    drawn: dict[str, Any] = {
        "times": _short(1e3 * times[rows], 2),
        "noise": round(1e3 * m.noise, 2),
        "side": float(side_sign(m.bats)),
        "pitch": _short(_pitch(found)),
        "bat": _short(np.concatenate([path(np.zeros(1), 0.0), path(np.zeros(1), found.inputs.bat.length)])),
    }
    for end, (samples, along) in ends.items():
        off = norm(samples[rows] - path(times[rows], along))
        drawn[end] = {
            "samples": _short(samples[rows]),
            "path": _short(path(s, along)),
            "off": _short(1e3 * off, 2),
        }
    return drawn


def _pitch(found: Found) -> Array:
    """Places (n, 3) m of the pitch line near the plate."""
    flight = pitch_flight(found.inputs)
    places = flight.at(np.linspace(0.0, float(flight.end[0]), 200)[None])[0]
    return places[places[:, 1] < NEAR]


def _short(values: Array, decimals: int = 4) -> list[Any]:
    """Numbers as lists, with no more digits than a picture shows."""
    return list(np.round(values, decimals).tolist())
