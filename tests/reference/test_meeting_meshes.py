"""The found touch against meshes of bat and ball, measured by trimesh. See SOURCES.md.

The bat is its profile beyond the hands turned about its axis (1440 sides, within 0.1 micrometre of the true surface),
posed by its knob and axis at a time; the ball is an icosphere. Just before the found instant they are apart, just after
they overlap.
"""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.play import Play
from plane3d.units import INCH
from tests.cases import BALL, METAL, inputs

trimesh = pytest.importorskip("trimesh")
pytest.importorskip("rtree")

HITS = {
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


@pytest.fixture(scope="module")
def bat():
    beyond = METAL.station > METAL.grip_end
    along = np.concatenate([[METAL.grip_end] * 2, METAL.station[beyond], [METAL.length]])
    radius = np.concatenate([[0.0, METAL.radius_at(METAL.grip_end)], METAL.radius[beyond], [0.0]])
    mesh = trimesh.creation.revolve(np.column_stack([radius, along]), sections=1440)
    assert mesh.is_watertight
    return mesh


@pytest.fixture(scope="module")
def ball():
    return trimesh.creation.icosphere(subdivisions=5, radius=BALL.radius)


def in_bat_frame(shown, t):
    """Ball centre (3,) in the frame of the bat's mesh at time t, by trimesh's own transforms."""
    knob, axis = shown.bat_at(np.array([t]))
    pose = trimesh.geometry.align_vectors([0, 0, 1], axis[0])
    pose[:3, 3] = knob[0]
    return trimesh.transformations.transform_points(shown.pitch_at(np.array([t])), np.linalg.inv(pose))[0]


def gap(bat, centre):
    """Distance between the surfaces, negative where they overlap; trimesh counts inside as positive."""
    return -float(trimesh.proximity.signed_distance(bat, centre[None])[0]) - BALL.radius


@pytest.mark.parametrize("hit", HITS)
def test_apart_before_and_overlapping_after(bat, hit):
    shown = Play(inputs(**HITS[hit]))
    t = shown.contact_time
    assert t is not None
    assert gap(bat, in_bat_frame(shown, t)) == pytest.approx(0, abs=1e-6)
    step = 1e-5  # s, the promised accuracy of the instant
    assert gap(bat, in_bat_frame(shown, t - step)) > 0
    assert gap(bat, in_bat_frame(shown, t + step)) < 0
    for earlier in (5e-5, 2e-4, 5e-4, 1e-3, 3e-3):
        assert gap(bat, in_bat_frame(shown, t - earlier)) > 0


@pytest.mark.parametrize("hit", ["square", "one inch over", "on the end", "very late"])
def test_meshes_of_both_bodies(bat, ball, hit):
    """The nearest corners of the ball's mesh: all outside the bat before, some inside after."""
    shown = Play(inputs(**HITS[hit]))
    for step, overlap in ((-2e-5, False), (2e-5, True)):
        corners = ball.vertices + in_bat_frame(shown, shown.contact_time + step)
        closest, _, _ = trimesh.proximity.closest_point(bat, in_bat_frame(shown, shown.contact_time)[None])
        near = corners[np.argsort(np.linalg.norm(corners - closest, axis=1))[:40]]
        assert (trimesh.proximity.signed_distance(bat, near).max() > 0) == overlap


@pytest.mark.parametrize("below", [3.4, 4.0, -3.6])
def test_a_miss_never_overlaps(bat, below):
    shown = Play(inputs(below_line=below * INCH))
    t = shown.closest_time + np.linspace(-0.012, 0.012, 49)
    gaps = [gap(bat, in_bat_frame(shown, moment)) for moment in t]
    assert shown.contact_time is None
    assert min(gaps) == pytest.approx(shown.result.meeting.closest, abs=1e-6)
    assert min(gaps) > 0
