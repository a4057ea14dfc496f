"""Bats as bodies of revolution: shape, mass, balance, inertia, and how lively they are along the barrel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from plane3d.constants import COR_REFERENCE_SPEED, COR_SPEED_POWER, COR_SPEED_RANGE
from plane3d.frames import Array

INCH = 0.0254

# A generic 34-in profile (PHYSICS 6, our own, not a maker's): inches from the knob, radius in inches.
PROFILE_IN = np.array([
    [0, 0.80], [0.4, 0.98], [0.75, 0.95], [1.1, 0.56], [2, 0.48], [6, 0.47], [10, 0.48], [14, 0.53], [17, 0.64],
    [20, 0.82], [22, 0.95], [24, 1.08], [26, 1.18], [28, 1.245], [30, 1.28], [32, 1.30], [33, 1.28], [33.6, 1.10],
    [34, 0.70],
])  # fmt: skip
PROFILE_LENGTH = 34 * INCH
HANDLE_END = 1.1 * INCH  # the knob keeps its size; only what lies beyond it is stretched
SWEET_SPOT_SHARE = 28 / 34  # 6 in from the end of a 34-in bat; 5-7 in is read (Russell 2004)
HANDS_SHARE = 4 / 34  # middle of the hands, own choice of PHYSICS 5
GRIP_SHARE = 8 / 34  # the hands cover the bat up to here
LIVELY_LENGTH = 6.5 * INCH / PROFILE_LENGTH  # where the COR has fallen to nothing, as a share of the length
EACH = ("mass", "balance", "inertia", "roll_inertia", "cor", "lively")  # what may differ from play to play
SOLID_ROLL_SHARE = 0.66  # measured recoil implies 2.1e-4 kg m2 where the solid profile has 3.2e-4 (PHYSICS 6)


@dataclass(frozen=True)
class Material:
    """COR at the sweet spot at 60.8 m/s; solid, or a shell whose wall is equally thick everywhere."""

    cor: float
    solid: bool


MATERIALS = {
    "wood": Material(0.452, True),  # Nathan et al. 2011, as quoted
    "metal": Material(0.500, False),  # high-school and college limit, read
    "youth": Material(0.485, False),  # wood-like youth standard read; the value is our choice within 0.47-0.50
    "softball": Material(0.500, False),  # own choice: no published value at hand
}


@dataclass(frozen=True)
class Bat:
    """A bat at rest in its own frame: axis from knob (0) to tip (length).

    station, radius : (k,) m, the profile
    length, sweet_spot, hands, grip_end : m from the knob end
    mass : kg; balance : m from the knob end
    inertia : kg m2, about an axis across the bat through the balance point
    roll_inertia : kg m2, about the bat's own axis
    cor : coefficient of restitution at the sweet spot at 60.8 m/s
    lively : m from the sweet spot to where the coefficient of restitution has fallen to nothing

    Numbers from mass on may be arrays (n,), one for each play.
    """

    station: Array
    radius: Array
    length: float
    sweet_spot: float
    hands: float
    grip_end: float
    mass: float | Array
    balance: float | Array
    inertia: float | Array
    roll_inertia: float | Array
    cor: float | Array
    lively: float | Array

    def take(self, places: Array) -> Bat:
        """The bats of some plays (k,)."""
        own = {name: getattr(self, name) for name in EACH if np.size(getattr(self, name)) > 1}
        return replace(self, **{name: value[places] for name, value in own.items()}) if own else self

    def inertia_about(self, distance: float) -> float | Array:
        """Moment of inertia about an axis across the bat at ``distance`` (m) from the knob end, kg m2."""
        return self.inertia + self.mass * (self.balance - distance) ** 2

    def radius_at(self, distance: Array) -> Array:
        """Radius at distances from the knob end, m."""
        return np.interp(distance, self.station, self.radius)

    def effective_mass(self, distance: Array) -> Array:
        """Mass felt by a blow across the axis at ``distance`` from the knob end, free bat, kg.

        Nathan, AJP 68, 979 (2000), from memory: the hands are too soft to matter within a millisecond.
        """
        return 1.0 / (1.0 / self.mass + (distance - self.balance) ** 2 / self.inertia)

    def restitution(self, distance: Array, normal_speed: Array) -> Array:
        """Ball-bat coefficient of restitution at ``distance`` for a closing speed along the normal, m/s.

        Falls as v^(-1/6) (as quoted, 33-67 m/s, held constant outside) and as a parabola away from the
        sweet spot (a placeholder for the measured fall by vibration, PHYSICS 6).
        """
        speed = np.clip(normal_speed, *COR_SPEED_RANGE)
        away = (distance - self.sweet_spot) / self.lively
        return self.cor * (speed / COR_REFERENCE_SPEED) ** COR_SPEED_POWER * np.maximum(1.0 - away**2, 0.0)

    def efficiency(self, distance: Array, normal_speed: Array, ball_mass: float | Array) -> Array:
        """Collision efficiency e_A = (e - r) / (1 + r), r = m / M_eff, along the barrel."""
        r = ball_mass / self.effective_mass(distance)
        return (self.restitution(distance, normal_speed) - r) / (1.0 + r)


def make_bat(length: float, mass: float, barrel_diameter: float, material: str) -> Bat:
    """A bat of the generic shape, stretched to a length (m), barrel diameter (m) and mass (kg).

    Wood is solid. The others are shells with a wall of one thickness, so their mass lies further out for the
    same weight. Raises KeyError for a material not in MATERIALS.
    """
    kind = MATERIALS[material]
    station, radius = _profile(length, barrel_diameter)
    fine = np.linspace(0.0, length, 2001)
    r = np.interp(fine, station, radius)
    # Mass of each slice up to a common factor: its area if solid, else its slant wall, with the tip closed by a disc.
    slices = (r**2 if kind.solid else r * np.hypot(1.0, np.gradient(r, fine))) * np.gradient(fine)
    if not kind.solid:
        slices[-1] += r[-1] ** 2 / 2
    slices *= mass / slices.sum()
    balance = (slices @ fine) / mass
    own = r**2 * (0.25 if kind.solid else 0.5)  # a slice's own inertia across the axis, per unit mass
    inertia = slices @ ((fine - balance) ** 2 + own)
    roll = 2.0 * (slices @ own)
    return Bat(
        station=station,
        radius=radius,
        length=length,
        sweet_spot=SWEET_SPOT_SHARE * length,
        hands=HANDS_SHARE * length,
        grip_end=GRIP_SHARE * length,
        mass=mass,
        balance=float(balance),
        inertia=float(inertia),
        roll_inertia=float(roll) * (SOLID_ROLL_SHARE if kind.solid else 1.0),
        cor=kind.cor,
        lively=LIVELY_LENGTH * length,
    )


def _profile(length: float, barrel_diameter: float) -> tuple[Array, Array]:
    """The generic profile with the same knob and handle, its barrel widened and its shaft stretched."""
    station, radius = PROFILE_IN.T * INCH
    beyond = np.clip((station - HANDLE_END) / (PROFILE_LENGTH - HANDLE_END), 0.0, 1.0)
    station = np.minimum(station, HANDLE_END) + beyond * (length - HANDLE_END)
    handle = 0.47 * INCH
    widen = (barrel_diameter / 2 - handle) / (radius.max() - handle)
    wider = np.where((radius > handle) & (beyond > 0), handle + (radius - handle) * widen, radius)
    return station, wider
