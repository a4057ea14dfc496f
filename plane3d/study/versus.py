"""Two hitters, or two swings of one, under the same scatter against the same pitches; in coach units and in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from itertools import product

import numpy as np

from plane3d import units
from plane3d.constants import ZONE_BOTTOM_SHARE, ZONE_TOP_SHARE
from plane3d.errors import UnreachableError
from plane3d.frames import Array
from plane3d.language import mark, tr
from plane3d.pitch_set import NUMBERS, PitchSet, against, complete, nine_places, zone_of
from plane3d.scenario import Scenario
from plane3d.studies import versus as study
from plane3d.studies.spread import Progress, Spread
from plane3d.study.scatter import Scatter, scatter
from plane3d.study.spread import SEED, scatter_lines
from plane3d.study.words import FAIR, SOLID, TOUCH, closing, number, percent, points, share_block, table
from plane3d.words import NAMES, Block, show

PLAYS, MOST_PLAYS = 1000, 100_000  # of each pitch
HEIGHTS = 13  # pitch heights at which the contact window is read
BEYOND = 4.0  # in above and below the strike zone, where these heights end
SURE = 2.0  # standard errors from which a difference is called one
AIMS = mark("Both swings aim at each pitch: each is made anew for it.")
HELD = mark("Both swings are held: each stays where it is for its own pitch.")
HEADS = (mark("First"), mark("Second"), mark("Difference"))
THIRDS = ("low", "middle", "high")
ACROSS = ("inside", "middle", "outside")
ZONES = {
    ("high", "inside"): mark("high and inside"), ("high", "middle"): mark("high"),
    ("high", "outside"): mark("high and outside"), ("middle", "inside"): mark("inside"),
    ("middle", "middle"): mark("over the middle"), ("middle", "outside"): mark("outside"),
    ("low", "inside"): mark("low and inside"), ("low", "middle"): mark("low"),
    ("low", "outside"): mark("low and outside"),
}  # fmt: skip
FLAGS: dict[str, tuple[str, Callable[[Spread], Array]]] = {
    "touch": (TOUCH, lambda s: s.touch),
    "fair": (FAIR, lambda s: s.fair),
    "solid": (SOLID, lambda s: s.solid),
    "over_fence": (mark("over the fence"), lambda s: s.over_fence & s.fair),
}


@dataclass(frozen=True)
class Found:
    """Two scenarios against the pitches of a set.

    pitches : every number of [pitch] by name, complete, the same for both; zones : for each pitch, third of the first
    hitter's zone by height and by side, and of the second's
    heights : (k,) m at the plate of pitches otherwise like the first scenario's; windows : for each swing, length of
        its contact window there, (k,) m and (k,) s
    """

    first: Scenario
    second: Scenario
    pitch_set: PitchSet
    pitches: tuple[dict[str, float], ...]
    held: bool
    scatter: Scatter
    plays: int
    seed: int
    versus: study.Versus
    heights: Array
    windows: tuple[tuple[Array, Array], tuple[Array, Array]]

    @property
    def scenarios(self) -> tuple[Scenario, Scenario]:
        return self.first, self.second

    def zone(self, place: int, who: int) -> tuple[str, str]:
        """Where a pitch is for the first hitter (0) or for the second (1): keys of ZONES."""
        hitter, pitch = self.scenarios[who].hitter, self.pitches[place]
        return zone_of(pitch["plate_side_in"], pitch["plate_height_in"], hitter.height_in, hitter.bats)


def run(
    first: Scenario,
    second: Scenario,
    pitch_set: PitchSet | None = None,
    held: bool = False,
    asked: Scatter | None = None,
    plays: int = PLAYS,
    seed: int = SEED,
    progress: Progress | None = None,
) -> Found | None:
    """The comparison; None where ``progress`` (told the share done) returned False.

    pitch_set : left out, the first scenario's pitch in nine places of its hitter's zone. What a pitch of the set
        leaves out comes from the first scenario's level, for both, so that both face the same pitches.
    held : False makes each swing anew for each pitch, True leaves it where it is for the scenario's own pitch
    asked : the scatter for both; left out, what is typical of the first scenario's level
    plays : of each pitch

    Raises InputError for a pitch that the level does not throw, UnreachableError where no pitch can be compared.
    """
    asked = asked or scatter(first.setting.level)
    pitch_set = pitch_set or nine_places(first)
    pitches = tuple(complete(pitch_set, first))
    sides = [[against(one, pitch, held).to_inputs() for pitch in pitches] for one in (first, second)]
    counts = np.array([pitch.count for pitch in pitch_set.pitches], dtype=float)
    found = study.versus(sides[0], sides[1], counts, asked.to_si(), plays, seed, progress)
    if found is None:
        return None
    if all(found.both(i) is None for i in range(len(pitches))):
        raise UnreachableError(tr("None of these pitches can be met by both swings."))
    inches = first.hitter.height_in
    low, high = inches * ZONE_BOTTOM_SHARE - BEYOND, inches * ZONE_TOP_SHARE + BEYOND
    heights = np.linspace(low, high, HEIGHTS) * units.INCH
    own = {name: float(first.value(f"pitch.{name}")) for name in NUMBERS}
    windows = [
        study.windows_by_height(against(one, own, held).to_inputs(), heights, first.si("view.window_in"))
        for one in (first, second)
    ]
    return Found(first, second, pitch_set, pitches, held, asked, plays, seed, found, heights, (windows[0], windows[1]))


def shares(found: Found) -> dict[str, study.Share]:
    """Every share of the comparison by name: touch, fair, solid, over_fence, then each outcome kind that came up."""
    v = found.versus
    asked: dict[str, Callable[[Spread], Array]] = {name: of for name, (_, of) in FLAGS.items()}
    met = [one for i in range(len(v.weight)) for one in (v.both(i) or ())]
    for kind in sorted({str(kind) for one in met for kind in np.unique(one.kind[one.made])}):
        asked[kind] = lambda s, kind=kind: s.kind == kind  # type: ignore[misc]
    counted = {name: v.share(of) for name, of in asked.items()}
    return {name: share for name, share in counted.items() if share is not None}


def by_pitch(found: Found, flag: str) -> list[study.Share | None]:
    """The share of one flag of FLAGS for each pitch; None where one of the swings cannot be made for it."""
    return [found.versus.share(FLAGS[flag][1], [i]) for i in range(len(found.pitches))]


Zoned = dict[tuple[str, str], tuple[tuple[float, float] | None, ...]]


def by_zone(found: Found, flag: str) -> Zoned:
    """For each zone the share of one flag of each hitter over the pitches that are there for him; None without any."""
    zones: Zoned = {}
    for zone in product(reversed(THIRDS), ACROSS):
        shares: list[tuple[float, float] | None] = []
        for who in (0, 1):
            among = [i for i in range(len(found.pitches)) if found.zone(i, who) == zone]
            share = found.versus.share(FLAGS[flag][1], among) if among else None
            shares.append(None if share is None else (share.first, share.second)[who])
        if any(shares):
            zones[zone] = tuple(shares)
    return zones


def headline(found: Found) -> str:
    """The comparison in one sentence."""
    share = found.versus.share(FLAGS["solid"][1])
    if share is None:
        return ""
    value, error = share.difference
    if abs(value) < SURE * error:
        return tr(
            "Solid contact: no difference beyond chance ({points} in a hundred).", points=points(share.difference)
        )
    words = (mark("The second is solid more often, by {points} in a hundred."),
             mark("The first is solid more often, by {points} in a hundred."))  # fmt: skip
    return tr(words[value < 0], points=points((abs(value), error)).lstrip("+"))


def block(found: Found) -> Block:
    """The answer as ``plane3d compare --json`` prints it. A difference is the second less the first."""
    return {
        "first": found.first.title,
        "second": found.second.title,
        "pitches": found.pitch_set.title,
        "swings": "held" if found.held else "aim",
        "plays_of_each_pitch": found.plays,
        "seed": found.seed,
        "scatter": asdict(found.scatter),
        "sentence": headline(found),
        "shares": {name: _share(share) for name, share in shares(found).items()},
        "exit_speed": [_speeds(found, who) for who in (0, 1)],
        "by_pitch": [_pitch(found, i) for i in range(len(found.pitches))],
        "by_zone": [
            {"zone": " ".join(zone), **{flag: [s and share_block(s) for s in by_zone(found, flag)[zone]] for flag in
             ("touch", "solid")}}
            for zone in by_zone(found, "solid")
        ],
        "window_by_height": [
            {
                "plate_height_in": number(height / units.INCH, 1),
                "length_in": [number(w[0][i] / units.INCH, 1) for w in found.windows],
                "length_ms": [number(w[1][i] / units.MILLISECOND, 1) for w in found.windows],
            }
            for i, height in enumerate(found.heights)
        ],
    }  # fmt: skip


def _share(share: study.Share | None) -> Block | None:
    if share is None:
        return None
    return {name: share_block(getattr(share, name)) for name in ("first", "second", "difference")}


def _speeds(found: Found, who: int) -> Block:
    """Median and best of the exit speeds of fair balls."""
    both = [pair for i in range(len(found.pitches)) if (pair := found.versus.both(i))]
    fair = np.concatenate([pair[who].exit_speed[pair[who].fair] for pair in both])
    if not len(fair):
        return {"median_mph": None, "best_mph": None}
    return {
        "median_mph": number(float(np.median(fair)) / units.MPH),
        "best_mph": number(float(fair.max()) / units.MPH),
    }


def _pitch(found: Found, i: int) -> Block:
    return {
        "title": pitch_name(found, i),
        "count": found.pitch_set.pitches[i].count,
        **{name: number(value, 4) for name, value in found.pitches[i].items()},
        "zones": [" ".join(found.zone(i, who)) for who in (0, 1)],
        **{flag: _share(by_pitch(found, flag)[i]) for flag in ("touch", "solid")},
    }


def pitch_name(found: Found, i: int) -> str:
    """What a pitch is called: by the set, or by where it is for the first hitter."""
    title = found.pitch_set.pitches[i].title
    return tr(title) if title else tr(ZONES[found.zone(i, 0)])


def text(found: Found, metric: bool = False) -> str:
    """The comparison to read, in coach units or metric."""
    heads = [tr(head) for head in HEADS]
    lines = [tr("First: {title}", title=tr(found.first.title)), tr("Second: {title}", title=tr(found.second.title))]
    lines += [
        tr("Pitches: {title}", title=tr(found.pitch_set.title)),
        "",
        headline(found),
        tr(HELD if found.held else AIMS),
    ]
    lines += ["", *scatter_lines(found.scatter, found.first.setting.level, metric), ""]
    lines += table([tr("Share of all pitches"), *heads], share_rows(found))
    for flag in ("solid", "touch"):
        name = tr("Share of each pitch: {what}", what=tr(FLAGS[flag][0]))
        lines += ["", *table([name, *heads], pitch_rows(found, flag))]
    if zones := _zone_lines(found):
        lines += ["", *table([tr("Solid, by each hitter's own zone"), *heads[:2]], zones)]
    lines += ["", *table([tr("Contact window by pitch height"), *heads[:2]], window_rows(found, metric)), ""]
    lines.append(
        tr(
            "{plays} plays of each pitch, the same draws for both; seed {seed}.",
            plays=f"{found.plays:,}",
            seed=found.seed,
        )
    )
    lines.append(
        tr("Behind ± stands the standard error; a difference is the second less the first, in points of a hundred.")
    )
    return "\n".join([*lines, *closing()])


def share_rows(found: Found) -> list[tuple[str, ...]]:
    """A row under `HEADS` for each share over all pitches, the flags first."""
    names = {name: tr(words) for name, (words, _) in FLAGS.items()}
    return [
        (names[name] if name in names else tr(NAMES[name]), *_share_words(share))
        for name, share in shares(found).items()
    ]


def pitch_rows(found: Found, flag: str) -> list[tuple[str, ...]]:
    """A row under `HEADS` for each pitch: shares of a flag."""
    lines: list[tuple[str, ...]] = []
    for i, share in enumerate(by_pitch(found, flag)):
        words = (tr("cannot be met"), "", "") if share is None else _share_words(share)
        lines.append((pitch_name(found, i), *words))
    return lines


def _zone_lines(found: Found) -> list[tuple[str, ...]]:
    """The share of solid balls by zone; nothing where that would only repeat the lines of the pitches."""
    zones = [[found.zone(i, who) for i in range(len(found.pitches))] for who in (0, 1)]
    named = any(pitch.title for pitch in found.pitch_set.pitches)
    if zones[0] == zones[1] and len(set(zones[0])) == len(zones[0]) and not named:
        return []
    return [
        (tr(ZONES[zone]), *("" if share is None else percent(share) for share in shares))
        for zone, shares in by_zone(found, "solid").items()
    ]


def _share_words(share: study.Share) -> tuple[str, str, str]:
    return percent(share.first), percent(share.second), points(share.difference)


def window_rows(found: Found, metric: bool = False) -> list[tuple[str, ...]]:
    """A row for each height of the pitch: length of the contact window and its time, first and second."""
    lines = []
    for i, height in enumerate(found.heights):
        words = [
            tr("none") if np.isnan(w[0][i])
            else f"{show('_in', w[0][i] / units.INCH, metric)}, {show('_ms', w[1][i] / units.MILLISECOND)}"
            for w in found.windows
        ]  # fmt: skip
        lines.append((show("_in", height / units.INCH, metric), *words))
    return lines
