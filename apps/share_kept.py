"""What outlasts a server that shares: its code, its token and what is shown. Nothing about any viewer is in it."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import platformdirs
from pydantic import Field, StringConstraints

from apps.files import lesson_files, open_files
from apps.share_shown import Shown
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.lesson import Lesson, Step
from plane3d.play import play
from plane3d.quantities import Strict
from plane3d.scenario import loads

LETTERS = "34679ACDEFGHJKMNPQRTUVWXY"  # none looks like another, on a wall or on a phone
LENGTH = 6
TOKEN_BYTES = 32
MOST_BYTES = 2_000_000  # of the file
BROKEN = mark("{file} cannot be used; sharing starts with a new code and a new token.")
UNWRITTEN = mark("{file} cannot be written ({reason}); a restart will have another code and token.")

PLAIN = ("title", "place", "of", "revealed", "metric", "theme", "lesson", "asked")  # of a `Shown`, as they are

Tab = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{0,32}$")]  # a tab's random name
Text = Annotated[str, StringConstraints(max_length=200)]


class KeptShown(Strict):
    """A `Shown` as texts: a lesson of the one step and, where sliders were moved, the scenario as well."""

    files: dict[Text, str]
    scenario: str
    title: Text
    place: Annotated[int, Field(ge=0, le=99)]
    of: Annotated[int, Field(ge=1, le=100)]
    revealed: bool
    metric: bool
    theme: Annotated[str, StringConstraints(pattern="^(light|dark)$")]
    lesson: Text
    asked: Annotated[int, Field(ge=0)]


class Kept(Strict):
    """What is written down.

    code : what viewers type, or get with the QR code
    token : what makes a browser the presenter's
    port : of the viewers' page
    on : whether viewers are let in
    tab : name of the presenter's tab; empty where the next one to come is it
    """

    code: Annotated[str, StringConstraints(pattern=f"^[{LETTERS}]{{{LENGTH}}}$")]
    token: Annotated[str, StringConstraints(pattern=r"^[\w-]{43}$")]
    port: Annotated[int, Field(ge=1, le=65535)] | None = None
    on: bool = True
    tab: Tab = ""
    shown: KeptShown | None = None


def fresh() -> Kept:
    """A new code and a new token."""
    code = "".join(secrets.choice(LETTERS) for _ in range(LENGTH))
    return Kept(code=code, token=secrets.token_urlsafe(TOKEN_BYTES))


def default_file() -> Path:
    """In the user's own folder for data of programs."""
    return platformdirs.user_data_path("plane3d", appauthor=False) / "share.json"


def read(file: Path) -> tuple[Kept, str]:
    """What was kept, or a fresh start; and a sentence where the file is there and cannot be used."""
    try:
        if file.stat().st_size > MOST_BYTES:
            raise ValueError
        return Kept.model_validate_json(file.read_bytes()), ""
    except FileNotFoundError:
        return fresh(), ""
    except (OSError, ValueError):  # of which ValidationError is one
        return fresh(), tr(BROKEN, file=file)


def write(file: Path, kept: Kept) -> str:
    """Put what is kept in place of what was there, whole or not at all; only this user may read it. What went wrong."""
    part = file.with_name(f"{file.name}.part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part.unlink(missing_ok=True)
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
            out.write(kept.model_dump_json().encode("utf-8"))
        os.replace(part, file)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        return tr(UNWRITTEN, file=file, reason=error.strerror)
    return ""


def keep_shown(shown: Shown) -> KeptShown:
    """What is shown, as texts."""
    step = replace(shown.step, say="")
    return KeptShown(
        files=lesson_files(Lesson(shown.title, "", (step,))),
        scenario=shown.scenario.to_toml() if shown.changed else "",
        **{name: getattr(shown, name) for name in PLAIN},
    )


def restored(kept: KeptShown) -> Shown | None:
    """What was shown, played anew; None where it cannot be any more."""
    opened = open_files([(name, text.encode("utf-8")) for name, text in kept.files.items()])
    steps = [step for lesson in opened.lessons for step in lesson.steps]
    if opened.mistakes or not steps:
        return None
    step: Step = steps[0]
    try:
        scenario = loads(kept.scenario) if kept.scenario else step.scenario
        played = play(scenario.to_inputs())
    except Plane3dError:
        return None
    return Shown(step, scenario, played, **{name: getattr(kept, name) for name in PLAIN})
