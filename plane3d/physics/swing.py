"""The built swing: arms turning about the chest, bat hinged at the hands, in a tilted plane.

The motion inside the plane is a two-link chain. The hinge angle is held, then opens with constant acceleration;
the arms speed up and are slow again at contact, as the bat whips past them. Before contact the barrel drops into
the plane. Everything is placed so that the asked contact pose is met exactly; where the chest stands follows.
Shares and times are our own fit to the torque-driven two-link model of PHYSICS 5 (after Cross, AJP 77, 36, 2009).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from plane3d.errors import UnreachableError
from plane3d.frames import Array, cross, dot
from plane3d.language import tr
from plane3d.physics.bat import Bat

ARM_SHARE = 0.25  # chest to hands, share of the hitter's height (0.45 m at 1.80 m)
ARM_TURN = np.radians(82.0)  # turn of the arms from launch to contact
OPEN_HINGE = np.radians(155.0)  # hinge angle at contact when there was time to open
FOLLOW_HINGE = np.radians(190.0)  # where it ends after contact: wrists past straight
DURATION = 0.150  # s from launch to contact at 70 mph with a 34-in bat: swing proper 150 ms (read, PHYSICS 5)
DURATION_SPEED = 70 * 0.44704
DURATION_REACH = 28 * 0.0254
MAX_HINGE_SHARE = 0.80  # of the bat speed that the hinge alone may give; the arms must give the rest
DROP_SHARE = 0.65  # of the duration taken by the drop into the plane
DROP_ANGLE = np.radians(55.0)  # bat above the plane at launch
DROP_HEIGHT = 0.15  # hands above the plane at launch, m
FOLLOW_SHARE = 0.7  # of the duration shown after contact
FOLLOW_SLOWING = 0.6  # time constant of the bat's turn after contact, share of the duration


@dataclass(frozen=True)
class BuiltSwing:
    """n swings. Time s is counted from the swing's own contact, so launch is at s = -duration.

    along, across, normal : (n, 3) unit axes of the plane: the bat at contact, its direction of travel, up
    sweet : (n, 3) m, sweet spot at contact
    reach : sweet spot from the hands' middle, m; knob_gap : hands' middle from the knob end, m; arm : m
    duration, release : (n,) s
    hinge, hinge_end : (n,) rad; hinge_rate, arm_rate : (n,) rad/s at contact
    """

    along: Array
    across: Array
    normal: Array
    sweet: Array
    reach: float
    knob_gap: float
    arm: float
    duration: Array
    release: Array
    hinge: Array
    hinge_end: Array
    hinge_rate: Array
    arm_rate: Array

    @property
    def turn_rate(self) -> Array:
        """(n,) rad/s, turn of the bat at contact."""
        return self.arm_rate + self.hinge_rate

    @property
    def follow_time(self) -> Array:
        """(n,) s after contact up to which the swing is described."""
        return FOLLOW_SHARE * self.duration

    def take(self, index: Array) -> BuiltSwing:
        """Some of the swings."""
        picked: dict[str, Any] = {k: v[index] for k, v in vars(self).items() if isinstance(v, np.ndarray)}
        return replace(self, **picked)

    def pose(self, s: Array) -> tuple[Array, Array]:
        """Knob end (n, m, 3) m and unit bat axis (n, m, 3) at times s (n, m); held before launch and at the end."""
        hands, axis, _, _ = self._move(s)
        return hands - self.knob_gap * axis, axis

    def hands(self, s: Array) -> Array:
        """Middle of the hands (n, m, 3) m at times s (n, m)."""
        return self._move(s)[0]

    @property
    def chest(self) -> Array:
        """(n, 3) m, the point the arms turn about."""
        return self._place(self._centre(), np.zeros((1, 1)))[:, 0] + self.sweet

    def motion(self, s: Array) -> tuple[Array, Array]:
        """Velocity of the knob end (n, m, 3) m/s and angular velocity (n, m, 3) rad/s at times s (n, m)."""
        _, axis, hands_velocity, axis_rate = self._move(s)
        return hands_velocity - self.knob_gap * axis_rate, cross(axis, axis_rate)

    def hinge_angle(self, s: Array) -> Array:
        """Angle between lead forearm and bat (n, m), rad, at times s (n, m)."""
        return self._angles(np.asarray(s, dtype=float))[2]

    def _move(self, s: Array) -> tuple[Array, Array, Array, Array]:
        """Hands, axis, and their rates of change, each (n, m, 3)."""
        s = np.asarray(s, dtype=float)
        arm, bat, _, arm_rate, bat_rate = self._angles(s)
        lift, lift_rate = self._drop(s)
        chest = self._centre()
        spin = np.exp(1j * bat)
        link = self.arm * np.exp(1j * arm)
        hands = self._place(chest + link, DROP_HEIGHT * lift) + self.sweet[:, None]
        hands_velocity = self._place(1j * arm_rate * link, DROP_HEIGHT * lift_rate)
        up, up_rate = DROP_ANGLE * lift, DROP_ANGLE * lift_rate
        cos, sin = np.cos(up), np.sin(up)
        axis = self._place(spin * cos, sin)
        axis_rate = self._place(spin * (1j * bat_rate * cos - up_rate * sin), up_rate * cos)
        return hands, axis, hands_velocity, axis_rate

    def _centre(self) -> Array:
        """The chest (n, 1) inside the plane, from the sweet spot at contact."""
        return -self.reach - self.arm * np.exp(1j * (np.pi - self.hinge_end))[:, None]

    def _place(self, inside: Array, above: Array) -> Array:
        """Points given by a complex number inside the plane and a height above it, in the field frame."""
        return (
            inside.real[..., None] * self.along[:, None]
            + inside.imag[..., None] * self.across[:, None]
            + above[..., None] * self.normal[:, None]
        )

    def _angles(self, s: Array) -> tuple[Array, Array, Array, Array, Array]:
        """Arm angle, bat angle (0 at contact), hinge angle, and the rates of the first two."""
        duration = self.duration[:, None]
        before = self._before(np.clip(s, -duration, 0.0))
        after = self._after(np.clip(s, 0.0, FOLLOW_SHARE * duration))
        late = s > 0
        moving = (s >= -duration) & (s <= FOLLOW_SHARE * duration)
        arm, hinge, arm_rate, hinge_rate = (np.where(late, b, a) for a, b in zip(before, after, strict=True))
        bat = arm - (np.pi - hinge)
        return arm, bat, hinge, arm_rate * moving, (arm_rate + hinge_rate) * moving

    def _before(self, s: Array) -> tuple[Array, Array, Array, Array]:
        duration, end_rate = self.duration[:, None], self.arm_rate[:, None]
        u = 1.0 + s / duration
        turn = np.maximum(ARM_TURN, 0.4 * end_rate * duration)
        hump = 6.0 * (turn / duration - end_rate / 3.0)
        arm = (np.pi - self.hinge_end)[:, None] - turn
        arm = arm + duration * (end_rate * u**3 / 3 + hump * (u**2 / 2 - u**3 / 3))
        release = self.release[:, None]
        x = np.maximum(1.0 + s / release, 0.0)
        opening = (self.hinge_end - self.hinge)[:, None]
        return (
            arm,
            self.hinge[:, None] + opening * x**2,
            end_rate * u**2 + hump * u * (1 - u),
            2 * opening * x / release,
        )

    def _after(self, s: Array) -> tuple[Array, Array, Array, Array]:
        slowing = (FOLLOW_SLOWING * self.duration)[:, None]
        rate = self.turn_rate[:, None]
        left = FOLLOW_HINGE - self.hinge_end[:, None]
        hinge_rate = self.hinge_rate[:, None]
        fade = np.exp(-s * hinge_rate / left)
        hinge = self.hinge_end[:, None] + left * (1 - fade)
        bat = rate * slowing * (1 - np.exp(-s / slowing))
        bat_rate = rate * np.exp(-s / slowing)
        return bat + np.pi - hinge, hinge, bat_rate - hinge_rate * fade, hinge_rate * fade

    def _drop(self, s: Array) -> tuple[Array, Array]:
        """Share (n, m) of the drop still to come, and its rate; nothing left once in the plane."""
        time = (DROP_SHARE * self.duration)[:, None]
        x = np.clip((s + self.duration[:, None]) / time, 0.0, 1.0)
        still = 1.0 - x * x
        return still**3, np.where(s > -self.duration[:, None], -6.0 * x * still**2 / time, 0.0)


def build_swing(
    bat: Bat,
    hitter_height: float,
    side: float,
    point: Array,
    bat_speed: Array,
    attack_angle: Array,
    vertical_bat_angle: Array,
    bat_direction: Array,
    hinge: Array,
    release: Array,
) -> BuiltSwing:
    """Swings whose sweet spot passes ``point`` with the asked speed and angles.

    Parameters
    ----------
    side : +1 right-handed, -1 left-handed hitter
    point : (n, 3) m, sweet spot at contact
    bat_speed, attack_angle, vertical_bat_angle, bat_direction, hinge, release : (n,), SI, as in `inputs.SwingAsk`

    Raises UnreachableError where no direction of travel has both the climb and the bat angle asked for.
    """
    arm = ARM_SHARE * hitter_height
    reach = bat.sweet_spot - bat.hands
    duration = DURATION * (DURATION_SPEED / bat_speed) * (bat.sweet_spot / DURATION_REACH)
    release = np.minimum(release, duration)
    # A hinge let go too late for this bat speed arrives at contact still partly closed.
    room = MAX_HINGE_SHARE * bat_speed * release / (2 * reach)
    opening = np.clip(OPEN_HINGE - hinge, 0.0, room)
    hinge_end = hinge + opening
    hinge_rate = 2 * opening / release
    arm_rate = _arm_rate(bat_speed, hinge_rate, np.pi - hinge_end, arm, reach)
    pull_in = -arm * arm_rate * np.sin(hinge_end) / bat_speed  # velocity along the bat, toward the hands negative
    along = bat_axis(side, vertical_bat_angle, bat_direction)
    velocity = _travel(attack_angle, vertical_bat_angle, bat_direction, pull_in, side)
    across = velocity - dot(velocity, along)[:, None] * along
    across /= np.sqrt(dot(across, across))[:, None]
    normal = side * cross(along, across)
    return BuiltSwing(along, across, normal, point, reach, bat.hands, arm, duration, release, hinge, hinge_end,
                      hinge_rate, arm_rate)  # fmt: skip


def square_direction(vertical_bat_angle: float, attack_angle: float) -> float:
    """Bat direction (rad) that sends a square hit about up the middle: asin(tan(bat angle) tan(attack angle)).

    A bat moving straight across its own axis needs it to travel at centre field. Angles in rad.
    """
    return math.asin(max(-1.0, min(1.0, math.tan(vertical_bat_angle) * math.tan(attack_angle))))


def bat_axis(side: float, vertical_bat_angle: Array, bat_direction: Array) -> Array:
    """Unit bat axes (n, 3), knob to tip, of a hitter on the given side."""
    level = np.cos(vertical_bat_angle)
    return np.stack(
        [side * level * np.cos(bat_direction), level * np.sin(bat_direction), -np.sin(vertical_bat_angle)], axis=-1
    )


def _arm_rate(bat_speed: Array, hinge_rate: Array, lag: Array, arm: float, reach: float) -> Array:
    """Turn rate of the arms for which arms and hinge together give the bat speed: a quadratic."""
    # |(reach + arm e^{i lag}) w + reach hinge_rate| = bat_speed
    a = reach**2 + arm**2 + 2 * reach * arm * np.cos(lag)
    b = reach * hinge_rate * (reach + arm * np.cos(lag))
    c = (reach * hinge_rate) ** 2 - bat_speed**2
    return (-b + np.sqrt(b**2 - a * c)) / a


def _travel(attack: Array, tilt: Array, bat_direction: Array, pull_in: Array, side: float) -> Array:
    """Unit velocity (n, 3) with the asked climb whose part along the bat is ``pull_in``."""
    sine = (pull_in + np.sin(tilt) * np.sin(attack)) / (np.cos(tilt) * np.cos(attack))
    beyond = np.abs(sine) >= 1.0
    if np.any(beyond):
        raise UnreachableError(
            tr("No swing has this attack angle together with this vertical bat angle; lower one of the two."),
            ("attack_angle", "vertical_bat_angle"),
            beyond,
        )
    heading = np.arcsin(sine) - bat_direction
    return np.stack(
        [side * np.cos(attack) * np.sin(heading), np.cos(attack) * np.cos(heading), np.sin(attack)], axis=-1
    )
