"""Words laid flat over a picture at points of its scene: inside its edges, clear of each other, tied to their point."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from importlib.util import find_spec
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from plane3d.scene.parts import Camera, Label
from plane3d.scene.style import THEMES
from plane3d.scene.view import project

TEXT_SHARE, TEXT_LEAST = 1 / 42, 12  # of the picture's shorter side, and the least, pixels
MARGIN = 4  # pixels from the edge and between words
# Where a word may stand: across (left, middle, right of its point) and down (in heights), in order of preference.
DOWN = (-0.6, 0.6, -1.6, 1.6, -2.6, 2.6, -3.6, 3.6)
PLACES: list[tuple[float, float]] = sorted(product((1, -1, 0), DOWN), key=lambda p: (abs(p[1]), -p[0]))
PLACES += sorted(product((2, -2, 3.5, -3.5, 5, -5, 0), (*DOWN, -5, 5, -6.5, 6.5)), key=lambda p: abs(p[0]) + abs(p[1]))

PLAIN = {*map(chr, range(32, 127)), "°"}  # what Pillow's own font can write
WIDE_FONT = "mpl-data/fonts/ttf/DejaVuSans.ttf"  # of matplotlib, which comes with pyvista

Box = tuple[float, float, float, float]  # left, top, right, bottom


def write_labels(
    image: NDArray[np.uint8], labels: Sequence[Label], camera: Camera, theme: str = "light",
    covered: Sequence[Box] = (), share: float = TEXT_SHARE,
) -> NDArray[np.uint8]:  # fmt: skip
    """The picture (h, w, 3) with its words, on the paper of a theme.

    covered : boxes that are kept free of words
    share : height of the letters, of the picture's shorter side
    """
    from PIL import Image, ImageColor, ImageDraw  # here, because only pictures need it

    size = (image.shape[1], image.shape[0])
    height = max(TEXT_LEAST, round(min(size) * share))
    font = font_for(height, "".join(label.text for label in labels))
    look = THEMES[theme]
    paper = (*ImageColor.getrgb(look.paper), round(255 * look.paper_opacity))
    canvas = Image.fromarray(image).convert("RGB")
    draw = ImageDraw.Draw(canvas, "RGBA")
    taken = list(covered)
    for label in labels:
        at, before = project(camera, size, np.array([label.position]))
        x, y = at[0]
        if not (before[0] and 0 <= x <= size[0] and 0 <= y <= size[1]):
            continue
        wide = draw.textlength(label.text, font=font) + height
        box = _place((x, y), (wide, 1.5 * height), size, taken)
        taken.append(box)
        near = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
        draw.line([(x, y), near], fill=label.color, width=max(1, height // 12))
        draw.rounded_rectangle(box, radius=height / 4, fill=paper)
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        draw.text(middle, label.text, font=font, fill=label.color, anchor="mm")
    return np.asarray(canvas)


@lru_cache(maxsize=64)
def font_for(height: int, text: str) -> Any:
    """Pillow's own font, or where that lacks a sign of the text, such as an accent, one that has it.

    height : pixels
    """
    from PIL import ImageFont

    found = None if set(text) <= PLAIN else find_spec("matplotlib")
    if found is None or found.origin is None:
        return ImageFont.load_default(size=height)
    return ImageFont.truetype(Path(found.origin).parent / WIDE_FONT, height)


def _place(at: tuple[float, float], box: tuple[float, float], size: tuple[int, int], taken: list[Box]) -> Box:
    """The first place free of other words, or else the one that covers least of them."""

    def stand(place: tuple[float, float]) -> Box:
        across, down = place
        left = at[0] + across * box[1] - (box[0] / 2 if across == 0 else 0.0 if across > 0 else box[0])
        left = min(max(left, MARGIN), size[0] - box[0] - MARGIN)
        top = min(max(at[1] + (down - 0.5) * box[1], MARGIN), size[1] - box[1] - MARGIN)
        return left, top, left + box[0], top + box[1]

    return min(map(stand, PLACES), key=lambda spot: sum(_overlap(spot, other) for other in taken))


def _overlap(a: Box, b: Box) -> float:
    across = min(a[2], b[2]) - max(a[0], b[0]) + MARGIN
    down = min(a[3], b[3]) - max(a[1], b[1]) + MARGIN
    return max(across, 0.0) * max(down, 0.0)
