"""A lesson on paper: what the presenter asks, says and expects to hear, step by step, as Markdown.

Answers and numbers are computed when it is written, so that paper and screen agree. ``python -m plane3d.talk_track
LESSON`` prints one.
"""

from __future__ import annotations

import sys

from plane3d.answers import Answer, answer
from plane3d.lesson import Lesson, Step, load_lesson
from plane3d.prediction import LETTERS

WORDS = {
    "about": "Talk track for the presenter",
    "minutes": "{} min",
    "numbers": "Answers and numbers are the model's, for an invented hitter. They show how a change moves the result; "
    "they are no measurement of anybody.",
    "prepare": "Before it starts",
    "open": "Opening",
    "close": "To take home",
    "caution": "Care",
    "keys": "Keys",
    "question": "Ask",
    "answer": "Answer",
    "notice": "Look at",
    "say": "Say",
    "strip": "The screen also shows what each timing gives.",
    "countdown": "{} s to raise hands.",
    "hands": "Hands",
    "timing": "{}, {} in all",
    "keys_text": "Right arrow, Page Down or space: next step. Left arrow or Page Up: back. R: show the answer. "
    "P: play. V: next view. T: countdown. Digits: hands for a choice, then Enter for the next choice. "
    "F: full screen. H: the sliders. ?: all keys. Esc: leave.",
}


def talk_track(lesson: Lesson) -> str:
    """The lesson as Markdown. Raises Plane3dError where an answer cannot be computed."""
    parts = [f"# {lesson.title}", f"*{WORDS['about']}{_minutes(lesson.minutes, ', ')}.*", lesson.notice]
    parts += [f"*{WORDS['numbers']}*"]
    for heading, text in (("prepare", lesson.prepare), ("caution", lesson.caution), ("keys", WORDS["keys_text"])):
        parts += [f"**{WORDS[heading]}.** {text}"] if text else []
    parts += [f"## {WORDS['open']}", f"> **{WORDS['say']}.** {lesson.say}"] if lesson.say else []
    spent = 0.0
    for place, step in enumerate(lesson.steps, start=1):
        spent += step.minutes
        parts += _step(place, step, answer(step), spent)
    parts += [f"## {WORDS['close']}", f"> **{WORDS['say']}.** {lesson.close}"] if lesson.close else []
    return "\n\n".join(part for part in parts if part) + "\n"


def _step(place: int, step: Step, found: Answer, spent: float) -> list[str]:
    """The paragraphs of one step; ``spent``: minutes of the lesson at its end."""
    times = WORDS["timing"].format(_minutes(step.minutes), _minutes(spent)) if step.minutes else ""
    parts = [f"## {place}. {step.scenario.title}", f"*{times}*" if times else ""]
    parts.append(f"**{WORDS['question']}.** {step.question}")
    if found.right is not None:
        says = [f"- {LETTERS[n]}. {choice.says} ({WORDS['hands']}: ____)" for n, choice in enumerate(step.choices)]
        right = f"{LETTERS[found.right]}. {step.choices[found.right].says}"
        parts += [WORDS["countdown"].format(step.seconds), "\n".join(says), f"**{WORDS['answer']}: {right}.**"]
    parts += [found.sentence, f"**{WORDS['notice']}.** {step.notice}" if step.notice else "", _table(found)]
    parts += [WORDS["strip"]] if step.strip else []
    parts += [f"> **{WORDS['say']}.** {step.say}"] if step.say else []
    return parts


def _table(found: Answer) -> str:
    """The numbers: a line of them, or a table where two scenarios are compared."""
    if len(found.columns) == 1:
        return "; ".join(f"{words}: {value}" for words, (value,) in found.rows)
    lines = [["", *found.columns], ["---"] + ["---:"] * len(found.columns)]
    lines += [[words, *values] for words, values in found.rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)


def _minutes(number: float, before: str = "") -> str:
    return before + WORDS["minutes"].format(f"{number:g}") if number else ""


if __name__ == "__main__":
    sys.stdout.write(talk_track(load_lesson(sys.argv[1])))
