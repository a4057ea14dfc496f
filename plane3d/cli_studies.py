"""The commands of the studies: spread, remedy, target, compare, plan."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from plane3d import plan, practice_sheet
from plane3d.drills import SUPPLIED, load_drills
from plane3d.errors import Plane3dError
from plane3d.language import ENGLISH, LANGUAGES, tr
from plane3d.lesson import is_lesson
from plane3d.pitch_set import is_pitch_set, load_or_refuse
from plane3d.scenario import Scenario, load_playable
from plane3d.studies.remedy import PLACES
from plane3d.study import remedy, scatter, spread, target, versus
from plane3d.terminal import Progress, save, write

Commands = Any  # what argparse's add_subparsers gives; its type has no public name
T = TypeVar("T")
SCATTERS = {
    "timing": ("timing_ms", "MS"),
    "height": ("height_in", "IN"),
    "depth": ("depth_in", "IN"),
    "along": ("along_in", "IN"),
    "bat_speed": ("bat_speed_mph", "MPH"),
}


def add_commands(commands: Commands) -> None:
    """Add the studies to the commands of plane3d."""
    one = commands.add_parser("spread", help="what thousands of scattered swings give")
    one.add_argument("file", type=Path)
    _scatter_options(one, spread.PLAYS, spread.MOST_PLAYS, "how many (default %(default)s)")
    answer_options(one)
    one.set_defaults(command=_spread)

    one = commands.add_parser("remedy", help="the smallest single change that makes the ball asked for")
    one.add_argument("file", type=Path)
    one.add_argument(
        "--goal", required=True, metavar="KIND[,KIND]", help=f"kinds that will do: {', '.join(remedy.FAIR_KINDS)}"
    )
    one.add_argument("--to", choices=PLACES, default=PLACES[0], help="where it must go (default %(default)s)")
    answer_options(one)
    one.set_defaults(command=_remedy)

    one = commands.add_parser("target", help="the launch angles to train for")
    one.add_argument("file", type=Path)
    answer_options(one)
    one.set_defaults(command=_target)

    one = commands.add_parser("compare", help="two swings under the same scatter against the same pitches")
    one.add_argument("first", type=Path)
    one.add_argument("second", type=Path)
    one.add_argument("--pitches", type=Path, metavar="SET", help="a pitch set; else nine places of the strike zone")
    one.add_argument("--held", action="store_true", help="hold each swing where it is; else it aims at each pitch")
    _scatter_options(one, versus.PLAYS, versus.MOST_PLAYS, "how many of each pitch (default %(default)s)")
    answer_options(one)
    one.set_defaults(command=_compare)

    one = commands.add_parser("plan", help="a practice sheet: what to work on, three drills, what to measure")
    one.add_argument("file", type=Path)
    one.add_argument("--drills", type=Path, default=SUPPLIED, metavar="FILE", help="a file of drills of your own")
    one.add_argument("-o", "--output", type=Path, metavar="FILE", help="write the sheet (Markdown) here")
    one.add_argument("--metric", action="store_true", help="words in km/h, cm and m")
    _scatter_options(one, plan.PLAYS, plan.MOST_PLAYS, "swings in each replay (default %(default)s)")
    language_option(one)
    one.set_defaults(command=_plan)


def language_option(parser: argparse.ArgumentParser) -> None:
    """The language that the answer and the messages are in."""
    parser.add_argument("--language", choices=LANGUAGES, default=ENGLISH, help="of the words (default %(default)s)")


def scenario_in(path: Path, command: str) -> Scenario:
    """The scenario in a file, tried out, for a command; raises Plane3dError also for a lesson or a pitch set."""
    if is_lesson(path):
        raise Plane3dError(
            tr("{path}: is a lesson, a list of scenarios; {command} takes one scenario", path=path, command=command)
        )
    if is_pitch_set(path):
        raise Plane3dError(
            tr("{path}: is a pitch set, a list of pitches; {command} takes a scenario", path=path, command=command)
        )
    return load_playable(path)


def answer_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print every number, in the units its name ends in")
    parser.add_argument("--metric", action="store_true", help="words in km/h, cm and m")
    language_option(parser)


def _scatter_options(parser: argparse.ArgumentParser, plays: int, most: int, about: str) -> None:
    parser.add_argument("--plays", type=whole_number(1, most), default=plays, metavar="N", help=about)
    parser.add_argument(
        "--seed",
        type=whole_number(0, 2**32 - 1),
        default=spread.SEED,
        metavar="S",
        help="of the draws (default %(default)s)",
    )
    for option, (name, unit) in SCATTERS.items():
        words = scatter.QUANTITIES[name].label[:1].lower() + scatter.QUANTITIES[name].label[1:]
        parser.add_argument(
            f"--{option.replace('_', '-')}",
            type=float,
            metavar=unit,
            help=f"{words}; else what is typical of the level",
        )


def whole_number(low: int, high: int) -> Callable[[str], int]:
    """A whole number within limits, for argparse."""

    def read(text: str) -> int:
        if not text.isascii() or not text.isdigit() or len(text) > 12 or not low <= int(text) <= high:
            raise argparse.ArgumentTypeError(f"{text!r} must be a whole number from {low} to {high}")
        return int(text)

    return read


def _asked_scatter(options: argparse.Namespace, level: str) -> scatter.Scatter:
    given = {name: getattr(options, option) for option, (name, _) in SCATTERS.items()}
    return scatter.scatter(level, {name: value for name, value in given.items() if value is not None})


def _told(study: Callable[[Progress], T | None]) -> T:
    """A study with its progress shown."""
    with Progress() as progress:
        found = study(progress)
    if found is None:  # only a progress that says stop does this, and ours never does
        raise Plane3dError(tr("stopped"))
    return found


def _print(options: argparse.Namespace, study: Any, found: Any) -> int:
    """The answer of a study as JSON or as words."""
    if options.json:
        write(json.dumps(study.block(found), indent=1, allow_nan=False))
    else:
        write(study.text(found, options.metric))
    return 0


def _spread(options: argparse.Namespace) -> int:
    scenario = scenario_in(options.file, "spread")
    asked = _asked_scatter(options, scenario.setting.level)
    found = _told(lambda progress: spread.run(scenario, asked, options.plays, options.seed, progress))
    return _print(options, spread, found)


def _remedy(options: argparse.Namespace) -> int:
    goal = remedy.goal(options.goal, options.to)
    return _print(options, remedy, remedy.run(scenario_in(options.file, "remedy"), goal))


def _target(options: argparse.Namespace) -> int:
    return _print(options, target, target.run(scenario_in(options.file, "target")))


def _compare(options: argparse.Namespace) -> int:
    first, second = (scenario_in(path, "compare") for path in (options.first, options.second))
    pitches = None if options.pitches is None else load_or_refuse(options.pitches)
    asked = _asked_scatter(options, first.setting.level)
    found = _told(
        lambda progress: versus.run(first, second, pitches, options.held, asked, options.plays, options.seed, progress)
    )
    return _print(options, versus, found)


def _plan(options: argparse.Namespace) -> int:
    drills = load_drills(options.drills)
    scenario = scenario_in(options.file, "plan")
    asked = _asked_scatter(options, scenario.setting.level)
    found = _told(lambda progress: plan.plan(scenario, asked, drills, options.plays, options.seed, progress))
    text = practice_sheet.sheet(found, options.metric)
    if options.output is None:
        write(text.rstrip("\n"))
    else:
        save(text, options.output)
    return 0
