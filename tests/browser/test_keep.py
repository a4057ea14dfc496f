"""Keeping in a real browser: files, drag and drop, steps back and forth, links, reload, two tabs, theme and units."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from apps.link import encode
from plane3d.lesson import load_lesson, scenarios_folder
from plane3d.scenario import Scenario, load, loads
from tests.browser.conftest import LAPTOP, SIZES, Watch

pytestmark = pytest.mark.browser

ONE_INCH = load(scenarios_folder() / "01-one-inch-under.toml")
OWN = ONE_INCH.with_values({"title": "Mine", "swing.below_line_in": 2.2, "swing.attack_angle_deg": 10})
WRONG = 'format = 1\ntitle = "x"\n[swing]\ntiming_ms = 99\nbat_spede_mph = 70\n'

# Drops files, given by name and text, somewhere on the page.
DROP = """(place, files) => {
  const dataTransfer = new DataTransfer()
  for (const [name, text] of files) dataTransfer.items.add(new File([text], name))
  for (const what of ["dragenter", "dragover", "drop"]) {
    place.dispatchEvent(new DragEvent(what, { bubbles: true, composed: true, cancelable: true, dataTransfer }))
  }
}"""


@pytest.fixture(scope="module")
def page(visited: Page, address: str) -> Page:
    """One visit for all tests that need neither a new session nor a reload."""
    return show(visited, address)


@pytest.fixture
def opened(page: Page, watch: Watch) -> Iterator[Page]:
    """The page on its first scenario, with the menu closed."""
    page.set_viewport_size(LAPTOP)
    page.get_by_label("Scenario", exact=True).select_option(label="One inch under")
    expect(number(page, BELOW)).to_have_value("1")
    expect(page.get_by_role("button", name="Start again")).to_be_disabled()
    yield settled(page)
    button = page.get_by_role("button", name="Menu")
    if button.get_attribute("aria-expanded") == "true":
        button.click()


def show(page: Page, address: str) -> Page:
    """A page with its first picture drawn and its answers there."""
    page.goto(address)
    return settled(page)


def settled(page: Page) -> Page:
    page.locator(".stage-root[data-frame]").wait_for(timeout=20_000)
    expect(page.locator(".numbers .window")).not_to_contain_text("…")
    return page


def menu(page: Page) -> Locator:
    button = page.get_by_role("button", name="Menu")
    if button.get_attribute("aria-expanded") == "false":
        button.click()
    return page.get_by_role("region", name="Menu")


def words_of(page: Page) -> Locator:
    """The menu with the fields of the title and the words unfolded."""
    fold = menu(page).locator("details", has_text="Title and words")
    if fold.get_attribute("open") is None:
        fold.locator("summary").click()
    return fold


def number(page: Page, key: str) -> Locator:
    return page.locator(f'.row[data-key="{key}"]').get_by_role("textbox")


def give(page: Page, key: str, words: str) -> None:
    number(page, key).fill(words)
    number(page, key).press("Enter")


def drop(page: Page, *files: tuple[str, str]) -> None:
    page.locator("#stage").evaluate(DROP, [list(file) for file in files])


def answers(page: Page) -> str:
    """All numbers shown, once the slower ones are there."""
    expect(page.locator(".numbers .window")).not_to_contain_text("…")
    return page.locator(".numbers").inner_text()


def linked(page: Page, wanted: Scenario) -> str:
    """The address's scenario, once it is the wanted one."""
    link = encode(wanted)
    page.wait_for_function("(link) => location.hash === `#s=${link}`", arg=link)
    return link


BELOW = "swing.below_line_in"


def test_saved_and_opened_again(opened: Page, tmp_path: Path) -> None:
    give(opened, BELOW, "2.3")
    words_of(opened).get_by_label("Title", exact=True).fill("Mine at last")
    words_of(opened).get_by_label("What to notice").fill("First line.\nSecond line.")
    with opened.expect_download() as download:
        menu(opened).get_by_role("button", name="Save as a file").click()
    expect(number(opened, BELOW)).to_have_value("2.3")
    before = answers(opened)
    assert download.value.suggested_filename == "mine-at-last.toml"
    path = tmp_path / "saved.toml"
    download.value.save_as(path)
    saved = load(path)
    assert (saved.title, saved.notice, saved.swing.below_line_in) == ("Mine at last", "First line.\nSecond line.", 2.3)
    opened.get_by_label("Scenario", exact=True).select_option(label="Four inches under")
    expect(number(opened, BELOW)).to_have_value("4")
    menu(opened).locator("input[type=file]").set_input_files(path)
    expect(number(opened, BELOW)).to_have_value("2.3")
    expect(opened.get_by_label("Scenario", exact=True).locator("option:checked")).to_have_text("Mine at last")
    assert answers(opened) == before


def test_files_dropped_on_the_page(opened: Page) -> None:
    drop(opened, ("mine.toml", OWN.to_toml()))
    expect(number(opened, BELOW)).to_have_value("2.2")
    expect(opened.locator("html")).not_to_have_class("dropping")
    drop(opened, ("bad.toml", WRONG), ("notes.txt", "hello"), ("huge.toml", "#" * 1_000_001))
    box = opened.get_by_role("alert").filter(has_text="This could not be used")
    expect(box.get_by_role("listitem")).to_have_count(4)
    expect(box).to_contain_text("bad.toml:4: swing.timing_ms = 99 must be a number from -60 to 60 ms")
    expect(box).to_contain_text("bad.toml:5: swing.bat_spede_mph = 70 is not a known key; did you mean")
    expect(box).to_contain_text("huge.toml: is too large")
    expect(number(opened, BELOW)).to_have_value("2.2")
    box.get_by_role("button", name="Close").click()
    expect(box).to_be_hidden()
    give(opened, BELOW, "1.5")
    expect(opened.locator(".result")).to_contain_text("1.5 in below the line")


def test_a_half_written_number_has_its_own_undo(opened: Page) -> None:
    give(opened, BELOW, "2")
    field = number(opened, "swing.attack_angle_deg")
    field.click()
    field.press_sequentially("7")
    opened.keyboard.press("Control+z")
    expect(field).to_have_value("12")
    expect(number(opened, BELOW)).to_have_value("2")


def test_an_answer_does_not_overwrite_what_is_being_typed(opened: Page) -> None:
    give(opened, BELOW, "2")
    number(opened, "pitch.speed_mph").fill("7")  # while the answer is on its way
    expect(opened.locator(".result")).to_contain_text("2.0 in below the line")
    opened.keyboard.type("1.3")
    opened.keyboard.press("Enter")
    expect(number(opened, "pitch.speed_mph")).to_have_value("71.3")
    linked(opened, ONE_INCH.with_values({BELOW: 2, "pitch.speed_mph": 71.3}))


def test_one_drag_is_one_step(opened: Page) -> None:
    picture = opened.locator(".stage-root")
    slider = opened.locator(f'.row[data-key="{BELOW}"]').get_by_role("slider")
    place = slider.bounding_box()
    assert place is not None
    middle = place["y"] + place["height"] / 2
    opened.mouse.move(place["x"] + place["width"] * 0.6, middle)
    opened.mouse.down()
    for share in (0.65, 0.7, 0.75, 0.8):
        before = picture.get_attribute("data-scene") or ""
        opened.mouse.move(place["x"] + place["width"] * share, middle)
        expect(picture).not_to_have_attribute("data-scene", before)
    opened.mouse.up()
    expect(number(opened, BELOW)).not_to_have_value("1")
    opened.get_by_role("button", name="Undo").click()
    expect(number(opened, BELOW)).to_have_value("1")
    expect(opened.get_by_role("button", name="Start again")).to_be_disabled()


def test_a_link_made_at_any_size_gives_the_same_answers(opened: Page, watch: Watch) -> None:
    other = opened.context.new_page()
    watch.follow(other)
    opened.context.grant_permissions(["clipboard-read", "clipboard-write"])
    for size, below in zip(SIZES, ("0.7", "0.8", "0.9"), strict=True):
        width, height = SIZES[size]
        opened.bring_to_front()
        opened.set_viewport_size({"width": width, "height": height})
        copied = copied_link(opened, below)
        other.bring_to_front()
        show(other, copied)  # the second and third come to a page that is open
        expect(number(other, BELOW)).to_have_value(below)
        expect(other.get_by_text("Opened from a link.")).to_be_visible()
        assert answers(other) == answers(opened), size
        assert other.evaluate("document.documentElement.scrollWidth") <= SIZES["laptop"][0]
    other.close()


def copied_link(page: Page, below: str) -> str:
    """The link of a pitch of 71.3 mph and a barrel so far below the line, from the menu and the clipboard."""
    entries = page.evaluate("history.length")
    give(page, BELOW, below)
    give(page, "pitch.speed_mph", "71.3")
    expect(page.locator(".result")).to_contain_text(f"{below} in below the line")
    link = linked(page, ONE_INCH.with_values({BELOW: float(below), "pitch.speed_mph": 71.3}))
    assert page.evaluate("history.length") == entries
    menu(page).get_by_role("button", name="Copy link").click()
    expect(menu(page).get_by_role("status")).to_contain_text("Link copied")
    copied: str = page.evaluate("navigator.clipboard.readText()")
    assert copied.endswith(f"/#s={link}")
    return copied


def test_links_that_come_to_the_page(fresh: Page, address: str) -> None:
    """A wrong one is said and the page works; words in one are never more than words; a good one is taken."""
    page = show(fresh, f"{address}#s=rubbish")
    check_wrong_link(page, "2")
    for below, link in {"2.1": "1AAAA", "2.2": encode(ONE_INCH)[:-5], "2.3": "1" + "A" * 9000}.items():
        follow(page, link)
        check_wrong_link(page, below)
    words = "<img src=x onerror=document.title='taken'></script><b>"
    follow(page, encode(ONE_INCH.with_values({"title": words, "question": words, "notice": words})))
    expect(page.locator(".question")).to_have_text(words)
    expect(page.get_by_label("Scenario", exact=True).locator("option:checked")).to_have_text(words)
    assert page.title() == "plane3d"
    follow(page, encode(OWN))
    expect(number(page, BELOW)).to_have_value("2.2")


def follow(page: Page, link: str) -> None:
    """Open another link in the same tab."""
    page.evaluate("(link) => { location.hash = `#s=${link}` }", link)


def check_wrong_link(page: Page, below: str) -> None:
    box = page.get_by_role("alert").filter(has_text="This could not be used")
    expect(box.get_by_role("listitem")).to_have_count(1)
    give(page, BELOW, below)
    expect(page.locator(".result")).to_contain_text(f"{float(below):.1f} in below the line")
    expect(box).to_be_hidden()


def test_a_reload_loses_nothing(fresh: Page, address: str) -> None:
    opened = show(fresh, address)
    drop(opened, ("mine.toml", OWN.to_toml()))
    expect(number(opened, BELOW)).to_have_value("2.2")
    menu(opened).get_by_role("button", name="Add this scenario").click()
    expect(menu(opened).get_by_role("button", name="Mine", exact=True)).to_be_visible()
    menu(opened).get_by_label("How sure?").check()
    give(opened, BELOW, "2.9")
    expect(opened.locator(".result")).to_contain_text("2.9 in below the line")
    sure = opened.locator("p.range:not(.old)")  # the old one stays, paler, until the new one is there
    expect(sure).to_contain_text("Give or take")
    before, words = answers(opened), sure.inner_text()
    opened.reload()  # at once: what was not written yet is written on leaving
    settled(opened)
    expect(opened.get_by_text("Restored your work.")).to_be_visible()
    expect(number(opened, BELOW)).to_have_value("2.9")
    assert answers(opened) == before
    expect(sure).to_have_text(words)
    expect(menu(opened).get_by_role("button", name="Mine", exact=True)).to_be_visible()
    opened.get_by_role("button", name="Start again").click()
    expect(number(opened, BELOW)).to_have_value("2.2")
    opened.get_by_role("button", name="Undo").click()
    expect(number(opened, BELOW)).to_have_value("2.9")
    opened.get_by_role("button", name="Undo").click()
    expect(number(opened, BELOW)).to_have_value("1")
    expect(opened.get_by_role("button", name="Start again")).to_be_disabled()


def test_two_tabs_share_nothing_and_each_has_its_own_undo(opened: Page, address: str, watch: Watch) -> None:
    other = opened.context.new_page()
    watch.follow(other)
    show(other, address)
    opened.bring_to_front()
    give(opened, BELOW, "3.3")
    expect(opened.locator(".result")).to_contain_text("3.3 in below the line")
    other.bring_to_front()
    expect(other.get_by_role("button", name="Undo")).to_be_disabled()
    other.keyboard.press("Control+z")
    other.reload()  # nothing was made, nothing is restored
    settled(other)
    expect(number(other, BELOW)).to_have_value("1")
    expect(other.locator(".note")).to_be_hidden()
    assert other.evaluate("location.hash") == ""
    check_undo_and_redo(other)
    expect(number(opened, BELOW)).to_have_value("3.3")
    other.close()


def check_undo_and_redo(page: Page) -> None:
    """By keys and by buttons."""
    undo, redo = (page.get_by_role("button", name=name) for name in ("Undo", "Redo"))
    expect(undo).to_be_disabled()
    give(page, BELOW, "2")
    expect(page.locator(".result")).to_contain_text("2.0 in below the line")
    give(page, "swing.attack_angle_deg", "5")
    page.keyboard.press("Control+z")  # in a field where nothing is half written
    expect(number(page, "swing.attack_angle_deg")).to_have_value("12")
    undo.click()
    expect(number(page, BELOW)).to_have_value("1")
    expect(undo).to_be_disabled()
    redo.click()
    expect(number(page, BELOW)).to_have_value("2")
    page.keyboard.press("Control+Shift+Z")
    expect(number(page, "swing.attack_angle_deg")).to_have_value("5")
    page.keyboard.press("Control+z")
    expect(number(page, "swing.attack_angle_deg")).to_have_value("12")
    page.keyboard.press("Control+y")
    expect(number(page, "swing.attack_angle_deg")).to_have_value("5")


def test_a_lesson_is_made_with_the_keyboard_and_saved(opened: Page, tmp_path: Path) -> None:
    panel = menu(opened)
    panel.get_by_label("Title of the lesson").fill("My lesson")
    for title in ("On the line", "One inch under", "Four inches under"):
        opened.get_by_label("Scenario", exact=True).select_option(label=title)
        panel.get_by_role("button", name="Add this scenario").click()
        expect(panel.get_by_role("button", name=title, exact=True)).to_be_visible()
    up = panel.get_by_role("button", name="Move up: Four inches under")
    up.focus()
    opened.keyboard.press("Enter")
    expect(panel.locator("ol .shown").nth(1)).to_have_text("Four inches under")
    expect(up).to_be_focused()  # so that it can be moved on
    panel.get_by_role("button", name="Remove: On the line").click()
    expect(panel.locator("ol li")).to_have_count(2)
    with opened.expect_download() as download:
        panel.get_by_role("button", name="Save with its scenarios").click()
    assert download.value.suggested_filename == "lesson-my-lesson.zip"
    download.value.save_as(tmp_path / "lesson.zip")
    with zipfile.ZipFile(tmp_path / "lesson.zip") as archive:
        archive.extractall(tmp_path)
    lesson = load_lesson(tmp_path / "lesson-my-lesson.toml")
    assert [s.title for s in lesson.scenarios] == ["Four inches under", "One inch under"]
    with opened.expect_download() as download:
        panel.get_by_role("button", name="Save the lesson file alone").click()
    assert download.value.path().read_text() == (tmp_path / "lesson-my-lesson.toml").read_text()
    files = [(p.name, p.read_text()) for p in sorted(tmp_path.glob("*.toml"))]
    drop(opened, *files)
    expect(opened.get_by_label("Scenario", exact=True).locator("option:checked")).to_have_text("Four inches under")


def test_keyboard_units_and_theme_reach_everything_and_are_remembered(fresh: Page, address: str) -> None:
    page, paper = show(fresh, address), "getComputedStyle(document.body).backgroundColor"
    check_the_keyboard_reaches_stage_menu_and_back(page)
    light = page.evaluate(paper)
    menu(page).get_by_label("Theme", exact=True).select_option(label="Dark")
    expect_dark(page)
    assert page.evaluate(paper) != light
    menu(page).get_by_label("Units", exact=True).select_option(label="Metric")
    expect(page.locator(".result")).to_contain_text("2.5 cm below the line")
    expect(page.locator(".strip-root")).to_contain_text("km/h")
    page.get_by_role("button", name="Menu").click()
    for fold in page.locator(".controls details").all():
        fold.evaluate("(e) => { e.open = true }")
    parts = (".result", ".stage-root .labels", ".flat-root", ".strip-root", ".numbers", ".controls .root")
    for part in parts:
        words = page.locator(part).inner_text()
        assert not re.search(r"\b(mph|ft|oz|inHg)\b|°F|[0-9] in\b|^in$", words, re.MULTILINE), (part, words)
    page.reload()
    settled(page)
    expect_dark(page)
    expect(page.locator(".result")).to_contain_text("2.5 cm below the line")


def expect_dark(page: Page) -> None:
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    expect(page.locator(".stage-root")).to_have_attribute("data-theme", "dark")


def check_the_keyboard_reaches_stage_menu_and_back(page: Page) -> None:
    """On a page where nothing has been touched yet."""
    page.keyboard.press("Tab")
    skip = page.get_by_role("link", name="Skip to the stage")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    skip.press("Enter")
    expect(page.locator("#stage")).to_be_focused()
    page.keyboard.press("Tab")
    assert page.evaluate("document.getElementById('stage').contains(document.activeElement)")
    button = page.get_by_role("button", name="Menu")
    button.focus()
    page.keyboard.press("Enter")
    expect(menu(page)).to_be_visible()
    page.keyboard.press("Tab")
    expect(menu(page).get_by_role("button", name="Save as a file")).to_be_focused()
    page.keyboard.press("Escape")
    expect(button).to_be_focused()
    expect(button).to_have_attribute("aria-expanded", "false")


def test_on_a_phone_the_stage_comes_first(opened: Page) -> None:
    opened.set_viewport_size({"width": 390, "height": 844})
    expect(opened.locator(".question")).to_be_hidden()
    picture = opened.locator(".stage-root .picture").bounding_box()
    assert picture is not None
    assert picture["y"] + picture["height"] < 844 * 0.75
    opened.get_by_text("Question and what to notice").click()
    expect(opened.locator(".question")).to_be_visible()
    words = words_of(opened)
    assert opened.evaluate("document.documentElement.scrollWidth") <= 390
    saved = loads(ONE_INCH.to_toml())
    expect(words.get_by_label("Title", exact=True)).to_have_value(saved.title)
