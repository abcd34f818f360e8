"""The sample's walks as GPX and its drawings as GeoJSON, each of which says it is invented."""

from __future__ import annotations

import datetime as dt
import json
from typing import TYPE_CHECKING

from quietacre.demo.ground import lonlat

if TYPE_CHECKING:
    from quietacre.demo.ground import Ring

INVENTED = "Invented sample data: no such place, owner or walk."


def gpx(
    name: str, fixes: Ring, started: dt.datetime, every_s: int, waypoints: str = ""
) -> str:
    """Return a walk as GPX, a fix every so many seconds, and waypoints given as GPX."""
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
        lon, lat = lonlat(x, y)
        at = (started + dt.timedelta(seconds=number * every_s)).strftime(
            "%Y-%m-%dT%H:%M:%SZ"
        )
        lines.append(
            f'    <trkpt lat="{lat:.7f}" lon="{lon:.7f}"><time>{at}</time></trkpt>'
        )
    lines.append("  </trkseg></trk>\n</gpx>\n")
    return "\n".join(lines)


def geojson(features: list[tuple[str, str, Ring]]) -> str:
    """Return drawn rings as GeoJSON: name, kind and ring of each, in feet from the middle."""
    return geojson_of(
        [(name, kind, [lonlat(x, y) for x, y in ring]) for name, kind, ring in features]
    )


def geojson_of(features: list[tuple[str, str, Ring]]) -> str:
    """Return drawn rings as GeoJSON: name, kind and ring of each, in longitude, latitude."""
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


def _closed(ring: Ring) -> list[list[float]]:
    return [[round(v, 7) for v in place] for place in [*ring, ring[0]]]
