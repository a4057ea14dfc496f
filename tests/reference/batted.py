"""Batted flights against published distances, and the spin of hit balls."""

from __future__ import annotations

from functools import cache, partial
from unittest.mock import patch

import numpy as np

from plane3d.frames import Array, direction
from plane3d.physics import aero
from plane3d.physics.air import air_density, standard_pressure
from plane3d.physics.flight import fly_until, launch
from plane3d.play import play_many
from plane3d.units import DEGREE, FOOT, INCH, INHG, MPH, RPM, fahrenheit_to_kelvin
from tests.cases import MILD_AIR, WOOD, inputs, medium
from tests.reference import blows
from tests.reference.row import Row

USUAL_SPIN = 2200.0  # rpm; the reference values were computed with it
EXPLORATORIUM = "Exploratorium, Science of Baseball, How far"
KAGAN = "Kagan, Phys. Teach.: home runs, 29 ± 5"


def carry(speed: float, angle: float, rpm: float = USUAL_SPIN, density: float = MILD_AIR) -> tuple[float, float]:
    """Distance (ft) and time (s) from 3 ft up until the ball's centre is on the ground; speed m/s, angle deg."""
    air = medium(air=density)
    start = np.array([[0.0, 0.0, 3 * FOOT]])
    first = launch(start, speed * direction(0.0, np.array([angle * DEGREE])), np.array([[rpm * RPM, 0.0, 0.0]]), air)
    landing = fly_until(first, air, lambda x, v: x[:, 2])[0]
    return float(landing.x[0, 1]) / FOOT, float(landing.time[0])


def _hit(density: float = MILD_AIR, angle: float = 30.0, rpm: float = USUAL_SPIN) -> float:
    """Carry (ft) of a ball hit at 100 mph."""
    return carry(100 * MPH, angle, rpm, density)[0]


def _air(fahrenheit: float = 70.0, altitude_ft: float = 0.0, lower_inhg: float = 0.0) -> float:
    pressure = standard_pressure(altitude_ft * FOOT) - lower_inhg * INHG
    return float(air_density(fahrenheit_to_kelvin(fahrenheit), pressure, 0.5))


def _plain(feet_per_s: float, angle: float, share: float) -> float:
    """Carry (ft) with the drag the table was made with: 0.35 at every speed, and no spin."""
    with patch.object(aero, "drag_coefficient", lambda spin_factor, speed: 0.35 + 0 * speed):
        return carry(feet_per_s * FOOT, angle, 0.0, share * MILD_AIR)[0]


def _changed_drag(factor: float, more: float) -> float:
    """Carry gained (ft) by another drag."""
    law = aero.drag_coefficient

    def other(spin_factor: Array, speed: Array) -> Array:
        return factor * law(spin_factor, speed) + more

    before = _hit()
    with patch.object(aero, "drag_coefficient", other):
        return _hit() - before


@cache
def _best_angle(rpm: float) -> float:
    angles = np.arange(15.0, 55.0)
    return float(angles[np.argmax([_hit(angle=float(a), rpm=rpm) for a in angles])])


@cache
def _air_times() -> tuple[float, ...]:
    return tuple(carry(v * MPH, a)[1] for v in (80, 90, 100) for a in (26, 33, 40))


@cache
def _spin(tilt_deg: float, launch_deg: float) -> tuple[float, float]:
    """Spin in all and sidespin (rpm) of a ball leaving at an angle off a wood bat so tilted that climbs 10 deg."""
    tilt, climb = tilt_deg * DEGREE, 10 * DEGREE
    below = np.linspace(0.0, 1.2, 49) * INCH
    square = float(np.arcsin(np.tan(climb) * np.tan(tilt)))
    swing = {"attack_angle": climb, "vertical_bat_angle": tilt, "bat_direction": square}
    plays = play_many(inputs(bat=WOOD, below_line=below, **swing))
    _, side = aero.spin_axes(plays.blow.velocity)
    spin = plays.blow.spin
    parts = (np.linalg.norm(spin, axis=1), np.abs(np.sum(spin * side, axis=1)))
    total, sidespin = (float(np.interp(launch_deg * DEGREE, plays.launch_angle, part)) / RPM for part in parts)
    return total, sidespin


_exploratorium = partial(Row, unit="ft", source=EXPLORATORIUM, known="read", basis="calculation")
_ft = partial(Row, unit="ft", known="read")
_miss = partial(Row, unit="rpm", known="as quoted", basis="independent")

ROWS = (
    *(
        _exploratorium(
            f"{v} ft/s at {a}°, {air}", published=float(feet), ours=lambda v=v, a=a, share=share: _plain(v, a, share),
            allowed=0.01, own=0.0013, share=True,
            why="drag 0.35 and no spin, set for this table, give back its 15 rows to 0.7 %; its drag is not stated",
        )
        for v, a, air, share, feet in (
            (161, 45, "usual air", 1.0, 400), (161, 45, "10 % thinner", 0.9, 419), (161, 45, "10 % denser", 1.1, 382),
            (140, 35, "usual air", 1.0, 341), (140, 35, "10 % thinner", 0.9, 354), (140, 35, "10 % denser", 1.1, 329),
        )
    ),
    *(
        _exploratorium(
            f"{v} ft/s at {a}°, no air", published=feet, ours=lambda v=v, a=a: carry(v * FOOT, a, 0.0, 0.0)[0],
            allowed=0.007, own=0.0009, share=True,
            why="exact from 3 ft up: 808.6 and 576.7; with 32 ft/s² it would be 813 and 580",
        )
        for v, a, feet in ((161, 45, 812.0), (140, 35, 577.0))
    ),
    _ft("100 mph at 30°", published=400.0, ours=_hit, source="Nathan 2021: about 400", basis="calibrated",
        allowed=0.05, own=None, share=True, why="'about', spin and air not stated; balls differ by as much"),
    _ft("The same a mile high", published=430.0, ours=lambda: _hit(_air(altitude_ft=5280)),
        source="Nathan 2021: about 430", basis="calibrated", allowed=0.05, own=None, share=True,
        why="'about', spin and air not stated; balls differ by as much"),
    Row("Carry gained a mile high", "%", (5.0, 10.0), lambda: 100 * (_hit(_air(altitude_ft=5280)) / _hit() - 1),
        "University of Colorado Boulder 2021; Meyer and Bohn, AJP 76, 1015 (2008) saw 5", "read", "independent"),
    Row("The same, as measured", "%", 100 * (302.8 / 284.5 - 1),
        lambda: 100 * (_hit(_air(altitude_ft=5280)) / _hit() - 1),
        "flies measured in play, 302.8 against 284.5 ft; author not noted", "read", "independent", allowed=1.5,
        own=None, why="means over many hits, with winds"),
    _ft("10 °F warmer", published=10 / 3, ours=lambda: _hit(_air(80.0)) - _hit(_air(70.0)),
        source="Nathan, AIAA: 1/3 ft per °F", basis="independent", allowed=0.25, own=None, share=True,
        why="given to one digit, for a hit not stated"),
    _ft("1000 ft higher", published=6.0, ours=lambda: _hit(_air(altitude_ft=1000)) - _hit(), source="Adair",
        basis="independent", allowed=0.20, own=0.083, share=True, why="one digit, for a hit not stated"),
    _ft("Barometer 1 inHg lower", published=4.0, ours=lambda: _hit(_air(lower_inhg=1.0)) - _hit(), source="Adair",
        basis="independent", allowed=0.20, own=0.125, share=True, why="one digit, for a hit not stated",
        miss="nearly the same change of density as 1000 ft of height, for which he says 6 ft: his two do not agree"),
    _ft("Drag coefficient 0.01 higher", published=(-5.0, -4.0), ours=lambda: _changed_drag(1.0, 0.01),
        source="home-run committee; Nathan and Young 2020", basis="independent", allowed=0.9, own=None,
        why="for the mean home run, which flies a little shorter than this ball"),
    Row("10 % more drag, distance lost", "%", 3.0, lambda: -100 * _changed_drag(1.1, 0.0) / _hit(),
        "Adair: 12 of 400 ft", "as quoted", "calibrated", allowed=2.0, own=None,
        why="said of the drag at high speed only; ours is raised at all speeds"),
    _ft("Pitch 5 mph faster, same bat", published=(3.0, 3.5),
        ours=lambda: blows.distance(0.75, 90.0) - blows.distance(0.75, 85.0), source="Adair", basis="independent",
        allowed=0.5, own=None, why="one digit, for a hit not stated",
        miss="5 mph of pitch add 1 mph off this bat, worth 4 ft; his bat or his air gives a fifth less"),
    Row("Best launch angle, 2200 rpm", "deg", 29.0, lambda: _best_angle(2200.0), KAGAN, "read", "independent",
        allowed=5.0, own=5.0),
    Row("Best launch angle, no spin", "deg", 35.0, lambda: _best_angle(0.0), "Adair: 35, of weak lift", "read",
        "independent", allowed=5.0, own=5.0, why="30 to 40 nearly equal, he says"),
    Row("Best launch angle, 2200 rpm less that of no spin", "deg", (-np.inf, 0.0),
        lambda: _best_angle(2200.0) - _best_angle(0.0), "Adair: backspin lowers it", "read", "independent"),
    Row("40° against 30°, distance", "%", 100.0, lambda: 100 * _hit(angle=40.0) / _hit(angle=30.0),
        "Adair: nearly equal", "read", "independent", allowed=8.0, own=None,
        why="'nearly'; more lift than his moves the best angle down"),
    Row("Shortest fly, 80 to 100 mph at 26 to 40°", "s", (3.0, 6.0), lambda: min(_air_times()), "Allain, Wired 2021",
        "read", "independent"),
    Row("Longest of them", "s", (3.0, 6.0), lambda: max(_air_times()), "Allain, Wired 2021", "read", "independent",
        allowed=0.5, own=None, why="given in whole seconds for flies in general; 100 mph at 40° is a high one"),
    _ft("Longest of all, 118 mph at sea level", published=(-np.inf, 545.0), source="Adair, ordinary weather",
        ours=lambda: max(carry(118 * MPH, a)[0] for a in (24, 28, 32)), basis="independent"),
    _miss("Spin at 25° of launch, level wood bat climbing 10°", published=2393.0, ours=lambda: _spin(0.0, 25.0)[0],
          source="game average, Nathan's articles", allowed=0.1, own=None, share=True, why="the spread is not stated",
          miss="tangential restitution may be lower for fast balls (see Blow), and spin hangs on the climb: "
               "at 15° ours gives 2320"),
    _miss("Spin at 25° of launch, wood bat tilted 30°", published=2393.0, ours=lambda: _spin(30.0, 25.0)[0],
          source="game average, Nathan's articles", allowed=0.1, own=None, share=True, why="the spread is not stated",
          miss="the tilt adds sidespin, more than hit balls show; at 15° of climb ours gives 2880"),
    _miss("Sidespin at 25° of launch, wood bat tilted 30°", published=850.0, ours=lambda: _spin(30.0, 25.0)[1],
          source="hits to centre by a professional, Nathan's articles", allowed=0.25, own=None, share=True,
          why="one hitter's average", miss="docs/model.md warns: balls slice too far rather than too little"),
)  # fmt: skip
