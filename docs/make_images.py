"""Makes the pictures of docs/ from the model itself: `python docs/make_images.py [FOLDER]`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from plane3d.constants import PLATE_FRONT_Y, PLATE_SIDE
from plane3d.frames import Array, X, Y, Z, cross, norm, unit
from plane3d.play import Play, play
from plane3d.scenario import load
from plane3d.scene import style
from plane3d.scene.describe import describe
from plane3d.scene.parts import Camera, Label, Mesh, Scene, Tube
from plane3d.scene.props import mesh
from plane3d.scene.render import picture, save
from plane3d.scene.shapes import floats, revolved

HERE = Path(__file__).parent
SCENARIO = HERE.parent / "scenarios" / "01-one-inch-under.toml"
SIZE = (1000, 680)
THIN, THICK = 0.005, 0.010


def main(folder: Path) -> None:
    answer = play(load(SCENARIO).to_inputs())
    scene = describe(answer)
    folder.mkdir(parents=True, exist_ok=True)
    for name, draw in PICTURES.items():
        save(picture(draw(answer, scene), size=SIZE), folder / f"{name}.png")


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


PICTURES: dict[str, Callable[[Play, Scene], Scene]] = {
    "stage": hitters_eyes,
    "axes": axes,
    "angles-side": from_the_side,
    "angles-behind": from_behind,
    "angles-above": from_above,
    "undercut": undercut,
}


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
