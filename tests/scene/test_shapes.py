"""Shapes against general geometry libraries and closed forms (mathematics: exact, up to the facets)."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from plane3d.constants import BASEBALL_RADIUS, PLATE_FRONT_Y, PLATE_SIDE, SOFTBALL_RADIUS
from plane3d.physics.field import plate_corners
from plane3d.scene import props
from plane3d.scene.parts import Mesh
from plane3d.scene.shapes import bar, disc, polygon, revolved, ribbon, seam, slab, sphere
from tests.cases import METAL, WOOD

SIDES = 32
FACETS = SIDES / (2 * np.pi) * np.sin(2 * np.pi / SIDES)  # area of a regular polygon over that of its circle


def solid(points: np.ndarray, triangles: np.ndarray) -> trimesh.Trimesh:
    """The shape with its doubled edges sewn together."""
    body = trimesh.Trimesh(points, triangles, process=False)
    body.merge_vertices(merge_norm=True, merge_tex=True)
    return body


@pytest.mark.parametrize("bat", [METAL, WOOD])
def test_bat_has_the_volume_of_its_profile_and_of_the_library_revolution(bat) -> None:
    pieces = [mesh for mesh in props.bat(bat) if mesh.name in ("bat grip", "bat barrel")]
    bodies = [solid(mesh.points.astype(float), mesh.triangles) for mesh in pieces]
    assert all(body.is_watertight and body.is_winding_consistent for body in bodies)
    volume = sum(body.volume for body in bodies)  # positive: the faces look outward
    r = bat.radius
    frusta = np.pi / 3 * np.sum(np.diff(bat.station) * (r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2))
    assert volume == pytest.approx(FACETS * frusta, rel=1e-4)
    outline = np.vstack([[0, 0], np.column_stack([r, bat.station]), [0, bat.length]])
    library = trimesh.creation.revolve(outline, sections=SIDES)
    assert volume == pytest.approx(abs(library.volume), rel=1e-4)


def test_bat_mesh_lies_on_the_profile_that_meets_the_ball() -> None:
    for mesh in props.bat(METAL):
        if mesh.name == "sweet spot" or mesh.moves_with != "bat":
            continue
        points = mesh.points.astype(float)
        out = np.hypot(points[:, 0], points[:, 1])
        skin = out > 0  # all but the middles of the caps
        assert out[skin] == pytest.approx(METAL.radius_at(points[skin, 2]), abs=1e-7)


def test_sweet_spot_ring_stands_where_the_sweet_spot_is() -> None:
    (ring,) = [mesh for mesh in props.bat(WOOD) if mesh.name == "sweet spot"]
    assert ring.points[:, 2].mean() == pytest.approx(WOOD.sweet_spot, abs=1e-6)


@pytest.mark.parametrize("radius", [BASEBALL_RADIUS, SOFTBALL_RADIUS])
def test_ball_is_a_closed_sphere(radius: float) -> None:
    body = solid(*sphere(radius))
    assert body.is_watertight
    assert np.linalg.norm(body.vertices, axis=1) == pytest.approx(radius, rel=1e-9)
    assert body.volume == pytest.approx(4 / 3 * np.pi * radius**3, rel=0.02)


def test_seam_is_one_closed_ring_on_the_ball() -> None:
    points, triangles = seam(1.0)
    body = solid(points, triangles)
    assert body.is_watertight
    assert body.euler_number == 0  # a torus: one closed tube, not two
    assert body.body_count == 1
    away = np.linalg.norm(points, axis=1)
    assert away.min() > 0.9
    assert 1.0 < away.max() < 1.1
    assert body.volume > 0
    # The two covers are alike: half a turn about a point of the seam lays one on the other (how a ball is made).
    swapped = points * [1, -1, -1]
    assert trimesh.proximity.closest_point(body, swapped)[1].max() < 0.01


def test_open_ends_get_caps_of_their_own() -> None:
    points, triangles = revolved(np.array([0.0, 1.0]), np.array([0.5, 0.5]), SIDES)
    body = solid(points, triangles)
    assert body.is_watertight
    assert body.volume == pytest.approx(FACETS * np.pi * 0.25, rel=1e-9)
    assert len(points) > len(body.vertices)  # the rims are doubled, so that the edge stays sharp


def test_plate_is_the_rule_book_shape() -> None:
    """Official Baseball Rules 2.02 (rule book): 17 in across, 8.5 in sides; the rear edges follow from the point."""
    corners = plate_corners()
    edges = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1) / 0.0254
    assert sorted(edges) == pytest.approx([8.5, 8.5, 12.02, 12.02, 17.0], abs=0.001)
    body = solid(*slab(corners, -0.02, 0.0))
    assert body.is_watertight
    assert body.volume == pytest.approx(0.02 * (PLATE_FRONT_Y**2 - PLATE_SIDE**2), rel=1e-9)


def test_flat_shapes_face_up() -> None:
    flat = [polygon([[0, 0], [1, 0], [1, 1], [0, 1]], 0.0), disc((1, 2), 3.0, 0.0), ribbon((0, 0), (1, 2), 0.3, 0.0)]
    for points, triangles in flat:
        normals = trimesh.Trimesh(points, triangles, process=False).face_normals
        assert normals[:, 2].min() > 0.999
    assert trimesh.Trimesh(*flat[2]).area == pytest.approx(0.3 * np.sqrt(5), rel=1e-9)


@pytest.mark.parametrize("end", [(1, 0, 0), (0, 0, 2), (1, 2, -3)])
def test_bar_is_closed_and_as_thick_as_asked(end) -> None:
    body = solid(*bar((0, 0, 0), end, 0.1))
    assert body.is_watertight
    assert body.volume == pytest.approx(0.01 * (np.linalg.norm(end) + 0.1), rel=1e-9)


def test_bases_and_pitchers_plate_stand_where_the_rules_put_them() -> None:
    """Official Baseball Rules 2.01 (rule book): 90 ft between bases, 60 ft 6 in; second base 127 ft 3 3/8 in."""
    base, rubber = 90 * 0.3048, 60.5 * 0.3048
    (bases,) = [mesh for mesh in props.ground(base, rubber) if mesh.name == "bases"]
    x, y, _ = bases.points.astype(float).T
    up_the_line = (x + y) / np.sqrt(2)
    fair_first = x > 5
    assert up_the_line[fair_first].max() == pytest.approx(base, abs=1e-5)  # 90 ft to the bag's far side
    assert (x - y)[fair_first].max() == pytest.approx(0.0, abs=1e-5)  # it lies in fair ground, along the line
    assert y[np.abs(x) < 1].max() == pytest.approx(127.28 * 0.3048 + 0.27, abs=0.02)
    on_rubber = (np.abs(x) < 0.5) & (y < 25)
    assert y[on_rubber].min() == pytest.approx(rubber, abs=1e-5)


def test_ground_is_made_once(monkeypatch) -> None:
    first: tuple[Mesh, ...] = props.ground(27.432, 18.4404)
    assert props.ground(27.432, 18.4404) is first
    assert props.bat(METAL) is props.bat(METAL)
    with pytest.raises(ValueError, match="read-only"):
        first[0].points[0] = 0.0
