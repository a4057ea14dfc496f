"""``plane3d sensitivity FILE``: which inputs and which coefficients matter most."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from plane3d.cli_studies import answer_options, scenario_in, whole_number
from plane3d.studies.sensitivity import NAMES
from plane3d.study import sensitivity
from plane3d.terminal import write

BY = {name.replace("_", "-"): name for name in NAMES}


def add_commands(commands: Any) -> None:
    """Add the study to the commands of plane3d."""
    one = commands.add_parser("sensitivity", help="which inputs and coefficients matter most, and how sure it is")
    one.add_argument("file", type=Path)
    one.add_argument("--by", choices=BY, default="launch-angle", help="put in this order (default %(default)s)")
    one.add_argument(
        "--draws",
        type=whole_number(10, sensitivity.MOST_DRAWS),
        default=sensitivity.DRAWS,
        metavar="N",
        help="of the coefficients (default %(default)s)",
    )
    one.add_argument(
        "--seed",
        type=whole_number(0, 2**32 - 1),
        default=sensitivity.SEED,
        metavar="S",
        help="of the draws (default %(default)s)",
    )
    answer_options(one)
    one.set_defaults(command=_sensitivity)


def _sensitivity(options: argparse.Namespace) -> int:
    found = sensitivity.run(scenario_in(options.file, "sensitivity"), options.draws, options.seed)
    by = BY[options.by]
    if options.json:
        write(json.dumps(sensitivity.block(found, by), indent=1, allow_nan=False))
    else:
        write(sensitivity.text(found, options.metric, by))
    return 0
