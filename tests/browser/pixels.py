"""Reading pictures: shares of a colour, and how much two pictures differ."""

from __future__ import annotations

import colorsys
import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from playwright.sync_api import Locator

Picture = NDArray[np.uint8]  # (height, width, 3)

HUE_SLACK = 8.0  # deg; light and shade change brightness, hardly the hue


def picture(part: Locator) -> Picture:
    """A part of the page as it looks."""
    return np.asarray(Image.open(io.BytesIO(part.screenshot())).convert("RGB"))


def share(seen: Picture, color: str) -> float:
    """Share of pixels whose hue is that of ``color`` (``#rrggbb``) and which are clearly coloured."""
    r, g, b = (int(color[i : i + 2], 16) / 255 for i in (1, 3, 5))
    hue = 255 * colorsys.rgb_to_hsv(r, g, b)[0]
    hsv = np.asarray(Image.fromarray(seen).convert("HSV"), dtype=float)
    apart = np.abs((hsv[..., 0] - hue + 128) % 256 - 128) * 360 / 255
    return float(np.mean((apart < HUE_SLACK) & (hsv[..., 1] > 128) & (hsv[..., 2] > 40)))


def changed(a: Picture, b: Picture) -> float:
    """Share of pixels that differ visibly."""
    return float(np.mean(np.abs(a.astype(int) - b.astype(int)).max(axis=-1) > 12))
