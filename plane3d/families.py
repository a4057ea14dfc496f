"""Pitch families a coach names, as typical starting values next to a level's own fastball.

Speed and spin are shares of the level's fastball, so the same table serves every level. All of it is from memory
(PHYSICS 4, ranges for professionals) or our own choice for softball: where to start a slider, never a claim. The
tilt and the gyro angle are chosen so that the model's movement falls into those ranges (tests/unit/test_families.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from plane3d.language import mark


@dataclass(frozen=True)
class Family:
    """One family, for a right-handed pitcher.

    words : what coaches call it, a message to be said with `language.tr`
    speed, spin : typical share of the level's fastball; speed_range : what is usual, as shares
    tilt_deg : direction the spin pushes, 0 up, +90 toward first base (away from a right-handed pitcher's arm side)
    gyro_deg : 0 all the spin pushes the ball, 90 none of it
    """

    words: str
    speed: float
    speed_range: tuple[float, float]
    spin: float
    tilt_deg: float
    gyro_deg: float


BASEBALL_FAMILIES = {
    "four-seam": Family(mark("four-seam fastball"), 1.00, (0.96, 1.04), 1.00, -22, 20),
    "two-seam": Family(mark("two-seam fastball or sinker"), 0.99, (0.95, 1.02), 0.94, -62, 35),
    "cut": Family(mark("cut fastball"), 0.95, (0.91, 0.98), 1.03, 12, 75),
    "slider": Family(mark("slider"), 0.91, (0.86, 0.95), 1.05, 66, 82),
    "curve": Family(mark("curve"), 0.84, (0.76, 0.88), 1.10, 141, 70),
    "change-up": Family(mark("change-up"), 0.90, (0.84, 0.93), 0.77, -60, 38),
}
SOFTBALL_FAMILIES = {
    "rise": Family(mark("rise ball"), 0.97, (0.92, 1.00), 1.05, 0, 50),
    "drop": Family(mark("drop ball"), 0.97, (0.92, 1.00), 1.00, 180, 30),
    "curve": Family(mark("curve"), 0.95, (0.90, 0.98), 1.00, 90, 45),
    "change-up": Family(mark("change-up"), 0.78, (0.70, 0.85), 0.70, 180, 30),
}
OWN = "fastball"  # the level's own pitch, as it stands in `levels`
FAMILY_NAMES = (OWN, *dict.fromkeys([*BASEBALL_FAMILIES, *SOFTBALL_FAMILIES]))


def families(level: str) -> dict[str, Family]:
    """The families of a level of play, by the name a scenario file uses."""
    return SOFTBALL_FAMILIES if level.startswith("softball") else BASEBALL_FAMILIES
