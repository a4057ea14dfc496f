"""Pitch set files: what they may say, and what is said about their mistakes."""

from __future__ import annotations

import pytest

from plane3d.errors import InputError, Plane3dError
from plane3d.lesson import scenarios_folder
from plane3d.levels import LEVELS
from plane3d.pitch_set import (
    complete,
    is_pitch_set,
    load_or_refuse,
    load_pitch_set,
    loads_pitch_set,
    nine_places,
    zone_of,
)
from plane3d.plays import play_many
from plane3d.scenario import loads

FILES = sorted((scenarios_folder() / "pitches").glob("*.toml"))
HEAD = 'format = 1\ntitle = "x"\n'


def level(name):
    return loads(f'{HEAD}[setting]\nlevel = "{name}"\n')


def mistakes(text):
    with pytest.raises(InputError) as caught:
        loads_pitch_set(text, "set.toml")
    return [str(mistake) for mistake in caught.value.mistakes]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_supplied_set_can_be_thrown(path):
    assert is_pitch_set(path)
    found = load_or_refuse(path)
    for name in ("high-school", "college", "professional"):
        for numbers in complete(found, level(name)):
            scenario = level(name).with_values({f"pitch.{key}": value for key, value in numbers.items()})
            assert len(play_many(scenario.to_inputs())) == 1


def test_there_are_samples():
    assert {path.stem for path in FILES} >= {"nine-places", "mixed"}


def test_what_is_left_out_comes_from_the_level():
    found = loads_pitch_set(HEAD + '[[pitch]]\n[[pitch]]\nfamily = "curve"\nplate_height_in = 20\n')
    plain, curve = complete(found, level("college"))
    assert plain["speed_mph"] == LEVELS["college"].pitch_mph
    assert curve["speed_mph"] < plain["speed_mph"]
    assert curve["plate_height_in"] == 20
    assert found.pitches[0].count == 1


def test_the_scenarios_own_pitch_does_not_leak_in():
    scenario = loads(f'{HEAD}[pitch]\nspeed_mph = 50\nspin_rpm = 0\nthrows = "left"\n')
    (numbers,) = complete(loads_pitch_set(HEAD + "[[pitch]]\n"), scenario)
    assert numbers["speed_mph"] == LEVELS["high-school"].pitch_mph
    assert numbers["release_side_ft"] < 0


def test_mistakes_are_told_by_line():
    said = mistakes(HEAD + "[[pitch]]\nspeed_mph = 300\nspedd_mph = 1\n\n[[pitch]]\ncount = 0\ntitle = 3\n")
    assert said == [
        "set.toml:4: pitch.speed_mph = 300 must be a number from 20 to 110 mph",
        "set.toml:5: pitch.spedd_mph = 1 is not a known key; did you mean pitch.speed_mph?",
        "set.toml:8: pitch.count = 0 must be a whole number from 1 to 1000",
        "set.toml:9: pitch.title = 3 must be one line of text, at most 120 characters",
    ]
    assert "must be a list of pitches" in mistakes(HEAD + "pitch = []\n")[0]
    assert "is missing" in mistakes('title = "x"\n[[pitch]]\n')[0]
    assert mistakes(HEAD + '[[pitch]]\nfamily = "curv"\n')[0].endswith("did you mean curve?")


def test_a_pitch_not_thrown_at_the_level_names_file_and_pitch():
    found = loads_pitch_set(HEAD + '[[pitch]]\n[[pitch]]\nfamily = "rise"\n', "set.toml")
    with pytest.raises(InputError, match=r'set.toml: pitch 2: pitch.family = "rise" is not thrown at level "college"'):
        complete(found, level("college"))


def test_other_files_are_no_pitch_sets(tmp_path):
    with pytest.raises(Plane3dError, match="is no pitch set"):
        load_or_refuse(scenarios_folder() / "01-one-inch-under.toml")
    with pytest.raises(InputError, match="no such file"):
        load_or_refuse(tmp_path / "none.toml")


def test_a_byte_order_mark_and_windows_lines(tmp_path):
    path = tmp_path / "set.toml"
    path.write_bytes("\ufeff".encode() + (HEAD + "[[pitch]]\ncount = 2\n").replace("\n", "\r\n").encode())
    assert load_pitch_set(path).pitches[0].count == 2


def test_nine_places_suit_every_level():
    for name in LEVELS:
        scenario = level(name)
        for numbers in complete(nine_places(scenario), scenario):
            assert numbers["speed_mph"] == scenario.pitch.speed_mph


def test_zones():
    """Strike zone from 0.27 to 0.54 of the height (from memory, PHYSICS 1); a right-handed hitter stands at -x."""
    assert zone_of(-6, 20, 70, "right") == ("low", "inside")
    assert zone_of(-6, 20, 70, "left") == ("low", "outside")
    assert zone_of(0, 28.35, 70, "right") == ("middle", "middle")
    assert zone_of(20, 60, 70, "right") == ("high", "outside")
