"""A measured swing as a coach asks for it and reads it: a file in, JSON blocks and words out.

The same three verbs as the studies in `plane3d.study`: ``run``, then ``block`` or ``text``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from plane3d import units
from plane3d.frames import side_sign
from plane3d.inputs import Inputs
from plane3d.language import mark, tr
from plane3d.measured.placing import OWN_AXES, Placing, by_axes, by_corners
from plane3d.measured.points import read_points
from plane3d.measured.swing import DRAWS, SEED, ZONE, Measured, measure
from plane3d.plays import pitch_flight
from plane3d.quantities import unit_name
from plane3d.scenario import Scenario
from plane3d.study.words import closing, number, rows
from plane3d.words import SHOWN, Block, capital, show

MOST_TITLE = 120  # letters, as a scenario's file allows
SURE = 95.0  # %, of the stated intervals
# What each figure is to be known to, half the interval. Own choice: an inch is the tolerance of the contact window
# (DESIGN 6); 5 deg is a third of the launch band of a line drive; a tenth of the bat speed is two levels of play.
WANTED = {"bat_speed": 0.10, "attack_angle": 5.0 * units.DEGREE, "below_line": units.INCH}
SHARES = ("bat_speed",)  # wanted as a share of the figure itself
ENOUGH_IN_ZONE = 12  # samples in the last `ZONE` before contact
ENDS_OFF = 0.05  # m, the marks may be nearer or farther apart than the bat is long
FIGURES = {
    "bat_speed": ("_mph", units.MPH, mark("bat speed")),
    "attack_angle": ("_deg", units.DEGREE, mark("attack angle")),
    "vertical_bat_angle": ("_deg", units.DEGREE, mark("vertical bat angle")),
    "bat_direction": ("_deg", units.DEGREE, mark("bat direction")),
    "contact_depth": ("_in", units.INCH, mark("contact depth")),
    "below_line": ("_in", units.INCH, mark("below the line")),
    "along_barrel": ("_in", units.INCH, mark("along the barrel")),
}


@dataclass(frozen=True)
class Figure:
    """A number read off a measured swing, and the interval in which it lies at `SURE` percent; SI."""

    value: float
    low: float
    high: float

    @property
    def half(self) -> float:
        """Half the interval."""
        return (self.high - self.low) / 2


@dataclass(frozen=True)
class Found:
    """A measured swing against the pitch of a scenario.

    inputs : the play of the scenario with the measured swing in place of the built one, ready for `plane3d.play.play`
    figures : by name, as in `inputs.SwingAsk`
    """

    scenario: Scenario
    measured: Measured
    inputs: Inputs
    figures: dict[str, Figure]

    def values(self) -> dict[str, float]:
        """The figures in coach units by dotted key, as `Scenario.with_values` takes them."""
        shown = {
            f"swing.{name}{suffix}": self.figures[name].value / unit for name, (suffix, unit, _) in FIGURES.items()
        }
        return shown | {"swing.timing_ms": 0.0}

    def measured_scenario(self) -> Scenario:
        """The scenario with the measured swing and its figures, for every study; raises InputError if out of range.

        Not held: the swing aims at each pitch it is tried on, moved as a rigid body, until the scenario is held. What
        the scenario said of its own swing is left out.
        """
        title = tr("{title}: measured swing", title=tr(self.scenario.title))[:MOST_TITLE]
        said = {"title": title, "question": None, "notice": None}
        return self.scenario.hold(False).with_values(said | self.values()).with_measured(self.measured.track)


def run(
    path: str | Path,
    scenario: Scenario,
    placing: Placing | None = None,
    data: bytes | None = None,
    markers: tuple[str, str] = ("knob", "tip"),
    unit: str = "",
    impact: float | None = None,
    hit: bool = True,
    seed: int = SEED,
    draws: int = DRAWS,
) -> Found:
    """Read, judge, place and smooth the swing in a file, and read its figures off against the scenario's pitch.

    Parameters
    ----------
    scenario : pitch, bat, batting side and setting
    placing : from `placed`; None where the file's axes are those of the field
    data : bytes of the file, where they are at hand
    markers, unit : of a C3D file, as in `points.read_points`
    impact, hit, seed, draws : as in `swing.measure`

    Raises InputError or UnreachableError, one sentence each.
    """
    points = read_points(path, data, *markers, unit)
    base = scenario.to_inputs()
    measured = measure(points, placing or by_axes(), base.bats, impact, hit, seed, draws)
    return against(measured, scenario)


def against(measured: Measured, scenario: Scenario) -> Found:
    """The figures of a measured swing against the pitch of a scenario, with that scenario's bat and side."""
    base = scenario.to_inputs()
    inputs = measured.inputs(base)
    drawn = measured.contact.numbers(pitch_flight(base), base.bat.sweet_spot, side_sign(base.bats))
    tail = (100.0 - SURE) / 2
    figures = {}
    for name in FIGURES:
        low, high = np.nanpercentile(drawn[name], [tail, 100.0 - tail])
        figures[name] = Figure(float(getattr(inputs.swing, name)), float(low), float(high))
    return Found(scenario, measured, inputs, figures)


def placed(
    axes: tuple[str, ...] = OWN_AXES,
    plate: tuple[float, ...] = (0.0, 0.0, 0.0),
    corners: Mapping[str, tuple[float, ...]] | None = None,
    unit: str = "m",
) -> Placing:
    """The placing from corners of the plate where they are given, else from axes and the plate's rear point."""
    return by_corners(corners, unit) if corners else by_axes(axes, plate, unit)


def shortfalls(found: Found, metric: bool = False) -> list[str]:
    """Why the samples are not enough, and by how much; nothing where they are."""
    m, said = found.measured, []
    near = int(np.sum((m.points.times <= m.impact.time) & (m.points.times >= m.impact.time - ZONE)))
    if near < ENOUGH_IN_ZONE:
        said.append(
            tr(
                "{rate} samples a second are not enough: {given} lie in the last {time} ms before contact, {least} are "
                "needed; take at least {better} a second. What is stated as ± is then too small rather than too large.",
                rate=f"{m.checked.frame_rate:.0f}",
                given=near,
                time=f"{1e3 * ZONE:.0f}",
                least=ENOUGH_IN_ZONE,
                better=f"{10 * np.ceil(ENOUGH_IN_ZONE / ZONE / 10):.0f}",
            )
        )
    for name, wanted in WANTED.items():
        figure, (suffix, unit, label) = found.figures[name], FIGURES[name]
        allowed = wanted * (figure.value if name in SHARES else 1.0)
        if figure.half > allowed:
            said.append(
                tr(
                    "{figure}: known to ± {given} only; ± {allowed} is wanted, {times} times less.",
                    figure=capital(tr(label)),
                    given=fine(suffix, figure.half / unit, metric),
                    allowed=fine(suffix, allowed / unit, metric),
                    times=f"{figure.half / allowed:.1f}",
                )
            )
    return said


def notes(found: Found, metric: bool = False) -> list[str]:
    """Everything there is to say about the samples that numbers do not say."""
    m, said = found.measured, [*found.measured.notes]
    length = found.inputs.bat.length
    if abs(m.checked.length - length) > ENDS_OFF:
        said.append(
            tr(
                "The marks of knob and tip are {given} apart and the bat is {length} long; the knob's mark was taken "
                "for its end.",
                given=show("_in", m.checked.length / units.INCH, metric),
                length=show("_in", length / units.INCH, metric),
            )
        )
    return said + shortfalls(found, metric)


def block(found: Found) -> Block:
    """The answer for JSON, in the units its names end in."""
    m, checked = found.measured, found.measured.checked
    figures = {}
    for name, (suffix, unit, _) in FIGURES.items():
        figure = found.figures[name]
        for end, value in (("", figure.value), ("_low", figure.low), ("_high", figure.high)):
            figures[f"{name}{end}{suffix}"] = number(value / unit, 3)
    return {
        "file": m.points.name,
        "bats": m.bats,
        "sure_percent": SURE,
        "figures": figures,
        "enough": not shortfalls(found),
        "samples": {
            "used": len(checked.points.times),
            "left_out": checked.left_out,
            "rate_hz": number(checked.frame_rate),
            "gaps": checked.gaps,
            "longest_gap_ms": number(checked.longest_gap / units.MILLISECOND),
            "near_contact": m.zone_samples,
        },
        "bat": {"length_m": number(checked.length, 4), "length_spread_mm": number(1e3 * checked.length_spread)},
        "noise": {
            "before_contact_mm": number(1e3 * m.noise),
            "whole_way_mm": number(1e3 * m.noise_road),
            "after_contact_mm": number(1e3 * m.noise_after),
        },
        "impact": {
            "time_s": number(m.impact.time, 5),
            "found": m.impact_found,
            "spread_ms": number(m.impact.spread / units.MILLISECOND),
        },
        "notes": notes(found),
    }


def figure_rows(found: Found, metric: bool = False) -> list[tuple[str, str]]:
    """Each figure with half its interval."""
    pairs = []
    for name, (suffix, unit, label) in FIGURES.items():
        figure = found.figures[name]
        value, half = (fine(suffix, number / unit, metric) for number in (figure.value, figure.half))
        pairs.append((tr(label), f"{value} ± {half}"))
    return pairs


def fine(suffix: str, value: float, metric: bool) -> str:
    """A value with one decimal, as a measurement is read."""
    unit, _, metric_unit, _, factor = SHOWN[suffix]
    unit, value = (metric_unit, value * factor) if metric else (unit, value)
    return f"{value + 0.0:.1f}{unit}" if unit == "°" else f"{value + 0.0:.1f} {unit_name(unit)}"


def sample_rows(found: Found) -> list[tuple[str, str]]:
    """What was measured and how well."""
    m, checked = found.measured, found.measured.checked
    found_words = tr("found") if m.impact_found else tr("stated")
    after = [] if np.isnan(m.noise_after) else [(tr("residual after contact"), f"{1e3 * m.noise_after:.1f} mm")]
    return [
        (tr("samples used, left out"), f"{len(checked.points.times)}, {checked.left_out}"),
        (tr("samples a second"), f"{checked.frame_rate:.0f}"),
        (tr("gaps, longest"), f"{checked.gaps}, {1e3 * checked.longest_gap:.0f} ms"),
        (tr("knob to tip"), f"{checked.length:.3f} m ± {1e3 * checked.length_spread:.1f} mm"),
        (tr("residual near contact"), f"{1e3 * m.noise:.1f} mm"),
        (tr("residual on the whole way"), f"{1e3 * m.noise_road:.1f} mm"),
        *after,
        (tr("contact ({how})", how=found_words), f"{m.impact.time:.4f} s ± {1e3 * m.impact.spread:.1f} ms"),
    ]


def text(found: Found, metric: bool = False) -> str:
    """The answer to read, in coach units or metric."""
    lines = [tr("Measured swing: {file}", file=found.measured.points.name), ""]
    lines += [tr("At contact, ± {sure} %", sure=f"{SURE:.0f}"), *rows(figure_rows(found, metric)), ""]
    lines += [tr("Samples"), *rows(sample_rows(found))]
    if said := notes(found, metric):
        lines += ["", *said]
    return "\n".join([*lines, *closing()])
