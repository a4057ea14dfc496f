"""Held swings, second pitches and pitch families in a scenario: what a file says comes back, what follows follows."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plane3d.errors import InputError
from plane3d.families import OWN, families
from plane3d.levels import LEVELS
from plane3d.play import play
from plane3d.quantities import EXTRAS, quantities, quantity
from plane3d.scenario import BY_FAMILY, Scenario, loads

HEAD = 'format = 1\ntitle = "x"\n'


def plain(level: str = "high-school") -> Scenario:
    return loads(f'{HEAD}[setting]\nlevel = "{level}"\n')


def numbers(*groups: str) -> st.SearchStrategy[dict[str, float]]:
    """Some values of some tables, each anywhere in its range."""
    keys = [key for key in quantities() if key.partition(".")[0] in groups]
    return st.fixed_dictionaries({}, optional={k: st.floats(quantity(k).low, quantity(k).high) for k in keys})


def extra(group: str) -> st.SearchStrategy[dict[str, float]]:
    """Some numbers of an extra table, each anywhere in its range; at least one."""
    fields = EXTRAS[group].model_fields
    ranges = {f"{group}.{n}": quantity(f"{group}.{n}") for n, f in fields.items() if f.json_schema_extra}
    return st.dictionaries(st.sampled_from(sorted(ranges)), st.just(0.0), min_size=1, max_size=6).flatmap(
        lambda picked: st.fixed_dictionaries({k: st.floats(ranges[k].low, ranges[k].high) for k in picked})
    )


@settings(deadline=None)
@given(numbers("pitch", "swing", "hitter"), st.sampled_from(sorted(LEVELS)))
def test_holding_and_letting_go_gives_the_scenario_back(values: dict[str, float], level: str) -> None:
    asked = plain(level).with_values(values)
    held = asked.hold(True)
    assert held.is_held and not asked.is_held
    assert held.hold(False) == asked
    assert held.aimed().model_dump() == asked.model_dump()
    assert held.hold(False).given == asked.given
    assert held.hold(True) == held


@settings(deadline=None)
@given(numbers("pitch", "swing"), numbers("pitch"))
def test_a_held_swing_remembers_what_it_was_built_for(values: dict[str, float], moved: dict[str, float]) -> None:
    asked = plain().with_values(values)
    held = asked.hold(True).with_values(moved)
    back = held.aimed().to_inputs()
    assert held.to_inputs().held is not None
    assert (held.to_inputs().held.pitch, held.to_inputs().held.swing) == (back.pitch, back.swing)  # type: ignore[union-attr]
    assert back.pitch == asked.to_inputs().pitch
    assert back.swing == asked.to_inputs().swing


@settings(deadline=None)
@given(extra("held"), numbers("pitch", "swing"))
def test_a_held_table_written_out_loads_as_the_same(table: dict[str, float], values: dict[str, float]) -> None:
    asked = plain().with_values(values | table)
    again = loads(asked.to_toml())
    assert again == asked
    assert again.given == asked.given
    assert again.to_inputs().held == asked.to_inputs().held


@settings(deadline=None)
@given(extra("second_pitch"), numbers("pitch"), st.sampled_from([None, *families("college")]))
def test_a_second_pitch_written_out_loads_as_the_same(
    table: dict[str, float], values: dict[str, float], family: str | None
) -> None:
    asked = plain("college").with_values(values | table | {"second_pitch.family": family})
    again = loads(asked.to_toml())
    assert again == asked
    mine, other = asked.with_second_pitch(), again.with_second_pitch()
    assert mine is not None and mine == other
    assert mine.to_inputs() == other.to_inputs()
    assert mine.with_second_pitch() is None
    for key, value in table.items():
        assert mine.value("pitch." + key.partition(".")[2]) == value


@settings(max_examples=15, deadline=None)
@given(
    height=st.floats(24.0, 34.0),
    speed=st.floats(76.0, 84.0),
    tilt=st.floats(15.0, 35.0),
    timing=st.floats(-10.0, 10.0),
)
def test_a_held_play_solves_alike_from_its_written_file(
    height: float, speed: float, tilt: float, timing: float
) -> None:
    moved = {
        "pitch.plate_height_in": height,
        "pitch.speed_mph": speed,
        "swing.vertical_bat_angle_deg": tilt,
        "swing.timing_ms": timing,
    }
    asked = plain().hold(True).with_values(moved)
    first, again = (play(s.to_inputs()).result for s in (asked, loads(asked.to_toml())))
    assert (first.meeting, first.collision, first.flight) == (again.meeting, again.collision, again.flight)


@pytest.mark.parametrize("group", ["pitch", "second_pitch"])
@pytest.mark.parametrize(
    ("level", "family"),
    [(level, family) for level in LEVELS for family in ("rise", "drop", "slider", "four-seam")
     if family not in families(level)],
)  # fmt: skip
def test_a_family_not_thrown_at_a_level_is_one_sentence(level: str, family: str, group: str) -> None:
    text = f'{HEAD}[{group}]\nfamily = "{family}"\n[setting]\nlevel = "{level}"\n'
    with pytest.raises(InputError) as caught:
        loads(text, "f.toml")
    (mistake,) = caught.value.mistakes
    allowed = ", ".join(f'"{name}"' for name in (OWN, *families(level)))
    assert str(mistake) == (
        f'f.toml:4: {group}.family = "{family}" is not thrown at level "{level}"; it must be one of {allowed}'
    )


@settings(deadline=None)
@given(
    st.sampled_from(sorted(LEVELS)).flatmap(
        lambda level: st.tuples(st.just(level), *2 * [st.sampled_from([OWN, *families(level)])])
    ),
    st.dictionaries(st.sampled_from(BY_FAMILY), st.just(41.0)),
)
def test_a_family_brings_its_own_speed_and_spin(case: tuple[str, str, str], before: dict[str, float]) -> None:
    """Whatever had been given; to give them together with the family still works, and so does going back."""
    level, first, second = case
    start = plain(level).with_values({"pitch.family": first})
    changed = start.with_values(before).with_values({"pitch.family": second})
    fresh = plain(level).with_values({"pitch.family": second})
    kept = {} if first == second else {key: fresh.value(key) for key in BY_FAMILY}
    assert {key: changed.value(key) for key in kept} == kept
    if first == second:
        assert all(changed.value(key) == value for key, value in before.items())
    else:
        assert changed.with_values({"pitch.family": first}).pitch == start.pitch
        assert changed.with_values({"pitch.family": None}).pitch == plain(level).pitch
    both = start.with_values({"pitch.family": second, "pitch.speed_mph": 41.0})
    assert both.pitch.speed_mph == 41.0
    assert both.pitch.spin_rpm == fresh.pitch.spin_rpm
