"""Paper read back by another library: every word there, inside the page, and clear of every other."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pypdfium2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plane3d.answers import answer
from plane3d.drills import CAUTIONS, COMES_FIRST
from plane3d.export import views
from plane3d.export.booklet import booklet
from plane3d.export.handout import handout, paper_size
from plane3d.export.paper import MARGIN, PAPERS
from plane3d.export.subject import Subject, Wishes
from plane3d.language import speaking, tr
from plane3d.lesson import load_lesson, scenarios_folder
from plane3d.plan import Plan, plan
from plane3d.scenario import Scenario, load
from plane3d.scene.apart import Painter

PICTURES = tuple(np.full((63, 84, 3), shade, np.uint8) for shade in (90, 150, 210))
POINT = 25.4 / 72.0  # mm
TOLERANCE = 0.5  # points: the boxes of signs are rounded
ONE_INCH, MISS = "01-one-inch-under", "02-four-inches-under"


def scenario(name: str = ONE_INCH) -> Scenario:
    return load(scenarios_folder() / f"{name}.toml")


@pytest.fixture(scope="module")
def found() -> dict[str, Plan]:
    """Plans from few swings: what they find does not matter here."""
    return {name: plan(scenario(name), n=60) for name in (ONE_INCH, MISS)}


def made(subject: Subject, found: Plan, size: str = "letter") -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(handout(subject, found, PICTURES, size))


def words(page: pypdfium2.PdfPage) -> str:
    """All words of a page, with single blanks."""
    return " ".join(page.get_textpage().get_text_range().replace("\u00a0", " ").split())


def lines(page: pypdfium2.PdfPage) -> list[tuple[float, float, float, float]]:
    """Boxes (left, bottom, right, top) of pieces of lines, points from the lower left corner."""
    text = page.get_textpage()
    return [text.get_rect(n) for n in range(text.count_rects())]


def pictures(page: pypdfium2.PdfPage) -> list[tuple[float, float, float, float]]:
    return [thing.get_bounds() for thing in page.get_objects() if thing.type == pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]


def assert_nothing_clipped(document: pypdfium2.PdfDocument, numbered: bool = False) -> None:
    """Every sign and picture stands inside the margins, and no two pieces of lines, or pictures, cover each other."""
    least = MARGIN / POINT - TOLERANCE
    for page in document:
        wide, high = page.get_size()
        boxes = lines(page)
        low = least / 2 if numbered else least
        for left, bottom, right, top in [*boxes, *pictures(page)]:
            assert left >= least and right <= wide - least
            assert bottom >= low and top <= high - least
        for a, b in combinations([*boxes, *pictures(page)], 2):
            across = min(a[2], b[2]) - max(a[0], b[0])
            down = min(a[3], b[3]) - max(a[1], b[1])
            assert across <= TOLERANCE or down <= TOLERANCE, (a, b)


@pytest.mark.parametrize(("language", "metric", "size"), [("en", False, "letter"), ("es", True, "a4")])
@pytest.mark.parametrize("name", [ONE_INCH, MISS])
def test_all_of_it_stands_on_one_page(
    found: dict[str, Plan], name: str, language: str, metric: bool, size: str
) -> None:
    with speaking(language):
        subject = Subject(scenario(name), metric=metric)
        document = made(subject, found[name], size)
        page, text = document[0], words(document[0])
        assert len(document) == 1
        assert [round(edge * POINT, 1) for edge in page.get_size()] == list(PAPERS[size])
        drill, _ = found[name].drills[0]
        wanted = [subject.title, subject.sentence, *map(tr, CAUTIONS), tr(COMES_FIRST), tr(drill.cue), tr(drill.name)]
        for said in wanted:
            assert " ".join(said.split()) in text
        assert {"en": "Seed 1, 60 swings", "es": "Semilla 1, 60 swings"}[language] in text
        assert "docs/model.md" in text
    assert len(pictures(page)) == 3
    assert_nothing_clipped(document)
    pixels = np.asarray(page.render(scale=1).to_numpy())[..., :3].mean(axis=2)
    assert 0.02 < (pixels < 100).mean() < 0.25  # ink on white paper


def test_the_shares_of_the_launch_angle_add_up(found: dict[str, Plan]) -> None:
    subject = Subject(scenario())
    text, why = words(made(subject, found[ONE_INCH])[0]), subject.answer["why"]
    for name, key in (("The swing's climb", "attack_deg"), ("The undercut", "undercut_deg"), ("The rest", "rest_deg")):
        assert f"{name} {why[key]:.0f}°".replace("-", "−") in text
    assert sum(why.values()) == pytest.approx(subject.answer["collision"]["launch_angle_deg"], abs=0.01)
    assert "no launch angle to take apart" in words(made(Subject(scenario(MISS)), found[MISS])[0])


def test_same_inputs_same_bytes(found: dict[str, Plan]) -> None:
    once, again = (handout(Subject(scenario()), found[ONE_INCH], PICTURES, "a4") for _ in range(2))
    assert once == again


def test_paper_goes_with_the_units() -> None:
    assert (paper_size(Wishes(), False), paper_size(Wishes(), True)) == ("letter", "a4")
    assert paper_size(Wishes(paper="a4"), False) == "a4"


def test_a_reader_aloud_is_told_language_title_and_pictures(found: dict[str, Plan]) -> None:
    with speaking("es"):
        subject = Subject(scenario())
        data = handout(subject, found[ONE_INCH], PICTURES, "a4")
    assert b"/Lang (es)" in data
    assert pypdfium2.PdfDocument(data).get_metadata_dict()["Title"] == "Una pulgada por debajo"
    assert data.count(b"/Alt") == 3


LETTERS = st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Zl", "Zp", "Cf", "Co", "Cn"))


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    title=st.one_of(st.just("W" * 120), st.text(LETTERS, min_size=1, max_size=120)),
    notice=st.one_of(st.just("ñ° −3.5 ± ’é’ " * 71), st.text(LETTERS, max_size=1000)),
)
def test_any_words_of_a_viewer_fit(found: dict[str, Plan], title: str, notice: str) -> None:
    own = scenario().model_copy(update={"title": title, "notice": notice})
    assert_nothing_clipped(made(Subject(own, metric=True), found[ONE_INCH]))


def test_views_before_the_answer_do_not_show_the_hit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "SIZE", (480, 360))
    subject = Subject(scenario())
    with Painter() as painter:
        shown, asking = (views.three_views(subject, painter, asking) for asking in (False, True))
    red = [[(image[..., 0].astype(int) - image[..., 1] > 90).mean() for image in three] for three in (shown, asking)]
    assert all(image.shape == (360, 480, 3) for image in shown)
    assert all(0.0003 < share < 0.05 for share in red[0])  # the path of the hit
    assert all(share < 0.0002 for share in red[1])  # no more than the ball's seams


def test_signs_that_the_font_lacks_are_shown_as_boxes(found: dict[str, Plan]) -> None:
    own = scenario().model_copy(update={"title": "Ángulo ñandú – 投手"})
    assert "Ángulo ñandú – □□" in words(made(Subject(own), found[ONE_INCH])[0])


@pytest.mark.parametrize(("language", "size"), [("en", "letter"), ("es", "a4")])
def test_a_booklet_has_a_page_a_step(language: str, size: str) -> None:
    lesson = load_lesson(scenarios_folder() / "inside-the-ball.toml")
    long = replace(lesson.steps[0], question="¿Por qué? " * 100, notice="M" * 1000, say="Dígalo. " * 125)
    lesson = replace(lesson, title="T" * 120, steps=(*lesson.steps[1:3], long))
    with speaking(language):
        steps = [(Subject(step.scenario, step), answer(step), PICTURES) for step in lesson.steps]
        document = pypdfium2.PdfDocument(booklet(lesson, steps, size))
        cover = words(document[0])
        assert len(document) == 4
        assert all(cover.count(tr(caution)) == 1 for caution in CAUTIONS)
        for place, (step, (subject, found, _)) in enumerate(zip(lesson.steps, steps, strict=True), start=1):
            text = words(document[place])
            assert f"{place}. {subject.title} {place + 1}" in cover
            asked, said = text.find(tr(step.question).strip()[:60]), text.find(found.sentence[:60])
            assert 0 <= asked < said
        assert [item.get_title() for item in document.get_toc()] == [subject.title for subject, _, _ in steps]
    assert_nothing_clipped(document, numbered=True)
