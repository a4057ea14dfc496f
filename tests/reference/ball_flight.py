"""The flight of a ball: its coefficients against published laws, its path against other solvers."""

from __future__ import annotations

import math
from unittest.mock import patch

import numpy as np
from scipy.integrate import solve_ivp

from plane3d.constants import STANDARD_GRAVITY
from plane3d.frames import direction
from plane3d.physics import aero
from plane3d.physics.flight import fly, fly_until, launch
from plane3d.physics.pitch import time_at_y
from plane3d.units import FOOT, MPH, RPM
from tests.cases import BALL, MILD_AIR, medium, thrown
from tests.reference.row import EXACT, Row

VISCOSITY = 1.82e-5  # Pa s, of air at 70 F; it only sets where the library's drag falls
ADAIR = "Giordano, Computational Physics, after Adair: 0.0039 + 0.0058/(1 + exp((v - 35)/5)) per m"
AREA = math.pi * BALL.radius**2


def _rates(_: float, state: list[float]) -> list[float]:
    """The equations of docs/model.md written anew, number by number: weight, drag, lift, fading spin."""
    vx, vy, vz, wx, wy, wz = state[3:]
    speed = math.sqrt(vx * vx + vy * vy + vz * vz)
    cx, cy, cz = wy * vz - wz * vy, wz * vx - wx * vz, wx * vy - wy * vx
    turning = math.sqrt(cx * cx + cy * cy + cz * cz)
    s = BALL.radius * turning / speed**2
    cd = 0.30 + 0.20 * min(s, 0.6) + 0.12 / (1 + math.exp((speed - 21) / 3))
    cl = 1.5 * s if s < 0.1 else 0.09 + 0.6 * s
    push = 0.5 * MILD_AIR * AREA * speed**2 / BALL.mass
    drag, lift = -push * cd / speed, push * cl / turning if turning > 0 else 0.0
    fade = -speed / (25.0 * 100 * MPH)
    a = (drag * vx + lift * cx, drag * vy + lift * cy, drag * vz + lift * cz - STANDARD_GRAVITY)
    return [vx, vy, vz, *a, fade * wx, fade * wy, fade * wz]


def _solved(x: np.ndarray, v: np.ndarray, w: np.ndarray, passes: int, place: float) -> np.ndarray:
    """Position (3,) where coordinate ``passes`` falls through ``place``, by scipy's DOP853."""

    def event(_: float, state: list[float]) -> float:
        return state[passes] - place

    event.terminal, event.direction = True, -1  # type: ignore[attr-defined]
    start = np.concatenate([x, v, w])
    return solve_ivp(_rates, (0, 30), start, "DOP853", rtol=1e-11, atol=1e-11, events=event).y_events[0][0][:3]


def _off_dop853_batted() -> float:
    """Largest distance (mm) between landing places of 60 hits of all kinds with any spin."""
    rng = np.random.default_rng(11)
    n = 60
    x = np.tile([0.0, 0.5, 1.0], (n, 1))
    v = rng.uniform(20, 52, n)[:, None] * direction(rng.uniform(-0.8, 0.8, n), rng.uniform(0.0, 1.2, n))
    w = rng.normal(0, 2000 * RPM, (n, 3))
    landing = fly_until(launch(x, v, w, medium()), medium(), lambda x, v: x[:, 2])[0]
    places = np.array([_solved(*ball, 2, 0.0) for ball in zip(x, v, w, strict=True)])
    return float(np.linalg.norm(places - landing.x, axis=1).max()) * 1e3


def _off_dop853_pitch() -> float:
    """Largest distance (mm) at the plate's front edge, 40 pitches of 55 to 100 mph with any spin."""
    rng = np.random.default_rng(12)
    off = []
    for mph, rpm, tilt in zip(rng.uniform(55, 100, 40), rng.uniform(0, 2800, 40), rng.uniform(-3, 3, 40), strict=True):
        pitch = thrown(float(mph), float(rpm), float(tilt))
        front = np.array([0.4318])
        place = _solved(pitch.x[0, 0], pitch.v[0, 0], pitch.w[0, 0], 1, 0.4318)
        off.append(np.linalg.norm(place - pitch.at(time_at_y(pitch, front))[0, 0]))
    return float(max(off)) * 1e3


def _off_fluids() -> float:
    """Largest difference (%) in speed and distance fallen from rest, 1 to 8 s, with the library's own drag.

    The library lets the air bear 0.17 % of the ball's weight; our flight leaves that out, and takes it over here.
    """
    from fluids import drag_sphere, integrate_drag_sphere

    density = BALL.mass / (4 / 3 * math.pi * BALL.radius**3)

    def drag(_: np.ndarray, speed: np.ndarray) -> np.ndarray:
        reynolds = np.maximum(speed, 1e-3) * 2 * BALL.radius * MILD_AIR / VISCOSITY
        return np.vectorize(lambda number: drag_sphere(float(number), Method="Clift"))(reynolds)

    gravity = STANDARD_GRAVITY * (1 - MILD_AIR / density)
    still = (np.array([[0.0, 0.0, 0.0]]), np.array([[0.0, 0.0, -1e-6]]), np.zeros((1, 3)))
    off = []
    with patch.object(aero, "drag_coefficient", drag), patch.object(aero, "STANDARD_GRAVITY", gravity):
        for seconds in (1.0, 2.0, 4.0, 8.0):
            fallen = fly(launch(*still, medium()), np.array([seconds]), int(40 * seconds), medium())
            speed, distance = integrate_drag_sphere(
                2 * BALL.radius, density, MILD_AIR, VISCOSITY, seconds, Method="Clift", distance=True
            )
            off += [-fallen.v[-1, 0, 2] / speed - 1, -fallen.x[-1, 0, 2] / distance - 1]
    return 100 * float(np.abs(off).max())


def _drop_ft(seconds: float) -> float:
    """Fall (ft) of a level throw without air."""
    bare = medium(air=0.0)
    level = launch(np.zeros((1, 3)), np.array([[0.0, -40.0, 0.0]]), np.zeros((1, 3)), bare)
    return -float(fly(level, np.array([seconds]), 8, bare).x[-1, 0, 2]) / FOOT


def _lift(spin_factor: float) -> float:
    return spin_factor * float(aero.lift_slope(np.array(spin_factor)))


def _drag(spin_factor: float, speed: float) -> float:
    return float(aero.drag_coefficient(np.array(spin_factor), np.array(speed)))


def _adair_drag(speed: float) -> float:
    """The drag coefficient in the published B2/m, with air of 1.2 kg/m3."""
    return 2 * BALL.mass * (0.0039 + 0.0058 / (1 + math.exp((speed - 35) / 5))) / (1.2 * AREA)


def _spin_factor() -> float:
    """r w / v in thousandths for 1 rpm at 1 mph."""
    return 1e3 * BALL.radius * RPM / MPH


def _spin_time() -> float:
    """Time constant (s) of the spin's decay at 100 mph."""
    one = np.array([[0.0, -100 * MPH, 0.0]])
    return 1 / float(aero.acceleration(one, 0 * one, np.zeros(3), MILD_AIR, BALL.radius, BALL.mass)[1][0])


def _turn_per_tilt() -> float:
    """Sideways push over lift (%) of pure gyro spin, which should give none, against the same spin across."""
    way = np.array([[0.0, -40.0, 0.0]])
    along, across = 200 * way / 40, np.array([[-200.0, 0.0, 0.0]])
    still = aero.acceleration(way, 0 * way, np.zeros(3), MILD_AIR, BALL.radius, BALL.mass)[0]
    push = [
        np.linalg.norm(aero.acceleration(way, w, np.zeros(3), MILD_AIR, BALL.radius, BALL.mass)[0] - still)
        for w in (along, across)
    ]
    return 100 * float(push[0] / push[1])


_KNEE = (
    "the two-piece law has its knee here, where published laws and even two ways of holding one ball differ most; "
    "a fastball of 1000 rpm bends by about 14 in where the other law says 11"
)

ROWS = (
    *(
        Row(
            f"Fall without air in {seconds:.2f} s", "ft", feet, lambda seconds=seconds: _drop_ft(seconds),
            "half of g t²", "law", "calculation", allowed=0.005, own=0.005,
        )
        for seconds, feet in ((0.40, 2.57), (0.45, 3.26), (0.50, 4.02))
    ),
    Row(
        "Landing places of 60 hits of all kinds", "mm", None, _off_dop853_batted,
        "scipy, solve_ivp DOP853 at 1e-11, equations written anew", "library", "calculation", allowed=2.0, own=0.001,
        why="the step of 0.1 s was chosen so: 2 mm on 400 ft is far below any wind",
    ),
    Row(
        "40 pitches at the plate's front edge", "mm", None, _off_dop853_pitch,
        "scipy, solve_ivp DOP853 at 1e-11, equations written anew", "library", "calculation", allowed=0.01, own=0.001,
        why="eight steps over the whole way are enough",
    ),
    Row(
        "A ball falling 1 to 8 s, speed and distance", "%", None, _off_fluids,
        "fluids, integrate_drag_sphere, its drag of a smooth sphere in both", "library", "calculation",
        allowed=0.0002, own=None, why="the library adds its distance up from 1000 straight pieces", needs="fluids",
    ),
    Row(
        "Spin factor S of 1 rpm at 1 mph", "thousandths", 8.53, _spin_factor, "Nathan, AJP 76, 119 (2008)",
        "as quoted", "independent", allowed=0.23, own=0.23,
        why="balls of the rule differ by 2.7 % in size; his was the smaller",
    ),
    Row(
        "Lift coefficient at S = 0.05", "", 0.075, lambda: _lift(0.05),
        "Sawicki, Hubbard, Stronge, AJP 71, 1152 (2003)", "as quoted", "taken over", allowed=EXACT, own=EXACT,
    ),
    Row(
        "Lift coefficient at S = 0.2", "", 0.21, lambda: _lift(0.2),
        "Sawicki, Hubbard, Stronge, AJP 71, 1152 (2003)", "as quoted", "taken over", allowed=EXACT, own=EXACT,
    ),
    *(
        Row(
            f"Lift coefficient at S = {s:g}", "", 0.62 * s**0.7, lambda s=s: _lift(s),
            "0.62 S^0.7, summary in a university course", "read", "independent", allowed=0.12, own=None, share=True,
            why="published lift laws differ by a tenth among themselves",
            miss=_KNEE if s == 0.1 else "",
        )
        for s in (0.1, 0.2, 0.4)
    ),
    Row(
        "Push by gyro spin, share of the same spin across", "%", 0.0, _turn_per_tilt,
        "Smith and others, Proceedings 49, 162 (2020): spin along the path does not lift", "read", "taken over",
        allowed=EXACT, own=EXACT,
    ),
    Row(
        "Drag coefficient in play, S = 0.2, 95 mph", "", 0.33, lambda: _drag(0.2, 95 * MPH),
        "home-run committee; Nathan and Young 2020: 0.01 is about 3 %", "read", "calibrated", allowed=0.02, own=0.05,
    ),
    Row(
        "Drag coefficient at 40 m/s, no spin", "", _adair_drag(40.0), lambda: _drag(0.0, 40.0), ADAIR, "read",
        "independent", allowed=0.10, own=0.10, share=True,
    ),
    Row(
        "Drag coefficient at 50 m/s, no spin", "", _adair_drag(50.0), lambda: _drag(0.0, 50.0), ADAIR, "read",
        "independent", allowed=0.10, own=0.10, share=True,
        miss="this older law lets fast balls slip far more easily than later flights measured do; we follow those",
    ),
    Row(
        "Drag coefficient at 25 m/s, no spin", "", _adair_drag(25.0), lambda: _drag(0.0, 25.0), ADAIR, "read",
        "independent", allowed=0.10, own=0.10, share=True,
        miss="the same older law holds slow balls back far more than later measurements in free flight",
    ),
    Row(
        "Spin's time constant at 100 mph", "s", (20.0, 26.0), _spin_time,
        "golf-ball measurements (Smits and Smith; Tavares), scaled to a baseball by mass and size", "derived",
        "taken over",
    ),
    Row(
        "Spin's time constant by another estimate", "s", 5.0, _spin_time,
        "Adair's torque, by Nathan, note on spin-down (2008)", "read",
        "independent", allowed=2.0, own=None, why="a guess of the torque, to one digit",
        miss="an estimate that the golf-ball measurements contradict, as its author says; 1 to 2 ft of carry",
    ),
)  # fmt: skip
