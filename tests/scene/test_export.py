"""Files to take home, read back with other libraries: pillow, OpenCV, trimesh, csv, json."""

from __future__ import annotations

import csv
import io
import itertools
import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import trimesh
from PIL import Image, ImageSequence

from plane3d import language
from plane3d.errors import Plane3dError
from plane3d.export import film, film_file, numbers, picture, solids
from plane3d.export.captions import Caption, Frame, Item, wrapped
from plane3d.export.files import whole
from plane3d.export.kinds import KINDS
from plane3d.export.subject import Subject, Wishes
from plane3d.measured.points import read_points
from plane3d.scenario import load, loads
from plane3d.scene import style
from plane3d.scene.apart import Painter, Stopped
from plane3d.scene.labels import font_for
from plane3d.scene.parts import Camera
from plane3d.scene.render import picture as plain_picture
from plane3d.units import CENTIMETRE, INCH
from tests.scene.test_render import changed_share, flat_share, share, without

FOLDER = Path(__file__).parents[2] / "scenarios"
BAR = 240  # the darkest grey that counts as paper
VIEWS = ("catcher", "pitcher", "above", "side", "hitter")


@pytest.fixture(scope="module")
def hit() -> Subject:
    return Subject(load(FOLDER / "01-one-inch-under.toml"), view="side")


@pytest.fixture(scope="module")
def missed() -> Subject:
    return Subject(load(FOLDER / "02-four-inches-under.toml"), view="catcher", metric=True)


@pytest.fixture(scope="module")
def painter() -> Iterator[Painter]:
    with Painter() as one:
        yield one


def on(share_done: float) -> bool:
    return True


# --- pictures --------------------------------------------------------------------------------------------------------


def longest_run(rows: np.ndarray) -> int:
    """Pixels of the longest unbroken dark stroke along a row of a light picture (h, w, 3)."""
    best = 0
    for row in rows.min(axis=-1) < 128:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
        best = max(best, int((edges[1::2] - edges[::2]).max(initial=0)))
    return best


@pytest.mark.parametrize("size", [(1920, 1080), (540, 960)])
@pytest.mark.parametrize("view", VIEWS)
def test_scale_is_right_where_they_meet(hit: Subject, view: str, size: tuple[int, int]) -> None:
    """Against the pinhole camera worked out by hand: a length across the line of sight at the depth of the meeting."""
    subject = replace(hit, view=view)
    frame, caption = picture.captioned(subject, size)
    camera, (_, height) = subject.scene.cameras[view], frame.inner
    ahead = np.subtract(camera.focal_point, camera.position)
    depth = (picture.meeting(subject.scene) - camera.position) @ ahead / np.linalg.norm(ahead)
    half = math.tan(math.radians(camera.view_angle_deg) / 2) * max(1.0, style.NARROWEST * height / frame.inner[0])
    inches = float(caption.items[0].text.split()[0])
    due = inches * INCH * height / (2 * half * depth)
    assert 0.05 * size[0] < due <= picture.SCALE_MOST * size[0]
    blank = np.full((height, size[0], 3), 255, np.uint8)
    below = frame.around(blank, caption)[-(size[1] - height) // 2 :]
    assert longest_run(below) == pytest.approx(due, abs=2.5)  # the strokes at its ends are part of it


def test_scale_agrees_with_the_drawn_ball(hit: Subject) -> None:
    """A ball of 9 to 9 1/4 in round (rule book, from memory), drawn alone."""
    bare = replace(
        without(hit.scene), tubes=(), marks=(), meshes=tuple(m for m in hit.scene.meshes if m.name == "ball"),
        background=("#000000", "#000000"),
    )  # fmt: skip
    size = (1200, 800)
    seen = plain_picture(bare, "side", size=size).sum(axis=-1) > 60
    wide = 2 * math.sqrt(seen.sum() / math.pi) / picture.pixels_per_metre(hit.scene, "side", size)
    assert 9.0 / math.pi * 0.97 < wide / INCH < 9.25 / math.pi * 1.03


def test_picture_has_title_result_scale_and_scene(hit: Subject, painter: Painter, tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    picture.write(hit, path, Wishes(size=(800, 600)), painter, on)
    image = np.asarray(Image.open(path))
    assert image.shape == (600, 800, 3)
    frame, _ = picture.captioned(hit, (800, 600))
    inner = frame.inner[1]
    above, scene, below = np.split(image, [frame._top, frame._top + inner])
    assert 0.55 < inner / 600 < 0.9
    for band in (above, below):
        assert 0.85 < flat_share(band, style.PAPER) < 0.99
        assert 0.004 < flat_share(band, style.INK) < 0.1
        edge = np.concatenate([band[:2].ravel(), band[-2:].ravel(), band[:, :2].ravel(), band[:, -2:].ravel()])
        assert edge.min() > BAR  # nothing is clipped
    assert 0.0005 < share(scene, style.PITCH_LINE) < 0.02
    assert 0.003 < share(scene, style.BARREL_PATH) < 0.03
    assert 0.0005 < share(scene, style.BATTED_BALL) < 0.02


def test_picture_of_another_moment_theme_and_view(missed: Subject, painter: Painter) -> None:
    dark = replace(missed, theme="dark", view="above")
    now, then = (picture.picture(dark, painter, (480, 360), time) for time in (None, -0.05))
    assert flat_share(now[:20], style.THEMES["dark"].paper) > 0.6
    assert 0.003 < changed_share(now, then) < 0.2
    assert picture.captioned(missed, (480, 360))[1].items[0].text.endswith("cm at the closest pass")


@pytest.mark.parametrize("size", [(160, 160), (320, 240), (3840, 2160), (2160, 3840), (3840, 400)])
def test_words_fit_at_every_size(size: tuple[int, int]) -> None:
    title = "A title as long as a title may be, " * 3
    line = "The barrel is 1.0 in below the line: a fly ball, 27° up, 91 mph off the bat, 345 ft. " * 2
    items = (Item("12 in at the point of contact", bar=0.2 * size[0]), Item("Línea", "#E69F00"))
    caption = Caption(title, line, items)
    frame = Frame(size, [caption])
    drawn = frame.around(np.full((frame.inner[1], size[0], 3), 255, np.uint8), caption)
    assert drawn.shape == (size[1], size[0], 3)
    assert drawn[:, -2:].min() > BAR
    assert min(size) == 160 or frame.inner[1] >= 0.5 * size[1]


def test_wrapping_keeps_numbers_with_their_units_and_cuts_long_words() -> None:
    font = font_for(20, "")
    lines = list(wrapped("The ball leaves at 91 mph and lands 345 ft away", font, 120))
    assert " ".join(lines) == "The ball leaves at 91 mph and lands 345 ft away"
    assert all(font.getlength(line) <= 120 for line in lines)
    assert any("91 mph" in line for line in lines)
    assert any("345 ft" in line for line in lines)
    assert "".join(wrapped("W" * 60, font, 90)) == "W" * 60


# --- films -----------------------------------------------------------------------------------------------------------

SHORT = Wishes(size=(320, 240), seconds=2.0, rate=10.0)


def parts_of(subject: Subject, wishes: Wishes) -> list[str]:
    wanted = film.plan(wishes.speed, wishes.seconds)
    return [moment.part for moment in film.moments(subject, wanted, wishes.rate or film.RATE)]


def test_plans_of_films() -> None:
    usual = film.plan()
    assert usual.seconds == pytest.approx(12.0)
    assert film.plan(seconds=4).slower == 6
    assert film.plan(seconds=4).seconds == pytest.approx(4.0)
    assert film.plan(speed=0.1).seconds == pytest.approx(10.0)
    assert film.plan(speed=0.1, seconds=4).slower == pytest.approx(10)
    with pytest.raises(Plane3dError, match=r"1/50 of the real speed takes 11\.0 s or more"):
        film.plan(speed=0.02, seconds=4)


def test_moments_of_a_film(hit: Subject) -> None:
    """Slow motion runs evenly into contact and on; the camera goes once round at the same distance and comes back."""
    wanted = film.plan()
    found = list(film.moments(hit, wanted, 30.0))
    assert len(found) == 360
    met, own = hit.scene.motion.closest_time, hit.scene.cameras["side"]
    into = [m.t for m in found if m.part == "in"]
    assert np.diff(into) == pytest.approx(1 / 30 / 20)
    assert into[0] == pytest.approx(met - 0.15)
    assert {m.t for m in found if m.part in ("hold", "turn")} == {met}
    assert found[-1].t == pytest.approx(met + 0.05)
    turn = [m.camera for m in found if m.part == "turn"]
    assert turn[0] == own
    place = picture.meeting(hit.scene)
    away = np.array([np.subtract(camera.position, place) for camera in turn])
    round_ = np.unwrap(np.arctan2(away[:, 1], away[:, 0]))
    assert abs(round_[-1] - round_[0]) == pytest.approx(2 * np.pi, rel=0.02)
    middle = away[len(away) // 4 : -len(away) // 4]
    assert np.hypot(middle[:, 0], middle[:, 1]) == pytest.approx(film.AWAY)
    steps = np.linalg.norm(np.diff(away, axis=0), axis=1)
    assert steps.max() < 0.3  # m between two pictures: no jump


@pytest.mark.parametrize("view", VIEWS)
def test_no_view_turns_upside_down(hit: Subject, view: str) -> None:
    own = hit.scene.cameras[view]
    for part in np.linspace(0, 1, 40):
        camera: Camera = film.going_round(hit, own, float(part))
        ahead = np.subtract(camera.focal_point, camera.position)
        up = np.array(camera.up)
        assert np.linalg.norm(np.cross(ahead / np.linalg.norm(ahead), up)) > 0.25
        assert camera.position[2] > 0.3


def test_mp4_read_back(hit: Subject, painter: Painter, tmp_path: Path) -> None:
    path, told = tmp_path / "a.mp4", []
    film.write(hit, path, replace(SHORT, size=(640, 480)), painter, lambda done: told.append(done) or True)  # type: ignore[func-returns-value]
    assert told == sorted(told)
    assert (len(told), told[-1]) == (20, 1.0)
    video = cv2.VideoCapture(str(path))
    assert video.get(cv2.CAP_PROP_FPS) == pytest.approx(10.0)
    frames = []
    while (read := video.read())[0]:
        frames.append(cv2.cvtColor(read[1], cv2.COLOR_BGR2RGB))
    parts = parts_of(hit, SHORT)
    assert len(frames) == len(parts) == 20
    assert frames[0].shape == (480, 640, 3)
    pairs = [(p, q, changed_share(a, b)) for (p, a), (q, b) in itertools.pairwise(zip(parts, frames, strict=True))]
    moving = [changed for p, q, changed in pairs if p == q != "hold"]
    still = [changed for p, q, changed in pairs if p == q == "hold"]
    assert min(moving) > 0.001
    assert max(still) < 0.001
    struck = {part: share(frame[:400], style.BATTED_BALL) for part, frame in zip(parts, frames, strict=True)}
    assert struck["in"] < 0.2 * struck["out"]  # the answer is not given away
    assert [path.name for path in tmp_path.iterdir()] == ["a.mp4"]


def test_gif_read_back_has_one_palette(missed: Subject, painter: Painter, tmp_path: Path) -> None:
    path = tmp_path / "a.gif"
    film.write(missed, path, SHORT, painter, on)
    with Image.open(path) as image:
        assert image.size == (320, 240)
        assert image.global_palette is not None  # type: ignore[attr-defined]
        durations, frames = [], []
        for frame in ImageSequence.Iterator(image):
            durations.append(frame.info["duration"])
            assert frame.tile == [] or frame.tile[0][0] == "gif"
            frames.append(np.asarray(frame.convert("RGB")))
    assert len(frames) == 20
    assert set(durations) == {100}
    colours = {tuple(colour) for frame in frames for colour in np.unique(frame.reshape(-1, 3), axis=0)}
    assert len(colours) <= 256
    parts = parts_of(missed, SHORT)
    turning = [frame for part, frame in zip(parts, frames, strict=True) if part == "turn"]
    assert min(changed_share(a, b) for a, b in itertools.pairwise(turning)) > 0.005


def test_a_film_that_is_stopped_or_fails_leaves_nothing(
    hit: Subject, painter: Painter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "a.mp4"
    kept.write_bytes(b"an older film")
    with Painter() as own, pytest.raises(Stopped):
        film.write(hit, kept, SHORT, own, lambda done: done < 0.3)
    with pytest.raises(Plane3dError, match="could not be written"):
        film.write(hit, tmp_path / "nowhere" / "a.mp4", SHORT, painter, on)
    assert [path.name for path in tmp_path.iterdir()] == ["a.mp4"]
    assert kept.read_bytes() == b"an older film"
    monkeypatch.setitem(__import__("sys").modules, "imageio_ffmpeg", None)
    with pytest.raises(Plane3dError, match="pip install imageio-ffmpeg"):
        film_file.Encoder((16, 16), 10.0, tmp_path / "b.mp4", film_file.MP4)


def test_a_file_is_whole_or_as_before(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text("old")
    with pytest.raises(RuntimeError), whole(path) as beside:
        beside.write_text("half")
        raise RuntimeError
    assert path.read_text() == "old"
    with whole(path) as beside:
        beside.write_text("new")
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("a.json", "new")]


# --- numbers ---------------------------------------------------------------------------------------------------------


def test_json_holds_inputs_answer_and_paths(hit: Subject) -> None:
    found = json.loads(numbers.json_text(hit))
    assert found["answer"] == json.loads(json.dumps(hit.answer))
    assert found["inputs"]["swing"]["below_line_in"] == 1.0
    assert found["title"] == "One inch under"
    paths = found["paths"]
    t = np.array(paths["time_s"])
    assert (np.diff(t) > 0).all()
    assert paths["contact_time_s"] == pytest.approx(hit.play.contact_time)
    at = np.argmin(np.abs(t - paths["contact_time_s"]))
    assert np.array(paths["ball_m"])[at] == pytest.approx(picture.meeting(hit.scene), abs=1e-4)
    knob, tip = np.array(paths["knob_m"]), np.array(paths["tip_m"])
    assert np.linalg.norm(tip - knob, axis=1) == pytest.approx(hit.scenario.bat.length_in * INCH, abs=1e-6)
    assert paths["ball_m"][0] == pytest.approx(hit.play.pitch_at(np.zeros(1))[0], abs=1e-6)
    carry = np.hypot(*paths["ball_m"][-1][:2]) / (12 * INCH)
    assert carry == pytest.approx(found["answer"]["flight"]["carry_ft"], abs=0.1)
    assert set(map(len, (paths[name] for name in paths if name.endswith("_m")))) == {len(t)}


def test_csv_holds_every_number_with_unit_and_meaning(hit: Subject, tmp_path: Path) -> None:
    numbers.write_csv(hit, tmp_path / "a.csv", Wishes(), None, on)
    text = (tmp_path / "a.csv").read_text(encoding="utf-8-sig")
    rows = {row["key"]: row for row in csv.DictReader(io.StringIO(text))}
    answer = {
        f"answer.{b}.{k}": v for b, block in hit.answer.items() if isinstance(block, dict) for k, v in block.items()
    }
    for key, value in answer.items():
        told = rows[key]["value"]
        if isinstance(value, float):
            assert float(told) == pytest.approx(value, abs=1e-6)
        else:
            assert told == ("" if value is None else str(value).lower() if isinstance(value, bool) else str(value))
        assert rows[key]["meaning"]
    speed = rows["inputs.pitch.speed_mph"]
    assert float(speed["metric_value"]) == pytest.approx(float(speed["value"]) * 1.609344)  # exact: 1 mi = 1.609344 km
    assert (speed["unit"], speed["metric_unit"]) == ("mph", "km/h")
    depth = rows["answer.meeting.depth_in"]
    assert float(depth["metric_value"]) == pytest.approx(float(depth["value"]) * INCH / CENTIMETRE, abs=1e-5)
    assert all(row["unit"] for key, row in rows.items() if key.endswith(("_in", "_ft", "_mph", "_deg", "_ms", "_rpm")))
    strip = list(csv.DictReader(io.StringIO((tmp_path / "a-timings.csv").read_text(encoding="utf-8-sig"))))
    assert [row["kind"] for row in strip] == [column["kind"] for column in hit.answer["strip"]]


def test_csv_of_paths_is_a_measured_swing_too(hit: Subject, tmp_path: Path) -> None:
    numbers.write_csv(hit, tmp_path / "a.csv", Wishes(), None, on)
    path = tmp_path / "a-paths.csv"
    points = read_points(path)
    t = points.times
    knob, axis = hit.play.bat_at(t)
    assert points.knob == pytest.approx(knob, abs=1e-6)
    assert points.tip == pytest.approx(knob + hit.play.inputs.bat.length * axis, abs=1e-6)
    table = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    assert [float(row["ball_y_m"]) for row in table] == pytest.approx(hit.play.ball_at(t)[:, 1], abs=1e-6)


def test_a_title_is_no_formula_and_spanish_is_spanish() -> None:
    subject = Subject(loads('format = 1\ntitle = "=1+1"'))
    with language.speaking("es"):
        data = numbers.csv_bytes(numbers.rows(subject)).decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(data)))
    assert rows[0][1] == "'=1+1"
    assert any("Velocidad" in row[-1] for row in rows)


def test_a_second_pitch_is_in_the_paths() -> None:
    subject = Subject(load(FOLDER / "14-two-pitches-one-hand.toml"))
    points = numbers.paths(subject)
    assert len(points["second_ball_m"]) == len(points["time_s"])
    assert "second_pitch" in json.loads(numbers.json_text(subject))["inputs"]


# --- solids ----------------------------------------------------------------------------------------------------------

Y_TO_Z = np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]])  # glTF 2.0: y up, z forward; from y up back to z up


def bounds_of(scene: Any) -> np.ndarray:
    """Bounds of the middle lines and of the plate, m, by what the description says alone."""
    lines = [tube.points for tube in scene.tubes if len(tube.points) and not tube.views]
    plate = next(mesh.points for mesh in scene.meshes if mesh.name == "home plate")
    points = np.concatenate([*lines, plate])
    return np.array([points.min(axis=0), points.max(axis=0)])


def test_glb_loads_again_with_the_same_bounds(hit: Subject, tmp_path: Path) -> None:
    path = tmp_path / "a.glb"
    solids.write_glb(hit, path, Wishes(), None, on)
    loaded = trimesh.load(path)
    corners = np.asarray(loaded.bounds) @ Y_TO_Z.T
    back = np.array([corners.min(axis=0), corners.max(axis=0)])
    assert back == pytest.approx(solids.scene_of_solids(hit.scene).bounds, abs=1e-5)
    assert back == pytest.approx(bounds_of(hit.scene), abs=0.05)  # lines have a thickness, dashes end early
    for name in ("ball", "bat barrel", "bat grip", "pitch line", "batted ball"):
        body = loaded.geometry[name]
        assert body.is_watertight, name
        assert body.volume > 0, name  # faces look outward
    ball = loaded.geometry["ball"]
    assert ball.extents == pytest.approx(2 * hit.play.inputs.setting.ball.radius, rel=0.03)
    middle = ball.bounds.mean(axis=0) @ Y_TO_Z.T
    assert middle == pytest.approx(picture.meeting(hit.scene), abs=0.002)
    red, green, blue, alpha = loaded.geometry["pitch line"].visual.material.baseColorFactor / 255
    due = [((int(style.PITCH_LINE[i : i + 2], 16) / 255 + 0.055) / 1.055) ** 2.4 for i in (1, 3)]  # sRGB to linear
    assert [red, green, blue, alpha] == pytest.approx([*due, 0.0, 1.0], abs=0.005)
    assert loaded.geometry["contact window"].visual.material.alphaMode == "BLEND"


def test_stl_is_z_up_and_its_bat_and_ball_are_closed(missed: Subject, tmp_path: Path) -> None:
    path = tmp_path / "a.stl"
    solids.write_stl(missed, path, Wishes(), None, on)
    loaded = trimesh.load(path)
    assert loaded.bounds == pytest.approx(solids.scene_of_solids(missed.scene).bounds, abs=1e-5)
    bodies = loaded.split(only_watertight=False, repair=False)
    radius, place = missed.play.inputs.setting.ball.radius, picture.meeting(missed.scene)
    near = [body for body in bodies if np.linalg.norm(body.bounds.mean(axis=0) - place) < 0.002]
    ball = max(near, key=lambda body: body.extents.max())
    assert ball.extents == pytest.approx(2 * radius, rel=0.03)  # a ball of flat pieces
    assert ball.is_watertight
    bat = [
        body for body in bodies if 0.1 < np.linalg.norm(body.bounds[1] - body.bounds[0]) < 1 and len(body.faces) > 400
    ]
    assert any(body.is_watertight for body in bat)


def test_tubes_are_closed_and_as_thick_as_they_should_be() -> None:
    line = np.array([[0, 0, 0], [1, 0, 0], [2, 0.4, 0], [2.5, 1, 0.5]], dtype=float)
    body = trimesh.Trimesh(*solids.tube(line, 0.02, 64))
    assert body.is_watertight
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert body.volume == pytest.approx(math.pi * 0.02**2 * length, rel=0.05)
    folded = solids.unfolded([[0, 0, 0], [0, 0, 0], [1, 0, 0], [0.9, 0, 0], [0.9, 1, 0]])
    assert [len(piece) for piece in folded] == [2, 2, 2]


@pytest.mark.parametrize("name", sorted(path.name for path in FOLDER.glob("[0-9][0-9]-*.toml")))
def test_every_scenario_gives_numbers_and_solids(name: str, tmp_path: Path) -> None:
    subject = Subject(load(FOLDER / name))
    for ending in ("json", "csv", "stl", "glb"):
        KINDS[ending].make(subject, tmp_path / f"a.{ending}", Wishes(), None, on)
    for body in trimesh.load(tmp_path / "a.glb").geometry.values():
        assert np.isfinite(body.vertices).all()
