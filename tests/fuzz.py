"""Spoilt files and wild inputs by the hundred thousand: each is read or refused in a clear sentence, nothing else.

``python -m tests.fuzz [--files N] [--inputs N] [--seed S]``. A fault is printed with the command that repeats it
alone. Not part of the test suite; `tests/unit/test_hard_use.py` runs a few hundred of the same cases.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import accumulate
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from plane3d.errors import InputError, Plane3dError, UnreachableError
from plane3d.play import play
from plane3d.plays import Plays
from plane3d.quantities import all_choices, quantities
from plane3d.report import report
from plane3d.scenario import loads
from plane3d.studies.pieces import pieces
from tests.fuzz_files import NUMBERS, Place, kinds, spoilt
from tests.hard_inputs import PLAIN, any_scenario, any_value, faults, many, unclear

BATCH = 500
SINGLE = 0.1  # share of inputs that go alone, from a scenario through play to the words
PATIENCE = 10.0  # s of computing after which a case counts as one that never ends


@dataclass
class Tally:
    """What became of the cases: counts by kind and end, the faults, and the slowest."""

    ends: Counter[tuple[str, str]] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")

    def note(self, kind: str, end: str, count: int = 1) -> None:
        self.ends[kind, end] += count

    def fault(self, kind: str, case: str, text: str) -> None:
        self.note(kind, "fault")
        self.faults.append(f"FAULT ({kind}, {case}): {text}")
        print(self.faults[-1], flush=True)

    def took(self, seconds: float, kind: str, case: str) -> None:
        self.slowest = max(self.slowest, (seconds, f"{kind}, {case}"))
        if seconds > PATIENCE:
            self.fault(kind, case, f"took {seconds:.0f} s")

    def lines(self) -> Iterator[str]:
        for kind in dict.fromkeys(kind for kind, _ in self.ends):
            ends = {end: count for (of, end), count in self.ends.items() if of == kind}
            yield f"{kind:<20}" + ", ".join(f"{count} {end}" for end, count in sorted(ends.items()))
        yield f"slowest: {self.slowest[0]:.1f} s ({self.slowest[1]}); {len(self.faults)} faults"


def _told(error: Exception) -> str:
    """An error that is no refusal, and where it came from."""
    last = traceback.extract_tb(error.__traceback__)[-1]
    return f"{type(error).__name__}: {str(error)[:200]} ({Path(last.filename).name}:{last.lineno})"


# --- files -----------------------------------------------------------------------------------------------------------


def fuzz_files(numbers: range, seed: int, tally: Tally) -> None:
    """The cases of these numbers; each depends on the seed and its own number only."""
    with TemporaryDirectory() as name:
        place = Place.made(Path(name))
        every = kinds(place.folder)
        names, shares = list(every), list(accumulate(share for share, _, _ in every.values()))
        sound = [data for _, _, seeds in every.values() for data in seeds]
        for number in numbers:
            rng = random.Random(f"file {seed} {number}")
            kind = rng.choices(names, cum_weights=shares)[0]
            _, reader, seeds = every[kind]
            data = spoilt(rng, rng.choice(seeds), rng.choice(sound))
            case, start = f"--seed {seed} --only {number}", time.process_time()
            try:
                reader(data, rng, place)
            except Plane3dError as error:
                if wrong := unclear(error):
                    tally.fault(kind, case, f"{wrong}: {str(error)[:300]!r}")
                else:
                    tally.note(kind, "refused")
            except Exception as error:
                tally.fault(kind, case, _told(error))
            else:
                tally.note(kind, "read")
            tally.took(time.process_time() - start, kind, case)


# --- inputs ----------------------------------------------------------------------------------------------------------


def fuzz_inputs(count: int, seed: int, tally: Tally) -> None:
    """Plays from the whole input space, most of them in batches, and single ones from beyond it too."""
    alone = int(count * SINGLE)
    for number in range(alone):
        _one_input(number, seed, tally)
    for batch, start in enumerate(range(alone, count, BATCH)):
        _batch(seed * 1_000_000 + batch, min(BATCH, count - start), tally)


def _batch(seed: int, n: int, tally: Tally) -> None:
    case = f"many({seed}, {n}) of tests.hard_inputs"
    made = 0
    try:
        for places, plays in pieces(many(seed, n), n):
            if plays is not None:
                made += len(places)
                _check(plays, places, case, tally)
    except Exception as error:
        tally.fault("batched inputs", case, _told(error))
    tally.note("batched inputs", "played", made)
    tally.note("batched inputs", "refused", n - made)


def _check(plays: Plays, places: np.ndarray, case: str, tally: Tally) -> None:
    for what, wrong in faults(plays):
        tally.fault("batched inputs", case, f"{what}: plays {places[wrong][:5].tolist()}")


def _one_input(number: int, seed: int, tally: Tally) -> None:
    """A scenario from anywhere, a value of it changed to anything at all, then played and told."""
    rng, case = random.Random(f"input {seed} {number}"), f"single input {number} of seed {seed}"
    try:
        scenario = any_scenario(rng, tables=("",), left=0.6)
        if rng.random() < 0.5:
            scenario = loads(PLAIN).with_values(scenario.given | {_any_key(rng): _anything(rng)})
        result = play(scenario.to_inputs()).result
        report(result)
    except (InputError, UnreachableError) as error:
        wrong = unclear(error)
        tally.fault("single inputs", case, f"{wrong}: {error}") if wrong else tally.note("single inputs", "refused")
    except Exception as error:
        tally.fault("single inputs", case, _told(error))
    else:
        tally.note("single inputs", "played")


def _any_key(rng: random.Random) -> str:
    return rng.choice(
        [*quantities(), *all_choices(), "measured.motion", "held.contact_depth_in", "title", "swing.x", ""]
    )


def _anything(rng: random.Random) -> object:
    """A value of any kind for a key, some of them just beyond a range."""
    key = rng.choice(list(quantities()))
    asked = quantities()[key]
    beyond = rng.choice((asked.low, asked.high)) * (1 + rng.gauss(0, 1e-6)) + rng.choice((-1e-9, 0.0, 1e-9, 1.0))
    strange = (None, True, "", "x" * 2000, "\x00\n", [], {}, 10**400, float("nan"), float("inf"), -1e308, 5e-324)
    return rng.choice((any_value(rng, key), beyond, rng.gauss(0, 1e3), rng.choice(strange), rng.choice(NUMBERS)))


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("--files", type=int, default=100_000, metavar="N")
    parser.add_argument("--inputs", type=int, default=100_000, metavar="N")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, metavar="NUMBER", help="of the files, to go on with a run")
    parser.add_argument("--only", type=int, metavar="NUMBER", help="one file, by its number in the run of this seed")
    asked = parser.parse_args(arguments)
    warnings.simplefilter("error", RuntimeWarning)
    tally, start = Tally(), time.monotonic()
    if asked.only is not None:
        fuzz_files(range(asked.only, asked.only + 1), asked.seed, tally)
    else:
        fuzz_inputs(asked.inputs, asked.seed, tally)
        fuzz_files(range(asked.first, asked.first + asked.files), asked.seed, tally)
    print(f"seed {asked.seed}, {time.monotonic() - start:.0f} s", *tally.lines(), sep="\n")
    return bool(tally.faults)


if __name__ == "__main__":
    sys.exit(main())
