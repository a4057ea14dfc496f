"""The whole input space: laws that no play may break, wherever in the ranges it stands; and a short fuzz.

The longer runs are `python -m tests.fuzz` and `python -m tests.soak`.
"""

from __future__ import annotations

import io
import random
import re
import warnings
import zipfile
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from apps.files import BAD_ZIP, open_files
from plane3d.constants import STANDARD_GRAVITY
from plane3d.errors import InputError, Mistake
from plane3d.frames import Array, dot, norm
from plane3d.inputs import Inputs
from plane3d.lesson import load_lesson
from plane3d.log import Hitter, Log, LogError, held
from plane3d.measured.pitches import read_pitches
from plane3d.physics import meeting, pitch
from plane3d.physics.flight import MAX_TIME, STEP, fly_until
from plane3d.physics.flight import launch as launched
from plane3d.physics.measured_swing import Track
from plane3d.play import one_result
from plane3d.plays import Plays, make_pitch, medium_of, play_many
from plane3d.quantities import quantities, quantity
from plane3d.report import report
from plane3d.scenario import loads
from plane3d.studies.pieces import pieces, take
from tests import soak
from tests.cases import mirrored
from tests.fuzz import Tally, fuzz_files, fuzz_inputs
from tests.hard_inputs import PLAIN, any_scenario, faults, many

SEEDS = pytest.mark.parametrize("seed", range(3), ids=["built", "held", "measured"])
N = 100


@cache
def made(seed: int) -> Plays:
    """Those plays of a seed that can be made; at least half can."""
    asked = many(seed, N)
    ((places, plays),) = pieces(asked, N)
    assert plays is not None and len(places) > N / 2
    return plays


def windless(seed: int) -> Inputs:
    asked = made(seed).inputs
    return replace(asked, setting=replace(asked.setting, wind=(0.0, 0.0, 0.0)))


@SEEDS
def test_every_answer_is_whole(seed: int) -> None:
    """No NaN in an answer that exists, no negative time, no energy out of a blow, words that go together."""
    assert 0.02 < made(seed).meeting.touch.mean() < 0.95
    assert [what for what, _ in faults(made(seed))] == []


def in_the_mirror(asked: Inputs) -> Inputs:
    """The mirrored play, with the pitch a held swing was built for, and a measured swing's poses, mirrored too."""
    twin, held, track = mirrored(asked), asked.held, asked.measured
    if held is not None:
        other = mirrored(replace(asked, pitch=held.pitch, swing=held.swing))
        twin = replace(twin, held=replace(held, pitch=other.pitch, swing=other.swing))
    if track is not None:
        before, after = (poses * [-1, 1, 1, -1, 1, 1] for poses in track.poses)
        twin = replace(twin, measured=Track.through(before, after, track.start, track.end))
    return twin


@SEEDS
def test_the_mirror_shows_the_mirrored_play(seed: int) -> None:
    """Physics knows no left and right."""
    ours = made(seed)
    theirs = play_many(in_the_mirror(ours.inputs))
    hit, flip = ours.meeting.touch, np.array([-1.0, 1.0, 1.0])
    assert np.array_equal(hit, theirs.meeting.touch)
    assert np.array_equal(ours.kind, theirs.kind) and np.array_equal(ours.miss, theirs.miss)
    assert np.abs(ours.meeting.ball * flip - theirs.meeting.ball).max() < 1e-7
    assert np.abs(ours.blow.velocity * flip - theirs.blow.velocity)[hit].max() < 1e-5
    assert np.nanmax(np.abs(ours.batted.x * flip - theirs.batted.x)) < 1e-4


@SEEDS
def test_air_takes_energy_from_every_ball(seed: int) -> None:
    """Pitches and hits through still air: kinetic energy, of motion and of spin, and height together only shrink."""
    plays = play_many(windless(seed), keep_flight=True)
    radius = plays.inputs.setting.ball.radius
    assert plays.batted.flight is not None
    for flight in (plays.pitch, plays.batted.flight):
        moving, spinning = dot(flight.v, flight.v), 0.4 * radius**2 * dot(flight.w, flight.w)
        height = STANDARD_GRAVITY * flight.x[..., 2]
        stays = (np.diff(flight.x, axis=0) == 0).all(axis=-1)  # a ball that has landed keeps its last knot
        assert (np.diff(0.5 * (moving + spinning) + height, axis=0)[~stays] < 0).all()


def converge(coarse: Array, fine: Array, finest: Array) -> None:
    """Errors (n,) m with a step, a half and a quarter of it: each time a sixteenth, as classical Runge-Kutta must.

    That is the median. Where the law of lift or drag has a kink within a step the method loses orders; the worst of
    all plays must still be far below what anybody could see, and shrink.
    """
    for more, less in ((coarse, fine), (fine, finest)):
        assert 1 / 20 < np.median(less / more) < 1 / 12
    assert coarse.max() < 1e-3 and finest.max() < max(coarse.max() / 3, 1e-6)


@SEEDS
def test_finer_steps_of_the_pitch_converge(seed: int) -> None:
    asked = windless(seed)
    ways = []
    for finer in (1, 2, 4, 32):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(pitch, "STEPS", finer * pitch.STEPS)
            flight = make_pitch(medium_of(asked.setting), asked.pitch)
        ways.append(flight.at(flight.end[:, None] * np.linspace(0.0, 1.0, 9)))
    converge(*(norm(way - ways[-1]).max(axis=1) for way in ways[:3]))


@SEEDS
def test_finer_steps_of_the_flight_converge(seed: int) -> None:
    """The first bounce, with the step of the model and finer ones."""
    plays = play_many(windless(seed))
    hit, medium = plays.meeting.touch, medium_of(plays.inputs.setting)
    first = launched(plays.meeting.ball[hit], plays.blow.velocity[hit], plays.blow.spin[hit], medium)
    down = [fly_until(first, medium, lambda x, v: x[:, 2] - medium.radius, step=STEP / k)[0] for k in (1, 2, 4, 32)]
    assert all(one.happened.all() and (one.time < MAX_TIME).all() for one in down)
    converge(*(norm(one.x - down[-1].x) for one in down[:3]))


@SEEDS
def test_a_finer_search_finds_the_same_touches(seed: int) -> None:
    """Eight times as many moments looked at: no touch was overlooked, and each is the first one."""
    coarse = made(seed)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(meeting, "COARSE", 8 * meeting.COARSE)
        fine = play_many(coarse.inputs)
    assert np.array_equal(coarse.meeting.touch, fine.meeting.touch)
    hit = coarse.meeting.touch
    assert np.abs(coarse.meeting.time - fine.meeting.time)[hit].max() < 1e-7


@SEEDS
def test_one_of_many_is_the_play_alone(seed: int) -> None:
    """Also where pitches and swings are far from usual: aiming stops with the worst of the pitches, so to 1e-7."""
    plays = made(seed)
    for i in range(0, len(plays), 30):
        alone = play_many(take(plays.inputs, np.array([i])))
        assert (alone.kind[0], alone.miss[0]) == (plays.kind[i], plays.miss[i])
        assert alone.meeting.ball[0] == pytest.approx(plays.meeting.ball[i], abs=1e-7)


# --- units -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(8))
def test_what_is_asked_in_coach_units_is_told_in_coach_units(seed: int) -> None:
    """Coach units to SI, through the whole model, and back: the answer names the numbers that were asked for."""
    rng = random.Random(seed)
    scenario = any_scenario(rng, ("setting.", "hitter.", "bat."), left=0.2)
    start = {key: scenario.value(key) for key in quantities()}
    told = report(one_result(play_many(scenario.to_inputs()), 0))
    for group, names in {"pitch": ("plate_side_in", "plate_height_in"),
                         "swing": ("bat_speed_mph", "attack_angle_deg", "vertical_bat_angle_deg")}.items():  # fmt: skip
        for name in names:
            assert told[group][name] == pytest.approx(start[f"{group}.{name}"], abs=1e-7), name


@pytest.mark.parametrize("key", quantities())
def test_a_value_shown_is_the_value_within_its_last_digit(key: str) -> None:
    """To SI and back, and in words of both kinds of units: read again, they are off by half of their last digit."""
    asked, rng = quantity(key), np.random.default_rng(0)
    slope, zero = asked.si(1.0) - asked.si(0.0), asked.si(0.0)
    for value in [asked.low, asked.high, *rng.uniform(asked.low, asked.high, 40)]:
        assert (asked.si(value) - zero) / slope == pytest.approx(value, rel=1e-12, abs=1e-9)
        for metric in (False, True):
            unit = asked.shown_in(metric)
            number = re.match(r"-?\d+(\.\d+)?", asked.words(float(value), metric))
            assert number is not None
            again = (float(number.group()) - unit.offset) / unit.factor
            assert abs(again - value) <= 0.5000001 * 10.0**-unit.decimals / unit.factor


@pytest.mark.parametrize("seed", range(6))
def test_any_scenario_written_and_read_is_the_same(seed: int) -> None:
    scenario = any_scenario(random.Random(seed), tables=("",), left=0.3)
    again = loads(scenario.to_toml())
    assert (again, again.given) == (scenario, scenario.given)
    assert loads(PLAIN).with_values(scenario.given).given == scenario.given


# --- fuzz ------------------------------------------------------------------------------------------------------------


def test_spoilt_files_and_wild_inputs_are_taken_or_refused() -> None:
    tally = Tally()
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        fuzz_files(range(200), 11, tally)
        fuzz_inputs(150, 11, tally)
    assert tally.faults == []
    assert len({kind for kind, end in tally.ends if end == "read"}) >= 8
    assert {"played", "refused"} <= {end for kind, end in tally.ends if kind == "single inputs"}


def test_a_mistake_is_one_line_whatever_a_file_says() -> None:
    assert str(Mistake("a.toml:3", "x\ny", "= \x00\u2028\ud800 é")) == "a.toml:3: x\ufffdy = \ufffd\ufffd\ufffd é"


def zip_with_a_spoilt_stream() -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.toml", PLAIN * 50)
    data = bytearray(packed.getvalue())
    data[36 : len(data) // 2] = b"\xff" * (len(data) // 2 - 36)  # 30 bytes of head and the name stand before it
    return bytes(data)


def test_a_zip_file_whose_stream_is_spoilt_is_told() -> None:
    (mistake,) = open_files([("a.zip", zip_with_a_spoilt_stream())]).mistakes
    assert str(mistake) == f"a.zip: {BAD_ZIP}"


def test_a_backup_with_letters_that_are_none_is_damaged(tmp_path: Path) -> None:
    log = Log(tmp_path / "log.sqlite")
    log.add_hitter(Hitter("CODE-ONE"))
    data = log.backup_bytes()
    for spoilt in (data.replace(b"CODE-ONE", b"CODE-\xff\xfe\xfd"), data.replace(b"PRIMARY KEY", b"PRIM\xffRY KEY")):
        with pytest.raises(LogError, match=r"^b\.sqlite is damaged[^\n]*$"):
            held(spoilt, "b.sqlite")


@pytest.mark.parametrize("name", ["x" * 300, "a\\u0000b"])
def test_a_lesson_may_name_what_can_be_no_file(name: str, tmp_path: Path) -> None:
    path = tmp_path / "lesson.toml"
    path.write_text(f'format = 1\ntitle = "x"\nscenarios = ["{name}"]\n')
    with pytest.raises(InputError, match="there is no such file"):
        load_lesson(path)


@pytest.mark.parametrize("table", ["held", "second_pitch"])
def test_a_table_that_says_nothing_is_none(table: str) -> None:
    assert loads(f"{PLAIN}[{table}]\n") == loads(PLAIN)


@pytest.mark.parametrize("cell", ["1e300", "9" * 40])
def test_a_number_whose_square_is_none_is_too_large(cell: str) -> None:
    with pytest.raises(InputError, match=r"is far too large$"):
        read_pitches("p.csv", f"speed_mph,plate_side_in,plate_height_in\n80,{cell},30\n".encode())


# --- wear ------------------------------------------------------------------------------------------------------------


def test_random_moves_on_several_pages_leave_no_fault_and_no_trace(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each move is answered with a sentence, and what a page shows is what a fresh one shows for the same scenario."""
    monkeypatch.setattr(soak, "CHECK", 12)
    monkeypatch.setattr(soak, "PAGES", 3)
    wear = soak.wear_pages(24, seed=2)
    assert wear.faults == []
    assert wear.ends["shown"] > 15 and wear.ends["compared"] >= 2


def test_a_page_that_shows_something_old_is_noticed() -> None:
    """The comparison can fail: a page whose strip stays behind differs from a fresh one."""
    viewer = soak.Viewer(random.Random(1))
    viewer.page._settle = lambda: None  # type: ignore[method-assign]
    viewer.page.controls._asked(SimpleNamespace(data={"id": 1, "changes": {"swing.timing_ms": 7}}))
    assert "strip" in viewer.differs()
