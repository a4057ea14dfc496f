"""A second pitch from the same hand beside the first: both with marks at the same times, and where they part."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plane3d import units
from plane3d.frames import Array
from plane3d.language import tr
from plane3d.physics.flight import Flight
from plane3d.physics.pitch import time_at_y
from plane3d.play import CATCHER_Y, Play
from plane3d.report import show
from plane3d.scene import style
from plane3d.scene.parts import Label, Marks, Scene, Tube
from plane3d.scene.shapes import floats
from plane3d.studies.tunnel import tunnel

POINTS = 64
NAME_SHARE = 0.45  # of the way, where the name stands
NOTHING = floats(np.empty((0, 3)))


def add_second(scene: Scene, play: Play, second: Flight | None, name: str = "", metric: bool = False) -> Scene:
    """The scene with the ball marked at the moment the swing must start, and with a second pitch line and its ball.

    second : flight of one pitch, or None: then its own parts are there but empty
    name : what it is called; metric : whether the figure is in cm
    """
    line, marks = NOTHING, NOTHING
    decision = floats(play.pitch_at(np.array([scene.motion.decision_time or 0.0])))
    labels: tuple[Label, ...] = (_label("decision", tr("Swing must start"), decision[0]),)
    if second is not None:
        end = float(time_at_y(second, np.array([CATCHER_Y]))[0, 0])
        line = floats(second.at(np.linspace(0.0, end, POINTS)[None])[0])
        marks = floats(second.at(np.arange(0.0, end, style.MARK_INTERVAL)[None])[0])
        pair = tunnel(play.plays.pitch, second, play.decision_time)
        moment = np.array([pair.decision_time])
        balls = np.concatenate([play.pitch_at(moment), second.at(moment[None])[0]])
        decision = floats(balls)
        labels = (
            _label("second pitch line", name or tr("Second pitch"), second.at(np.array([[NAME_SHARE * end]]))[0, 0]),
            _label("decision", decision_words(pair.apart_then, metric), balls.mean(axis=0)),
        )
    return replace(
        scene,
        tubes=(*scene.tubes, Tube("second pitch line", line, style.THIN_RADIUS, style.PITCH_LINE, dashed=True)),
        marks=(
            *scene.marks,
            Marks("second pitch marks", marks, style.MARK_RADIUS, style.INK),
            Marks("decision", decision, 1.6 * style.MARK_RADIUS, style.INK),
        ),
        labels=(*scene.labels, *labels),
    )


def decision_words(apart: float, metric: bool = False) -> str:
    """How far apart (m) two pitches look when the swing must start."""
    return tr("Swing must start: {gap} apart", gap=show("_in", apart / units.INCH, metric))


def _label(name: str, words: str, place: Array) -> Label:
    x, y, z = (float(v) for v in place)
    return Label(name, words, (x, y, z))
