"""What a presenter shares: the step shown, as the messages that viewers' pages are made of.

Before the reveal nothing that would give the answer away is in them: neither a word nor a number of it, nor the scene
of the hit.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from apps.files import topic
from apps.patch import Block, changes
from apps.result import numbers
from apps.told import told
from plane3d.answers import Answer, answer
from plane3d.language import current, mark, speaking, tr
from plane3d.lesson import Step
from plane3d.play import Play
from plane3d.prediction import MEASURE, Choice, fitting, value_of
from plane3d.report import MapReading, report, sentence
from plane3d.scenario import Scenario
from plane3d.scene.before import before_contact
from plane3d.scene.parts import Scene
from plane3d.scene.staged import staged

# What viewers may predict of a scenario that comes without choices of its own.
OUTCOMES = tuple(
    Choice(says=says, when=kinds)
    for says, kinds in (
        (mark("A ground ball"), ("ground-ball",)),
        (mark("A line drive"), ("line-drive",)),
        (mark("A fly ball"), ("fly-ball",)),
        (mark("A pop-up"), ("pop-up",)),
        (mark("A foul ball"), ("foul-tip", "foul-back", "foul-pull", "foul-opposite")),
        (mark("A miss"), ("miss",)),
    )
)
MADE = mark("Shown with plane3d from “{title}”. The numbers come from the model.")
PAST = 6  # states kept, so that a viewer who is a little behind is sent no more than what changed
LEVEL = 3  # of deflating: arrays hardly get smaller with more work
UNSENT = ("shown",)  # of a scene: whether the figure is seen is the viewer's own choice


@dataclass(frozen=True)
class Shown:
    """What a presenter shows at one moment.

    step : what is asked and, once revealed, answered
    scenario, play : the step's own or, where the presenter has moved sliders, with those changes
    title : of the lesson or the scenario
    place, of : the step's place in the lesson, from 0, and how many there are
    revealed : whether viewers get the answer
    lesson : name of the lesson; empty for a scenario by itself
    asked : counts the questions put about scenarios by themselves
    reading : the slower numbers of a scenario by itself, once there are any
    close : closing words, at the end of a lesson
    """

    step: Step
    scenario: Scenario
    play: Play
    title: str
    place: int = 0
    of: int = 1
    revealed: bool = True
    metric: bool = False
    theme: str = "light"
    lesson: str = ""
    asked: int = 0
    reading: MapReading | None = None
    close: str = ""

    @property
    def key(self) -> str:
        """Names the question: the same after a restart, another for another question."""
        says = [choice.says for choice in self.step.choices]
        whole = [self.lesson, self.place, self.asked, self.title, self.step.question, says]
        return hashlib.sha256(json.dumps(whole).encode()).hexdigest()[:16]

    @property
    def changed(self) -> bool:
        """Whether the presenter has moved sliders since the step of a lesson was opened."""
        return bool(self.lesson) and self.scenario.given != self.step.scenario.given


@dataclass(frozen=True)
class Made:
    """What is shown in one language: the question's words, the answer's or None while it is hidden, and the scene."""

    ask: dict[str, Any]
    tell: dict[str, Any] | None
    scene: Scene


def made(shown: Shown) -> Made:
    """All that viewers may know now, in the language in use. Raises Plane3dError where a lesson's answer is wrong."""
    step, scenario = shown.step, shown.scenario
    scene = staged(scenario, shown.play, step.view, metric=shown.metric, theme=shown.theme)
    ask = {
        "key": shown.key,
        "title": tr(shown.title),
        "place": shown.place,
        "of": shown.of,
        "question": tr(step.question) or tr(scenario.title),
        "choices": [tr(choice.says) for choice in step.choices],
        "theme": shown.theme,
    }
    if not shown.revealed:
        return Made(ask, None, before_contact(scene, shown.play))
    return Made(ask, _answer(shown), scene)


def _answer(shown: Shown) -> dict[str, Any]:
    """The answer: a lesson's own or, for a scenario by itself and where sliders were moved, that of the play shown."""
    own = shown.lesson and not shown.changed
    found = _answered(shown.step, shown.metric, current()) if shown.lesson else None
    played, reading = (found.play, found.reading) if own and found else (shown.play, shown.reading)
    blocks = report(played.result, reading)
    if own and found:
        telling = told(found, shown.step)
    else:
        telling = {
            "right": found.right if found else next(iter(fitting(shown.step.choices, value_of(blocks, MEASURE))), None),
            "sentence": sentence(played.result, shown.metric),
            "columns": [],
            "rows": [],
            "notice": tr(shown.step.notice),
            "strip": None,
        }
    title = tr(shown.scenario.title)
    return telling | {
        "changed": shown.changed,
        "close": tr(shown.close),
        "numbers": numbers(blocks, shown.metric),
        "made": tr(MADE, title=title),
        "file": f"{topic(shown.scenario.title)}.toml",
        "toml": shown.scenario.to_toml(),
    }


@lru_cache(maxsize=8)
def _answered(step: Step, metric: bool, language: str) -> Answer:
    """A step's answer, worked out once for each language; a room goes back and forth."""
    with speaking(language):
        return answer(step, metric)


class State:
    """What is shown at one moment, numbered, and said in the languages that viewers need."""

    def __init__(self, number: int, shown: Shown):
        self.number, self.shown = number, shown
        self._made: dict[str, Made] = {}

    def made(self, language: str) -> Made:
        if language not in self._made:
            with speaking(language):
                self._made[language] = made(self.shown)
        return self._made[language]


class States:
    """The present state and the last few before it, and the bytes that bring a viewer up to the present one."""

    def __init__(self) -> None:
        self._past: deque[State] = deque(maxlen=PAST)
        self._packed: dict[tuple[int, str], bytes] = {}

    @property
    def now(self) -> State | None:
        return self._past[-1] if self._past else None

    @property
    def number(self) -> int:
        """Of the present state, from 1; 0 where there is none."""
        return self._past[-1].number if self._past else 0

    def put(self, shown: Shown, languages: Iterable[str]) -> None:
        """Another state. Raises Plane3dError, and keeps the present one, where it cannot be said."""
        state = State(self.number + 1, shown)
        for language in languages:
            state.made(language)
        self._past.append(state)
        self._packed.clear()

    def packed(self, held: int, language: str) -> bytes:
        """What a viewer needs who holds the state of that number, or none; the same bytes for all of them.

        Deflated: the length of a table in JSON (4 bytes, little-endian), the table, and the arrays it points into.
        """
        old = next((state for state in self._past if state.number == held), None)
        key = (old.number if old else 0, language)
        if key not in self._packed:
            self._packed[key] = _pack(old.made(language) if old else None, self._past[-1].made(language))
        return self._packed[key]


def _pack(old: Made | None, new: Made) -> bytes:
    block = Block()
    scene = changes(old.scene if old else None, new.scene, block)
    table: dict[str, Any] = {
        "whole": old is None,
        "scene": {name: part for name, part in scene.items() if name not in UNSENT},
    }
    if old is None or old.ask != new.ask:
        table["ask"] = new.ask
    if old is None or old.tell != new.tell:
        table["tell"] = new.tell
    text = json.dumps(table, ensure_ascii=False, allow_nan=False).encode("utf-8")
    text += b" " * (-len(text) % 4)  # numbers of 4 bytes stand at multiples of 4
    return zlib.compress(len(text).to_bytes(4, "little") + text + block.bytes(), LEVEL)
