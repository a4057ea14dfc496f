"""One session of the page, without a browser: what is asked, what is shown, what is refused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from apps.page import FAULT, Page, create_app
from apps.shelf import shelves
from plane3d.lesson import scenarios_folder

ONE_INCH = scenarios_folder() / "01-one-inch-under.toml"
LESSON = scenarios_folder() / "why-an-inch-matters.toml"


@pytest.fixture
def page() -> Page:
    return Page(ONE_INCH)


def change(page: Page, **changes: Any) -> None:
    """What the browser sends when controls of the swing move."""
    message = {"id": page.controls.state["answered"] + 1, "changes": {f"swing.{k}": v for k, v in changes.items()}}
    page.controls._asked(SimpleNamespace(data=message))


def ask(page: Page, what: str, *values: Any) -> None:
    """What the browser sends when something in the heading is used."""
    page.heading.actions[what](*values)


def label(page: Page, name: str) -> str:
    return next(label.text for label in page.stage.scene.labels if label.name == name)


def says(page: Page) -> str:
    return str(page.heading.state["sentence"])


def test_one_inch_and_four_inches(page: Page) -> None:
    assert says(page).startswith("The barrel is 1.0 in below the line: a fly ball")
    assert label(page, "below the line") == "1.0 in below the line"
    assert " ft</dd>" in page.numbers.object
    change(page, below_line_in=4)
    assert says(page).startswith("The barrel is 4.0 in below the line: a miss; the bat passes under the ball")
    assert label(page, "below the line") == "4.0 in below the line"
    assert "the bat misses the ball" in page.numbers.object
    assert page.controls.state["values"]["swing.below_line_in"] == 4
    assert page.controls.state["changed"] == ["swing.below_line_in"]
    assert page.heading.state["changed"]


@pytest.mark.parametrize("below", [-3.2, -2.9, 2.8, 3.0])
def test_a_ball_that_leaves_backward_has_its_numbers(page: Page, below: float) -> None:
    change(page, below_line_in=below)
    assert "foul" in says(page)
    assert not page.heading.state["problem"]
    assert "leaves backward" in page.numbers.object


def test_one_change_is_one_picture(page: Page) -> None:
    before = page.stage.scene_id
    change(page, below_line_in=2.0, timing_ms=3)
    assert page.stage.scene_id == before + 1
    ask(page, "choose", 2)
    assert page.stage.scene_id == before + 2


def test_what_follows_keeps_following_until_it_is_given(page: Page) -> None:
    def values() -> dict[str, Any]:
        return dict(page.controls.state["values"])

    square = values()["swing.bat_direction_deg"]
    change(page, attack_angle_deg=20)
    assert values()["swing.bat_direction_deg"] > square + 2
    change(page, bat_direction_deg=0.0)
    change(page, attack_angle_deg=5)
    assert values()["swing.bat_direction_deg"] == 0.0
    change(page, bat_direction_deg=None, attack_angle_deg=None)
    assert values()["swing.bat_direction_deg"] == pytest.approx(square)
    assert page.controls.state["changed"] == []


def test_what_cannot_be_reached_is_said_and_the_last_picture_stays(page: Page) -> None:
    words, shown = says(page), page.stage.scene
    page.controls._asked(SimpleNamespace(data={"id": 1, "changes": {"pitch.speed_mph": 20}}))
    assert says(page).startswith("This pitch cannot reach")
    assert page.heading.state["problem"]
    assert page.stage.scene is shown
    assert page.stage.css_classes == ["stale"]
    assert page.controls.state["values"]["pitch.speed_mph"] == 20
    page.controls._asked(SimpleNamespace(data={"id": 2, "changes": {"pitch.speed_mph": None}}))
    assert (says(page), page.heading.state["problem"], page.stage.css_classes) == (words, False, [])


@pytest.mark.parametrize("wrong", [99, "soon", True, float("nan"), float("inf")])
def test_what_is_not_allowed_is_said_and_changes_nothing(page: Page, wrong: Any) -> None:
    change(page, timing_ms=wrong)
    assert says(page).startswith("Timing = ")
    assert says(page).endswith("must be a number from -60 to 60 ms.")
    assert page.controls.state["values"]["swing.timing_ms"] == 0
    assert page.controls.state["answered"] == 1


def test_an_unknown_key_is_said(page: Page) -> None:
    change(page, zzz=1)
    assert says(page).startswith("swing.zzz = 1 is not a known key")


def test_a_fault_of_our_own_is_a_sentence_and_the_controls_are_answered(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("apps.page.staged", broken)
    change(page, timing_ms=3)
    assert says(page) == FAULT
    assert page.controls.state["answered"] == 1


def test_start_again_takes_back_every_change(page: Page) -> None:
    words = says(page)
    change(page, below_line_in=3, hinge_deg=120)
    ask(page, "restart")
    assert says(page) == words
    assert page.controls.state["changed"] == []
    assert not page.heading.state["changed"]


def test_choosing_shows_question_notice_and_values(page: Page) -> None:
    titles = [title for _, group in page.heading.shelves for title in group]
    place = titles.index("Ten milliseconds late")
    ask(page, "choose", place)
    assert page.heading.state["chosen"] == place
    assert page.heading.keep["question"].startswith("The same swing, a hundredth")
    assert "10 ms late" in says(page)
    assert page.controls.state["values"]["swing.timing_ms"] == 10
    assert page.stage.scene.camera == "above"


def test_metric_words_numbers_and_picture_agree(page: Page) -> None:
    ask(page, "measure", True)
    assert "2.5 cm below the line" in says(page)
    assert label(page, "below the line") == "2.5 cm below the line"
    assert " km/h</dd>" in page.numbers.object
    assert " mph" not in page.numbers.object
    assert page.controls.state["metric"]


def test_a_file_comes_first_and_a_lesson_brings_its_order() -> None:
    own, rest = shelves(ONE_INCH)
    assert (own.heading, own.scenarios[0].title) == (ONE_INCH.name, "One inch under")
    assert len(rest.scenarios) >= 6
    assert [s.title for s in shelves(LESSON)[0].scenarios][:2] == ["On the line", "One inch under"]


def test_a_file_that_has_become_wrong_is_said_on_the_page(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text('format = 1\ntitle = "x"\n[swing]\ntiming_ms = 99\n', encoding="utf-8")
    page = Page(path)
    assert "bad.toml:4: swing.timing_ms = 99 must be" in says(page)
    assert page.heading.state["problem"]


def test_a_scenario_that_cannot_be_played_opens_with_its_sentence(tmp_path: Path) -> None:
    path = tmp_path / "slow.toml"
    path.write_text('format = 1\ntitle = "x"\n[pitch]\nspeed_mph = 20\nrelease_distance_ft = 60\n', encoding="utf-8")
    page = Page(path)
    assert says(page).startswith("This pitch cannot reach")
    assert page.stage.css_classes == ["stale"]


def test_two_sessions_share_nothing() -> None:
    one, other = Page(), Page()
    before = (says(other), other.stage.scene_id, dict(other.controls.state))
    change(one, below_line_in=3.7)
    ask(one, "measure", True)
    assert (says(other), other.stage.scene_id, dict(other.controls.state)) == before
    assert create_app() is not create_app()


def test_importing_the_page_does_nothing_and_the_web_process_needs_no_vtk() -> None:
    code = (
        "import sys, apps.page, panel as pn;"
        "assert not pn.extension._loaded and not pn.state.curdoc;"
        "apps.page.create_app();"
        "sys.exit(bool({'vtk', 'vtkmodules', 'pyvista'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, ""), done.stderr
