"""The command line. Exit codes: 0 fine, 1 bad input, 2 wrong use, 130 stopped with Ctrl+C."""

from __future__ import annotations

import argparse
import json
import re
import socket
import sys
from contextlib import nullcontext
from pathlib import Path

from plane3d import __version__, cli_log, cli_measure, cli_render, cli_sensitivity, compare
from plane3d.answers import check_answers
from plane3d.cli_studies import add_commands, language_option, scenario_in
from plane3d.drills import is_drills, load_drills
from plane3d.errors import Plane3dError
from plane3d.language import speaking, tr
from plane3d.lesson import Lesson, is_lesson, load_any
from plane3d.pitch_set import is_pitch_set, load_pitch_set
from plane3d.report import text
from plane3d.scenario import load_playable
from plane3d.study import sure
from plane3d.terminal import write

HOST = "127.0.0.1"  # loopback only: nobody else on the network reaches the page
DEFAULT_PORT = 5006
STOPPED = 130  # what a shell expects after Ctrl+C


def main(arguments: list[str] | None = None) -> int:
    """Run a command; returns the exit code. Wrong use leaves through argparse with code 2."""
    for stream in (sys.stdout, sys.stderr):
        if reconfigure := getattr(stream, "reconfigure", None):
            reconfigure(errors="backslashreplace")  # a terminal that cannot print a sign still gets the sentence
    options = _parser().parse_args(arguments)
    # Each session of the page has a language of its own.
    with speaking(options.language) if "language" in options else nullcontext():
        try:
            return int(options.command(options))
        except Plane3dError as error:
            print(error, file=sys.stderr)
            return 1
        except BrokenPipeError:  # the reader, such as `head`, had enough
            return 0
        except KeyboardInterrupt:
            print(tr("stopped"), file=sys.stderr)
            return STOPPED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="plane3d", description="Show and compute how a bat and a ball meet.")
    parser.add_argument("--version", action="version", version=f"plane3d {__version__}")
    commands = parser.add_subparsers(required=True, metavar="command")

    serve = commands.add_parser("serve", help="open the page in a browser")
    serve.add_argument("file", nargs="?", type=Path, help="scenario or lesson to start with")
    serve.add_argument("--port", type=_port, default=DEFAULT_PORT, help="0 picks a free one (default %(default)s)")
    cli_log.file_option(serve, "--log")
    serve.add_argument("--no-open", action="store_true", help="print the address and open no browser")
    serve.add_argument("--share", action="store_true", help="let phones in the local network follow what is shown")
    serve.add_argument("--share-port", type=_port, metavar="PORT", help="of the page that they open (default 5007)")
    serve.add_argument("--share-address", type=_name, metavar="ADDRESS", help="under which they reach this machine")
    serve.add_argument("--new", action="store_true", help="share with a new join code and a new token")
    serve.set_defaults(command=_serve)

    check = commands.add_parser("check", help="say what is wrong in scenario, lesson, pitch set or drill files")
    check.add_argument("files", nargs="+", type=Path, metavar="file")
    language_option(check)
    check.set_defaults(command=_check)

    solve = commands.add_parser("solve", help="print what happens in a scenario")
    solve.add_argument("file", type=Path)
    solve.add_argument("--against", type=Path, metavar="file", help="a second scenario, to print what differs")
    solve.add_argument("--sure", action="store_true", help="also how sure it is, as far as the model's own numbers go")
    solve.add_argument("--json", action="store_true", help="print every number, in the units its name ends in")
    solve.add_argument("--metric", action="store_true", help="words in km/h, cm and m")
    language_option(solve)
    solve.set_defaults(command=_solve)

    add_commands(commands)
    cli_sensitivity.add_commands(commands)
    cli_render.add_commands(commands)
    cli_measure.add_commands(commands)
    cli_log.add_commands(commands)
    return parser


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > 65535:
        raise argparse.ArgumentTypeError(f"{text!r} must be a whole number from 0 to 65535")
    return int(text)


def _name(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9.-]+", text):
        raise argparse.ArgumentTypeError(f"{text!r} must be an address such as 192.0.2.7 or a machine's name")
    return text


def _serve(options: argparse.Namespace) -> int:
    if options.file is not None:
        load_any(options.file)  # a mistake is told here, before a page opens
    port = _free_port(options.port)
    from apps.page import serve  # the web libraries take seconds to import; no other command needs them

    where = "lesson" if options.file is not None and is_lesson(options.file) else ""
    print(f"plane3d is at http://{HOST}:{port}/{where} (stop it with Ctrl+C)", flush=True)
    viewers = None
    if options.share:
        from apps.share_start import how_to_join, viewers_server

        viewers = viewers_server(options.share_port, options.share_address or "", options.new)
        print(how_to_join(viewers, f"http://{HOST}:{port}/"), flush=True)
    try:
        serve(options.file, port, not options.no_open, options.log, viewers)
    except KeyboardInterrupt:
        print()
    return 0


def _free_port(port: int) -> int:
    """The port itself, or any free one for 0; raises Plane3dError if another program holds it."""
    with socket.socket() as probe:
        if sys.platform != "win32":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a page stopped a moment ago is no obstacle
        try:
            probe.bind((HOST, port))
        except OSError as error:
            advice = "give another with --port, or --port 0 for any free one"
            raise Plane3dError(f"port {port} cannot be used ({error.strerror}); {advice}") from error
        return int(probe.getsockname()[1])


def _check(options: argparse.Namespace) -> int:
    bad = 0
    for path in options.files:
        try:
            _check_one(path)
            write(tr("{path}: fine", path=path))
        except Plane3dError as error:
            print(error, file=sys.stderr)
            bad = 1
    return bad


def _check_one(path: Path) -> None:
    """Raises Plane3dError for whatever is wrong with a file."""
    if is_pitch_set(path):
        load_pitch_set(path)
    elif is_drills(path):
        load_drills(path)
    elif isinstance(loaded := load_any(path) if is_lesson(path) else load_playable(path), Lesson):
        check_answers(loaded, str(path))


def _solve(options: argparse.Namespace) -> int:
    first = _solved(options.file)
    second = None if options.against is None else _solved(options.against)
    known = sure.run(first.scenario) if options.sure else None
    if options.json:
        other = {} if second is None else {"against": compare.against(first, second)}
        other |= {} if known is None else {"sure": sure.block(known)}
        write(json.dumps(first.answer | other, indent=1, allow_nan=False))
    elif second is not None:
        write(compare.text(first, second, options.metric))
    else:
        line = "" if known is None else sure.line(known, options.metric)
        write(text(first.scenario.title, first.play.result, first.answer, options.metric, line))
    return 0


def _solved(path: Path) -> compare.Case:
    return compare.solved(scenario_in(path, "solve"))
