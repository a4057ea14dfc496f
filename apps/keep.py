"""What a viewer makes on the page and keeps: steps back, links, files, words, lessons, and work saved in the tab."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any

from apps.files import LESSON_NAME, Opened, lesson_files, new_step, open_files, topic, zipped
from apps.history import NO_LESSON, History, Work
from apps.link import decode, encode
from plane3d.errors import InputError, Mistake, Plane3dError
from plane3d.language import mark, tr
from plane3d.lesson import Step
from plane3d.scenario import Scenario

MAX_OWN = 200  # scenarios opened in one session
MAX_LESSON = 100  # scenarios in a lesson, as its file allows
MAX_TITLE = 120  # letters in the title of a lesson, as its file allows

RESTORED = mark("Restored your work.")
LINKED = mark("Opened from a link.")
LOST = mark("What this tab had kept cannot be read any more; the page starts afresh.")
TOO_LARGE = mark("is too large; one file may have 1 MB, all files together 8 MB")
FULL = mark("cannot be opened as well: there are {most} already; reload the page to start afresh")
LESSON_FULL = mark("has {most} scenarios, which is all that a lesson may have")


class Keep:
    """One session's keeping. Every action takes a step in the history or says in the box what is wrong.

    Parameters
    ----------
    listed : the scenarios of the picker that are there from the start
    history : the session's steps
    show : called when the present work may have changed
    hand_over : given name and content of a file for the viewer
    """

    def __init__(
        self,
        listed: Sequence[Scenario],
        history: History,
        show: Callable[[], None],
        hand_over: Callable[[str, bytes], None],
    ):
        self._listed, self._history, self._show, self._hand_over = tuple(listed), history, show, hand_over
        self._home = history.now
        self._arrived = False
        self._note = ""
        self._problems: tuple[str, ...] = ()
        self._packed: tuple[Work, dict[str, Any]] | None = None  # the last work packed, and how
        self.actions: dict[str, Callable[..., None]] = {
            "arrive": self._arrive,
            "undo": self._undo,
            "redo": self._redo,
            "words": self._words,
            "open": self._open,
            "save": self._save,
            "dismiss": self._dismiss,
            "lesson_add": self._lesson_add,
            "lesson_move": self._lesson_move,
            "lesson_remove": self._lesson_remove,
            "lesson_show": self._lesson_show,
            "lesson_title": self._lesson_title,
            "lesson_save": self._lesson_save,
        }

    @property
    def start(self) -> Scenario:
        """The scenario that the present work started from."""
        return self.scenarios(self._history.now)[self._history.now.place]

    def scenarios(self, work: Work) -> tuple[Scenario, ...]:
        """All scenarios of the picker."""
        return self._listed + work.own

    def _turn_to(self, work: Work) -> None:
        self.take(place=work.place, asked=work.asked, own=work.own, lesson=work.lesson)

    def take(self, gesture: Any = None, **changes: Any) -> None:
        """Take a step: some fields of `Work` change."""
        self._note, self._problems = "", ()
        self._history.add(replace(self._history.now, **changes), gesture)
        self._show()

    def shown(self) -> dict[str, Any]:
        """What the browser shows of all this, and what it keeps for a reload (None when there is nothing to keep)."""
        work = self._history.now
        at_home = replace(work, asked=self._home.asked) == self._home and work.asked.given == self._home.asked.given
        changed = work.asked.given != self.start.given
        return {
            "arrived": self._arrived,
            "undo": self._history.can_undo,
            "redo": self._history.can_redo,
            "link": encode(work.asked),
            "start": encode(self.start) if changed else "",
            "saved": None if at_home else self._pack(work),
            "note": tr(self._note),
            "problems": self._problems,
            "title": work.asked.title,
            "question": work.asked.question,
            "notice": work.asked.notice,
            "says": {"question": tr(work.asked.question), "notice": tr(work.asked.notice)},
            "lesson": [tr(scenario.title) for scenario in work.lesson.scenarios],
            "lesson_title": work.lesson.title,
        }

    # --- steps -------------------------------------------------------------------------------------------------------

    def _undo(self) -> None:
        self._history.undo()
        self._dismiss()

    def _redo(self) -> None:
        self._history.redo()
        self._dismiss()

    def _dismiss(self) -> None:
        self._note, self._problems = "", ()
        self._show()

    def _refuse(self, mistakes: Sequence[Mistake]) -> None:
        self._problems = tuple(_readable(str(mistake)) for mistake in mistakes)
        self._show()

    # --- links, and what the tab has kept ----------------------------------------------------------------------------

    def _arrive(self, link: str, saved: Any) -> None:
        """A page has opened, or its address has changed: show what the tab had kept, then what the link asks for."""
        self._arrived = True
        work = self._history.now
        note = ""
        if saved is not None:
            try:
                work, note = self._unpack(saved), RESTORED
            except (Plane3dError, KeyError, TypeError, AttributeError):
                note = LOST
        self._history.add(work)
        mistakes: tuple[Mistake, ...] = ()
        if link and link != encode(work.asked):
            try:
                self._history.add(self._with(work, decode(link)))
                note = LINKED
            except InputError as error:
                mistakes = error.mistakes
        self._note = note
        self._refuse(mistakes)

    def _pack(self, work: Work) -> dict[str, Any]:
        """The work as texts, for the tab to keep. What stays the same while a slider moves is not written anew."""
        if self._packed and self._packed[0].own is work.own and self._packed[0].lesson is work.lesson:
            parts = self._packed[1]
        else:
            files = lesson_files(work.lesson) if work.lesson.steps else {}
            parts = {"own": [encode(s) for s in work.own], "lesson": files, "lesson_title": work.lesson.title}
            self._packed = (work, parts)
        return parts | {"start": encode(self.scenarios(work)[work.place]), "now": encode(work.asked)}

    def _unpack(self, saved: Any) -> Work:
        own = tuple(decode(text) for text in saved["own"][:MAX_OWN])
        opened = open_files([(name, text.encode("utf-8")) for name, text in saved["lesson"].items()])
        lesson = opened.lessons[0] if opened.lessons else NO_LESSON
        work = Work(0, self._home.asked, own, replace(lesson, title=_one_line(saved["lesson_title"])))
        return replace(self._with(work, decode(saved["start"])), asked=decode(saved["now"]))

    def _with(self, work: Work, *scenarios: Scenario) -> Work:
        """Work that starts anew from the first of some scenarios; those not in the picker yet are added to it.

        Raises InputError when the picker is full.
        """
        known = list(self.scenarios(work))
        new = [scenario for scenario in dict.fromkeys(scenarios) if scenario not in known]
        if len(work.own) + len(new) > MAX_OWN:
            raise InputError([Mistake(new[0].title, "", tr(FULL, most=MAX_OWN))])
        return replace(work, place=(known + new).index(scenarios[0]), asked=scenarios[0], own=(*work.own, *new))

    # --- words and files ---------------------------------------------------------------------------------------------

    def _words(self, words: dict[str, str]) -> None:
        """Change title, question or notice; an empty question or notice is left out of the file."""
        plain = {key: _readable(text) for key, text in words.items() if key in ("title", "question", "notice")}
        changes = {key: text if text or key == "title" else None for key, text in plain.items()}
        try:
            self.take(asked=self._history.now.asked.with_values(changes))
        except InputError as error:
            self._refuse(error.mistakes)

    def _open(self, files: list[dict[str, Any]]) -> None:
        """Show the scenarios in files, given by name and content; None stands for the content of one too large."""
        opened = open_files([(f["name"], f["data"]) for f in files if f["data"] is not None])
        mistakes = [*opened.mistakes, *(Mistake(f["name"], "", tr(TOO_LARGE)) for f in files if f["data"] is None)]
        try:
            self._start_from(opened)
        except InputError as error:
            mistakes += error.mistakes
        if mistakes:
            self._refuse(mistakes)

    def _start_from(self, opened: Opened) -> None:
        scenarios = [scenario for lesson in opened.lessons for scenario in lesson.scenarios] + [*opened.scenarios]
        if not scenarios:
            return
        work = self._with(self._history.now, *scenarios)
        if opened.lessons:
            work = replace(work, lesson=opened.lessons[0])
        self._turn_to(work)

    def _save(self) -> None:
        asked = self._history.now.asked
        self._hand_over(f"{topic(asked.title)}.toml", asked.to_toml().encode("utf-8"))

    # --- the lesson --------------------------------------------------------------------------------------------------

    def _lesson_add(self) -> None:
        lesson = self._history.now.lesson
        if len(lesson.steps) < MAX_LESSON:
            self._relist([*lesson.steps, new_step(self._history.now.asked)])
        else:
            self._refuse([Mistake(lesson.title or tr(LESSON_NAME), "", tr(LESSON_FULL, most=MAX_LESSON))])

    def _lesson_move(self, place: int, to: int) -> None:
        steps = list(self._history.now.lesson.steps)
        if 0 <= place < len(steps) and 0 <= to < len(steps):
            steps.insert(to, steps.pop(place))
            self._relist(steps)

    def _lesson_remove(self, place: int) -> None:
        self._relist(step for i, step in enumerate(self._history.now.lesson.steps) if i != place)

    def _relist(self, steps: Iterable[Step]) -> None:
        self.take(lesson=replace(self._history.now.lesson, steps=tuple(steps)))

    def _lesson_show(self, place: int) -> None:
        work = self._history.now
        if 0 <= place < len(work.lesson.steps):
            try:
                self._turn_to(self._with(work, work.lesson.scenarios[place]))
            except InputError as error:
                self._refuse(error.mistakes)

    def _lesson_title(self, title: str) -> None:
        self.take(lesson=replace(self._history.now.lesson, title=_one_line(title)))

    def _lesson_save(self, whole: bool) -> None:
        """The lesson file alone, or in a zip file together with the scenario files it names."""
        files = lesson_files(self._history.now.lesson)
        name = next(iter(files))
        if whole:
            self._hand_over(f"{name.removesuffix('.toml')}.zip", zipped(files))
        else:
            self._hand_over(name, files[name].encode("utf-8"))


def _readable(text: str) -> str:
    """Text that can be written and sent: half characters, which a browser may let through, become question marks."""
    return text.encode("utf-8", "replace").decode("utf-8")


def _one_line(title: str) -> str:
    """A title as a lesson file may have it."""
    return " ".join(_readable(title).split())[:MAX_TITLE]
