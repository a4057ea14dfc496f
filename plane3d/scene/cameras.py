"""Where the viewers stand.

Views depend on the hitter, the side and the pitcher, not on the sliders of a swing, so that a picture does not jump
while one slider moves.
"""

from __future__ import annotations

from plane3d.constants import BOX_GAP, PLATE_FRONT_Y, PLATE_SIDE
from plane3d.scene.parts import Camera

USUAL_HEIGHT = 1.78  # m, the hitter for whom the distances below were chosen
EYE_SHARE = 0.90  # height of the eyes in the stance, share of the hitter's height
STANCE = (PLATE_SIDE + BOX_GAP + 0.20, -0.25)  # m, where the head is: beside the plate's middle line, and along it


def cameras(hitter_height: float, side: float, release: tuple[float, float, float]) -> dict[str, Camera]:
    """The five views by name.

    side : +1 right-handed, -1 left-handed hitter; release : m, where the ball leaves the hand
    """
    size = hitter_height / USUAL_HEIGHT
    middle = 0.44 * hitter_height  # about where pitches are met
    front = PLATE_FRONT_Y
    arm = 1.0 if release[0] > 0 else -1.0
    far = release[1] + 1.5
    return {
        "catcher": Camera((0.0, -2.8, 0.85 * hitter_height), (0.0, 1.2, middle - 0.16), view_angle_deg=35.0),
        "pitcher": Camera((-0.8 * arm, far, 2.1), (0.0, front, middle + 0.12), view_angle_deg=128.0 * size**0.5 / far),
        "above": Camera((-0.2 * side, front, middle + 5.0), (-0.2 * side, front, middle), (0.0, 1.0, 0.0), 25.0),
        "side": Camera((5.2 * side, front + 0.2, 1.1), (0.0, front + 0.2, middle - 0.04), view_angle_deg=20.5),
        "hitter": Camera(
            (-side * STANCE[0], STANCE[1], EYE_SHARE * hitter_height),
            (0.05 * side, front + 1.5, 0.44 * hitter_height),
            view_angle_deg=68.0,
        ),
    }
