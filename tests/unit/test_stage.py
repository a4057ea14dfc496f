"""The Python end of the stage."""

from __future__ import annotations

from types import SimpleNamespace

from apps.stage import Stage
from tests.scene.fixture import scene


def test_each_patch_names_the_one_before_it() -> None:
    stage = Stage(scene())
    assert (stage.patch["id"], stage.patch["base"]) == (1, 0)
    stage.show(scene(below=0.02))
    assert (stage.patch["id"], stage.patch["base"], stage.scene_id) == (2, 1, 2)
    assert "meshes" not in stage.patch


def test_a_browser_that_missed_something_gets_everything() -> None:
    stage = Stage(scene())
    stage.show(scene(below=0.02))
    stage._answer(SimpleNamespace(data="resend"))
    assert (stage.patch["id"], stage.patch["base"]) == (2, 0)
    assert set(stage.patch["meshes"]) == {"ground", "plate", "zone", "bat", "ball"}


def test_a_view_made_late_starts_from_the_whole_scene() -> None:
    stage = Stage(scene())
    stage.show(scene(below=0.02))
    model = stage.get_root()
    assert model.data.patch["base"] == 0
    assert model.data.patch["labels"]["gap"]["text"] == "2.0 cm below the line"


def test_two_stages_share_nothing() -> None:
    one, other = Stage(scene()), Stage(scene())
    one.show(scene(below=0.02))
    assert other.scene_id == 1
    assert "meshes" in other.patch
