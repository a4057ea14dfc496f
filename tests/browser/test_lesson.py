"""Lesson mode in a real browser: every key, the tally, the countdown, the reveal, and type for the back of a gym."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

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


@pytest.fixture(scope="module")
def page(visited: Page, address: str) -> Page:
    """One visit for all tests that count no hands."""
    return open_lesson(visited, address)


@pytest.fixture
def opened(page: Page, watch: Watch) -> Iterator[Page]:
    """The lesson at its first question."""
    yield page
    page.emulate_media(reduced_motion="reduce")
    if answer(page).is_visible():
        press(page, "r")
    expect(answer(page)).to_be_hidden()
    press(page, *["ArrowLeft"] * len(STEPS))
    expect(count(page)).to_have_text("1 of 3")


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


def test_forth_and_back(opened: Page) -> None:
    expect(count(opened)).to_have_text("1 of 3")
    for forth, back in (("ArrowRight", "ArrowLeft"), ("PageDown", "PageUp"), ("Space", "PageUp")):
        press(opened, back)  # nothing before the first
        press(opened, forth)
        expect(count(opened)).to_have_text("2 of 3")
        expect(opened.locator(".question")).to_contain_text("ten-milliseconds-late?")
        press(opened, back)
        expect(count(opened)).to_have_text("1 of 3")
        assert opened.url.endswith("step=1")


def test_play_stops_before_contact_and_the_answer_plays_through_it(opened: Page) -> None:
    end = float(stage(opened).get_attribute("data-clock") or 0)
    press(opened, "p")
    expect(stage(opened)).to_have_attribute("data-playing", "true")
    assert float(stage(opened).get_attribute("data-clock") or 0) < end
    press(opened, "p")
    expect(stage(opened)).to_have_attribute("data-playing", "false")
    opened.emulate_media(reduced_motion="no-preference")
    reveal(opened)
    opened.wait_for_function(
        "([stage, time]) => Number(stage.dataset.clock) > time && stage.dataset.playing === 'true'",
        arg=[stage(opened).element_handle(), end + 0.015],  # the question stops 12 ms short of contact
        timeout=60_000,
    )


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


def test_answer_help_hands_sliders_and_leaving(fresh: Page, address: str, watch: Watch) -> None:
    before = len(watch.received)
    opened = open_lesson(fresh, address)
    check_question_and_answer(opened, watch.received[before:])
    check_help(opened)
    check_buttons_count_hands(opened)
    check_sliders(opened)
    press(opened, "Escape")  # from the sliders first
    expect(opened.locator("section.sliders")).to_be_hidden()
    press(opened, "Escape")
    opened.wait_for_url("**/")
    opened.locator(".stage-root[data-frame]").wait_for(timeout=20_000)


def check_question_and_answer(opened: Page, heard: list[Any]) -> None:
    """The question hides the answer, also on the line; a key shows it, at rest for who wants no motion."""
    labels = stage(opened).locator(".labels span")
    expect(labels.get_by_text("Pitch line")).to_have_count(1)
    expect(labels.get_by_text("Batted ball")).to_have_count(0)
    expect(labels.get_by_text("below the line")).to_have_count(0)
    expect(answer(opened)).to_be_hidden()
    sent = "".join(frame if isinstance(frame, str) else "" for frame in heard)
    assert sent
    assert "A fly ball" not in sent and "off the bat" not in sent and "below the line:" not in sent
    reveal(opened)
    expect(opened.locator(".result")).to_contain_text("The barrel is 1.0 in below the line: a fly ball")
    expect(opened.locator(".choices .right")).to_contain_text("fly-ball")
    expect(labels.get_by_text("Batted ball")).to_have_count(1)
    expect(opened.locator(".spoken")).to_contain_text("Answer: C. fly-ball. The barrel is 1.0 in below the line")
    opened.wait_for_timeout(500)
    assert stage(opened).get_attribute("data-playing") == "false"
    press(opened, "r")
    expect(answer(opened)).to_be_hidden()
    expect(labels.get_by_text("Batted ball")).to_have_count(0)
    for key in ("b", "."):  # the blank-screen button of a clicker
        press(opened, key)
        expect(answer(opened)).to_be_visible()
        press(opened, key)
        expect(answer(opened)).to_be_hidden()


def check_help(page: Page) -> None:
    """It lists the keys."""
    dialog = page.locator("dialog")
    press(page, "?")
    expect(dialog).to_be_visible()
    for words in ("Next step", "Show the answer", "Next view", "countdown", "Full screen", "Leave the lesson"):
        expect(dialog).to_contain_text(words)
    press(page, "Escape")
    expect(dialog).to_be_hidden()
    press(page, "4", "Enter", "2")  # and the keys are the lesson's again
    expect(page.locator(".tally output").nth(1)).to_have_text("2")


def check_buttons_count_hands(page: Page) -> None:
    """As keys do, and the tally stays in the tab."""
    row = page.locator(".choices li").nth(1)
    row.hover()
    for _ in range(3):
        row.get_by_label("One more hand for B").click()
    row.get_by_label("One hand fewer for B").click()
    expect(row.locator("output")).to_have_text("4")
    kept = page.evaluate("Object.entries(sessionStorage)")
    (stored,) = [json.loads(value) for key, value in kept if key.startswith("plane3d lesson")]
    assert stored == {"hands": {"0": [4, 4, 0, 0]}, "right": {}}
    press(page, "Space")  # the click left the keys to the lesson
    expect(count(page)).to_have_text("2 of 3")
    press(page, "ArrowRight")
    expect(count(page)).to_have_text("3 of 3")


def check_sliders(page: Page) -> None:
    """They come when asked, on the third step."""
    sliders = page.locator("section.sliders")
    expect(sliders).to_be_hidden()
    expect(stage(page).locator(".bar")).to_be_hidden()
    expect(stage(page).locator(".views")).to_be_hidden()
    reveal(page)
    press(page, "h")
    expect(sliders).to_be_visible()
    expect(stage(page).locator(".bar")).to_be_visible()
    field = page.locator('[data-key="swing.below_line_in"]').get_by_role("textbox")
    field.fill("1")  # digits belong to the field while it has the focus
    field.press("Enter")
    expect(page.locator(".result")).to_contain_text(
        "With your changes: The barrel is 1.0 in below the line: a fly ball"
    )
    expect(page.locator(".tally output").first).to_have_text("")
    field.press("Escape")
    expect(sliders).to_be_hidden()
    press(page, "c")
    expect(sliders).to_be_visible()


def test_the_room_is_counted_and_reads_it_all_on_a_projector(fresh: Page, address: str) -> None:
    width, height = SIZES["projector"]
    fresh.set_viewport_size({"width": width, "height": height})
    page = open_lesson(fresh, address)
    assert len(page.evaluate(SEEN)) >= 8
    assert small(page) == []
    check_counting(page)
    check_score(page)
    assert small(page) == []
    check_second_step(page)
    page.reload()  # and all is there again
    page.locator(".stage-root[data-frame]").wait_for(timeout=20_000)
    expect(count(page)).to_have_text("2 of 3")
    expect(answer(page)).to_be_visible()
    expect(page.locator(".tally output").first).to_have_text("8")
    expect(page.locator(".ribbon svg")).to_be_visible()


def small(page: Page) -> list[Any]:
    return [[size, text] for size, text in page.evaluate(SEEN) if size < LEAST]


def check_counting(opened: Page) -> None:
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


def check_score(opened: Page) -> None:
    outputs = opened.locator(".tally output")
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


def check_second_step(page: Page) -> None:
    """No text is small with the answer, the ribbon, the countdown, the tools, the sliders and the help."""
    press(page, "ArrowLeft", "ArrowLeft")
    expect(count(page)).to_have_text("2 of 3")
    press(page, "8", "t")
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
    press(page, "Escape", "h")


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


def test_lessons_to_choose_from_each_step_fits_a_projector_and_one_all_sizes(fresh: Page, address: str) -> None:
    width, height = SIZES["projector"]
    fresh.set_viewport_size({"width": width, "height": height})
    choose_inside_the_ball(fresh, address)
    check_steps_fit(fresh, 5)
    for name, steps in (("staying-on-the-pitch", 7), ("why-an-inch-matters", 6)):
        check_steps_fit(open_lesson(fresh, f"{address}?lesson={name}"), steps)
    fresh.evaluate("() => { window.requestAnimationFrame = window.frames_again }")
    for size in SIZES:
        check_nothing_scrolls_sideways_and_the_question_is_in_sight(fresh, *SIZES[size])


def choose_inside_the_ball(page: Page, address: str) -> None:
    page.goto(f"{address}?lesson=nothing-by-this-name")
    names = page.locator(".shelf .name")
    expect(names).to_have_count(4)
    expect(names.first).to_have_text("Short")
    assert small(page) == []
    with page.expect_popup() as popup:
        page.get_by_role("link", name="Talk track to print").last.click()
    expect(popup.value.get_by_role("heading", level=1)).to_have_text("Why an inch matters")
    popup.value.close()
    press(page, "2")
    expect(page.locator(".title")).to_have_text("Inside the ball", timeout=20_000)


def check_steps_fit(page: Page, steps: int) -> None:
    """All words of each step have room with its answer; the pictures, which take time, are left out."""
    page.evaluate("() => { [window.frames_again, window.requestAnimationFrame] = [requestAnimationFrame, () => 0] }")
    for step in range(1, steps + 1):
        expect(count(page)).to_have_text(f"{step} of {steps}")
        press(page, "5", "Enter", "9")
        reveal(page)
        room, needed = page.locator(".panel").evaluate("e => [e.clientHeight, e.scrollHeight]")
        assert needed <= room, f"{page.title()}, step {step}: {needed} px of {room}"
        if step < steps:
            press(page, "ArrowRight")


def check_nothing_scrolls_sideways_and_the_question_is_in_sight(page: Page, width: int, height: int) -> None:
    press(page, "r")
    expect(answer(page)).to_be_hidden()
    page.set_viewport_size({"width": width, "height": height})
    for shown in (".question", ".choices", ".stage-root .picture"):
        expect(page.locator(shown)).to_be_in_viewport(ratio=0.95)
    reveal(page)
    page.wait_for_function("(width) => document.documentElement.scrollWidth <= width", arg=width)
    expect(page.locator(".result")).to_be_in_viewport(ratio=0.95)
    press(page, "h")
    page.wait_for_function("(width) => document.documentElement.scrollWidth <= width", arg=width)
    press(page, "h")
