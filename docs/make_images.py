"""Makes the pictures of docs/ from the model itself: `python docs/make_images.py [FOLDER]`."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import numpy as np
from make_sensitivity import bars, studied
from PIL import Image, ImageDraw

from plane3d.constants import PLATE_FRONT_Y, PLATE_SIDE
from plane3d.frames import Array, X, Y, Z, cross, norm, unit
from plane3d.play import Play, play
from plane3d.scenario import load
from plane3d.scene import style
from plane3d.scene.describe import describe
from plane3d.scene.labels import font_for
from plane3d.scene.parts import Camera, Label, Mesh, Scene, Tube
from plane3d.scene.props import mesh
from plane3d.scene.render import Picture, picture, save
from plane3d.scene.shapes import floats, revolved
from plane3d.scene.strip import TimingStrip, describe_strip, look
from plane3d.studies.contact_map import STRIP

HERE = Path(__file__).parent
SCENARIOS = HERE.parent / "scenarios"
USUAL = "01-one-inch-under"
SIZE = (1000, 680)
THIN, THICK = 0.005, 0.010


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, (scenario, draw) in PICTURES.items():
        answer = play(load(SCENARIOS / f"{scenario}.toml").to_inputs())
        save(picture(draw(answer, describe(answer)), size=SIZE), folder / f"{name}.png")
    save(strip_picture(("08-matched-swing", "09-steep-swing")), folder / "timing-strip.png")
    save(bars(studied()), folder / "sensitivity.png")


def hitters_eyes(answer: Play, scene: Scene) -> Scene:
    """The meeting as the page shows it."""
    return replace(scene, camera="hitter")


def axes(answer: Play, scene: Scene) -> Scene:
    """The field frame at the plate."""
    ends = {
        "x: toward first base": 1.15 * X,
        "y: toward the pitcher and centre field": 1.7 * Y,
        "z: up": 0.85 * Z,
    }
    lines, heads = [], []
    for words, end in ends.items():
        line, head = arrow(words, 0 * end, end)
        lines.append(line)
        heads.append(head)
    side = (PLATE_SIDE + 0.10) * X + 0.01 * Z
    front, met = PLATE_FRONT_Y * Y + side, answer.plays.met[0][0] * Y + side
    lines += [
        stroke("depth", front, met, THIN),
        stroke("from the front edge", front - 0.08 * X, front + 0.04 * X, THIN),
        stroke("to the ball", met - 0.04 * X, met + 0.04 * X, THIN),
    ]
    labels = [label(words, end) for words, end in ends.items()]
    labels += [label("Contact depth, from the front edge", (front + met) / 2), label("Origin", 0 * X)]
    view = Camera((2.6, -2.6, 2.6), (0.15, 0.62, 0.42), view_angle_deg=28.0)
    return dressed(scene, view, ("pitch line", "pitch line onward"), lines, labels, heads)


def from_the_side(answer: Play, scene: Scene) -> Scene:
    """Attack angle and descent angle."""
    meet = answer.plays.met[0][0]
    sweet = answer.sweet_spot_at(np.array([answer.aim_time]))[0]
    climb, fall = travel(answer.sweet_spot_at, answer.aim_time), travel(answer.pitch_at, answer.closest_time)
    level = unit(fall * (1 - Z))
    lines = [
        stroke("level ahead", sweet, sweet + 0.75 * unit(climb * (1 - Z)), THIN, dashed=True),
        stroke("barrel's way", sweet, sweet + 0.75 * climb, THIN),
        arc("attack angle", sweet, unit(climb * (1 - Z)), climb, 0.62),
        stroke("level behind", meet, meet + 1.0 * level, THIN, dashed=True),
        arc("descent angle", meet, level, fall, 0.9),
    ]
    labels = [
        label("Attack angle", sweet + 0.62 * unit(climb + level * -1)),
        label("Descent angle", meet + 0.9 * unit(fall + level)),
        label("Pitch line", answer.pitch_at(np.array([answer.closest_time - 0.0185]))[0]),
        label("Barrel path", answer.sweet_spot_at(np.array([answer.aim_time - 0.03]))[0]),
    ]
    view = Camera((5.0, meet[1], 0.95), (0.0, meet[1], 0.72), view_angle_deg=19.0)
    return dressed(scene, view, ("pitch line", "pitch line onward", "barrel path"), lines, labels)


def from_behind(answer: Play, scene: Scene) -> Scene:
    """Vertical bat angle."""
    knob, axis = (v[0] for v in answer.bat_at(np.array([answer.aim_time])))
    level = unit(axis * (1 - Z))
    lines = [stroke("level", knob, knob + 1.0 * level, THIN, dashed=True), arc("tilt", knob, level, axis, 0.93)]
    labels = [label("Vertical bat angle", knob + 0.93 * unit(axis + level))]
    view = Camera((-0.2, -2.6, 1.3), (-0.2, 1.0, 0.8), view_angle_deg=28.0)
    return dressed(scene, view, ("pitch line",), lines, labels)


def from_above(answer: Play, scene: Scene) -> Scene:
    """Bat direction and spray angle."""
    knob, axis = (v[0] for v in answer.bat_at(np.array([answer.aim_time])))
    met = answer.ball_at(np.array([answer.closest_time]))[0]
    bat, hit = unit(axis * (1 - Z)), unit(travel(answer.ball_at, answer.closest_time + 0.01) * (1 - Z))
    flat = knob + 0.2 * Z
    lines = [
        stroke("front edge", flat, flat + 1.1 * X, THIN, dashed=True),
        arc("bat direction", flat, X, bat, 0.98),
        stroke("centre", met, met + 1.0 * Y, THIN, dashed=True),
        arc("spray", met, Y, hit, 0.8),
    ]
    labels = [
        label("Bat direction", flat + 0.98 * unit(X + bat)),
        label("Spray angle", met + 0.8 * unit(Y + hit)),
        label("Parallel to the plate's front edge", flat + 0.3 * X),
        label("Toward centre field", met + 1.0 * Y),
        label("Batted ball", met + 0.6 * hit),
    ]
    view = Camera((-0.05, 0.8, 6.0), (-0.05, 0.8, 0.8), (0.0, 1.0, 0.0), 23.0)
    return dressed(scene, view, ("batted ball",), lines, labels)


def undercut(answer: Play, scene: Scene) -> Scene:
    """Looking along the bat, tip first: the gap that drives the collision."""
    meeting = answer.plays.meeting
    axis, offset = meeting.axis[0], meeting.offset[0]
    near = 0.35 * axis  # draw past the tip, where nothing hides the lines
    middle = answer.ball_at(np.array([answer.closest_time]))[0] - offset + near
    along = meeting.relative_velocity[0]
    along = unit(along - (along @ axis) * axis)
    across = (offset - (offset @ along) * along) @ cross(axis, along) * cross(axis, along)
    ball = middle + offset
    foot = middle + across
    lines = [
        stroke("relative motion", foot, ball - 0.11 * along, 0.0012, dashed=True),
        stroke("undercut", middle, foot, 0.0016),
        stroke("through the axis", middle + 0.02 * along, middle - 0.07 * along, 0.0008),
    ]
    labels = [
        label("How the ball moves, seen from the bat", ball - 0.10 * along),
        label("Undercut", middle + 0.5 * across),
        label("Bat, end on", middle - 0.030 * unit(across)),
        label("Ball", ball + 0.034 * unit(across)),
    ]
    view = Camera(tuple(middle + 6.0 * axis), tuple(middle + 0.4 * offset), view_angle_deg=2.3)
    bare = tuple(m for m in scene.meshes if m.moves_with)
    return dressed(replace(scene, meshes=bare), view, (), lines, labels)


def contact_window(answer: Play, scene: Scene) -> Scene:
    """From the open side: how long the barrel stays with the pitch line."""
    (reach,) = (tube.points for tube in scene.tubes if tube.name == "contact window")
    near, met = reach[len(reach) // 4].astype(float), answer.plays.met[0][0]
    labels = [
        label("Contact window", near),
        label("Pitch line", answer.pitch_at(np.array([answer.closest_time - 0.026]))[0]),
        label("Barrel path", answer.sweet_spot_at(np.array([answer.aim_time - 0.040]))[0]),
    ]
    view = Camera((5.0, met[1], 0.95), (0.0, met[1] + 0.1, 0.72), view_angle_deg=17.0)
    return dressed(scene, view, ("pitch line", "pitch line onward", "barrel path", "contact window"), [], labels)


PICTURES: dict[str, tuple[str, Callable[[Play, Scene], Scene]]] = {
    "stage": (USUAL, hitters_eyes),
    "axes": (USUAL, axes),
    "angles-side": (USUAL, from_the_side),
    "angles-behind": (USUAL, from_behind),
    "angles-above": (USUAL, from_above),
    "undercut": (USUAL, undercut),
    "window-matched": ("08-matched-swing", contact_window),
    "window-steep": ("09-steep-swing", contact_window),
}
BAR, RIBBON, COLUMN, EDGE = 150, 34, 12, 14  # px: highest column, band of outcomes, width of a column, left edge
FASTEST = 45.0  # m/s, as high as the highest column


def strip_picture(names: Sequence[str]) -> Picture:
    """The timing strips of scenarios, one below the other: columns as high as the exit speed, a band of outcomes."""
    each = BAR + RIBBON + 90
    image = Image.new("RGB", (2 * EDGE + COLUMN * len(STRIP), each * len(names) + 10), "#ffffff")
    draw = ImageDraw.Draw(image)
    for row, name in enumerate(names):
        scenario = load(SCENARIOS / f"{name}.toml")
        words = f"{scenario.title}, attack angle {scenario.swing.attack_angle_deg:g}°"
        draw.text((EDGE, row * each + 8), words, fill="#1f2933", font=font_for(20, words))
        one_strip(draw, describe_strip(play(scenario.to_inputs())), row * each + 40)
    return np.asarray(image)


def one_strip(draw: ImageDraw.ImageDraw, strip: TimingStrip, top: int) -> None:
    """One strip, its columns hanging from ``top`` px on."""
    base = top + BAR
    for kind, run in groupby(range(len(strip.kinds)), key=strip.kinds.__getitem__):
        columns, seen = list(run), look(kind)
        left, right = EDGE + COLUMN * columns[0], EDGE + COLUMN * (columns[-1] + 1)
        for i in columns:
            high = float(np.nan_to_num(strip.exit_speeds[i])) / FASTEST * BAR
            x = EDGE + COLUMN * i
            if high:
                draw.rectangle((x, base - high, x + COLUMN - 2, base), fill=seen.color, outline="#52606d")
        draw.rectangle((left, base + 4, right - 2, base + RIBBON), fill=seen.color, outline="#52606d")
        word = next((w for w in (seen.word, seen.letter) if draw.textlength(w, font_for(17, w)) < right - left - 4), "")
        dark = kind in ("line-drive", "fly-ball", "pop-up")
        middle = ((left + right) / 2, base + 4 + (RIBBON - 4) / 2)
        draw.text(middle, word, fill="#ffffff" if dark else "#1f2933", font=font_for(17, word), anchor="mm")
    for ms in range(-40, 41, 10):
        x = EDGE + COLUMN * (ms + 40.5)
        said = "on time" if ms == 0 else f"{abs(ms)} ms {'early' if ms < 0 else 'late'}"
        if ms % 20 == 0:
            at, anchor = (EDGE, "la") if ms == -40 else (EDGE + COLUMN * 81, "ra") if ms == 40 else (x, "ma")
            draw.text((at, base + RIBBON + 12), said, fill="#1f2933", font=font_for(17, said), anchor=anchor)
        draw.line((x, base + RIBBON + 2, x, base + RIBBON + 9), fill="#52606d")


def dressed(
    scene: Scene,
    view: Camera,
    kept: tuple[str, ...],
    lines: list[Tube],
    labels: list[Label],
    heads: list[Mesh] | None = None,
) -> Scene:
    """The scene with some of its lines, and with more lines and words of our own."""
    tubes = (*(tube for tube in scene.tubes if tube.name in kept), *lines)
    meshes = (*(m for m in scene.meshes if m.name not in ("strike zone", "drop lines")), *(heads or ()))
    return replace(
        scene, meshes=meshes, tubes=tubes, marks=(), labels=tuple(labels), cameras={"view": view}, camera="view"
    )


def label(words: str, place: Array) -> Label:
    x, y, z = (float(v) for v in place)
    return Label(words, words, (x, y, z), style.INK)


def stroke(name: str, start: Array, end: Array, radius: float, dashed: bool = False) -> Tube:
    return Tube(name, floats([start, end]), radius, style.INK, dashed=dashed)


def arrow(name: str, start: Array, end: Array) -> tuple[Tube, Mesh]:
    """A line and its head."""
    way = unit(end - start)
    side = unit(cross(way, X if abs(way[0]) < 0.9 else Y))
    points, triangles = revolved(np.array([0.0, 0.10]), np.array([0.035, 0.0005]))
    head = end + points @ np.stack([side, cross(way, side), way])
    return stroke(name, start, end, THICK), mesh(f"head of {name}", (head, triangles), style.INK)


def arc(name: str, centre: Array, start: Array, end: Array, radius: float) -> Tube:
    """An arc from one direction to another, unit vectors (3,)."""
    share = np.linspace(0.0, 1.0, 24)[:, None]
    return Tube(name, floats(centre + radius * unit((1 - share) * start + share * end)), THIN, style.INK)


def travel(path: Callable[[Array], Array], t: float) -> Array:
    """Unit direction of travel along a path at time t."""
    before, after = path(np.array([t - 5e-4, t + 5e-4]))
    return (after - before) / norm(after - before)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "images")
