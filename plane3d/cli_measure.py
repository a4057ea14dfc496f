"""The command of measured swings: measure."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from plane3d.cli_studies import Commands, language_option, scenario_in
from plane3d.errors import Plane3dError
from plane3d.language import tr
from plane3d.measured import measure, video
from plane3d.measured.files import read_bytes, text_of
from plane3d.measured.marks_file import loads
from plane3d.measured.placing import OWN_AXES
from plane3d.measured.table import UNITS
from plane3d.scenario import Scenario
from plane3d.terminal import save, write


def add_commands(commands: Commands) -> None:
    """Add the command to those of plane3d."""
    one = commands.add_parser("measure", help="a measured swing against a scenario's pitch, with errors")
    one.add_argument("file", type=Path, help="scenario with pitch, bat and hitter")
    one.add_argument(
        "swing", type=Path, help="timed points of the bat, CSV or C3D, or marks in films, JSON (docs/measured.md)"
    )
    one.add_argument("--impact", type=float, metavar="S", help="time of contact in the file, s; else it is looked for")
    one.add_argument("--no-hit", action="store_true", help="the bat touched nothing at that time")
    one.add_argument(
        "--axes", type=_parts, default=OWN_AXES, metavar="X,Y,Z",
        help="where the file's axes point: first, third, pitcher, catcher, up, down (default first,pitcher,up)",
    )  # fmt: skip
    one.add_argument(
        "--plate", type=_numbers, default=(0.0, 0.0, 0.0), metavar="X,Y,Z", help="rear point of the plate in the file"
    )
    one.add_argument("--plate-unit", choices=UNITS["length"], default="m", help="of --plate (default %(default)s)")
    one.add_argument("--knob", default="knob", metavar="NAME", help="marker of a C3D file (default %(default)s)")
    one.add_argument("--tip", default="tip", metavar="NAME", help="marker of a C3D file (default %(default)s)")
    one.add_argument("--unit", default="", help="of a C3D file that states none")
    one.add_argument(
        "-o", dest="output", type=Path, metavar="FILE.toml", help="write the scenario with this swing, for every study"
    )
    one.add_argument("--json", action="store_true", help="print every number, in the units its name ends in")
    one.add_argument("--metric", action="store_true", help="words in km/h, cm and m")
    language_option(one)
    one.set_defaults(command=_measure)


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(","))


def _numbers(text: str) -> tuple[float, ...]:
    """Three numbers, for argparse."""
    try:
        found = tuple(float(part) for part in text.split(","))
    except ValueError:
        found = ()
    if len(found) != 3:
        raise argparse.ArgumentTypeError(f"{text!r} must be three numbers such as 0,0,0")
    return found


def _measure(options: argparse.Namespace) -> int:
    scenario = scenario_in(options.file, "measure")
    if options.swing.suffix.lower() == ".json":
        return _measure_marks(options, scenario)
    placing = measure.placed(options.axes, options.plate, unit=options.plate_unit)
    markers = (options.knob, options.tip)
    found = measure.run(
        options.swing, scenario, placing, None, markers, options.unit, options.impact, not options.no_hit
    )
    _save(options, found)
    if options.json:
        write(json.dumps(measure.block(found), indent=1, allow_nan=False))
    else:
        write(measure.text(found, options.metric))
    return 0


def _measure_marks(options: argparse.Namespace, scenario: Scenario) -> int:
    """Work saved by the page of films; what its marks tell is printed even where they make no swing."""
    name = str(options.swing)
    answer = video.run(loads(text_of(read_bytes(options.swing), name), name), scenario, name)
    if options.json:
        write(json.dumps(video.block(answer), indent=1, allow_nan=False))
    else:
        write(video.text(answer, options.metric))
    if answer.refused is not None:
        raise answer.refused
    _save(options, answer.found)
    return 0


def _save(options: argparse.Namespace, found: measure.Found | None) -> None:
    """Write the scenario with the measured swing, if that was asked for."""
    if options.output is None:
        return
    if found is None:
        raise Plane3dError(tr("One view gives no swing that a scenario could have; {file} is not written.",
                              file=options.output))  # fmt: skip
    save(found.measured_scenario().to_toml(), options.output)
