"""The drill file: what comes with plane3d, and one sentence for every mistake in a coach's own."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from plane3d.drills import AGES, CAUSES, CAUTIONS, COMES_FIRST, PER_SHEET, SUPPLIED, age_of, keys, load_drills
from plane3d.errors import InputError
from plane3d.levels import LEVELS

ROOT = Path(__file__).parents[2]
DOCUMENT = ROOT / "docs" / "drills.md"
DRILLS = load_drills()

DOSE = {age: "{ sets = 2, swings = 5, rest_s = 60 }" for age in AGES}
GOOD = {
    "name": '"A"', "works_on": '["barrel-low"]', "setup": '"s"', "do": '["d"]', "cue": '"c"', "measure": '"m"',
}  # fmt: skip


def drill(dose: dict[str, str] | None = None, **values: str) -> str:
    """The text of a drill; ``values`` replace what stands in GOOD, an empty one takes it away."""
    lines = [f"{key} = {value}" for key, value in (GOOD | values).items() if value]
    table = DOSE if dose is None else dose
    return "\n".join(["[[drill]]", *lines, "[drill.dose]", *(f"{k} = {v}" for k, v in table.items())]) + "\n"


def written(folder: Path, first: str) -> Path:
    """A file whose first drill, on line 2, is given; three good ones follow."""
    path = folder / "mine.toml"
    others = "".join(drill(name=f'"{name}"') for name in ("x", "y", "z"))
    path.write_text(f"format = 1\n{first}{others}", encoding="utf-8")
    return path


def faults(path: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        load_drills(path)
    return [str(mistake).replace(f"{path.parent}{os.sep}", "") for mistake in caught.value.mistakes]


def test_a_file_of_ones_own(tmp_path: Path) -> None:
    first, *others = load_drills(written(tmp_path, drill(equipment='["tee"]', caution='"slowly"')))
    assert (first.name, first.works_on, first.do, first.equipment, first.caution) == (
        "A", ["barrel-low"], ["d"], ["tee"], "slowly",
    )  # fmt: skip
    assert first.dose_for("from_15").total == 10
    assert [other.name for other in others] == ["x", "y", "z"]


@pytest.mark.parametrize(
    ("line", "wrong", "says"),
    [
        (2, {"name": ""}, "drill.name is missing; it must be one line of text, at most 120 characters"),
        (3, {"name": "3"}, "drill.name = 3 must be one line of text"),
        (3, {"name": '"x"'}, ""),
        (4, {"works_on": '["barel-low"]'}, 'drill.works_on = "barel-low" must be one of "timing-varies", '),
        (4, {"works_on": '["barel-low"]'}, "; did you mean barrel-low?"),
        (4, {"works_on": "[]"}, "drill.works_on = [] must be a list of 1 to 6 causes"),
        (4, {"works_on": '"cast"'}, 'drill.works_on = "cast" must be a list of 1 to 6 causes'),
        (5, {"setup": '" "'}, "drill.setup = \" \" must be text, at most 1000 characters"),
        (6, {"do": "[]"}, "drill.do = [] must be a list of 1 to 8 steps"),
        (6, {"do": '["a\\nb"]'}, "must be a list of 1 to 8 steps, each one line"),
        (7, {"cue": "true"}, "drill.cue = true must be one line of text"),
        (8, {"measure": '""'}, 'drill.measure = "" must be text'),
        (9, {"equipment": '"tee"'}, 'drill.equipment = "tee" must be a list of at most 12 things'),
        (9, {"caution": "1"}, "drill.caution = 1 must be text"),
        (9, {"equipmnt": '["tee"]'}, 'drill.equipmnt = ["tee"] is not a known key; did you mean drill.equipment?'),
    ],
)  # fmt: skip
def test_a_mistake_in_a_drill(tmp_path: Path, line: int, wrong: dict[str, str], says: str) -> None:
    if not says:  # the same name as a later drill: the later one is at fault
        (message,) = faults(written(tmp_path, drill(**wrong)))
        assert message == 'mine.toml:14: drill.name = "x" is the name of an earlier drill; give each its own'
        return
    (message,) = faults(written(tmp_path, drill(**wrong)))
    assert message.startswith(f"mine.toml:{line}: drill.")
    assert says in message


@pytest.mark.parametrize(
    ("line", "age", "wrong", "says"),
    [
        (10, "up_to_10", "{ sets = 0, swings = 5, rest_s = 60 }", "sets = 0 must be a whole number from 1 to 6"),
        (11, "from_11", "{ sets = 2, swings = 50, rest_s = 60 }", "swings = 50 must be a whole number from 1 to 15"),
        (12, "from_15", "{ sets = 2, swings = 5, rest_s = 1.5 }", "rest_s = 1.5 must be a whole number from 15 to"),
        (12, "from_15", "{ sets = 2, swings = 5 }", "rest_s is missing; it must be a whole number from 15 to 300"),
        (12, "from_15", "{ sets = 2, swing = 5, swings = 5, rest_s = 60 }", "did you mean drill.dose.from_15.swings?"),
        (12, "from_15", "20", "drill.dose.from_15 = 20 must be a table with sets, swings and rest_s"),
        (10, "up_to_10", "{ sets = 3, swings = 5, rest_s = 60 }", "has 15 swings in all, more than the 10 of from_11"),
    ],
)
def test_a_mistake_in_a_dose(tmp_path: Path, line: int, age: str, wrong: str, says: str) -> None:
    (message,) = faults(written(tmp_path, drill(DOSE | {age: wrong})))
    assert message.startswith(f"mine.toml:{line}: drill.dose.{age}")
    assert says in message


def test_an_unknown_age(tmp_path: Path) -> None:
    (message,) = faults(written(tmp_path, drill(DOSE | {"from_12": DOSE["from_11"]})))
    assert "drill.dose.from_12" in message and "did you mean drill.dose.from_1" in message


def test_every_age_needs_enough_drills(tmp_path: Path) -> None:
    older = {age: dose for age, dose in DOSE.items() if age != "up_to_10"}
    path = tmp_path / "mine.toml"
    path.write_text("format = 1\n" + "".join(drill(older, name=f'"{n}"') for n in range(PER_SHEET)), encoding="utf-8")
    (message,) = faults(path)
    assert message.endswith("up_to_10 stands in 0 of the drills, but a sheet needs 3 of them for every age")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "format is missing; it must be 1, the only file format there is"),
        ("format = 2\n" + drill(name='"x"') * 0, "format = 2 must be 1"),
        ("format = 1\n", "drill is missing; it must be a list of at least 3 drills: write [[drill]] above each"),
        ("format = 1\n" + drill(), "must be a list of at least 3 drills"),
        ("format = 1\ndrill = 3\n", "drill = 3 must be a list of at least 3 drills"),
        ("format = 1\nnonsense\n", "is not valid TOML"),
    ],
)
def test_a_mistake_in_the_file(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    assert any(says in message for message in faults(path))


def test_no_such_file(tmp_path: Path) -> None:
    (message,) = faults(tmp_path / "none.toml")
    assert message == "none.toml: there is no such file"


def test_all_mistakes_come_at_once(tmp_path: Path) -> None:
    assert len(faults(written(tmp_path, drill(name="1", cue="2", do="[]")))) == 3


# --- the drills that come with plane3d --------------------------------------------------------------------------------


def test_the_supplied_drills_lie_in_the_package() -> None:
    assert SUPPLIED.is_file() and SUPPLIED.parent.name == "plane3d"
    assert 14 <= len(DRILLS) <= 18


@pytest.mark.parametrize("cause", CAUSES)
@pytest.mark.parametrize("age", AGES)
def test_every_cause_has_a_drill_at_every_age(cause: str, age: str) -> None:
    assert any(cause in drill.works_on and drill.dose_for(age) for drill in DRILLS)


def test_children_never_get_more_than_their_elders() -> None:
    """Youth guidance: build volume slowly, overuse is the most preventable injury (PHYSICS 12, read). The figures
    themselves are our own choice (common practice, no source)."""
    for one in DRILLS:
        young, middle, old = (one.dose_for(age) for age in AGES)
        assert young.total <= middle.total <= old.total
        assert young.sets <= old.sets and young.swings <= old.swings and young.rest_s >= old.rest_s
        assert young.total <= 12


def test_whoever_feeds_has_a_screen() -> None:
    """PHYSICS 12 (read): the feeder stands behind a sound screen."""
    for one in DRILLS:
        if re.search(r"\btoss", one.setup):
            assert "behind a screen" in one.setup and "screen" in one.equipment


def test_levels_have_an_age() -> None:
    ages = {level: age_of(level) for level in LEVELS}
    assert [level for level, age in ages.items() if age == "up_to_10"] == ["under-8", "under-10", "softball-10"]
    assert {level for level, age in ages.items() if age == "from_11"} == {
        "under-12", "under-14", "softball-12", "softball-14",
    }  # fmt: skip


# --- the words around it ----------------------------------------------------------------------------------------------


def test_the_cautions_are_those_of_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    safety = " ".join(readme.partition("## Safety")[2].partition("\n## ")[0].split())
    points, _, closing = safety.partition(" This is general advice")
    assert tuple(point.strip() for point in points.split("- ")[1:]) == CAUTIONS
    assert COMES_FIRST.startswith("This is general advice" + closing.rstrip("."))


def test_the_document_says_what_the_file_is() -> None:
    text = DOCUMENT.read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `([a-z0-9_-]+)` \| (.+?) \|", text, flags=re.M))
    assert {name: rows[name] for name in CAUSES} == CAUSES
    assert {key.split(".")[1] for key in keys() if key.count(".") == 1} <= set(rows)
