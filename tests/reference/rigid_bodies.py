"""The blow against MuJoCo, a general engine for rigid bodies in contact.

Bat (a capsule with the mass and the inertias of a 34-in wood bat) and ball are free bodies in space without weight.
The engine resolves the contact over some hundred steps of ten nanoseconds, as a stiff damped spring with Coulomb
friction: so short that the bodies hardly move meanwhile. It knows no coefficient of restitution: how much of the
normal speed came back is read off its outcome and handed to `collide`, which then has to give all twelve velocities of
both bodies.

What this can check: the bat's recoil and turn, the mass it offers along the barrel, its roll, friction that slides and
friction that grips. What it cannot: the spring back along the surface (the engine has none; e_t = 0 here, see the
closed form under Blow), and what the restitution is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from plane3d.frames import Array
from plane3d.physics.collision import Bodies, collide
from tests.cases import BALL, WOOD
from tests.reference.row import Row

BARREL = 0.033  # m
STIFFNESS, DAMPING = 3e6, 0.25  # 1/s, share of critical
STEP = 1e-8  # s
MOST = 5000  # steps
BODIES = Bodies(BALL.mass, BALL.radius, WOOD.mass, WOOD.inertia, WOOD.roll_inertia)
_BALL_INERTIA = 0.4 * BALL.mass * BALL.radius**2
_WORLD = f"""<mujoco>
<option timestep="{STEP}" gravity="0 0 0" cone="elliptic" impratio="1000" tolerance="1e-14" iterations="200"/>
<worldbody>
<body><freejoint/><geom name="bat" type="capsule" fromto="-1 0 0 1 0 0" size="{BARREL}"/>
<inertial pos="0 0 0" mass="{WOOD.mass}" diaginertia="{WOOD.roll_inertia} {WOOD.inertia} {WOOD.inertia}"/></body>
<body><freejoint/><geom name="ball" type="sphere" size="{BALL.radius}"/>
<inertial pos="0 0 0" mass="{BALL.mass}" diaginertia="{_BALL_INERTIA} {_BALL_INERTIA} {_BALL_INERTIA}"/></body>
</worldbody>
<contact><pair geom1="bat" geom2="ball" condim="{{dimensions}}" friction="{{mu}} {{mu}} 0 0 0"
solref="{-(STIFFNESS**2)} {-2 * DAMPING * STIFFNESS}" solreffriction="0 {-0.2 / STEP}"
solimp="0.99999 0.99999 1 0.5 1"/></contact>
</mujoco>"""


@dataclass(frozen=True)
class Case:
    """One blow in the frame of the bat, whose axis is x; SI.

    place : along the barrel, from the balance point; angle : of the normal above level
    ball, bat : velocities; spin, turn : how they rotate
    """

    place: float
    angle: float
    friction: float
    ball: tuple[float, ...]
    spin: tuple[float, ...]
    bat: tuple[float, ...]
    turn: tuple[float, ...]

    @property
    def normal(self) -> Array:
        return np.array([0.0, np.cos(self.angle), np.sin(self.angle)])

    @property
    def before(self) -> Array:
        """(12,) velocity and turn of the bat, then of the ball."""
        return np.array([*self.bat, *self.turn, *self.ball, *self.spin])

    @property
    def arm(self) -> Array:
        return np.array([self.place, 0.0, 0.0]) + BARREL * self.normal

    def closing(self, motion: Array) -> float:
        """Speed (m/s) along the normal at which the surfaces part."""
        bat, turn, ball, spin = motion.reshape(4, 3)
        return float((ball + np.cross(spin, -BALL.radius * self.normal) - bat - np.cross(turn, self.arm)) @ self.normal)


def _engine(case: Case) -> Array:
    """Motions (12,) after the contact, by the engine."""
    import mujoco

    model = mujoco.MjModel.from_xml_string(_WORLD.format(mu=case.friction, dimensions=3 if case.friction else 1))
    data = mujoco.MjData(model)
    centre = np.array([case.place, 0.0, 0.0]) + (BARREL + BALL.radius + 1e-8) * case.normal
    data.qpos[:] = [0, 0, 0, 1, 0, 0, 0, *centre, 1, 0, 0, 0]
    data.qvel[:] = case.before
    met = False
    for _ in range(MOST):
        mujoco.mj_step(model, data)
        if met and not data.ncon:
            return np.array(data.qvel)
        met = met or bool(data.ncon)
    raise ValueError("bat and ball did not part")


def _ours(case: Case, restitution: float) -> Array:
    """The same by `collide`."""
    bat, turn, ball, spin = case.before.reshape(4, 1, 3)
    out = collide(
        BODIES, ball, spin, bat + np.cross(turn, case.arm), case.normal[None], np.array([[1.0, 0.0, 0.0]]),
        case.arm[None], np.array([restitution]), 0.0, case.friction,
    )  # fmt: skip
    return np.concatenate([(bat + out.bat_velocity)[0], (turn + out.bat_spin)[0], out.velocity[0], out.spin[0]])


def _cases(friction: float, planar: bool, n: int = 12) -> list[Case]:
    """Blows of many kinds; planar ones at the balance point, with nothing moving along the bat."""
    rng = np.random.default_rng(20)
    made = []
    for _ in range(n):
        off = rng.uniform(-1, 1, 12) * ([0, 1, 1, 1, 0, 0] * 2 if planar else 1)
        tilt = rng.uniform(0.45, 0.65) if friction and friction < 0.1 else rng.uniform(-0.25, 0.25)
        made.append(
            Case(
                0.0 if planar else rng.uniform(-0.1, 0.2), float(tilt), friction,
                tuple(np.array([0, -38, -4]) + [3, 4, 3] * off[:3]), tuple(250 * off[3:6]),
                tuple(np.array([0, 25, 5]) + [2, 4, 3] * off[6:9]), tuple([0, 6, 40] * off[9:]),
            )
        )  # fmt: skip
    return made


@cache
def _off(friction: float, planar: bool) -> float:
    """Largest difference (%) of any body's change of motion, of what it changed in all.

    Turns count as speeds of the surface: the ball's by its radius, the bat's by the barrel's and across by 0.3 m.
    """
    size = np.array([1, 1, 1, BARREL, 0.3, 0.3, 1, 1, 1, *[BALL.radius] * 3])
    worst = 0.0
    for case in _cases(friction, planar):
        theirs = _engine(case)
        ours = _ours(case, -case.closing(theirs) / case.closing(case.before))
        change = np.linalg.norm((size * (theirs - case.before)).reshape(2, 6), axis=1)
        apart = np.linalg.norm((size * (ours - theirs)).reshape(2, 6), axis=1)
        worst = max(worst, float((apart / change).max()))
    return 100 * worst


_engine_row = partial(
    Row, unit="%", published=None, source="MuJoCo", known="library", basis="calculation", own=0.01, needs="mujoco",
    why="the engine's contact lasts a microsecond, in which the bodies move on by a little; it shrinks with stiffness",
)  # fmt: skip

ROWS = (
    _engine_row("No friction, anywhere on the barrel, 12 blows", ours=lambda: _off(0.0, False), allowed=0.05),
    _engine_row("Friction that slides, planar, 12 blows", ours=lambda: _off(0.05, True), allowed=0.1),
    _engine_row("Friction that grips and rolls off, planar, 12 blows", ours=lambda: _off(2.0, True), allowed=0.05),
    _engine_row("Friction that grips and rolls off, anywhere, 12 blows", ours=lambda: _off(2.0, False), allowed=0.05),
    _engine_row(
        "Friction that slides, anywhere, 12 blows", ours=lambda: _off(0.05, False), allowed=1.0,
        why="ours keeps the direction in which the surfaces first slide; in truth it turns a little during the blow, "
            "since the bat gives way more easily by rolling than along its axis",
    ),
)  # fmt: skip
