"""Pitches measured elsewhere, as the model throws them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plane3d.constants import STANDARD_GRAVITY
from plane3d.errors import InputError
from plane3d.inputs import Inputs
from plane3d.measured.pitches import read_pitches
from plane3d.play import play
from plane3d.plays import pitch_flight
from plane3d.units import FOOT, INCH, MPH, RPM
from tests.cases import inputs

HEADER = ",".join(
    f"{k}_{a}_{u}" for k, u in (("position", "ft"), ("velocity", "ft_s"), ("acceleration", "ft_s2")) for a in "xyz"
)


def fitted(asked: Inputs) -> np.ndarray:
    """Nine numbers (ft, ft/s, ft/s2) of the constant-acceleration fit to the model's own pitch."""
    flight = pitch_flight(asked)
    t = np.linspace(0.0, 0.97 * float(flight.end[0]), 60)
    fit = np.polyfit(t, flight.at(t[None])[0], 2)
    return np.concatenate([fit[2], fit[1], 2 * fit[0]]) / FOOT


def csv_of(*rows: np.ndarray, header: str = HEADER) -> bytes:
    return "\n".join([header, *(",".join(f"{v:.5f}" for v in row) for row in rows)]).encode()


@pytest.mark.parametrize(
    "asks", [{}, {"speed": 90 * MPH, "spin_tilt": 0.5}, {"speed": 60 * MPH, "spin": 50.0, "plate_side": 0.2}]
)
def test_a_measured_flight_becomes_the_pitch_it_came_from(asks: dict[str, float]) -> None:
    asked = inputs(**asks)
    (pitch,) = read_pitches("p.csv", csv_of(fitted(asked)))
    found, off = pitch.ask(asked)
    assert off < 0.02  # m; a fit of constant acceleration is itself about a centimetre off
    assert found.speed == pytest.approx(asked.pitch.speed, rel=0.01)
    assert found.plate_side == pytest.approx(asked.pitch.plate_side, abs=0.005)
    assert found.plate_height == pytest.approx(asked.pitch.plate_height, abs=0.005)
    made, true = (play(replace(asked, pitch=p)).result.pitch for p in (found, asked.pitch))
    assert made.flight_time == pytest.approx(true.flight_time, abs=0.001)
    assert made.descent_angle == pytest.approx(true.descent_angle, abs=np.radians(0.5))


def test_spin_that_does_not_push_is_gyro() -> None:
    asked = inputs(spin=1500 * RPM)
    header, row = HEADER + ",spin_rpm", np.append(fitted(asked), 2500.0)
    found, _ = read_pitches("p.csv", csv_of(row, header=header))[0].ask(asked)
    assert found.spin == pytest.approx(2500 * RPM)
    assert np.cos(found.gyro) * 2500 == pytest.approx(1500, rel=0.1)


def test_speed_and_place_alone_keep_the_rest() -> None:
    text = "name;speed_mph;plate_side_in;plate_height_in\n\nfirst;82,5;-3,0;30,0\n"
    (pitch,) = read_pitches("p.csv", text.encode())
    found, off = pitch.ask(inputs())
    assert np.isnan(off) and pitch.name == "first"
    assert found == replace(
        inputs().pitch,
        speed=pytest.approx(82.5 * MPH),
        plate_side=pytest.approx(-3 * INCH),
        plate_height=pytest.approx(30 * INCH),
    )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda row: row * [1, 1, 1, 1, -1, 1, 1, 1, 1], "p.csv:2: the pitch moves away from the plate"),
        (lambda row: row * [1, 1, 1, 3, 3, 3, 1, 1, 1], "which unit is it in?"),
        (lambda row: row * [1, 3, 1, 1, 1, 1, 1, 1, 1], "must lie between plate and pitcher"),
        (lambda row: np.where(np.arange(9) == 7, np.nan, row), "must have all its numbers"),
    ],
)
def test_each_fault_is_one_sentence(change, said: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError) as caught:
        read_pitches("p.csv", csv_of(change(fitted(inputs()))))
    assert said in str(caught.value)


def test_a_pitch_that_never_arrives_is_said_with_its_line() -> None:
    row = fitted(inputs())
    row[7] = 400.0  # ft/s2 against its way
    (pitch,) = read_pitches("p.csv", csv_of(row))
    with pytest.raises(InputError, match=r"p\.csv:2: A measured pitch must move toward the plate"):
        pitch.ask(inputs())


def test_the_flight_is_the_law_of_constant_acceleration() -> None:
    row = np.array([0.0, 50.0, 6.0, 0.0, -120.0, 0.0, 0.0, 0.0, -STANDARD_GRAVITY / FOOT])
    (pitch,) = read_pitches("p.csv", csv_of(row))
    flight = pitch.flight(50 * FOOT)
    fallen = 6 * FOOT - flight.at(np.array([[0.25]]))[0, 0, 2]
    assert fallen == pytest.approx(0.5 * STANDARD_GRAVITY * 0.25**2, abs=1e-6)
