"""The command of files to take home: render."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

import numpy as np

from plane3d.cli_studies import Commands, language_option, scenario_in
from plane3d.drills import is_drills
from plane3d.errors import Plane3dError
from plane3d.export.files import write_whole
from plane3d.export.kinds import KINDS, LOOKS, Kind
from plane3d.export.paper import PAPERS
from plane3d.export.subject import Subject, Wishes
from plane3d.frames import cross, norm
from plane3d.language import tr
from plane3d.lesson import Lesson, is_lesson, load_lesson
from plane3d.pitch_set import is_pitch_set
from plane3d.quantities import choices
from plane3d.scene.apart import DrawingError, Painter, Progress
from plane3d.scene.parts import Camera
from plane3d.scene.style import THEMES
from plane3d.terminal import Progress as Shown
from plane3d.terminal import complain, write

LARGEST, SMALLEST = (3840, 2160), 160  # pixels
FAR, SEEN = 1000.0, (1.0, 150.0)  # m that a camera may stand away, deg that it may see
OPTIONS = {"rate": "fps"}  # what an option is called where it is not as its wish


@dataclass(frozen=True)
class Job:
    """One thing to write: a scenario's file, or that of a whole lesson."""

    about: Subject | Lesson
    path: Path


def add_commands(commands: Commands) -> None:
    """Add the command to those of plane3d."""
    one = commands.add_parser("render", help="pictures, films, pages, numbers and solids of scenarios, as files")
    one.add_argument("file", type=Path, help="scenario or lesson, or a folder of scenarios")
    one.add_argument(
        "-o", "--output", type=Path, required=True, metavar="NAME",
        help=f"the file, whose ending says the kind ({', '.join(all_kinds())}), or with --kind a folder",
    )  # fmt: skip
    one.add_argument("--kind", choices=all_kinds(), help="of the files in a folder: one for each scenario")
    one.add_argument("--replace", action="store_true", help="write anew what the folder has already")
    one.add_argument("--view", choices=choices()["view.camera"], help="where it is seen from (default: as in the file)")
    one.add_argument(
        "--camera", type=_camera, metavar="NUMBERS",
        help="stand elsewhere: its place, the point it looks at and its up, x,y,z (m) each, and its opening (deg)",
    )  # fmt: skip
    one.add_argument("--size", type=_size, metavar="WxH", help="pixels, up to 3840x2160 (films 1280x720)")
    one.add_argument("--time", type=_number(-500, 1000, 0.001), metavar="MS", help="of a picture, from contact")
    one.add_argument("--speed", type=_share, metavar="1/N", help="of a film's slow motion (default 1/20)")
    one.add_argument("--seconds", type=_number(1, 120), metavar="S", help="length of a film (default 12)")
    one.add_argument("--fps", dest="rate", type=_number(1, 60), metavar="N", help="pictures of a film a second")
    one.add_argument("--theme", choices=THEMES, help="colours for a bright room or a dark one (default light)")
    one.add_argument("--paper", choices=PAPERS, help="of a PDF (default letter, with --metric a4)")
    one.add_argument("--figure", action="store_true", default=None, help="with the hitter's figure")
    one.add_argument("--metric", action="store_true", default=None, help="words in km/h, cm and m")
    one.add_argument("--lines", action="store_true", help="how far it is on lines of their own, for programs")
    language_option(one)
    one.set_defaults(command=_render)


def all_kinds() -> dict[str, Kind]:
    """Every kind of file by its ending; the page that stands alone is made by the apps."""
    return KINDS | {"html": Kind(_page, heeds=("view", "theme", "metric"), lesson=_lesson_page)}


def _page(subject: Subject, path: Path, wishes: Wishes, painter: Any, progress: Progress) -> None:
    from apps.files import new_step  # the web libraries take seconds to import; no other kind needs them
    from apps.scene_page import scene_page

    step = subject.step or new_step(subject.scenario)
    if subject.view is not None:
        step = replace(step, view=subject.view)
    text = scene_page([step], subject.scenario.title, metric=subject.metric, theme=subject.theme)
    write_whole(text.encode(), path)


def _lesson_page(
    lesson: Lesson, path: Path, looks: dict[str, Any], wishes: Wishes, painter: Any, progress: Progress
) -> None:
    from apps.scene_page import lesson_page

    if "view" in looks:
        lesson = replace(lesson, steps=tuple(replace(step, view=looks["view"]) for step in lesson.steps))
    rest = {name: look for name, look in looks.items() if name != "view"}
    write_whole(lesson_page(lesson, **rest).encode(), path)


def _size(text: str) -> tuple[int, int]:
    found = re.fullmatch(r"(\d{1,5})[xX×](\d{1,5})", text, re.ASCII)
    width, height = map(int, found.groups()) if found else (0, 0)
    most = LARGEST[0] * LARGEST[1]
    if min(width, height) < SMALLEST or max(width, height) > LARGEST[0] or width * height > most:
        raise argparse.ArgumentTypeError(f"{text!r} must be pixels such as 1920x1080, from 160x160 to 3840x2160")
    return width, height


def _camera(text: str) -> Camera:
    """Ten numbers as a camera, for argparse."""
    try:
        x, y, z, *rest = (float(part) for part in text.split(","))
        point_x, point_y, point_z, up_x, up_y, up_z, angle = rest
        camera = Camera((x, y, z), (point_x, point_y, point_z), (up_x, up_y, up_z), angle)
    except ValueError:
        camera = Camera((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    along = np.subtract(camera.focal_point, camera.position)
    near = np.abs([camera.position, camera.focal_point, camera.up]).max() < FAR
    if not (near and norm(cross(along, np.array(camera.up))) > 0 and SEEN[0] <= camera.view_angle_deg <= SEEN[1]):
        told = f"{text!r} must be ten numbers: x,y,z of its place, of the point it looks at, of up, and degrees"
        raise argparse.ArgumentTypeError(told)
    return camera


def _number(low: float, high: float, unit: float = 1.0) -> Callable[[str], float]:
    """A number within limits, for argparse, times its unit."""

    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(f"{text!r} must be a number from {low:g} to {high:g}")
        return value * unit

    return read


def _share(text: str) -> float:
    """A share such as 1/20 or 0.05, for argparse."""
    try:
        top, _, bottom = text.partition("/")
        value = float(top) / float(bottom or 1)
    except (ValueError, ZeroDivisionError):
        value = float("nan")
    if not 0.002 <= value <= 1:
        raise argparse.ArgumentTypeError(f"{text!r} must be a share of the real speed such as 1/20, at most 1")
    return value


def _render(options: argparse.Namespace) -> int:
    kind = all_kinds()[_ending(options)]
    _refuse_unheeded(options, kind)
    # The process that draws gets ready while files are read and plays computed.
    with Painter() if kind.draws else nullcontext() as painter, Shown(options.lines) as shown:
        jobs, problems = _jobs(options, kind)
        written: list[Path] = []
        for place, job in enumerate(jobs):

            def progress(share: float, place: int = place) -> bool:
                return shown((place + share) / len(jobs))

            try:
                _write(job, options, kind, painter, progress)
                written += (job.path,) if isinstance(job.about, Lesson) else kind.files(job.path)
            except DrawingError:  # nothing else can be drawn either
                raise
            except Plane3dError as error:
                problems.append(error)
            shown((place + 1) / len(jobs))
    for path in written:
        write(tr("{path}: written", path=path))
    for problem in problems:
        complain(problem)
    return 1 if problems else 0


def _ending(options: argparse.Namespace) -> str:
    """The kind asked for, by its ending."""
    ending = options.output.suffix.lower().lstrip(".")
    known = ending in all_kinds()
    if options.kind is None and not known:
        kinds = ", ".join(f".{name}" for name in all_kinds())
        told = tr("{path}: its ending must say the kind, one of {kinds}; or give --kind and a folder",
                  path=options.output, kinds=kinds)  # fmt: skip
        raise Plane3dError(told)
    if options.kind is not None and known and not options.output.is_dir():
        raise Plane3dError(tr("{path}: with --kind this must be a folder", path=options.output))
    return options.kind or ending


def _refuse_unheeded(options: argparse.Namespace, kind: Kind) -> None:
    """Raises Plane3dError for an option that would make no difference."""
    for name in (*LOOKS, *(field.name for field in fields(Wishes))):
        if getattr(options, name) is not None and name not in kind.heeds:
            option = f"--{OPTIONS.get(name, name)}"
            raise Plane3dError(tr("{option} makes no difference to .{kind} files; leave it out",
                                  option=option, kind=_ending(options)))  # fmt: skip


def _looks(options: argparse.Namespace) -> dict[str, Any]:
    """The looks that were asked for, by name."""
    return {name: getattr(options, name) for name in LOOKS if getattr(options, name) is not None}


def _jobs(options: argparse.Namespace, kind: Kind) -> tuple[list[Job], list[Plane3dError]]:
    """What is to be written, and what of a folder cannot be."""
    file, target, looks = options.file, options.output, _looks(options)
    if not file.is_dir() and not is_lesson(file):
        path = target if options.kind is None else target / f"{file.stem}.{options.kind}"
        found: list[tuple[Subject | Plane3dError, Path]] = [(Subject(scenario_in(file, "render"), **looks), path)]
    elif options.kind is None and not file.is_dir() and kind.lesson is not None:
        return [Job(load_lesson(file), target)], []
    elif options.kind is None:
        raise Plane3dError(
            tr("{path}: holds several scenarios; name a folder with -o and the kind with --kind", path=file)
        )
    else:
        several = _in_folder(file, looks) if file.is_dir() else _in_lesson(file, looks)
        found = [(about, target / f"{name}.{options.kind}") for name, about in several]
        if not found:
            raise Plane3dError(tr("{path}: no scenario stands in this folder", path=file))
    if options.kind is not None:
        _make_folder(target)
    problems = [about for about, _ in found if isinstance(about, Plane3dError)]
    jobs = []
    for about, path in found:
        there = [] if options.kind is None or options.replace else [one for one in kind.files(path) if one.exists()]
        problems += [Plane3dError(tr("{path}: is there already; --replace writes it anew", path=one)) for one in there]
        if not there and isinstance(about, Subject):
            jobs.append(Job(about, path))
    return jobs, problems


def _in_folder(folder: Path, looks: dict[str, Any]) -> Iterator[tuple[str, Subject | Plane3dError]]:
    """Each scenario of a folder by name, or why it cannot be used; lessons, pitch sets and drills are passed over."""
    for path in sorted(folder.glob("*.toml")):
        try:
            if not (is_lesson(path) or is_pitch_set(path) or is_drills(path)):
                yield path.stem, Subject(scenario_in(path, "render"), **looks)
        except Plane3dError as error:
            yield path.stem, error


def _in_lesson(path: Path, looks: dict[str, Any]) -> Iterator[tuple[str, Subject]]:
    """Each step of a lesson by a name that keeps the order."""
    for place, step in enumerate(load_lesson(path).steps, start=1):
        yield f"step-{place:02d}-{re.sub(r'^[0-9]+-', '', step.path.stem)}", Subject(step.scenario, step, **looks)


def _make_folder(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Plane3dError(tr("{path}: cannot be written ({reason})", path=path, reason=error.strerror)) from error


def _write(job: Job, options: argparse.Namespace, kind: Kind, painter: Painter | None, progress: Progress) -> None:
    wishes = Wishes(**{field.name: getattr(options, field.name) for field in fields(Wishes)})
    if not isinstance(job.about, Lesson):
        kind.make(job.about, job.path, wishes, painter, progress)
    elif kind.lesson is not None:
        kind.lesson(job.about, job.path, _looks(options), wishes, painter, progress)
