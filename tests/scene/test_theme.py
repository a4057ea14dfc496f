"""The two themes: meaning keeps its colours, words keep their contrast, nothing moves."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.play import play
from plane3d.scene import style
from plane3d.scene.describe import describe
from plane3d.scene.parts import Scene
from plane3d.scene.render import picture
from tests.cases import inputs

MEANT = (
    style.PITCH_LINE, style.BARREL_PATH, style.HAND_PATH, style.BATTED_BALL, style.CONTACT_WINDOW, style.STRIKE_ZONE,
)  # fmt: skip
AA = 4.5  # contrast that ordinary text needs (WCAG 2, success criterion 1.4.3; from memory)


@pytest.fixture(scope="module", params=style.THEMES)
def scene(request: pytest.FixtureRequest) -> Scene:
    return describe(play(inputs()), theme=request.param)


def luminance(rgb: np.ndarray) -> float:
    """Relative luminance of a colour, 0 to 255 each (WCAG 2, definition; from memory)."""
    share = np.asarray(rgb, dtype=float) / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def contrast(a: np.ndarray, b: np.ndarray) -> float:
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def rgb(color: str) -> np.ndarray:
    return np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)], dtype=float)


def test_contrast_by_its_definition() -> None:
    """Black on white is 21 to 1, and #767676 on white just passes (both well known, from memory)."""
    assert contrast(rgb("#000000"), rgb("#ffffff")) == pytest.approx(21.0)
    assert contrast(rgb("#767676"), rgb("#ffffff")) == pytest.approx(4.54, abs=0.01)


def test_words_can_be_read_over_anything(scene: Scene) -> None:
    look = style.THEMES[scene.theme]
    for behind in ("#000000", "#ffffff", *(mesh.color for mesh in scene.meshes)):
        paper = look.paper_opacity * rgb(look.paper) + (1 - look.paper_opacity) * rgb(behind)
        assert {label.color for label in scene.labels} == {look.repaint.get(style.INK, style.INK)}
        assert all(contrast(rgb(label.color), paper) > AA for label in scene.labels), behind


def test_meaning_keeps_its_colour_and_things_their_shape(scene: Scene) -> None:
    plain = describe(play(inputs()))
    for kind in ("meshes", "tubes", "marks"):
        for a, b in zip(getattr(plain, kind), getattr(scene, kind), strict=True):
            assert a.name == b.name
            assert np.array_equal(a.points, b.points)
            if a.color in MEANT:
                assert b.color == a.color
    assert not set(MEANT) & set(style.THEMES["dark"].repaint)
    assert scene.cameras == plain.cameras
    assert scene.lights == plain.lights


def test_dark_pictures_are_dark() -> None:
    scenes = [describe(play(inputs()), theme=name) for name in ("light", "dark")]
    bright = [picture(scene, "side", size=(320, 240)).mean() for scene in scenes]
    assert bright[0] > 150
    assert bright[1] < 80


def test_another_theme_is_refused() -> None:
    with pytest.raises(KeyError):
        describe(play(inputs()), theme="sepia")


def test_level_ground_comes_out_in_its_own_colour() -> None:
    """What lets the flat ground be drawn without light: the lights on a level surface add up to one (Lambert's law)."""
    up = [light.intensity * light.position[2] / np.linalg.norm(light.position) for light in style.LIGHTS]
    assert sum(max(share, 0.0) for share in up) == pytest.approx(1.0, abs=0.02)
