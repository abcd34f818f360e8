"""The ground of the sample: rings in feet east and north of a middle point, all invented."""

from __future__ import annotations

import itertools
import math

MIDDLE_LON, MIDDLE_LAT = -87.6170, 34.2140
FT_PER_DEG_LAT = 363_920.0
FT_PER_DEG_LON = FT_PER_DEG_LAT * math.cos(math.radians(MIDDLE_LAT)) * 1.0022

Ring = list[tuple[float, float]]


def lonlat(x_ft: float, y_ft: float) -> tuple[float, float]:
    """Return the longitude and latitude of a place in feet from the middle. [deg]"""
    return MIDDLE_LON + x_ft / FT_PER_DEG_LON, MIDDLE_LAT + y_ft / FT_PER_DEG_LAT


def soft(ring: Ring, rounds: int = 2) -> Ring:
    """Return the ring with its corners cut twice (Chaikin's rule)."""
    for _ in range(rounds):
        cut: Ring = []
        for (x0, y0), (x1, y1) in itertools.pairwise([*ring, ring[0]]):
            cut.append((0.75 * x0 + 0.25 * x1, 0.75 * y0 + 0.25 * y1))
            cut.append((0.25 * x0 + 0.75 * x1, 0.25 * y0 + 0.75 * y1))
        ring = cut
    return ring


PROPERTY_LINE: Ring = [
    (-2050, -1700),
    (1500, -1740),
    (2010, -1180),
    (2110, -320),
    (1760, 260),
    (1900, 820),
    (1620, 1500),
    (760, 1690),
    (-1980, 1660),
]
NORTH_BOTTOM = soft(
    [(560, 860), (1000, 800), (1290, 1010), (1210, 1320), (760, 1370), (520, 1180)]
)
CREEK_SHELF = soft([(1330, -420), (1600, -520), (1720, -300), (1560, -90), (1350, -170)])
ORCHARD = soft([(-1720, 900), (-1480, 880), (-1450, 1090), (-1690, 1110)], 1)
LONG_FIELD = soft([(-1500, -60), (-560, -180), (-480, 40), (-620, 170), (-1440, 260)])
WIRE_LANE: Ring = [(-1990, -1180), (-1100, -1090), (-1095, -1035), (-1990, -1125)]
DOVE_FIELD = soft([(-1330, 680), (-760, 640), (-690, 1000), (-1020, 1180), (-1350, 1060)])
HONEYSUCKLE = soft([(860, -820), (1240, -900), (1330, -640), (1030, -480), (820, -600)])
PLUMS = soft([(-330, 520), (-110, 500), (-80, 690), (-280, 740)])
PINES = soft(
    [(-1990, -1640), (-600, -1665), (-540, -1380), (-700, -1190), (-1990, -1215)], 1
)
HARDWOODS = soft(
    [
        (720, 180),
        (1500, 120),
        (1690, 320),
        (1780, 700),
        (1330, 960),
        (1010, 760),
        (560, 760),
    ],
    1,
)
POND = soft([(250, 1080), (430, 1010), (470, 1240), (330, 1390), (190, 1260)])
ROAD: Ring = [
    (-2030, 400),
    (-1540, 380),
    (-420, 330),
    (150, 120),
    (232, -170),
    (250, -166),
    (168, 134),
    (-412, 347),
    (-1536, 398),
    (-2030, 418),
]
# near enough to the vine that the strip is too thin beside it
YARD = soft([(205, -420), (475, -450), (515, -220), (285, -180)], 1)
BURN = soft([(-420, -1560), (560, -1610), (700, -1080), (160, -900), (-380, -1010)], 1)
VINE_2026 = soft(
    [(-230, -520), (40, -640), (190, -470), (110, -270), (-120, -210), (-290, -340)]
)
VINE_2025 = soft(
    [(-222, -512), (36, -626), (180, -466), (104, -282), (-114, -224), (-278, -346)]
)
