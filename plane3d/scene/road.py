"""How the barrel came round, seen from above: the straight way from launch to contact, and how far off it strays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plane3d import units
from plane3d.language import tr
from plane3d.play import Play
from plane3d.report import show
from plane3d.scene import style
from plane3d.scene.parts import Label, Marks, Scene, Tube
from plane3d.scene.shapes import floats
from plane3d.studies.contact_map import road

SEEN_FROM = ("above",)  # the view in which they mean something
ON_LINE = 0.05  # in; a smaller figure would be shown as 0.0


def add_road(scene: Scene, play: Play, metric: bool = False) -> Scene:
    """The scene of a play with its road: two tubes, a mark where the hinge opens, three labels.

    Parameters
    ----------
    metric : whether the figure is in cm
    """
    found = road(play.plays)
    around, far, opened = (float(value[0]) for value in (found.around, found.around_time, found.hinge_time))
    launch, contact, farthest, hinge = play.sweet_spot_at(
        play.aim_time + np.array([-float(play.plays.swing.duration[0]), 0.0, far, np.nan_to_num(opened)])
    )
    way = (contact - launch) * [1.0, 1.0, 0.0]
    share = float((farthest - launch) @ way / (way @ way))
    foot = launch + share * (contact - launch)
    foot[2] = farthest[2]  # the figure is one of the plan, so its line is level
    tubes = (
        Tube("straight way", floats([launch, contact]), style.THIN_RADIUS, style.BARREL_PATH, dashed=True,
             views=SEEN_FROM),
        Tube("around", floats([foot, farthest]), style.DIMENSION_RADIUS, style.INK, views=SEEN_FROM),
    )  # fmt: skip
    labels = (
        _label("straight way", tr("Straight way to contact"), launch + 0.3 * (contact - launch)),
        _label("around", around_words(around, metric), (foot + farthest) / 2),
    )
    scene = replace(scene, tubes=(*scene.tubes, *tubes), labels=(*scene.labels, *labels))
    if np.isnan(opened):  # a measured swing shows no forearm
        return scene
    mark = Marks("hinge opens", floats([hinge]), style.MARK_RADIUS, style.INK, views=SEEN_FROM)
    label = _label("hinge opens", hinge_words(opened), hinge)
    return replace(scene, marks=(*scene.marks, mark), labels=(*scene.labels, label))


def around_words(around: float, metric: bool = False) -> str:
    """How far the barrel strays (m, away from the hitter positive): 6.2 in around the straight way."""
    gap = around / units.INCH
    if abs(gap) < ON_LINE:
        return tr("Along the straight way")
    size = show("_in", abs(gap), metric)
    return tr("{gap} around the straight way", gap=size) if gap > 0 else tr("{gap} inside the straight way", gap=size)


def hinge_words(opened: float) -> str:
    """When the hinge opens (s from contact, before it negative): Hinge opens 60 ms before contact."""
    return tr("Hinge opens {time} before contact", time=show("_ms", -opened / units.MILLISECOND))


def _label(name: str, words: str, place: np.ndarray) -> Label:
    x, y, z = (float(v) for v in place)
    return Label(name, words, (x, y, z), style.INK, views=SEEN_FROM)
