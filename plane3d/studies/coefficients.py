"""How well the model's own coefficients are known: a spread for each, where it comes from, and plays with it laid on.

A spread is one standard deviation as a share of the value used. Nobody published one for most of them: where sources
disagree, it is that of an even spread over what they say (their span divided by the square root of 12).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from plane3d.frames import Array
from plane3d.inputs import Inputs
from plane3d.language import mark

Part = TypeVar("Part")
FURTHEST = 3.0  # spreads; draws beyond are taken there, so that no coefficient becomes absurd


@dataclass(frozen=True)
class Coefficient:
    """One coefficient: its name, its spread as a share of its value, where that comes from and how it is known."""

    label: str
    spread: float
    source: str
    known: str


READ, QUOTED = mark("read"), mark("as quoted")
MEMORY, RULES, OWN = mark("from memory"), mark("rule book"), mark("own choice")

# By its place in `inputs.Inputs`. PHYSICS 2, 3, 6 and 7.
COEFFICIENTS: dict[str, Coefficient] = {
    "setting.coefficients.drag": Coefficient(
        mark("drag of the ball"), 0.05, mark("0.30 to 0.36 at high speed; ball to ball several per cent"), READ
    ),
    "setting.coefficients.lift": Coefficient(
        mark("lift from spin"), 0.07, mark("laws from 4 % below to 10 % above the one used"), MEMORY
    ),
    "setting.coefficients.decay_time": Coefficient(
        mark("time in which spin dies away"), 0.25, mark("20 and 26 s from golf balls, 5 s guessed; 25 s used"), QUOTED
    ),
    "setting.air_density": Coefficient(
        mark("density of the air"), 0.01, mark("the formula is exact to 0.01 %; weather and thermometer are not"), OWN
    ),
    "setting.ball.mass": Coefficient(mark("mass of the ball"), 0.014, mark("5 to 5.25 oz allowed"), RULES),
    "bat.cor": Coefficient(
        mark("bounce of ball on bat"), 0.034, mark("a ball's own may be 0.514 to 0.578"), MEMORY
    ),
    "bat.lively": Coefficient(
        mark("length over which the bounce falls off"), 0.15, mark("a simple curve; no published figure at hand"), OWN
    ),
    "setting.coefficients.tangential_restitution": Coefficient(
        mark("bounce along the surface"), 0.12, mark("0.30 to 0.464 measured; 0.40 used"), QUOTED
    ),
    "setting.coefficients.friction": Coefficient(
        mark("friction of ball on bat"), 0.29, mark("at least 0.15; 0.35 used, 0.50 in another model"), OWN
    ),
    "bat.inertia": Coefficient(
        mark("bat's inertia across its axis"), 0.10, mark("8,000 to 11,700 oz in² about 6 in from the knob"), READ
    ),
    "bat.balance": Coefficient(mark("bat's balance point"), 0.02, mark("half an inch; shapes differ"), OWN),
    "bat.roll_inertia": Coefficient(
        mark("bat's inertia about its axis"), 0.15, mark("2.1 to 3.2 kg cm² for one wood bat"), QUOTED
    ),
}  # fmt: skip


def scaled(inputs: Inputs, factors: Mapping[str, Array]) -> Inputs:
    """The inputs with coefficients, by their place, times factors (n,)."""
    for place, factor in factors.items():
        inputs = _scaled(inputs, place.split("."), factor)
    return inputs


def _scaled(part: Part, way: list[str], factor: Array) -> Part:
    name, *rest = way
    value = getattr(part, name)
    return replace(part, **{name: _scaled(value, rest, factor) if rest else value * factor})  # type: ignore[type-var]


def drawn(n: int, seed: int) -> dict[str, Array]:
    """Factors (n,) of all coefficients, normal and independent. Each has its own stream, as in `spread.Scatter`."""
    streams = np.random.SeedSequence(seed).spawn(len(COEFFICIENTS))
    return {
        place: 1.0 + c.spread * np.clip(np.random.default_rng(stream).normal(size=n), -FURTHEST, FURTHEST)
        for (place, c), stream in zip(COEFFICIENTS.items(), streams, strict=True)
    }


def one_by_one(sizes: Array) -> dict[str, Array]:
    """Factors (k * m,) that move each of the k coefficients alone by ``sizes`` (m,) of its spread, in order."""
    m = len(sizes)
    factors = {place: np.ones(m * len(COEFFICIENTS)) for place in COEFFICIENTS}
    for i, (place, c) in enumerate(COEFFICIENTS.items()):
        factors[place][i * m : (i + 1) * m] += c.spread * sizes
    return factors
