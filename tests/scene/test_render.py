"""Pictures: every scenario drawn, shares of colours in bands, things where the projection says."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from plane3d.play import Play, play
from plane3d.scenario import load
from plane3d.scene import style
from plane3d.scene.apart import DrawingError, picture_apart
from plane3d.scene.describe import describe
from plane3d.scene.parts import Label, Scene
from plane3d.scene.render import Drawing, dashes, distinct, picture, pose, save
from plane3d.scene.view import project
from plane3d.units import INCH
from tests.cases import inputs

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("[0-9][0-9]-*.toml"))
SIZE = (640, 480)
PARTS = {  # where each is looked for, and the least and most share of the picture that it takes
    "above": {
        "contact window": (0.0005, 0.005),
        "hand path": (0.001, 0.01),
        "sweet spot": (0.00002, 0.0004),
        "bat grip": (0.0005, 0.004),
    },
    "catcher": {
        "strike zone": (0.003, 0.02),
        "pitch line onward": (0.0003, 0.004),
        "pitch marks": (0.0001, 0.002),
        "home plate": (0.005, 0.03),
    },
    "hitter": {"seam": (0.00003, 0.0005), "bases": (0.00001, 0.001)},
    "side": {"below the line": (0.00001, 0.0005)},
}


@pytest.fixture(scope="module", autouse=True)
def drawing_works(hit: Play) -> np.ndarray:
    """The first picture comes from a process of its own: a missing graphics library would end this one."""
    try:
        return picture_apart(describe(hit), "above", size=SIZE)
    except DrawingError as error:
        pytest.fail(str(error))


@pytest.fixture(scope="module")
def hit() -> Play:
    return play(inputs(below_line=INCH))


def rgb(color: str) -> np.ndarray:
    return np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)], dtype=float)


def share(image: np.ndarray, color: str, near: float = 0.055) -> float:
    """Share of the pixels of a colour, light or dark: those with about its balance of red, green and blue."""
    pixels = image.astype(float)
    bright = pixels.sum(axis=-1)
    balance = pixels / np.maximum(bright, 1.0)[..., None]
    wanted = rgb(color) / rgb(color).sum()
    return float(((np.abs(balance - wanted).max(axis=-1) < near) & (bright > 90)).mean())


def flat_share(image: np.ndarray, color: str) -> float:
    """Share of the pixels of a colour of things that are lit evenly."""
    return float((np.abs(image - rgb(color)).max(axis=-1) < 14).mean())


def changed_share(a: np.ndarray, b: np.ndarray, by: int = 24) -> float:
    return float((np.abs(a.astype(int) - b.astype(int)).max(axis=-1) > by).mean())


def without(scene: Scene, *names: str) -> Scene:
    """The scene with some parts left out, and without words."""
    kept = {
        kind: tuple(p for p in getattr(scene, kind) if p.name not in names) for kind in ("meshes", "tubes", "marks")
    }
    return replace(scene, labels=(), **kept)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_scenario_is_drawn_with_its_colours(path: Path) -> None:
    answer = play(load(path).to_inputs())
    image = picture(replace(describe(answer), labels=()), "above", size=SIZE)
    assert image.shape == (480, 640, 3)
    assert image.dtype == np.uint8
    assert 0.7 < flat_share(image, style.DIRT) < 0.95
    assert 0.05 < flat_share(image, style.CHALK) < 0.15
    assert 0.0008 < share(image, style.PITCH_LINE) < 0.006
    assert 0.003 < share(image, style.BARREL_PATH) < 0.010
    assert 0.002 < share(image, style.WOOD, 0.03) < 0.008
    struck = share(image, style.BATTED_BALL)
    assert struck < 1e-4 if answer.contact_time is None else 0.0008 < struck < 0.004


@pytest.mark.parametrize(("view", "parts"), PARTS.items())
def test_each_part_is_seen_where_it_should_be(hit: Play, view: str, parts: dict[str, tuple[float, float]]) -> None:
    scene = without(describe(hit))
    t, camera = scene.motion.closest_time, scene.cameras[view]
    with Drawing(scene, SIZE, view) as drawing:
        whole = drawing.at(t, camera)
        for part, (low, high) in parts.items():
            assert low < changed_share(whole, drawing.at(t, camera, without=(part,))) < high, part


def test_sky_is_seen_only_over_a_horizon(hit: Play) -> None:
    scene = without(describe(hit))
    bottom, top = rgb(style.BACKGROUND[0]), rgb(style.BACKGROUND[1])

    def sky(view: str) -> float:
        image = picture(scene, view, size=SIZE)
        return float(((image >= top - 8) & (image <= bottom + 8)).all(axis=-1).mean())

    assert sky("above") < 0.005
    assert all(0.05 < sky(view) < 0.5 for view in ("catcher", "pitcher", "side", "hitter"))


def test_drawn_ball_stands_where_the_projection_puts_it(hit: Play) -> None:
    scene = describe(hit)
    bare = replace(
        scene, labels=(), tubes=(), marks=(), meshes=tuple(m for m in scene.meshes if m.name == "ball"),
        background=("#000000", "#000000"),
    )  # fmt: skip
    for view in ("catcher", "side", "hitter"):
        image = picture(bare, view, t=hit.contact_time, size=SIZE)
        rows, columns = np.nonzero(image.sum(axis=-1) > 60)
        place = hit.ball_at(np.array([hit.contact_time]))
        pixels, _ = project(scene.cameras[view], SIZE, place)
        assert [columns.mean(), rows.mean()] == pytest.approx(pixels[0], abs=1.5)


def test_words_stand_over_the_picture_and_inside_it(hit: Play) -> None:
    scene = describe(hit)
    corner = Label("corner", "A word near the edge", (1.45, 0.5, 0.0), style.INK)
    behind = Label("behind", "Behind the viewer", (0.0, -30.0, 1.0), style.INK)
    bare = picture(replace(scene, labels=()), "catcher", size=SIZE)
    one = picture(replace(scene, labels=(corner,)), "catcher", size=SIZE)
    changed = np.abs(one.astype(int) - bare.astype(int)).sum(axis=-1) > 0
    assert 0.005 < changed.mean() < 0.05
    edge = np.concatenate([changed[:3].ravel(), changed[-3:].ravel(), changed[:, :3].ravel(), changed[:, -3:].ravel()])
    assert not edge.any()
    assert np.array_equal(picture(replace(scene, labels=(behind,)), "catcher", size=SIZE), bare)


@pytest.mark.parametrize("t", [0.05, 0.3501, 0.4312345, 0.4703, 0.6, 1.2])
def test_poses_between_samples_follow_the_play(hit: Play, t: float) -> None:
    motion = describe(hit).motion
    sweet = np.array([[0.0, 0.0, hit.inputs.bat.sweet_spot]])
    assert pose(motion, "bat", t, sweet) == pytest.approx(hit.sweet_spot_at(np.array([t])), abs=0.001)
    assert pose(motion, "ball", t, np.zeros((1, 3))) == pytest.approx(hit.ball_at(np.array([t])), abs=0.001)


def test_one_window_draws_many_pictures(hit: Play) -> None:
    scene = without(describe(hit, figure=True))
    moments = ((hit.contact_time - 0.1, "side"), (hit.contact_time, "side"), (hit.contact_time, "catcher"))
    with Drawing(scene, SIZE, "side") as drawing:
        kept = [drawing.at(t, scene.cameras[view]) for t, view in moments]
        bare = drawing.at(hit.contact_time, scene.cameras["side"], without=("pitch line",))
    for image, (t, view) in zip(kept, moments, strict=True):
        assert changed_share(image, picture(scene, view, t, SIZE), by=8) < 0.001
    assert changed_share(kept[0], kept[1]) > 0.003
    alone = picture(without(scene, "pitch line"), "side", size=SIZE)
    assert changed_share(bare, alone, by=8) < 0.001


def test_a_picture_before_contact_shows_the_ball_on_its_way(hit: Play) -> None:
    scene = without(describe(hit))
    early, late = (picture(scene, "side", t, SIZE) for t in (hit.contact_time - 0.03, hit.contact_time))
    assert 0.003 < changed_share(early, late) < 0.03


def test_a_process_of_its_own_draws_the_same(hit: Play, drawing_works: np.ndarray) -> None:
    here = picture(describe(hit), "above", size=SIZE)
    assert drawing_works.shape == here.shape
    assert changed_share(drawing_works, here, by=8) < 0.001


def test_a_drawing_process_that_dies_is_explained(hit: Play, monkeypatch: pytest.MonkeyPatch) -> None:
    real = subprocess.Popen

    def dies(command: list[str], **rest: object) -> subprocess.Popen[bytes]:
        crash = (
            "import os, signal; os.kill(os.getpid(), signal.SIGSEGV)"
            if os.name == "posix"
            else "import os; os._exit(9)"
        )
        return real([sys.executable, "-c", crash], **rest)  # type: ignore[call-overload]

    monkeypatch.setattr(subprocess, "Popen", dies)
    with pytest.raises(DrawingError, match=r"\(code -?\d+\).* libegl1 libgl1-mesa-dri"):
        picture_apart(describe(hit))


def test_an_unknown_view_is_refused(hit: Play) -> None:
    with pytest.raises(KeyError, match="dugout"):
        picture(describe(hit), "dugout")


def test_dashes_share_the_length_and_start_with_paint() -> None:
    line = np.array([[0, 0, 0], [1, 0, 0], [1, 0, 0], [1, 1, 0]], dtype=float)
    parts = dashes(line, 0.01)
    lengths = [np.linalg.norm(np.diff(part, axis=0), axis=1).sum() for part in parts]
    assert np.array(lengths[:-1]) == pytest.approx(0.01 * style.DASH)
    assert parts[0][0] == pytest.approx(line[0])
    assert len(parts) == int(np.ceil(2 / (0.01 * (style.DASH + style.GAP))))
    assert len(distinct(line)) == 3


def test_saved_picture_reads_back(hit: Play, tmp_path: Path, drawing_works: np.ndarray) -> None:
    from PIL import Image

    save(drawing_works, tmp_path / "x.png")
    assert np.array_equal(np.asarray(Image.open(tmp_path / "x.png")), drawing_works)
