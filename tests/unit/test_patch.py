"""What is sent to the browser: only what changed, and enough to rebuild the scene."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from apps.patch import PARTS, WHOLES, patch
from plane3d.scene.parts import Scene
from tests.scene.fixture import scene


def apply(held: dict[str, Any], changes: dict[str, Any]) -> None:
    """What the browser does with a patch, written again here."""

    def unpack(fields_: dict[str, Any]) -> dict[str, Any]:
        return {
            name: np.frombuffer(changes["data"], f"<{v['kind']}", v["length"], v["offset"])
            if isinstance(v, dict) and "offset" in v
            else v
            for name, v in fields_.items()
        }

    for kind in PARTS:
        table = held.setdefault(kind, {})
        for name in changes.get("gone", {}).get(kind, []):
            del table[name]
        for name, change in changes.get(kind, {}).items():
            table[name] = table.get(name, {}) | unpack(change)
    for name in WHOLES:
        if name in changes:
            held[name] = changes[name]
    held["motion"] = held.get("motion", {}) | unpack(changes.get("motion", {}))


def agrees(held: dict[str, Any], shown: Scene) -> bool:
    """Whether what the browser holds is that scene, field for field."""

    def same(fields_: dict[str, Any], part: Any) -> bool:
        return all(
            np.array_equal(np.ravel(fields_[f.name]), np.ravel(getattr(part, f.name)))
            if isinstance(getattr(part, f.name), np.ndarray | tuple)
            else fields_[f.name] == getattr(part, f.name)
            for f in fields(part)
        )

    parts = all(
        list(sorted(held[kind])) == sorted(p.name for p in getattr(shown, kind))
        and all(same(held[kind][p.name], p) for p in getattr(shown, kind))
        for kind in PARTS
    )
    return parts and same(held["motion"], shown.motion) and held["camera"] == shown.camera


def test_patches_in_turn_rebuild_each_scene() -> None:
    held: dict[str, Any] = {}
    old = None
    for new in (scene(), scene(below=0.03), scene(below=0.03, touch=False), scene(camera="side")):
        apply(held, patch(old, new))
        assert agrees(held, new)
        old = new


def test_an_equal_scene_sends_nothing() -> None:
    assert patch(scene(), scene()) == {"data": b""}


def test_meshes_are_not_sent_again_when_a_line_moves() -> None:
    changes = patch(scene(), scene(below=0.05))
    assert set(changes) == {"tubes", "labels", "motion", "data"}
    assert set(changes["tubes"]) == {"barrel path"} and set(changes["tubes"]["barrel path"]) == {"points"}
    assert set(changes["labels"]) == {"gap"} and set(changes["labels"]["gap"]) == {"text"}
    assert "times" not in changes["motion"] and "ball_position" not in changes["motion"]
    assert len(changes["data"]) < 0.4 * len(patch(None, scene())["data"])


def test_a_new_colour_does_not_send_the_points_again() -> None:
    old = scene()
    mesh = replace(old.meshes[0], color="#000000")
    changes = patch(old, replace(old, meshes=(mesh, *old.meshes[1:])))
    assert changes == {"meshes": {mesh.name: {"color": "#000000"}}, "data": b""}


def test_parts_left_out_are_named_as_gone() -> None:
    old = scene()
    changes = patch(old, replace(old, tubes=old.tubes[1:], labels=()))
    assert changes["gone"] == {"tubes": ["pitch line"], "labels": ["pitch line", "gap", "behind"]}


def test_two_parts_of_one_name_are_refused() -> None:
    twice = replace(scene(), tubes=(scene().tubes[0],) * 2)
    with pytest.raises(ValueError, match="two tubes are named 'pitch line'"):
        patch(None, twice)
