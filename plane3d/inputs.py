"""What a play is asked for and what it answers: frozen dataclasses in SI, no units, no files, no words.

Every number of `PitchAsk`, `SwingAsk` and `Coefficients`, the air density, the ball's mass and a bat's mass, balance,
inertias and liveliness may be a float or an array of shape (n,), the wind an array (n, 3); arrays make n plays.
Angles in rad, frame and signs as in `frames` and docs/axes.md.
"""

from __future__ import annotations

from dataclasses import dataclass, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from plane3d.constants import FRICTION, PITCHING_DISTANCE, TANGENTIAL_COR
from plane3d.frames import Array
from plane3d.physics.bat import Bat
from plane3d.physics.measured_swing import Track

Number = float | Array
Part = TypeVar("Part")


@dataclass(frozen=True)
class Ball:
    """Radius (m) and mass (kg) of a uniform ball."""

    radius: float
    mass: Number


@dataclass(frozen=True)
class Field:
    """Base length, fence distance down the lines and to centre, fence height, and pitcher's plate to home, m."""

    base: float
    fence_line: float
    fence_centre: float
    fence_height: float
    rubber: float = PITCHING_DISTANCE


@dataclass(frozen=True)
class Coefficients:
    """What the laws of flight and blow take from measurements.

    drag, lift, decay_time : factors on the drag and lift coefficients and on the spin's decay time (`physics.aero`)
    tangential_restitution, friction : of the blow (`physics.collision`)
    """

    drag: Number = 1.0
    lift: Number = 1.0
    decay_time: Number = 1.0
    tangential_restitution: Number = TANGENTIAL_COR
    friction: Number = FRICTION


@dataclass(frozen=True)
class Setting:
    """Ball, field, air density (kg/m3), wind velocity (x, y, z; m/s) and the coefficients of the laws."""

    ball: Ball
    field: Field
    air_density: Number
    wind: tuple[float, float, float] | Array = (0.0, 0.0, 0.0)
    coefficients: Coefficients = Coefficients()


@dataclass(frozen=True)
class PitchAsk:
    """How the pitch leaves the hand and where it crosses the plate.

    speed : m/s at release
    release_side, release_distance, release_height : m; distance from the rear point of the plate
    spin : rad/s
    spin_tilt : direction the spin pushes the ball, rad: 0 up, +pi/2 toward first base
    gyro : 0 = all spin active, pi/2 = none
    plate_side, plate_height : ball centre at the plate's front edge, m
    """

    speed: Number
    release_side: Number
    release_height: Number
    release_distance: Number
    spin: Number
    spin_tilt: Number
    gyro: Number
    plate_side: Number
    plate_height: Number


@dataclass(frozen=True)
class SwingAsk:
    """The contact pose asked for, and the road to it.

    bat_speed : speed of the sweet spot at contact, m/s
    attack_angle : climb of its velocity, up positive
    vertical_bat_angle : tilt of the bat below horizontal, positive
    bat_direction : in plan, 0 parallel to the plate's front edge, positive barrel ahead (pull)
    contact_depth : m from the plate's front edge, toward the pitcher positive
    below_line : vertical gap from pitch line to bat axis at that depth, barrel lower positive, m
    along_barrel : from the sweet spot toward the tip, m
    timing : s, late positive
    hinge : angle between lead forearm and bat while held, rad
    release : how long before contact the hinge is let go, s
    """

    bat_speed: Number
    attack_angle: Number
    vertical_bat_angle: Number
    bat_direction: Number
    contact_depth: Number
    below_line: Number
    along_barrel: Number
    timing: Number
    hinge: Number
    release: Number


@dataclass(frozen=True)
class Held:
    """The pitch and the swing that a held swing was built for: it keeps its hands and its clock while both change.

    Holding is against changes of pitch and swing. In another setting, or with another bat, the held pitch is thrown
    anew, as a hitter who knows the place would expect it.
    """

    pitch: PitchAsk
    swing: SwingAsk


@dataclass(frozen=True)
class Inputs:
    """One play, or n plays when numbers of the pitch or the swing are arrays of shape (n,).

    held : None to aim the swing at the pitch. Otherwise the swing is built for ``held`` and stays in space while
        the pitch moves; angles of ``swing`` that differ from the held ones turn the bat about the same hands.
    measured : None for a built swing. Otherwise the swing is this track, moved, turned and run faster or slower so
        that it has the numbers of ``swing`` at contact; with those of `Track.read` it stays as it was measured. Its
        hinge angle and release are not looked at.
    """

    setting: Setting
    bats: str  # "right" or "left"
    hitter_height: float  # m
    bat: Bat
    pitch: PitchAsk
    swing: SwingAsk
    held: Held | None = None
    measured: Track | None = None


def some(part: Part, places: Array) -> Part:
    """Some plays (k,) of many: arrays of a part of the inputs, and of its parts, reduced to them; the rest stays."""
    fewer: dict[str, Any] = {}
    for name, value in vars(part).items():
        if isinstance(value, np.ndarray) and value.ndim and len(value) > 1:
            fewer[name] = value[places]
        elif is_dataclass(value):
            fewer[name] = some(value, places)
    return replace(part, **fewer) if fewer else part  # type: ignore[type-var]


@dataclass(frozen=True)
class PitchResult:
    """At the plate's front edge: s, m/s, m/s, rad (positive = falling), m, m."""

    flight_time: float
    plate_speed: float
    speed_lost: float
    descent_angle: float
    plate_side: float
    plate_height: float


@dataclass(frozen=True)
class SwingResult:
    """At the swing's own contact pose: m/s, rad, rad; duration from launch to contact, s; rad/s; heading, rad."""

    bat_speed: float
    attack_angle: float
    vertical_bat_angle: float
    duration: float
    turn_rate: float
    heading: float


@dataclass(frozen=True)
class MeetingResult:
    """How bat and ball met or, for a miss, passed.

    Time, undercut, struck and closest are those of the first touch or closest pass; the others are those of the
    moment about a millisecond later when the ball's centre would be in the vertical plane of the bat's axis: what a
    coach means by "met here".

    touch : whether bat and ball touch
    time : s from the pitcher's release
    struck : place on the barrel that takes the blow, from the sweet spot, m; toward the tip positive
    below_line : vertical gap of ball centre and axis in the vertical plane of the axis, m; barrel lower positive
    undercut : the gap across the relative motion and across the axis, m
    along_barrel : from the sweet spot, toward the tip positive, m
    depth, height, side : ball centre, m; depth from the plate's front edge
    closest : smallest distance between the two surfaces, m; 0 for a touch
    miss : None, or "under", "over", "early", "late", "inside the barrel", "off the end"
    """

    touch: bool
    time: float
    below_line: float
    undercut: float
    along_barrel: float
    struck: float
    depth: float
    height: float
    side: float
    closest: float
    miss: str | None


@dataclass(frozen=True)
class CollisionResult:
    """m/s, rad, rad (toward first base positive), rad/s, rad/s (pushing toward first base positive),
    collision efficiency, "grip" or "slide"."""

    exit_speed: float
    launch_angle: float
    spray_angle: float
    backspin: float
    sidespin: float
    efficiency: float
    regime: str


@dataclass(frozen=True)
class FlightResult:
    """To the first bounce: m, s, m, and the landing point toward first base and toward centre field, m."""

    carry: float
    hang_time: float
    apex: float
    landing_side: float
    landing_out: float


@dataclass(frozen=True)
class OutcomeResult:
    """Kind of DESIGN 4, fair (None for a miss), over the fence."""

    kind: str
    fair: bool | None
    over_fence: bool


@dataclass(frozen=True)
class WhyResult:
    """Parts of the launch angle, rad; they add up to it."""

    attack: float
    undercut: float
    rest: float


@dataclass(frozen=True)
class Result:
    """One play, answered. Blocks that do not apply (a miss has no collision) are None."""

    inputs: Inputs
    pitch: PitchResult
    swing: SwingResult
    meeting: MeetingResult
    collision: CollisionResult | None
    flight: FlightResult | None
    outcome: OutcomeResult
    why: WhyResult | None
