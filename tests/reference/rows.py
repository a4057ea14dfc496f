"""All checks against the outside, by subject: what test_rows.py tests and docs/accuracy.md shows.

Each module has its ROWS; its docstring stands above them on the page.
"""

from __future__ import annotations

from types import ModuleType

from tests.reference import (
    air,
    ball_flight,
    bats,
    batted,
    blows,
    cameras,
    catches,
    geometry,
    meetings,
    pitches,
    rigid_bodies,
    swings,
    trade,
)
from tests.reference.row import Row

MODULES: dict[str, ModuleType] = {
    "Geometry": geometry,
    "Air": air,
    "Flight of a ball": ball_flight,
    "Pitch": pitches,
    "Swing": swings,
    "Bat": bats,
    "Meeting": meetings,
    "Blow": blows,
    "Blow, against a general engine": rigid_bodies,
    "Batted ball": batted,
    "What the trade expects": trade,
    "Catch and run": catches,
    "Cameras and files": cameras,
}
SUBJECTS: dict[str, tuple[Row, ...]] = {subject: module.ROWS for subject, module in MODULES.items()}
ROWS = tuple(row for rows in SUBJECTS.values() for row in rows)
