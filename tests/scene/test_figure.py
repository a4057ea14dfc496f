"""The figure of the hitter: to scale, in the box, its hands on the bat at every time."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plane3d.constants import BOX_GAP, BOX_WIDTH, PLATE_SIDE
from plane3d.levels import LEVELS
from plane3d.play import Play, play
from plane3d.scenario import loads
from plane3d.scene.describe import describe
from plane3d.scene.figure import GROUP, JOINTS, LIMBS
from plane3d.scene.parts import Motion, Scene
from plane3d.scene.render import limb, picture, pose
from tests.cases import inputs, mirrored

SIZE = (640, 480)


def level(name: str, bats: str = "right") -> Play:
    return play(loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{name}"\n[hitter]\nbats = "{bats}"').to_inputs())


def joint(motion: Motion, name: str) -> np.ndarray:
    """Places (j, 3) of a joint."""
    return motion.joints[:, JOINTS.index(name)].astype(float)


@pytest.mark.parametrize("name", LEVELS)
def test_hands_are_on_the_bat_at_every_time(name: str) -> None:
    played = level(name)
    motion = describe(played).motion
    for t in np.linspace(0.0, played.aim_time + 0.3, 61):
        knob, axis = (v[0] for v in played.bat_at(np.array([t])))
        (grip,) = played.hands_at(np.array([t]))
        for side, (start, end) in {"lead": (6, 8), "rear": (7, 9)}.items():
            length = np.linalg.norm(motion.joints[0, end] - motion.joints[0, start])
            hand = limb(motion, (start, end), t, np.array([[0.0, 0.0, length]]))[0]
            away = np.linalg.norm(np.cross(hand - knob, axis))
            assert away < 0.02, (t, side)  # the handle is 2.5 cm thick (common practice, no source)
            assert np.linalg.norm(hand - grip) < 0.06  # each beside the middle of the two
    knob = played.bat_at(motion.joint_times.astype(float))[0]
    order = [joint(motion, f"{s} hand") - knob for s in ("lead", "rear")]
    assert (np.linalg.norm(order[0], axis=1) < np.linalg.norm(order[1], axis=1)).all()  # the lead hand is at the knob


@pytest.mark.parametrize("name", LEVELS)
@pytest.mark.parametrize("bats", ["right", "left"])
def test_feet_stand_in_the_batters_box(name: str, bats: str) -> None:
    """The box: 6 in from the plate, 4 ft wide (rule book)."""
    played = level(name, bats)
    motion = describe(played).motion
    away = -played.plays.side * np.array([joint(motion, f"{s} ankle")[0, 0] for s in ("lead", "rear")])
    inner = PLATE_SIDE + BOX_GAP
    assert (inner < away).all()
    assert (away < inner + BOX_WIDTH).all()
    low = motion.joints[..., 2].min()
    assert 0.0 < low < 0.04 * played.inputs.hitter_height  # on the ground, and nothing under it
    lead, rear = (joint(motion, f"{s} ankle")[0, 1] for s in ("lead", "rear"))
    assert lead > rear  # the lead foot is nearer the pitcher


def test_figure_is_as_tall_as_a_bent_hitter_and_grows_with_him() -> None:
    for height in (1.3, 1.8):
        motion = describe(play(replace(inputs(plate_height=0.43 * height), hitter_height=height))).motion
        assert 0.75 * height < motion.joints[..., 2].max() < 1.0 * height
        arm = np.linalg.norm(joint(motion, "lead elbow") - joint(motion, "lead shoulder"), axis=1)
        assert arm == pytest.approx(0.186 * height, rel=0.01)  # share of the height, a common table, from memory


@pytest.mark.parametrize("name", LEVELS)
def test_limbs_keep_their_lengths(name: str) -> None:
    played = level(name)
    motion = describe(played).motion
    for words, a, b, *_ in LIMBS:
        lengths = np.linalg.norm(joint(motion, b) - joint(motion, a), axis=1)
        assert np.ptp(lengths) < 0.01 * played.inputs.hitter_height, words


def test_mirrored_hitter_is_the_mirror_image() -> None:
    a, b = (describe(play(asked)).motion for asked in (inputs(), mirrored(inputs())))
    assert a.joints * [-1, 1, 1] == pytest.approx(b.joints, abs=2e-6)


def test_figure_is_seen_only_where_it_is_asked_for() -> None:
    played = play(inputs())
    plain, asked = describe(played), describe(played, figure=True)
    assert asked.shown == (GROUP,)
    for view, low, high in (("catcher", 0.01, 0.15), ("side", 0.01, 0.15), ("hitter", -1.0, 1e-9)):
        assert low < changed(plain, asked, view) < high, view


def changed(a: Scene, b: Scene, view: str) -> float:
    """Share of the picture that differs visibly."""
    images = [picture(replace(scene, labels=()), view, size=SIZE).astype(int) for scene in (a, b)]
    return float((np.abs(images[0] - images[1]).max(axis=-1) > 12).mean())


@pytest.mark.parametrize("view", ["catcher", "pitcher", "above", "side"])
def test_figure_hides_neither_bat_nor_ball(view: str) -> None:
    """Bat and ball painted in colours of their own are seen about as much with the figure as without."""
    played = play(inputs())
    counts = []
    for figure in (False, True):
        scene = describe(played, figure=figure)
        loud = {"bat barrel": "#ff00ff", "bat grip": "#ff00ff", "ball": "#ff00ff", "seam": "#ff00ff"}
        meshes = tuple(replace(m, color=loud.get(m.name, m.color)) for m in scene.meshes)
        image = picture(replace(scene, meshes=meshes, labels=()), view, size=SIZE).astype(int)
        counts.append(int(((image[..., 0] - image[..., 1] > 40) & (image[..., 2] - image[..., 1] > 40)).sum()))
    assert counts[0] > 100
    assert counts[1] > 0.9 * counts[0]


def test_shadows_lie_under_bat_and_ball() -> None:
    played = play(inputs())
    scene = describe(played)
    meshes = {mesh.name: mesh for mesh in scene.meshes}
    for t in (0.3, played.aim_time - 0.05, played.aim_time, played.aim_time + 0.06):
        for body, solid in (("bat", "bat barrel"), ("ball", "ball")):
            shade = pose(scene.motion, f"{body} shadow", t, meshes[f"{body} shadow"].points)
            thing = pose(scene.motion, body, t, meshes[solid].points)
            assert 0.0 < shade[:, 2].min() <= shade[:, 2].max() < 0.01
            dark = shade[meshes[f"{body} shadow"].fade > 0.5]
            middle = dark[:, :2].mean(axis=0)
            if body == "ball":
                assert middle == pytest.approx(thing[:, :2].mean(axis=0), abs=1e-3)
            knob, axis = (v[0] for v in played.bat_at(np.array([t])))
            if body == "bat":
                across = np.cross(unit_flat(axis), np.append(middle - knob[:2], 0.0))
                assert np.abs(across[2]) < 1e-3
                assert dark[:, :2].min(axis=0) == pytest.approx(
                    np.minimum(knob, knob + played.inputs.bat.length * axis)[:2], abs=0.06
                )


def unit_flat(v: np.ndarray) -> np.ndarray:
    flat = v * [1.0, 1.0, 0.0]
    return flat / np.linalg.norm(flat)
