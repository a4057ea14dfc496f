"""Corners of the ball's mesh against the mesh of the bat, by trimesh; the gaps themselves are rows of meetings.py."""

from __future__ import annotations

import numpy as np
import pytest

from tests.cases import BALL
from tests.reference import meetings

trimesh = pytest.importorskip("trimesh")
pytest.importorskip("rtree")


@pytest.mark.parametrize("hit", ["square", "one inch over", "on the end", "very late"])
def test_meshes_of_both_bodies(hit):
    """The nearest corners of the ball's mesh: all outside the bat before, some inside after."""
    ball = trimesh.creation.icosphere(subdivisions=5, radius=BALL.radius)
    bat, shown = meetings.bat(), meetings.shown(hit)
    closest, _, _ = trimesh.proximity.closest_point(bat, meetings.in_bat_frame(shown, shown.contact_time)[None])
    for step, overlap in ((-2e-5, False), (2e-5, True)):
        corners = ball.vertices + meetings.in_bat_frame(shown, shown.contact_time + step)
        near = corners[np.argsort(np.linalg.norm(corners - closest, axis=1))[:40]]
        assert (trimesh.proximity.signed_distance(bat, near).max() > 0) == overlap
