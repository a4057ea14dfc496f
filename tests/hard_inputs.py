"""Plays from anywhere in the input space, and what must be true of every one of them."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from plane3d.errors import Plane3dError, shows
from plane3d.frames import Array, cross, dot
from plane3d.inputs import Held, Inputs
from plane3d.lesson import scenarios_folder
from plane3d.measured.measure import run
from plane3d.physics.measured_swing import Track
from plane3d.plays import Plays
from plane3d.quantities import all_choices, choices, quantities
from plane3d.scenario import Scenario, load, loads
from plane3d.studies.contact_map import contact_map, dip, road, window
from plane3d.words import KINDS, MISSES

PLAIN = 'format = 1\ntitle = "Any"\n'
SHARED = ("setting.", "hitter.", "bat.")  # tables whose values all plays of one batch have in common
ENDS = 0.1  # share of values that stand exactly at an end of their range, where faults like to be
LEFT = 0.5  # share of values left as the level has them; with all of them drawn, few pitches reach the plate


def name_of(key: str) -> str:
    """Name of a quantity of [pitch] or [swing] in `inputs.PitchAsk` or `SwingAsk`: its key without table and unit."""
    return key.partition(".")[2].rpartition("_")[0]


@cache
def track(bats: str) -> Track:
    """The measured swing that comes with plane3d, of one batting side."""
    start = load(scenarios_folder() / "01-one-inch-under.toml").with_values({"hitter.bats": bats})
    path = scenarios_folder() / "measured" / f"swing-{bats}-240.csv"
    return run(path, start, impact=0.5, draws=2).measured.track


def any_value(rng: random.Random, key: str) -> Any:
    """A value that a scenario may have for a key."""
    if key in all_choices():
        return rng.choice(all_choices()[key])
    asked = quantities()[key]
    return rng.choice((asked.low, asked.high)) if rng.random() < ENDS else rng.uniform(asked.low, asked.high)


def any_scenario(rng: random.Random, tables: tuple[str, ...] = SHARED, left: float = LEFT) -> Scenario:
    """A scenario of any level whose values in some tables are drawn from their whole ranges, or left to the level."""
    keys = [key for key in (*quantities(), *choices()) if key.startswith(tables) and key != "setting.level"]
    values = {key: any_value(rng, key) for key in keys if rng.random() >= left}
    while True:
        try:
            return loads(PLAIN).with_values({"setting.level": rng.choice(all_choices()["setting.level"])} | values)
        except Plane3dError:  # a pitch family that this level does not throw
            values.pop("pitch.family")


def many(seed: int, n: int) -> Inputs:
    """n plays (SI) with pitch and swing from anywhere in their ranges, in one setting with one bat and hitter.

    A third of the seeds hold the swing of the level's own play, a third put a measured swing in place of the built one.
    """
    rng, draw = random.Random(seed), np.random.default_rng(seed)
    asked = any_scenario(rng).to_inputs()
    pitch, swing = dict(vars(asked.pitch)), dict(vars(asked.swing))
    for key, q in quantities().items():
        part = {"pitch": pitch, "swing": swing}.get(key.partition(".")[0])
        if part is not None:
            values = draw.uniform(q.low, q.high, n)
            at_end = draw.uniform(size=n) < ENDS
            values[at_end] = draw.choice([q.low, q.high], at_end.sum())
            own = part[name_of(key)]
            part[name_of(key)] = np.where(draw.uniform(size=n) < LEFT, own, q.si(values))
    return replace(
        asked,
        pitch=replace(asked.pitch, **pitch),
        swing=replace(asked.swing, **swing),
        held=Held(asked.pitch, asked.swing) if seed % 3 == 1 else None,
        measured=track(asked.bats) if seed % 3 == 2 else None,
    )


# --- what must be true -----------------------------------------------------------------------------------------------


def faults(plays: Plays) -> Iterator[tuple[str, Array]]:
    """Each rule that some plays break: what is wrong, and (n,) which."""
    for what, wrong in (*_numbers(plays), *_times(plays), *_words(plays), *_energy(plays), *_map(plays)):
        wrong = np.broadcast_to(wrong, len(plays))
        if wrong.any():
            yield what, wrong


def _numbers(plays: Plays) -> Iterator[tuple[str, Array]]:
    """Every number of an answer that exists is a number."""
    touch, hit = plays.meeting.touch, plays.batted
    ball, below, along = plays.met
    for name, values in {**vars(plays.meeting), "met": ball, "below": below, "along": along}.items():
        yield f"{name} of the meeting is no number", ~_finite(values)
    batted = {name: getattr(hit, name) for name in ("x", "v", "hang_time", "apex")}
    blow = {name: getattr(plays.blow, name) for name in ("velocity", "spin", "impulse", "bat_velocity", "bat_spin")}
    told = {name: getattr(plays, name) for name in ("launch_angle", "spray_angle", "exit_speed", "efficiency", "goes")}
    for name, values in {**batted, **blow, **told}.items():
        yield f"{name} of a hit is no number", touch & ~_finite(values)
    for name, values in zip(("attack", "undercut", "rest"), plays.why, strict=True):
        yield f"the part of the {name} is no number", touch & (plays.blow.velocity[:, 1] > 0) & ~_finite(values)
    yield "a miss has a landing", ~touch & np.isfinite(hit.hang_time)


def _times(plays: Plays) -> Iterator[tuple[str, Array]]:
    """No time runs backward, no length is negative."""
    touch = plays.meeting.touch
    with np.errstate(invalid="ignore"):
        yield "the pitch takes no time", plays.due <= 0
        yield "the meeting is before the release", plays.meeting.time <= 0
        yield "the swing takes no time", plays.swing.duration <= 0
        yield "the follow-through takes no time", plays.swing.follow_time <= 0
        yield "the ball is in the air for no time", touch & ~(plays.batted.hang_time > 0)
        yield (
            "the top of the flight is below its start",
            touch & ~(plays.batted.apex >= plays.meeting.ball[:, 2] - 1e-9),
        )
        yield "the gap is negative", plays.meeting.gap < 0
        yield "a touch leaves a gap", touch & (plays.meeting.gap != 0)


def _words(plays: Plays) -> Iterator[tuple[str, Array]]:
    """Outcome, fair, over the fence and miss go together."""
    touch = plays.meeting.touch
    yield "the outcome has no name", ~np.isin(plays.kind, ["miss", *KINDS])
    yield "a touch is called a miss, or a miss a hit", (plays.kind == "miss") == touch
    yield "the miss has no name", ~touch & ~np.isin(plays.miss, list(MISSES))
    yield "a ball nobody hit is fair", plays.fair & ~touch
    yield "a foul ball is over the fence", plays.batted.over_fence & ~plays.fair


def _energy(plays: Plays) -> Iterator[tuple[str, Array]]:
    """The blow makes no energy."""
    before, after = energy(plays)
    with np.errstate(invalid="ignore"):
        yield "the blow makes energy", plays.meeting.touch & ~(after <= before * (1 + 1e-9))


def _map(plays: Plays) -> Iterator[tuple[str, Array]]:
    """Window, dip and the way round are numbers for every swing, also for one that is nowhere near the pitch."""
    cmap = contact_map(plays)
    found, way = window(cmap), road(plays)
    read = {**vars(found), "dip": dip(cmap), "around": way.around, "around_time": way.around_time}
    for name, values in read.items():
        yield f"{name} of the map is no number", ~_finite(values)
    yield "a length of the map is negative", (found.length < 0) | (found.length_time < 0) | (read["dip"] < 0)


def energy(plays: Plays) -> tuple[Array, Array]:
    """Kinetic energy (n,) J of ball and bat, turning and moving, before and after the blow."""
    m, blow, bat, ball = plays.meeting, plays.blow, plays.inputs.bat, plays.inputs.setting.ball
    centre = m.knob_velocity + cross(m.bat_spin, bat.balance * m.axis)

    def sum_of(v: Array, w: Array, bat_v: Array, bat_w: Array) -> Array:
        roll = dot(bat_w, m.axis)
        turning = bat.inertia * (dot(bat_w, bat_w) - roll**2) + bat.roll_inertia * roll**2
        spinning = 0.4 * ball.mass * ball.radius**2 * dot(w, w)
        return 0.5 * (ball.mass * dot(v, v) + spinning + bat.mass * dot(bat_v, bat_v) + turning)

    return (
        sum_of(m.ball_velocity, plays.ball_spin, centre, m.bat_spin),
        sum_of(blow.velocity, blow.spin, centre + blow.bat_velocity, m.bat_spin + blow.bat_spin),
    )


def _finite(values: Array) -> Array:
    """(n,) whether every number of a play is finite."""
    return np.isfinite(values).reshape(len(values), -1).all(axis=1)


def unclear(error: Plane3dError) -> str:
    """What keeps a refusal from being clear sentences, one to a line; nothing where it is fine."""
    text = str(error)
    mistakes = getattr(error, "mistakes", (text,))
    if not text.strip():
        return "says nothing"
    if len(text.splitlines()) != len(mistakes):
        return "has line breaks within a sentence"
    if not all(shows(sign) for sign in text.replace("\n", "")):
        return "has signs that cannot be shown"
    if any(word in text for word in ("Traceback", "pydantic", "Error(", "<class", "object at 0x", "numpy", "errno")):
        return "speaks of the program"
    return "is endless" if max(map(len, text.splitlines())) > 1200 else ""
