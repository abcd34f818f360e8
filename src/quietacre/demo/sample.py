"""Sweetgum Bend: an invented property, its files made from numbers and texts beside this module.

Nobody owns it and nobody walked it. Every file says so. The files come out the same to the
byte on every machine.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING

from quietacre.demo import ground
from quietacre.demo.formats import geojson, gpx
from quietacre.demo.ground import lonlat
from quietacre.demo.known import known_files
from quietacre.demo.sketch import sketch_files
from quietacre.demo.walks import Receiver, walk
from quietacre.demo.weather import weather_csv
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from quietacre.demo.ground import Ring

#: The day the sample is set on: a winter Saturday with the year still ahead.
SAMPLE_DAY = dt.date(2027, 1, 2)
PHONE = Receiver(drift_ft=7.5, every_s=2)
HANDHELD = Receiver(drift_ft=5.5, every_s=3)


@dataclass(frozen=True)
class _Walk:
    """A walk round a ring: its seed, what recorded it, when, how many laps, the way in."""

    name: str
    ring: Ring
    seed: int
    receiver: Receiver
    started: dt.datetime
    laps: float
    way_in: Ring | None = None


def sample_files() -> dict[str, bytes]:
    """Return every file of the sample property by its path in the folder."""
    texts = {
        SETTINGS_FILE: _text(SETTINGS_FILE),
        "log.csv": _text("log.csv"),
        "weather-invented.csv": weather_csv(),
        **_drawings(),
        **_walks(),
        **known_files(),
    }
    packed = {name: text.encode() for name, text in texts.items()}
    return packed | sketch_files() | {"drawn/from-above.tif": _from_above()}


def _text(name: str) -> str:
    return (resources.files("quietacre.demo") / "files" / name).read_text(encoding="utf-8")


def _drawings() -> dict[str, str]:
    """Return what was drawn on a map, by its path."""
    drawn: dict[str, list[tuple[str, str, Ring]]] = {
        "boundary": [("Sweetgum Bend", "", ground.PROPERTY_LINE)],
        "openings": [
            ("Old orchard", "plot", ground.ORCHARD),
            ("Long field", "plot", ground.LONG_FIELD),
            ("Dove field", "plot", ground.DOVE_FIELD),
        ],
        "native": [
            ("Honeysuckle draw", "native", ground.HONEYSUCKLE),
            ("Plum thicket", "native", ground.PLUMS),
        ],
        "timber": [
            ("Pine block", "timber", ground.PINES),
            ("Hardwood bottom", "timber", ground.HARDWOODS),
        ],
        "keep-off": [
            ("Beaver pond", "water", ground.POND),
            ("Camp road", "road", ground.ROAD),
            ("Cabin yard", "keepout", ground.YARD),
        ],
        "burn": [("South burn block", "burn", ground.BURN)],
    }
    return {f"drawn/{name}.geojson": geojson(shapes) for name, shapes in drawn.items()}


def _walks() -> dict[str, str]:
    """Return what was walked, by its path; the first walk has pins of the gate and a stand."""
    files = {}
    for one in _walked():
        fixes = walk(one.ring, one.seed, one.receiver, laps=one.laps, way_in=one.way_in)
        files[f"walks/{one.name}.gpx"] = gpx(
            one.name.replace("-", " ").capitalize(),
            fixes,
            one.started,
            one.receiver.every_s,
            _pins() if one.name == "north-bottom-1" else "",
        )
    return files


def _walked() -> tuple[_Walk, ...]:
    def at(year: int, month: int, day: int, hour: int, minute: int) -> dt.datetime:
        return dt.datetime(year, month, day, hour, minute, tzinfo=dt.UTC)

    lane: Ring = [(-1986, -1176), (-1104, -1086), (-1099, -1039), (-1986, -1129)]
    return (
        _Walk("north-bottom-1", ground.NORTH_BOTTOM, 11, PHONE, at(2026, 12, 5, 15, 10), 1.03, [(520.0, 900.0)]),
        _Walk("north-bottom-2", ground.NORTH_BOTTOM, 12, HANDHELD, at(2026, 12, 12, 16, 2), 2.02),
        _Walk("creek-shelf", ground.CREEK_SHELF, 13, HANDHELD, at(2026, 12, 5, 17, 20), 2.03, [(1240.0, -300.0)]),
        _Walk("wire-lane", lane, 14, HANDHELD, at(2026, 12, 12, 18, 30), 2.02),
        _Walk("vine-2026", ground.VINE_2026, 15, HANDHELD, at(2026, 10, 18, 14, 0), 2.04, [(-360.0, -160.0)]),
        _Walk("vine-2025", ground.VINE_2025, 16, HANDHELD, at(2025, 10, 20, 14, 30), 2.02),
    )  # fmt: skip


def _pins() -> str:
    gate_lon, gate_lat = lonlat(-2035, 409)
    stand_lon, stand_lat = lonlat(620, 1340)
    return (
        f'  <wpt lat="{gate_lat:.7f}" lon="{gate_lon:.7f}"><name>West gate</name></wpt>\n'
        f'  <wpt lat="{stand_lat:.7f}" lon="{stand_lon:.7f}"><name>Pond stand</name></wpt>'
    )


def _from_above() -> bytes:
    """Return the invented picture of the place from above."""
    from quietacre.demo.picture import picture_tif

    fields = (
        ground.NORTH_BOTTOM, ground.CREEK_SHELF, ground.ORCHARD, ground.LONG_FIELD,
        ground.WIRE_LANE, ground.DOVE_FIELD, ground.BURN,
    )  # fmt: skip
    covers = [("open", ring) for ring in fields]
    covers += [("pines", ground.PINES), ("water", ground.POND)]
    covers += [("bare", ground.ROAD), ("bare", ground.YARD)]
    return picture_tif(covers, (-2500, -2150, 2600, 2150), lonlat)
