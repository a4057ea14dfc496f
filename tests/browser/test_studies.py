"""The studies in a real browser: every part, progress and cancelling, keyboard, address, sizes, Spanish, print."""

from __future__ import annotations

import re
import statistics
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from apps.link import encode
from apps.studies_html import signed
from plane3d.drills import CAUTIONS
from plane3d.lesson import scenarios_folder
from plane3d.play import play
from plane3d.scenario import load
from plane3d.study import remedy, spread, target, versus
from plane3d.words import sentence
from tests.browser.conftest import Watch

pytestmark = pytest.mark.browser

ONE_INCH = load(scenarios_folder() / "01-one-inch-under.toml")
MATCHED = load(scenarios_folder() / "08-matched-swing.toml")
PARTS = {"spread": "Spread", "remedy": "What would fix it", "target": "What to aim for", "versus": "Two hitters",
         "sheet": "Practice sheet"}  # fmt: skip
FRESH = """(part) => {
  const { documentElement: page } = document
  return page.dataset.part === part && !page.hasAttribute("data-stale")
}"""
LONG = 60_000  # ms; a study on a loaded machine is no failure
# Moves a slider of the page by one step; gives the milliseconds until the stage shows it.
MOVE = """() => new Promise((done) => {
  const find = (root, selector) => root.querySelector(selector) ?? [...root.querySelectorAll("*")]
    .reduce((hit, part) => hit ?? (part.shadowRoot && find(part.shadowRoot, selector)), null)
  const stage = find(document, ".stage-root"), before = stage.dataset.scene, start = performance.now()
  const watch = new MutationObserver(() => {
    if (stage.dataset.scene !== before) { watch.disconnect(); done(performance.now() - start) }
  })
  watch.observe(stage, { attributes: true })
  const key = (window.up = !window.up) ? "ArrowRight" : "ArrowLeft"
  const slider = find(document, '[data-key="swing.below_line_in"] input[type=range]')
  slider.dispatchEvent(new KeyboardEvent("keydown", { key }))
})"""


@pytest.fixture(scope="module")
def studies(visited: Page, address: str) -> Page:
    """The studies, reached from the start page."""
    visited.goto(address)
    visited.locator(".stage-root[data-frame]").first.wait_for()
    visited.get_by_role("link", name="Studies").click()
    answered(visited, "spread")
    return visited


@pytest.fixture
def page(studies: Page, watch: Watch) -> Page:
    """The page of the visit as the test before left it, with what is asked as it was."""
    return studies


def turn_to(page: Page, part: str) -> None:
    """Turn to a part by its tab."""
    page.get_by_role("tab", name=PARTS[part]).click()
    answered(page, part)


def answered(page: Page, part: str) -> None:
    """Wait until a part shows the answer to what is asked."""
    page.wait_for_function(FRESH, arg=part, timeout=LONG)


TRIES = 100  # tenths of a second a figure may take to be drawn anew


def headline(page: Page) -> Locator:
    return page.locator(".headline")


def shown(page: Page, part: str) -> Locator:
    return page.locator(f'.part[data-name="{part}"]')


def drawn(page: Page, part: str) -> None:
    """Every figure of a part has its drawing and its words. A figure is drawn anew when letters change their size."""
    for figure in shown(page, part).locator("[data-figure]").all():
        expect(figure.locator("canvas").first).to_be_visible()
        for _ in range(TRIES):
            box = figure.locator("canvas").first.bounding_box()
            if box is not None and min(box["width"], box["height"]) > 100:
                break
            page.wait_for_timeout(100)
        else:
            raise AssertionError(f"a figure of {part} is not drawn: {box}")
        assert len(figure.get_attribute("aria-label") or "") > 40
        assert figure.get_attribute("role") == "img"


def test_the_start_page_leads_here_with_its_scenario(page: Page) -> None:
    expect(page.locator(".single")).to_have_text(sentence(play(ONE_INCH.to_inputs()).result))
    link = page.locator("a.stage").get_attribute("href")
    assert link == f"/#s={encode(ONE_INCH)}"


def test_spread(page: Page) -> None:
    page.get_by_label("Swings", exact=True).select_option("1000")
    found = spread.run(ONE_INCH, plays=1000)
    assert found is not None
    expect(headline(page)).to_have_text(spread.headline(found))
    answered(page, "spread")
    rows = [*spread.outcome_rows(found), *spread.contact_rows(found)]
    assert shown(page, "spread").locator("td").all_text_contents() == [signed(words) for _, words in rows]
    drawn(page, "spread")


def test_a_slider_is_answered_and_given_back(page: Page) -> None:
    turn_to(page, "spread")
    before = headline(page).inner_text()
    timing = page.locator('.row[data-key="timing_ms"]')
    expect(timing.get_by_text("typical of the level")).to_be_visible()
    timing.get_by_role("textbox").fill("2")
    timing.get_by_role("textbox").press("Enter")
    expect(headline(page)).not_to_have_text(before)
    answered(page, "spread")
    expect(timing.get_by_text("typical of the level")).to_be_hidden()
    page.get_by_role("button", name="Back to typical").click()
    expect(headline(page)).to_have_text(before)
    answered(page, "spread")
    timing.get_by_role("textbox").fill("400")
    timing.get_by_role("textbox").press("Enter")
    expect(headline(page)).to_have_text("Scatter of timing = 400 must be a number from 0 to 40 ms.")


def test_target(page: Page) -> None:
    turn_to(page, "target")
    found = target.run(ONE_INCH)
    expect(headline(page)).to_have_text(target.headline(found))
    expect(shown(page, "target").locator(".why")).to_have_text(target.why(found))
    safe = signed(f"{100 * found.target.safe[0].mean():.0f} %")
    expect(shown(page, "target").locator("tbody tr").first.locator("td").nth(2)).to_have_text(safe)
    drawn(page, "target")


def test_two_hitters(page: Page, tmp_path: Path) -> None:
    turn_to(page, "versus")
    found = versus.run(ONE_INCH, MATCHED)
    assert found is not None
    expect(headline(page)).to_have_text(versus.headline(found))
    expect(shown(page, "versus").locator(".key")).to_contain_text("Second: The matched swing")
    drawn(page, "versus")
    page.get_by_label("Pitches").select_option(label="A mixed afternoon")
    expect(shown(page, "versus").locator("details")).to_contain_text("Slider on the first-base side", timeout=LONG)
    places = (scenarios_folder() / "pitches" / "nine-places.toml").read_text(encoding="utf-8")
    (tmp_path / "two.toml").write_text("[[pitch]]".join(places.split("[[pitch]]")[:3]), encoding="utf-8")
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Open a pitch set").click()
    chooser.value.set_files(tmp_path / "two.toml")
    expect(page.get_by_label("Pitches")).to_have_value("own")
    expect(shown(page, "versus").locator("details")).to_contain_text("to a right-handed hitter", timeout=LONG)


def test_the_sheet_is_read_printed_and_saved(page: Page) -> None:
    turn_to(page, "sheet")
    sheet = shown(page, "sheet")
    expect(sheet.locator(".caution")).to_be_visible()
    for line in CAUTIONS:
        expect(sheet).to_contain_text(line)
    assert sheet.locator("h2").all_text_contents().index("Before anybody swings") < sheet.locator(
        "h2"
    ).all_text_contents().index("Three drills")
    with page.expect_download() as download:
        page.get_by_role("button", name="Save as a file").click()
    assert download.value.suggested_filename == "practice-one-inch-under.md"
    assert download.value.path().read_text(encoding="utf-8").startswith("# Practice sheet: One inch under")
    pages = len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4", margin={"top": "12mm", "bottom": "12mm"})))
    assert pages in (1, 2)
    page.emulate_media(media="print")
    expect(page.locator(".tabs")).to_be_hidden()
    expect(sheet.locator("h1")).to_be_visible()
    page.emulate_media(media="screen")


def test_tabs_by_keyboard(page: Page) -> None:
    turn_to(page, "remedy")
    names = list(PARTS)
    page.get_by_role("tab", name=PARTS["remedy"]).focus()
    for key, part in (("ArrowRight", "target"), ("ArrowLeft", "remedy"), ("End", "sheet"), ("ArrowRight", "spread")):
        page.keyboard.press(key)
        tab = page.get_by_role("tab", name=PARTS[part])
        expect(tab).to_be_focused()
        expect(tab).to_have_attribute("aria-selected", "true")
        answered(page, part)
        expect(page.get_by_role("tabpanel", name=PARTS[part])).to_be_visible()
    expect(page.locator(".part:visible")).to_have_count(1)
    assert page.locator('[role=tab][tabindex="0"]').count() == 1 and len(names) == page.get_by_role("tab").count()


def test_an_address_followed_while_the_page_writes_its_own(page: Page) -> None:
    """As when a link is followed within the third of a second in which a change gets into the address."""
    turn_to(page, "spread")
    page.evaluate("""() => {
      const own = location.href, said = new URLSearchParams(location.hash.slice(1))
      said.set("part", "target")
      location.hash = said
      history.replaceState(null, "", own)
    }""")
    answered(page, "target")


def test_progress_and_cancel(page: Page) -> None:
    turn_to(page, "spread")
    page.get_by_label("Swings", exact=True).select_option("100000")
    bar = page.get_by_role("progressbar")
    expect(bar).to_be_visible()
    page.wait_for_function("(bar) => Number(bar.ariaValueNow ?? bar.getAttribute('aria-valuenow')) > 0",
                           arg=bar.element_handle())  # fmt: skip
    page.get_by_role("button", name="Cancel").click()
    expect(bar).to_be_hidden()
    expect(headline(page)).to_contain_text("Cancelled")
    page.get_by_label("Swings", exact=True).select_option("1000")
    answered(page, "spread")
    expect(headline(page)).to_contain_text("Of 1,000 swings")


def test_other_pages_stay_usable(page: Page, address: str, watch: Watch, context: BrowserContext) -> None:
    """A slider of another session is answered while a long study runs; how fast is printed, not asserted."""
    other = context.new_page()
    watch.follow(other)
    other.goto(address)
    other.locator(".stage-root[data-frame]").first.wait_for()
    quiet = [other.evaluate(MOVE) for _ in range(5)]
    turn_to(page, "spread")
    page.get_by_label("Swings", exact=True).select_option("100000")
    expect(page.get_by_role("progressbar")).to_be_visible()
    busy = [other.evaluate(MOVE) for _ in range(5)]
    assert page.evaluate("document.documentElement.hasAttribute('data-stale')"), "the study was over too soon to tell"
    print(
        f"slider to picture: {statistics.median(quiet):.0f} ms at rest, {statistics.median(busy):.0f} ms beside a study"
    )
    page.get_by_role("button", name="Cancel").click()
    page.get_by_label("Swings", exact=True).select_option("1000")
    expect(headline(page)).to_contain_text("Of 1,000 swings")


def test_the_address_brings_the_same_numbers_back_in_any_theme_and_units(page: Page) -> None:
    turn_to(page, "spread")
    page.get_by_role("button", name="New seed").click()
    page.get_by_role("textbox", name="Scatter of barrel height").fill("0.4")
    page.get_by_role("textbox", name="Scatter of barrel height").press("Enter")
    page.wait_for_function("() => location.hash.includes('height_in=0.4')")
    answered(page, "spread")
    cells = shown(page, "spread").locator("td").all_text_contents()
    seed = page.get_by_label("Seed", exact=True).input_value()
    page.emulate_media(color_scheme="dark")
    page.reload()
    answered(page, "spread")
    assert page.get_by_label("Seed", exact=True).input_value() == seed
    assert shown(page, "spread").locator("td").all_text_contents() == cells
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    page.get_by_label("Units").select_option("metric")
    expect(shown(page, "spread")).to_contain_text("km/h")
    expect(page.locator('.row[data-key="height_in"] .value')).to_contain_text("cm")
    page.get_by_label("Units").select_option("us")
    expect(shown(page, "spread")).to_contain_text("mph")


def test_remedies_and_where_they_lead(page: Page) -> None:
    """The last one, since it leaves the studies."""
    turn_to(page, "remedy")
    found = remedy.run(ONE_INCH, remedy.goal("line-drive", "middle"))
    expect(headline(page)).to_have_text(remedy.headline(found))
    assert page.locator("li[data-key] b").all_text_contents() == [remedy.cue(one) for one in found.remedies]
    expect(page.get_by_text("not by this alone")).to_have_count(len(found.hopeless))
    page.get_by_label("A line drive").uncheck()
    expect(headline(page)).to_contain_text("tick one")
    page.get_by_label("A fly ball").check()
    page.get_by_label("Where to").select_option("anywhere")
    expect(headline(page)).to_have_text("This ball already is a fly ball.")
    page.get_by_label("A fly ball").uncheck()
    page.get_by_label("A line drive").check()
    page.get_by_label("Where to").select_option("middle")
    page.get_by_role("link", name=f"Show: {remedy.cue(found.remedies[0])}").click()
    page.locator(".stage-root[data-frame]").first.wait_for()
    expect(page.locator(".result")).to_have_text(sentence(found.remedies[0].result))
