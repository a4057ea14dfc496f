"""Timed points from marks in two views, against the swing of plane3d's own scene seen through known cameras."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from plane3d.frames import Array, norm
from plane3d.lesson import scenarios_folder
from plane3d.measured.cameras import FixedCamera, MarksError, known_points, solve_camera
from plane3d.measured.triangulation import triangulate
from plane3d.measured.two_views import PARTS, Marks, SeenSwing, both_views
from plane3d.play import Play
from plane3d.scenario import load
from plane3d.scene.apart import Painter, one_picture
from plane3d.scene.describe import describe
from plane3d.scene.parts import Camera, Mesh, Scene
from plane3d.scene.shapes import floats, indices, sphere
from plane3d.scene.view import project

SIZE = (1920, 1080)
KNOWN = known_points(1.2)
CORNERS = np.array(list(KNOWN.values()))
# Cameras as near as the whole swing allows: about 2.2 mm a pixel at the plate.
SIDE = Camera((5.2, 0.6, 1.1), (0.0, 0.6, 0.9), view_angle_deg=26.0)
CATCHER = Camera((0.3, -4.5, 1.6), (-0.2, 0.5, 0.9), view_angle_deg=28.0)
BESIDE = Camera((5.0, 2.4, 1.2), (0.0, 0.5, 0.9), view_angle_deg=26.0)
Pair = tuple[Camera, Camera]


@pytest.fixture(scope="module")
def play() -> Play:
    return Play(load(next(scenarios_folder().glob("01-*.toml"))).to_inputs())


def points(play: Play, times: Array) -> dict[str, Array]:
    """Knob, tip and ball, (n, 3) m at times (n,) s from contact."""
    now = play.closest_time + times
    knob, axis = play.bat_at(now)
    return {"knob": knob, "tip": knob + play.inputs.bat.length * axis, "ball": play.ball_at(now)}


def solved(view: Camera, rng: np.random.Generator) -> FixedCamera:
    pixels = project(view, SIZE, CORNERS)[0] + rng.normal(0, 1, (len(CORNERS), 2))
    return solve_camera(KNOWN, dict(zip(KNOWN, pixels, strict=True)), SIZE)


def known(view: Camera) -> FixedCamera:
    """The camera itself, as exact marks give it, with next to no error."""
    exact = solve_camera(KNOWN, dict(zip(KNOWN, project(view, SIZE, CORNERS)[0], strict=True)), SIZE)
    return replace(exact, covariance=1e-16 * np.eye(8))


def marked(play: Play, view: Camera, rng: np.random.Generator, rate: float, share: float, stated: float = 0.0) -> Marks:
    """Marks from 0.13 s before contact to 0.02 s after it, 1 px off, contact stated with an error, frames."""
    frames = np.arange(-int(0.13 * rate), int(0.02 * rate) + 1) + 40
    there = points(play, (frames - 40 - share) / rate)
    pixels = {part: project(view, SIZE, line)[0] + rng.normal(0, 1, (len(frames), 2)) for part, line in there.items()}
    return Marks(rate, 40 + share + stated, frames, pixels)


def seen(play: Play, pair: Pair, seed: int, find: bool, rates: tuple[float, float] = (240.0, 240.0)) -> SeenSwing:
    """A swing seen by both; ``find``: the cameras from marks too, and contact stated up to half a frame wrong."""
    rng = np.random.default_rng(seed)
    cameras = tuple(solved(view, rng) if find else known(view) for view in pair)
    marks = [
        marked(play, view, rng, rate, share, stated)
        for view, rate, share, stated in zip(pair, rates, (0.3, 0.8), (0.0, 0.45 if find else 0.0), strict=True)
    ]
    return both_views((cameras[0], cameras[1]), (marks[0], marks[1]))


def misses(play: Play, found: SeenSwing, before: float = 0.0) -> tuple[Array, Array]:
    """How far knob and tip are off, and the stated errors of that, m; of moments before contact."""
    true = points(play, found.time)
    early = found.time < before
    off = np.concatenate([norm(found.points[part] - true[part])[early] for part in ("knob", "tip")])
    error = np.concatenate([norm(found.errors[part])[early] for part in ("knob", "tip")])
    good = np.isfinite(off)
    return off[good], error[good]


@pytest.fixture(scope="module")
def found_cameras(play: Play) -> list[SeenSwing]:
    """One swing marked eight times over, the known points too."""
    return [seen(play, (SIDE, CATCHER), seed, True) for seed in range(8)]


def many(play: Play, swings: list[SeenSwing]) -> tuple[Array, Array]:
    both = [misses(play, swing) for swing in swings]
    return np.concatenate([one for one, _ in both]), np.concatenate([two for _, two in both])


def test_known_cameras_near_a_right_angle_see_within_5_mm(play: Play) -> None:
    off, error = many(play, [seen(play, (SIDE, CATCHER), seed, False) for seed in range(3)])
    assert np.sqrt(np.mean(off**2)) < 0.005
    assert 0.8 < np.sqrt(np.mean(off**2) / np.mean(error**2)) < 1.2


def test_cameras_from_marks_see_within_5_mm_and_say_how_well(play: Play, found_cameras: list[SeenSwing]) -> None:
    """All marks 1 px off, those of the known points too; half the points within 5 mm, the error stated with each."""
    off, error = many(play, found_cameras)
    assert np.median(off) < 0.005
    assert 0.6 < np.sqrt(np.mean(off**2) / np.mean(error**2)) < 1.25


def test_where_5_mm_cannot_hold_the_stated_error_says_so(play: Play) -> None:
    """Cameras 20 degrees apart: depth is poor, which no solution can mend; what is stated is what it is."""
    off, error = many(play, [seen(play, (SIDE, BESIDE), seed, False) for seed in range(3)])
    assert np.sqrt(np.mean(off**2)) > 0.007
    assert 0.8 < np.sqrt(np.mean(off**2) / np.mean(error**2)) < 1.2


def test_the_marks_link_the_clocks_better_than_the_stated_contact(found_cameras: list[SeenSwing]) -> None:
    """Contact is stated 0.45 frames (1.9 ms) wrong in one view; the bat's tip moves 6 cm in that time."""
    wrong = -0.45 / 240.0
    links = [swing.link for swing in found_cameras]
    off = np.array([link.offset - wrong for link in links])
    stated = np.array([link.errors[0] for link in links])
    assert np.sqrt(np.mean(off**2)) < 0.0003
    assert np.all(stated < 0.0004) and np.mean(np.abs(off) < 2.5 * stated) > 0.8


def test_views_of_different_rates(play: Play) -> None:
    """The points stand at the frames of the faster view, whichever is named first."""
    rng = np.random.default_rng(3)
    marks = (marked(play, SIDE, rng, 240.0, 0.3, 0.4), marked(play, CATCHER, rng, 480.0, 0.8))
    found = both_views((known(SIDE), known(CATCHER)), marks)
    assert found.time == pytest.approx(marks[1].times)
    assert found.cameras[0].place == pytest.approx(SIDE.position, abs=1e-3), "cameras come back in the order given"
    assert found.link.offset == pytest.approx(-0.4 / 240.0, abs=3 * found.link.errors[0])
    assert np.median(misses(play, found)[0]) < 0.005


def test_gaps_stay_gaps_and_nothing_is_joined_across_contact(play: Play) -> None:
    rng = np.random.default_rng(4)
    one, two = (marked(play, view, rng, 240.0, share) for view, share in ((SIDE, 0.3), (CATCHER, 0.8)))
    tip = one.pixels["tip"].copy()
    tip[5:8] = np.nan
    hidden = two.pixels["knob"].copy()
    hidden[10:16] = np.nan
    found = both_views(
        (known(SIDE), known(CATCHER)),
        (replace(one, pixels={**one.pixels, "tip": tip}), replace(two, pixels={**two.pixels, "knob": hidden})),
    )
    missing = np.isnan(found.tip).any(axis=1)
    assert missing[5:8].all() and not missing[:5][1:].any()
    assert np.isnan(found.knob[11:15]).all() and np.isfinite(found.errors["knob"][1:9]).all()
    last = two.times[two.times < 0].max()
    between = (found.time > last) & (found.time < two.times[two.times >= 0].min())
    assert between.any() and np.isnan(found.tip[between]).all()
    assert np.nanmax(found.off["ball"]) < 4.0


def test_cameras_that_look_the_same_way_are_warned_of(play: Play) -> None:
    near = Camera((5.2, 0.9, 1.1), (0.0, 0.6, 0.9), view_angle_deg=26.0)
    rng = np.random.default_rng(2)
    marks = (marked(play, SIDE, rng, 240.0, 0.3), marked(play, near, rng, 240.0, 0.3))
    found = both_views((known(SIDE), known(near)), marks)
    assert any("almost the same way" in text for text in found.warnings)
    wrong = (marks[0], replace(marks[1], contact=marks[1].contact + 1.6))
    side = both_views((known(SIDE), known(CATCHER)), (wrong[0], marked(play, CATCHER, rng, 240.0, 0.3, 1.6)))
    assert any("do not go together" in text for text in side.warnings)


def test_mistakes_are_said_in_one_sentence(play: Play) -> None:
    rng = np.random.default_rng(1)
    with pytest.raises(MarksError, match="no depth"):
        both_views((known(SIDE), known(SIDE)), (marked(play, SIDE, rng, 240.0, 0.3),) * 2)
    good = marked(play, SIDE, rng, 240.0, 0.3)
    cameras = (known(SIDE), known(CATCHER))
    later = replace(marked(play, CATCHER, rng, 240.0, 0.3), contact=-500.0)
    no_tip = replace(good, pixels={"knob": good.pixels["knob"]})
    for one, two, words in [
        (good, later, "both views"),
        (good, no_tip, "knob and tip"),
        (replace(good, rate=-1.0), good, "above 0"),
    ]:
        with pytest.raises(MarksError, match=words) as told:
            both_views(cameras, (one, two))
        assert str(told.value).count("\n") == 0 and str(told.value).endswith(".")


def test_a_wild_mark_is_named_and_spoils_nothing_else(play: Play) -> None:
    rng = np.random.default_rng(6)
    one, two = (marked(play, view, rng, 240.0, share) for view, share in ((SIDE, 0.3), (CATCHER, 0.8)))
    tip = one.pixels["tip"].copy()
    tip[12] += 250.0
    found = both_views((known(SIDE), known(CATCHER)), (replace(one, pixels={**one.pixels, "tip": tip}), two))
    assert any(f"tip around frame {one.frames[12]:g} miss" in text for text in found.warnings)
    assert np.sum(misses(play, found)[0] > 0.015) <= 1


@pytest.mark.parametrize("kept", [(), (10,), (10, 11)])
def test_few_marks_of_one_end_are_no_harm(play: Play, kept: tuple[int, ...]) -> None:
    rng = np.random.default_rng(7)
    one, two = (marked(play, view, rng, 240.0, 0.3) for view in (SIDE, CATCHER))
    knob = np.full_like(one.pixels["knob"], np.nan)
    knob[list(kept)] = one.pixels["knob"][list(kept)]
    found = both_views((known(SIDE), known(CATCHER)), (replace(one, pixels={**one.pixels, "knob": knob}), two))
    assert np.isfinite(found.knob).all(axis=1).sum() == len(kept)
    assert np.median(misses(play, found)[0]) < 0.006


# --- from rendered pictures ------------------------------------------------------------------------------------------

COLOURS = {"knob": "#FF00FF", "tip": "#00FFFF", "ball": "#FFFF00"}


def _dotted(scene: Scene, there: Mapping[str, Array]) -> Scene:
    """The scene with a bright dot at each point, without what stands up and could cover one."""
    dot, corners = sphere(0.04)
    dots = tuple(
        Mesh(f"{part} dot", floats(dot + place), indices(corners), COLOURS[part], lit=False)
        for part, place in there.items()
    )
    field = [mesh for mesh in scene.meshes if not mesh.moves_with and mesh.points[:, 2].max() < 0.1]
    cameras = {"side": SIDE, "catcher": CATCHER}
    return replace(scene, meshes=(*field, *dots), cameras=cameras, tubes=(), marks=(), labels=())


def _found(picture: Array, colour: str) -> Array:
    """Middle (2,) px of a colour in a picture; the middle of the first pixel is at one half."""
    wanted = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)])
    rows, columns = np.nonzero((np.abs(picture.astype(int) - wanted) < 40).all(axis=-1))
    assert len(rows) > 400, "the dot is hidden"
    return np.array([columns.mean(), rows.mean()]) + 0.5


def test_points_from_rendered_pictures(play: Play) -> None:
    """Two pictures of the project's own scene, each dot marked 1 px off, 200 times; and what rendering itself adds."""
    there = {part: line[0] for part, line in points(play, np.array([-0.012])).items()}
    scene = _dotted(describe(play), there)
    now = play.closest_time - 0.012
    with Painter() as painter:
        pictures = [painter.run(one_picture, scene, view, now, SIZE) for view in ("side", "catcher")]
    cameras = (known(SIDE), known(CATCHER))
    rng = np.random.default_rng(9)
    for part in PARTS:
        exact = [_found(picture, COLOURS[part]) for picture in pictures]
        plain = triangulate(cameras, [pixels[None] for pixels in exact])[0][0]
        assert norm(plain - there[part]) < 0.001
        marks = [pixels + rng.normal(0, 1, (200, 2)) for pixels in exact]
        off = norm(triangulate(cameras, marks)[0] - there[part])
        assert np.sqrt(np.mean(off**2)) < 0.005
