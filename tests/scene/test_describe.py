"""The scene holds what the play holds: lines on the paths, poses on the motion, figures as in the answer."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from plane3d.errors import UnreachableError
from plane3d.levels import LEVELS
from plane3d.play import Play, play
from plane3d.plays import pitch_flight
from plane3d.quantities import quantities
from plane3d.report import gap_words, read_map, sentence
from plane3d.scenario import load, loads
from plane3d.scene import style
from plane3d.scene.describe import describe
from plane3d.scene.parts import Scene, Tube
from plane3d.scene.view import project
from plane3d.studies.contact_map import contact_map, window
from plane3d.units import INCH
from tests.cases import inputs, mirrored

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("[0-9][0-9]-*.toml"))
SIZES = [(1280, 720), (800, 600), (390, 560)]  # a desktop stage, the shape views are composed for, a phone
SINGLE = 2e-6  # m; places within 20 m in single precision


def parts(scene: Scene) -> dict[str, Tube]:
    return {tube.name: tube for tube in scene.tubes}


def far(points: np.ndarray, path: np.ndarray) -> float:
    """Largest distance (m) of points from the nearest of a path's."""
    return float(np.linalg.norm(points[:, None] - path[None], axis=-1).min(axis=1).max())


@pytest.fixture(scope="module")
def hit() -> Play:
    return play(inputs(below_line=INCH))


@pytest.fixture(scope="module")
def missed() -> Play:
    return play(inputs(below_line=4 * INCH))


def check_whole(scene: Scene) -> None:
    """Everything is there, finite, of the right kind and shape."""
    motion = scene.motion
    arrays = [part.points for part in (*scene.meshes, *scene.tubes, *scene.marks)]
    poses = [motion.bat_position, motion.bat_rotation, motion.ball_position, motion.ball_rotation]
    for array in [*arrays, *poses, motion.times]:
        assert array.dtype == np.float32
        assert array.flags.c_contiguous
        assert np.isfinite(array).all()
    assert all(a.ndim == 2 and a.shape[1] == 3 for a in arrays)
    assert {len(a) for a in poses} == {len(motion.times)}
    assert (np.diff(motion.times) > 0).all()
    assert motion.times[0] == 0
    for mesh in scene.meshes:
        assert mesh.triangles.dtype == np.int32
        assert 0 <= mesh.triangles.min() <= mesh.triangles.max() < len(mesh.points)
    assert all(np.isfinite(label.position).all() and label.text for label in scene.labels)
    assert list(scene.cameras) == ["catcher", "pitcher", "above", "side", "hitter"]


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_scenario_describes(path: Path) -> None:
    scenario = load(path)
    other = scenario.with_second_pitch()
    second = None if other is None else pitch_flight(other.to_inputs())
    scene = describe(play(scenario.to_inputs()), camera=scenario.view.camera, second=second)
    check_whole(scene)
    assert bool(len(parts(scene)["second pitch line"].points)) == (other is not None)
    assert scene.camera == scenario.view.camera


@pytest.mark.parametrize("bats", ["right", "left"])
@pytest.mark.parametrize("level", LEVELS)
def test_every_level_describes_from_both_sides(level: str, bats: str) -> None:
    text = f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n[hitter]\nbats = "{bats}"'
    asked = loads(text).to_inputs()
    scene = describe(play(asked))
    check_whole(scene)
    (ball,) = [mesh for mesh in scene.meshes if mesh.name == "ball"]
    assert np.linalg.norm(ball.points, axis=1).max() == pytest.approx(asked.setting.ball.radius, rel=1e-6)
    check_frames(scene)


@pytest.mark.parametrize("end", ["low", "high"])
@pytest.mark.parametrize("key", [key for key in quantities() if key.partition(".")[0] in ("pitch", "swing", "hitter")])
def test_the_ends_of_every_slider_describe(key: str, end: str) -> None:
    start = load(SCENARIOS[0])
    try:
        answer = play(start.with_values({key: getattr(quantities()[key], end)}).to_inputs())
    except UnreachableError:
        pytest.skip("the model says that there is no such play")
    check_whole(describe(answer))


def test_scene_lines_lie_on_the_paths_of_the_play(hit: Play) -> None:
    lines = parts(describe(hit))
    t = np.linspace(0.0, hit.end_time, 40_001)
    assert far(lines["pitch line"].points, hit.pitch_at(t)) < 0.004  # half the 8 mm between two of these places
    assert lines["pitch line"].points[0] == pytest.approx(hit.pitch_at(np.array([0.0]))[0], abs=SINGLE)
    assert lines["pitch line"].points[-1] == pytest.approx(hit.pitch_at(np.array([hit.contact_time]))[0], abs=SINGLE)
    onward = lines["pitch line onward"].points
    assert onward[-1] == pytest.approx(hit.pitch_at(np.array([hit.pitch_end_time]))[0], abs=SINGLE)
    swing = np.linspace(hit.launch_time, hit.aim_time + 0.2, 20_001)
    assert far(lines["barrel path"].points, hit.sweet_spot_at(swing)) < 0.001
    assert far(lines["hand path"].points, hit.hands_at(swing)) < 0.001
    assert far(lines["batted ball"].points, hit.ball_at(np.linspace(hit.contact_time, hit.end_time, 80_001))) < 0.004


def test_the_pitch_line_of_a_miss_runs_on_to_the_catcher(missed: Play) -> None:
    lines = parts(describe(missed))
    assert lines["pitch line"].points[-1] == pytest.approx(missed.pitch_at(np.array([9.0]))[0], abs=SINGLE)
    assert not len(lines["pitch line onward"].points)
    assert not len(lines["batted ball"].points)
    assert "batted ball" not in {label.name for label in describe(missed).labels}


@pytest.mark.parametrize("tolerance", [0.5 * INCH, INCH, 2 * INCH])
def test_window_ends_are_those_of_the_answer(hit: Play, tolerance: float) -> None:
    found = window(contact_map(hit.plays), tolerance)
    line = parts(describe(hit, window_tolerance=tolerance))["contact window"].points
    if found.length[0] == 0:
        assert not len(line)
        return
    depth = line[[-1, 0], 1] - 17 * INCH
    assert depth == pytest.approx([found.from_depth[0], found.to_depth[0]], abs=1e-4)
    assert far(line, hit.pitch_at(np.linspace(0, hit.pitch_end_time, 40_001))) < 0.004


def test_window_is_the_one_the_report_gives(hit: Play) -> None:
    told = read_map(hit)
    line = parts(describe(hit))["contact window"].points
    assert np.abs(np.diff(line[[0, -1], 1]))[0] == pytest.approx(told.length, abs=1e-4)


@pytest.mark.parametrize("below", [-2.0, -0.5, 0.0, 1.0, 2.3, 4.0])
@pytest.mark.parametrize("bats", ["right", "left"])
def test_dimension_line_is_as_long_as_its_figure_says(below: float, bats: str) -> None:
    answer = play(inputs(bats=bats, below_line=below * INCH))
    scene = describe(answer)
    top, bottom = parts(scene)["below the line"].points
    told = answer.result.meeting.below_line
    assert top[2] - bottom[2] == pytest.approx(told, abs=SINGLE)
    assert top[:2] == pytest.approx(bottom[:2])
    words = {label.name: label.text for label in scene.labels}["below the line"]
    assert words[0].isupper() or words[0].isdigit()
    assert words.lower() in sentence(answer.result).lower()
    (in_metric,) = (label.text for label in describe(answer, metric=True).labels if label.name == "below the line")
    assert in_metric.lower() in sentence(answer.result, metric=True).lower()


@pytest.mark.parametrize(
    ("below", "words"),
    [(1.0, "1.0 in below the line"), (-0.5, "0.5 in above the line"), (0.0, "on the line"), (0.04, "on the line")],
)
def test_gap_in_words(below: float, words: str) -> None:
    assert gap_words(below * INCH) == words
    assert gap_words(INCH, metric=True) == "2.5 cm below the line"


def test_a_swing_far_too_late_shows_no_gap() -> None:
    answer = play(inputs(timing=0.060))
    assert answer.result.meeting.miss == "late"
    scene = describe(answer)
    assert all(not len(tube.points) for tube in scene.tubes if tube.name.startswith("below the line"))
    assert "below the line" not in {label.name for label in scene.labels}
    check_whole(scene)


def test_parts_keep_their_names_so_that_only_changes_are_sent(hit: Play, missed: Play) -> None:
    for kind in ("meshes", "tubes", "marks"):
        a, b = ([part.name for part in getattr(describe(p), kind)] for p in (hit, missed))
        assert a == b
        assert len(set(a)) == len(a)
    pairs = list(zip(describe(hit).meshes, describe(missed).meshes, strict=True))
    assert [a.name for a, b in pairs if a is not b] == ["drop lines"]


def test_marks_stand_at_equal_times_and_show_the_ball_slowing(hit: Play) -> None:
    pitched, after = (marks.points.astype(float) for marks in describe(hit).marks[:2])
    steps = np.linalg.norm(np.diff(pitched, axis=0), axis=1)
    assert (np.diff(steps) < 0).all()
    lost = 1 - steps[-1] / steps[0]
    assert 0.06 < lost < 0.10  # a fastball loses 8-10 % on the whole way (common practice); these lie within it
    assert np.linalg.norm(np.diff(after, axis=0), axis=1).max() > steps.max()  # it leaves faster than it came


def turns(rotation: np.ndarray) -> Rotation:
    """A scene's quaternions (w, x, y, z) as scipy's (x, y, z, w)."""
    return Rotation.from_quat(rotation[:, [1, 2, 3, 0]])


def test_poses_of_the_bat_are_the_plays(hit: Play) -> None:
    motion = describe(hit).motion
    knob, axis = hit.bat_at(motion.times.astype(float))
    assert motion.bat_position == pytest.approx(knob, abs=SINGLE)
    assert turns(motion.bat_rotation).apply([0, 0, 1]) == pytest.approx(axis, abs=1e-6)


def test_ball_turns_by_its_spin(hit: Play) -> None:
    """Up to contact the spin only slows: one turn about one axis by the spin's integral (mechanics, exact)."""
    motion = describe(hit).motion
    t = np.linspace(0, hit.contact_time, 20_001)
    spin = hit.ball_spin_at(t)
    axis = spin[0] / np.linalg.norm(spin[0])
    angle = np.trapezoid(spin @ axis, t)
    at_contact = np.argmin(np.abs(motion.times - hit.contact_time))
    found = turns(motion.ball_rotation[[at_contact]])[0]
    assert (found * Rotation.from_rotvec(axis * angle).inv()).magnitude() < 2e-3
    assert np.linalg.norm(motion.ball_rotation, axis=1) == pytest.approx(1, abs=1e-6)


def test_ball_turns_less_than_half_round_between_samples() -> None:
    """Players of the scene turn the shorter way round between two samples; it has to be the true one."""
    spinning = play(inputs(below_line=2.2 * INCH, spin=418.0))
    motion = describe(spinning).motion
    t = motion.times.astype(float)
    spin = np.linalg.norm(spinning.ball_spin_at(t[:-1] + np.diff(t) / 2), axis=1)
    assert (spin * np.diff(t)).max() < np.pi * 0.75


def test_sampling_is_fine_near_contact_and_holds_the_moment_itself(hit: Play) -> None:
    times = describe(hit).motion.times.astype(float)
    assert np.abs(times - hit.contact_time).min() < 1e-7
    near = times[np.abs(times - hit.contact_time) < 0.019]
    assert np.diff(near).max() < 0.0011
    assert times[-1] == pytest.approx(hit.contact_time + 1.0, abs=1e-6)


def test_mirrored_play_gives_the_mirrored_scene() -> None:
    asked = inputs(below_line=INCH, plate_side=0.1)
    a, b = describe(play(asked)), describe(play(mirrored(asked)))
    flip = np.array([-1, 1, 1])
    for one, other in zip((*a.tubes, *a.marks), (*b.tubes, *b.marks), strict=True):
        assert one.points * flip == pytest.approx(other.points, abs=SINGLE), one.name
    assert a.motion.ball_position * flip == pytest.approx(b.motion.ball_position, abs=SINGLE)
    assert a.motion.bat_position * flip == pytest.approx(b.motion.bat_position, abs=SINGLE)
    for name in a.cameras:
        assert a.cameras[name].position * flip == pytest.approx(b.cameras[name].position)
        assert a.cameras[name].focal_point * flip == pytest.approx(b.cameras[name].focal_point)


def check_frames(scene: Scene) -> None:
    """Every view shows the ball where it is met; all but the hitter's show the whole plate, his shows the release."""
    motion = scene.motion
    met = motion.ball_position[np.argmin(np.abs(motion.times - motion.closest_time))]
    plate = next(mesh for mesh in scene.meshes if mesh.name == "home plate").points
    for size in SIZES:
        for name, camera in scene.cameras.items():
            wanted = np.vstack([met, motion.ball_position[:1] if name == "hitter" else plate])
            pixels, before = project(camera, size, wanted)
            assert before.all()
            inside = (pixels > 0.02 * np.array(size)) & (pixels < 0.98 * np.array(size))
            assert inside.all(), (name, size, pixels[~inside.all(axis=1)])


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_view_frames_plate_and_ball(path: Path) -> None:
    check_frames(describe(play(load(path).to_inputs())))


def test_zone_is_the_hitters() -> None:
    """27 % to 54 % of the height: rule of thumb, from memory; over the plate: Official Baseball Rules (rule book)."""
    asked = inputs()
    (zone,) = [mesh for mesh in describe(play(asked)).meshes if mesh.name == "strike zone"]
    low, high = zone.points.min(axis=0), zone.points.max(axis=0)
    edge = style.ZONE_EDGE
    assert [low[2], high[2]] == pytest.approx(np.array([0.27, 0.54]) * asked.hitter_height, abs=edge)
    assert [low[0], high[0], high[1]] == pytest.approx(np.array([-8.5, 8.5, 17]) * INCH, abs=edge)


def test_views_do_not_move_with_a_swings_sliders() -> None:
    still = describe(play(inputs())).cameras
    moved = describe(play(inputs(below_line=3 * INCH, contact_depth=0.5, attack_angle=0.1, plate_height=0.5))).cameras
    assert still == moved


def test_describing_loads_no_drawing_library() -> None:
    code = (
        "import sys; from plane3d.scenario import load; from plane3d.play import play;"
        "from plane3d.scene.describe import describe; import plane3d.scene.render;"
        f"describe(play(load({str(SCENARIOS[0])!r}).to_inputs()));"
        "print(sorted({'vtk', 'vtkmodules', 'pyvista', 'PIL'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
