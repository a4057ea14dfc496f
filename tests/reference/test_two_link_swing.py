"""The built swing against a torque-driven two-link model, integrated by scipy. See SOURCES.md.

Equations after Cross, AJP 77, 36 (2009), as quoted; torques and arm inertia are our own fit, not published. The model
drives the bat to 43 rad/s (29.7 m/s at the sweet spot); the built swing of the same hitter and bat is asked for that
speed and compared at equal times before contact.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from plane3d.physics.swing import build_swing
from tests.cases import WOOD

ARM, ARM_INERTIA = 0.45, 0.40  # m, kg m2
SHOULDERS, WRISTS = 185.0, 56.0  # N m
RAMP, HELD, TIME = 0.030, 0.060, 0.150  # s
REACH = WOOD.balance - WOOD.hands


def rates(t, state):
    """Angles and rates of arms and bat; the wrists hold the angle between them until HELD, then push."""
    arm, bat, arm_rate, bat_rate = state
    lag = bat - arm
    coupling = WOOD.mass * ARM * REACH * np.cos(lag)
    inertia = np.array([[ARM_INERTIA + WOOD.mass * ARM**2, coupling], [coupling, WOOD.inertia + WOOD.mass * REACH**2]])
    whirl = WOOD.mass * ARM * REACH * np.sin(lag) * np.array([bat_rate**2, -(arm_rate**2)])
    drive = SHOULDERS * min(t / RAMP, 1.0)
    if t < HELD:
        both = (drive + whirl.sum()) / inertia.sum()
        return [arm_rate, bat_rate, both, both]
    return [arm_rate, bat_rate, *np.linalg.solve(inertia, whirl + np.array([drive - WRISTS, WRISTS]))]


@pytest.fixture(scope="module")
def driven():
    held = solve_ivp(rates, (0, HELD - 1e-12), [0.0, -np.pi / 2, 0.0, 0.0], rtol=1e-10, atol=1e-12)
    free = solve_ivp(rates, (HELD, TIME), held.y[:, -1], rtol=1e-10, atol=1e-12, dense_output=True)
    return held, free


def sweet_speed(state):
    arm, bat, arm_rate, bat_rate = state
    reach = WOOD.sweet_spot - WOOD.hands
    velocity = ARM * arm_rate * np.exp(1j * arm) + reach * bat_rate * np.exp(1j * bat)
    return abs(velocity)


@pytest.fixture(scope="module")
def swing(driven):
    speed, one = sweet_speed(driven[1].y[:, -1]), np.ones(1)
    return build_swing(
        WOOD, 1.80, 1.0, np.zeros((1, 3)), speed * one, 0 * one, 0 * one, 0 * one, np.pi / 2 * one, 0.060 * one
    )


def test_the_driven_model_gives_the_numbers_noted_for_it(driven):
    """Noted: arms 82 deg, bat 148 deg, 44.4 rad/s, hands 3.4 m/s, sweet spot 30.3 m/s. Rebuilt here it gives 78, 148,
    43.0, 3.7 and 29.7: the ramp of the shoulders' torque was not noted, a linear one is used."""
    arm, bat, arm_rate, bat_rate = driven[1].y[:, -1]
    assert np.degrees(arm) == pytest.approx(82, abs=5)
    assert np.degrees(bat) + 90 == pytest.approx(148, abs=2)
    assert bat_rate == pytest.approx(44.4, rel=0.05)
    assert ARM * arm_rate == pytest.approx(3.4, abs=0.5)
    assert sweet_speed(driven[1].y[:, -1]) == pytest.approx(30.3, rel=0.03)


def test_contact_agrees(driven, swing):
    """Measured: turn rate 3 % above the model's, hands 0.75 m/s slower, hinge 4 deg less open."""
    arm, bat, arm_rate, bat_rate = driven[1].y[:, -1]
    assert swing.turn_rate[0] == pytest.approx(bat_rate, rel=0.05)
    assert swing.arm * swing.arm_rate[0] == pytest.approx(ARM * arm_rate, abs=1.0)
    assert np.degrees(swing.hinge_end[0]) == pytest.approx(180 - np.degrees(arm - bat), abs=6)


@pytest.mark.parametrize(("since", "bat_deg", "arm_deg", "hinge_deg"), [(0.090, 15, 11, 9), (0.040, 4, 7, 9)])
def test_the_road_there_agrees(driven, swing, since, bat_deg, arm_deg, hinge_deg):
    """Turn still to come, at equal times before contact. Measured over the last 90 ms: bat within 14, arms within 10,
    hinge within 8 deg of the model; over the last 40 ms 3, 6 and 8. The built swing of this speed takes 8 ms longer and
    its wrists open a little later."""
    before = np.linspace(-since, 0.0, 40)
    arm, bat, _, _ = driven[1].sol(TIME + before)
    hinge = np.degrees(swing.hinge_angle(before[None])[0])
    axis = swing.pose(before[None])[1][0]
    built_bat = np.degrees(np.unwrap(np.arctan2(axis @ swing.across[0], axis @ swing.along[0])))
    built_arm = built_bat + 180 - hinge
    assert np.abs(built_bat - built_bat[-1] - np.degrees(bat - bat[-1])).max() < bat_deg
    assert np.abs(built_arm - built_arm[-1] - np.degrees(arm - arm[-1])).max() < arm_deg
    assert np.abs(hinge - (180 - np.degrees(arm - bat))).max() < hinge_deg


def test_instant_centre_agrees(driven, swing):
    """Sweet-spot speed over turn rate: the model's 0.69 m, and within a tenth of the way from knob to sweet spot."""
    state = driven[1].y[:, -1]
    radius = sweet_speed(state) / state[3]
    assert sweet_speed(state) / swing.turn_rate[0] == pytest.approx(radius, rel=0.05)
    assert radius == pytest.approx(WOOD.sweet_spot, rel=0.10)
