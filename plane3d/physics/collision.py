"""The blow: a three-dimensional impulse between a spinning ball and a free bat, gripping or sliding."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plane3d.frames import Array, cross, dot, norm


@dataclass(frozen=True)
class Bodies:
    """Ball (uniform sphere) and bat (symmetric about its axis), free to recoil. kg, m, kg m2.

    All but the radius may be arrays (n,), one for each blow.
    """

    ball_mass: float | Array
    ball_radius: float
    bat_mass: float | Array
    bat_inertia: float | Array
    roll_inertia: float | Array


@dataclass(frozen=True)
class Blow:
    """What the impulse does. (n, 3) arrays in the field frame.

    velocity, spin : of the ball afterwards, m/s and rad/s
    impulse : on the ball, N s
    bat_velocity, bat_spin : changes of the bat's centre-of-mass velocity and turn
    slides : (n,) bool, friction was not enough to stop the surfaces sliding
    """

    velocity: Array
    spin: Array
    impulse: Array
    bat_velocity: Array
    bat_spin: Array
    slides: Array


def collide(
    bodies: Bodies,
    velocity: Array,
    spin: Array,
    surface_velocity: Array,
    normal: Array,
    axis: Array,
    arm: Array,
    restitution: Array,
    tangential_restitution: float | Array,
    friction: float | Array,
) -> Blow:
    """Outcome of n blows (PHYSICS 7.1).

    Parameters
    ----------
    velocity, spin : (n, 3) of the ball before, m/s and rad/s
    surface_velocity : (n, 3) of the bat's surface at the touch, m/s
    normal : (n, 3) unit, from the bat's surface into the ball
    axis : (n, 3) unit bat axis; arm : (n, 3) from the bat's centre of mass to the touch, m
    restitution : (n,) normal coefficient; its tangential twin and the friction coefficient are numbers or (n,)

    The surfaces first grip: the contact point's relative velocity is reversed by both coefficients. Where that
    needs more tangential force than friction gives, they slide and only the normal part is reversed.
    """
    ball_arm = -bodies.ball_radius * normal
    relative = velocity + cross(spin, ball_arm) - surface_velocity
    closing = dot(relative, normal)
    slip = relative - closing[:, None] * normal
    mobility = _mobility(bodies, ball_arm, axis, arm)
    rebound = -(1.0 + restitution) * closing
    change = rebound[:, None] * normal - (1.0 + _column(tangential_restitution)) * slip
    grip = np.linalg.solve(mobility, change[..., None])[..., 0]
    pressing = dot(grip, normal)
    slides = norm(grip - pressing[:, None] * normal) > friction * pressing
    slip_way = slip / np.maximum(norm(slip), 1e-15)[:, None]
    push = normal - _column(friction) * slip_way
    slide = (rebound / dot(normal, np.einsum("nij,nj->ni", mobility, push)))[:, None] * push
    impulse = np.where(slides[:, None], slide, grip)
    return Blow(
        velocity=velocity + impulse / _column(bodies.ball_mass),
        spin=spin + cross(ball_arm, impulse) / (0.4 * _column(bodies.ball_mass) * bodies.ball_radius**2),
        impulse=impulse,
        bat_velocity=-impulse / _column(bodies.bat_mass),
        bat_spin=-np.einsum("nij,nj->ni", _inverse_inertia(bodies, axis), cross(arm, impulse)),
        slides=slides,
    )


def _column(value: float | Array) -> Array:
    """A number, or one for each blow, in a form that goes with vectors (n, 3)."""
    return np.asarray(value)[..., None]


def _inverse_inertia(bodies: Bodies, axis: Array) -> Array:
    """(n, 3, 3) inverse inertia of the bat about its centre of mass."""
    along = axis[:, :, None] * axis[:, None, :]
    across, roll = (_column(value)[..., None] for value in (bodies.bat_inertia, bodies.roll_inertia))
    return (np.eye(3) - along) / across + along / roll


def _mobility(bodies: Bodies, ball_arm: Array, axis: Array, arm: Array) -> Array:
    """(n, 3, 3) matrix that turns an impulse at the touch into a change of relative velocity there."""
    ball = _skew(ball_arm)
    bat = _skew(arm)
    ball_mass, bat_mass = (_column(value)[..., None] for value in (bodies.ball_mass, bodies.bat_mass))
    ball_inertia = 0.4 * ball_mass * bodies.ball_radius**2
    straight = (1.0 / ball_mass + 1.0 / bat_mass) * np.eye(3)
    return straight - ball @ ball / ball_inertia - bat @ _inverse_inertia(bodies, axis) @ bat


def _skew(v: Array) -> Array:
    """(n, 3, 3) matrices that take the vector product with v (n, 3)."""
    zero = np.zeros(len(v))
    x, y, z = v.T
    return np.stack([zero, -z, y, z, zero, -x, -y, x, zero], axis=-1).reshape(-1, 3, 3)
