"""Sourced numbers in SI. Each says where it comes from and how far it is known.

Tags: rule book; read (the named text was read); as quoted (another text quotes it); from memory;
own choice (ours, judged, not published).
"""

from __future__ import annotations

STANDARD_GRAVITY = 9.80665  # m/s2, CGPM 1901, exact

# Plate: Official Baseball Rules 2.02 (rule book): 17 in front edge, 8.5 in sides, right-angled point.
PLATE_WIDTH = 0.4318
PLATE_SIDE = PLATE_WIDTH / 2
PLATE_FRONT_Y = 0.4318  # front edge to rear point, rule shape

# Batter's box: OBR diagram 2 (rule book, via a copy): 4 x 6 ft, inner line 6 in off the plate, centred on it.
BOX_WIDTH = 1.2192
BOX_LENGTH = 1.8288
BOX_GAP = 0.1524

# Front of the pitcher's plate to the rear point of home: OBR 2.01 (rule book), 60 ft 6 in.
PITCHING_DISTANCE = 18.4404

# Baseball: OBR 3.01 (rule book): 9-9.25 in round, 5-5.25 oz; mid-range used.
BASEBALL_RADIUS = 0.036888
BASEBALL_MASS = 0.14529
# 12-in softball: association rules: 12 +- 1/8 in round (read), 6.25-7 oz (from memory); mid-range.
SOFTBALL_RADIUS = 0.048511
SOFTBALL_MASS = 0.18782
# 11-in softball for 10 and under: 5.9-6.1 oz (from memory).
SOFTBALL_11_RADIUS = 0.044468
SOFTBALL_11_MASS = 0.17010

# Strike zone as shares of the hitter's height: rule of thumb (from memory); the rule book names body marks only.
ZONE_BOTTOM_SHARE = 0.27
ZONE_TOP_SHARE = 0.54

# Collision (PHYSICS 6-7). COR law: e = e_ref (v/v_ref)^(-1/6) between 33 and 67 m/s (as quoted).
COR_REFERENCE_SPEED = 60.8
COR_SPEED_POWER = -1.0 / 6.0
COR_SPEED_RANGE = (33.0, 67.0)
TANGENTIAL_COR = 0.40  # Kensrud, Nathan, Smith 2017: all baseball bats 0.405 +- 0.010 (as quoted)
FRICTION = 0.35  # own choice; the same paper gives mu >= 0.15
