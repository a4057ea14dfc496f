"""How things look: colours by meaning, sizes, light. One place, so that page, pictures and files agree.

Colours of paths are from the Okabe-Ito set, which colour-blind viewers can tell apart; every path is also named
by a label.
"""

from __future__ import annotations

from dataclasses import dataclass

from plane3d.scene.parts import Light

# By meaning (Okabe-Ito)
PITCH_LINE = "#E69F00"
BARREL_PATH = "#009E73"
HAND_PATH = "#7A8188"
BATTED_BALL = "#D55E00"
CONTACT_WINDOW = "#F0E442"
STRIKE_ZONE = "#0072B2"

# Things
INK = "#222222"
GRASS = "#c5d2b2"
GRASS_CUT = "#bfcdaa"  # the other mowing stripe
DIRT = "#dccbb0"
CHALK = "#ffffff"
PLATE = "#ffffff"
WOOD = "#cfa36b"
GRIP = "#55504a"
BALL = "#ffffff"
SEAM = "#a83228"
FIGURE = "#8d949b"
SHADOW = "#1c1712"
HAZE = "#d2dfe8"
BACKGROUND = ("#e6edf2", "#bcd2e3")  # bottom, top
PAPER = "#ffffff"  # behind words


@dataclass(frozen=True)
class Theme:
    """Colours of what has no meaning of its own. Colours by meaning are the same in every theme.

    repaint : the colour a thing has here, by the one it has in the light theme; the same where it is not named
    background : bottom and top; paper, paper_opacity : behind words
    """

    repaint: dict[str, str]
    background: tuple[str, str]
    paper: str
    paper_opacity: float = 0.85


THEMES = {
    "light": Theme({}, BACKGROUND, PAPER),
    "dark": Theme(
        {INK: "#f1f3f5", GRASS: "#2c3b2f", GRASS_CUT: "#304134", DIRT: "#4b4238", HAZE: "#232d37", GRIP: "#8b8479",
         SHADOW: "#000000"},
        ("#28323c", "#10161d"),
        "#14191e",
    ),
}  # fmt: skip

# Sizes, m
PATH_RADIUS = 0.008
THIN_RADIUS = 0.004
WINDOW_RADIUS = 0.024
MARK_RADIUS = 0.018
DIMENSION_RADIUS = 0.0035
ZONE_EDGE = 0.007

WINDOW_OPACITY = 0.65
ZONE_OPACITY = 0.6
FIGURE_OPACITY = 0.42
SHADOW_OPACITY = 0.42
HAZE_OPACITY = 0.9
DROP_OPACITY = 0.35

MARK_INTERVAL = 0.025  # s between the marks on a ball's path

# A dashed line: dash and gap in tube radii. The page's own script uses the same.
DASH = 14.0
GAP = 10.0

# Views are composed for at least this width to height; a narrower picture opens the angle to keep the width.
NARROWEST = 4.0 / 3.0

# A sun high behind the catcher on the first-base side, and softer light from all round and below, so that a
# colour means the same from every view.
LIGHTS = (
    Light((2.0, -5.0, 7.0), intensity=0.55),
    Light((-6.0, 2.0, 2.5), intensity=0.50),
    Light((6.0, 3.0, 2.0), intensity=0.50),
    Light((0.0, 8.0, 2.0), intensity=0.55),
    Light((-1.0, -6.0, 1.5), intensity=0.40),
    Light((0.0, -2.0, -6.0), intensity=0.60),
)
