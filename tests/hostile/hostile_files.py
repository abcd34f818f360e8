"""Hostile and merely odd files, made by code: what each is, and what must come of it.

Every case is a file (or a property folder) and an expectation: right acres, with words
that must be said where something is odd, or one line that refuses it. True acres come
from geographiclib, which shares no code with the measuring.
"""

from __future__ import annotations

import gzip
import io
import json
import os
import random
import sqlite3
import struct
import warnings
import zipfile
from dataclasses import dataclass
from typing import TYPE_CHECKING

import geopandas as gpd
import shapely
from geographiclib.geodesic import Geodesic

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

SEED = 20261125
#: A listener of the runner: nothing may ever ask it for anything.
URL = "http://127.0.0.1:8737/bait"
ACRE_M2 = 4046.8564224

FIELD = [[-87.6, 34.2], [-87.598, 34.2], [-87.598, 34.202], [-87.6, 34.202], [-87.6, 34.2]]
POND = [[-87.59, 34.2], [-87.589, 34.2], [-87.589, 34.201], [-87.59, 34.2]]
HOLE = [[-87.5995, 34.2005], [-87.599, 34.2005], [-87.599, 34.201], [-87.5995, 34.2005]]


def true_acres(ring: list[list[float]]) -> float:
    """Return a ring's geodesic area by geographiclib. [ac]"""
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat, *_ in ring[:-1] if ring[0] == ring[-1] else ring:
        polygon.AddPoint(lat, lon)
    return abs(polygon.Compute()[2]) / ACRE_M2


FIELD_AC = true_acres(FIELD)
POND_AC = true_acres(POND)
HOLE_AC = true_acres(HOLE)


@dataclass(frozen=True)
class Case:
    """One hostile thing, and what must come of it.

    ``acres``: it is read, to a part in ten thousand. ``says``: words of a warning, or of
    the refusal when ``acres`` is None. ``command``: words before the path. ``heavy``: only
    the command runs it, not the regular tests. ``total`` False: read, acres not known.
    """

    name: str
    make: Callable[[Path], object]
    says: str = ""
    acres: float | None = None
    command: tuple[str, ...] = ("acres", "--json")
    heavy: bool = False
    read: bool = False
    names: str = ""

    @property
    def refused(self) -> bool:
        """Whether it must be refused."""
        return self.acres is None and not self.read


def text(words: str, encoding: str = "utf-8") -> Callable[[Path], object]:
    """Return a maker that writes a text."""
    return lambda path: path.write_bytes(words.encode(encoding))


def raw(data: bytes) -> Callable[[Path], object]:
    """Return a maker that writes bytes."""
    return lambda path: path.write_bytes(data)


def feature(ring: object = None, kind: str = "Polygon", **properties: object) -> dict:
    """Return a GeoJSON feature."""
    coordinates = [FIELD] if ring is None else ring
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": kind, "coordinates": coordinates},
    }


def collection(*features: object, **extra: object) -> str:
    """Return a GeoJSON document."""
    return json.dumps({"type": "FeatureCollection", "features": list(features), **extra})


def crs(name: str) -> dict:
    """Return the crs member of older GeoJSON."""
    return {"type": "name", "properties": {"name": name}}


def moved(ring: list[list[float]], epsg: int) -> list[list[float]]:
    """Return a ring's coordinates in another system."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        shape = gpd.GeoSeries([shapely.Polygon(ring)], crs=4326).to_crs(epsg).iloc[0]
    return [list(xy) for xy in shape.exterior.coords]


def geojson_cases() -> Iterator[Case]:
    """GeoJSON: encodings, JSON's own traps, coordinates, rings, names."""
    plain = collection(feature(name="Field"))

    def case(name: str, make: Callable[[Path], object] | str, **kw: object) -> Case:
        return Case(f"{name}.geojson", text(make) if isinstance(make, str) else make, **kw)

    yield case("plain", plain, acres=FIELD_AC)
    yield case("utf8-mark", text(plain, "utf-8-sig"), acres=FIELD_AC)
    yield case("utf16-little", raw(b"\xff\xfe" + plain.encode("utf-16-le")), acres=FIELD_AC)
    yield case("utf16-big", raw(b"\xfe\xff" + plain.encode("utf-16-be")), acres=FIELD_AC)
    yield case("utf16-unmarked", raw(plain.encode("utf-16-le")), says="zero bytes")
    yield case(
        "utf16-odd", raw(b"\xff\xfe" + plain.encode("utf-16-le")[:-1]), says="not text"
    )
    yield case("utf32", raw(plain.encode("utf-32")), says="zero bytes")
    yield case(
        "latin1",
        text(collection(feature(name="pré")).replace("\\u00e9", "é"), "latin-1"),
        says="not text",
    )
    yield case("surrogate", text(collection(feature(name="a\ud800b"))), acres=FIELD_AC)
    yield case("crlf", plain.replace(",", ",\r\n"), acres=FIELD_AC)
    yield case("old-line-ends", plain.replace(",", ",\r"), acres=FIELD_AC)
    yield case("zero-byte", plain.replace("Field", "Fi\x00eld"), says="zero bytes")
    yield case("control", plain.replace("Field", "Fi\x01eld"), says="not JSON")
    for word in ("NaN", "Infinity", "-Infinity"):
        yield case(f"number-{word}", plain.replace("34.202", word, 1), says=word)
    yield case("number-1e400", plain.replace("34.202", "1e400", 1), says="not a number")
    yield case("number-400-digits", plain.replace("34.202", "9" * 400, 1), says="too large")
    yield case(
        "number-9000-digits", plain.replace("34.202", "9" * 9000, 1), says="too long"
    )
    yield case(
        "number-as-text", plain.replace("34.202", '"34.202"', 1), says="not two numbers"
    )
    yield case("number-null", plain.replace("34.202", "null", 1), says="not two numbers")
    yield case("number-true", plain.replace("34.202", "true", 1), says="not two numbers")
    yield case(
        "number-list", plain.replace("34.202", "[34.202]", 1), says="not two numbers"
    )
    yield case(
        "number-one", plain.replace("[-87.6, 34.2]", "[-87.6]", 1), says="not two numbers"
    )
    alone = json.loads(plain)
    alone["features"][0]["geometry"] = {"type": "Polygon", "coordinates": [[[29]]]}
    yield case("number-one-alone", json.dumps(alone), says="not two numbers")
    yield case(
        "heights", collection(feature([[[*p, 100.0] for p in FIELD]])), acres=FIELD_AC
    )
    yield case(
        "heights-some",
        collection(feature([[p if i else [*p, None] for i, p in enumerate(FIELD)]])),
        acres=FIELD_AC,
    )
    yield case(
        "key-twice",
        plain.replace('"type": "Polygon"', '"type": "Polygon", "type": "Point"'),
        says="twice",
    )
    yield case(
        "crs-link",
        collection(feature(), crs={"type": "link", "properties": {"href": URL}}),
        says="link",
    )
    yield case("crs-url-name", collection(feature(), crs=crs(URL)), says="reference system")
    yield case(
        "crs-84",
        collection(feature(), crs=crs("urn:ogc:def:crs:OGC:1.3:CRS84")),
        acres=FIELD_AC,
    )
    yield case(
        "crs-utm",
        collection(feature([moved(FIELD, 26916)]), crs=crs("urn:ogc:def:crs:EPSG::26916")),
        acres=FIELD_AC,
    )
    yield case(
        "crs-mercator",
        collection(feature([moved(FIELD, 3857)]), crs=crs("EPSG:3857")),
        acres=FIELD_AC,
    )
    yield case(
        "crs-survey-feet",
        collection(feature([moved(FIELD, 2899)]), crs=crs("EPSG:2899")),
        acres=FIELD_AC,
    )
    yield case(
        "crs-says-metres-but-degrees",
        collection(feature(), crs=crs("EPSG:26916")),
        says="degrees",
    )
    yield case(
        "crs-wrong-zone",
        collection(feature([moved(FIELD, 26916)]), crs=crs("EPSG:26910")),
        says="zone",
        read=True,
    )
    yield case(
        "crs-unknown", collection(feature(), crs=crs("EPSG:999999")), says="not known"
    )
    yield case("crs-file", collection(feature(), crs=crs("/etc/passwd")), says="not known")
    yield case(
        "crs-pipeline",
        collection(
            feature(), crs=crs("+proj=pipeline +step +proj=hgridshift +grids=" + URL)
        ),
        says="reference system",
    )
    yield case("crs-number", collection(feature(), crs=4326), says="link")
    yield case(
        "crs-vertical",
        collection(feature(), crs=crs("EPSG:5703")),
        says="not one of places",
    )
    yield case("no-crs-utm", collection(feature([moved(FIELD, 26916)])), says="not degrees")
    yield case(
        "no-crs-mercator", collection(feature([moved(FIELD, 3857)])), says="not degrees"
    )
    yield case(
        "swapped",
        collection(feature([[p[::-1] for p in FIELD]])),
        says="swapped",
        read=True,
    )
    yield case(
        "swapped-east",
        collection(feature([[[lat, lon + 200] for lon, lat in FIELD]])),
        says="swapped",
    )
    yield case("one-bad-latitude", plain.replace("34.202", "342.02", 1), says="latitude")
    yield case(
        "one-wrong-digit", plain.replace("34.202", "43.202", 1), says="far", read=True
    )
    yield case(
        "south-of-all",
        collection(feature([[[x, -y - 30] for x, y in FIELD]])),
        says="swapped",
        read=True,
    )
    yield case(
        "antimeridian",
        collection(
            feature(
                [
                    [
                        [179.999, 10],
                        [-179.999, 10],
                        [-179.999, 10.002],
                        [179.999, 10.002],
                        [179.999, 10],
                    ]
                ]
            )
        ),
        acres=true_acres(
            [[179.999, 10], [180.001, 10], [180.001, 10.002], [179.999, 10.002]]
        ),
    )
    yield case(
        "longitude-0-360",
        collection(feature([[[x + 360, y] for x, y in FIELD]])),
        acres=FIELD_AC,
    )
    yield case(
        "longitude-beyond",
        collection(feature([[[x + 720, y] for x, y in FIELD]])),
        says="not degrees",
    )
    yield case(
        "ring-open",
        collection(feature([FIELD[:-1]])),
        acres=FIELD_AC,
        says="does not end where it starts",
    )
    yield case("ring-backwards", collection(feature([FIELD[::-1]])), acres=FIELD_AC)
    yield case(
        "ring-twice-round",
        collection(feature([FIELD + FIELD[1:]])),
        acres=FIELD_AC,
        says="area went",
    )
    yield case(
        "ring-drawn-twice",
        collection(feature([[FIELD], [FIELD]], "MultiPolygon")),
        acres=FIELD_AC,
        says="counted once",
    )
    yield case(
        "parts-overlap",
        collection(
            feature([[FIELD], [[[x + 0.001, y] for x, y in FIELD]]], "MultiPolygon")
        ),
        acres=1.5 * FIELD_AC,
        says="area went",
    )
    yield case(
        "plot-twice",
        collection(feature(name="a"), feature(name="b")),
        acres=FIELD_AC,
        says="repeats",
    )
    yield case(
        "plots-overlap",
        collection(
            feature(name="a"), feature([[[x + 0.001, y] for x, y in FIELD]], name="b")
        ),
        acres=1.5 * FIELD_AC,
        says="share",
    )
    yield case("hole", collection(feature([FIELD, HOLE])), acres=FIELD_AC - HOLE_AC)
    yield case(
        "hole-same-way", collection(feature([FIELD, HOLE[::-1]])), acres=FIELD_AC - HOLE_AC
    )
    yield case(
        "hole-outside", collection(feature([FIELD, POND])), acres=FIELD_AC, says="hole"
    )
    yield case("hole-is-all", collection(feature([FIELD, FIELD])), says="area", read=True)
    yield case(
        "hole-of-two-points",
        collection(feature([FIELD, [HOLE[0], HOLE[1], HOLE[0]]])),
        acres=FIELD_AC,
        says="hole",
    )
    yield case(
        "bow-tie",
        collection(feature([[FIELD[0], FIELD[2], FIELD[1], FIELD[3], FIELD[0]]])),
        says="crosses itself",
        read=True,
    )
    yield case(
        "needle",
        collection(
            feature(
                [
                    [
                        *FIELD[:2],
                        [-87.598, 34.201],
                        [-87.5, 34.201],
                        [-87.598, 34.201001],
                        *FIELD[2:],
                    ]
                ]
            )
        ),
        acres=FIELD_AC,
        says="needle",
    )
    yield case(
        "two-points",
        collection(feature([[FIELD[0], FIELD[1], FIELD[0]]])),
        says="fewer than three",
    )
    yield case(
        "one-point-many-times",
        collection(feature([[FIELD[0]] * 5000])),
        says="fewer than three",
    )
    yield case(
        "flat",
        collection(
            feature([[[-87.6, 34.2], [-87.599, 34.2], [-87.598, 34.2], [-87.6, 34.2]]])
        ),
        says="area",
        read=True,
    )
    yield case(
        "polygon-empty",
        collection(feature([]), feature()),
        acres=FIELD_AC,
        says="without a shape",
    )
    yield case(
        "geometry-null",
        collection({"type": "Feature", "geometry": None}, feature()),
        acres=FIELD_AC,
        says="without a shape",
    )
    yield case(
        "all-null", collection({"type": "Feature", "geometry": None}), says="no polygon"
    )
    yield case("line-closed", collection(feature(FIELD, "LineString")), acres=FIELD_AC)
    yield case("line-open", collection(feature(FIELD[:3], "LineString")), says="no polygon")
    yield case(
        "lines",
        collection(feature([FIELD, POND], "MultiLineString")),
        acres=FIELD_AC + POND_AC,
    )
    yield case(
        "lines-of-nothing",
        collection(feature([[], "x"], "MultiLineString")),
        says="fewer than two",
    )
    yield case("points", collection(feature(FIELD, "MultiPoint")), says="only waypoints")
    yield case(
        "collection",
        json.dumps(
            {
                "type": "GeometryCollection",
                "geometries": [
                    feature()["geometry"],
                    feature(FIELD[0], "Point")["geometry"],
                ],
            }
        ),
        acres=FIELD_AC,
    )
    yield case(
        "collection-deep",
        '{"type":"GeometryCollection","geometries":[' * 400
        + json.dumps(feature()["geometry"])
        + "]}" * 400,
        says="nests",
    )
    yield case(
        "collection-very-deep",
        '{"type":"GeometryCollection","geometries":[' * 50_000,
        says="nests",
    )
    yield case(
        "lists-deep",
        '{"type":"Feature","geometry":{"type":"Polygon","coordinates":'
        + "[" * 900
        + "]" * 900
        + "}}",
        says="",
    )
    yield case("lists-very-deep", "[" * 200_000, says="nests")
    yield case(
        "coordinates-object", collection(feature({"0": FIELD})), says="no coordinates"
    )
    yield case("rings-of-words", collection(feature(["abcd"])), says="lists of numbers")
    yield case(
        "geometry-text",
        collection({"type": "Feature", "geometry": "POLYGON"}),
        says="not an object",
    )
    yield case(
        "type-unknown", collection(feature(FIELD, "Curve")), says="not a geometry type"
    )
    yield case(
        "type-a-list", collection(feature(FIELD, ["Polygon"])), says="not a geometry type"
    )
    yield case("feature-a-number", collection(7), says="not a GeoJSON feature")
    yield case(
        "properties-a-list",
        collection({**feature(), "properties": ["name"]}),
        acres=FIELD_AC,
    )
    yield case("name-a-number", collection(feature(name=7)), acres=FIELD_AC)
    yield case("name-an-object", collection(feature(name={"a": [1]})), acres=FIELD_AC)
    yield case("name-long", collection(feature(name="x" * 200_000)), acres=FIELD_AC)
    yield case(
        "name-lines",
        collection(
            feature(name="a\nTraceback (most recent call last):\r\n\x1b[31mred\x07")
        ),
        acres=FIELD_AC,
    )
    yield case("name-turned", collection(feature(name="a\u202egpj.exe")), acres=FIELD_AC)
    yield case(
        "features-null",
        '{"type":"FeatureCollection","features":null}',
        says="no list of features",
    )
    far = [[x + 360, y] for x, y in FIELD]
    yield case("degrees-to-360", collection(feature([far])), acres=FIELD_AC)
    yield case(
        "degrees-to-360-twice",
        collection(feature([far]), feature(name="b")),
        acres=FIELD_AC,
        says="the same ground",
    )
    pole = [[0, 89.99], [90, 89.99], [180, 89.99], [-90, 89.99], [0, 89.99]]
    yield case("round-a-pole", collection(feature([pole])), says="round a pole")
    other = {**feature([moved(FIELD, 32616)]), "crs": crs("EPSG:32616")}
    yield case("crs-of-a-feature", collection(other), says="not degrees")
    inner = json.loads(collection(feature()))
    yield case("collection-in-collection", collection(inner), says="not a GeoJSON feature")
    yield case("no-features", collection(), says="holds no features")
    yield case("type-missing", "{}", says="not GeoJSON")
    yield case("topology", '{"type":"Topology","arcs":[]}', says="not a geometry type")
    yield case("a-list", "[1,2]", says="not GeoJSON")
    yield case("a-number", "7", says="not GeoJSON")
    yield case("cut-off", plain[:90], says="cut off")
    yield case("tail", plain + "}", says="not JSON")
    yield case("page", "<!DOCTYPE html><title>Sign in</title>", says="not JSON")
    yield case(
        "virtual",
        f'<OGRVRTDataSource><OGRVRTLayer name="x"><SrcDataSource>/vsicurl/{URL}</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>',
        says="not JSON",
    )
    yield case("empty", raw(b""), says="is empty")
    yield case("blank", "  \n\n ", says="cut off")
    yield case("mark-only", raw(b"\xef\xbb\xbf"), says="cut off")
    yield case("picture", raw(b"\x89PNG\r\n\x1a\n" + bytes(range(256))), says="not text")
    yield case("zipped", raw(gzip.compress(plain.encode())), says="not text")
    yield case(
        "far-apart",
        collection(
            feature(name="a"), feature([[[x + 180, y] for x, y in FIELD]], name="b")
        ),
        acres=2 * FIELD_AC,
    )
    yield case(
        "many-vertices",
        collection(feature([star(300_000)])),
        acres=true_acres(star(3_000)),
        heavy=True,
    )
    yield case(
        "many-features",
        collection(*[feature([[[x + i / 400, y] for x, y in FIELD]]) for i in range(4000)]),
        acres=4000 * FIELD_AC,
        heavy=True,
    )
    yield case(
        "parts-on-parts",
        collection(
            feature(
                [[[[x + i / 1e6, y] for x, y in FIELD]] for i in range(5000)],
                "MultiPolygon",
            )
        ),
        says="rings lie on one another",
    )
    yield case(
        "holes-on-holes",
        collection(
            feature([FIELD, *[[[x + i / 1e8, y] for x, y in HOLE] for i in range(5000)]])
        ),
        says="rings lie on one another",
    )
    yield case(
        "areas-on-areas",
        collection(*[feature([[[x + i / 1e6, y] for x, y in FIELD]]) for i in range(5000)]),
        says="lie on one another",
        heavy=True,
    )
    yield case(
        "many-crossings",
        collection(feature([scribble(400)])),
        says="crosses itself",
        read=True,
    )
    yield case(
        "crossings-galore",
        collection(feature([scribble(2500)])),
        says="cross",
        read=True,
        heavy=True,
    )
    yield case("long-tail-of-spaces", plain + " " * 60_000_000, acres=FIELD_AC, heavy=True)
    yield case("too-large", lambda p: grow(p, 300_000_000), says="the limit is", heavy=True)


def star(count: int) -> list[list[float]]:
    """Return a simple ring of many vertices."""
    import math

    ring = [
        [
            -87.6 + 0.002 * math.cos(2 * math.pi * i / count),
            34.2 + 0.0017 * math.sin(2 * math.pi * i / count),
        ]
        for i in range(count)
    ]
    return [*ring, ring[0]]


def scribble(count: int) -> list[list[float]]:
    """Return a ring of random vertices, which crosses itself everywhere."""
    rng = random.Random(SEED)
    ring = [[-87.6 + rng.random() / 500, 34.2 + rng.random() / 500] for _ in range(count)]
    return [*ring, ring[0]]


def grow(path: Path, size: int) -> None:
    """Write a file of holes."""
    with path.open("wb") as handle:
        handle.truncate(size)


def gpx(body: str, head: str = '<?xml version="1.0"?>', **attributes: str) -> str:
    """Return a GPX document."""
    space = attributes.get("xmlns", "http://www.topografix.com/GPX/1/1")
    return f'{head}<gpx version="1.1" creator="x" xmlns="{space}">{body}</gpx>'


def walked(
    ring: list[list[float]] | None = None, steps: int = 40, *, times: bool = True
) -> str:
    """Return the track of a walk round a ring, a fix every few metres."""
    ring = ring or FIELD
    points = []
    for (x0, y0), (x1, y1) in zip(ring, ring[1:], strict=False):
        points += [
            (x0 + (x1 - x0) * i / steps, y0 + (y1 - y0) * i / steps) for i in range(steps)
        ]
    points.append((ring[-1][0], ring[-1][1]))
    marks = []
    for i, (x, y) in enumerate(points):
        second = i * 4
        when = f"<time>2026-11-20T{15 + second // 3600:02}:{second // 60 % 60:02}:{second % 60:02}Z</time>"
        marks.append(f'<trkpt lat="{y:.8f}" lon="{x:.8f}">{when if times else ""}</trkpt>')
    return f"<trk><name>edge</name><trkseg>{''.join(marks)}</trkseg></trk>"


def gpx_cases() -> Iterator[Case]:
    """GPX: encodings, XML's own traps, points, walks that enclose nothing."""
    plain = gpx(walked())

    def case(name: str, make: Callable[[Path], object] | str, **kw: object) -> Case:
        return Case(f"{name}.gpx", text(make) if isinstance(make, str) else make, **kw)

    def at(point: str) -> str:
        return gpx(f"<trk><trkseg><trkpt lat='34.2' lon='-87.6'/>\n{point}</trkseg></trk>")

    yield case("walk", plain, read=True)
    yield case(
        "walk-1-0", gpx(walked(), xmlns="http://www.topografix.com/GPX/1/0"), read=True
    )
    yield case(
        "walk-no-namespace",
        plain.replace(' xmlns="http://www.topografix.com/GPX/1/1"', ""),
        read=True,
    )
    yield case("walk-other-namespace", gpx(walked(), xmlns="urn:other"), says="not a GPX")
    yield case("walk-mark", text(plain, "utf-8-sig"), read=True)
    yield case(
        "walk-utf16",
        text(gpx(walked(), '<?xml version="1.0" encoding="UTF-16"?>'), "utf-16"),
        read=True,
    )
    yield case(
        "walk-latin1",
        text(
            gpx(
                walked().replace("edge", "pré"),
                '<?xml version="1.0" encoding="ISO-8859-1"?>',
            ),
            "latin-1",
        ),
        read=True,
    )
    yield case(
        "walk-1252",
        text(
            gpx(
                walked().replace("edge", "a–b"),
                '<?xml version="1.0" encoding="windows-1252"?>',
            ),
            "cp1252",
        ),
        read=True,
    )
    yield case(
        "encoding-unknown",
        gpx(walked(), '<?xml version="1.0" encoding="klingon"?>'),
        says="encoding",
    )
    yield case(
        "encoding-wrong",
        text(plain.replace("edge", "pré"), "latin-1"),
        says="or a damaged one",
    )
    yield case(
        "encoding-utf7", gpx(walked(), '<?xml version="1.0" encoding="utf-7"?>'), says=""
    )
    yield case("walk-no-times", gpx(walked(times=False)), read=True)
    yield case(
        "walk-times-garbage",
        plain.replace("2026-11-20T", "yesterday "),
        read=True,
        says="time that cannot be read",
    )
    yield case(
        "walk-times-backwards",
        plain.replace("2026-11-20T15:00", "2026-11-21T15:00"),
        read=True,
    )
    yield case("walk-year-9999", plain.replace("2026-11-20", "9999-12-31"), read=True)
    yield case(
        "walk-year-1",
        plain.replace("2026-11-20T", "0001-01-01T").replace("Z<", "+14:00<"),
        read=True,
    )
    yield case(
        "walk-with-heights", plain.replace("<time>", "<ele>1e308</ele><time>"), read=True
    )
    yield case("two-walks", gpx(walked() + walked(POND, 20)), read=True)
    yield case(
        "lost-fixes",
        plain.replace("</trkseg>", '<trkpt lon="-87.6"/></trkseg>'),
        says="latitude missing",
    )
    for name, value, words in [
        ("comma", "34,2", "decimal comma"), ("words", "north", "not a number"), ("nan", "nan", "not a number"),
        ("infinity", "-inf", "not a number"), ("1e400", "1e400", "not a number"), ("beyond", "97.1", "outside"),
        ("blank", "", "not a number"), ("underscore", "3_4", "not a number"), ("hex", "0x22", "not a number"),
        ("degrees", "34°12'", "not a number"), ("arabic", "٣٤", "not a number"),
    ]:  # fmt: skip
        yield case(
            f"latitude-{name}", at(f'<trkpt lat="{value}" lon="-87.6"/>'), says=words
        )
    yield case("longitude-missing", at('<trkpt lat="34.2"/>'), says="longitude missing")
    yield case(
        "swapped",
        plain.replace("lat=", "xx=").replace("lon=", "lat=").replace("xx=", "lon="),
        says="swapped",
        read=True,
    )
    yield case("document-type", "<!DOCTYPE gpx>" + gpx(walked(), ""), says="document type")
    laughs = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10))
    yield case(
        "laughs",
        f'<!DOCTYPE gpx [<!ENTITY a0 "ha">{laughs}]>' + gpx("<name>&a9;</name>", ""),
        says="document type",
    )
    yield case(
        "entity-outside",
        f'<!DOCTYPE gpx [<!ENTITY x SYSTEM "{URL}">]>' + gpx("<name>&x;</name>", ""),
        says="document type",
    )
    yield case(
        "entity-file",
        '<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
        + gpx("<name>&x;</name>", ""),
        says="document type",
    )
    yield case(
        "entity-undefined", gpx("<trk><name>&x;</name></trk>"), says="or a damaged one"
    )
    yield case(
        "include",
        gpx(
            f'<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="{URL}"/>'
            + walked()
        ),
        read=True,
    )
    yield case(
        "style-sheet",
        gpx(walked(), f'<?xml version="1.0"?><?xml-stylesheet href="{URL}"?>'),
        read=True,
    )
    for cut in (30, 200, 4000):
        yield case(f"cut-at-{cut}", plain[:cut], says="cut off")
    yield case("cut-at-end", plain[:-3], says="cut off")
    yield case("tail", plain + "<gpx/>", says="or a damaged one")
    yield case("tags-crossed", gpx("<trk><trkseg></trk></trkseg>"), says="or a damaged one")
    yield case("deep", gpx("<extensions>" * 5000), says="nest deeper")
    yield case("name-long", plain.replace("edge", "x" * 3_000_000), read=True, heavy=True)
    yield case(
        "name-section",
        plain.replace("edge", "<![CDATA[<script>alert(1)</script>]]>"),
        read=True,
    )
    yield case("zero-byte", plain.replace("edge", "a\x00b"), says="or a damaged one")
    yield case(
        "waypoint-in-track",
        gpx("<trk><trkseg><wpt lat='1' lon='2'/></trkseg></trk>"),
        says="inside a track",
    )
    yield case("point-outside", gpx("<trkpt lat='1' lon='2'/>"), says="outside any track")
    yield case("empty", gpx(""), says="no track")
    yield case("empty-track", gpx("<trk><trkseg/></trk>"), says="no track")
    yield case(
        "only-waypoints", gpx("<wpt lat='34.2' lon='-87.6'/>"), says="only waypoints"
    )
    yield case("tracks-galore", gpx("<trk/>" * 1500), says="more than 1,000 tracks")
    yield case("one-point", at(""), says="")
    yield case(
        "standing",
        gpx("<trk><trkseg>" + "<trkpt lat='34.2' lon='-87.6'/>" * 500 + "</trkseg></trk>"),
        says="",
    )
    yield case(
        "there-and-back",
        gpx(walked([[-87.6, 34.2], [-87.6, 34.21], [-87.6, 34.2]])),
        says="",
    )
    yield case("open-walk", gpx(walked(FIELD[:3])), says="")
    yield case(
        "round-the-world",
        gpx(walked([[-179, 10], [0, 11], [179, 10], [0, 9], [-179, 10]])),
        says="",
        read=True,
    )
    yield case(
        "at-the-pole",
        gpx(walked([[0, 89.999], [90, 89.999], [180, 89.999], [-90, 89.999], [0, 89.999]])),
        says="",
        read=True,
    )
    yield case("page", "<html><body>Sign in</body></html>", says="not a GPX")
    yield case("picture", raw(b"\x89PNG\r\n\x1a\n"), says="or a damaged one")
    yield case("zipped", raw(gzip.compress(plain.encode())), says="or a damaged one")
    yield case("many-points", gpx(walked(steps=60_000)), read=True, heavy=True)


def kml(
    body: str,
    head: str = '<?xml version="1.0"?>',
    space: str = "http://www.opengis.net/kml/2.2",
) -> str:
    """Return a KML document."""
    return f'{head}<kml xmlns="{space}"><Document>{body}</Document></kml>'


def words_of(ring: list[list[float]], join: str = ",") -> str:
    """Return a ring as KML coordinates."""
    return " ".join(f"{x}{join}{y}{join}0" for x, y in ring)


def placemark(
    coordinates: str = "", name: str = "Field", holes: tuple[str, ...] = ()
) -> str:
    """Return a placemark of one polygon."""

    def side(tag: str, words: str) -> str:
        return f"<{tag}><LinearRing><coordinates>{words}</coordinates></LinearRing></{tag}>"

    inner = "".join(side("innerBoundaryIs", hole) for hole in holes)
    outer = side("outerBoundaryIs", coordinates or words_of(FIELD))
    return f"<Placemark><name>{name}</name><Polygon>{outer}{inner}</Polygon></Placemark>"


def kml_cases() -> Iterator[Case]:
    """KML: XML's own traps, links, nesting, coordinates."""
    plain = kml(placemark())

    def case(name: str, make: Callable[[Path], object] | str, **kw: object) -> Case:
        return Case(f"{name}.kml", text(make) if isinstance(make, str) else make, **kw)

    yield case("plain", plain, acres=FIELD_AC)
    yield case(
        "older", kml(placemark(), space="http://earth.google.com/kml/2.1"), acres=FIELD_AC
    )
    yield case(
        "no-namespace",
        plain.replace(' xmlns="http://www.opengis.net/kml/2.2"', ""),
        acres=FIELD_AC,
    )
    yield case("mark", text(plain, "utf-8-sig"), acres=FIELD_AC)
    yield case(
        "utf16",
        text(kml(placemark(), '<?xml version="1.0" encoding="UTF-16"?>'), "utf-16"),
        acres=FIELD_AC,
    )
    yield case(
        "encoding-wrong",
        text(plain.replace("Field", "pré"), "latin-1"),
        says="or a damaged one",
    )
    yield case("hole", kml(placemark(holes=(words_of(HOLE),))), acres=FIELD_AC - HOLE_AC)
    yield case(
        "folders", kml("<Folder>" * 300 + placemark() + "</Folder>" * 300), acres=FIELD_AC
    )
    yield case(
        "folders-deep",
        kml("<Folder>" * 20_000 + placemark() + "</Folder>" * 20_000),
        says="nests",
    )
    shape = placemark().partition("<Polygon>")[2].partition("</Polygon>")[0]
    multi = (
        "<Placemark>"
        + "<MultiGeometry>" * 2000
        + f"<Polygon>{shape}</Polygon>"
        + "</MultiGeometry>" * 2000
        + "</Placemark>"
    )
    yield case("collections-deep", kml(multi), says="nests")
    yield case(
        "document-type", "<!DOCTYPE kml>" + kml(placemark(), ""), says="document type"
    )
    yield case(
        "entity-outside",
        f'<!DOCTYPE kml [<!ENTITY x SYSTEM "{URL}">]>' + kml("<name>&x;</name>", ""),
        says="document type",
    )
    laughs = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10))
    yield case(
        "laughs",
        f'<!DOCTYPE kml [<!ENTITY a0 "ha">{laughs}]>' + kml("<name>&a9;</name>", ""),
        says="document type",
    )
    yield case(
        "network-link",
        kml(f"<NetworkLink><Link><href>{URL}</href></Link></NetworkLink>" + placemark()),
        acres=FIELD_AC,
        says="never followed",
    )
    yield case(
        "overlay",
        kml(
            f"<GroundOverlay><Icon><href>{URL}</href></Icon></GroundOverlay>" + placemark()
        ),
        acres=FIELD_AC,
    )
    yield case(
        "only-a-link",
        kml(f"<NetworkLink><Link><href>{URL}</href></Link></NetworkLink>"),
        says="holds no features",
    )
    yield case("comma", kml(placemark("-87,6;34,2 -87,5;34,2 -87,5;34,3")), says="decimal")
    yield case(
        "comma-bare",
        kml(placemark("-87,6,34,2 -87,5,34,2 -87,5,34,3 -87,6,34,2")),
        says="decimal",
    )
    yield case(
        "space-after-comma",
        kml(placemark(words_of(FIELD).replace(",", ", "))),
        says="longitude",
    )
    yield case(
        "nan", kml(placemark(words_of(FIELD).replace("34.202", "nan"))), says="not a number"
    )
    yield case(
        "beyond", kml(placemark(words_of(FIELD).replace("34.202", "134.202"))), says="pole"
    )
    yield case(
        "swapped",
        kml(placemark(words_of([p[::-1] for p in FIELD]))),
        says="swapped",
        read=True,
    )
    yield case(
        "open",
        kml(placemark(words_of(FIELD[:-1]))),
        acres=FIELD_AC,
        says="does not end where it starts",
    )
    yield case("two-points", kml(placemark(words_of(FIELD[:2]))), says="fewer than three")
    yield case(
        "no-coordinates", kml("<Placemark><Polygon/></Placemark>"), says="no polygon"
    )
    ring = f"<LinearRing><coordinates>{words_of(POND)}</coordinates></LinearRing>"
    yield case(
        "two-outer-edges",
        plain.replace("</Polygon>", f"<outerBoundaryIs>{ring}</outerBoundaryIs></Polygon>"),
        says="2 outer edges",
    )
    yield case(
        "two-rings-outside",
        plain.replace("</outerBoundaryIs>", f"{ring}</outerBoundaryIs>"),
        says="2 outer edges",
    )
    yield case("underscore", plain.replace("34.202", "34.2_02"), says="not a longitude")
    yield case("no-placemarks", kml(""), says="holds no features")
    yield case("not-kml", "<html/>", says="not KML")
    yield case("cut-off", plain[:200], says="or a damaged one")
    yield case("empty", raw(b""), says="is empty")
    yield case(
        "name-hostile", kml(placemark(name="&lt;script&gt;{{7*7}}${1}`")), acres=FIELD_AC
    )
    yield case(
        "two-outer",
        kml(
            "<Placemark><Polygon>"
            + shape
            + shape.replace("-87.6", "-87.7")
            + "</Polygon></Placemark>"
        ),
        says="outer",
        read=True,
    )


def zipped(entries: list[tuple[str, bytes]], **fields: int) -> bytes:
    """Return a zip archive of entries, with header fields set."""
    out = io.BytesIO()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, data in entries:
                info = zipfile.ZipInfo(name)
                info.compress_type = zipfile.ZIP_DEFLATED
                for key, value in fields.items():
                    setattr(info, key, value)
                archive.writestr(info, data)
    return out.getvalue()


def locked(data: bytes) -> bytes:
    """Return an archive with the encryption bit set in every header."""
    raw_data = bytearray(data)
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = raw_data.find(mark)
        while at >= 0:
            raw_data[at + offset] |= 1
            at = raw_data.find(mark, at + 1)
    return bytes(raw_data)


def lying(data: bytes) -> bytes:
    """Return an archive whose directory says an entry is ten bytes long."""
    raw_data = bytearray(data)
    at = raw_data.find(b"PK\x01\x02")
    struct.pack_into("<I", raw_data, at + 24, 10)
    return bytes(raw_data)


def kmz_cases() -> Iterator[Case]:
    """KMZ and zip: traversal, links, bombs, locks, lies."""
    document = kml(placemark()).encode()
    good = zipped([("doc.kml", document)])

    def case(name: str, data: bytes, **kw: object) -> Case:
        return Case(f"{name}.kmz", raw(data), **kw)

    yield case("plain", good, acres=FIELD_AC)
    yield case(
        "two-documents",
        zipped([("a.kml", document), ("b/c.KML", kml(placemark(words_of(POND))).encode())]),
        acres=FIELD_AC + POND_AC,
    )
    yield case(
        "same-name-twice",
        zipped(
            [("doc.kml", document), ("doc.kml", kml(placemark(words_of(POND))).encode())]
        ),
        says="twice",
    )
    yield case(
        "same-name-but-case",
        zipped(
            [("doc.kml", document), ("DOC.kml", kml(placemark(words_of(POND))).encode())]
        ),
        acres=FIELD_AC + POND_AC,
    )
    yield case("traversal", zipped([("../../doc.kml", document)]), says="outside")
    yield case("traversal-windows", zipped([("..\\doc.kml", document)]), says="outside")
    yield case("absolute", zipped([("/tmp/doc.kml", document)]), says="outside")
    yield case("drive", zipped([("C:doc.kml", document)]), says="outside")
    yield case(
        "link",
        zipped([("doc.kml", b"/etc/passwd")], external_attr=0o120777 << 16),
        says="is a link",
    )
    yield case("locked", locked(good), says="password")
    yield Case(
        "bomb.kmz",
        lambda p: p.write_bytes(zipped([("doc.kml", b" " * 300_000_000)])),
        says="-fold",
        heavy=True,
    )
    yield Case(
        "bomb-many.kmz",
        lambda p: p.write_bytes(
            zipped([(f"{i}.kml", b" " * 900_000) for i in range(1500)])
        ),
        says="expands to",
        heavy=True,
    )
    yield case(
        "many-entries", zipped([(f"{i}.txt", b"") for i in range(3000)]), says="entries"
    )
    yield case("lying-size", lying(good), says="")
    yield case("damaged", good[:60] + b"\x00\x01\x02" + good[63:], says="")
    yield case("cut-off", good[:-30], says="zip")
    yield case("tail", good + b"x" * 100, acres=FIELD_AC)
    yield case("head", b"x" * 100 + good, acres=FIELD_AC)
    yield case("not-a-zip", b"PK\x03\x04 no", says="zip")
    yield case(
        "name-not-text",
        zipped([("doc\u00e9.kml", document)]).replace(b"doc\xc3\xa9", b"doc\x88\xff"),
        says="zip",
    )
    yield case("no-kml", zipped([("readme.txt", b"x")]), says="holds no KML")
    yield case("archive-in-archive", zipped([("inner.kmz", good)]), says="holds no KML")
    yield case("long-name", zipped([("a" * 300 + ".kml", document)]), acres=FIELD_AC)
    yield case(
        "long-path",
        zipped([("/".join(["d" * 100] * 60) + "/doc.kml", document)]),
        acres=FIELD_AC,
    )
    yield case(
        "folder-named-kml",
        zipped([("doc.kml/", b""), ("doc.kml/a.kml", document)]),
        acres=FIELD_AC,
    )
    yield case("odd-name", zipped([("na\nme\x1b.kml", document)]), acres=FIELD_AC)
    yield case(
        "odd-method",
        zipped([("doc.kml", document)]).replace(b"\x08\x00", b"\x63\x00"),
        says="zip",
    )
    yield case(
        "entity-inside",
        zipped([("doc.kml", b"<!DOCTYPE kml><kml/>")]),
        says="document type",
    )


def frame(
    rings: list[list[list[float]]], epsg: int = 4326, **columns: list
) -> gpd.GeoDataFrame:
    """Return a frame of polygons."""
    columns = columns or {"name": [f"r{i}" for i in range(len(rings))]}
    made = gpd.GeoDataFrame(columns, geometry=[shapely.Polygon(r) for r in rings], crs=4326)
    return made.to_crs(epsg)


def shapefile(
    path: Path, rings: list | None = None, epsg: int = 4326, drop: tuple[str, ...] = ()
) -> Path:
    """Write a shapefile, without some of its companions."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        frame(rings or [FIELD], epsg).to_file(
            path.with_suffix(".shp"), driver="ESRI Shapefile"
        )
    for suffix in drop:
        path.with_suffix(suffix).unlink()
    return path.with_suffix(".shp")


def many_rings(path: Path, count: int) -> Path:
    """Write a shapefile of one shape whose many rings lie across one another."""
    rng = random.Random(SEED)
    side = [(0.0, 0.0), (0.0, 0.3), (0.3, 0.3), (0.3, 0.0), (0.0, 0.0)]
    corners = [
        (-87.6 + x + dx, 34.2 + y + dy)
        for x, y in ((rng.random() / 2, rng.random() / 2) for _ in range(count))
        for dx, dy in side
    ]
    box = struct.pack(
        "<4d", *(f(axis) for f in (min, max) for axis in zip(*corners, strict=True))
    )
    body = (
        struct.pack("<i", 5) + box + struct.pack("<2i", count, len(corners))
        + struct.pack(f"<{count}i", *range(0, 5 * count, 5))
        + b"".join(struct.pack("<2d", *xy) for xy in corners)
    )  # fmt: skip
    words = len(body) // 2

    def head(size_words: int) -> bytes:
        start = struct.pack(">7i", 9994, 0, 0, 0, 0, 0, size_words)
        return start + struct.pack("<2i", 1000, 5) + box + bytes(32)

    path.write_bytes(head(54 + words) + struct.pack(">2i", 1, words) + body)
    path.with_suffix(".shx").write_bytes(head(54) + struct.pack(">2i", 50, words))
    path.with_suffix(".prj").write_text(
        'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",'
        '6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]'
    )
    return path


def patched(path: Path, suffix: str, at: int, data: bytes, **kw: object) -> None:
    """Write a shapefile with some bytes changed."""
    shapefile(path, **kw)
    file = path.with_suffix(suffix)
    raw_data = bytearray(file.read_bytes())
    raw_data[at : at + len(data)] = data
    file.write_bytes(raw_data)


def zip_of(path: Path, build: Callable[[Path], object], inside: str = "") -> None:
    """Write a zip of what ``build`` makes in a folder."""
    home = path.parent / "parts"
    home.mkdir(exist_ok=True)
    build(home)
    with zipfile.ZipFile(path, "w") as archive:
        for file in sorted(home.rglob("*")):
            if file.is_file():
                archive.write(file, inside + file.relative_to(home).as_posix())
                file.unlink()


def shapefile_cases() -> Iterator[Case]:
    """Shapefiles, bare and zipped: companions missing, headers that lie."""

    def case(name: str, make: Callable[[Path], object], **kw: object) -> Case:
        return Case(name, make, **kw)

    yield case("plain.shp", shapefile, acres=FIELD_AC)
    yield case(
        "UPPER.SHP",
        lambda p: [
            f.rename(f.with_suffix(f.suffix.upper()))
            for f in sorted(shapefile(p.with_name("UPPER.shp")).parent.glob("UPPER.*"))
        ],
        acres=FIELD_AC,
    )
    yield case(
        "rings-galore.shp",
        lambda p: many_rings(p, 100_000),
        heavy=True,
    )
    yield case("survey-feet.shp", lambda p: shapefile(p, epsg=2899), acres=FIELD_AC)
    yield case("no-shx.shp", lambda p: shapefile(p, drop=(".shx",)), says=".shx")
    yield case("no-dbf.shp", lambda p: shapefile(p, drop=(".dbf",)), acres=FIELD_AC)
    yield case(
        "no-prj.shp",
        lambda p: shapefile(p, drop=(".prj",)),
        acres=FIELD_AC,
        says="reference system",
    )
    yield case(
        "no-prj-metres.shp",
        lambda p: shapefile(p, epsg=26916, drop=(".prj",)),
        says="not degrees",
    )
    yield case(
        "prj-garbage.shp",
        lambda p: shapefile(p).with_suffix(".prj").write_text("GEOGCS[nonsense"),
        says="",
    )
    yield case(
        "prj-link.shp", lambda p: shapefile(p).with_suffix(".prj").write_text(URL), says=""
    )
    yield case(
        "prj-says-metres-but-degrees.shp",
        lambda p: [
            shapefile(p),
            shapefile(p.parent / "o" / "o.shp", epsg=26916)
            .with_suffix(".prj")
            .replace(p.with_suffix(".prj")),
        ],
        says="degrees",
    )
    yield case(
        "cpg-odd.shp",
        lambda p: shapefile(p).with_suffix(".cpg").write_text("../../../etc/passwd"),
        read=True,
    )
    yield case("cut-off.shp", lambda p: os.truncate(shapefile(p), 150), says="")
    yield case("head-only.shp", lambda p: os.truncate(shapefile(p), 100), says="")
    yield case("not-one.shp", raw(b"x" * 200), says="not a shapefile")
    yield case("empty.shp", raw(b""), says="is empty")
    yield case(
        "parts-lie.shp",
        lambda p: patched(p, ".shp", 100 + 8 + 36, struct.pack("<i", 2**31 - 1)),
        says="",
    )
    yield case(
        "points-lie.shp",
        lambda p: patched(p, ".shp", 100 + 8 + 40, struct.pack("<i", 2**31 - 1)),
        says="",
    )
    yield case(
        "points-negative.shp",
        lambda p: patched(p, ".shp", 100 + 8 + 40, struct.pack("<i", -5)),
        says="",
    )
    yield case(
        "part-index-lies.shp",
        lambda p: patched(p, ".shp", 100 + 8 + 44, struct.pack("<i", 4000)),
        says="",
    )
    yield case(
        "record-length-lies.shp",
        lambda p: patched(p, ".shp", 104, struct.pack(">i", 2**30)),
        says="",
        read=True,
    )
    yield case(
        "coordinate-nan.shp",
        lambda p: patched(p, ".shp", 100 + 8 + 48, struct.pack("<d", float("nan"))),
        says="",
    )
    yield case(
        "coordinate-huge.shp",
        lambda p: patched(p, ".shp", 100 + 8 + 48, struct.pack("<d", 1e300)),
        says="not degrees",
    )
    yield case(
        "kind-unknown.shp", lambda p: patched(p, ".shp", 32, struct.pack("<i", 99)), says=""
    )
    yield case(
        "dbf-count-lies.shp",
        lambda p: patched(p, ".dbf", 4, struct.pack("<I", 2**31)),
        says="",
        read=True,
    )
    yield case(
        "dbf-head-lies.shp",
        lambda p: patched(p, ".dbf", 8, struct.pack("<H", 65535)),
        says="",
        read=True,
    )
    yield case(
        "dbf-garbage.shp",
        lambda p: shapefile(p).with_suffix(".dbf").write_bytes(b"\xff" * 300),
        says="",
        read=True,
    )
    yield case(
        "shx-garbage.shp",
        lambda p: shapefile(p).with_suffix(".shx").write_bytes(b"\xff" * 300),
        says="",
    )
    yield case(
        "shx-offset-lies.shp",
        lambda p: patched(p, ".shx", 100, struct.pack(">i", 2**30)),
        says="",
    )
    yield case("sq[ua]re*.shp", shapefile, acres=FIELD_AC)
    yield case(
        "plain.zip", lambda p: zip_of(p, lambda h: shapefile(h / "a.shp")), acres=FIELD_AC
    )
    yield case(
        "two.zip",
        lambda p: zip_of(
            p, lambda h: [shapefile(h / "a.shp"), shapefile(h / "b" / "a.shp", [POND])]
        ),
        acres=FIELD_AC + POND_AC,
    )
    yield case(
        "feet-and-metres.zip",
        lambda p: zip_of(
            p,
            lambda h: [
                shapefile(h / "a.shp", epsg=2899),
                shapefile(h / "b.shp", [POND], 26916),
            ],
        ),
        acres=FIELD_AC + POND_AC,
    )
    yield case(
        "kml-and-shapefile.zip",
        lambda p: zip_of(
            p,
            lambda h: [
                shapefile(h / "a.shp"),
                (h / "b.kml").write_text(kml(placemark(words_of(POND)))),
            ],
        ),
        acres=FIELD_AC + POND_AC,
    )
    yield case(
        "kml-only.zip",
        lambda p: zip_of(p, lambda h: (h / "b.kml").write_text(kml(placemark()))),
        acres=FIELD_AC,
    )
    yield case(
        "backslashes.zip",
        lambda p: zip_of(p, lambda h: shapefile(h / "a.shp"), "sub\\"),
        acres=FIELD_AC,
    )
    yield case(
        "no-shx.zip",
        lambda p: zip_of(p, lambda h: shapefile(h / "a.shp", drop=(".shx",))),
        says=".shx",
    )
    yield case(
        "virtual.zip",
        lambda p: zip_of(p, lambda h: (h / "a.vrt").write_text("<OGRVRTDataSource/>")),
        says="no shapefile",
    )
    yield case(
        "virtual-in-disguise.zip",
        lambda p: zip_of(
            p,
            lambda h: (h / "a.shp").write_text(
                f"<OGRVRTDataSource><OGRVRTLayer name='x'><SrcDataSource>/vsicurl/{URL}</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>"
            ),
        ),
        says="not a shapefile",
    )
    mixed = zipped(
        [("a.kml", kml(placemark()).encode()), ("b.gpkg", b"x"), ("c.GPX", b"x")]
    )
    yield case(
        "others-in-it.zip", raw(mixed), acres=FIELD_AC, says="left unread: b.gpkg, c.GPX"
    )
    yield case("traversal.zip", raw(zipped([("../a.shp", b"x")])), says="outside")
    yield case(
        "mac-leftovers.zip",
        lambda p: zip_of(
            p,
            lambda h: [
                shapefile(h / "a.shp"),
                (h / "__MACOSX").mkdir(),
                (h / "__MACOSX" / "._a.shp").write_bytes(b"\x00\x05\x16\x07"),
            ],
        ),
        acres=FIELD_AC,
    )


def geopackage(
    path: Path,
    *statements: str,
    rings: list | None = None,
    epsg: int = 4326,
    drop: bool = True,
) -> None:
    """Write a GeoPackage, then change it by SQL."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        frame(rings or [FIELD], epsg).to_file(path, layer="a", driver="GPKG")
    base = sqlite3.connect(path)
    if drop:
        for (name,) in base.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            base.execute(f'DROP TRIGGER "{name}"')
    base.execute("PRAGMA writable_schema = ON")
    for statement in statements:
        base.execute(statement)
    base.commit()
    base.close()


ENDLESS = "WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) SELECT x AS geom FROM c"
SET_SHAPE = "UPDATE a SET geom = "


def bytes_at(path: Path, at: int, data: bytes) -> None:
    """Change bytes of a GeoPackage."""
    geopackage(path)
    raw_data = bytearray(path.read_bytes())
    raw_data[at : at + len(data)] = data
    path.write_bytes(raw_data)


def geopackage_cases() -> Iterator[Case]:
    """GeoPackage: views, virtual tables, triggers, broken pages, shapes that lie."""

    def case(name: str, *statements: str, **kw: object) -> Case:
        make = kw.pop("make", None) or (lambda p: geopackage(p, *statements))
        return Case(f"{name}.gpkg", make, **kw)

    def shape(hexes: str) -> str:
        return (
            f"{SET_SHAPE} CAST(substr(geom, 1, 3) || x'01E6100000' || x'{hexes}' AS BLOB)"
        )

    def wkb(kind: int, count: int, times: int) -> str:
        return (struct.pack("<BII", 1, kind, count) * times).hex()

    yield case("plain", acres=FIELD_AC)
    yield case("utm", make=lambda p: geopackage(p, epsg=26916), acres=FIELD_AC)
    yield case(
        "two-layers",
        make=lambda p: [
            geopackage(p),
            frame([POND], 26916).to_file(p, layer="b", driver="GPKG"),
        ],
        acres=FIELD_AC + POND_AC,
    )
    yield case(
        "empty-layer",
        make=lambda p: [
            geopackage(p),
            frame([POND]).iloc[:0].to_file(p, layer="b", driver="GPKG"),
        ],
        acres=FIELD_AC,
        says="no features",
    )
    yield case("all-empty", "DELETE FROM a", says="holds no features")
    yield case(
        "view-endless",
        f"CREATE VIEW v AS {ENDLESS}",
        "UPDATE gpkg_contents SET table_name = 'v'",
        "UPDATE gpkg_geometry_columns SET table_name = 'v'",
        says="is a view",
    )
    yield case(
        "view-over-contents",
        "ALTER TABLE gpkg_contents RENAME TO c",
        "CREATE VIEW gpkg_contents AS SELECT * FROM c",
        says="views",
    )
    yield case(
        "view-in-disguise",
        f"CREATE VIEW v AS {ENDLESS}",
        "UPDATE sqlite_master SET type = 'table' WHERE name = 'v'",
        "UPDATE gpkg_contents SET table_name = 'v'",
        "UPDATE gpkg_geometry_columns SET table_name = 'v'",
        says="",
    )
    yield case(
        "virtual-table",
        "CREATE VIRTUAL TABLE t USING rtree(id, a, b)",
        "UPDATE gpkg_contents SET table_name = 't'",
        "UPDATE gpkg_geometry_columns SET table_name = 't', column_name = 'a'",
        says="never run",
    )
    yield case(
        "trigger",
        f"CREATE TRIGGER t AFTER INSERT ON a BEGIN SELECT * FROM ({ENDLESS}); END",
        acres=FIELD_AC,
    )
    yield case(
        "extension",
        "CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT, column_name TEXT, extension_name TEXT, definition TEXT, scope TEXT)",
        f"INSERT INTO gpkg_extensions VALUES ('a', 'geom', 'evil', '{URL}', 'read-write')",
        acres=FIELD_AC,
    )
    yield case(
        "generated",
        "CREATE TABLE g (fid INTEGER, name TEXT GENERATED ALWAYS AS (hex(zeroblob(100000000))) VIRTUAL, geom BLOB)",
        "INSERT INTO g (fid, geom) SELECT 1, geom FROM a",
        "UPDATE gpkg_contents SET table_name = 'g'",
        "UPDATE gpkg_geometry_columns SET table_name = 'g'",
        says="",
        read=True,
    )
    yield case(
        "no-such-table", "UPDATE gpkg_contents SET table_name = 'gone'", says="not in it"
    )
    yield case(
        "no-such-column",
        "UPDATE gpkg_geometry_columns SET column_name = 'gone'",
        says="no column",
    )
    yield case("no-contents", "DROP TABLE gpkg_contents", says="gpkg_contents")
    yield case("no-systems", "DROP TABLE gpkg_spatial_ref_sys", says="gpkg_spatial_ref_sys")
    yield case(
        "system-missing",
        "UPDATE gpkg_geometry_columns SET srs_id = 424242",
        says="reference system",
    )
    yield case(
        "system-undefined",
        "UPDATE gpkg_geometry_columns SET srs_id = -1",
        says="reference system",
    )
    yield case(
        "system-unknown",
        "UPDATE gpkg_geometry_columns SET srs_id = 0",
        acres=FIELD_AC,
        says="reference system",
    )
    yield case("system-text", "UPDATE gpkg_geometry_columns SET srs_id = 'x'", says="")
    yield case(
        "system-url",
        f"UPDATE gpkg_spatial_ref_sys SET organization = 'NONE', definition = '{URL}'",
        says="not known",
    )
    yield case(
        "system-says-metres-but-degrees",
        "INSERT OR REPLACE INTO gpkg_spatial_ref_sys (srs_name, srs_id, organization, organization_coordsys_id, definition) VALUES ('u', 26916, 'EPSG', 26916, 'x')",
        "UPDATE gpkg_geometry_columns SET srs_id = 26916",
        says="degrees",
    )
    yield case("shape-null", f"{SET_SHAPE} NULL", says="no polygon")
    yield case("shape-text", f"{SET_SHAPE} 'POLYGON'", says="not in the GeoPackage form")
    yield case("shape-number", f"{SET_SHAPE} 7", says="not in the GeoPackage form")
    yield case("shape-cut", f"{SET_SHAPE} substr(geom, 1, 70)", says="feature 1")
    yield case("shape-head-only", f"{SET_SHAPE} substr(geom, 1, 8)", says="feature 1")
    yield case("shape-envelope", f"{SET_SHAPE} x'4750000F00000000'", says="header")
    yield case("shape-curve", shape("010A00000000000000"), says="curves")
    yield case("shape-rings-lie", shape("0103000000FFFFFFFF"), says="feature 1")
    yield case("shape-points-lie", shape("010300000001000000FFFFFFFF"), says="feature 1")
    yield case("shape-nest", shape(wkb(7, 1, 100_000)), says="nests")
    yield case("shape-nest-wide", shape(wkb(7, 2, 100_000)), says="nests")
    yield case("shape-nest-multi", shape(wkb(6, 2, 100_000)), says="nests")
    yield case("shape-part-wrong", shape(wkb(6, 1, 3)), says="wrong type")

    def beside(ending: str, data: bytes) -> Callable[[Path], object]:
        return lambda p: [geopackage(p), p.with_name(p.name + ending).write_bytes(data)]

    journal = bytes.fromhex("d9d505f920a163d7") + b"\0" * 504
    yield case("half-changed", make=beside("-journal", journal), says="not in it yet")
    yield case("journal-blanked", make=beside("-journal", b"\0" * 512), acres=FIELD_AC)
    yield case("changes-beside", make=beside("-wal", b"x" * 32), says="not in it yet")
    yield case("page-damaged", make=lambda p: bytes_at(p, 4096, b"\xff" * 2000), says="")
    yield case("page-size-lies", make=lambda p: bytes_at(p, 16, b"\x00\x03"), says="")
    yield case("head-only", make=raw(b"SQLite format 3\x00"), says="not a sound")
    yield case(
        "plain-sqlite",
        make=lambda p: (
            sqlite3.connect(p).executescript("CREATE TABLE a (b);").connection.close()
        ),
        says="gpkg_contents",
    )
    yield case("cut-off", make=lambda p: [geopackage(p), os.truncate(p, 5000)], says="")
    yield case("paper", make=raw(b"%PDF-1.4 " + b"x" * 200), says="not a GeoPackage")
    yield Case(
        "g" * 250 + ".gpkg",
        lambda p: [geopackage(short := p.with_name("short.gpkg")), short.rename(p)],
        acres=FIELD_AC,
    )
    yield case(
        "log-beside",
        make=lambda p: [
            geopackage(p),
            p.with_name(p.name + "-wal").write_bytes(b"x" * 100),
        ],
        says="not in it yet",
    )
    yield case(
        "schema-garbage",
        "UPDATE sqlite_master SET sql = 'CREATE TABLE a (((' WHERE name = 'a'",
        says="",
    )
    yield case(
        "table-name-quotes",
        'ALTER TABLE a RENAME TO "a"" ; DROP TABLE x; --"',
        "UPDATE gpkg_contents SET table_name = 'a\" ; DROP TABLE x; --'",
        "UPDATE gpkg_geometry_columns SET table_name = 'a\" ; DROP TABLE x; --'",
        acres=FIELD_AC,
    )


def table_cases() -> Iterator[Case]:
    """CSV: separators, decimals, columns, well-known text."""
    plain = "lon,lat,name\n" + "".join(f"{x},{y},Field\n" for x, y in FIELD)
    wkt = shapely.Polygon(FIELD).wkt

    def case(name: str, make: Callable[[Path], object] | str, **kw: object) -> Case:
        return Case(f"{name}.csv", text(make) if isinstance(make, str) else make, **kw)

    yield case("plain", plain, acres=FIELD_AC)
    yield case("semicolons", plain.replace(",", ";"), acres=FIELD_AC)
    yield case("tabs", plain.replace(",", "\t"), acres=FIELD_AC)
    yield case("mark", text(plain, "utf-8-sig"), acres=FIELD_AC)
    yield case("utf16", text(plain, "utf-16"), acres=FIELD_AC)
    yield case("crlf", plain.replace("\n", "\r\n"), acres=FIELD_AC)
    yield case("old-line-ends", plain.replace("\n", "\r"), acres=FIELD_AC)
    yield case("quoted", plain.replace("Field", '"Fi""eld, the"'), acres=FIELD_AC)
    yield case("blank-rows", plain.replace("\n", "\n\n,,\n"), acres=FIELD_AC)
    yield case(
        "two-rings",
        plain + "".join(f"{x},{y},Pond\n" for x, y in POND),
        acres=FIELD_AC + POND_AC,
    )
    yield case("decimal-comma", "lon;lat\n-87,6;34,2\n", says="decimal comma")
    yield case(
        "decimal-comma-bare", "lon,lat\n-87,6,34,2\n-87,5,34,2\n-87,5,34,3\n", says="column"
    )
    yield case("degrees-minutes", "lon,lat\n87°36'W,34°12'N\n", says="not a number")
    yield case("nan", plain.replace("34.202", "nan", 1), says="not a number")
    yield case("infinity", plain.replace("34.202", "inf", 1), says="not a number")
    yield case("underscore", plain.replace("34.202", "3_4.2", 1), says="not a number")
    yield case(
        "short-row", plain.replace("-87.598,34.202,Field", "-87.598", 1), says="line 4"
    )
    yield case(
        "swapped",
        "lon,lat\n" + "".join(f"{y},{x}\n" for x, y in FIELD),
        says="swapped",
        read=True,
    )
    yield case(
        "metres",
        "x,y\n" + "".join(f"{x},{y}\n" for x, y in moved(FIELD, 26916)),
        says="not degrees",
    )
    yield case("sep-line", "sep=;\n" + plain.replace(",", ";"), acres=FIELD_AC)
    yield case("form-feed", plain.replace("Field", "a\x0cb\u2028c\x85d"), acres=FIELD_AC)

    def rows(heads: str, rings: dict[str, list[list[float]]]) -> str:
        lines = [
            words.format(x=x, y=y, i=i)
            for words, ring in rings.items()
            for i, (x, y) in enumerate(ring[:-1])
        ]
        return "\n".join([heads, *lines]) + "\n"

    both = FIELD_AC + POND_AC
    yield case(
        "names-blank-plots-named",
        rows("name,plot,lon,lat", {",A,{x},{y}": FIELD, ",B,{x},{y}": POND}),
        acres=both,
    )
    yield case(
        "rings-by-number",
        rows("id,lon,lat", {"1,{x},{y}": FIELD, "2,{x},{y}": POND}),
        acres=both,
    )
    yield case(
        "parts-by-number",
        rows(
            "name,vertex_part,vertex_index,lon,lat",
            {"A,0,{i},{x},{y}": FIELD, "A,1,{i},{x},{y}": POND},
        ),
        acres=both,
    )
    yield case(
        "vertices-by-number", rows("id,lon,lat", {"{i},{x},{y}": FIELD}), acres=FIELD_AC
    )
    crossed = [FIELD[0], FIELD[2], FIELD[1], FIELD[3], FIELD[0]]
    mixed = rows("order,lon,lat", {"{i},{x},{y}": crossed}).splitlines()
    mixed[2] = mixed[2].replace("1,", "2,", 1)
    mixed[3] = mixed[3].replace("2,", "1,", 1)
    yield case("rows-out-of-order", "\n".join(mixed) + "\n", says="not in the order")
    yield case("no-columns", "a,b\n1,2\n", says="no longitude")
    yield case("heads-only", "lon,lat\n", says="")
    yield case("heads-twice", "lon,lat,lon\n1,2,3\n", says="twice")
    yield case("two-points", "lon,lat\n1,2\n1.1,2\n1,2\n", says="fewer than three")
    yield case("field-long", plain.replace("Field", "x" * 200_000, 1), says="")
    yield case("quote-open", plain.replace("Field", '"Field', 1), says="", read=True)
    yield case("zero-byte", plain.replace("Field", "a\x00b", 1), says="zero bytes")
    yield case("latin1", text(plain.replace("Field", "pré"), "latin-1"), says="not text")
    yield case("formula", plain.replace("Field", "=1+1"), acres=FIELD_AC)
    yield case("wkt", f'name,wkt\nField,"{wkt}"\n', acres=FIELD_AC)
    yield case(
        "wkt-bare", wkt + "\n" + shapely.Polygon(POND).wkt + "\n", acres=FIELD_AC + POND_AC
    )
    yield case("wkt-srid", f'wkt\n"SRID=4326;{wkt}"\n', acres=FIELD_AC)
    yield case("wkt-srid-other", f'wkt\n"SRID=3857;{wkt}"\n', says="SRID=3857")
    yield case("wkt-garbage", "wkt\nPOLYGON((\n", says="not well-known text")
    yield case("wkt-empty", "wkt\nPOLYGON EMPTY\n", says="no polygon")
    yield case("wkt-nan", f'wkt\n"{wkt.replace("34.202", "nan")}"\n', says="not a number")
    yield case("wkt-open", 'wkt\n"POLYGON((0 0, 1 0, 1 1))"\n', says="not well-known text")
    yield case(
        "wkt-curve",
        'wkt\n"CURVEPOLYGON(CIRCULARSTRING(0 0,1 1,2 0,1 -1,0 0))"\n',
        says="not well-known text",
    )
    yield case("wkt-nest", "wkt\n" + "GEOMETRYCOLLECTION(" * 20_000 + "\n", says="")
    yield case("wkt-nest-bare", "GEOMETRYCOLLECTION(" * 300_000, says="nests")
    yield case(
        "wkt-triangle",
        'wkt\n"TRIANGLE((0 0, 1 0, 1 1, 0 0))"\n',
        says="not well-known text",
    )
    yield case("empty", raw(b""), says="is empty")
    yield case("blank", "\n\n\n", says="")


def path_cases() -> Iterator[Case]:
    """Names and things that are not files."""
    plain = text(collection(feature()))
    yield Case("missing.geojson", lambda p: None, says="not there")
    yield Case("folder.geojson", lambda p: p.mkdir(), says="is a folder")
    yield Case("pipe.geojson", os.mkfifo, says="not a plain file")
    yield Case(
        "endless.geojson", lambda p: p.symlink_to("/dev/zero"), says="not a plain file"
    )
    yield Case("loop.geojson", lambda p: p.symlink_to(p), says="")
    yield Case(
        "link.geojson",
        lambda p: [plain(p.with_name("real.geojson")), p.symlink_to("real.geojson")],
        acres=FIELD_AC,
    )
    yield Case("no-extension", plain, says="ending in")
    yield Case("old.dxf", plain, says="ending in")
    yield Case("map.vrt", plain, says="ending in")
    yield Case("UPPER.GEOJSON", plain, acres=FIELD_AC)
    yield Case("sp ace & 'quote'.geojson", plain, acres=FIELD_AC)
    yield Case("grün-畑-🌾.geojson", plain, acres=FIELD_AC)
    yield Case("new\nline\x1b[31m.geojson", raw(b""), says="is empty", names="new\\nline")
    yield Case(
        os.fsdecode(b"not-utf8-\xff.geojson"), raw(b""), says="is empty", names="not-utf8-"
    )
    yield Case("n" * 240 + ".geojson", plain, acres=FIELD_AC)
    yield Case("n" * 300 + ".geojson", lambda p: None, says="")
    yield Case("-dash.geojson", plain, acres=FIELD_AC)
    yield Case("other.kml", plain, says="or a damaged one")
    yield Case("other.gpkg", plain, says="not a GeoPackage")
    yield Case("other.shp", plain, says="not a shapefile")
    yield Case("other.zip", plain, says="zip")
    yield Case("other.gpx", plain, says="or a damaged one")


TOML = '[property]\nname = "Invented"\n{top}\n[[area]]\nname = "{name}"\nkind = "plot"\nfrom = "{file}"\n{more}\n'


def folder(
    top: str = "",
    name: str = "Field",
    file: str = "a.geojson",
    more: str = "",
    encoding: str = "utf-8",
    **files: str,
) -> Callable[[Path], object]:
    """Return a maker of a property folder."""

    def make(path: Path) -> None:
        path.mkdir()
        words = TOML.format(top=top, name=name, file=file, more=more)
        (path / "property.toml").write_bytes(words.encode(encoding))
        (path / "a.geojson").write_text(collection(feature(name="Field")))
        for key, words in files.items():
            (path / key.replace("_", ".")).write_text(words)

    return make


BUILD = ("build", "--json", "--today", "2027-01-02")


def property_cases() -> Iterator[Case]:
    """Whole property folders."""

    def case(name: str, make: Callable[[Path], object], **kw: object) -> Case:
        return Case(f"property-{name}", make, command=BUILD, **kw)

    yield case("plain", folder(), acres=FIELD_AC)
    yield case("mark", folder(encoding="utf-8-sig"), acres=FIELD_AC)
    yield case("utf16", folder(encoding="utf-16"), acres=FIELD_AC)
    yield case(
        "latin1",
        folder(name="pré", encoding="latin-1"),
        says="property.toml",
        names="property.toml",
    )
    yield case("broken", folder(top="x = ["), says="property.toml", names="property.toml")
    yield case(
        "deep",
        folder(top="x = " + "[" * 5000 + "]" * 5000),
        says="property.toml",
        names="property.toml",
    )
    yield case(
        "deep-keys",
        folder(top="x = " + "{a=" * 3000 + "1" + "}" * 3000),
        says="property.toml",
        names="property.toml",
    )
    yield case(
        "digits",
        folder(top="x = " + "9" * 9000),
        says="property.toml",
        names="property.toml",
    )
    yield case(
        "dotted-keys",
        folder(top=".".join("a" * 3000) + " = 1"),
        says="property.toml",
        names="property.toml",
    )
    yield case(
        "nan",
        folder(top="[equipment]\nmower_width_ft = nan"),
        says="mower_width_ft",
        names="property.toml",
    )
    yield case(
        "infinity",
        folder(top="[equipment]\nmower_width_ft = inf"),
        says="mower_width_ft",
        names="property.toml",
    )
    yield case("key-unknown", folder(top="acers = 3"), says="acers", names="property.toml")
    yield case("absolute-path", folder(file="/etc/passwd"), says="", names="passwd")
    yield case("path-outside", folder(file="../a.geojson"), says="", names="a.geojson")
    yield case(
        "path-virtual",
        folder(file="/vsicurl/" + URL + "/a.geojson"),
        says="",
        names="vsicurl",
    )
    yield case("path-link", folder(file=URL + "/a.geojson"), says="", names="bait")
    yield case(
        "name-template",
        folder(name="{{7*7}}{% for x in y %}${1}`<script>alert(1)</script>"),
        acres=FIELD_AC,
    )
    yield case("name-formula", folder(name="=HYPERLINK(1)"), acres=FIELD_AC)
    yield case("name-path", folder(name="../../CON: aux\\\\*?|<>"), acres=FIELD_AC)
    yield case(
        "name-controls", folder(name="a\\u0000b\\u001b[31m\\u202e\\ufffe"), acres=FIELD_AC
    )
    yield case("name-long", folder(name="x" * 20_000), acres=FIELD_AC)
    yield case(
        "names-same",
        folder(more='[[area]]\nname = "Field"\nkind = "plot"\nfrom = "a.geojson"'),
        says="Field",
        names="property.toml",
    )
    far = collection(feature([[[x + 180, y] for x, y in FIELD]], name="Far"))
    yield case(
        "other-side",
        folder(
            more='[[area]]\nname = "Far"\nkind = "plot"\nfrom = "b.geojson"\n[[area]]\nname = "Near"\nkind = "water"\nfrom = "c.geojson"',
            b_geojson=far,
            c_geojson=collection(feature([POND], name="Near")),
        ),
        acres=2 * FIELD_AC + POND_AC,
        says="from the rest of the property",
    )
    yield case(
        "log-garbage", folder(log_csv="date,area\n?,\n"), says="log.csv", names="log.csv"
    )
    yield case(
        "log-deep-date",
        folder(log_csv="date,area,task\n99999-01-01,a,b\n"),
        acres=FIELD_AC,
        says="line 2: “99999-01-01” is not a date",
    )
    yield case(
        "file-name-long", folder(file="0" * 330 + ".geojson"), says="not there",
        names="property.toml",
    )  # fmt: skip
    yield case(
        "picture-name-long", folder(more=f'[map]\npicture = "{"p" * 400}.png"'),
        says="not there", names="property.toml",
    )  # fmt: skip
    twins = collection(feature(name="North"), feature([POND], name="north"))
    more = '[[area]]\nname = "{}"\nkind = "water"\nfrom = "b.geojson"\nfeature = "north"\n'
    yield case(
        "features-differ-by-a-capital",
        folder(name="North", file="b.geojson", more=more.format("Pond"), b_geojson=twins),
        acres=FIELD_AC + POND_AC,
    )
    for key, name in (("a-capital", "NORTH"), ("spaces", " North "), ("width", "Ｎorth")):
        yield case(
            f"names-differ-by-{key}",
            folder(name="North", file="b.geojson", more=more.format(name), b_geojson=twins),
            says="is the name of area[1] too", names="property.toml",
        )  # fmt: skip
    accent = collection(feature(name="Pr\u00e9"), feature([POND], name="x"))
    yield case(
        "accent-in-two-signs",
        folder(name="Pre\u0301", file="b.geojson", b_geojson=accent),
        acres=FIELD_AC,
    )
    vine = '[[area]]\nname = "V"\nkind = "patch"\nvine = "kudzu"\nfrom = "a.geojson"\n'
    vine += 'surveyed = {}\nprevious = {{ from = "{}", on = 2026-01-01 }}'
    yield case(
        "surveys-turned-round",
        folder(name="F", more=vine.format("2025-01-01", "a.geojson")),
        says="is not before surveyed", names="surveys",
    )  # fmt: skip
    yield case(
        "survey-of-another-patch",
        folder(name="F", more=vine.format("2027-01-01", "b.geojson"), b_geojson=far),
        says="share no ground", names="area “V”",
    )  # fmt: skip
    yield case(
        "recording-twice",
        folder(
            file="b.gpx", b_gpx=gpx(walked()), c_gpx=gpx(walked()),
            more='[[area]]\nname = "W"\nkind = "plot"\nfrom = ["b.gpx", "c.gpx"]',
        ),
        says="the same recording as b.gpx", names="c.gpx",
    )  # fmt: skip
    yield case(
        "listed-twice",
        folder(more='[[area]]\nname = "W"\nkind = "plot"\nfrom = ["a.geojson", "./a.geojson"]'),
        says="area[2].from: names a file twice", names="property.toml",
    )  # fmt: skip
    yield case(
        "edge-moved-far",
        folder(file="b.gpx", b_gpx=gpx(walked()), more="walked_inside_ft = 300"),
        acres=36.7255, says="check walked_inside_ft",
    )  # fmt: skip
    yield case("name-blank", folder(name="   "), says="is blank", names="property.toml")
    for key, words in (
        ("seconds", "0"), ("seconds-in-words", '"1790380800"'), ("time", "2027-09-26T00:00:00"),
        ("year-9999", '"9999-09-26"'), ("us", '"09/26/2027"'),
    ):  # fmt: skip
        yield case(
            f"date-{key}", folder(more=f"plant = {words}"), says="area[1].plant",
            names="property.toml",
        )  # fmt: skip
    for key, words in (("huge", "1e308"), ("whole", "9" * 400), ("tiny", "1e-300")):
        yield case(
            f"number-{key}", folder(top=f"[equipment]\nmower_width_ft = {words}"),
            says="not a number to reckon with", names="property.toml",
        )  # fmt: skip
    yield case(
        "log-no-heads", folder(log_csv="2027-01-01,Field,clip\n"), says="no column date",
        names="log.csv",
    )  # fmt: skip
    yield case(
        "log-semicolons-and-blanks",
        folder(log_csv="Date;Area;Task\n;;\n2027-01-01;Feild;clip\n"),
        acres=FIELD_AC,
        says="“Feild” is no area",
    )
    yield case(
        "log-future", folder(log_csv="date,area,task\n2028-01-01,Field,clip\n"),
        acres=FIELD_AC, says="still to come",
    )  # fmt: skip
    yield case(
        "log-year-27", folder(log_csv="date,area,task\n0027-01-01,Field,clip\n"),
        acres=FIELD_AC, says="check its year",
    )  # fmt: skip
    yield case(
        "tape-decimal-comma",
        folder(
            transects_csv="patch,transect,from,to,advance_ft,cut\nA,1,2026-06-01,2026-07-01,12,5\n"
        ),
        says="cut is “5”",
        names="transects.csv",
    )
    weather = '[weather]\nfrom = "r.csv"'
    rain = "".join(
        f"{2001 + n // 336}-{n // 28 % 12 + 1:02}-{n % 28 + 1:02},5\n" for n in range(400)
    )
    for key, words, says in (
        ("year-2999", "date,inches\n2999-01-01,1\n", "check its year"),
        ("millimeters", f"date,inches\n{rain}", "millimeters"),
        ("low-above-high", "date,low_f,high_f\n2020-01-01,60,30\n", "above its high"),
    ):
        yield case(
            f"weather-{key}", folder(more=weather, r_csv=words), says=says, names="r.csv"
        )
    yield case("no-file", folder(file="gone.geojson"), says="gone", names="property.toml")
    yield case(
        "nothing", lambda p: p.mkdir(), says="property.toml", names="property-nothing"
    )


def cases() -> list[Case]:
    """Return every case; names are one of a kind."""
    made = [
        case
        for group in (
            geojson_cases, gpx_cases, kml_cases, kmz_cases, shapefile_cases,
            geopackage_cases, table_cases, path_cases, property_cases,
        )
        for case in group()
    ]  # fmt: skip
    names = [case.name for case in made]
    assert len(set(names)) == len(names), sorted({n for n in names if names.count(n) > 1})
    return made
