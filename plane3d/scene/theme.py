"""The same scene in other colours: for a bright room or a dark one. Colours by meaning stay what they are."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from plane3d.scene import style
from plane3d.scene.parts import Label, Marks, Mesh, Scene, Tube

Part = TypeVar("Part", Mesh, Tube, Marks, Label)


def themed(scene: Scene, theme: str) -> Scene:
    """A scene described in light colours, in those of a theme of `style.THEMES`. Raises KeyError for another name."""
    colors = style.THEMES[theme]
    if theme == scene.theme:
        return scene

    def painted(parts: tuple[Part, ...]) -> tuple[Part, ...]:
        new = colors.repaint
        return tuple(replace(part, color=new[part.color]) if part.color in new else part for part in parts)

    return replace(
        scene,
        meshes=painted(scene.meshes),
        tubes=painted(scene.tubes),
        marks=painted(scene.marks),
        labels=painted(scene.labels),
        background=colors.background,
        theme=theme,
    )
