"""The answers of a lesson, computed: which choice is right, the result in words, and the numbers worth showing."""

from __future__ import annotations

from dataclasses import dataclass

from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.lesson import Lesson, Step
from plane3d.play import Play, play
from plane3d.plays import pitch_flight
from plane3d.prediction import LETTERS, fitting, value_of, words_of
from plane3d.report import MapReading, read_map, report
from plane3d.scenario import Scenario
from plane3d.words import Block, listed, sentence, show


@dataclass(frozen=True)
class Answer:
    """What a step reveals.

    right : place of the right choice, None where there are no choices
    sentence : the play in words
    columns : titles of the scenarios whose numbers stand in ``rows``
    rows : what each number is called, and its value for each of the columns, in words
    play, reading : what it was computed from
    """

    right: int | None
    sentence: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    play: Play
    reading: MapReading


def answer(step: Step, metric: bool = False) -> Answer:
    """The answer of a step, a few hundred plays of work.

    Raises Plane3dError where a scenario cannot be played, or where not exactly one choice is right.
    """
    played, reading, blocks = _solve(step.scenario)
    columns, answers = [tr(step.scenario.title)], [blocks]
    if step.than is not None:
        columns.append(tr(step.than.title))
        answers.append(_solve(step.than)[2])
    rows = []
    for figure in step.figures:
        values = [value_of(found, figure) for found in answers]
        if any(value is not None for value in values):
            key = figure.partition(".")[2]
            rows.append((words_of(figure), tuple(show(key, value, metric) for value in values)))
    return Answer(_right(step, answers), sentence(played.result, metric), tuple(columns), tuple(rows), played, reading)


def check_answers(lesson: Lesson, name: str) -> None:
    """Compute every answer. Raises Plane3dError for the first step that has none; ``name`` stands for the file."""
    for place, step in enumerate(lesson.steps, start=1):
        try:
            answer(step)
        except Plane3dError as error:
            title = tr(step.scenario.title)
            told = tr("{file}: step {place}, {title}: {problem}", file=name, place=place, title=title, problem=error)
            raise Plane3dError(told) from error


def _solve(scenario: Scenario) -> tuple[Play, MapReading, Block]:
    played = play(scenario.to_inputs())
    other = scenario.with_second_pitch()
    second = None if other is None else pitch_flight(other.to_inputs())
    reading = read_map(played, second, scenario.si("view.window_in"))
    return played, reading, report(played.result, reading)


def _right(step: Step, answers: list[Block]) -> int | None:
    if not step.choices:
        return None
    values = [value_of(found, step.measure) for found in answers]
    value = values[0] if len(values) == 1 else None if None in values else values[0] - values[1]
    places = fitting(step.choices, value)
    if len(places) == 1:
        return places[0]
    told = round(value, 3) if isinstance(value, float) else value
    none = mark("{measure} is {value}: exactly one choice must be right for it, and none is")
    many = mark("{measure} is {value}: exactly one choice must be right for it, and {letters} is")
    letters = listed([LETTERS[place] for place in places] or [""])
    raise Plane3dError(tr(many if places else none, measure=step.measure, value=told, letters=letters))
