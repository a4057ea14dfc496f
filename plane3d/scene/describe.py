"""A play as a scene: plain data for the page, for pictures and for files, made with numpy alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from plane3d.constants import PLATE_FRONT_Y
from plane3d.frames import Array
from plane3d.language import tr
from plane3d.physics.flight import Flight
from plane3d.physics.pitch import time_at_y
from plane3d.play import Play
from plane3d.report import capital, gap_words
from plane3d.scene import props, style
from plane3d.scene.account import account
from plane3d.scene.cameras import cameras
from plane3d.scene.figure import GROUP, hitter
from plane3d.scene.motion import motion
from plane3d.scene.parts import Label, Marks, Mesh, Scene, Tube
from plane3d.scene.road import add_road
from plane3d.scene.second import add_second
from plane3d.scene.shapes import bar, disc, floats, joined
from plane3d.scene.theme import themed
from plane3d.studies.contact_map import TOLERANCE, Window, contact_map, window

HIT_SHOWN = 0.5  # s of the batted ball's path
PITCH_POINTS, SWING_POINTS, WINDOW_POINTS, HIT_POINTS = 64, 120, 24, 48
DIMENSION_REACH = 0.21  # m from the ball to the dimension line, past the end of the barrel
DIMENSION_TICK = 0.025  # m, half the length of its end marks
DROPS_FROM = 4.5  # m from the plate: marks nearer than this stand on a line from the ground
DROP_WIDTH, DROP_FOOT = 0.004, 0.022  # m
DROP_Z = 0.006
NOTHING = floats(np.empty((0, 3)))


def describe(
    play: Play,
    window_tolerance: float = TOLERANCE,
    metric: bool = False,
    camera: str = "catcher",
    second: Flight | None = None,
    second_name: str = "",
    theme: str = "light",
    figure: bool = False,
) -> Scene:
    """The scene of one play.

    Parameters
    ----------
    window_tolerance : m, |below the line| that still counts as inside the contact window
    metric : whether the figures of the dimension lines are in cm
    camera : name of the view to start from
    second, second_name : flight of another pitch to show beside the first, and what it is called
    theme : "light" or "dark"
    figure : whether the hitter's figure is shown from the start; every scene has it, for a switch to show

    Returns
    -------
    A scene whose parts always have the same names; lines that do not apply are empty, their labels absent.
    """
    inputs = play.inputs
    field = inputs.setting.field
    dimension, gap = _dimension(play, metric)
    found = window(contact_map(play.plays), window_tolerance)
    reach = _window(play, found)
    limbs, joint_times, joints = hitter(play)
    scene = Scene(
        meshes=(
            *props.ground(field.base, field.rubber),
            *props.bat(inputs.bat),
            *props.ball(inputs.setting.ball.radius),
            _drops(play),
            *props.strike_zone(inputs.hitter_height),
            *limbs,
        ),
        tubes=(*_pitch(play), *_swing(play), _hit(play), *dimension, reach),
        marks=_marks(play),
        labels=(*gap, *_names(play, reach)),
        lights=style.LIGHTS,
        cameras=cameras(inputs.hitter_height, play.plays.side, _at(play.pitch_at, 0.0)),
        camera=camera,
        background=style.BACKGROUND,
        motion=replace(motion(play), joint_times=joint_times, joints=joints),
        account=account(play, found, metric),
        shown=(GROUP,) if figure else (),
    )
    return themed(add_second(add_road(scene, play, metric), play, second, second_name, metric), theme)


def _meeting_end(play: Play) -> float:
    """s up to which the pitch line is the ball's own path."""
    return play.pitch_end_time if play.contact_time is None else play.contact_time


def _swing_end(play: Play) -> float:
    return play.aim_time + float(play.plays.swing.follow_time[0])


def _hit_end(play: Play) -> float:
    """s up to which the batted ball's path is drawn; the meeting itself for a miss."""
    if play.contact_time is None:
        return play.closest_time
    return min(play.contact_time + HIT_SHOWN, play.end_time)


def _pitch(play: Play) -> tuple[Tube, Tube]:
    """The pitch line up to the hit and, dashed, how the pitch would have gone on."""
    met = _meeting_end(play)
    flown = play.pitch_at(np.linspace(0.0, met, PITCH_POINTS))
    onward = play.pitch_at(np.linspace(met, play.pitch_end_time, PITCH_POINTS // 4))
    return (
        Tube("pitch line", floats(flown), style.PATH_RADIUS, style.PITCH_LINE),
        Tube("pitch line onward", floats(onward) if met < play.pitch_end_time else NOTHING, style.THIN_RADIUS,
             style.PITCH_LINE, dashed=True),
    )  # fmt: skip


def _swing(play: Play) -> tuple[Tube, Tube]:
    t = np.linspace(play.launch_time, _swing_end(play), SWING_POINTS)
    return (
        Tube("barrel path", floats(play.sweet_spot_at(t)), style.PATH_RADIUS, style.BARREL_PATH),
        Tube("hand path", floats(play.hands_at(t)), style.PATH_RADIUS, style.HAND_PATH),
    )


def _hit(play: Play) -> Tube:
    start, end = play.closest_time, _hit_end(play)
    path = floats(play.ball_at(np.linspace(start, end, HIT_POINTS))) if end > start else NOTHING
    return Tube("batted ball", path, style.PATH_RADIUS, style.BATTED_BALL)


def _window(play: Play, found: Window) -> Tube:
    """The contact window: the stretch of the pitch line on which barrel and line stay together."""
    ends = PLATE_FRONT_Y + np.array([[found.to_depth[0], found.from_depth[0]]])
    first, last = time_at_y(play.plays.pitch, ends)[0]
    line = floats(play.pitch_at(np.linspace(first, last, WINDOW_POINTS))) if found.length[0] > 0 else NOTHING
    return Tube("contact window", line, style.WINDOW_RADIUS, style.CONTACT_WINDOW, style.WINDOW_OPACITY)


def _marks(play: Play) -> tuple[Marks, Marks]:
    """The ball's places at equal times, so that its slowing down, and how much faster it leaves, can be seen."""
    pitched = play.pitch_at(np.arange(0.0, _meeting_end(play), style.MARK_INTERVAL))
    since = np.arange(play.closest_time + style.MARK_INTERVAL, _hit_end(play), style.MARK_INTERVAL)
    return (
        Marks("pitch marks", floats(pitched), style.MARK_RADIUS, style.PITCH_LINE),
        Marks("hit marks", floats(play.ball_at(since)), style.MARK_RADIUS, style.BATTED_BALL),
    )


def _drops(play: Play) -> Mesh:
    """Lines from the ground to the last marks of the pitch and to the meeting: how high, and over what."""
    met = _meeting_end(play)
    places = play.pitch_at(np.append(np.arange(0.0, met, style.MARK_INTERVAL), play.closest_time))
    near = places[(places[:, 1] < DROPS_FROM) & (places[:, 2] > 2 * DROP_Z)]
    lines = [bar(foot, top, DROP_WIDTH) for foot, top in zip(near * [1, 1, 0] + [0, 0, DROP_Z], near, strict=True)]
    feet = [disc(place[:2], DROP_FOOT, DROP_Z, sides=12) for place in near]
    return props.mesh("drop lines", joined([*lines, *feet]), style.INK, opacity=style.DROP_OPACITY, smooth=False,
                      lit=False)  # fmt: skip


def _dimension(play: Play, metric: bool) -> tuple[tuple[Tube, ...], tuple[Label, ...]]:
    """The gap below the line as a dimension line past the end of the barrel, and its figure in words.

    It stands where the ball's centre passes the vertical plane of the bat's axis. Not drawn for a swing so early
    or late that the two never pass each other.
    """
    names = ("below the line", "below the line, at the pitch line", "below the line, at the bat's axis")
    if play.result.meeting.miss in ("early", "late"):
        return tuple(Tube(name, NOTHING, style.DIMENSION_RADIUS, style.INK) for name in names), ()
    ball, below, _ = (value[0] for value in play.plays.met)
    away = np.array([play.plays.side * DIMENSION_REACH, 0.0, 0.0])
    top, bottom = ball + away, ball + away - [0.0, 0.0, below]
    lines = ([top, bottom], _end_mark(ball, top), _end_mark(ball - [0.0, 0.0, below], bottom))
    tubes = tuple(
        Tube(name, floats(line), style.DIMENSION_RADIUS, style.INK) for name, line in zip(names, lines, strict=True)
    )
    words = capital(gap_words(float(below), metric))
    return tubes, (Label("below the line", words, _point((top + bottom) / 2), style.INK),)


def _end_mark(start: Array, end: Array) -> list[Array]:
    """A level line out to the dimension line and a little past it, ending in a stroke seen from the side."""
    past = end + 0.15 * (end - start)
    stroke = np.array([0.0, DIMENSION_TICK, 0.0])
    return [start, past, end, end - stroke, end + stroke]


def _names(play: Play, reach: Tube) -> tuple[Label, ...]:
    """The names of the paths, each at a place of its path that most views show."""
    ahead = float(time_at_y(play.plays.pitch, np.array([PLATE_FRONT_Y + 1.5]))[0, 0])
    swinging = play.aim_time - 0.25 * (play.aim_time - play.launch_time)
    labels = [
        Label("pitch line", tr("Pitch line"), _at(play.pitch_at, min(ahead, _meeting_end(play))), style.INK),
        Label("barrel path", tr("Barrel path"), _at(play.sweet_spot_at, swinging), style.INK),
        Label("hand path", tr("Hand path"), _at(play.hands_at, swinging), style.INK),
    ]
    if len(reach.points):
        labels.append(
            Label("contact window", tr("Contact window"), _point(reach.points[WINDOW_POINTS // 4]), style.INK)
        )
    if play.contact_time is not None:
        labels.append(Label("batted ball", tr("Batted ball"), _at(play.ball_at, play.contact_time + 0.02), style.INK))
    return tuple(labels)


def _at(path: Callable[[Array], Array], t: float) -> tuple[float, float, float]:
    """One point of a path."""
    return _point(path(np.array([t]))[0])


def _point(place: Array) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in place)
    return x, y, z
