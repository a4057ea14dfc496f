"""A hand-out of one page: what happened and why in three views and a few numbers, what to change, and one drill."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from pathlib import Path

from plane3d import __version__
from plane3d.drills import COMES_FIRST, Drill
from plane3d.export.files import write_whole
from plane3d.export.paper import MARGIN, QUIET, Columns, Framed, Head, Lines, Paper, Pictures, Piece, Rows, Words
from plane3d.export.subject import Subject, Wishes
from plane3d.export.views import VIEWS, three_views
from plane3d.language import mark, tr
from plane3d.plan import Plan, plan
from plane3d.practice_sheet import cautions, dose_words, hitter, limits, to_work_on
from plane3d.quantities import choice_words
from plane3d.scene.apart import Painter, Progress, Stopped
from plane3d.scene.render import Picture
from plane3d.study import remedy
from plane3d.words import TEXT, Block, capital, show

# The numbers that matter most, by block of the answer; those that do not apply are left out.
NUMBERS = {
    "collision": ("exit_speed_mph", "launch_angle_deg"),
    "flight": ("carry_ft",),
    "meeting": ("below_line_in", "undercut_in", "along_barrel_in", "depth_in"),
    "window": ("length_in", "length_ms"),
    "swing": ("bat_speed_mph", "attack_angle_deg", "vertical_bat_angle_deg"),
    "pitch": ("plate_speed_mph", "descent_angle_deg"),
}
WINDOW_NAMES = {
    "length_in": mark("contact window, length"),
    "length_ms": mark("contact window, in time"),
}
LARGEST, SMALLEST, STEP = 10.0, 7.0, 0.25  # points
ROOM_FOR_NOTES = 24.0  # mm, at least
SMALL = 0.85
LONG, WORDY = 50, 400  # letters of a title, and of what to notice, beyond which it is set smaller
MODEL = mark("What the model leaves out stands in docs/model.md; the page of plane3d shows it under “About the model”.")
MADE = mark("Made with plane3d {version}.")
NO_WHY = mark("The bat does not touch the ball, so there is no launch angle to take apart.")
KEEP_IT = mark("By this model nothing needs fixing; the drill keeps it that way.")
NO_CAUSE = mark("The model finds no single cause; the drill is a general one.")


def write(subject: Subject, path: Path, wishes: Wishes, painter: Painter, progress: Progress) -> None:
    """Write the hand-out of a scenario as PDF.

    Raises DrawingError where this machine cannot draw, Stopped where ``progress`` said stop.
    """
    pictures = three_views(subject, painter)
    found = plan(subject.scenario, progress=lambda share: progress(0.3 + 0.6 * share))
    if found is None:
        raise Stopped(tr("stopped"))
    write_whole(handout(subject, found, pictures, paper_size(wishes, subject.metric)), path)


def paper_size(wishes: Wishes, metric: bool) -> str:
    """The paper asked for, or the usual one where such units are used."""
    return wishes.paper or ("a4" if metric else "letter")


def handout(subject: Subject, found: Plan, pictures: tuple[Picture, ...], size: str) -> bytes:
    """The hand-out as PDF, of one page unless a scenario's own words are so long that they need more.

    found : the plan of the scenario; pictures : of `VIEWS`; size : of the paper
    """
    paper = Paper(subject.title, size)
    main, foot = _main(subject, found, pictures), _foot(found)
    notes = Head(tr("Notes"))
    y = paper.add_page()
    paper.letter = fitting(paper, [*main, notes, *foot], ROOM_FOR_NOTES)
    y = paper.flow(main, y)
    if y + paper.tall([notes, *foot]) + ROOM_FOR_NOTES > paper.bottom:
        y = paper.add_page()
    room = paper.bottom - y - paper.tall([notes, *foot])
    paper.flow([notes, Lines(room), *foot], y)
    return paper.bytes()


def fitting(paper: Paper, pieces: list[Piece], spare: float, largest: float = LARGEST) -> float:
    """The largest letters, points, with which pieces fit on a page and leave ``spare`` mm; or else the smallest."""
    sizes = [largest - STEP * step for step in range(round((largest - SMALLEST) / STEP))]

    def fits(size: float) -> bool:
        paper.letter = size
        return paper.tall(pieces) <= paper.bottom - MARGIN - spare

    place = bisect_left(sizes, True, key=fits)  # smaller letters never take more room
    return sizes[place] if place < len(sizes) else SMALLEST


def _main(subject: Subject, found: Plan, pictures: tuple[Picture, ...]) -> list[Piece]:
    metric, answer = subject.metric, subject.answer
    left: list[Piece] = [
        Head(tr("Numbers")),
        Rows(tuple(number_rows(answer, NUMBERS, metric)), size=0.95),
        *_why(answer, metric),
    ]
    drill, _ = found.drills[0]
    right: list[Piece] = [Head(tr("One thing to change")), *_change(found, metric), *_drill(drill, found.age)]
    return [
        Words(subject.title, 1.9 if len(subject.title) <= LONG else 1.3, bold=True, before=0),
        Words(subject.sentence, 1.2, bold=True, before=0.2),
        Words(tr("For: {hitter}", hitter=hitter(subject.scenario)), color=QUIET, before=0.2),
        view_row(subject, pictures),
        *notice(tr(subject.scenario.notice)),
        Columns((tuple(left), tuple(right)), (0.4, 0.6)),
        Head(tr("Before anybody swings")),
        *(Words(line, SMALL, lead="•") for line in cautions(found.age)),
        Words(tr(COMES_FIRST), SMALL, bold=True),
    ]


def view_row(subject: Subject, pictures: tuple[Picture, ...]) -> Pictures:
    """The three views with their names."""
    return Pictures(pictures, tuple(choice_words("view.camera", view) for view in VIEWS), subject.scene.account)


def notice(text: str) -> list[Piece]:
    """What to notice, if there is anything."""
    return [Words(tr("Notice: {text}", text=text), SMALL if len(text) > WORDY else 1.0, before=0.5)] if text else []


def number_rows(answer: Block, wanted: dict[str, tuple[str, ...]], metric: bool) -> Iterator[tuple[str, str]]:
    """Names and values of some numbers of an answer, those that there are."""
    for block, keys in wanted.items():
        values = answer[block] or {}
        for key in keys:
            if values.get(key) is not None:
                name = WINDOW_NAMES[key] if block == "window" else TEXT[block][1][key]
                yield capital(tr(name)), show(key, values[key], metric)


def _why(answer: Block, metric: bool) -> list[Piece]:
    """The launch angle and the shares it is made of."""
    heading, names = TEXT["why"]
    if answer["why"] is None:
        return [Head(tr(heading)), Words(tr(NO_WHY))]
    rows = [(capital(tr(name)), show(key, answer["why"][key], metric)) for key, name in names.items()]
    rows += number_rows(answer, {"collision": ("launch_angle_deg",)}, metric)
    return [Head(tr(heading)), Rows(tuple(rows), total=True, size=0.95)]


def _change(found: Plan, metric: bool) -> list[Piece]:
    """The first thing to work on, or that there is none, and the words to say."""
    items = to_work_on(found, metric)[:1]
    if not items:
        items = [tr(KEEP_IT if found.ball.already else NO_CAUSE), remedy.headline(found.ball, metric)]
    drill, _ = found.drills[0]
    return [
        *map(Words, items),
        Framed(Words(tr("“{words}”", words=tr(drill.cue)), 1.35, bold=True, before=0)),
    ]


def _drill(drill: Drill, age: str) -> list[Piece]:
    """A drill for one of `AGES`."""
    dose = drill.dose_for(age)
    pieces: list[Piece] = [Head(tr("Drill: {name}", name=tr(drill.name))), Words(tr(drill.setup))]
    pieces += [Words(tr(step), lead=f"{place}.") for place, step in enumerate(drill.do, start=1)]
    needed = ", ".join(tr(thing) for thing in drill.equipment)
    rest = (
        (tr("Needed"), needed),
        (tr("Dose"), dose_words(dose) if dose else ""),
        (tr("Take care"), tr(drill.caution) if drill.caution else ""),
        (tr("Note"), tr(drill.measure)),
    )
    return [*pieces, *(Words(f"{name}: {words}") for name, words in rest if words)]


def _foot(found: Plan) -> list[Piece]:
    """What made it, and what that does not know."""
    lines = [*limits(found), tr(MODEL), tr(MADE, version=__version__)]
    return [Words(" ".join(lines), 0.75, color=QUIET, before=0.8)]
