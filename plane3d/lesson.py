"""Lessons: scenarios to show one after the other, each with something to predict; and those that come with plane3d."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, ValidationError

from plane3d.errors import InputError, Mistake
from plane3d.language import mark, tr
from plane3d.messages import TEXTS, explain, given_text, one_of, suggestion
from plane3d.prediction import LETTERS, MEASURE, MEASURES, NUMBER_MEASURES, Choice
from plane3d.quantities import Strict, all_choices
from plane3d.scenario import FormatNumber, OneLine, Prose, Scenario, load
from plane3d.toml_text import KeyLines, parse, read_text

SECONDS = 20  # to think and to raise a hand, unless the file says otherwise
CAMERAS = all_choices()["view.camera"]
Camera = Literal[tuple(CAMERAS)]  # type: ignore[valid-type]
FileName = Annotated[str, StringConstraints(min_length=1)]
_PROSE = mark("text, at most 1000 characters")


@dataclass(frozen=True)
class Step:
    """One scenario of a lesson: what is asked before the answer, what is said and shown after it.

    than, than_path : a scenario to compare the measure with, and its file, or None
    figures : measures in numbers that are shown with the answer
    """

    scenario: Scenario
    path: Path
    question: str
    notice: str
    say: str = ""
    choices: tuple[Choice, ...] = ()
    measure: str = MEASURE
    than: Scenario | None = None
    than_path: Path | None = None
    figures: tuple[str, ...] = ()
    strip: bool = False
    view: str = "catcher"
    seconds: int = SECONDS
    minutes: float = 0.0


@dataclass(frozen=True)
class Lesson:
    """A title, what the lesson is for, words for the presenter, and its steps in order."""

    title: str
    notice: str
    steps: tuple[Step, ...]
    minutes: float = 0.0
    prepare: str = ""
    say: str = ""
    close: str = ""
    caution: str = ""

    @property
    def scenarios(self) -> tuple[Scenario, ...]:
        """The scenarios in order."""
        return tuple(step.scenario for step in self.steps)

    @property
    def paths(self) -> tuple[Path, ...]:
        """The files of the scenarios, in order."""
        return tuple(step.path for step in self.steps)


class StepValues(Strict):
    """One step of a lesson as it stands in a file."""

    scenario: FileName = Field(title=mark("the name of a scenario file"), description="What is shown.")
    question: Prose = Field(
        "", title=_PROSE, description="Put to the room before the answer; left out, the scenario's."
    )
    choices: Annotated[list[Choice], Field(max_length=len(LETTERS))] = Field(
        [], title=mark("a list of at most 6 choices"), description="What the room may predict, see below."
    )
    measure: str = Field(
        MEASURE,
        title=mark("a value of `plane3d solve --json`"),
        description="What the choices are about, such as `window.length_in`.",
    )
    than: FileName | None = Field(
        None,
        title=mark("the name of a scenario file"),
        description="Another scenario: the choices are then about the measure here less the measure there.",
    )
    notice: Prose = Field("", title=_PROSE, description="What to notice, shown with the answer; or the scenario's.")
    figures: list[str] = Field(
        [],
        title=mark("a list of values of `plane3d solve --json`"),
        description="Numbers that are shown with the answer.",
    )
    strip: bool = Field(
        False, title=mark("true or false"), description="Whether the answer shows what each timing gives."
    )
    view: Camera | None = Field(  # type: ignore[valid-type]
        None,
        title="one of " + ", ".join(f'"{name}"' for name in CAMERAS),
        description="View to start from; left out, the scenario's.",
    )
    say: Prose = Field("", title=_PROSE, description="Words for the presenter; on paper only.")
    seconds: int = Field(
        SECONDS, ge=1, le=600, title=mark("a whole number from 1 to 600"), description="Of the countdown."
    )
    minutes: float = Field(
        0.0, ge=0, le=120, title=mark("a number from 0 to 120"), description="Time for the whole step."
    )


class LessonValues(Strict):
    """A lesson as it stands in a file."""

    format: FormatNumber = Field(title=mark("1, the only file format there is"), description="Always 1.")
    title: OneLine = Field(title=mark("one line of text, at most 120 characters"), description="Name of the lesson.")
    notice: Prose = Field("", title=_PROSE, description="What the lesson is for.")
    minutes: float = Field(
        0.0, ge=0, le=600, title=mark("a number from 0 to 600"), description="Time for the whole lesson."
    )
    prepare: Prose = Field("", title=_PROSE, description="For the presenter: what to do before it starts.")
    say: Prose = Field("", title=_PROSE, description="For the presenter: opening words.")
    close: Prose = Field("", title=_PROSE, description="What to take home, shown at the end.")
    caution: Prose = Field("", title=_PROSE, description="For the presenter: what to take care of.")
    scenarios: Annotated[list[FileName], Field(min_length=1, max_length=100)] | None = Field(
        None, title=mark("a list of scenario file names"), description="Short form: scenarios with their own questions."
    )
    step: Annotated[list[StepValues], Field(min_length=1, max_length=100)] | None = Field(
        None, title=mark("a list of steps: write [[step]] above each"), description="The steps in order, see below."
    )


TABLES: dict[str, type[Strict]] = {"": LessonValues, "step": StepValues, "step.choices": Choice}


def keys() -> dict[str, Any]:
    """Every key of a lesson file and its field: title, what it must be, and description, its meaning."""
    return {
        f"{table}.{field.alias or name}".lstrip("."): field
        for table, model in TABLES.items()
        for name, field in model.model_fields.items()
    }


def is_lesson(path: str | Path) -> bool:
    """Whether a file lists scenarios; raises InputError if it cannot be read at all."""
    return bool({"scenarios", "step"} & set(parse(read_text(Path(path)), str(path))))


def load_lesson(path: str | Path) -> Lesson:
    """The lesson in a file; raises InputError with every mistake in it and in its scenarios.

    Scenario files are named relative to the lesson and stand in its folder or below.
    """
    path = Path(path)
    text = read_text(path)
    lines = KeyLines(text, str(path))
    try:
        file = LessonValues.model_validate(parse(text, str(path)))
    except ValidationError as error:
        texts = TEXTS | {key: field.title for key, field in keys().items()} | {"step.view": one_of(CAMERAS)}
        raise InputError(explain(error.errors(), lines, texts, keys())) from None
    mistakes = list(_mistakes(file, lines))
    steps = []
    for place, values in enumerate(file.step or [StepValues(scenario=name) for name in file.scenarios or []]):
        try:
            steps.append(_step(values, path.parent, lines, f"step.{place}." if file.step else ""))
        except InputError as error:
            mistakes += error.mistakes
    if mistakes:
        raise InputError(mistakes)
    given = {name: getattr(file, name) for name in ("title", "notice", "minutes", "prepare", "say", "close", "caution")}
    return Lesson(steps=tuple(steps), **given)


def _mistakes(file: LessonValues, lines: KeyLines) -> Iterator[Mistake]:
    """What is wrong with a lesson whose values are each fine."""
    if (file.scenarios is None) == (file.step is None):
        none = tr("the lesson must name its scenarios: in a list scenarios or in [[step]] tables")
        twice = tr("the lesson names its scenarios twice: in a list scenarios or in [[step]] tables")
        yield Mistake(lines.where("scenarios"), "", none if file.step is None else twice)
    for place, step in enumerate(file.step or []):
        yield from _step_mistakes(step, lines, f"step.{place}")


def _step_mistakes(step: StepValues, lines: KeyLines, at: str) -> Iterator[Mistake]:
    """What is wrong with a step, which stands at ``at``, such as ``step.0``."""
    for key, names, allowed in (("measure", [step.measure], MEASURES), ("figures", step.figures, NUMBER_MEASURES)):
        for name in names:
            if name not in allowed:
                text = tr("= {given} is no value that can be shown", given=given_text(name))
                yield Mistake(lines.where(f"{at}.{key}"), f"step.{key}", text + suggestion(name, allowed))
    if step.measure not in MEASURES:
        return
    if step.than is not None and step.measure not in NUMBER_MEASURES:
        yield Mistake(lines.where(f"{at}.than"), "step.than", tr("needs a measure that is a number"))
    for choice in step.choices:
        if wrong := choice.mistake(step.measure):
            yield Mistake(lines.where(f"{at}.choices"), "step.choices", f"{given_text(choice.says)} {wrong}")


def _step(values: StepValues, folder: Path, lines: KeyLines, at: str) -> Step:
    """A step with its scenarios loaded. ``at`` is where it stands in the file, empty in the short form."""
    mistakes: list[Mistake] = []
    found: list[tuple[Path, Scenario]] = []
    for key, name in (("scenario" if at else "scenarios", values.scenario), ("than", values.than)):
        if name is None:
            continue
        try:
            path = _inside(folder, name, lines.where(at + key), f"step.{key}" if at else key)
            found.append((path, load(path)))
        except InputError as error:
            mistakes += error.mistakes
    if mistakes:
        raise InputError(mistakes)
    path, scenario = found[0]
    than_path, than = found[1] if values.than else (None, None)
    same = {name: getattr(values, name) for name in ("say", "measure", "strip", "seconds", "minutes")}
    return Step(
        scenario=scenario,
        path=path,
        question=values.question or scenario.question,
        notice=values.notice or scenario.notice,
        choices=tuple(values.choices),
        than=than,
        than_path=than_path,
        figures=tuple(values.figures),
        view=values.view or scenario.view.camera,
        **same,
    )


def _inside(folder: Path, name: str, where: str, key: str) -> Path:
    """Path of a named file, which must lie within the folder and exist."""
    path = folder / name
    try:
        inside, there = path.resolve().is_relative_to(folder.resolve()), path.is_file()
    except (OSError, ValueError):  # a name that no file can have
        inside, there = True, False
    if not inside:
        text = tr("names {name}, which must be a file beside the lesson", name=given_text(name))
        raise InputError([Mistake(where, key, text)])
    if not there:
        text = tr("names {name}, but there is no such file", name=given_text(name))
        raise InputError([Mistake(where, key, text)])
    return path


def scenarios_folder() -> Path:
    """The scenarios that come with plane3d: inside an installed package, or beside it in a checkout."""
    package = Path(__file__).parent
    installed = package / "scenarios"
    return installed if installed.is_dir() else package.parent / "scenarios"


def load_any(path: str | Path) -> Scenario | Lesson:
    """The scenario or the lesson in a file, whichever it is."""
    return load_lesson(path) if is_lesson(path) else load(path)
