"""Points of a bat as a camera would have given them, made from a built swing whose truth is known."""

from __future__ import annotations

import numpy as np

from plane3d import units
from plane3d.inputs import Inputs
from plane3d.measured.points import HEADER, BatPoints
from plane3d.measured.table import UNITS
from plane3d.plays import Plays, play_many

BEFORE, AFTER = 0.25, 0.12  # s sampled before and after contact
SLOWED = 0.15  # share of its speed that the ball takes from the bat, of the usual size


def sampled(
    inputs: Inputs, rate: float, noise: float, seed: int, contact: float = 0.5, slowed: float = SLOWED
) -> BatPoints:
    """Knob and tip of the swing of one play, field frame; as `sampled_play`."""
    return sampled_play(play_many(inputs), rate, noise, seed, contact, slowed)


def sampled_play(
    plays: Plays, rate: float, noise: float, seed: int, contact: float = 0.5, slowed: float = SLOWED
) -> BatPoints:
    """Knob and tip of the first swing of some plays, field frame.

    Parameters
    ----------
    rate : samples a second; the first comes at a random part of the interval
    noise : m, standard deviation of each coordinate of each point, normal and independent
    contact : s on the file's clock when the swing is at its contact pose
    slowed : share of its speed that the bat loses there
    """
    rng = np.random.default_rng(seed)
    times = np.arange(contact - BEFORE + rng.uniform() / rate, contact + AFTER, 1.0 / rate)
    s = times - contact
    knob, axis = (part[0] for part in plays.swing.pose(np.where(s > 0, (1.0 - slowed) * s, s)[None]))
    ends = np.stack([knob, knob + plays.inputs.bat.length * axis])
    ends += noise * rng.standard_normal(ends.shape)
    return BatPoints("synthetic", np.arange(len(times)) + 2, times, ends[0], ends[1])


def csv_text(points: BatPoints, time_unit: str = "s", unit: str = "m", semicolons: bool = False) -> str:
    """The points as a CSV file in the stated units; ``semicolons`` also puts decimal commas."""
    names = [f"{key}_{time_unit if key == 'time' else unit}" for key in HEADER]
    table = np.column_stack([
        points.times / UNITS["time"][time_unit], points.knob / UNITS["length"][unit], points.tip / UNITS["length"][unit]
    ])  # fmt: skip
    decimals = [6 if time_unit == "s" else 3] + [max(0, round(np.log10(UNITS["length"][unit] / 1e-5)))] * 6
    mark = ";" if semicolons else ","
    lines = [mark.join(names)]
    for row in table:
        cells = ["" if np.isnan(v) else f"{v:.{d}f}" for v, d in zip(row, decimals, strict=True)]
        lines.append(mark.join(cell.replace(".", ",") if semicolons else cell for cell in cells))
    return "\n".join(lines) + "\n"


def truth(inputs: Inputs) -> dict[str, float]:
    """What the swing of one play has at contact, in coach units."""
    ask = inputs.swing
    return {
        "bat_speed_mph": float(ask.bat_speed) / units.MPH,
        "attack_angle_deg": float(ask.attack_angle) / units.DEGREE,
        "vertical_bat_angle_deg": float(ask.vertical_bat_angle) / units.DEGREE,
        "bat_direction_deg": float(ask.bat_direction) / units.DEGREE,
        "contact_depth_in": float(ask.contact_depth) / units.INCH,
        "below_line_in": float(ask.below_line) / units.INCH,
        "along_barrel_in": float(ask.along_barrel) / units.INCH,
    }
