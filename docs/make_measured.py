"""Makes the files of scenarios/measured/, with their truth beside them: `python docs/make_measured.py [FOLDER]`.

Invented: swings of the model itself, with noise laid over them. Needs ezc3d, as the tests do.
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import ezc3d
import numpy as np

from plane3d import units
from plane3d.inputs import Inputs
from plane3d.measured.points import BatPoints
from plane3d.measured.synthetic import csv_text, sampled, truth
from plane3d.plays import pitch_flight
from plane3d.scenario import load

ROOT = Path(__file__).parents[1]
SCENARIO = ROOT / "scenarios" / "01-one-inch-under.toml"
NOISE = 0.005  # m
CONTACT = 0.5  # s on the files' clocks
# Samples a second, and how the file is written: unit of time, unit of length, semicolons with decimal commas
FILES = {60: ("s", "in", False), 240: ("s", "m", False), 500: ("ms", "mm", True)}
PITCH_NOISE = 0.002  # m


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    known: dict[str, dict[str, float]] = {}
    for bats in ("right", "left"):
        inputs = load(SCENARIO).with_values({"hitter.bats": bats}).to_inputs()
        for seed, (rate, (time_unit, unit, semicolons)) in enumerate(FILES.items(), start=1):
            points = sampled(inputs, rate, NOISE, seed, CONTACT)
            name = f"swing-{bats}-{rate}.csv"
            (folder / name).write_text(csv_text(points, time_unit, unit, semicolons), encoding="utf-8")
            known[name] = {"contact_s": CONTACT, "noise_mm": 1e3 * NOISE, "seed": seed, **truth(inputs)}
    inputs = load(SCENARIO).to_inputs()
    points = sampled(inputs, 240, NOISE, 2, CONTACT)
    write_c3d(points, folder / "swing-right-240.c3d", 240)
    contact = round(CONTACT - float(points.times[0]), 5)  # a C3D file counts from its first sample
    known["swing-right-240.c3d"] = known["swing-right-240.csv"] | {"contact_s": contact}
    pitches(inputs, folder)
    (folder / "truth.json").write_text(json.dumps(known, indent=1) + "\n", encoding="utf-8")


def write_c3d(points: BatPoints, path: Path, rate: float) -> None:
    """Knob and tip as markers of a C3D file in mm; its first sample is at time 0."""
    file = ezc3d.c3d()
    file["parameters"]["POINT"]["UNITS"]["value"] = ["mm"]
    file["parameters"]["POINT"]["RATE"]["value"] = [float(rate)]
    file["parameters"]["POINT"]["LABELS"]["value"] = ["BAT:KNOB", "BAT:TIP"]
    places = 1e3 * np.stack([points.knob, points.tip])  # (2, n, 3)
    file["data"]["points"] = np.concatenate([places.transpose(2, 0, 1), np.ones((1, 2, len(points.times)))])
    file.write(str(path))


def pitches(inputs: Inputs, folder: Path) -> None:
    """A list of pitches of either kind: the fits of noisy flights, and speed and place alone."""
    rng = np.random.default_rng(1)
    header = [f"{kind}_{axis}_{unit}" for kind, unit in (("position", "ft"), ("velocity", "ft_s"),
              ("acceleration", "ft_s2")) for axis in "xyz"]  # fmt: skip
    flights, crossings = [",".join(["name", *header])], ["name;speed_mph;plate_side_in;plate_height_in"]
    for number, (mph, side) in enumerate(((82.0, 4.0), (78.0, -5.0), (70.0, 0.0)), start=1):
        pitch = replace(inputs.pitch, speed=mph * units.MPH, plate_side=side * units.INCH)
        flight = pitch_flight(replace(inputs, pitch=pitch))
        t = np.linspace(0.0, 0.97 * float(flight.end[0]), 40)
        fit = np.polyfit(t, flight.at(t[None])[0] + PITCH_NOISE * rng.standard_normal((40, 3)), 2)
        values = np.concatenate([fit[2], fit[1], 2 * fit[0]]) / units.FOOT
        flights.append(",".join([f"pitch {number}", *(f"{value:.4f}" for value in values)]))
        height = float(pitch.plate_height) / units.INCH
        crossings.append(f"pitch {number};{mph:.1f};{side:.1f};{height:.1f}".replace(".", ","))
    (folder / "pitches-flight.csv").write_text("\n".join(flights) + "\n", encoding="utf-8")
    (folder / "pitches-speed-and-place.csv").write_text("\n".join(crossings) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "scenarios" / "measured")
