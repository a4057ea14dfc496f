"""Sizes of field, ball and bat laid down by rules, and what follows from them by geometry."""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from plane3d import constants as c
from plane3d.levels import LEVELS
from plane3d.physics import field
from plane3d.play import play_many
from plane3d.scene.props import ground
from plane3d.units import DEGREE, FOOT, INCH, OUNCE
from tests.cases import BALL, METAL, inputs
from tests.reference.row import EXACT, Row

RULES = "Official Baseball Rules"
PAGES = "league and association pages"
_rule = partial(Row, known="rule book", basis="taken over", allowed=EXACT, own=EXACT)
_page = partial(Row, known="read", basis="taken over", source=PAGES, allowed=EXACT, own=EXACT)


def _round_in(radius: float) -> float:
    return 2 * math.pi * radius / INCH


def _home_to_second(base_ft: float) -> float:
    """Feet from the rear point of the plate to the middle of second base, as the ground is drawn."""
    (bases,) = [part for part in ground(base_ft * FOOT, c.PITCHING_DISTANCE) if part.name == "bases"]
    points = np.asarray(bases.points, dtype=float).reshape(-1, 3)
    second = points[points[:, 1] > 0.9 * points[:, 1].max()]
    return float(second[:, 1].min() + second[:, 1].max()) / 2 / FOOT


def _last_touch() -> float:
    """Largest undercut (in) at which a level bat still touches the ball, in steps of 0.001 in of its height."""
    below = np.arange(2.65, 2.80, 0.001) * INCH
    level = {"vertical_bat_angle": 0.0, "bat_direction": 0.0, "attack_angle": 5.8 * DEGREE}
    meeting = play_many(inputs(below_line=below, **level)).meeting
    return float(meeting.undercut()[meeting.touch].max()) / INCH


ROWS = (
    _rule("Plate, front edge", "in", 17.0, lambda: c.PLATE_WIDTH / INCH, f"{RULES} 2.02"),
    _rule("Plate, sides", "in", 8.5, lambda: c.PLATE_SIDE / INCH, f"{RULES} 2.02"),
    _rule("Plate, front edge to point", "in", 17.0, lambda: c.PLATE_FRONT_Y / INCH, f"{RULES} 2.02, its drawing"),
    _rule(
        "Plate, rear edges", "in", 12.0, lambda: float(np.linalg.norm(field.plate_corners()[1])) / INCH,
        f"{RULES} 2.02", allowed=0.03, own=0.0,
        why="17, 8.5 and a right-angled point leave 12.02, which the rule rounds",
    ),
    _rule("Batter's box, width", "ft", 4.0, lambda: c.BOX_WIDTH / FOOT, f"{RULES}, diagram 2, a copy of it"),
    _rule("Batter's box, length", "ft", 6.0, lambda: c.BOX_LENGTH / FOOT, f"{RULES}, diagram 2, a copy of it"),
    _rule("Batter's box from the plate", "in", 6.0, lambda: c.BOX_GAP / INCH, f"{RULES}, diagram 2, a copy of it"),
    _rule("Pitcher's plate to the rear point of home", "ft", 60.5, lambda: c.PITCHING_DISTANCE / FOOT, f"{RULES} 2.01"),
    _rule("Baseball, round", "in", (9.0, 9.25), lambda: _round_in(c.BASEBALL_RADIUS), f"{RULES} 3.01", allowed=0.0),
    _rule("Baseball, weight", "oz", (5.0, 5.25), lambda: c.BASEBALL_MASS / OUNCE, f"{RULES} 3.01", allowed=0.0),
    Row(
        "12-in softball, round", "in", (11.875, 12.125), lambda: _round_in(c.SOFTBALL_RADIUS), "association rules",
        "read", "taken over",
    ),
    Row(
        "12-in softball, weight", "oz", (6.25, 7.0), lambda: c.SOFTBALL_MASS / OUNCE, "association rules",
        "from memory", "taken over",
    ),
    _rule(
        "Foul lines, angle between them", "deg", 90.0, lambda: 2 * field.LINE_BEARING / DEGREE, f"{RULES} 2.01"
    ),
    _rule(
        "Home to second base, 90-ft bases", "ft", 127 + 3.375 / 12, lambda: _home_to_second(90), f"{RULES} 2.01",
        basis="calculation", allowed=0.005, own=0.005,
    ),
    _page(
        "Home to second base, 60-ft bases", "ft", 84 + 10.25 / 12, lambda: _home_to_second(60), basis="calculation",
        allowed=0.01, own=0.01,
    ),
    _page("Pitching distance, under 12", "ft", 46.0, lambda: LEVELS["under-12"].rubber_ft),
    _page("Pitching distance, under 14", "ft", 54.0, lambda: LEVELS["under-14"].rubber_ft),
    _page("Bases, under 14", "ft", 80.0, lambda: LEVELS["under-14"].base_ft),
    _page("Pitching distance, softball under 10", "ft", 35.0, lambda: LEVELS["softball-10"].rubber_ft),
    _page("Pitching distance, softball under 12", "ft", 40.0, lambda: LEVELS["softball-12"].rubber_ft),
    _page("Pitching distance, softball from 14 up", "ft", 43.0, lambda: LEVELS["softball-14"].rubber_ft),
    _rule(
        "Thickest bat, professional", "in", (-math.inf, 2.61), lambda: LEVELS["professional"].bat[2], f"{RULES} 3.02",
        allowed=0.0,
    ),
    Row(
        "High-school bat, ounces less inches", "", (-3.0, math.inf),
        lambda: LEVELS["high-school"].bat[1] - LEVELS["high-school"].bat[0], "0.50-limit bat standard, 2009-2011",
        "read", "taken over",
    ),
    Row(
        "Undercut beyond which there is no touch, 33-in metal", "in",
        float(METAL.radius_at(METAL.sweet_spot) + BALL.radius) / INCH, _last_touch,
        "rule of radii: the barrel's at the sweet spot and the ball's together", "law",
        "calculation", allowed=0.002, own=0.0, why="looked for in steps of 0.001 in, and the bat turns and tapers",
    ),
    *(
        Row(
            f"Launch angle that parts {parts}", "deg", angle, lambda limit=limit: limit / DEGREE,
            "a league glossary and two other pages", "read", "taken over", allowed=EXACT, own=EXACT,
        )
        for parts, angle, limit in (
            ("ground ball from line drive", 10.0, field.GROUND),
            ("line drive from fly ball", 25.0, field.LINE),
            ("fly ball from pop-up", 50.0, field.FLY),
        )
    ),
)  # fmt: skip
