"""The page of films: stills and a film are opened, stepped through and marked, and the marks come to a swing."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from playwright.sync_api import Browser, Page, expect

from apps.link import decode
from plane3d.measured.marks_file import NAMES, MarksFile, dumps, loads
from tests.browser.conftest import SIZES, Watch
from tests.films import ONE_INCH as SCENARIO
from tests.films import SMALL, blank, draw, filmed, marks_of

pytestmark = pytest.mark.browser
RATE, STILLS = 240.0, 46
DRAWN = (36, 37)  # frames that are real pictures; the others are grey
FILMS = filmed(RATE, size=SMALL)
WORK = marks_of(FILMS)
CODE = 6  # squares that say the number of a frame in binary
SPOT, GAP = 30, 45  # px
CANVAS = """() => {
  const seek = (root) => {
    for (const e of root.querySelectorAll("*")) {
      if (e.matches("canvas[role=application]")) return e
      const inner = e.shadowRoot && seek(e.shadowRoot)
      if (inner) return inner
    }
  }
  return seek(document)
}"""
BOX = f"() => {{ const b = ({CANVAS})().getBoundingClientRect(); return [b.x, b.y, b.width, b.height] }}"
# The colour that the middle of each square has on the screen.
READ = f"""([width, height, count, first, gap]) => {{
  const canvas = ({CANVAS})(), context = canvas.getContext("2d", {{ willReadFrequently: true }})
  const scale = Math.min(canvas.width / width, canvas.height / height)
  const at = (x, y) => [canvas.width / 2 + (x - width / 2) * scale, canvas.height / 2 + (y - height / 2) * scale]
  const bright = (k) => context.getImageData(...at(first + gap * k, first).map(Math.round), 1, 1).data[0]
  return [...Array(count).keys()].map(bright)
}}"""


@pytest.fixture(scope="module")
def stills(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Path], list[Path]]:
    """Both films as numbered pictures."""
    folder, grey = tmp_path_factory.mktemp("stills"), blank(SMALL)
    draw(folder, RATE, DRAWN)
    for place in (0, 1):
        for frame in set(range(STILLS)) - set(DRAWN):
            (folder / f"{place}-{frame}.png").write_bytes(grey)
    first, second = (sorted(folder.glob(f"{place}-*.png")) for place in (0, 1))  # not in the order of their numbers
    return first, second


def lacking(part: str) -> MarksFile:
    """The work with everything but the marks of a part of the first view in the frames that are drawn."""
    view = WORK.views[0]
    left = {frame: place for frame, place in view.marks[part].items() if frame not in DRAWN}
    return replace(WORK, views=(replace(view, known={}, marks={**view.marks, part: left}), WORK.views[1]))


def open_page(page: Page, address: str) -> Page:
    page.goto(address + "video")
    page.locator("canvas[role=application]").wait_for()
    page.get_by_text("Set the marks, then work it out.").wait_for()
    return page


def asked(page: Page, words: str) -> None:
    expect(page.locator("section.work .said")).to_contain_text(words)


def shown(page: Page, frame: int) -> None:
    page.locator(f'.root[data-frame="{frame}"]').wait_for()


def open_film(page: Page, files: Any) -> None:
    page.locator("input.files").set_input_files(files)


def give(page: Page, name: str, value: str) -> None:
    page.locator(f"section.work [name={name}]").fill(value)
    page.locator(f"section.work [name={name}]").press("Tab")


def on_screen(page: Page, pixel: Any) -> tuple[float, float]:
    """Where a pixel of the whole picture is on the screen."""
    x, y, width, height = page.evaluate(BOX)
    scale = min(width / SMALL[0], height / SMALL[1])
    return x + width / 2 + scale * (pixel[0] - SMALL[0] / 2), y + height / 2 + scale * (pixel[1] - SMALL[1] / 2)


def saved(page: Page) -> MarksFile:
    with page.expect_download() as download:
        page.get_by_role("button", name="Save work").click()
    return loads(download.value.path().read_text(encoding="utf-8"))


def off(one: Any, other: Any) -> float:
    return float(np.hypot(*np.subtract(one, other)))


def test_from_stills_to_a_swing(
    page: Page, address: str, watch: Watch, stills: tuple[list[Path], list[Path]], tmp_path: Path
) -> None:
    """Work half done is opened and finished by clicks in rendered pictures; the swing is that of the scenario."""
    open_page(page, address)
    work = tmp_path / "half.marks.json"
    work.write_text(dumps(lacking("tip")), encoding="utf-8")
    page.locator("input.marks").set_input_files(work)
    asked(page, "Work opened")
    open_film(page, stills[0])
    shown(page, 0)
    page.get_by_role("tab", name="Plate").click()
    for name in NAMES:
        page.mouse.click(*on_screen(page, FILMS[0].known[name]))
    asked(page, "All points asked for are marked")
    page.get_by_role("tab", name="Swing").click()
    page.get_by_label("After a mark").select_option("same")
    page.locator(".slider").fill(str(DRAWN[0]))
    shown(page, DRAWN[0])
    expect(page.locator(".now")).to_contain_text(f"0-{DRAWN[0]}.png")
    page.keyboard.press("2")
    for frame in DRAWN:
        asked(page, f"Mark the tip in frame {frame}.")
        shown(page, frame)
        page.mouse.click(*on_screen(page, FILMS[0].marks["tip"][frame]))
    work_of = saved(page).views[0]
    assert max(off(work_of.known[name], FILMS[0].known[name]) for name in NAMES) < 0.7
    assert max(off(work_of.marks["tip"][k], FILMS[0].marks["tip"][k]) for k in DRAWN) < 0.7
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".headline").first).to_have_text(
        "Both cameras and the swing are found; its figures stand below."
    )
    speed = page.locator("section.found").get_by_role("row").filter(has_text="Bat speed").first.inner_text()
    assert abs(float(speed.split("\t")[-1].split()[0]) - SCENARIO.swing.bat_speed_mph) < 4.0, speed
    assert not any(b"PNG" in (f if isinstance(f, bytes) else f.encode()) for f in watch.sent), "a picture went out"
    page.reload()
    page.get_by_role("tab", name="Film").wait_for()
    assert saved(page).views[1] == replace(WORK.views[1], name="second view"), "a reload lost marks"


def test_the_example_goes_on_to_the_stage(page: Page, address: str, watch: Watch) -> None:
    open_page(page, address)
    page.get_by_role("button", name="Try an invented example").click()
    shown(page, 18)  # the first frame worth marking
    asked(page, "Mark the knob in frame 18.")
    page.get_by_role("button", name="Work it out").click()
    link = page.get_by_role("link", name="Show on the stage")
    link.wait_for()
    scenario = decode((link.get_attribute("href") or "").partition("#s=")[2])
    assert scenario.is_measured and abs(scenario.swing.bat_speed_mph - SCENARIO.swing.bat_speed_mph) < 4.0
    row = page.locator("button.miss").first
    part, frame = re.match(r"(\w+), frames (\d+)", row.inner_text()).groups()  # type: ignore[union-attr]
    row.click()
    asked(page, f"Mark the {part.lower()} in frame {frame}.")
    shown(page, int(frame))
    page.get_by_label("One view from the side").check()
    expect(page.locator(".headline").first).to_have_text("Something has changed since; work it out anew.")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".notes")).to_contain_text("One view sees nothing")
    expect(page.get_by_role("button", name="Keep in the log")).to_be_visible()
    expect(page.get_by_role("button", name="Save the scenario")).to_be_hidden()


def test_keys_undo_and_nudge(page: Page, address: str, watch: Watch, stills: tuple[list[Path], list[Path]]) -> None:
    open_page(page, address)
    open_film(page, stills[0])
    shown(page, 0)
    page.get_by_role("tab", name="Swing").click()
    page.locator("canvas[role=application]").focus()
    for key, frame in (("Shift+ArrowRight", 10), ("ArrowRight", 11), ("ArrowLeft", 10), ("Shift+ArrowLeft", 0)):
        page.keyboard.press(key)
        shown(page, frame)
    page.mouse.click(*on_screen(page, (100.0, 60.0)))
    asked(page, "Mark the tip in frame 0.")
    page.keyboard.press("Alt+ArrowRight")
    page.keyboard.press("Alt+Shift+ArrowDown")
    x, y = saved(page).views[0].marks["knob"][0]
    assert off((x, y), (101.0, 70.0)) < 0.7
    page.locator("canvas[role=application]").focus()
    page.keyboard.press("Backspace")  # the moves are one step
    assert off(saved(page).views[0].marks["knob"][0], (100.0, 60.0)) < 0.7
    page.locator("canvas[role=application]").focus()
    page.keyboard.press("Control+z")
    asked(page, "Mark the knob in frame 0.")
    assert saved(page).views[0].marks["knob"] == {}
    page.locator("canvas[role=application]").focus()
    page.keyboard.press("Control+y")
    page.keyboard.press("2")
    page.keyboard.press(" ")
    asked(page, "Mark the ball in frame 0.")
    page.keyboard.press("Enter")
    asked(page, "Mark the knob in frame 1.")
    shown(page, 1)
    marks = saved(page).views[0].marks
    assert (
        off(marks["knob"][0], (100.0, 60.0)) < 0.7 and not marks.get("tip") and off(marks["ball"][0], (320, 180)) < 0.7
    )


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film of 50 frames, each with its number in squares, at 25 frames a second."""
    path = tmp_path_factory.mktemp("film") / "numbered.webm"
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter_fourcc(*"VP80"), 25.0, (320, 240))
    if not writer.isOpened():
        pytest.skip("this build of OpenCV writes no VP8")
    for frame in range(50):
        picture = np.full((240, 320, 3), 60, np.uint8)
        for k in range(CODE):
            if frame >> k & 1:
                picture[15:45, 15 + GAP * k : 45 + GAP * k] = 255
        writer.write(picture)
    writer.release()
    return path


def test_what_is_no_film_is_one_sentence_and_a_film_still_opens(
    page: Page, address: str, watch: Watch, film: Path, tmp_path: Path
) -> None:
    open_page(page, address)
    cases: dict[str, tuple[bytes, str]] = {
        "words.mp4": (b"no film at all " * 50, "words.mp4 is no film that this browser can show."),
        "packed.mp4": (b"PK\x03\x04" + bytes(500), "packed.mp4 is no film that this browser can show."),
        "head.webm": (film.read_bytes()[:200], "head.webm is no film that this browser can show."),
        "one.png": (blank(SMALL), "One picture is no film"),
        "broken.marks.json": (
            b'{"plane3d_marks": 1, "views"',
            "broken.marks.json:1: is no file of marks, or cut short",
        ),
    }
    for name, (data, said) in cases.items():
        path = tmp_path / name
        path.write_bytes(data)
        page.locator("input.marks" if name.endswith("json") else "input.files").set_input_files(path)
        asked(page, said)
    bad = tmp_path / "two.png"
    bad.write_bytes(b"no picture")
    open_film(page, [tmp_path / "one.png", bad])
    shown(page, 0)
    page.locator(".slider").fill("1")
    asked(page, "two.png is no picture that this browser can show.")
    a_film_shows_exactly_the_frame_asked_for(page, film)


def a_film_shows_exactly_the_frame_asked_for(page: Page, film: Path) -> None:
    open_film(page, film)
    expect(page.locator(".now")).to_contain_text("of 0 to 49")
    expect(page.locator("section.work [name=fileRate]")).to_have_value("25")
    page.get_by_role("button", name="As the file plays").click()
    expect(page.locator("section.work [name=rate_hz]")).to_have_value("25")
    for frame in (*range(1, 12), 49, 30, 29, 28, 0):
        page.locator(".slider").fill(str(frame))
        shown(page, frame)
        page.wait_for_function(
            "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))"
        )
        squares = page.evaluate(READ, [320, 240, CODE, SPOT, GAP])
        assert sum((bright > 150) << k for k, bright in enumerate(squares)) == frame


def test_by_finger_on_a_phone_in_spanish(
    chromium: Browser, address: str, watch: Watch, stills: tuple[list[Path], list[Path]]
) -> None:
    width, height = SIZES["phone"]
    window = chromium.new_context(viewport={"width": width, "height": height}, has_touch=True, locale="es-MX")
    page = window.new_page()
    watch.follow(page)
    page.goto(address + "video")
    page.locator("input.files").wait_for(state="attached")
    open_film(page, stills[0])
    shown(page, 0)
    page.locator("[data-step=plate]").click()
    page.locator("canvas[role=application]").scroll_into_view_if_needed()
    before = page.locator("section.work .said").inner_text()
    page.touchscreen.tap(*on_screen(page, FILMS[0].known["rear"]))
    expect(page.locator("section.work .said")).not_to_have_text(before)
    expect(page.locator(".plan .marked")).to_have_count(1)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    window.close()
