"""Lesson mode in a real browser: every key, the tally, the countdown, the reveal, and type for the back of a gym."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from plane3d.lesson import scenarios_folder
from tests.browser.conftest import SIZES, Watch

pytestmark = pytest.mark.browser

LEAST = 28  # px at 1920 x 1080
COUNTDOWN = 2  # s, of the lesson below
KINDS = ("ground-ball", "line-drive", "fly-ball", "miss")
STEPS = ("01-one-inch-under", "05-ten-milliseconds-late", "02-four-inches-under")

# Sizes of all text that can be seen, shadow roots included: [size, text].
SEEN = """() => {
  const found = []
  const walk = (node) => {
    if (node.nodeType === Node.TEXT_NODE) {
      const box = node.parentElement
      if (!node.textContent.trim() || !box || ["STYLE", "SCRIPT", "TITLE"].includes(box.tagName)) return
      const range = document.createRange()
      range.selectNodeContents(node)
      const { width, height } = range.getBoundingClientRect(), style = getComputedStyle(box)
      const hidden = style.visibility === "hidden" || box.closest(".spoken, [hidden], .tools:not(.shown)")
      if (width && height && !hidden) found.push([parseFloat(style.fontSize), node.textContent.trim()])
      return
    }
    if (node.shadowRoot) walk(node.shadowRoot)
    for (const child of node.childNodes) walk(child)
  }
  walk(document.body)
  return found
}"""


@pytest.fixture(scope="module")
def address(serve: Callable[..., str], tmp_path_factory: pytest.TempPathFactory) -> str:
    """A server whose own lesson has three steps and a short countdown; those of plane3d are there by name."""
    folder = tmp_path_factory.mktemp("lesson")
    lines = ['format = 1\ntitle = "Short"\nclose = "That was it."\n']
    for name in STEPS:
        (folder / f"{name}.toml").write_bytes((scenarios_folder() / f"{name}.toml").read_bytes())
        choices = ", ".join(f'{{ says = "{kind}", when = "{kind}" }}' for kind in KINDS)
        if name == STEPS[1]:
            choices = '{ says = "fair", when = "line-drive" }, { says = "foul", when = "foul-opposite" }'
        extra = f'question = "What comes of {name}?"\n'
        extra += "strip = true" if name == STEPS[1] else 'figures = ["meeting.below_line_in"]'
        lines.append(f'[[step]]\nscenario = "{name}.toml"\nseconds = {COUNTDOWN}\nchoices = [{choices}]\n{extra}\n')
    path = folder / "short.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return serve("-m", "plane3d", "serve", str(path), "--no-open", "--port") + "lesson"


@pytest.fixture
def opened(page: Page, address: str) -> Page:
    """The lesson at its first question."""
    return open_lesson(page, address)


def open_lesson(page: Page, address: str) -> Page:
    page.goto(address)
    page.locator(".stage-root[data-frame]").wait_for(timeout=20_000)
    expect(page.locator(".question")).not_to_be_empty()
    return page


def count(page: Page) -> Locator:
    return page.locator(".count")


def answer(page: Page) -> Locator:
    return page.locator(".answer")


def stage(page: Page) -> Locator:
    return page.locator(".stage-root")


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def reveal(page: Page) -> None:
    press(page, "r")
    expect(answer(page)).to_be_visible()


@pytest.mark.parametrize(("forth", "back"), [("ArrowRight", "ArrowLeft"), ("PageDown", "PageUp"), ("Space", "PageUp")])
def test_forth_and_back(opened: Page, forth: str, back: str) -> None:
    expect(count(opened)).to_have_text("1 of 3")
    press(opened, back)  # nothing before the first
    press(opened, forth)
    expect(count(opened)).to_have_text("2 of 3")
    expect(opened.locator(".question")).to_contain_text("ten-milliseconds-late?")
    press(opened, back)
    expect(count(opened)).to_have_text("1 of 3")
    assert opened.url.endswith("step=1")


def test_the_question_hides_the_answer_and_the_key_shows_it(opened: Page, watch: Watch) -> None:
    labels = stage(opened).locator(".labels span")
    expect(labels.get_by_text("Pitch line")).to_have_count(1)
    expect(labels.get_by_text("Batted ball")).to_have_count(0)
    expect(labels.get_by_text("below the line")).to_have_count(0)
    expect(answer(opened)).to_be_hidden()
    sent = "".join(frame if isinstance(frame, str) else "" for frame in watch.received)
    assert "A fly ball" not in sent and "off the bat" not in sent and "below the line:" not in sent
    reveal(opened)
    expect(opened.locator(".result")).to_contain_text("The barrel is 1.0 in below the line: a fly ball")
    expect(opened.locator(".choices .right")).to_contain_text("fly-ball")
    expect(labels.get_by_text("Batted ball")).to_have_count(1)
    expect(opened.locator(".spoken")).to_contain_text("Answer: C. fly-ball. The barrel is 1.0 in below the line")
    press(opened, "r")
    expect(answer(opened)).to_be_hidden()
    expect(labels.get_by_text("Batted ball")).to_have_count(0)


@pytest.mark.parametrize("key", ["b", "."])
def test_the_blank_screen_button_of_a_clicker_reveals(opened: Page, key: str) -> None:
    press(opened, key)
    expect(answer(opened)).to_be_visible()


def test_the_answer_plays_through_contact(opened: Page) -> None:
    short = float(stage(opened).get_attribute("data-clock") or 0)
    reveal(opened)
    opened.wait_for_function(
        "([stage, time]) => Number(stage.dataset.clock) > time && stage.dataset.playing === 'true'",
        arg=[stage(opened).element_handle(), short + 0.015],  # the question stops 12 ms short of contact
        timeout=60_000,
    )


def test_play_stops_before_contact_while_the_question_stands(opened: Page) -> None:
    end = float(stage(opened).get_attribute("data-clock") or 0)
    press(opened, "p")
    expect(stage(opened)).to_have_attribute("data-playing", "true")
    assert float(stage(opened).get_attribute("data-clock") or 0) < end
    press(opened, "p")
    expect(stage(opened)).to_have_attribute("data-playing", "false")


def test_next_view(opened: Page) -> None:
    seen = []
    for _ in range(5):
        view = stage(opened).get_attribute("data-view") or ""
        seen.append(view)
        press(opened, "v")
        expect(stage(opened)).not_to_have_attribute("data-view", view)
    assert sorted(seen) == ["above", "catcher", "hitter", "pitcher", "side"]
    expect(stage(opened)).to_have_attribute("data-view", seen[0])


def test_full_screen(opened: Page) -> None:
    press(opened, "f")
    opened.wait_for_function("document.fullscreenElement !== null")
    press(opened, "f")
    opened.wait_for_function("document.fullscreenElement === null")


def test_help_lists_the_keys(opened: Page) -> None:
    dialog = opened.locator("dialog")
    press(opened, "?")
    expect(dialog).to_be_visible()
    for words in ("Next step", "Show the answer", "Next view", "countdown", "Full screen", "Leave the lesson"):
        expect(dialog).to_contain_text(words)
    press(opened, "Escape")
    expect(dialog).to_be_hidden()
    press(opened, "4", "Enter", "2")  # and the keys are the lesson's again
    expect(opened.locator(".tally output").nth(1)).to_have_text("2")


def test_sliders_come_when_asked(opened: Page) -> None:
    sliders = opened.locator("section.sliders")
    expect(sliders).to_be_hidden()
    expect(stage(opened).locator(".bar")).to_be_hidden()
    expect(stage(opened).locator(".views")).to_be_hidden()
    reveal(opened)
    press(opened, "h")
    expect(sliders).to_be_visible()
    expect(stage(opened).locator(".bar")).to_be_visible()
    field = opened.locator('[data-key="swing.below_line_in"]').get_by_role("textbox")
    field.fill("4")  # digits belong to the field while it has the focus
    field.press("Enter")
    expect(opened.locator(".result")).to_contain_text("With your changes: The barrel is 4.0 in below the line: a miss")
    expect(opened.locator(".tally output").first).to_have_text("")
    field.press("Escape")
    expect(sliders).to_be_hidden()
    press(opened, "c")
    expect(sliders).to_be_visible()


def test_escape_leaves(opened: Page) -> None:
    press(opened, "Escape")
    opened.wait_for_url("**/")
    opened.locator(".stage-root[data-frame]").wait_for(timeout=20_000)


def test_the_room_is_counted_and_told_where_it_was_right(opened: Page) -> None:
    outputs = opened.locator(".tally output")
    press(opened, "3", "Enter", "1", "2", "Enter", "9", "Backspace", "1", "5")
    for place, hands in enumerate(("3", "12", "15", "0")):
        expect(outputs.nth(place)).to_have_text(hands)
    press(opened, "ArrowUp", "+", "+", "-", "ArrowDown", "ArrowDown", "7", "Backspace")
    expect(outputs.nth(1)).to_have_text("13")
    expect(outputs.nth(3)).to_have_text("0")
    bars = opened.locator(".bar b")
    assert [bars.nth(i).evaluate("e => Math.round(parseFloat(e.style.width))") for i in range(4)] == [10, 42, 48, 0]
    expect(opened.locator(".room")).to_be_empty()
    reveal(opened)
    expect(opened.locator(".room")).to_have_text("The room: 15 of 31 right, 48 %")
    press(opened, "ArrowRight")
    expect(count(opened)).to_have_text("2 of 3")
    expect(outputs.first).to_have_text("")
    press(opened, "ArrowRight", "ArrowRight")
    expect(opened.locator(".question")).to_have_text("Where the room was right")
    rows = opened.locator(".score li")
    expect(rows.nth(0)).to_contain_text("15 of 31 right")
    expect(rows.nth(1)).to_contain_text("not shown")
    expect(opened.locator(".closing")).to_have_text("That was it.")
    press(opened, "ArrowRight")  # nothing after the end
    expect(rows).to_have_count(3)


def test_buttons_count_hands_too(opened: Page) -> None:
    row = opened.locator(".choices li").nth(1)
    row.hover()
    for _ in range(3):
        row.get_by_label("One more hand for B").click()
    row.get_by_label("One hand fewer for B").click()
    expect(row.locator("output")).to_have_text("2")
    press(opened, "Space")  # the click left the keys to the lesson
    expect(count(opened)).to_have_text("2 of 3")


def test_the_countdown_runs_out_and_can_be_stopped(opened: Page) -> None:
    clock = opened.locator(".timer")
    expect(clock).to_be_hidden()
    press(opened, "t")
    expect(clock).to_have_text("0:02")
    expect(clock).to_have_text("0:01")
    expect(clock).to_have_text("Time", timeout=COUNTDOWN * 1000 + 2000)
    expect(opened.locator(".spoken")).to_have_text("Time")
    press(opened, "t")
    expect(clock).to_be_hidden()
    press(opened, "t")
    expect(clock).to_be_visible()
    press(opened, "t")
    expect(clock).to_be_hidden()


def test_a_reload_comes_back_to_the_step_its_answer_and_its_hands(opened: Page, address: str) -> None:
    press(opened, "ArrowRight")
    expect(count(opened)).to_have_text("2 of 3")
    press(opened, "8")
    reveal(opened)
    opened.reload()
    opened.locator(".stage-root[data-frame]").wait_for(timeout=20_000)
    expect(count(opened)).to_have_text("2 of 3")
    expect(answer(opened)).to_be_visible()
    expect(opened.locator(".tally output").first).to_have_text("8")
    expect(opened.locator(".ribbon svg")).to_be_visible()


def test_less_motion_is_honoured(chromium: Browser, address: str, watch: Watch) -> None:
    still = chromium.new_page(reduced_motion="reduce")
    watch.follow(still)
    open_lesson(still, address)
    reveal(still)
    still.wait_for_timeout(500)
    assert stage(still).get_attribute("data-playing") == "false"
    still.close()


def test_lessons_to_choose_from_and_their_talk_tracks(page: Page, address: str) -> None:
    page.goto(f"{address}?lesson=nothing-by-this-name")
    names = page.locator(".shelf .name")
    expect(names).to_have_count(4)
    expect(names.first).to_have_text("Short")
    with page.expect_popup() as popup:
        page.get_by_role("link", name="Talk track to print").last.click()
    expect(popup.value.get_by_role("heading", level=1)).to_have_text("Why an inch matters")
    press(page, "2")
    expect(page.locator(".title")).to_have_text("Inside the ball", timeout=20_000)


def small(page: Page) -> list[Any]:
    return [[size, text] for size, text in page.evaluate(SEEN) if size < LEAST]


def test_no_text_is_small_on_a_projector(page: Page, address: str) -> None:
    width, height = SIZES["projector"]
    page.set_viewport_size({"width": width, "height": height})
    open_lesson(page, address)
    assert len(page.evaluate(SEEN)) >= 8
    assert small(page) == []
    press(page, "ArrowRight", "5", "t")
    expect(count(page)).to_have_text("2 of 3")
    reveal(page)
    expect(page.locator(".ribbon svg")).to_be_visible()
    assert small(page) == []
    press(page, "h")
    page.mouse.move(5, 5)
    page.mouse.move(300, 300)
    expect(page.locator(".tools")).to_have_class("tools shown")
    assert small(page) == []
    press(page, "?")
    assert small(page) == []
    press(page, "Escape", "h", "ArrowRight", "ArrowRight")
    expect(page.locator(".question")).to_have_text("Where the room was right")
    assert small(page) == []
    page.goto(f"{address}?lesson=nothing-by-this-name")
    expect(page.locator(".shelf .name").first).to_be_visible()
    assert small(page) == []


@pytest.mark.parametrize("size", SIZES)
def test_nothing_scrolls_sideways_and_the_question_is_in_sight(page: Page, address: str, size: str) -> None:
    width, height = SIZES[size]
    page.set_viewport_size({"width": width, "height": height})
    open_lesson(page, f"{address}?lesson=why-an-inch-matters&step=6")
    for shown in (".question", ".choices", ".stage-root .picture"):
        expect(page.locator(shown)).to_be_in_viewport(ratio=0.95)
    reveal(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    expect(page.locator(".result")).to_be_in_viewport(ratio=0.95)
    press(page, "h")
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_every_shipped_step_fits_a_projector_with_its_answer(chromium: Browser, address: str, watch: Watch) -> None:
    width, height = SIZES["projector"]
    page = chromium.new_page(viewport={"width": width, "height": height}, reduced_motion="reduce")
    watch.follow(page)
    for name, steps in (("why-an-inch-matters", 6), ("staying-on-the-pitch", 7), ("inside-the-ball", 5)):
        open_lesson(page, f"{address}?lesson={name}")
        for step in range(1, steps + 1):
            expect(count(page)).to_have_text(f"{step} of {steps}")
            press(page, "5", "Enter", "9")
            reveal(page)
            room, needed = page.locator(".panel").evaluate("e => [e.clientHeight, e.scrollHeight]")
            assert needed <= room, f"{name}, step {step}: {needed} px of {room}"
            press(page, "ArrowRight")
    page.close()


def test_the_tally_stays_in_the_tab(opened: Page) -> None:
    press(opened, "4")
    kept = opened.evaluate("Object.entries(sessionStorage)")
    (stored,) = [json.loads(value) for key, value in kept if key.startswith("plane3d lesson")]
    assert stored == {"hands": {"0": [4, 0, 0, 0]}, "right": {}}
