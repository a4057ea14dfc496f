"""The five parts of the studies page: how each is worked out and how its answer is shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from apps import studies_html as html
from apps.background import Progress
from apps.chart_figures import chance_map, chances, differences, outcomes, pairs, windows
from apps.field_figures import SHOWN, band, cloud, landings, zones
from apps.figures import Look
from apps.studies_asked import REMEDY, SHEET, SPREAD, TARGET, VERSUS, Asked
from plane3d import units
from plane3d.constants import ZONE_BOTTOM_SHARE, ZONE_TOP_SHARE
from plane3d.drills import CAUSES
from plane3d.language import mark, tr
from plane3d.plan import Plan, plan
from plane3d.practice_sheet import sheet
from plane3d.quantities import choice_in_words
from plane3d.scenario import Scenario
from plane3d.scene.strip import look as outcome
from plane3d.studies.contact_map import SOLID_SHARE
from plane3d.study import remedy, spread, target, versus
from plane3d.study.words import percent
from plane3d.words import NAMES, climb, show


@dataclass(frozen=True)
class Shown:
    """An answer as the page shows it: one sentence, figures with their alt texts, words, all by name of the place.

    file : name and text of what can be saved
    """

    headline: str
    words: str
    figures: dict[str, Any] = field(default_factory=dict)
    alts: dict[str, str] = field(default_factory=dict)
    file: str = ""


@dataclass(frozen=True)
class Part:
    """One part: its name, what it depends on (fields of `Asked`), how it is worked out and how shown."""

    label: str
    uses: tuple[str, ...]
    run: Callable[[Asked, Progress], Any]
    draw: Callable[[Any, Look], Shown]

    def key(self, asked: Asked) -> tuple[Any, ...]:
        """What the answer depends on; of the numbers of swings only the one of the part asked for."""
        return tuple(asked.swings[asked.part] if name == "swings" else getattr(asked, name) for name in self.uses)


# --- spread ----------------------------------------------------------------------------------------------------------


def _run_spread(asked: Asked, progress: Progress) -> spread.Found | None:
    return spread.run(asked.scenario, asked.full_scatter, asked.swings[SPREAD], asked.seed, progress)


def _draw_spread(found: spread.Found, look: Look) -> Shown:
    s, inputs = found.spread, found.scenario.to_inputs()
    some = np.flatnonzero(s.made)[:SHOWN]
    across = np.stack([s.offset[:, 0], s.offset[:, 1] * np.cos(inputs.swing.vertical_bat_angle)], axis=-1)
    field_figure, outside = landings(look, inputs.setting.field, s.kind[some], s.landing[some])
    shares = s.shares()
    listed = "; ".join(f"{tr(NAMES[kind])} {percent(share)}" for kind, share in shares.items())
    drawn = f"{len(some):,}"
    contact = spread.contact_rows(found, look.metric)
    solid = show("_mph", SOLID_SHARE * s.best / units.MPH, look.metric)
    notes = [
        tr("Solid: a fair ball of at least {speed}, 90 % of this swing's best.", speed=solid),
        tr("Seed {seed}; behind ± stands the standard error.", seed=s.seed),
        tr("Drawn are the first {count} swings; {outside} of their balls lie outside the field’s picture.",
           count=drawn, outside=outside),
    ]  # fmt: skip
    if left := int(np.sum(~s.made)):
        notes.append(tr("{count} swings that cannot be made are left out.", count=f"{left:,}"))
    words = html.outcome_table([(kind, percent(share)) for kind, share in shares.items()])
    words += html.table(tr("Contact"), (), contact)
    words += "".join(html.paragraph(note, "quiet") for note in notes) + html.closing()
    return Shown(
        spread.headline(found),
        words,
        {
            "outcomes": outcomes(look, shares),
            "landings": field_figure,
            "cloud": cloud(look, inputs.bat, inputs.setting.ball.radius, s.kind[some], across[some]),
        },
        {
            "outcomes": tr("Bars, each with its standard error. {shares}.", shares=listed),
            "landings": tr("The field from above with the places where {count} balls come down. {shares}.",
                           count=drawn, shares=_sides(found)),
            "cloud": tr("The barrel from the side and the centres of {count} balls where they met or passed it; "
                        "{share} touch it.", count=drawn, share=percent(s.share_of(s.touch))),
        },
    )  # fmt: skip


def _sides(found: spread.Found) -> str:
    s = found.spread
    return "; ".join(f"{tr(spread.SIDES[name])} {percent(s.share_of(good))}" for name, good in spread.sides(s).items())


# --- remedy ----------------------------------------------------------------------------------------------------------


def _run_remedy(asked: Asked, progress: Progress) -> remedy.Found:
    return remedy.run(asked.scenario, asked.goal)


def _draw_remedy(found: remedy.Found, look: Look) -> Shown:
    return Shown(remedy.headline(found, look.metric), html.remedies(found, look.metric) + html.closing())


# --- target ----------------------------------------------------------------------------------------------------------


def _run_target(asked: Asked, progress: Progress) -> target.Found:
    return target.run(asked.scenario)


def _draw_target(found: target.Found, look: Look) -> Shown:
    t, limits = found.target, target.band(found)
    inside = (t.launch_angle >= t.band()[0] - 1e-9) & (t.launch_angle <= t.band()[1] + 1e-9)
    bearing, carry = np.broadcast_arrays(t.spray, t.carry[inside])
    landing = np.stack([carry * np.sin(bearing), carry * np.cos(bearing)], axis=-1).reshape(-1, 2)
    hit = (t.safe + t.over)[inside].ravel()
    low, high = (climb(angle) for angle in limits)
    level = choice_in_words("setting.level", found.scenario.setting.level)
    notes = (
        tr("* the band to train for. Chances are averages over all fair directions."),
        tr("Fielders and runner are those of the level: {level}.", level=level),
        tr("Running speeds and hands are typical of the level, from memory and our own choice, not a measurement."),
    )
    told = target.angle_rows(found, look.metric)
    rows = [(angle + (" *" if inside else ""), *rest) for inside, (angle, *rest) in told]
    words = html.paragraph(target.why(found), "why")
    words += html.table(tr("What each launch angle gives"), [tr(head) for head in target.HEADS], rows)
    words += "".join(html.paragraph(note, "quiet") for note in notes) + html.closing()
    return Shown(
        target.headline(found),
        words,
        {
            "chances": chances(look, t, limits),
            "chance_map": chance_map(look, t, limits),
            "band": band(look, found.scenario.to_inputs().setting.field, landing, hit, t.fielders),
        },
        {
            "chances": tr("Chance of falling safe, of an out and of going over the fence by launch angle; the band "
                          "from {low} to {high} is marked. {why}", low=low, high=high, why=target.why(found)),
            "chance_map": tr("Chance of a hit by spray angle and launch angle; the band from {low} to {high} is "
                             "marked.", low=low, high=high),
            "band": tr("The field from above: where balls of the band come down, darker for a better chance of a "
                       "hit, and where nine fielders stand. On average {share} %.", share=f"{100 * hit.mean():.0f}"),
        },
    )  # fmt: skip


# --- two hitters -----------------------------------------------------------------------------------------------------


def _run_versus(asked: Asked, progress: Progress) -> versus.Found | None:
    return versus.run(
        asked.scenario,
        asked.second,
        asked.pitch_set(),
        asked.held,
        asked.full_scatter,
        asked.swings[VERSUS],
        asked.seed,
        progress,
    )


def _draw_versus(found: versus.Found, look: Look) -> Shown:
    shares = versus.shares(found)
    short = [tr(versus.FLAGS[name][0]) if name in versus.FLAGS else outcome(name).word for name in shares]
    first, second, apart = (
        [getattr(share, name) for share in shares.values()] for name in ("first", "second", "difference")
    )
    heads = [tr(head) for head in versus.HEADS]
    lines = versus.share_rows(found)
    told = "; ".join(f"{name}: {f}, {s}, {d}" for name, f, s, d in lines)
    words = html.paragraph(tr(versus.HELD if found.held else versus.AIMS))
    words += html.table(tr("Share of all pitches"), ["", *heads], lines)
    single = html.table(tr("Solid, by pitch"), ["", *heads], versus.pitch_rows(found, "solid"))
    single += html.table(tr("Touched, by pitch"), ["", *heads], versus.pitch_rows(found, "touch"))
    single += html.table(tr("Contact window by pitch height"), ["", *heads[:2]], versus.window_rows(found, look.metric))
    words += html.folded(tr("Each pitch and each height in numbers"), single)
    drawn = tr("{plays} plays of each pitch, the same draws for both; seed {seed}.",
               plays=f"{found.plays:,}", seed=found.seed)  # fmt: skip
    error = tr("Behind ± stands the standard error; a difference is the second less the first, in points of a hundred.")
    words += html.paragraph(drawn, "quiet") + html.paragraph(error, "quiet") + html.closing()
    cells, shades = _zones(found)
    heights = tuple(
        (one.hitter.height_in * ZONE_BOTTOM_SHARE, one.hitter.height_in * ZONE_TOP_SHARE) for one in found.scenarios
    )
    covered = "; ".join(_covered(found))
    return Shown(
        versus.headline(found),
        html.swatches(tr(found.first.title), tr(found.second.title)) + words,
        {
            "pairs": pairs(look, short, first, second),
            "differences": differences(look, short, apart),
            "zones": zones(look, heights, cells, shades, [_ends(who, one) for who, one in enumerate(found.scenarios)]),
            "windows": windows(look, found.heights, (found.windows[0][0], found.windows[1][0])),
        },
        {
            "pairs": tr("Bars of the first and the second. {shares}.", shares=told),
            "differences": tr("Differences as points with two standard errors. {shares}.", shares=told),
            "zones": tr("Two strike zones with the share of solid balls in each ninth, first and second. {zones}.",
                        zones=covered),
            "windows": tr("Length of the contact window over the height of the pitch as two lines; the table has "
                          "the numbers."),
        },
    )  # fmt: skip


def _zones(found: versus.Found) -> tuple[tuple[dict[tuple[int, int], str], ...], list[dict[tuple[int, int], float]]]:
    """What stands in each ninth of each hitter's zone, and its shade; columns from the third-base side."""
    cells: tuple[dict[tuple[int, int], str], ...] = ({}, {})
    shades: list[dict[tuple[int, int], float]] = [{}, {}]
    shares = versus.by_zone(found, "solid")
    for who, one in enumerate(found.scenarios):
        across = versus.ACROSS if one.hitter.bats == "right" else versus.ACROSS[::-1]
        for row, height in enumerate(versus.THIRDS):
            for column, side in enumerate(across):
                share = shares.get((height, side), (None, None))[who]
                cells[who][row, column] = "–" if share is None else f"{100 * share[0]:.0f} %"
                if share is not None:
                    shades[who][row, column] = share[0]
    return cells, shades


def _covered(found: versus.Found) -> list[str]:
    return [
        tr(versus.ZONES[zone]) + ": " + ", ".join("–" if one is None else percent(one) for one in pair)
        for zone, pair in versus.by_zone(found, "solid").items()
    ]


def _ends(who: int, one: Scenario) -> tuple[str, str, str]:
    """The names of a zone and of its two sides from the third-base side."""
    inside, outside = (versus.ZONES["middle", side] for side in ("inside", "outside"))
    sides = (tr(inside), tr(outside))
    left, right = sides if one.hitter.bats == "right" else sides[::-1]
    return tr(versus.HEADS[who]), left, right


# --- practice sheet --------------------------------------------------------------------------------------------------


def _run_sheet(asked: Asked, progress: Progress) -> Plan | None:
    return plan(asked.scenario, asked.full_scatter, asked.drill_list(), asked.swings[SHEET], asked.seed, progress)


def _draw_sheet(found: Plan, look: Look) -> Shown:
    text = sheet(found, look.metric)
    return Shown(_work_on(found), html.caution() + html.sheet(text), file=text)


def _work_on(found: Plan) -> str:
    """The sheet in one sentence."""
    if found.causes:
        return tr("To work on first: {cause}.", cause=tr(CAUSES[found.causes[0]]))
    if found.ball.already:
        return tr("By this model nothing needs fixing. The drills below keep it that way.")
    return tr("The model finds no single cause. The drills below are general ones.")


COMMON = ("scenario", "scatter", "seed", "swings")
STUDIES: dict[str, Part] = {
    SPREAD: Part(mark("Spread"), COMMON, _run_spread, _draw_spread),
    REMEDY: Part(mark("What would fix it"), ("scenario", "kinds", "where"), _run_remedy, _draw_remedy),
    TARGET: Part(mark("What to aim for"), ("scenario",), _run_target, _draw_target),
    VERSUS: Part(mark("Two hitters"), (*COMMON, "second", "pitches", "own_pitches", "held"), _run_versus, _draw_versus),
    SHEET: Part(mark("Practice sheet"), (*COMMON, "drills"), _run_sheet, _draw_sheet),
}
