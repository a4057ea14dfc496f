"""A scene in words, for those who cannot see the picture: what stands where, in the order one would look."""

from __future__ import annotations

from plane3d import units
from plane3d.language import mark, tr
from plane3d.play import Play
from plane3d.studies.contact_map import Window
from plane3d.words import climb, sentence, show

HITTER = {"right": mark("A right-handed hitter."), "left": mark("A left-handed hitter.")}
PITCH = mark("The pitch crosses the plate's front edge {height} high, {side}, falling at {fall}.")
SWING = mark("The barrel goes {climb} where it is due; the bat is tilted {tilt} below level.")
TOUCH = mark("They touch {depth}, {height} high.")
PASS = mark("They pass each other {depth}, {height} high.")
WINDOW = mark("Barrel and pitch line stay together from {start} to {end}.")
NO_WINDOW = mark("Barrel and pitch line do not stay together.")
SIDES = {0: mark("over the middle"), 1: mark("{gap} toward first base"), -1: mark("{gap} toward third base")}
DEPTHS = {
    0: mark("at the plate's front edge"),
    1: mark("{gap} in front of the plate"),
    -1: mark("{gap} behind the plate's front edge"),
}
SAME = 0.05 * units.INCH  # a smaller gap would be shown as 0.0


def account(play: Play, reach: Window, metric: bool = False) -> str:
    """The scene of one play in a few sentences; ``reach`` is its contact window, lengths in inches or cm."""
    result = play.result
    pitch, swing, meeting = result.pitch, result.swing, result.meeting

    def length(metres: float) -> str:
        return show("_in", metres / units.INCH, metric)

    def placed(words: dict[int, str], metres: float) -> str:
        sign = 0 if abs(metres) < SAME else 1 if metres > 0 else -1
        return tr(words[sign], gap=length(abs(metres)))

    side, fall = placed(SIDES, pitch.plate_side), show("_deg", pitch.descent_angle / units.DEGREE)
    met = TOUCH if meeting.touch else PASS
    ends = [placed(DEPTHS, float(end[0])) for end in (reach.from_depth, reach.to_depth)]
    return " ".join([
        sentence(result, metric),
        tr(HITTER[result.inputs.bats]),
        tr(PITCH, height=length(pitch.plate_height), side=side, fall=fall),
        tr(
            SWING,
            climb=climb(swing.attack_angle / units.DEGREE),
            tilt=show("_deg", swing.vertical_bat_angle / units.DEGREE),
        ),
        tr(met, depth=placed(DEPTHS, meeting.depth), height=length(meeting.height)),
        tr(WINDOW, start=ends[0], end=ends[1]) if reach.length[0] > 0 else tr(NO_WINDOW),
    ])  # fmt: skip
