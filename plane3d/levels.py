"""Starting values by level of play, in coach units, each with how far it is known.

Tags: rule book; read; read weak (a coaching or league page); from memory; own choice. Values from memory or
of our own choosing are starting points for sliders, never claims. A scenario file may override each of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from plane3d.constants import (
    BASEBALL_MASS,
    BASEBALL_RADIUS,
    SOFTBALL_11_MASS,
    SOFTBALL_11_RADIUS,
    SOFTBALL_MASS,
    SOFTBALL_RADIUS,
)
from plane3d.families import OWN

BASEBALL = (BASEBALL_RADIUS, BASEBALL_MASS)
SOFTBALL = (SOFTBALL_RADIUS, SOFTBALL_MASS)
SOFTBALL_11 = (SOFTBALL_11_RADIUS, SOFTBALL_11_MASS)

DEFAULT_LEVEL = "high-school"


@dataclass(frozen=True)
class Level:
    """One level of play.

    ball : radius (m) and mass (kg)
    base_ft : between bases. Rule book for high school and up; league and association pages (read) below
    fence_ft, fence_line_ft, fence_height_ft : to centre field, down the lines, and its height; from memory
    rubber_ft : pitcher's plate to the rear point of home, sourced like base_ft
    reach_ft : how far in front of the pitcher's plate the ball is let go; from memory
    height_in : hitter's height, about the middle of the age group; from memory
    bat : length (in), weight (oz), barrel diameter (in), material. The largest diameters are rule book or
        read; the weights are common practice, from memory
    pitch_mph : read weak for youth, from memory above
    release_side_ft : from the middle line toward the pitcher's arm side; from memory
    release_height_ft : above the plate's ground, the mound included; from memory
    spin_rpm, spin_tilt_deg, gyro_deg : a right-handed pitcher's plain fastball; from memory
    bat_speed_mph : at the sweet spot, the middle of the band for the age; from memory
    """

    ball: tuple[float, float]
    base_ft: float
    fence_ft: float
    fence_line_ft: float
    fence_height_ft: float
    rubber_ft: float
    reach_ft: float
    height_in: float
    bat: tuple[float, float, float, str]
    pitch_mph: float
    release_side_ft: float
    release_height_ft: float
    spin_rpm: float
    bat_speed_mph: float
    spin_tilt_deg: float = -20  # up and toward the arm side: 16-18 in of lift, 6-8 in of run (from memory)
    gyro_deg: float = 0  # own choice: all spin active


def _softball(**values: object) -> Level:
    """Fastpitch: 60 ft bases (read) and forward spin, part of it gyro (from memory, low confidence)."""
    return Level(base_ft=60, spin_tilt_deg=180, gyro_deg=45, **values)  # type: ignore[arg-type]


# fmt: off
LEVELS: dict[str, Level] = {
    # 38-40 ft pitch for 7-8 years (read); 60 ft bases (from memory); 35-40 mph bat speed (from memory).
    "under-8": Level(
        ball=BASEBALL, base_ft=60, fence_ft=150, fence_line_ft=150, fence_height_ft=4, rubber_ft=40,
        reach_ft=3, height_in=50, bat=(26, 16, 2.625, "youth"), pitch_mph=36, release_side_ft=1.2,
        release_height_ft=4.2, spin_rpm=800, bat_speed_mph=38,
    ),
    # 46 ft pitch, 60 ft bases (read); 45-53 mph pitch (read weak); 40-48 mph bat speed (from memory).
    "under-10": Level(
        ball=BASEBALL, base_ft=60, fence_ft=200, fence_line_ft=180, fence_height_ft=4, rubber_ft=46,
        reach_ft=3.5, height_in=54, bat=(28, 18, 2.625, "youth"), pitch_mph=47, release_side_ft=1.3,
        release_height_ft=4.5, spin_rpm=1100, bat_speed_mph=44,
    ),
    # 46 ft pitch, 60 ft bases (read); 55-60 mph pitch (read weak); 48-57 mph bat speed (from memory).
    "under-12": Level(
        ball=BASEBALL, base_ft=60, fence_ft=200, fence_line_ft=200, fence_height_ft=5, rubber_ft=46,
        reach_ft=4, height_in=58, bat=(30, 20, 2.625, "youth"), pitch_mph=56, release_side_ft=1.5,
        release_height_ft=4.9, spin_rpm=1400, bat_speed_mph=52,
    ),
    # 54 ft pitch, 80 ft bases (read); 60 mph and more at 13 (read weak); 55-65 mph bat speed (from memory).
    "under-14": Level(
        ball=BASEBALL, base_ft=80, fence_ft=300, fence_line_ft=250, fence_height_ft=5, rubber_ft=54,
        reach_ft=5, height_in=63, bat=(31, 26, 2.625, "youth"), pitch_mph=66, release_side_ft=1.7,
        release_height_ft=5.3, spin_rpm=1700, bat_speed_mph=60,
    ),
    # 60 ft 6 in pitch, 90 ft bases (rule book); weight at least length - 3 (read); 75-85 mph pitch
    # (read weak); 62-72 mph bat speed (from memory).
    "high-school": Level(
        ball=BASEBALL, base_ft=90, fence_ft=370, fence_line_ft=315, fence_height_ft=6,
        rubber_ft=60.5, reach_ft=5.5, height_in=70, bat=(33, 30, 2.625, "metal"), pitch_mph=80,
        release_side_ft=2, release_height_ft=5.8, spin_rpm=2000, bat_speed_mph=68,
    ),
    # Same infield (rule book); 66-74 mph bat speed (from memory).
    "college": Level(
        ball=BASEBALL, base_ft=90, fence_ft=400, fence_line_ft=330, fence_height_ft=8,
        rubber_ft=60.5, reach_ft=5.75, height_in=72, bat=(33.5, 30.5, 2.625, "metal"), pitch_mph=88,
        release_side_ft=2, release_height_ft=5.9, spin_rpm=2150, bat_speed_mph=70,
    ),
    # Rule-book infield; bat within 2.61 in and 42 in (rule book); 93-95 mph, 2200-2400 rpm (from memory).
    "professional": Level(
        ball=BASEBALL, base_ft=90, fence_ft=400, fence_line_ft=330, fence_height_ft=8,
        rubber_ft=60.5, reach_ft=6, height_in=73, bat=(34, 31, 2.56, "wood"), pitch_mph=94,
        release_side_ft=2, release_height_ft=6, spin_rpm=2300, bat_speed_mph=71,
    ),
    # 35 ft pitch, 11 in ball (read; ball weight from memory).
    "softball-10": _softball(
        ball=SOFTBALL_11, fence_ft=175, fence_line_ft=175, fence_height_ft=4, rubber_ft=35,
        reach_ft=4.5, height_in=54, bat=(28, 18, 2.25, "softball"), pitch_mph=40, release_side_ft=0.6,
        release_height_ft=1.8, spin_rpm=700, bat_speed_mph=40,
    ),
    # 40 ft pitch (read).
    "softball-12": _softball(
        ball=SOFTBALL, fence_ft=200, fence_line_ft=190, fence_height_ft=4, rubber_ft=40, reach_ft=5,
        height_in=59, bat=(30, 20, 2.25, "softball"), pitch_mph=48, release_side_ft=0.7,
        release_height_ft=2, spin_rpm=900, bat_speed_mph=47,
    ),
    # 43 ft pitch from here up (read).
    "softball-14": _softball(
        ball=SOFTBALL, fence_ft=200, fence_line_ft=200, fence_height_ft=4, rubber_ft=43,
        reach_ft=5.5, height_in=63, bat=(32, 22, 2.25, "softball"), pitch_mph=54, release_side_ft=0.7,
        release_height_ft=2.2, spin_rpm=1050, bat_speed_mph=52,
    ),
    "softball-high-school": _softball(
        ball=SOFTBALL, fence_ft=210, fence_line_ft=200, fence_height_ft=4, rubber_ft=43,
        reach_ft=5.75, height_in=65, bat=(33, 23, 2.25, "softball"), pitch_mph=58, release_side_ft=0.8,
        release_height_ft=2.3, spin_rpm=1150, bat_speed_mph=55,
    ),
    # 60-70 mph pitch (read weak); 55-65 mph bat speed (from memory).
    "softball-college": _softball(
        ball=SOFTBALL, fence_ft=220, fence_line_ft=200, fence_height_ft=6, rubber_ft=43, reach_ft=6,
        height_in=66, bat=(34, 24, 2.25, "softball"), pitch_mph=65, release_side_ft=0.8,
        release_height_ft=2.4, spin_rpm=1200, bat_speed_mph=60,
    ),
}
# fmt: on

# The same at every level; own choice, in the middle of what PHYSICS sources call usual (docs/model.md).
COMMON: dict[str, Any] = {
    "setting.temperature_f": 70,
    "setting.humidity_percent": 50,
    "setting.altitude_ft": 0,
    "setting.wind_mph": 0,
    "setting.wind_toward_deg": 0,
    "hitter.bats": "right",
    "pitch.family": OWN,
    "pitch.throws": "right",
    "pitch.plate_side_in": 0,
    "swing.attack_angle_deg": 10,
    "swing.vertical_bat_angle_deg": 30,
    "swing.contact_depth_in": 6,
    "swing.below_line_in": 0.5,
    "swing.along_barrel_in": 0,
    "swing.timing_ms": 0,
    "swing.hinge_deg": 90,
    "swing.release_ms": 60,
    "view.camera": "catcher",
    "view.window_in": 1,
}


def starting_values(name: str) -> dict[str, Any]:
    """Starting values of a level by dotted key, without those that follow from others."""
    level = LEVELS[name]
    length, weight, diameter, material = level.bat
    return COMMON | {
        "setting.level": name,
        "setting.base_ft": level.base_ft,
        "setting.fence_ft": level.fence_ft,
        "setting.fence_height_ft": level.fence_height_ft,
        "hitter.height_in": level.height_in,
        "bat.length_in": length,
        "bat.weight_oz": weight,
        "bat.barrel_diameter_in": diameter,
        "bat.material": material,
        "pitch.release_height_ft": level.release_height_ft,
        "pitch.release_distance_ft": level.rubber_ft - level.reach_ft,
        "swing.bat_speed_mph": level.bat_speed_mph,
    }
