"""What is asked of the studies of one session, and the address that brings it all back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from apps.link import decode, encode, pack, unpack
from plane3d import plan
from plane3d.drills import Drill, load_drills
from plane3d.errors import InputError, Mistake, Plane3dError
from plane3d.language import mark, tr
from plane3d.lesson import scenarios_folder
from plane3d.pitch_set import PitchSet, load_pitch_set, loads_pitch_set, nine_places
from plane3d.scenario import Scenario
from plane3d.study import remedy, spread, versus
from plane3d.study.scatter import QUANTITIES, Scatter, scatter

SPREAD, REMEDY, TARGET, VERSUS, SHEET = "spread", "remedy", "target", "versus", "sheet"
PARTS = (SPREAD, REMEDY, TARGET, VERSUS, SHEET)
# How many swings may be asked for, by the part that counts them.
SWINGS = {SPREAD: (1_000, 10_000, 100_000), VERSUS: (1_000, 10_000, 100_000), SHEET: (1_000, 10_000)}
START = {SPREAD: spread.PLAYS, VERSUS: versus.PLAYS, SHEET: plan.PLAYS}
HIGHEST_SEED = 2**32 - 1
NINE, OWN = "nine", "own"  # pitch sets beside those that come with plane3d
PITCH_FILE, DRILL_FILE = mark("pitch set"), mark("drills file")


def pitch_sets() -> list[Path]:
    """The pitch sets that come with plane3d."""
    return sorted((scenarios_folder() / "pitches").glob("*.toml"))


@dataclass(frozen=True)
class Asked:
    """Everything that the studies depend on; the same asked is the same answer.

    scatter : what differs from the typical scatter of the first scenario's level, by name
    swings : by the part that counts them; kinds, where : the goal of the remedy
    pitches : NINE, OWN, or the name of a set that comes with plane3d; own_pitches, drills : texts of opened files
    """

    scenario: Scenario
    second: Scenario
    part: str = SPREAD
    scatter: tuple[tuple[str, float], ...] = ()
    seed: int = spread.SEED
    swings: Mapping[str, int] = field(default_factory=lambda: dict(START))
    kinds: tuple[str, ...] = ("line-drive",)
    where: str = "middle"
    pitches: str = NINE
    own_pitches: str = ""
    held: bool = False
    drills: str = ""

    @property
    def level(self) -> str:
        return self.scenario.setting.level

    @property
    def full_scatter(self) -> Scatter:
        """The scatter with what is typical filled in."""
        return scatter(self.level, dict(self.scatter))

    @property
    def goal(self) -> remedy.Goal:
        return remedy.goal(",".join(self.kinds), self.where)

    def scattered(self, changes: Mapping[str, float | None]) -> Asked:
        """With some of the scatter changed; None gives one back to the level. Raises InputError."""
        given: dict[str, float | None] = {**dict(self.scatter), **changes}
        kept = {name: value for name, value in given.items() if value is not None}
        scatter(self.level, kept)
        typical = scatter(self.level)
        different = {name: value for name, value in kept.items() if value != getattr(typical, name)}
        return replace(self, scatter=tuple((name, float(different[name])) for name in QUANTITIES if name in different))

    def counted(self, part: str, number: int) -> Asked:
        """With another number of swings of a part."""
        return replace(self, swings={**self.swings, part: number}) if number in SWINGS.get(part, ()) else self

    def seeded(self, seed: Any) -> Asked:
        """With another seed. Raises InputError unless it is a whole number in range."""
        if isinstance(seed, str) and seed.strip().isascii() and seed.strip().isdigit() and len(seed.strip()) <= 10:
            seed = int(seed)
        if not isinstance(seed, int) or isinstance(seed, bool) or not 0 <= seed <= HIGHEST_SEED:
            words = tr("must be a whole number from {low} to {high}", low=0, high=HIGHEST_SEED)
            raise InputError([Mistake("", tr("Seed"), words)])
        return replace(self, seed=seed)

    def aimed(self, kinds: Any, where: str) -> Asked:
        """With another goal of the remedy. Raises InputError."""
        if not kinds:
            raise InputError([Mistake("", tr("The ball you want"), tr("must be at least one kind; tick one"))])
        wanted = replace(self, kinds=tuple(kind for kind in remedy.FAIR_KINDS if kind in kinds) or tuple(kinds))
        wanted = replace(wanted, where=where)
        _ = wanted.goal
        return wanted

    def pitch_set(self) -> PitchSet:
        """The pitches the two are compared against. Raises InputError for an own file with mistakes."""
        if self.pitches == OWN:
            return loads_pitch_set(self.own_pitches, tr(PITCH_FILE))
        paths = {path.stem: path for path in pitch_sets()}
        return load_pitch_set(paths[self.pitches]) if self.pitches in paths else nine_places(self.scenario)

    def drill_list(self) -> tuple[Drill, ...]:
        """The drills to choose from. Raises InputError for an own file with mistakes."""
        return read_drills(self.drills) if self.drills else load_drills()


def read_drills(text: str) -> tuple[Drill, ...]:
    """The drills in the text of a file; raises InputError with every mistake."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "drills.toml"
        path.write_text(text, encoding="utf-8")
        try:
            return load_drills(path)
        except InputError as error:
            places = [(m.where.replace(str(path), tr(DRILL_FILE)), m.key, m.text) for m in error.mistakes]
            raise InputError([Mistake(*place) for place in places]) from None


def refusal(error: Plane3dError) -> str:
    """What cannot be asked, in one sentence: by label where there is one, the first of many mistakes of a file."""
    if not isinstance(error, InputError):
        return str(error)
    first, *rest = error.mistakes
    name = first.key.removeprefix("scatter.")
    if name in QUANTITIES:
        return tr("{name} {problem}.", name=tr(QUANTITIES[name].label), problem=first.text)
    said = f"{str(first).removeprefix(': ')}."
    return tr("{first} There are {count} more mistakes.", first=said, count=len(rest)) if rest else said


# --- the address -----------------------------------------------------------------------------------------------------


def address(asked: Asked) -> dict[str, str]:
    """What the address says: only what differs from how a part opens, besides part, scenarios and seed.

    An own file too long for an address is left out.
    """
    said = {"part": asked.part, "s": encode(asked.scenario), "seed": str(asked.seed)}
    said |= {f"swings-{part}": str(n) for part, n in asked.swings.items() if n != START[part]}
    said |= {name: repr(value) for name, value in asked.scatter}
    said |= {"kinds": ",".join(asked.kinds), "to": asked.where, "b": encode(asked.second)}
    if asked.held:
        said["held"] = "1"
    for name, text in (("own", asked.own_pitches if asked.pitches == OWN else ""), ("drills", asked.drills)):
        if text and (packed := pack(text)):
            said[name] = packed
    if asked.pitches not in (NINE, OWN) or "own" in said:
        said["pitches"] = asked.pitches
    return said


def arrived(said: Mapping[str, str], before: Asked) -> Asked:
    """What an address asks for, laid over what was asked before. Raises InputError for the first thing wrong in it."""
    asked = before
    if "s" in said:
        asked = replace(asked, scenario=decode(said["s"]))
    if "b" in said:
        asked = replace(asked, second=decode(said["b"]))
    if said.get("part") in PARTS:
        asked = replace(asked, part=said["part"])
    for part in SWINGS:
        number = said.get(f"swings-{part}", "")
        asked = asked.counted(part, int(number) if number.isascii() and number.isdigit() else START[part])
    asked = replace(asked, scatter=()).scattered({name: _number(said[name]) for name in QUANTITIES if name in said})
    if "seed" in said:
        asked = asked.seeded(said["seed"])
    if "kinds" in said:
        asked = asked.aimed(said["kinds"].split(","), said.get("to", "anywhere"))
    asked = replace(asked, held=said.get("held") == "1")
    return _with_files(asked, said)


def _with_files(asked: Asked, said: Mapping[str, str]) -> Asked:
    """With the pitch set and the drills of an address."""
    texts = {name: unpack(said[name]) if name in said else "" for name in ("own", "drills")}
    known = [NINE, *(path.stem for path in pitch_sets()), *([OWN] if texts["own"] else [])]
    pitches = said.get("pitches", NINE)
    asked = replace(
        asked,
        own_pitches=texts["own"],
        drills=texts["drills"],
        pitches=pitches if pitches in known else NINE,
    )
    _ = asked.pitch_set(), asked.drill_list()
    return asked


def _number(text: str) -> Any:
    """A number as written in an address, or the text where it is none, for the loader to refuse."""
    try:
        return float(text)
    except ValueError:
        return text
