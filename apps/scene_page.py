"""One file that holds scenes one can turn: opened in any browser, with no network, no server and no plane3d.

The stage is the page's own (``browser/stage.js``), its scripts in one piece (`apps.bundle`). What is drawn, and the
drawing library, stand in the file packed; the browser unpacks them. The page may reach nothing and runs no script but
these two, named in its policy by their fingerprints.
"""

from __future__ import annotations

import base64
import zlib
from collections.abc import Sequence
from contextlib import nullcontext
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from jinja2 import Environment
from markupsafe import Markup

from apps.browser_files import BROWSER, icon, inline, styles
from apps.bundle import bundle, fingerprint
from apps.files import new_step
from apps.patch import Block
from apps.scene_steps import message
from plane3d.drills import CAUTIONS, COMES_FIRST
from plane3d.errors import Plane3dError
from plane3d.language import browser_words, current, speaking, tr, trc
from plane3d.lesson import Lesson, Step
from plane3d.scenario import Scenario

POLICY = (
    "default-src 'none'; script-src {scripts}; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'"
)
SHEETS = ("theme", "common", "lesson_page", "lesson", "scene_page")
ON_STAGE = """.stage-root.stage-root { padding: 8px; }
:host(.asking) :is(.contact, .scrub i) { display: none; } /* the picture stops before there is a contact */
:host(.asking) .reading { visibility: hidden; }"""
NARROW = """.numbers.numbers { grid-template-columns: repeat(auto-fit, minmax(15em, 1fr)); }
.why.why { grid-column: 1 / -1; }"""


def scene_page(
    scenarios: Sequence[Scenario | Step],
    title: str,
    metric: bool = False,
    language: str | None = None,
    theme: str = "light",
    close: str = "",
) -> str:
    """The page of one scenario, all of it shown, or of several: question first, the answer on a button.

    Parameters
    ----------
    scenarios : or the steps of a lesson, with its own questions, choices and views
    title : of the page
    language : of the words, one of `plane3d.language.LANGUAGES`; left out, the one in use
    theme : "light" or "dark"
    close : closing words, shown with the last answer

    Raises
    ------
    Plane3dError : there is nothing to show, or one of the scenarios cannot be played
    """
    with nullcontext() if language is None else speaking(language):
        if not scenarios:
            raise Plane3dError(tr("there is no scenario to make a page of"))
        steps = [one if isinstance(one, Step) else new_step(one) for one in scenarios]
        block = Block()
        asked = len(steps) > 1
        told = []
        for step in steps:
            try:
                told.append(message(step, block, metric, theme, asked))
            except Plane3dError as error:
                raise Plane3dError(f"{tr(step.scenario.title)}: {error}") from error
        if close:
            told[-1]["answer"]["close"] = tr(close)
        return _document(tr(title), told, block.bytes(), theme)


def lesson_page(lesson: Lesson, metric: bool = False, language: str | None = None, theme: str = "light") -> str:
    """The page of a lesson, see `scene_page`."""
    return scene_page(lesson.steps, lesson.title, metric, language, theme, lesson.close)


def _document(title: str, steps: Sequence[dict[str, Any]], scenes: bytes, theme: str) -> str:
    """The whole file. The words of the first step also stand in it plainly, for a reader without scripts."""
    first, hidden = steps[0], steps[0]["scene"] is not None
    told = {} if hidden else first["answer"]
    page, _ = document(
        "scene_file",
        SHEETS,
        POLICY,
        title=title,
        theme=theme,
        first=first,
        hidden=hidden,
        told=told | {"numbers": _plain(told.get("numbers", ""))},
        steps=_plain(inline(list(steps))),
        scenes=_packed(scenes),
    )
    return page


def document(start: str, sheets: Sequence[str], policy: str = "", **shown: Any) -> tuple[str, str]:
    """A page round a stage, in the language in use, and the fingerprints of the scripts it runs.

    Parameters
    ----------
    start : name of the script that starts it
    sheets : names of style sheets
    policy : of the page, with ``{scripts}`` for those fingerprints; left out, it comes with the page's answer
    shown : what else ``browser/scene_page.html`` is filled with
    """
    drawing = _library()
    script = f"window.plane3dWords = {inline(browser_words(current()))}\n{bundle(start)}"
    scripts = f"{fingerprint(script)} {fingerprint(drawing.decode('utf-8'))}"
    template = Environment(autoescape=True).from_string((BROWSER / "scene_page.html").read_text(encoding="utf-8"))
    page = template.render(
        tr=tr,
        trc=trc,
        language=current(),
        policy=policy.format(scripts=scripts),
        icon=icon(),
        style=_plain("".join(styles(*sheets))),
        stage_style=_plain("".join([*styles("labels", "stage"), ON_STAGE])),
        numbers_style=_plain("".join([*styles("common", "numbers"), NARROW])),
        cautions=[tr(caution) for caution in CAUTIONS],
        comes_first=tr(COMES_FIRST),
        licence=_plain((BROWSER / "vtk_licence.txt").read_text(encoding="utf-8")),
        drawing=_packed(drawing),
        script=_plain(script),
        **shown,
    )
    return page, scripts


def _plain(text: str) -> Markup:
    """Text that goes in as it is: our own, or already escaped."""
    return Markup(text)


@lru_cache(maxsize=1)
def _library() -> bytes:
    """vtk.js, which comes with panel. Raises Plane3dError where it does not."""
    panel = find_spec("panel")
    folders = panel.submodule_search_locations if panel else None
    found = sorted(Path((folders or ["."])[0]).glob("dist/bundled/abstractvtkplot/vtk.js@*/vtk.js"))
    if not found:
        raise Plane3dError(tr("the drawing library is not where panel keeps it; install plane3d anew"))
    return found[-1].read_bytes()


def _packed(data: bytes) -> str:
    """Bytes deflated, as text that may stand in a document."""
    return base64.b64encode(zlib.compress(data, 9)).decode("ascii")
