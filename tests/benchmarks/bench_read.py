"""Reading every kind of file, as ratios to the script one would write for each.

Run: ``python tests/benchmarks/bench_read.py [--polygons 10000] [--fixes 100000]``. The
scripts believe the file; the readers check it. Seconds are of the processor, the least of
three; both run in this process.
"""

from __future__ import annotations

import argparse
import csv
import resource
import tempfile
import tomllib
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely
from bench_start import write_property
from PIL import Image

from quietacre.intake.log import read_log
from quietacre.intake.picture import read_picture
from quietacre.intake.property import read_property
from quietacre.intake.vector import read_layer
from quietacre.intake.weather import read_weather

CORNERS = 40
ACROSS = 100
Pair = tuple[Callable[[], object], Callable[[], object]]


def frame(count: int) -> gpd.GeoDataFrame:
    """Return ``count`` invented fields of 40 corners, in a grid with gaps."""
    rng = np.random.default_rng(count)
    number = np.arange(count)
    angle = np.linspace(0, 2 * np.pi, CORNERS, endpoint=False)
    radius = 0.0006 * rng.uniform(0.8, 1.0, (count, CORNERS))
    x = -95 + 0.002 * (number % ACROSS)[:, None] + radius * np.cos(angle)
    y = 34 + 0.002 * (number // ACROSS)[:, None] + radius * np.sin(angle)
    rings = np.dstack([x, y]).round(7)
    shapes = shapely.polygons(np.concatenate([rings, rings[:, :1]], axis=1))
    names = [f"F{n}" for n in number]
    return gpd.GeoDataFrame({"name": names, "kind": "plot"}, geometry=shapes, crs=4326)


def kml_text(fields: gpd.GeoDataFrame) -> str:
    """Return fields as KML."""
    marks = []
    for name, shape in zip(fields.name, fields.geometry, strict=True):
        points = " ".join(f"{x},{y}" for x, y in shapely.get_coordinates(shape).tolist())
        marks.append(
            f"<Placemark><name>{name}</name><Polygon><outerBoundaryIs><LinearRing>"
            f"<coordinates>{points}</coordinates></LinearRing></outerBoundaryIs></Polygon>"
            "</Placemark>"
        )
    return f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>{"".join(marks)}</Document></kml>'


def kml_by_hand(text: bytes) -> list[shapely.Polygon]:
    """Return the polygons of KML, believing it."""
    space = "{http://www.opengis.net/kml/2.2}"
    return [
        shapely.Polygon([tuple(map(float, word.split(","))) for word in found.text.split()])
        for found in ET.fromstring(text).iter(f"{space}coordinates")  # noqa: S314 - as one writes it
    ]


def gpx_text(count: int) -> str:
    """Return a walk of ``count`` fixes round a mile square, a second apart."""
    at = np.linspace(0, 4, count)
    x = -95 + 0.01 * np.interp(at, range(5), [0, 1, 1, 0, 0])
    y = 34 + 0.01 * np.interp(at, range(5), [0, 0, 1, 1, 0])
    times = np.datetime64("2026-10-18T08:00:00") + np.arange(count).astype("timedelta64[s]")
    fixes = "".join(
        f'<trkpt lat="{b:.7f}" lon="{a:.7f}"><time>{t}Z</time></trkpt>'
        for a, b, t in zip(x.tolist(), y.tolist(), times.astype(str), strict=True)
    )
    return (
        '<gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><trkseg>{fixes}</trkseg></trk></gpx>"
    )


def gpx_by_hand(path: Path) -> shapely.Polygon:
    """Return the fixes of a walk as a polygon, believing them."""
    space = "{http://www.topografix.com/GPX/1/1}"
    points = [
        (float(p.get("lon")), float(p.get("lat")), p.find(f"{space}time").text)
        for p in ET.parse(path).iter(f"{space}trkpt")  # noqa: S314 - as one writes it
    ]
    return shapely.Polygon([(x, y) for x, y, _ in points])


def pairs(place: Path, polygons: int, fixes: int) -> dict[str, Pair]:
    """Write a file of each kind; return our reader and the script for each."""
    fields = frame(polygons)
    found: dict[str, Pair] = {}

    def ground(name: str, by_hand: Callable[[Path], object]) -> None:
        path = place / name
        found[path.suffix[1:]] = (lambda: read_layer(path), lambda: by_hand(path))

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fields.to_file(place / "a.geojson")
        fields.to_file(place / "a.gpkg")
        fields.to_file(place / "a.shp")
    text = kml_text(fields)
    (place / "a.kml").write_text(text)
    with zipfile.ZipFile(place / "a.kmz", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doc.kml", text)
    with zipfile.ZipFile(place / "a.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(place.glob("a.[sdp][hbr][pxfj]")):
            archive.write(path, path.name)
    table = pd.DataFrame({"name": fields.name, "wkt": fields.geometry.to_wkt()})
    table.to_csv(place / "a.csv", index=False)
    (place / "a.gpx").write_text(gpx_text(fixes))
    for name in ("a.geojson", "a.gpkg", "a.shp", "a.zip"):
        ground(name, gpd.read_file)
    ground("a.kml", lambda path: kml_by_hand(path.read_bytes()))
    ground("a.kmz", lambda path: kml_by_hand(zipfile.ZipFile(path).read("doc.kml")))
    ground("a.csv", lambda path: gpd.GeoSeries.from_wkt(pd.read_csv(path).wkt))
    ground("a.gpx", gpx_by_hand)
    return found | small_files(place)


def small_files(place: Path) -> dict[str, Pair]:
    """Write what else a property has; return our reader and the script for each."""
    home = place / "property"
    write_property(home, 60)
    days = np.datetime64("1991-01-01") + np.arange(365 * 30)
    record = pd.DataFrame({"date": days.astype(str), "inches": 0.25})
    record.to_csv(place / "rain.csv", index=False)
    log = pd.DataFrame({"date": days[:1000].astype(str), "area": "Field", "task": "mow"})
    log.to_csv(place / "log.csv", index=False)
    Image.fromarray(np.zeros((2000, 2000, 3), dtype=np.uint8)).save(place / "a.png")
    (place / "a.pgw").write_text("0.00001\n0\n0\n-0.00001\n-95\n34\n")
    rain, done, chart = place / "rain.csv", place / "log.csv", place / "a.png"
    text = home / "property.toml"
    return {
        "property.toml": (lambda: read_property(home), lambda: tomllib.loads(text.read_text())),
        "rain.csv": (
            lambda: read_weather(rain), lambda: pd.read_csv(rain, parse_dates=["date"]),
        ),
        "log.csv": (
            lambda: read_log(done), lambda: list(csv.DictReader(done.read_text().splitlines())),
        ),
        "png": (
            lambda: read_picture(chart, shown="a.png"),
            lambda: np.asarray(Image.open(chart).convert("RGB")),
        ),
    }  # fmt: skip


def worked() -> float:
    """Return the seconds a processor has worked for us and for processes of ours. [s]"""
    own, theirs = (
        resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return own.ru_utime + own.ru_stime + theirs.ru_utime + theirs.ru_stime


def seconds(run: Callable[[], object], repeats: int = 3) -> float:
    """Return the least seconds of processor of some runs."""
    took = []
    for _ in range(repeats):
        start = worked()
        run()
        took.append(worked() - start)
    return max(min(took), 1e-6)


def measure(polygons: int, fixes: int) -> dict[str, tuple[float, float]]:
    """Return seconds of our reader and of the script, by kind of file."""
    with tempfile.TemporaryDirectory() as place:
        found = pairs(Path(place), polygons, fixes)
        return {
            kind: (seconds(ours), seconds(hand)) for kind, (ours, hand) in found.items()
        }


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--polygons", type=int, default=10_000)
    parser.add_argument("--fixes", type=int, default=100_000)
    asked = parser.parse_args()
    for kind, (ours, hand) in measure(asked.polygons, asked.fixes).items():
        print(f"{kind:14} {ours:8.3f} s, by hand {hand:8.3f} s, ratio {ours / hand:6.2f}")
