"""A second play in one scene: the geometry is that of its own scene, its pattern is not that of the first."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from apps.patch import patch
from plane3d.play import play
from plane3d.scene import style
from plane3d.scene.apart import picture_apart
from plane3d.scene.describe import describe
from plane3d.scene.ghost import LINES, ghost
from plane3d.scene.parts import GHOST, Mesh, Motion, Scene
from plane3d.scene.render import pose
from plane3d.scene.theme import themed
from plane3d.units import INCH, MPH
from tests.cases import inputs


@pytest.fixture(scope="module")
def first() -> Scene:
    return describe(play(inputs(below_line=INCH)))


@pytest.fixture(scope="module")
def second() -> Scene:
    return describe(play(inputs(below_line=4 * INCH, speed=70 * MPH)))


@pytest.fixture(scope="module")
def both(first: Scene, second: Scene) -> Scene:
    return ghost(first, second)


def same(a: Motion, b: Motion) -> bool:
    return all(np.array_equal(getattr(a, f.name), getattr(b, f.name)) for f in fields(a))


def corners(meshes: list[Mesh]) -> set[tuple[float, ...]]:
    """Every triangle of some meshes, by the places of its corners."""
    return {tuple(mesh.points[t].ravel()) for mesh in meshes for t in mesh.triangles}


def test_the_first_play_is_all_there_and_unchanged(first: Scene, both: Scene) -> None:
    for kind in ("meshes", "tubes", "marks", "labels"):
        mine = getattr(first, kind)
        assert getattr(both, kind)[: len(mine)] == mine
        names = [part.name for part in getattr(both, kind)]
        assert len(names) == len(set(names))
    assert both.motion is first.motion


def test_lines_are_those_of_the_others_own_scene_but_thin_and_dashed(second: Scene, both: Scene) -> None:
    own, seen = ({tube.name: tube for tube in scene.tubes} for scene in (second, both))
    for name in LINES:
        assert np.array_equal(seen[GHOST + name].points, own[name].points)
        assert seen[GHOST + name].color == own[name].color
        assert seen[GHOST + name].dashed
        assert seen[GHOST + name].radius < own[name].radius


@pytest.mark.parametrize("body", ["bat", "ball"])
def test_bodies_are_those_of_the_others_own_scene_in_stripes(second: Scene, both: Scene, body: str) -> None:
    own = [mesh for mesh in second.meshes if mesh.moves_with == body]
    seen = [mesh for mesh in both.meshes if mesh.moves_with == GHOST + body]
    assert corners(seen) == corners(own)
    assert sum(len(mesh.triangles) for mesh in seen) == sum(len(mesh.triangles) for mesh in own)
    painted = [mesh for mesh in seen if mesh.color == style.INK]
    clear = [mesh for mesh in seen if mesh.opacity < 1]
    assert not corners(painted) & corners(clear)
    assert min(sum(len(mesh.triangles) for mesh in part) for part in (painted, clear)) > len(corners(own)) / 4


@pytest.mark.parametrize("body", ["bat", "ball"])
def test_bodies_move_as_in_the_others_own_scene(second: Scene, both: Scene, body: str) -> None:
    motion, name = both.moving(GHOST + body)
    assert name == body
    points = np.array([[0.0, 0.0, 0.0], [0.1, 0.0, 0.5]])
    for t in np.linspace(0.0, second.motion.times[-1], 23):
        assert np.array_equal(pose(motion, name, t, points), pose(second.motion, body, t, points))
    assert both.moving(body) == (both.motion, body)


def test_the_clocks_agree_at_the_release_or_at_contact(first: Scene, second: Scene, both: Scene) -> None:
    assert both.ghost_motion is second.motion
    shifted = ghost(first, second, from_contact=True).ghost_motion
    assert shifted is not None
    assert shifted.closest_time == first.motion.closest_time
    assert shifted.contact_time is None  # a miss stays a miss
    points = np.zeros((1, 3))
    for before in (0.1, 0.03, 0.0, -0.05):
        there = pose(shifted, "ball", first.motion.closest_time - before, points)
        assert there == pytest.approx(
            pose(second.motion, "ball", second.motion.closest_time - before, points), abs=1e-4
        )


def test_labels_say_which_is_the_second_and_nothing_twice(first: Scene, second: Scene, both: Scene) -> None:
    words = {label.name: label.text for label in both.labels}
    assert words["ghost barrel path"] == "Second: barrel path"
    assert words["ghost below the line"] == "Second: 4.0 in below the line"
    assert "ghost batted ball" not in words  # a miss
    assert not [name for name in {label.name for label in ghost(first, first).labels} if name.startswith(GHOST)]


def test_a_second_scene_of_another_theme_keeps_its_stripes(first: Scene, second: Scene) -> None:
    dark = themed(ghost(first, second), "dark")
    stripes = [mesh for mesh in dark.meshes if mesh.name.endswith("stripes")]
    assert stripes
    assert {mesh.color for mesh in stripes} == {style.THEMES["dark"].repaint[style.INK]}


def test_the_browser_gets_the_second_motion_and_loses_it_again(first: Scene, both: Scene) -> None:
    assert "ghost_motion" not in patch(None, first)
    came = patch(first, both)
    assert set(came["ghost_motion"]) == {field.name for field in fields(Motion)}
    assert "motion" not in came
    later = ghost(first, describe(play(inputs(below_line=2 * INCH, speed=70 * MPH))))
    assert 0 < len(patch(both, later)["ghost_motion"]) < len(fields(Motion))
    gone = patch(both, first)
    assert gone["ghost_motion"] is None
    assert {name for names in gone["gone"].values() for name in names} >= {"ghost bat barrel", "ghost barrel path"}
    assert same(both.motion, first.motion)


def test_pictures_show_the_second_play(first: Scene, both: Scene) -> None:
    t = first.motion.closest_time
    plain, ghosted = (picture_apart(replace(s, labels=()), "side", t, (640, 480)) for s in (first, both))
    apart = np.mean(np.abs(plain.astype(int) - ghosted.astype(int)).max(axis=-1) > 12)
    assert 0.002 < apart < 0.1  # thin lines, a bat and a ball; the ground is the same
