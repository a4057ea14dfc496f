"""A scene in words, for those who cannot see the picture: what stands where, in the order one would look."""

from __future__ import annotations

from plane3d import units
from plane3d.play import Play
from plane3d.studies.contact_map import Window
from plane3d.words import climb, sentence, show

HITTER = {"right": "A right-handed hitter.", "left": "A left-handed hitter."}
PITCH = "The pitch crosses the plate's front edge {height} high, {side}, falling at {fall}."
SWING = "The barrel goes {climb} where it is due; the bat is tilted {tilt} below level."
TOUCH = "They touch {depth}, {height} high."
PASS = "They pass each other {depth}, {height} high."
WINDOW = "Barrel and pitch line stay together from {start} to {end}."
NO_WINDOW = "Barrel and pitch line do not stay together."
SIDES = {0: "over the middle", 1: "{gap} toward first base", -1: "{gap} toward third base"}
DEPTHS = {0: "at the plate's front edge", 1: "{gap} in front of the plate", -1: "{gap} behind the plate's front edge"}
SAME = 0.05 * units.INCH  # a smaller gap would be shown as 0.0


def account(play: Play, reach: Window, metric: bool = False) -> str:
    """The scene of one play in a few sentences; ``reach`` is its contact window, lengths in inches or cm."""
    result = play.result
    pitch, swing, meeting = result.pitch, result.swing, result.meeting

    def length(metres: float) -> str:
        return show("_in", metres / units.INCH, metric)

    def placed(words: dict[int, str], metres: float) -> str:
        sign = 0 if abs(metres) < SAME else 1 if metres > 0 else -1
        return words[sign].format(gap=length(abs(metres)))

    side, fall = placed(SIDES, pitch.plate_side), show("_deg", pitch.descent_angle / units.DEGREE)
    met = TOUCH if meeting.touch else PASS
    ends = [placed(DEPTHS, float(end[0])) for end in (reach.from_depth, reach.to_depth)]
    return " ".join([
        sentence(result, metric),
        HITTER[result.inputs.bats],
        PITCH.format(height=length(pitch.plate_height), side=side, fall=fall),
        SWING.format(
            climb=climb(swing.attack_angle / units.DEGREE),
            tilt=show("_deg", swing.vertical_bat_angle / units.DEGREE),
        ),
        met.format(depth=placed(DEPTHS, meeting.depth), height=length(meeting.height)),
        WINDOW.format(start=ends[0], end=ends[1]) if reach.length[0] > 0 else NO_WINDOW,
    ])  # fmt: skip
