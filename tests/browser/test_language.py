"""English and Spanish in a real browser: switching, what outlasts it, two languages side by side, no English left."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.browser.conftest import SIZES, Watch
from tests.catalogue import catalogue

pytestmark = pytest.mark.browser

SPANISH = "es-MX"  # what such a browser asks for
STEP = "lesson?lesson=why-an-inch-matters&step=6"  # its answer has the timing strip

# Everything a reader may come across, seen, spoken or pointed at, shadow roots included. A text that is being edited
# is a viewer's own.
SAID = """() => {
  const found = [], names = ["aria-label", "aria-valuetext", "aria-description", "title", "placeholder", "alt", "label"]
  const walk = (node) => {
    if (node.nodeType === Node.TEXT_NODE) found.push(node.textContent)
    if (["STYLE", "SCRIPT", "TITLE", "TEXTAREA"].includes(node.tagName)) return
    for (const name of names) if (node.hasAttribute?.(name)) found.push(node.getAttribute(name))
    if (node.shadowRoot) walk(node.shadowRoot)
    for (const child of node.childNodes) walk(child)
  }
  walk(document.documentElement)
  return [...new Set(found.map((words) => words.trim().replace(/\\s+/g, " ")).filter((words) => words))]
}"""


@pytest.fixture
def window(chromium: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """Opens browser windows that ask for a language."""
    opened: list[BrowserContext] = []

    def new(locale: str, size: str = "laptop") -> BrowserContext:
        width, height = SIZES[size]
        viewport = {"width": width, "height": height}
        opened.append(chromium.new_context(viewport=viewport, locale=locale, reduced_motion="reduce"))
        return opened[-1]

    yield new
    for each in opened:
        each.close()


def show(context: BrowserContext, address: str, watch: Watch) -> Page:
    """A page with its first picture drawn, or the lessons to choose from."""
    page = context.new_page()
    watch.follow(page)
    page.goto(address)
    page.locator(".stage-root[data-frame]:visible, .list li:visible").first.wait_for()
    return page


def below(page: Page) -> Locator:
    return page.locator('.row[data-key="swing.below_line_in"] .value input')


def give(page: Page, words: str) -> None:
    """Change a number of the scenario, and wait for the slower numbers too."""
    below(page).fill(words)
    below(page).press("Enter")
    expect(page.locator(".restart")).to_be_enabled()
    expect(page.locator(".numbers .window")).not_to_contain_text("…")


def speak(page: Page, language: str) -> None:
    """Choose a language in the menu."""
    page.locator("button.menu").click()
    with page.expect_navigation():
        page.locator("select.language").select_option(language)
    page.locator(".stage-root[data-frame]").wait_for()


@cache
def english_words() -> re.Pattern[str]:
    """What the catalogue has in Spanish, in English; sentences with values count too."""
    known = [(str(entry.id), str(entry.string)) for entry in catalogue("es") if entry.id and entry.string]
    spanish = {said for _, said in known}
    english = [message for message, said in known if said != message and message not in spanish]
    places = [re.compile(r"\\\{\w+\\\}").sub("(.+)", re.escape(message)) for message in english]
    return re.compile("|".join(f"(?:{place})" for place in places if re.search(r"[A-Za-z]{2}", place)), re.IGNORECASE)


def english_left(page: Page) -> list[str]:
    """What stands on a page in English although it could be in Spanish."""
    return [words for words in page.evaluate(SAID) if english_words().fullmatch(words)]


def test_a_viewers_choices_keep_the_work_and_go_along(
    window: Callable[..., BrowserContext], address: str, watch: Watch
) -> None:
    """Language and units, from page to page and back."""
    page = show(window("en-US"), address, watch)
    expect(page.locator("html")).to_have_attribute("lang", "en")
    give(page, "2.2")
    page.locator("button.menu").click()
    page.locator("select.measure").select_option("metric")
    expect(page.locator(".result")).to_contain_text("km/h")
    page.locator("select.language").select_option("es")
    expect(page.locator("html")).to_have_attribute("lang", "es")
    expect(page.locator("button.menu")).to_contain_text("Menú")
    expect(page.locator(".note")).to_contain_text("Se recuperó su trabajo.")
    expect(page.locator(".result")).to_contain_text("5.6 cm por debajo de la línea")
    expect(page.locator(".restart")).to_be_enabled()
    page.goto(address + "compare")
    expect(page.locator(".line.first .says")).to_contain_text("2.5 cm por debajo de la línea")
    page.goto(address + STEP)
    page.locator(".stage-root[data-frame]").wait_for()
    expect(page.locator(".count")).to_have_text("6 de 6")
    page.keyboard.press("r")
    expect(page.locator(".answer .result")).to_contain_text("km/h")
    page.keyboard.press("u")
    expect(page.locator(".answer .result")).to_contain_text("mph")
    page.goto(address)
    expect(page.locator("html")).to_have_attribute("lang", "es")  # the choice lasts
    page.locator(".stage-root[data-frame]").wait_for()
    expect(page.locator(".result")).to_contain_text("mph")
    expect(below(page)).to_have_value("2.2")
    speak(page, "en")
    expect(page.locator("html")).to_have_attribute("lang", "en")
    expect(page.locator(".note")).to_contain_text("Restored your work.")
    expect(below(page)).to_have_value("2.2")


def test_two_languages_side_by_side_and_words_saved_as_written(
    window: Callable[..., BrowserContext], address: str, watch: Watch
) -> None:
    spanish, english = (show(window(locale), address, watch) for locale in (SPANISH, "en-US"))
    expect(spanish.locator("#scenario option:checked")).to_have_text("Una pulgada por debajo")
    give(spanish, "2.2")
    give(english, "-1")
    expect(english.locator(".result")).to_contain_text("1.0 in above the line")
    expect(spanish.locator(".result")).to_contain_text("2.2 pulg por debajo de la línea")
    assert english_left(spanish) == []
    expect(below(spanish)).to_have_value("2.2")
    expect(english.locator("button.menu")).to_contain_text("Menu")
    spanish.locator("button.menu").click()
    expect(spanish.locator("input.title")).to_have_value("One inch under")
    spanish.get_by_text("Título y textos").click()
    spanish.locator("input.title").fill("Prueba")
    spanish.locator("input.title").press("Enter")
    with spanish.expect_download() as saved:
        spanish.get_by_role("button", name="Guardar como archivo").click()
    text = saved.value.path().read_text(encoding="utf-8")
    assert 'title = "Prueba"' in text
    assert "Where does this one go?" in text


@pytest.mark.parametrize(("name", "steps"), [("why-an-inch-matters", 6), ("inside-the-ball", 5)])
def test_spanish_answers_fit_a_projector(
    window: Callable[..., BrowserContext], address: str, watch: Watch, name: str, steps: int
) -> None:
    page = show(window(SPANISH, "projector"), f"{address}lesson?lesson={name}", watch)
    for step in range(1, steps + 1):
        expect(page.locator(".count")).to_have_text(f"{step} de {steps}")
        for key in ("5", "Enter", "9", "r"):
            page.keyboard.press(key)
        expect(page.locator(".answer")).to_be_visible()
        room, needed = page.locator(".panel").evaluate("e => [e.clientHeight, e.scrollHeight]")
        assert needed <= room, f"step {step}: {needed} px of {room}"
        page.keyboard.press("ArrowRight")


def test_settings_where_lessons_are_chosen(window: Callable[..., BrowserContext], address: str, watch: Watch) -> None:
    page = show(window("en-US"), address + "lesson", watch)
    expect(page.locator("h1")).to_have_text("Choose a lesson")
    page.get_by_label("Theme").select_option("dark")
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    page.locator("select.language").select_option("es")
    expect(page.locator("h1")).to_have_text("Elegir una lección")
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    page.goto(address + "docs/model.md")
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    expect(page.get_by_role("link", name="A la escena")).to_be_visible()
    expect(page.locator("nav.side")).to_have_attribute("lang", "es")
