"""The blow, to machine precision: laws of mechanics and the definitions of the coefficients (PHYSICS 7.1)."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plane3d.frames import cross, dot, norm, unit
from plane3d.physics.collision import Blow, Bodies, collide
from tests.cases import BALL, METAL, WOOD

GRIPPING = 50.0  # a friction coefficient no tangential force reaches
TIGHT = 1e-11


def bodies(bat=WOOD):
    return Bodies(BALL.mass, BALL.radius, bat.mass, bat.inertia, bat.roll_inertia)


@dataclass(frozen=True)
class Case:
    """n blows and everything known before them; the bat moves and turns as a free body."""

    bodies: Bodies
    v: np.ndarray
    w: np.ndarray
    bat_v: np.ndarray
    bat_w: np.ndarray
    normal: np.ndarray
    axis: np.ndarray
    arm: np.ndarray
    e: np.ndarray

    def slip_and_closing(self, blow: Blow | None = None):
        """Relative velocity of the two surfaces at the touch before, or after a blow: along the normal, and across."""
        v, w, bat_v, bat_w = self.v, self.w, self.bat_v, self.bat_w
        if blow is not None:
            v, w = blow.velocity, blow.spin
            bat_v, bat_w = bat_v + blow.bat_velocity, bat_w + blow.bat_spin
        ball_side = v + cross(w, -self.bodies.ball_radius * self.normal)
        relative = ball_side - (bat_v + cross(bat_w, self.arm))
        closing = dot(relative, self.normal)
        return closing, relative - closing[:, None] * self.normal

    def hit(self, e_t=0.4, mu=0.35) -> Blow:
        surface = self.bat_v + cross(self.bat_w, self.arm)
        return collide(self.bodies, self.v, self.w, surface, self.normal, self.axis, self.arm, self.e, e_t, mu)

    def bat_turning(self, bat_w):
        """Angular momentum of the bat about its centre of mass."""
        along = dot(bat_w, self.axis)[:, None] * self.axis
        return self.bodies.bat_inertia * (bat_w - along) + self.bodies.roll_inertia * along

    def energy(self, blow: Blow | None = None):
        b, change = self.bodies, blow
        v, w = (self.v, self.w) if change is None else (change.velocity, change.spin)
        bat_v = self.bat_v if change is None else self.bat_v + change.bat_velocity
        bat_w = self.bat_w if change is None else self.bat_w + change.bat_spin
        ball = b.ball_mass * dot(v, v) + 0.4 * b.ball_mass * b.ball_radius**2 * dot(w, w)
        return 0.5 * (ball + b.bat_mass * dot(bat_v, bat_v) + dot(bat_w, self.bat_turning(bat_w)))


def random_case(seed=0, n=200, bat=WOOD, moving_bat=True) -> Case:
    """Blows anywhere on a bat's side, skew to it, with any spins: the ball always closing in."""
    rng = np.random.default_rng(seed)
    axis = unit(rng.normal(size=(n, 3)))
    away = unit(cross(axis, rng.normal(size=(n, 3))))
    place = rng.uniform(bat.grip_end, bat.length - 0.01, n)
    slope = np.gradient(bat.radius_at(np.linspace(0, bat.length, 2000)), bat.length / 1999)
    taper = np.interp(place, np.linspace(0, bat.length, 2000), slope)
    normal = unit(away - taper[:, None] * axis)
    arm = (place - bat.balance)[:, None] * axis + bat.radius_at(place)[:, None] * away
    bat_v, bat_w = rng.normal(size=(n, 3)) * 12 * moving_bat, rng.normal(size=(n, 3)) * 25 * moving_bat
    v, w = rng.normal(size=(n, 3)) * 25, rng.normal(size=(n, 3)) * 200
    surface = bat_v + cross(bat_w, arm)
    closing = dot(v + cross(w, -BALL.radius * normal) - surface, normal)
    v = v - (np.maximum(closing, 0) * 2 + 1.0)[:, None] * normal
    return Case(bodies(bat), v, w, bat_v, bat_w, normal, axis, arm, rng.uniform(0.2, 0.55, n))


def straight_hit(place, e, friction, ball=38.0, bat=31.0):
    """A ball met straight on by a bat moving against it, and the exit speed the collision efficiency asks for."""
    x, y = np.array([[1.0, 0.0, 0.0]]), np.array([[0.0, 1.0, 0.0]])
    arm = (place - WOOD.balance) * x + WOOD.radius_at(place) * y
    blow = collide(bodies(), -ball * y, 0 * y, bat * y, y, x, arm, np.array([e]), 0.4, friction)
    r = BALL.mass / float(WOOD.effective_mass(place))
    e_a = (e - r) / (1 + r)
    return blow, e_a * ball + (1 + e_a) * bat


@pytest.mark.parametrize("place", [0.45, WOOD.balance, WOOD.sweet_spot, 0.83])
def test_collinear_hit_obeys_the_collision_efficiency(place):
    """Exact (Nathan 2003 eq. 3 and 6, as quoted): exit = e_A v_ball + (1 + e_A) v_bat, e_A = (e - r)/(1 + r).

    The formula knows no friction. Away from the balance point the struck bat turns, and its surface, a radius off the
    axis, then moves along the bat; friction resists that, worth 3 parts in 10,000 of the exit speed at most.
    """
    blow, published = straight_hit(place, 0.48, friction=0.0)
    assert blow.velocity[0, 1] == pytest.approx(published, rel=1e-13)
    assert blow.velocity[0, [0, 2]] == pytest.approx([0, 0], abs=1e-13)
    assert norm(blow.spin)[0] < 1e-10
    rough, _ = straight_hit(place, 0.48, friction=0.35)
    assert rough.velocity[0, 1] == pytest.approx(published, rel=1e-13 if place == WOOD.balance else 3e-4)
    assert not rough.slides[0]


@pytest.mark.parametrize("e_t", [0.0, 0.4, 0.46])
def test_skew_hit_reverses_both_parts_of_the_relative_velocity(e_t):
    """Definition of both coefficients, the recoiling bat rebuilt: -V'n/Vn = e and -V't/Vt = e_t."""
    case = random_case()
    closing, slip = case.slip_and_closing()
    blow = case.hit(e_t, GRIPPING)
    opening, left = case.slip_and_closing(blow)
    grips = ~blow.slides
    assert grips.mean() > 0.95
    assert -opening[grips] / closing[grips] == pytest.approx(case.e[grips], rel=TIGHT)
    assert left[grips] == pytest.approx(-e_t * slip[grips], abs=1e-9)


@pytest.mark.parametrize("pace", [1.0, 1e-3])
def test_sliding_uses_all_the_friction_there_is(pace):
    """Coulomb: |J_t| = mu J_n against the slip however slow it is, and the normal part still rebounds by e."""
    case = random_case(1)
    case = replace(case, v=pace * case.v, w=pace * case.w, bat_v=pace * case.bat_v, bat_w=pace * case.bat_w)
    closing, slip = case.slip_and_closing()
    blow = case.hit(mu=0.2)
    slides = blow.slides
    assert slides.mean() > 0.3
    pressing = dot(blow.impulse, case.normal)
    across = blow.impulse - pressing[:, None] * case.normal
    assert np.all(pressing > 0)
    assert norm(across)[slides] == pytest.approx(0.2 * pressing[slides], rel=TIGHT)
    assert np.all(norm(across)[~slides] <= 0.2 * pressing[~slides] * (1 + TIGHT))
    assert unit(across)[slides] == pytest.approx(-unit(slip)[slides], abs=1e-10)
    opening, _ = case.slip_and_closing(blow)
    assert -opening / closing == pytest.approx(case.e, rel=1e-9)


def test_momentum_and_angular_momentum_are_conserved():
    case = random_case(2)
    blow = case.hit()
    b = case.bodies
    gained = b.ball_mass * (blow.velocity - case.v) + b.bat_mass * blow.bat_velocity
    assert np.abs(gained).max() < 1e-12
    # About the bat's centre of mass before the blow, where the ball's centre is arm + r n away.
    ball_at = case.arm + b.ball_radius * case.normal
    orbit = b.ball_mass * cross(ball_at, blow.velocity - case.v)
    own = 0.4 * b.ball_mass * b.ball_radius**2 * (blow.spin - case.w)
    assert np.abs(orbit + own + case.bat_turning(blow.bat_spin)).max() < 1e-12


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 2**31),
    e_t=st.floats(0.0, 0.5),
    mu=st.floats(0.0, 3.0),
    bat=st.sampled_from([WOOD, METAL]),
)
def test_energy_never_grows(seed, e_t, mu, bat):
    """Searched also by hand: 3.2 million blows with e of 0 to 0.55, friction of 0.15 to 5; the least loss was 2e-8."""
    case = random_case(seed, 300, bat)
    before, after = case.energy(), case.energy(case.hit(e_t, mu))
    assert np.all(after <= before * (1 + 1e-12))


def test_bat_of_unbounded_weight_stays_and_forgets_incoming_spin():
    """A fixed cylinder with e_t = 0.4 gives the same spin whatever came in: exact for a uniform ball (PHYSICS 7.1)."""
    fixed = Bodies(BALL.mass, BALL.radius, 1e15, 1e15, 1e15)
    y, x = np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0])
    n = 9
    spin_in = np.linspace(-400, 400, n)[:, None] * x
    normal = np.tile([0.0, np.cos(0.3), np.sin(0.3)], (n, 1))
    axis = np.tile(x, (n, 1))
    blow = collide(
        fixed, np.tile(-40 * y, (n, 1)), spin_in, np.zeros((n, 3)), normal, axis, 0.03 * normal, np.full(n, 0.45), 0.4,
        GRIPPING,
    )  # fmt: skip
    assert np.ptp(blow.spin, axis=0) == pytest.approx(np.zeros(3), abs=1e-9)
    assert abs(blow.spin[0, 0]) > 50
    assert np.abs(blow.bat_velocity).max() < 1e-12


def planar(spin_in, e_t, roll_inertia, place=WOOD.balance):
    """A hit across the axis at 0.35 rad above the middle: blow, and the slip before it (along the surface, up)."""
    b = Bodies(BALL.mass, BALL.radius, WOOD.mass, WOOD.inertia, roll_inertia)
    normal = np.array([[0.0, np.cos(0.35), np.sin(0.35)]])
    along_surface = np.array([[0.0, -np.sin(0.35), np.cos(0.35)]])
    axis, v = np.array([[1.0, 0.0, 0.0]]), np.array([[0.0, -38.0, -3.0]])
    radius = float(WOOD.radius_at(place))
    arm = (place - WOOD.balance) * axis + radius * normal
    surface, spin = np.array([[0.0, 30.0, 4.0]]), np.array([[spin_in, 0.0, 0.0]])
    blow = collide(b, v, spin, surface, normal, axis, arm, np.array([0.45]), e_t, GRIPPING)
    slip = float(((v + cross(spin, -BALL.radius * normal) - surface) @ along_surface[0])[0])
    return blow, slip


@pytest.mark.parametrize("spin_in", [-250.0, 0.0, 180.0])
@pytest.mark.parametrize("e_t", [0.0, 0.4])
@pytest.mark.parametrize("place", [WOOD.balance, WOOD.sweet_spot])
def test_planar_formula_without_roll(spin_in, e_t, place):
    """PHYSICS 7.1: r w' = r w + (1 + e_t)/(1 + alpha + alpha m/M_eff) V_t alpha = 0.4; the bat cannot roll."""
    blow, slip = planar(spin_in, e_t, 1e15, place)
    r, alpha = BALL.radius, 0.4
    share = (1 + e_t) / (1 + alpha + alpha * BALL.mass / float(WOOD.effective_mass(place)))
    # About +x, spin moves the ball's touching point by -r w along the surface.
    assert blow.spin[0, 0] * r == pytest.approx(spin_in * r + share * slip, rel=1e-9)


def test_roll_of_the_barrel_takes_some_of_the_spin():
    """PHYSICS 7.2, as quoted: recoil, mostly roll, takes part of the spin (r_x near 0.295, 73 % of it from roll)."""
    rolls, slip = planar(0.0, 0.4, WOOD.roll_inertia, WOOD.sweet_spot)
    stays, _ = planar(0.0, 0.4, 1e15, WOOD.sweet_spot)
    assert 0.8 < rolls.spin[0, 0] / stays.spin[0, 0] < 0.97
    # Kensrud, Nathan, Smith 2017: r_x is the ball's effective mass over the bat's, across the surface.
    per_mass = BALL.mass / float(WOOD.effective_mass(WOOD.sweet_spot))
    from_roll = BALL.mass * float(WOOD.radius_at(WOOD.sweet_spot)) ** 2 / WOOD.roll_inertia
    assert from_roll / (from_roll + per_mass) == pytest.approx(0.73, abs=0.07)
    assert slip != 0


def test_undercut_gives_backspin_and_sliding_limits_it():
    under, _ = planar(0.0, 0.4, WOOD.roll_inertia)
    assert under.spin[0, 0] > 0  # about +x: a ball leaving toward +y with its underside moving forward
    case = random_case(4)
    spins = [norm(case.hit(mu=mu).spin - case.w) for mu in (0.05, 0.1, 0.2)]
    assert np.all(spins[0] <= spins[1] * (1 + 1e-9))
    assert np.all(spins[1] <= spins[2] * (1 + 1e-9))


def test_frictionless_hit_leaves_the_spin_alone():
    case = random_case(5)
    blow = case.hit(mu=0.0)
    assert np.abs(blow.spin - case.w).max() < 1e-9
    assert cross(blow.impulse, case.normal) == pytest.approx(np.zeros_like(case.v), abs=1e-12)


def test_grip_and_slide_meet_at_the_limit():
    """No jump: with just enough friction to grip, the two answers are nearly one."""
    blow, _ = planar(0.0, 0.4, WOOD.roll_inertia)
    impulse, normal = blow.impulse[0], np.array([0.0, np.cos(0.35), np.sin(0.35)])
    pressing = impulse @ normal
    limit = norm(impulse - pressing * normal) / pressing
    assert 0.05 < limit < 0.35
    for mu, slides in ((limit * (1 + 1e-9), False), (limit * (1 - 1e-9), True)):
        axis, arm = np.array([[1.0, 0.0, 0.0]]), WOOD.radius_at(WOOD.balance) * normal[None]
        again = collide(
            bodies(), np.array([[0.0, -38.0, -3.0]]), np.zeros((1, 3)), np.array([[0.0, 30.0, 4.0]]), normal[None],
            axis, arm, np.array([0.45]), 0.4, mu,
        )  # fmt: skip
        assert again.slides[0] == slides
        assert again.velocity == pytest.approx(blow.velocity, abs=1e-6)
