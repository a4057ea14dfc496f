"""A lesson on paper: what the presenter asks, says and expects to hear, step by step, as Markdown.

Answers and numbers are computed when it is written, so that paper and screen agree. ``python -m plane3d.talk_track
LESSON`` prints one.
"""

from __future__ import annotations

import sys

from plane3d.answers import Answer, answer
from plane3d.language import mark, tr
from plane3d.lesson import Lesson, Step, load_lesson
from plane3d.prediction import LETTERS

WORDS = {
    "about": mark("Talk track for the presenter"),
    "minutes": mark("{minutes} min"),
    "numbers": mark(
        "Answers and numbers are the model's, for an invented hitter. They show how a change moves the result; "
        "they are no measurement of anybody."
    ),
    "prepare": mark("Before it starts"),
    "open": mark("Opening"),
    "close": mark("To take home"),
    "caution": mark("Care"),
    "keys": mark("Keys"),
    "question": mark("Ask"),
    "answer": mark("Answer"),
    "notice": mark("Look at"),
    "say": mark("Say"),
    "strip": mark("The screen also shows what each timing gives."),
    "countdown": mark("{seconds} s to raise hands."),
    "hands": mark("Hands"),
    "timing": mark("{step}, {lesson} in all"),
    "keys_text": mark(
        "Right arrow, Page Down or space: next step. Left arrow or Page Up: back. R: show the answer. "
        "P: play. V: next view. T: countdown. Digits: hands for a choice, then Enter for the next choice. "
        "F: full screen. H: the sliders. ?: all keys. Esc: leave."
    ),
}


def talk_track(lesson: Lesson) -> str:
    """The lesson as Markdown. Raises Plane3dError where an answer cannot be computed."""
    minutes = _minutes(lesson.minutes)
    about = ", ".join(part for part in (word("about"), minutes) if part)
    parts = [f"# {tr(lesson.title)}", f"*{about}.*", tr(lesson.notice), f"*{word('numbers')}*"]
    for heading, text in (("prepare", lesson.prepare), ("caution", lesson.caution), ("keys", WORDS["keys_text"])):
        parts += _part(heading, text)
    parts += [f"## {word('open')}", *_say(lesson.say)] if lesson.say else []
    spent = 0.0
    for place, step in enumerate(lesson.steps, start=1):
        spent += step.minutes
        parts += _step(place, step, answer(step), spent)
    parts += [f"## {word('close')}", *_say(lesson.close)] if lesson.close else []
    return "\n\n".join(part for part in parts if part) + "\n"


def _step(place: int, step: Step, found: Answer, spent: float) -> list[str]:
    """The paragraphs of one step; ``spent``: minutes of the lesson at its end."""
    times = word("timing", step=_minutes(step.minutes), lesson=_minutes(spent)) if step.minutes else ""
    parts = [f"## {place}. {tr(step.scenario.title)}", f"*{times}*" if times else ""]
    parts.append(f"**{word('question')}.** {tr(step.question)}")
    if found.right is not None:
        choices = [f"{LETTERS[n]}. {tr(choice.says)}" for n, choice in enumerate(step.choices)]
        parts.append(word("countdown", seconds=step.seconds))
        parts.append("\n".join(f"- {choice} ({word('hands')}: ____)" for choice in choices))
        parts.append(f"**{word('answer')}: {choices[found.right]}.**")
    parts += [found.sentence, *_part("notice", step.notice), _table(found)]
    parts += [word("strip")] if step.strip else []
    return parts + _say(step.say)


def word(name: str, **values: object) -> str:
    """One of `WORDS`, with values put in."""
    return tr(WORDS[name], **values)


def _part(heading: str, text: str) -> list[str]:
    return [f"**{word(heading)}.** {tr(text)}"] if text else []


def _say(text: str) -> list[str]:
    """Words for the presenter."""
    return [f"> **{word('say')}.** {tr(text)}"] if text else []


def _table(found: Answer) -> str:
    """The numbers: a line of them, or a table where two scenarios are compared."""
    if len(found.columns) == 1:
        return "; ".join(f"{words}: {value}" for words, (value,) in found.rows)
    lines = [["", *found.columns], ["---"] + ["---:"] * len(found.columns)]
    lines += [[words, *values] for words, values in found.rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)


def _minutes(number: float) -> str:
    return word("minutes", minutes=f"{number:g}") if number else ""


if __name__ == "__main__":
    sys.stdout.write(talk_track(load_lesson(sys.argv[1])))
