"""How things look: colours by meaning, sizes, light. One place, so that page, pictures and files agree.

Colours of paths are from the Okabe-Ito set, which colour-blind viewers can tell apart; every path is also named
by a label.
"""

from __future__ import annotations

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
DIRT = "#dccbb0"
CHALK = "#ffffff"
PLATE = "#ffffff"
WOOD = "#cfa36b"
GRIP = "#55504a"
BALL = "#ffffff"
SEAM = "#a83228"
BACKGROUND = ("#e6edf2", "#bcd2e3")  # bottom, top

# Sizes, m
PATH_RADIUS = 0.008
THIN_RADIUS = 0.004
WINDOW_RADIUS = 0.024
MARK_RADIUS = 0.018
DIMENSION_RADIUS = 0.0035
ZONE_EDGE = 0.007

WINDOW_OPACITY = 0.65
ZONE_OPACITY = 0.45

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
