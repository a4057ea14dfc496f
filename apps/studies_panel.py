"""The top of the studies page and its inputs: the Python ends of ``browser/studies_head.js`` and its neighbour."""

from __future__ import annotations

from typing import Any, ClassVar

import param

from apps.asking import Asking
from apps.browser_files import BROWSER, import_map, styles
from apps.controls import number_row
from apps.studies_asked import NINE, OWN, SWINGS, Asked, pitch_sets
from plane3d.language import mark, tr
from plane3d.pitch_set import load_pitch_set, nine_places
from plane3d.scenario import Scenario
from plane3d.study import remedy
from plane3d.study.scatter import QUANTITIES
from plane3d.words import capital

OWN_SET = mark("The pitch set opened here")
ANYWHERE = mark("anywhere fair")
WHERE = {"anywhere": ANYWHERE, "pull": mark("to the pull side"), "middle": mark("up the middle"),
         "opposite": mark("to the opposite side")}  # fmt: skip


class StudiesHead(Asking):
    """Scenario picker, result line, tabs, the answer in one sentence, progress.

    Parameters
    ----------
    actions : ``choose`` with the place of a scenario in ``shelves``, ``open`` with a part, ``cancel`` with nothing,
        ``look`` with some of the fields of `apps.figures.Look`, ``arrive`` with such fields and those of an address
    """

    shelves = param.List(default=[], doc='Titles in groups: ``[(heading or "", [title, ...]), ...]``.')
    tabs = param.List(default=[], doc="Name and label of each part.")

    _esm = BROWSER / "studies_head.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map(
        "words", "settings", "scenarios", "handing", "elements", "page_top"
    )  # fmt: skip
    _stylesheets: ClassVar[list[str]] = styles("common", "studies_head")


class StudiesInputs(Asking):
    """What a part may be asked: scatter, numbers of swings, seed, goal, second scenario, pitches, files.

    Parameters
    ----------
    actions : ``scatter`` with values by name (None for what is typical), ``swings`` with a number, ``seed`` with what
        was typed, ``goal`` with kinds and where, ``second`` with the place of a scenario, ``pitches`` with a name,
        ``held`` with whether, ``file`` with ``pitches`` or ``drills``, name and content, ``supplied`` with nothing to
        take the drills that come with plane3d, ``save`` with nothing
    """

    shelves = param.List(default=[], doc="As in `StudiesHead`.")
    table = param.Dict(default={}, doc="What may be chosen, as made by `choices`.")

    _esm = BROWSER / "studies_inputs.js"
    _importmap: ClassVar[dict[str, dict[str, str]]] = import_map("words", "controls", "scenarios")
    _stylesheets: ClassVar[list[str]] = styles("common", "controls", "studies_inputs")


def choices(scenario: Scenario) -> dict[str, Any]:
    """What may be chosen, in the language in use. scenario : any; the name of the nine places needs one"""
    sets = [(NINE, tr(nine_places(scenario).title))]
    sets += [(path.stem, tr(load_pitch_set(path).title)) for path in pitch_sets()]
    return {
        "scatter": [number_row(quantity) | {"key": name} for name, quantity in QUANTITIES.items()],
        "swings": {part: [(n, f"{n:,}") for n in numbers] for part, numbers in SWINGS.items()},
        "kinds": [(kind, capital(tr(words))) for kind, words in remedy.GOAL_KINDS.items()],
        "where": [(where, capital(tr(words))) for where, words in WHERE.items()],
        "sets": [*sets, (OWN, tr(OWN_SET))],
    }


def inputs_state(asked: Asked, second: int, metric: bool) -> dict[str, Any]:
    """What the inputs show. second : place of the second scenario in the pickers."""
    full = asked.full_scatter
    return {
        "part": asked.part,
        "scatter": {name: getattr(full, name) for name in QUANTITIES},
        "changed": [name for name, _ in asked.scatter],
        "seed": asked.seed,
        "swings": asked.swings.get(asked.part),
        "kinds": list(asked.kinds),
        "where": asked.where,
        "second": second,
        "pitches": asked.pitches,
        "own_pitches": bool(asked.own_pitches),
        "held": asked.held,
        "own_drills": bool(asked.drills),
        "metric": metric,
    }
