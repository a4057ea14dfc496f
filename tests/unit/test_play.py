"""One path from inputs to answers: the same for one play and many, for both sides, at any frame rate."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from plane3d.constants import PLATE_FRONT_Y
from plane3d.errors import UnreachableError
from plane3d.frames import norm, side_sign
from plane3d.play import CATCHER_Y, play, play_many
from plane3d.units import DEGREE, INCH, MPH
from tests.cases import BALL, METAL, inputs, medium, mirrored, random_asks, solved_flight

SIDES = pytest.mark.parametrize("bats", ["right", "left"])


def test_left_and_right_are_mirror_images():
    """Law: physics knows no left and right. Five hundred plays in a cross wind, mirrored to the last bit."""
    asked = inputs(setting={"wind": (1.5, 2.0, 0.0)}, **random_asks(np.random.default_rng(7), 500))
    ours, theirs = play_many(asked), play_many(mirrored(asked))
    hit = ours.meeting.touch
    flip, axial = np.array([-1.0, 1.0, 1.0]), np.array([1.0, -1.0, -1.0])
    assert 0.5 < hit.mean() < 1
    assert np.array_equal(hit, theirs.meeting.touch)
    assert np.abs(ours.meeting.time - theirs.meeting.time).max() < 1e-9
    assert np.abs(ours.blow.velocity * flip - theirs.blow.velocity)[hit].max() < 1e-9
    assert np.abs(ours.blow.spin * axial - theirs.blow.spin)[hit].max() < 1e-9
    assert np.nanmax(np.abs(ours.batted.x * flip - theirs.batted.x)) < 1e-9
    assert np.array_equal(ours.kind, theirs.kind)
    assert np.array_equal(ours.miss, theirs.miss)


def test_many_swings_at_one_pitch_are_the_plays_one_by_one():
    below, timing = np.linspace(-1.5, 1.5, 12) * INCH, np.linspace(-0.01, 0.01, 12)
    many = play_many(inputs(below_line=below, timing=timing))
    for i in range(12):
        one = play_many(inputs(below_line=below[i], timing=timing[i]))
        assert one.meeting.time[0] == pytest.approx(many.meeting.time[i], abs=1e-12)
        assert one.blow.velocity[0] == pytest.approx(many.blow.velocity[i], abs=1e-9)
        assert one.batted.x[0] == pytest.approx(many.batted.x[i], abs=1e-9)
        assert one.kind[0] == many.kind[i]


def test_many_pitches_are_the_plays_one_by_one():
    """Aiming goes on until the worst of the pitches is aimed, so single pitches differ by the aim's 1e-10 m; a graze
    turns that into some 1e-5 m/s."""
    ask = random_asks(np.random.default_rng(9), 60)
    many = play_many(inputs(**ask))
    for i in range(60):
        one = play_many(inputs(**{name: float(value[i]) for name, value in ask.items()}))
        assert one.meeting.touch[0] == many.meeting.touch[i]
        assert one.meeting.time[0] == pytest.approx(many.meeting.time[i], abs=2e-9)
        if many.meeting.touch[i]:
            assert one.blow.velocity[0] == pytest.approx(many.blow.velocity[i], abs=1e-4)
        assert one.kind[0] == many.kind[i]


def test_the_same_inputs_give_the_same_numbers():
    asked = inputs(below_line=0.7 * INCH, timing=0.002)
    assert repr(play(asked).result) == repr(play(asked).result)


def test_the_parts_of_the_launch_angle_add_up():
    plays = play_many(inputs(**random_asks(np.random.default_rng(11), 200)))
    hit = plays.meeting.touch
    assert np.abs(sum(plays.why) - plays.launch_angle)[hit].max() < 1e-9
    why = play(inputs(below_line=1 * INCH)).result.why
    assert why.attack > 5 * DEGREE and why.undercut > 10 * DEGREE
    # On the line the barrel's taper still turns the surface by a degree or so.
    assert abs(play(inputs(below_line=0.0)).result.why.undercut) < 2 * DEGREE
    assert play(inputs(below_line=-0.6 * INCH)).result.why.undercut < -5 * DEGREE


def test_a_square_hit_leaves_as_fast_as_the_collision_efficiency_says():
    """Exit = e_A v_ball + (1 + e_A) v_bat for motions along one line (Nathan 2003, as quoted). Ball and barrel here
    cross at some degrees, which costs 1.4 %."""
    shown = play(inputs(attack_angle=6 * DEGREE, vertical_bat_angle=0.0, bat_direction=0.0))
    meeting, collision = shown.plays.meeting, shown.result.collision
    ball = norm(meeting.ball_velocity)[0]
    straight = collision.efficiency * ball + (1 + collision.efficiency) * 70 * MPH
    assert collision.exit_speed == pytest.approx(straight, rel=0.02)
    assert collision.regime == "grip"


@SIDES
def test_result_is_what_was_asked(bats):
    asked = inputs(bats, below_line=0.4 * INCH, along_barrel=1 * INCH, contact_depth=8 * INCH)
    answer = play(asked).result
    assert answer.swing.bat_speed == pytest.approx(70 * MPH, rel=1e-9)
    assert answer.swing.attack_angle == pytest.approx(12 * DEGREE, abs=1e-9)
    assert answer.swing.vertical_bat_angle == pytest.approx(30 * DEGREE, abs=1e-9)
    assert answer.pitch.plate_height == pytest.approx(asked.pitch.plate_height, abs=1e-9)
    # Measured where the ball reaches the plane of the axis.
    assert answer.meeting.below_line == pytest.approx(0.4 * INCH, abs=0.02 * INCH)
    assert answer.meeting.along_barrel == pytest.approx(1 * INCH, abs=0.02 * INCH)
    assert answer.meeting.depth == pytest.approx(8 * INCH, abs=0.02 * INCH)
    assert answer.flight.carry == pytest.approx(np.hypot(answer.flight.landing_side, answer.flight.landing_out))


def test_every_number_of_a_result_is_a_plain_float():
    answer = play(inputs(below_line=0.5 * INCH)).result
    for block in (answer.pitch, answer.swing, answer.meeting, answer.collision, answer.flight, answer.why):
        for field in fields(block):
            value = getattr(block, field.name)
            assert type(value) in (float, bool, str, type(None))
            assert not isinstance(value, float) or np.isfinite(value)


@pytest.mark.parametrize("rate", [24, 30, 60, 240])
@pytest.mark.parametrize("below", [0.6, 4.0], ids=["hit", "miss"])
def test_paths_do_not_depend_on_the_frame_rate(rate, below):
    shown = play(inputs(below_line=below * INCH))
    frames = np.arange(int(shown.end_time * rate) + 1) / rate
    for sample in (shown.ball_at, shown.hands_at, shown.sweet_spot_at, lambda t: shown.bat_at(t)[1]):
        alone = np.concatenate([sample(np.array([t])) for t in frames])
        assert np.array_equal(sample(frames), alone)


@SIDES
def test_paths_join_at_contact_and_rest_at_the_ends(bats):
    shown = play(inputs(bats, below_line=0.6 * INCH))
    t, end = shown.contact_time, shown.end_time
    near = shown.ball_at(np.array([t - 1e-7, t, t + 1e-7]))
    assert norm(np.diff(near, axis=0)).max() < 1e-5
    # the ball turns round at contact: before and after speeds are those of the answer
    speed = norm(shown.ball_at(np.array([t + 1e-5])) - near[1]) / 1e-5
    assert speed[0] == pytest.approx(shown.result.collision.exit_speed, rel=1e-3)
    landing = [shown.result.flight.landing_side, shown.result.flight.landing_out, BALL.radius]
    for late in (end, end + 1.0):
        assert shown.ball_at(np.array([late]))[0] == pytest.approx(landing, abs=1e-6)
    assert np.array_equal(shown.pitch_at(np.array([-1.0])), shown.pitch_at(np.array([0.0])))
    knob, axis = shown.bat_at(np.array([t]))
    along = (shown.ball_at(np.array([t])) - knob)[0] @ axis[0]
    nearest = knob[0] + along * axis[0]
    gap = norm(shown.ball_at(np.array([t]))[0] - nearest)
    assert gap < BALL.radius + METAL.radius.max()


def test_a_missed_ball_goes_to_the_catcher():
    shown = play(inputs(below_line=4 * INCH))
    assert shown.contact_time is None
    assert shown.ball_at(np.array([9.0]))[0, 1] == pytest.approx(CATCHER_Y, abs=1e-9)
    assert shown.pitch_end_time <= shown.end_time
    assert shown.launch_time < shown.aim_time < shown.end_time
    assert np.array_equal(shown.ball_spin_at(np.array([0.1])), shown.plays.pitch.spin_at(np.array([[0.1]]))[0])


def test_the_batted_ball_flies_by_the_flight_equations():
    """The landing again, by scipy's DOP853 from the state just after the blow."""
    shown = play(inputs(below_line=0.9 * INCH, setting={"wind": (1.0, 2.0, 0.0)}))
    start = (shown.plays.meeting.ball[0], shown.plays.blow.velocity[0], shown.plays.blow.spin[0])
    solved = solved_flight(medium(wind=(1.0, 2.0, 0.0)), *start)
    flight = shown.result.flight
    assert solved.y_events[0][0][:2] == pytest.approx([flight.landing_side, flight.landing_out], abs=4e-3)
    assert solved.t_events[0][0] == pytest.approx(flight.hang_time, abs=2e-4)
    assert solved.y_events[1][0][2] == pytest.approx(flight.apex, abs=1e-3)
    spun = norm(shown.ball_spin_at(np.array([shown.contact_time + 1e-9])))[0]
    assert spun == pytest.approx(norm(shown.plays.blow.spin)[0], rel=1e-6)


def test_neighbouring_plays_have_neighbouring_answers():
    """Timing in steps of 0.05 ms and barrel height in steps of 0.004 in: no answer may jump."""
    timing = play_many(inputs(timing=np.arange(-0.012, 0.012, 5e-5), below_line=0.3 * INCH))
    height = play_many(inputs(below_line=np.linspace(-1.5, 1.5, 751) * INCH))
    for plays in (timing, height):
        assert plays.meeting.touch.all()
        assert np.abs(np.diff(plays.launch_angle)).max() < 0.25 * DEGREE
        assert np.abs(np.diff(plays.spray_angle)).max() < 0.25 * DEGREE
        assert np.abs(np.diff(plays.exit_speed)).max() < 0.1


def test_out_of_reach_is_an_error():
    with pytest.raises(UnreachableError):
        play(inputs(speed=10 * MPH))
    with pytest.raises(UnreachableError):
        play(inputs(attack_angle=75 * DEGREE, vertical_bat_angle=60 * DEGREE))


@SIDES
def test_the_aim_is_where_the_pitch_is_due(bats):
    shown = play(inputs(bats, timing=0.004, contact_depth=7 * INCH))
    ball = shown.pitch_at(np.array([shown.aim_time - 0.004]))[0]
    assert ball[1] - PLATE_FRONT_Y == pytest.approx(7 * INCH, abs=1e-9)
    assert side_sign(bats) * shown.hands_at(np.array([shown.aim_time]))[0, 0] < 0
