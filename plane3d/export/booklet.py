"""A lesson as a booklet: a cover with the contents, then a page for each step, its question above its answer."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate
from pathlib import Path
from typing import Any

from plane3d import __version__
from plane3d.answers import Answer, answer
from plane3d.drills import CAUTIONS, COMES_FIRST
from plane3d.export.files import write_whole
from plane3d.export.handout import MADE, MODEL, SMALL, fitting, notice, paper_size, view_row
from plane3d.export.paper import QUIET, Framed, Head, Lines, Paper, Piece, Rows, Words
from plane3d.export.subject import Subject, Wishes
from plane3d.export.views import three_views
from plane3d.language import tr
from plane3d.lesson import Lesson, Step
from plane3d.prediction import LETTERS
from plane3d.scene.apart import Painter, Progress, Stopped
from plane3d.scene.render import Picture
from plane3d.talk_track import word

LARGEST = 12.0  # points


def write(
    lesson: Lesson, path: Path, looks: dict[str, Any], wishes: Wishes, painter: Painter, progress: Progress
) -> None:
    """Write the booklet of a lesson as PDF.

    looks : ``metric`` and ``figure``, as for a `Subject`
    Raises DrawingError where this machine cannot draw, Stopped where ``progress`` said stop.
    """
    metric = bool(looks.get("metric"))
    steps = []
    for place, step in enumerate(lesson.steps):
        subject = Subject(step.scenario, step, metric=metric, figure=bool(looks.get("figure")))
        steps.append((subject, answer(step, metric), three_views(subject, painter, asking=True)))
        if not progress((place + 1) / len(lesson.steps)):
            raise Stopped(tr("stopped"))
    write_whole(booklet(lesson, steps, paper_size(wishes, metric)), path)


def booklet(lesson: Lesson, steps: list[tuple[Subject, Answer, tuple[Picture, ...]]], size: str) -> bytes:
    """The booklet as PDF. steps : what each is about, its answer, and its three views; size : of the paper"""
    paper = Paper(tr(lesson.title), size, numbered=True)
    top = paper.add_page()  # before anything is measured
    steps_set = [_step(place, *step) for place, step in enumerate(steps, start=1)]
    counts = [_fit(paper, pieces) for pieces in (_cover(lesson, [0] * len(steps)), *steps_set)]
    _fit(paper, cover := _cover(lesson, [1 + before for before in accumulate(counts[:-1])]))
    paper.flow(cover, top)
    for pieces, (subject, _, _) in zip(steps_set, steps, strict=True):
        _fit(paper, pieces)
        top = paper.add_page()
        paper.pdf.start_section(subject.title)
        _room_to_write(paper, paper.flow(pieces, top))
    return paper.bytes()


def _fit(paper: Paper, pieces: list[Piece]) -> int:
    """Choose the letters for some pages; how many pages there are."""
    paper.letter = fitting(paper, pieces, 0.0, LARGEST)
    return paper.pages(pieces)


def _cover(lesson: Lesson, starts: list[int]) -> list[Piece]:
    """Title, what it is for, contents with the pages where steps start, words for the presenter, cautions."""
    numbers = word("numbers")
    contents = [
        Rows(((f"{place}. {tr(step.scenario.title)}", str(page)),))
        for place, (step, page) in enumerate(zip(lesson.steps, starts, strict=True), start=1)
    ]
    minutes = word("minutes", minutes=f"{lesson.minutes:g}") if lesson.minutes else ""
    return [
        Words(tr(lesson.title), 2.2, bold=True, before=0.5),
        Words(minutes, color=QUIET),
        Words(tr(lesson.notice) if lesson.notice else "", 1.1, before=0.5),
        Head(tr("Contents")),
        *contents,
        *_part("prepare", lesson.prepare),
        *_part("open", lesson.say),
        *_part("close", lesson.close),
        *_part("caution", lesson.caution),
        Head(tr("Before anybody swings")),
        *(Words(tr(line), SMALL, lead="•") for line in CAUTIONS),
        Words(tr(COMES_FIRST), SMALL, bold=True),
        Words(" ".join([numbers, tr(MODEL), tr(MADE, version=__version__)]), 0.75, color=QUIET, before=1.0),
    ]


def _part(heading: str, text: str) -> Iterator[Piece]:
    """A part of the talk track, if there is anything in it."""
    if text:
        yield Head(word(heading))
        yield Words(tr(text), SMALL)


def _step(place: int, subject: Subject, found: Answer, pictures: tuple[Picture, ...]) -> list[Piece]:
    """The pieces of one step, whose page can be folded or covered below the pictures."""
    step = subject.step or Step(subject.scenario, Path(), subject.question, "")
    choices = [f"{LETTERS[n]}. {tr(choice.says)}" for n, choice in enumerate(step.choices)]
    right = [] if found.right is None else [Words(choices[found.right], 1.1, bold=True)]
    return [
        Words(f"{place}. {subject.title}", 1.5, bold=True, before=0),
        Framed(Words(subject.question, 1.2, bold=True, before=0)),
        *(Words(choice, 1.1, before=0.3) for choice in choices),
        view_row(subject, pictures),
        Head(word("answer")),
        *right,
        Words(found.sentence, 1.1),
        *notice(tr(step.notice) if step.notice else ""),
        *_numbers(found),
        *_part("say", step.say),
    ]


def _numbers(found: Answer) -> Iterator[Piece]:
    rows = tuple((name, *values) for name, values in found.rows)
    if rows and len(found.columns) > 1:
        yield Rows((("", *found.columns), *rows), head=True)
    elif rows:
        yield Rows(rows)


def _room_to_write(paper: Paper, y: float) -> None:
    """Lines on what is left of a page, where that is worth it."""
    head = Head(tr("Notes"))
    tall = paper.tall([head])
    lines = Lines(paper.bottom - y - tall)
    if lines.tall >= 2 * lines.apart:
        paper.flow([head, lines], y)
