"""A film of the meeting: into it in slow motion, stopped at contact, once round it, and out again.

Its moments are planned here; `film_file` draws and writes them one by one.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from plane3d.errors import Plane3dError
from plane3d.export.captions import Caption, Frame, Item
from plane3d.export.files import whole
from plane3d.export.film_file import Moment, draw
from plane3d.export.picture import CAVEAT, MADE_BY, meeting
from plane3d.export.subject import Subject, Wishes
from plane3d.frames import side_sign
from plane3d.language import mark, tr
from plane3d.scene import style
from plane3d.scene.apart import Painter, Progress
from plane3d.scene.parts import Camera
from plane3d.units import INCH, MILLISECOND
from plane3d.words import show

BEFORE, AFTER = 0.15, 0.05  # s shown before and after contact
SLOWER = 20  # times slower than real
HOLD, TURN = 2.0, 6.0  # s stopped at contact, and going round
LEAST_REST = 1.0  # s that stopping and going round need together
AWAY, HEIGHT, OPENING = 3.2, 0.75, 36.0  # m from the meeting and above it, and degrees, while going round
JOINING = 0.2  # share of the way round in which the camera leaves its own place, and comes back to it
QUESTION = 140  # letters of a question that are shown

SIZE, RATE = (1280, 720), 30.0
SMALL_SIZE, SMALL_RATE = (640, 360), 12.5

SPEED = mark("{speed} of the real speed")
REAL_SPEED = mark("Real speed")
STOPPED = {True: mark("Stopped at contact"), False: mark("Stopped at the closest pass")}
WINDOW = mark("Contact window: barrel and pitch line stay within {gap} for {length}, {time}")
NO_WINDOW = mark("Contact window: none, barrel and pitch line do not stay within {gap}")
KEY = (
    (mark("Pitch line"), style.PITCH_LINE),
    (mark("Barrel path"), style.BARREL_PATH),
    (mark("Hand path"), style.HAND_PATH),
    (mark("Batted ball"), style.BATTED_BALL),
)


@dataclass(frozen=True)
class Plan:
    """How long the parts of a film take, s, and how many times slower than real its motion is."""

    slower: float
    hold: float
    turn: float

    @property
    def seconds(self) -> float:
        return (BEFORE + AFTER) * self.slower + self.hold + self.turn


def plan(speed: float | None = None, seconds: float | None = None) -> Plan:
    """The plan of a film of a speed (share of the real one) and a length; None for what is usual.

    Where only the length is given, slow motion gets its usual share of it, at a speed that can be said in words.
    Raises Plane3dError where the slow motion alone would take all of the time.
    """
    usual = Plan(SLOWER if speed is None else 1.0 / speed, HOLD, TURN)
    if seconds is None:
        return usual
    slower = usual.slower
    if speed is None:
        slower = max(1, int(SLOWER * seconds / usual.seconds + 1e-9))
    rest = seconds - (BEFORE + AFTER) * slower
    if rest < LEAST_REST:
        least = (BEFORE + AFTER) * slower + LEAST_REST
        raise Plane3dError(
            tr("A film at {speed} takes {least} s or more; give it more time or more speed.",
               speed=_speed_words(slower), least=f"{least:.1f}")
        )  # fmt: skip
    return Plan(slower, rest * HOLD / (HOLD + TURN), rest * TURN / (HOLD + TURN))


def moments(subject: Subject, wanted: Plan, rate: float) -> Iterator[Moment]:
    """Every picture of the film in order, at ``rate`` pictures a second."""
    scene = subject.scene
    own, met = scene.cameras[scene.camera], scene.motion.closest_time
    way_in, way_out = BEFORE * wanted.slower, AFTER * wanted.slower
    ends = np.cumsum([way_in, wanted.hold, wanted.turn, way_out])
    into, hold, turn, out = np.diff([0, *(round(end * rate) for end in ends)])
    for n in range(into):
        yield Moment(met - BEFORE * (1 - n / into), own, "in")
    for _ in range(hold):
        yield Moment(met, own, "hold")
    for n in range(turn):
        yield Moment(met, going_round(subject, own, n / turn), "turn")
    for n in range(out):
        yield Moment(met + AFTER * (n + 1) / out, own, "out")


def going_round(subject: Subject, own: Camera, share: float) -> Camera:
    """The camera at a share (0 to 1) of its way round the meeting, open side first; it starts and ends as ``own``."""
    place, position = meeting(subject.scene), np.array(own.position)
    away = position - place
    steep = np.hypot(*away[:2]) < 0.35 * np.hypot(np.hypot(*away[:2]), away[2])
    first = -np.array(own.up) if steep else away  # seen from above, it comes down on the picture's lower side
    turned = np.arctan2(first[1], first[0]) + side_sign(subject.scenario.hitter.bats) * 2 * np.pi * _eased(share)
    orbit = place + np.array([AWAY * np.cos(turned), AWAY * np.sin(turned), HEIGHT])
    out = _eased(min(1.0, share / JOINING, (1.0 - share) / JOINING))

    def between(a: np.ndarray, b: np.ndarray) -> tuple[float, float, float]:
        x, y, z = (float(v) for v in (1.0 - out) * a + out * b)
        return x, y, z

    return Camera(
        position=between(position, orbit),
        focal_point=between(np.array(own.focal_point), place),
        up=between(np.array(own.up), np.array([0.0, 0.0, 1.0])),
        view_angle_deg=(1.0 - out) * own.view_angle_deg + out * OPENING,
    )


def _eased(share: float) -> float:
    """From 0 to 1 without a jerk at either end."""
    return share * share * (3.0 - 2.0 * share)


def captions(subject: Subject, wanted: Plan) -> dict[str, Caption]:
    """What stands round the pictures of each part: the question first, the result from contact on."""
    touch = subject.scene.motion.contact_time is not None
    question = textwrap.shorten(subject.question, QUESTION, placeholder=" …")
    key = tuple(Item(tr(words), color) for words, color in (KEY if touch else KEY[:-1]))
    rest = (*key, Item(_window_words(subject), style.CONTACT_WINDOW), Item(tr(CAVEAT)), Item(MADE_BY))
    moving, stopped = Item(_speed_words(wanted.slower)), Item(tr(STOPPED[touch]))
    return {
        "in": Caption(subject.title, question, (moving, *rest)),
        "hold": Caption(subject.title, subject.sentence, (stopped, *rest)),
        "turn": Caption(subject.title, subject.sentence, (stopped, *rest)),
        "out": Caption(subject.title, subject.sentence, (moving, *rest)),
    }


def _speed_words(slower: float) -> str:
    if slower < 1.05:
        return tr(REAL_SPEED)
    return tr(SPEED, speed=f"1/{slower:.0f}" if abs(slower - round(slower)) < 0.05 else f"1/{slower:.1f}")


def _window_words(subject: Subject) -> str:
    reading = subject.reading
    gap = show("_in", subject.scenario.si("view.window_in") / INCH, subject.metric)
    if reading.length <= 0:
        return tr(NO_WINDOW, gap=gap)
    length = show("_in", reading.length / INCH, subject.metric)
    return tr(WINDOW, gap=gap, length=length, time=show("_ms", reading.length_time / MILLISECOND))


def write(subject: Subject, path: Path, wishes: Wishes, painter: Painter, progress: Progress) -> None:
    """Write the film as MP4 or, where the path ends so, as GIF: smaller, with fewer pictures a second.

    Raises DrawingError where this machine cannot draw.
    """
    gif = path.suffix.lower() == ".gif"
    width, height = wishes.size or (SMALL_SIZE if gif else SIZE)
    rate = wishes.rate or (SMALL_RATE if gif else RATE)
    wanted = plan(wishes.speed, wishes.seconds)
    said = captions(subject, wanted)
    frame = Frame((width - width % 2, height - height % 2), tuple(said.values()), subject.theme)
    with whole(path) as beside:
        painter.run(
            draw, subject.scene, frame, said, list(moments(subject, wanted, rate)), rate, beside, progress=progress
        )
