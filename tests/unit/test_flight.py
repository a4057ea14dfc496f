"""Flight: laws of mechanics, and the integrator against scipy's DOP853 at tight tolerance.

Measured, 1000 balls at the extremes of speed and spin: the landing is off by at most 4 mm (a ball that crosses the
kinks of the lift and drag laws), half of them by less than 0.03 mm.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from plane3d.constants import STANDARD_GRAVITY
from plane3d.frames import Z, direction
from plane3d.physics import aero
from plane3d.physics.flight import Flight, fly, fly_until, launch
from plane3d.units import DEGREE, MPH, RPM
from tests.cases import BALL, medium, solved_flight

N = 60
BREEZE = (2.0, -3.0, 0.0)


def on_the_ground(x, v):
    return x[:, 2] - BALL.radius


def at_the_top(x, v):
    return v[:, 2]


@cache
def batted(n: int = N, seed: int = 1) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Starts of batted balls of all sorts: 20-55 m/s, spins up to 6000 rpm about any axis."""
    rng = np.random.default_rng(seed)
    way = direction(rng.uniform(-60, 60, n) * DEGREE, rng.uniform(-10, 75, n) * DEGREE)
    axis = rng.normal(size=(n, 3))
    axis /= np.linalg.norm(axis, axis=1)[:, None]
    x = np.tile([0.0, 0.5, 1.0], (n, 1))
    return x, rng.uniform(20, 55, n)[:, None] * way, axis * rng.uniform(0, 6000, n)[:, None] * RPM


def test_landing_and_apex_agree_with_dop853():
    air, (x, v, w) = medium(wind=BREEZE), batted()
    landing, (apex,), _ = fly_until(launch(x, v, w, air), air, on_the_ground, (at_the_top,))
    place_error, time_error = [], []
    for i in range(N):
        solved = solved_flight(air, x[i], v[i], w[i])
        place_error.append(np.linalg.norm(solved.y_events[0][0][:3] - landing.x[i]))
        time_error.append(abs(solved.t_events[0][0] - landing.time[i]))
        if len(solved.t_events[1]):
            assert apex.time[i] == pytest.approx(solved.t_events[1][0], abs=2e-4)
            assert apex.x[i] == pytest.approx(solved.y_events[1][0][:3], abs=4e-3)
    assert np.median(place_error) < 1e-4
    assert max(place_error) < 4e-3
    assert max(time_error) < 2e-4


def test_dense_output_agrees_with_dop853_at_any_time():
    air, (x, v, w) = medium(wind=BREEZE), batted()
    rng = np.random.default_rng(2)
    for i in range(10):
        one = slice(i, i + 1)
        landing, _, flight = fly_until(launch(x[one], v[one], w[one], air), air, on_the_ground, keep=True)
        t = rng.uniform(0, landing.time[0], 50)
        exact = solved_flight(air, x[i], v[i], w[i]).sol(t).T
        assert flight.at(t[None])[0] == pytest.approx(exact[:, :3], abs=4e-3)
        assert flight.velocity_at(t[None])[0] == pytest.approx(exact[:, 3:6], abs=4e-3)
        assert flight.spin_at(t[None])[0] == pytest.approx(exact[:, 6:], abs=1e-4 * np.linalg.norm(w[i]))


def error_at(steps, v, w):
    """Distance (m) from the exact place after 3.2 s, flown in so many steps."""
    air, x = medium(), np.array([[0.0, 0.0, 1.0]])
    exact = solved_flight(air, x[0], v[0], w[0], until=3.2).y[:3, -1]
    return np.linalg.norm(fly(launch(x, v, w, air), np.array([3.2]), steps, air).x[-1, 0] - exact)


def test_order_of_the_integrator():
    """Without spin, halving the step divides the error by 16, as classical Runge-Kutta must where forces are smooth.

    With spin the stages treat its slow decay to first order only: 0.02 mm at the step used, falling by 4.
    """
    v = 45.0 * direction(0.1, np.array([25 * DEGREE]))
    plain = [error_at(n, v, np.zeros((1, 3))) for n in (16, 32, 64)]
    assert plain[0] / plain[1] == pytest.approx(16, rel=0.1)
    assert plain[1] / plain[2] == pytest.approx(16, rel=0.1)
    spinning = [error_at(n, v, np.array([[230.0, 0.0, 40.0]])) for n in (32, 64)]
    assert spinning[0] < 3e-5
    assert spinning[1] < spinning[0] / 3


def test_without_air_the_path_is_a_parabola():
    """Law: closed form of free fall, whatever the spin."""
    air, (x, v, w) = medium(air=0.0), batted()
    landing, (apex,), _ = fly_until(launch(x, v, w, air), air, on_the_ground, (at_the_top,))
    g, rise = STANDARD_GRAVITY, v[:, 2]
    hang = (rise + np.sqrt(rise**2 + 2 * g * (x[:, 2] - BALL.radius))) / g
    assert landing.time == pytest.approx(hang, abs=1e-10)
    assert landing.x[:, :2] == pytest.approx(x[:, :2] + v[:, :2] * hang[:, None], abs=1e-8)
    up = rise > 0
    assert apex.time[up] == pytest.approx(rise[up] / g, abs=1e-10)
    assert apex.x[up, 2] == pytest.approx(x[up, 2] + rise[up] ** 2 / (2 * g), abs=1e-9)
    assert not np.any(apex.happened[~up])


def test_wind_is_a_change_of_frame():
    """Law: in steady wind, a flight is the calm flight of the air-relative velocity carried along by the air."""
    wind = np.array([4.0, 2.0, 0.0])
    x, v, w = batted()
    blown, calm = medium(wind=tuple(wind)), medium()
    duration = np.full(N, 2.0)
    with_wind = fly(launch(x, v, w, blown), duration, 40, blown)
    without = fly(launch(x, v - wind, w, calm), duration, 40, calm)
    assert with_wind.x[-1] == pytest.approx(without.x[-1] + 2.0 * wind, abs=1e-9)


def test_a_tail_wind_carries_and_a_cross_wind_pushes():
    x, v, w = np.array([[0.0, 0.0, 1.0]]), 45.0 * direction(0.0, [30 * DEGREE]), np.array([[230.0, 0.0, 0.0]])

    def landing(wind):
        air = medium(wind=wind)
        return fly_until(launch(x, v, w, air), air, on_the_ground)[0].x[0]

    calm = landing((0.0, 0.0, 0.0))
    assert landing((0.0, 4.0, 0.0))[1] > calm[1] + 3 > landing((0.0, -4.0, 0.0))[1] + 6
    assert landing((4.0, 0.0, 0.0))[0] > calm[0] + 3


def test_spin_decays_as_stated_and_keeps_its_axis():
    """PHYSICS 3.3: exp(-t/25 s) at 100 mph, in proportion to the speed of the air."""
    v = np.array([[0.0, 100 * MPH, 0.0]])
    _, rate = aero.acceleration(v, np.zeros((1, 3)), np.zeros(3), 1.2, BALL.radius, BALL.mass)
    assert rate[0] == pytest.approx(1 / 25)
    air, (x, v, w) = medium(), batted()
    flight = fly(launch(x, v, w, air), np.full(N, 5.0), 50, air)
    turn = np.linalg.norm(np.cross(flight.w[-1], w), axis=1)
    assert turn == pytest.approx(np.zeros(N), abs=1e-9)
    share = np.linalg.norm(flight.w[-1], axis=1) / np.linalg.norm(w, axis=1)
    assert np.all((share > 0.75) & (share < 0.95))  # a 5-s fly loses about 13 % (derived there)


def test_air_only_takes_energy():
    air, (x, v, w) = medium(), batted()
    flight = fly(launch(x, v, w, air), np.full(N, 4.0), 80, air)
    energy = 0.5 * (flight.v**2).sum(axis=-1) + STANDARD_GRAVITY * flight.x[..., 2]
    assert np.all(np.diff(energy, axis=0) < 0)


def test_lift_is_across_the_motion_and_gyro_spin_gives_none():
    """Only spin across the motion lifts (Smith et al., Proceedings 49, 162, 2020, read)."""
    v = np.array([[0.0, -38.0, -2.0]])
    still, _ = aero.acceleration(v, np.zeros((1, 3)), np.zeros(3), 1.2, BALL.radius, BALL.mass)
    gyro, _ = aero.acceleration(v, 6.0 * v, np.zeros(3), 1.2, BALL.radius, BALL.mass)
    assert gyro == pytest.approx(still, abs=1e-12)
    spun, _ = aero.acceleration(v, np.array([[-230.0, 0.0, 0.0]]), np.zeros(3), 1.2, BALL.radius, BALL.mass)
    drag_way = -v / np.linalg.norm(v)
    lift = spun + STANDARD_GRAVITY * Z - ((spun + STANDARD_GRAVITY * Z) @ drag_way[0]) * drag_way
    assert lift[0, 2] > 0
    assert lift[0] @ v[0] == pytest.approx(0, abs=1e-9)


def test_lift_law_is_the_bilinear_one():
    """Sawicki, Hubbard, Stronge 2003, as quoted: C_L = 1.5 S below S = 0.1, else 0.09 + 0.6 S."""
    s = np.array([0.02, 0.05, 0.0999, 0.1, 0.2, 0.5])
    assert aero.lift_slope(s) * s == pytest.approx(np.where(s < 0.1, 1.5 * s, 0.09 + 0.6 * s), abs=1e-12)
    assert aero.lift_slope(np.array([0.0]))[0] == 1.5


def test_spin_factor_matches_the_published_number():
    """Nathan 2008, as quoted: S = 8.53e-3 times rpm over mph. The coefficients follow from S by the laws above."""
    rpm, mph = 1800.0, 90.0
    v, w = np.array([[0.0, mph * MPH, 0.0]]), np.array([[rpm * RPM, 0.0, 0.0]])
    lift = (aero.acceleration(v, w, np.zeros(3), 1.2, BALL.radius, BALL.mass)[0] + STANDARD_GRAVITY * Z)[0, 2]
    coefficient = lift * BALL.mass / (0.5 * 1.2 * np.pi * BALL.radius**2 * (mph * MPH) ** 2)
    assert coefficient == pytest.approx(0.09 + 0.6 * 8.53e-3 * rpm / mph, rel=0.01)


@pytest.mark.parametrize("rate", [24, 30, 60, 240])
def test_the_answer_does_not_depend_on_the_frame_rate(rate):
    """Sampled at any rate, a frame shared with the finest clock shows the same ball to the last bit."""
    air, (x, v, w) = medium(), batted()
    _, _, flight = fly_until(launch(x[:1], v[:1], w[:1], air), air, on_the_ground, keep=True)
    frames = np.arange(0, rate + 1) / rate
    alone = np.concatenate([flight.at(np.array([[t]]))[0] for t in frames])
    assert np.array_equal(flight.at(frames[None])[0], alone)
    shared = np.arange(0, 7) / 6  # times that every one of these rates shows
    assert np.array_equal(flight.at(frames[None])[0][:: rate // 6], flight.at(shared[None])[0])


def test_samples_pass_through_the_knots_and_velocity_is_the_slope():
    air, (x, v, w) = medium(), batted()
    flight = fly(launch(x, v, w, air), np.full(N, 3.0), 30, air)
    t = np.tile(np.arange(31) * 0.1, (N, 1))
    assert flight.at(t)[:, :-1] == pytest.approx(flight.x[:-1].transpose(1, 0, 2), abs=1e-9)
    t = np.tile(np.linspace(0.03, 2.9, 40), (N, 1))
    slope = (flight.at(t + 1e-6) - flight.at(t - 1e-6)) / 2e-6
    assert flight.velocity_at(t) == pytest.approx(slope, abs=1e-6)


def test_many_at_once_is_one_by_one():
    air, (x, v, w) = medium(wind=BREEZE), batted()
    together = fly_until(launch(x, v, w, air), air, on_the_ground)[0]
    for i in range(0, N, 7):
        one = slice(i, i + 1)
        alone = fly_until(launch(x[one], v[one], w[one], air), air, on_the_ground)[0]
        assert alone.x[0] == pytest.approx(together.x[i], abs=1e-11)


def test_kept_flights_of_many_are_each_right_up_to_their_own_landing():
    """Balls land at different times; each path agrees with the ball flown alone until it does."""
    air, (x, v, w) = medium(), batted()
    landing, _, flights = fly_until(launch(x[:8], v[:8], w[:8], air), air, on_the_ground, keep=True)
    t = landing.time[:, None] * np.linspace(0, 1, 20)
    together = flights.at(t)
    assert together[:, -1] == pytest.approx(landing.x, abs=1e-9)
    for i in range(8):
        one = slice(i, i + 1)
        alone = fly_until(launch(x[one], v[one], w[one], air), air, on_the_ground, keep=True)[2]
        assert alone.at(t[one])[0] == pytest.approx(together[i], abs=1e-9)


def test_an_event_that_never_happens_says_so():
    air = medium()
    first = launch(np.array([[0.0, 0.0, 1.0]]), np.array([[0.0, 30.0, -5.0]]), np.zeros((1, 3)), air)
    landing, (apex,), flight = fly_until(first, air, on_the_ground, (at_the_top,))
    assert landing.happened[0] and not apex.happened[0] and np.isnan(apex.time[0])
    assert flight is None


def test_take_picks_flights():
    air, (x, v, w) = medium(), batted()
    flight = fly(launch(x, v, w, air), np.full(N, 1.0), 5, air)
    picked = flight.take(np.array([4, 2]))
    assert isinstance(picked, Flight)
    t = np.full((2, 1), 0.37)
    assert np.array_equal(picked.at(t), flight.at(np.full((N, 1), 0.37))[[4, 2]])
    shared = fly(launch(x[:1], v[:1], w[:1], air), np.ones(1), 5, air)
    assert shared.take(np.array([0, 0, 0])) is shared


def test_terminal_speed_of_a_falling_ball():
    """Near 95 mph is quoted for a baseball (Adair, from memory: information). Law checked: drag equals weight there."""
    air = medium()
    first = launch(np.array([[0.0, 0.0, 3000.0]]), np.array([[0.0, 0.0, -40.0]]), np.zeros((1, 3)), air)
    flight = fly(first, np.array([25.0]), 250, air)
    speed = -flight.v[-1, 0, 2]
    drag = aero.drag_coefficient(np.zeros(1), np.array([speed]))[0]
    weight = BALL.mass * STANDARD_GRAVITY
    assert 0.5 * air.air_density * np.pi * BALL.radius**2 * drag * speed**2 == pytest.approx(weight, rel=1e-3)
    assert 85 * MPH < speed < 100 * MPH


def test_a_ball_thrown_up_straight_comes_down_where_it_began():
    air = medium()
    first = launch(np.array([[3.0, 5.0, 1.0]]), np.array([[0.0, 0.0, 40.0]]), np.zeros((1, 3)), air)
    landing = fly_until(first, air, on_the_ground)[0]
    assert landing.x[0, :2] == pytest.approx([3.0, 5.0], abs=1e-12)
