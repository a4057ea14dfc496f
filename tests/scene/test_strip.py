"""The timing strip against plays computed one by one, and against what the trade says of early and late."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from plane3d.inputs import Inputs
from plane3d.play import Play, play
from plane3d.report import KINDS, read_map
from plane3d.scene.strip import LOOKS, PATH_POINTS, describe_strip
from plane3d.studies.contact_map import STRIP, solid, strip, timing_range
from plane3d.units import INCH
from tests.cases import inputs, mirrored

SINGLE = 2e-6  # m; single precision within 20 m
BUDGET = 0.060  # s for the 81 plays, from the issue


@pytest.fixture(scope="module")
def hit() -> Play:
    return play(inputs(below_line=INCH))


def at_timing(asked: Inputs, timing: float) -> Play:
    return play(replace(asked, swing=replace(asked.swing, timing=timing)))


@pytest.mark.parametrize("i", [0, 18, 30, 40, 47, 60, 80])
def test_each_column_is_the_play_at_that_timing(hit: Play, i: int) -> None:
    found, alone = describe_strip(hit), at_timing(hit.inputs, STRIP[i])
    assert found.kinds[i] == alone.result.outcome.kind
    if alone.contact_time is None or alone.result.collision is None:
        assert np.isnan(found.exit_speeds[i])
        assert np.isnan(found.paths[i]).all()
        return
    assert found.exit_speeds[i] == pytest.approx(alone.result.collision.exit_speed, rel=1e-5)
    until = min(alone.contact_time + 0.5, alone.end_time)
    path = alone.ball_at(np.linspace(alone.contact_time, until, PATH_POINTS))
    assert np.abs(found.paths[i] - path).max() < 1e-4  # m; the flights are stepped differently


def test_a_computed_strip_is_taken_as_it_is(hit: Play) -> None:
    timed = read_map(hit).timed
    assert timed is not None
    assert describe_strip(hit, timed).sentences == describe_strip(hit).sentences


def test_every_outcome_has_a_look_of_its_own() -> None:
    assert set(LOOKS) == {"miss", *KINDS}
    assert len({look.letter for look in LOOKS.values()}) == len(LOOKS)
    assert len({(look.color, look.texture) for look in LOOKS.values()}) == len(LOOKS)


def test_fair_outcomes_differ_in_lightness() -> None:
    """So that they can be told apart without any sense of colour. Relative luminance and contrast as in WCAG 2.x
    (W3C, formula from memory); 1.5 between neighbours is our own choice."""
    shades = [luminance(LOOKS[kind].color) for kind in ("ground-ball", "line-drive", "fly-ball", "pop-up")]
    for lighter, darker in pairwise(shades):
        assert (lighter + 0.05) / (darker + 0.05) > 1.5


def luminance(color: str) -> float:
    parts = np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def test_sentences_are_one_line_with_timing_and_outcome(hit: Play) -> None:
    found = describe_strip(hit)
    assert found.sentences[40].startswith("On time: ")
    assert found.sentences[28].startswith("12 ms early: ")
    assert found.sentences[52].startswith("12 ms late: foul ball to the opposite side, ")
    for kind, words in zip(found.kinds, found.sentences, strict=True):
        assert "\n" not in words
        assert ("mph" in words) == (kind != "miss")
        assert LOOKS[kind].name.split()[0] in words
        assert len(words) < 80
    metric = describe_strip(hit, metric=True)
    assert not any("mph" in words or " ft" in words for words in metric.sentences)
    assert any("km/h" in words for words in metric.sentences)


def test_ranges_are_those_of_the_plays(hit: Play) -> None:
    found, timed = describe_strip(hit), strip(hit.plays)
    ends = {r.name: (r.first, r.last) for r in found.ranges}
    assert ends == {"fair": timing_range(STRIP, timed.fair), "solid": timing_range(STRIP, solid(timed))}
    assert describe_strip(play(inputs(below_line=4 * INCH))).ranges == ()


def test_early_goes_to_the_pull_side_and_late_to_the_opposite_side(hit: Play) -> None:
    """Common practice, no source: met far in front the ball is pulled, met deep it goes to the opposite side."""
    found = describe_strip(hit)
    fair = next(r for r in found.ranges if r.name == "fair")
    first, last = (round(1e3 * t) + 40 for t in (fair.first, fair.last))
    assert "pull side" in found.sentences[first]
    assert "foul-opposite" in found.kinds[last + 1 : last + 4]
    assert "foul-pull" not in found.kinds[last:]


def test_a_left_handed_hitter_gets_the_same_words() -> None:
    one, other = describe_strip(play(inputs(below_line=INCH))), describe_strip(play(mirrored(inputs(below_line=INCH))))
    assert one.sentences == other.sentences
    assert one.ranges == other.ranges
    assert np.nanmax(np.abs(one.paths * np.array([-1, 1, 1], np.float32) - other.paths)) < 10 * SINGLE


def test_the_strip_does_not_depend_on_the_timing_asked_for(hit: Play) -> None:
    late = describe_strip(at_timing(hit.inputs, 0.012))
    assert late.timing == pytest.approx(0.012)
    assert late.sentences == describe_strip(hit).sentences
