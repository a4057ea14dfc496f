"""The command of the hitters' log: log."""

from __future__ import annotations

import argparse
import os
from datetime import date
from itertools import groupby
from pathlib import Path

from plane3d.cli_studies import Commands, language_option
from plane3d.errors import Plane3dError
from plane3d.language import mark, tr
from plane3d.log import FIGURES, Hitter, Log, LogError, Swing, default_path, held
from plane3d.log.csv_text import csv_text
from plane3d.log.said import figure_words, hitter_words, hitters_words, swings_words
from plane3d.log.trend import caution, compare, split, trend
from plane3d.terminal import write

NO_FIGURES = mark("no figures")


def file_option(parser: argparse.ArgumentParser, name: str) -> None:
    """Which file the log is in."""
    parser.add_argument(
        name, type=Path, default=default_path(), metavar="FILE", help="file of the hitters' log (default %(default)s)"
    )


def add_commands(commands: Commands) -> None:
    """Add the command to those of plane3d."""
    log = commands.add_parser("log", help="the hitters' log: list, show, trend, export, back up, delete")
    file_option(log, "--file")
    parts = log.add_subparsers(required=True, metavar="what")

    one = _part(parts, "list", "all hitters", _list)
    one = _part(parts, "show", "the swings of a hitter", _show, code=True)
    one.add_argument("--metric", action="store_true", help="words in km/h, cm and m")
    one = _part(parts, "trend", "what a figure of a hitter does over time", _trend, code=True)
    one.add_argument("figure", help="its name as in the CSV, such as bat_speed_mph")
    one.add_argument("--split", type=_day, metavar="DAY", help="compare before with from this day on: 2026-03-14")
    one.add_argument("--metric", action="store_true", help="words in km/h, cm and m")
    one = _part(parts, "export", "the log, or one hitter, as CSV (docs/log.md)", _export)
    one.add_argument("code", nargs="?", help="code of the hitter; else all")
    one.add_argument("-o", "--output", type=Path, metavar="FILE", help="write it here")
    one = _part(parts, "backup", "copy the whole log", _backup)
    one.add_argument("copy", type=Path, metavar="OUT")
    one = _part(parts, "restore", "put the log back as it was in a backup", _restore)
    one.add_argument("copy", type=Path, metavar="IN")
    one.add_argument("--yes", action="store_true", help="do not ask")
    one = _part(parts, "delete", "delete a hitter and all their swings for good", _delete, code=True)
    one.add_argument("--yes", action="store_true", help="do not ask")


def _part(parts: Commands, name: str, about: str, command: object, code: bool = False) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = parts.add_parser(name, help=about)
    if code:
        parser.add_argument("code", help="code of the hitter")
    language_option(parser)
    parser.set_defaults(command=command)
    return parser


def _day(text: str) -> date:
    """A day, for argparse."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} must be a day such as 2026-03-14") from None


def _log(options: argparse.Namespace) -> Log:
    """The log that is there; raises LogError rather than making one."""
    log = Log(options.file, at_once=False)
    if not log.exists:
        raise LogError(tr("There is no log yet: {file} is not there.", file=options.file))
    return log


def _hitter(log: Log, code: str) -> Hitter:
    found = next((hitter for hitter in log.hitters() if hitter.code == code), None)
    if found is None:
        raise LogError(tr('The log has no hitter "{code}".', code=code))
    return found


def _list(options: argparse.Namespace) -> int:
    log = Log(options.file, at_once=False)
    counts = log.counts() if log.exists else {}
    if not counts:
        write(tr("The log holds no hitters."))
        return 0
    wide = max(map(len, counts))
    for hitter in log.hitters():
        write(f"{hitter.code:<{wide}}  {swings_words(counts[hitter.code]):>12}  {hitter_words(hitter)}".rstrip())
    return 0


def _show(options: argparse.Namespace) -> int:
    log = _log(options)
    hitter = _hitter(log, options.code)
    write("\n".join(_plain(line) for line in (hitter.code, hitter_words(hitter), hitter.note) if line))
    for day, swings in groupby(log.swings(hitter.code), key=lambda swing: swing.day):
        write(f"\n{day.isoformat()}")
        for swing in swings:
            write("\n".join(_swing_lines(swing, options.metric)))
    return 0


def _swing_lines(swing: Swing, metric: bool) -> list[str]:
    """A swing's number and figures, and below them what is said of it."""
    known = (name for name in FIGURES if name in swing.figures)
    figures = ", ".join(f"{tr(FIGURES[name])} {figure_words(name, swing.figures[name], metric)}" for name in known)
    about = (_plain(text) for text in (swing.source, swing.session, swing.note) if text)
    return [f"{swing.number:>6}  {figures or tr(NO_FIGURES)}", *(f"        {text}" for text in about)]


def _plain(text: str) -> str:
    """A viewer's text on one line, without signs that a terminal would obey."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _trend(options: argparse.Namespace) -> int:
    swings = _log(options).swings(options.code)
    if options.split is None:
        found = trend(swings, options.figure)
        said = found.sentence(options.metric), caution(found)
    else:
        two = compare(*split(swings, options.split), options.figure)
        said = two.sentence(options.metric), caution(two)
    write(" ".join(words for words in said if words))
    return 0


def _export(options: argparse.Namespace) -> int:
    log = _log(options)
    if options.code is not None:
        _hitter(log, options.code)
    text = csv_text(log, options.code)
    if options.output is None:
        write(text.replace("\r\n", "\n").rstrip("\n"))
        return 0
    try:
        with open(os.open(options.output, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8",
                  newline="") as file:  # fmt: skip
            file.write(text)
    except OSError as error:
        where = tr("{path}: cannot be written ({reason})", path=options.output, reason=error.strerror)
        raise Plane3dError(where) from error
    return 0


def _backup(options: argparse.Namespace) -> int:
    _log(options).backup(options.copy)
    write(tr("The whole log was copied into {file}.", file=options.copy))
    return 0


def _restore(options: argparse.Namespace) -> int:
    log = Log(options.file, at_once=False)
    hitters, swings = held(options.copy)
    question = tr(
        '{file} holds {hitters} and {swings}. All of the present log goes. Type "yes": ',
        file=options.copy.name, hitters=hitters_words(hitters), swings=swings_words(swings),
    )  # fmt: skip
    if not log.exists or _agreed(options, question, "yes", tr("yes")):
        log.restore(options.copy)
        write(tr("The log is as it was in {file}.", file=options.copy))
    return 0


def _delete(options: argparse.Namespace) -> int:
    log = _log(options)
    _hitter(log, options.code)
    question = tr("This deletes {code} and all their swings for good. Type the code: ", code=options.code)
    if _agreed(options, question, options.code):
        write(log.delete_hitter(options.code).sentence())
    return 0


def _agreed(options: argparse.Namespace, question: str, *answers: str) -> bool:
    """Whether a person says so; raises LogError where nobody can be asked."""
    if options.yes:
        return True
    try:
        given = input(question)
    except EOFError as error:
        raise LogError(tr("Nothing was changed: nobody can be asked here; say it with --yes.")) from error
    if given.strip() in answers:
        return True
    write(tr("Nothing was changed."))
    return False
