"""The found touch against meshes of bat and ball, measured by trimesh.

The bat is its profile beyond the hands turned about its axis (1440 sides, within 0.1 micrometre of the true surface),
posed by its knob and axis at a time; the ball is an icosphere.
"""

from __future__ import annotations

from functools import cache, partial
from typing import Any

import numpy as np

from plane3d.frames import Array
from plane3d.play import Play
from plane3d.units import INCH
from tests.cases import BALL, METAL, inputs
from tests.reference.row import Row

HITS: dict[str, dict[str, Any]] = {
    "square": {},
    "half an inch under": {"below_line": 0.5 * INCH},
    "one inch under": {"below_line": 1.0 * INCH},
    "one inch over": {"below_line": -1.0 * INCH},
    "two inches under": {"below_line": 2.0 * INCH},
    "left-handed, one inch under": {"bats": "left", "below_line": 1.0 * INCH},
    "toward the tip": {"along_barrel": 4.5 * INCH},
    "on the rim of the end": {"along_barrel": 6.3 * INCH, "below_line": 0.4 * INCH},
    "on the end": {"along_barrel": 7.0 * INCH},
    "handle side": {"along_barrel": -9.0 * INCH},
    "on the taper": {"along_barrel": -13.0 * INCH, "below_line": 0.3 * INCH},
    "early": {"timing": -0.009, "below_line": 0.6 * INCH},
    "late": {"timing": 0.009, "below_line": 0.6 * INCH},
    "very late": {"timing": 0.020},
    "graze under": {"below_line": 3.1 * INCH},
    "graze over": {"below_line": -3.1 * INCH},
}
MISSES = (3.4, 4.0, -3.6)  # in below the line
STEP = 1e-5  # s, the promised accuracy of the instant
EARLIER = (5e-5, 2e-4, 5e-4, 1e-3, 3e-3)  # s before the touch


@cache
def bat() -> Any:
    import trimesh

    beyond = METAL.station > METAL.grip_end
    along = np.concatenate([[METAL.grip_end] * 2, METAL.station[beyond], [METAL.length]])
    radius = np.concatenate([[0.0, METAL.radius_at(METAL.grip_end)], METAL.radius[beyond], [0.0]])
    mesh = trimesh.creation.revolve(np.column_stack([radius, along]), sections=1440)
    if not mesh.is_watertight:
        raise ValueError("the mesh is open")
    return mesh


@cache
def shown(hit: str) -> Play:
    return Play(inputs(**HITS[hit]))


def in_bat_frame(play: Play, t: float) -> Array:
    """Ball centre (3,) in the frame of the bat's mesh at time t, by trimesh's own transforms."""
    import trimesh

    knob, axis = play.bat_at(np.array([t]))
    pose = trimesh.geometry.align_vectors([0, 0, 1], axis[0])
    pose[:3, 3] = knob[0]
    return trimesh.transformations.transform_points(play.pitch_at(np.array([t])), np.linalg.inv(pose))[0]


def gap(play: Play, t: float) -> float:
    """Distance (m) between the surfaces, negative where they overlap; trimesh counts inside as positive."""
    import trimesh

    return -float(trimesh.proximity.signed_distance(bat(), in_bat_frame(play, t)[None])[0]) - BALL.radius


def _touch(hit: str) -> float:
    time = shown(hit).contact_time
    if time is None:
        raise ValueError(f"{hit}: no touch")
    return time


def _gap_at_touch() -> float:
    """Largest, micrometres."""
    return 1e6 * max(abs(gap(shown(hit), _touch(hit))) for hit in HITS)


def _wrongly_sided() -> float:
    """How many of the times looked at, just after and up to 3 ms before the touch, are on the wrong side of it."""
    apart = [gap(shown(hit), _touch(hit) - earlier) > 0 for hit in HITS for earlier in (STEP, *EARLIER)]
    overlap = [gap(shown(hit), _touch(hit) + STEP) < 0 for hit in HITS]
    return len(apart) + len(overlap) - sum(apart) - sum(overlap)


def _off_closest() -> float:
    """Largest difference (micrometres) of a miss's closest pass, looked for every millisecond around it."""
    off = []
    for below in MISSES:
        play = Play(inputs(below_line=below * INCH))
        gaps = [gap(play, t) for t in play.closest_time + np.linspace(-0.012, 0.012, 25)]
        if play.contact_time is not None or min(gaps) <= 0:
            raise ValueError(f"{below} in below the line: no miss")
        off.append(abs(min(gaps) - play.result.meeting.closest))
    return 1e6 * max(off)


_mesh = partial(Row, published=None, source="trimesh, signed distance of the posed mesh", known="library",
                basis="calculation", needs="rtree")  # fmt: skip

ROWS = (
    _mesh("16 touches of all kinds: gap left between the surfaces", "µm", ours=_gap_at_touch, allowed=1.0, own=0.1,
          why="1440 sides come within 0.1 µm; the instant is good to a nanosecond"),
    _mesh("0.01 ms after them overlapping, before them apart: times wrong", "of 112", ours=_wrongly_sided),
    _mesh("3 misses: closest pass", "µm", ours=_off_closest, allowed=1.0, own=0.1,
          why="1440 sides come within 0.1 µm; around its least the gap hardly changes"),
)  # fmt: skip
