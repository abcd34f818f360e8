"""Sweetgum Bend: an invented property, written from numbers in this module.

Nobody owns it and nobody walked it. Every file says
so. Shapes are given in feet east and north of a middle point; walks carry the
slow drift and the spikes of a handheld receiver, from a seeded generator, so
the files come out the same to the byte on every machine.
"""

from __future__ import annotations

import datetime as dt
import itertools
import json
import math
import random
from dataclasses import dataclass

from quietacre.demo.weather import weather_csv

#: The day the sample is set on: a winter Saturday with the year still ahead.
SAMPLE_DAY = dt.date(2027, 1, 2)

MIDDLE_LON, MIDDLE_LAT = -87.6170, 34.2140
FT_PER_DEG_LAT = 363_920.0
FT_PER_DEG_LON = FT_PER_DEG_LAT * math.cos(math.radians(MIDDLE_LAT)) * 1.0022

Ring = list[tuple[float, float]]

INVENTED = "Invented sample data: no such place, owner or walk."


def _lonlat(x_ft: float, y_ft: float) -> tuple[float, float]:
    return MIDDLE_LON + x_ft / FT_PER_DEG_LON, MIDDLE_LAT + y_ft / FT_PER_DEG_LAT


def _closed(ring: Ring) -> list[list[float]]:
    return [[round(v, 7) for v in _lonlat(x, y)] for x, y in [*ring, ring[0]]]


def _soft(ring: Ring, rounds: int = 2) -> Ring:
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
NORTH_BOTTOM = _soft(
    [(560, 860), (1000, 800), (1290, 1010), (1210, 1320), (760, 1370), (520, 1180)]
)
CREEK_SHELF = _soft([(1330, -420), (1600, -520), (1720, -300), (1560, -90), (1350, -170)])
ORCHARD = _soft([(-1720, 900), (-1480, 880), (-1450, 1090), (-1690, 1110)], 1)
LONG_FIELD = _soft([(-1500, -60), (-560, -180), (-480, 40), (-620, 170), (-1440, 260)])
WIRE_LANE: Ring = [(-1990, -1180), (-1100, -1090), (-1095, -1035), (-1990, -1125)]
DOVE_FIELD = _soft([(-1330, 680), (-760, 640), (-690, 1000), (-1020, 1180), (-1350, 1060)])
HONEYSUCKLE = _soft([(860, -820), (1240, -900), (1330, -640), (1030, -480), (820, -600)])
PLUMS = _soft([(-330, 520), (-110, 500), (-80, 690), (-280, 740)])
PINES = _soft(
    [(-1990, -1640), (-600, -1665), (-540, -1380), (-700, -1190), (-1990, -1215)], 1
)
HARDWOODS = _soft(
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
POND = _soft([(250, 1080), (430, 1010), (470, 1240), (330, 1390), (190, 1260)])
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
YARD = _soft([(205, -420), (475, -450), (515, -220), (285, -180)], 1)
BURN = _soft([(-420, -1560), (560, -1610), (700, -1080), (160, -900), (-380, -1010)], 1)
VINE_2026 = _soft(
    [(-230, -520), (40, -640), (190, -470), (110, -270), (-120, -210), (-290, -340)]
)
VINE_2025 = _soft(
    [(-222, -512), (36, -626), (180, -466), (104, -282), (-114, -224), (-278, -346)]
)


@dataclass(frozen=True)
class _Receiver:
    """How a walk was recorded: drift [ft], seconds a fix, walking speed [ft/s]."""

    drift_ft: float
    every_s: int
    speed_ft_s: float = 3.9
    tau_s: float = 60.0
    white_ft: float = 1.6


def _along(ring: Ring, step_ft: float, laps: float, start: float) -> Ring:
    """Return points every ``step_ft`` along a ring, from ``start`` of its length."""
    corners = [*ring, ring[0]]
    lengths = [math.dist(a, b) for a, b in itertools.pairwise(corners)]
    total = sum(lengths)
    points: Ring = []
    for number in range(int(total * laps / step_ft) + 1):
        left = (start * total + number * step_ft) % total
        for (x0, y0), (x1, y1), length in zip(corners, corners[1:], lengths, strict=False):
            if left <= length:
                share = left / length
                points.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
                break
            left -= length
    return points


def _walk(
    ring: Ring,
    seed: int,
    receiver: _Receiver,
    *,
    laps: float = 1.02,
    way_in: Ring | None = None,
) -> Ring:
    """Return fixes of a walk round the ring, with drift, noise and two spikes."""
    rng = random.Random(seed)  # noqa: S311 - invented data, not a secret
    step = receiver.every_s * receiver.speed_ft_s
    path = _along(ring, step, laps, rng.random())
    if way_in:
        lead = _along([*way_in, path[0]], step, 1.0, 0.0)
        reach = sum(
            math.dist(a, b)
            for a, b in zip([*way_in, path[0]], [*way_in[1:], path[0]], strict=False)
        )
        path = lead[: int(reach / step)] + path
    keep = math.exp(-receiver.every_s / receiver.tau_s)
    kick = receiver.drift_ft * math.sqrt(1 - keep * keep)
    east, north = rng.gauss(0, receiver.drift_ft), rng.gauss(0, receiver.drift_ft)
    fixes: Ring = []
    for x, y in path:
        east = keep * east + rng.gauss(0, kick)
        north = keep * north + rng.gauss(0, kick)
        fixes.append(
            (
                x + east + rng.gauss(0, receiver.white_ft),
                y + north + rng.gauss(0, receiver.white_ft),
            )
        )
    for _ in range(2):
        at = rng.randrange(5, len(fixes) - 5)
        turn, jump = rng.uniform(0, 2 * math.pi), rng.uniform(70, 160)
        x, y = fixes[at]
        fixes[at] = (x + jump * math.cos(turn), y + jump * math.sin(turn))
    return fixes


def _gpx(
    name: str, fixes: Ring, started: dt.datetime, every_s: int, waypoints: str = ""
) -> str:
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="invented sample" '
        'xmlns="http://www.topografix.com/GPX/1/1">',
        f"  <metadata><desc>{INVENTED}</desc></metadata>",
    ]
    if waypoints:
        lines.append(waypoints)
    lines.append(f"  <trk><name>{name}</name><trkseg>")
    for number, (x, y) in enumerate(fixes):
        lon, lat = _lonlat(x, y)
        at = (started + dt.timedelta(seconds=number * every_s)).strftime(
            "%Y-%m-%dT%H:%M:%SZ"
        )
        lines.append(
            f'    <trkpt lat="{lat:.7f}" lon="{lon:.7f}"><time>{at}</time></trkpt>'
        )
    lines.append("  </trkseg></trk>\n</gpx>\n")
    return "\n".join(lines)


def _geojson(features: list[tuple[str, str, Ring]]) -> str:
    collection = {
        "type": "FeatureCollection",
        "note": INVENTED,
        "features": [
            {
                "type": "Feature",
                "properties": {"name": name, "kind": kind},
                "geometry": {"type": "Polygon", "coordinates": [_closed(ring)]},
            }
            for name, kind, ring in features
        ],
    }
    return json.dumps(collection, indent=1) + "\n"


PROPERTY_TOML = """\
# Sweetgum Bend is invented: no such place, owner, walk, soil test or price.
# Copy this folder and put your own files and figures in their place.

[property]
name = "Sweetgum Bend"
boundary = "drawn/boundary.geojson"
state = "AL"
region = "upper South"           # whose planting windows hold
note = "Invented sample property. Gate chain on the west side, cable across the creek ford."

[[quiet]]                        # nobody disturbs the place; both ends inclusive
name = "nesting"
start = "05-15"
end = "07-03"                    # field work may start again on July 4
keeps_out = "all"
source = "common practice"

[[quiet]]
name = "deer season at the stands"
start = "11-20"
end = "01-31"
keeps_out = ["plot"]
source = "the family's own rule (invented)"

[equipment]
mower_width_ft = 6.0
mower_overlap_ft = 0.5
spreader_swath_ft = 20.0
tank_gal = 25.0
spray_gal_ac = 15.0

[work]
weekdays = ["sat", "sun"]
hours_day = 7.0
trip_minutes = 50
blocked_days = [2027-04-04, 2027-09-05]

[weather]
from = "weather-invented.csv"    # twenty years of a station that does not exist
rain_in = 0.5                    # a planting rain: half an inch
rain_days = 7                    # within a week

[map]
units = "us"
picture = "drawn/from-above.tif" # laid under the map and put into it (painted, not flown)

# ---- areas -----------------------------------------------------------------

[[area]]
name = "North bottom"
kind = "plot"
from = ["walks/north-bottom-1.gpx", "walks/north-bottom-2.gpx"]   # two walks of one edge
mix = "fall clover and grain"
plant = 2027-09-25
soil_test = "bottoms 2026"
history = ["2025: oats and crimson clover, good stand by the pond end", "2026: same mix, limed in February"]

[[area]]
name = "Creek shelf"
kind = "plot"
from = "walks/creek-shelf.gpx"
mix = "clover stand"
plant = 2027-09-18
soil_test = "bottoms 2026"

[[area]]
name = "Old orchard"
kind = "plot"
from = "drawn/openings.geojson"
mix = "fall clover and grain"
plant = 2027-09-25
soil_test = "uplands 2026"
note = "Four old pear trees: keep the mower 8 ft off the trunks."

[[area]]
name = "Long field"
kind = "plot"
from = "drawn/openings.geojson"
mix = "fall clover and grain"
plant = 2027-10-02
soil_test = "uplands 2026"
history = ["2026: cereal rye, turned under green in April"]

[[area]]
name = "Wire lane"
kind = "plot"
from = "walks/wire-lane.gpx"
walked_inside_ft = 4.0           # the walker kept this far inside the true edge
mix = "clover stand"
plant = 2027-09-18
soil_test = "uplands 2026"

[[area]]
name = "Dove field"
kind = "plot"
from = "drawn/openings.geojson"
mix = "sunflower and millet"
plant = 2027-05-08
soil_test = "uplands 2026"

[[area]]
name = "Vine hollow"
kind = "patch"
vine = "kudzu"
from = "walks/vine-2026.gpx"
previous = { from = "walks/vine-2025.gpx", on = 2025-10-20 }
surveyed = 2026-10-18
feed = [ { spray = "foliar feed", share = 0.5, on = 2027-07-24 } ]
strip = { slip_days = 10, live_node_ft = 0.0 }

[[area]]
name = "Honeysuckle draw"
kind = "native"
from = "drawn/native.geojson"
feed = [ { spray = "foliar feed", share = 0.35, on = 2027-04-10 } ]

[[area]]
name = "Plum thicket"
kind = "native"
from = "drawn/native.geojson"

[[area]]
name = "Pine block"
kind = "timber"
from = "drawn/timber.geojson"

[[area]]
name = "Hardwood bottom"
kind = "timber"
from = "drawn/timber.geojson"

[[area]]
name = "Beaver pond"
kind = "water"
from = "drawn/keep-off.geojson"

[[area]]
name = "Camp road"
kind = "road"
from = "drawn/keep-off.geojson"

[[area]]
name = "Cabin yard"
kind = "keepout"
from = "drawn/keep-off.geojson"

[[area]]
name = "South burn block"
kind = "burn"
from = "drawn/burn.geojson"
strip = { width_ft = 14.0, bare = true }

# ---- what is sown ----------------------------------------------------------

[[mix]]
name = "fall clover and grain"
method = "broadcast"
seed = [
  { crop = "crimson clover", share = 0.5, basis = "pls", purity = 0.98, germination = 0.85, price_lb = 2.4, bag_lb = 50 },
  { crop = "oats", rate_lb_ac = 60.0, basis = "bulk", price_lb = 0.42, bag_lb = 50 },
]

[[mix]]
name = "clover stand"
method = "broadcast"
seed = [
  { crop = "ladino / white clover", rate_lb_ac = 3.0, basis = "pls", purity = 0.99, germination = 0.9, price_lb = 5.5, bag_lb = 25 },
  { crop = "arrowleaf clover", rate_lb_ac = 6.0, basis = "pls", purity = 0.98, germination = 0.8, hard = 0.08, price_lb = 3.1, bag_lb = 50 },
]

[[mix]]
name = "sunflower and millet"
method = "broadcast"
seed = [
  { crop = "sunflower (black oil)", rate_lb_ac = 8.0, basis = "bulk", price_lb = 1.1, bag_lb = 50 },
  { crop = "browntop millet", rate_lb_ac = 10.0, basis = "bulk", price_lb = 1.05, bag_lb = 50 },
]

# ---- what the laboratory wrote, and what the store sells (all invented) -----

[[soil_test]]
name = "bottoms 2026"
on = 2026-12-04
ph = 6.1
need_lb_ac = { n = 45, p2o5 = 40, k2o = 40 }

[[soil_test]]
name = "uplands 2026"
on = 2026-12-04
ph = 5.6
lime_ton_ac = 1.0
lime_basis_ecce_pct = 100
need_lb_ac = { n = 60, p2o5 = 60, k2o = 80 }

[[product]]
grade = "13-13-13"
bag_lb = 50
price = 17.5

[[product]]
grade = "0-20-20"
bag_lb = 50
price = 18.0

[[product]]
grade = "34-0-0"
bag_lb = 50
price = 19.0

[[product]]
grade = "0-0-60"
bag_lb = 50
price = 21.0

[[product]]
grade = "18-46-0"
bag_lb = 50
price = 27.0

[[product]]
grade = "lime-ag"
bulk = true                      # by the ton
spread_for_you = true            # by the seller's truck, in the price
price = 52.0
ecce_pct = 70

[[stock]]
item = "13-13-13"
bags = 3

[[spray]]
name = "foliar feed"             # rates typed from the label of the jug in the shed (invented)
use = "foliar feed"
rate_fl_oz_ac = 64.0
max_rate_fl_oz_ac = 96.0
pack_fl_oz = 320.0
price = 38.0
ppe = "as the label lists: gloves, long sleeves, eye protection"
"""

LOG_CSV = """\
date,area,task,minutes,note
2025-09-27,North bottom,plant,95,invented: behind half an inch of rain
2026-02-21,North bottom,lime,130,invented: seven tons from the quarry
2026-04-11,Creek shelf,smooth,35,invented: ran out of light at the lower end
2026-05-02,North bottom,clip,60,invented: oats headed and clover in bloom
2026-12-04,North bottom,soil test,40,invented: samples from both bottoms
2026-12-04,Long field,soil test,55,invented: samples from the uplands
"""


def sample_files() -> dict[str, bytes]:
    """Return every file of the sample property by its path in the folder."""
    phone = _Receiver(drift_ft=7.5, every_s=2)
    handheld = _Receiver(drift_ft=5.5, every_s=3)
    utc = dt.UTC

    def at(year: int, month: int, day: int, hour: int, minute: int) -> dt.datetime:
        return dt.datetime(year, month, day, hour, minute, tzinfo=utc)

    gate_lon, gate_lat = _lonlat(-2035, 409)
    stand_lon, stand_lat = _lonlat(620, 1340)
    points = (
        f'  <wpt lat="{gate_lat:.7f}" lon="{gate_lon:.7f}"><name>West gate</name></wpt>\n'
        f'  <wpt lat="{stand_lat:.7f}" lon="{stand_lon:.7f}"><name>Pond stand</name></wpt>'
    )
    walks: dict[
        str, tuple[Ring, int, _Receiver, dt.datetime, float, Ring | None]
    ] = {
        "north-bottom-1": (NORTH_BOTTOM, 11, phone, at(2026, 12, 5, 15, 10), 1.03, [(520.0, 900.0)]),
        "north-bottom-2": (NORTH_BOTTOM, 12, handheld, at(2026, 12, 12, 16, 2), 2.02, None),
        "creek-shelf": (CREEK_SHELF, 13, handheld, at(2026, 12, 5, 17, 20), 2.03, [(1240.0, -300.0)]),
        "wire-lane": (
            [(-1986, -1176), (-1104, -1086), (-1099, -1039), (-1986, -1129)],
            14, handheld, at(2026, 12, 12, 18, 30), 2.02, None,
        ),
        "vine-2026": (VINE_2026, 15, handheld, at(2026, 10, 18, 14, 0), 2.04, [(-360.0, -160.0)]),
        "vine-2025": (VINE_2025, 16, handheld, at(2025, 10, 20, 14, 30), 2.02, None),
    }  # fmt: skip
    files: dict[str, str] = {
        "property.toml": PROPERTY_TOML,
        "log.csv": LOG_CSV,
        "weather-invented.csv": weather_csv(),
        "drawn/boundary.geojson": _geojson([("Sweetgum Bend", "", PROPERTY_LINE)]),
        "drawn/openings.geojson": _geojson(
            [
                ("Old orchard", "plot", ORCHARD),
                ("Long field", "plot", LONG_FIELD),
                ("Dove field", "plot", DOVE_FIELD),
            ]
        ),
        "drawn/native.geojson": _geojson(
            [("Honeysuckle draw", "native", HONEYSUCKLE), ("Plum thicket", "native", PLUMS)]
        ),
        "drawn/timber.geojson": _geojson(
            [("Pine block", "timber", PINES), ("Hardwood bottom", "timber", HARDWOODS)]
        ),
        "drawn/keep-off.geojson": _geojson(
            [
                ("Beaver pond", "water", POND),
                ("Camp road", "road", ROAD),
                ("Cabin yard", "keepout", YARD),
            ]
        ),
        "drawn/burn.geojson": _geojson([("South burn block", "burn", BURN)]),
    }
    for name, (ring, seed, receiver, started, laps, way_in) in walks.items():
        fixes = _walk(ring, seed, receiver, laps=laps, way_in=way_in)
        title = name.replace("-", " ").capitalize()
        files[f"walks/{name}.gpx"] = _gpx(
            title,
            fixes,
            started,
            receiver.every_s,
            points if name == "north-bottom-1" else "",
        )
    packed = {name: text.encode() for name, text in files.items()}
    return packed | {"drawn/from-above.tif": _from_above()}


def _from_above() -> bytes:
    """Return the invented picture of the place from above."""
    from quietacre.demo.picture import picture_tif

    fields = (NORTH_BOTTOM, CREEK_SHELF, ORCHARD, LONG_FIELD, WIRE_LANE, DOVE_FIELD, BURN)
    covers = [("open", ring) for ring in fields]
    covers += [("pines", PINES), ("water", POND), ("bare", ROAD), ("bare", YARD)]
    return picture_tif(covers, (-2500, -2150, 2600, 2150), _lonlat)
