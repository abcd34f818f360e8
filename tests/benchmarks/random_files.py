"""Random files of drawings and walks whose acres are known beforehand.

``random_file(rng, path)`` writes one and returns what is in it. Ground is laid on a grid of
cells, so that no two pieces touch; the acres of each are pyproj's own, a sum that shares
nothing with the program's. Walks are free of error: what they enclose is what they say.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from xml.sax.saxutils import escape

import geopandas as gpd
import numpy as np
import shapely
from pyproj import Geod

WGS84 = Geod(ellps="WGS84")
ACRE_M2 = 4046.8564224
LON, LAT = -87.6, 34.2
#: Degrees from one cell to the next, and the metres that fit in one.
CELL = 0.006
ROOM_M = 220.0
NAMES = (
    "", "", None, "South", "South", "SOUTH", "  South  ", "South#2", "#2", "2", "unnamed",
    "unnamed 1", "South 2", "süd", "su\u0308d", "two\nlines", "=1+1", "畑🌾", "x" * 90,
    "a “quoted” one", "<b>bold</b> & more", "turned\u202eround",
)  # fmt: skip
START = dt.datetime(2027, 3, 1, 14, 0, tzinfo=dt.UTC)


@dataclass(frozen=True)
class Piece:
    """One piece of ground that a file holds: its name there, its acres, and its ring."""

    name: str
    acres: float
    shape: shapely.Geometry


@dataclass
class Places:
    """Cells of the grid, each given once, and a clock that walks begin by."""

    rng: np.random.Generator
    cell: int = 0
    minutes: float = 0.0

    def middle(self) -> tuple[float, float]:
        self.cell += 1
        return LON + CELL * (self.cell % 8), LAT + CELL * (self.cell // 8)

    def begin(self, minutes: float) -> dt.datetime:
        self.minutes += 90.0 + minutes
        return START + dt.timedelta(minutes=self.minutes)


def acres_of(shape: shapely.Geometry) -> float:
    """Return acres by pyproj's geodesics, holes taken off."""
    total = 0.0
    for part in shapely.get_parts(shape):
        rings = [part.exterior, *part.interiors]
        sizes = [abs(WGS84.polygon_area_perimeter(*r.coords.xy)[0]) for r in rings]
        total += sizes[0] - sum(sizes[1:])
    return total / ACRE_M2


def _ring(rng: np.random.Generator, places: Places, step_m: float) -> np.ndarray:
    """Return a smooth closed ring in a cell of its own, shape (n, 2). [deg]"""
    lon, lat = places.middle()
    radius = rng.uniform(0.15, 0.42) * ROOM_M
    count = max(int(2 * np.pi * radius / step_m), 12)
    angle = np.linspace(0, 2 * np.pi, count + 1)
    bumps = radius * (1 + 0.15 * np.cos(3 * angle + rng.uniform(0, 6)))
    east = bumps * np.cos(angle) / (111320.0 * np.cos(np.radians(lat)))
    ring = np.column_stack([lon + east, lat + bumps * np.sin(angle) / 110930.0])
    ring[-1] = ring[0]
    return ring


def drawing(rng: np.random.Generator, places: Places) -> shapely.Geometry:
    """Return a polygon, at times with a hole or of several parts."""
    one = shapely.Polygon(_ring(rng, places, 40.0))
    draw = rng.random()
    if draw < 0.15:
        return shapely.MultiPolygon([one, shapely.Polygon(_ring(rng, places, 40.0))])
    if draw < 0.3:
        hole = shapely.affinity.scale(one, 0.3, 0.3)
        return shapely.Polygon(one.exterior, [hole.exterior.coords])
    return one


def walk(rng: np.random.Generator, places: Places) -> np.ndarray:
    """Return the fixes of one lap, two metres apart. [deg]"""
    return _ring(rng, places, 2.0)


def _name(rng: np.random.Generator) -> str | None:
    return NAMES[int(rng.integers(len(NAMES)))]


def as_read(name: str | None) -> str:
    """Return a name as a file gives it back: no spaces round it."""
    return (name or "").strip()


def _pieces(rng: np.random.Generator, places: Places, count: int) -> list[tuple]:
    return [(_name(rng), drawing(rng, places)) for _ in range(count)]


def geojson(features: list[tuple]) -> str:
    """Return a GeoJSON of names and shapes; the name None is left out."""
    return json.dumps({"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": {} if name is None else {"name": name},
         "geometry": json.loads(shapely.to_geojson(shape))}
        for name, shape in features
    ]})  # fmt: skip


def _xml_name(name: str | None) -> str:
    return "" if name is None else f"<name>{escape(name)}</name>"


def _kml_ring(ring: shapely.LinearRing, side: str) -> str:
    text = " ".join(f"{x:.10f},{y:.10f}" for x, y in ring.coords)
    return f"<{side}><LinearRing><coordinates>{text}</coordinates></LinearRing></{side}>"


def kml_polygon(shape: shapely.Geometry) -> str:
    """Return the KML of a polygon or several."""
    if shape.geom_type == "MultiPolygon":
        parts = "".join(kml_polygon(part) for part in shape.geoms)
        return f"<MultiGeometry>{parts}</MultiGeometry>"
    holes = "".join(_kml_ring(ring, "innerBoundaryIs") for ring in shape.interiors)
    return f"<Polygon>{_kml_ring(shape.exterior, 'outerBoundaryIs')}{holes}</Polygon>"


def kml_line(fixes: np.ndarray) -> str:
    """Return fixes as a line without times."""
    text = " ".join(f"{x:.9f},{y:.9f}" for x, y in fixes)
    return f"<LineString><coordinates>{text}</coordinates></LineString>"


def kml_track(fixes: np.ndarray, begin: dt.datetime, cut: int | None = None) -> str:
    """Return fixes as a gx:Track, or as a gx:MultiTrack cut at one of them."""
    if cut is not None:
        later = begin + dt.timedelta(seconds=2 * cut)
        parts = kml_track(fixes[:cut], begin) + kml_track(fixes[cut:], later)
        return f"<gx:MultiTrack>{parts}</gx:MultiTrack>"
    whens = "".join(
        f"<when>{(begin + dt.timedelta(seconds=2 * i)).isoformat()}</when>"
        for i in range(len(fixes))
    )
    coords = "".join(f"<gx:coord>{x:.9f} {y:.9f} 80.0</gx:coord>" for x, y in fixes)
    return f"<gx:Track>{whens}{coords}</gx:Track>"


def kml(placemarks: list[tuple[str | None, str]]) -> str:
    """Return a KML of names and bodies, every other one in a folder."""
    text = ""
    for number, (name, body) in enumerate(placemarks):
        mark = f"<Placemark>{_xml_name(name)}{body}</Placemark>"
        text += f"<Folder><name>South</name>{mark}</Folder>" if number % 2 else mark
    head = '<kml xmlns="http://www.opengis.net/kml/2.2" '
    head += 'xmlns:gx="http://www.google.com/kml/ext/2.2">'
    return f"{head}<Document>{text}</Document></kml>"


def gpx_line(
    name: str | None, fixes: np.ndarray, begin: dt.datetime | None, *, route: bool = False
) -> str:
    """Return a track, two seconds a fix, or a route."""
    point, line = ("rtept", "rte") if route else ("trkpt", "trk")
    body = ""
    for number, (x, y) in enumerate(fixes):
        when = ""
        if begin is not None:
            when = f"<time>{(begin + dt.timedelta(seconds=2 * number)).isoformat()}</time>"
        body += f'<{point} lat="{y:.9f}" lon="{x:.9f}">{when}</{point}>'
    body = body if route else f"<trkseg>{body}</trkseg>"
    return f"<{line}>{_xml_name(name)}{body}</{line}>"


def gpx(lines: list[str]) -> str:
    """Return a GPX of tracks and routes."""
    return f'<gpx xmlns="http://www.topografix.com/GPX/1/1">{"".join(lines)}</gpx>'


def _random_kml(rng: np.random.Generator, places: Places, count: int, found: list) -> str:
    marks = []
    for _ in range(count):
        name = _name(rng)
        draw = rng.random()
        if draw < 0.5:
            shape = drawing(rng, places)
            body = kml_polygon(shape)
        else:
            fixes = walk(rng, places)
            shape = shapely.Polygon(fixes)
            begin = places.begin(len(fixes) / 30.0)
            cut = len(fixes) // 2 if draw > 0.85 else None
            body = kml_line(fixes) if draw < 0.65 else kml_track(fixes, begin, cut)
        found.append(Piece(as_read(name), acres_of(shape), shape))
        marks.append((name, body))
    return kml(marks)


def _random_gpx(rng: np.random.Generator, places: Places, count: int, found: list) -> str:
    lines = []
    for _ in range(count):
        name = _name(rng)
        fixes = walk(rng, places)
        begin = places.begin(len(fixes) / 30.0)
        shape = shapely.Polygon(fixes)
        found.append(Piece(as_read(name), acres_of(shape), shape))
        if rng.random() < 0.2:  # one walk in two tracks, minutes and metres apart
            half = len(fixes) // 2 + int(rng.integers(-10, 10))
            later = begin + dt.timedelta(seconds=2 * half + 240)
            lines += [
                gpx_line(name, fixes[:half], begin),
                gpx_line(name, fixes[half:], later),
            ]
        else:
            lines.append(gpx_line(name, fixes, begin))
    for _ in range(int(rng.integers(0, 4))):  # plans, of other ground
        lines.insert(
            int(rng.integers(len(lines) + 1)),
            gpx_line(_name(rng), walk(rng, places), None, route=True),
        )
    for _ in range(int(rng.integers(0, 3))):  # the way to the gate
        part = walk(rng, places)
        lines.append(gpx_line(_name(rng), part[: len(part) // 3], places.begin(5.0)))
    return gpx(lines)


def random_file(rng: np.random.Generator, folder, count: int | None = None):
    """Write one random file to a folder; return its path and the ground in it."""
    places = Places(rng)
    count = int(rng.integers(1, 41)) if count is None else count
    ending = str(rng.choice(["geojson", "kml", "gpkg", "gpx"]))
    path = folder / f"openings.{ending}"
    found: list[Piece] = []
    if ending == "kml":
        path.write_text(_random_kml(rng, places, count, found), encoding="utf-8")
        return path, found
    if ending == "gpx":
        count = min(count, 12)
        path.write_text(_random_gpx(rng, places, count, found), encoding="utf-8")
        return path, found
    features = _pieces(rng, places, count)
    found = [Piece(as_read(name), acres_of(shape), shape) for name, shape in features]
    if ending == "geojson":
        path.write_text(geojson(features), encoding="utf-8")
        return path, found
    layers = int(rng.integers(1, 4))
    for layer in range(layers):
        mine = features[layer::layers]
        if mine:
            gpd.GeoDataFrame(
                {"name": [name for name, _ in mine]},
                geometry=[s for _, s in mine],
                crs=4326,
            ).to_file(path, layer=f"layer {layer}", driver="GPKG")
    return path, [found[i] for k in range(layers) for i in range(k, len(found), layers)]
