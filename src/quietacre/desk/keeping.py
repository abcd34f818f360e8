"""What the page sends to be kept, as the files that the commands take; and rates of the last build."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypedDict

from quietacre.desk.asked import Asked, listed
from quietacre.desk.last_build import last_build
from quietacre.desk.screen import drawn_pm_ft
from quietacre.drawing.sheet import polygons_of
from quietacre.errors import BadInput
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.report_json.report import AreaReportJson

#: So many pieces are kept at once.
MOST_PIECES = 200
#: What of a piece goes into its feature's properties as it is.
WORDS = ("area", "name", "kind", "like", "was")


class Polygons(TypedDict):
    """Polygons as a geometry of GeoJSON. [deg]"""

    type: Literal["MultiPolygon"]
    coordinates: list[list[list[list[float]]]]


class EdgeFeature(TypedDict):
    """A piece as a feature of GeoJSON; its properties are `WORDS`, and ``hand_pm_ft``."""

    type: Literal["Feature"]
    properties: dict[str, str | float]
    geometry: Polygons


class EdgesFile(TypedDict):
    """The GeoJSON that ``quietacre edge keep`` takes: pieces to keep, names of those to take out."""

    type: Literal["FeatureCollection"]
    label: str | None
    out: list[str]
    features: list[EdgeFeature]


#: What of a thing goes on an area by the acre: "seed", "fertilizer" or "lime". [lb/ac]
RateTold = TypedDict("RateTold", {"what": str, "for": str, "lb_ac": float, "unit": str})


class RatesTold(TypedDict):
    """Rates of the last build by the name of the area; ``old`` when files changed since."""

    areas: dict[str, list[RateTold]]
    old: bool


def edges_file(folder: Path, asked: Asked) -> EdgesFile:
    """Return the GeoJSON that ``quietacre edge keep`` takes, of what the page sends."""
    pieces = asked.get("pieces")
    if not isinstance(pieces, list) or len(pieces) > MOST_PIECES:
        raise BadInput("there is no list of pieces", fix="draw a piece first")
    out = [str(name) for name in listed(asked.get("out"))]
    if not pieces and not out:
        raise BadInput("there is nothing to keep", fix="draw a piece first")
    return {
        "type": "FeatureCollection",
        "label": str(asked.get("label") or "")[:200] or None,
        "out": out,
        "features": [_feature(folder, piece) for piece in pieces],
    }


def _feature(folder: Path, piece: object) -> EdgeFeature:
    if not isinstance(piece, dict):
        raise BadInput("a piece is none", fix="draw it again")
    what = str(piece.get("area") or piece.get("name") or "the piece")
    polygons_of(piece.get("polygons"), what)
    properties: dict[str, str | float] = {
        key: str(piece[key]) for key in WORDS if piece.get(key)
    }
    pm_ft = drawn_pm_ft(folder, piece)
    if pm_ft is not None:
        properties["hand_pm_ft"] = pm_ft
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {
            "type": "MultiPolygon",
            "coordinates": [
                [[*ring, ring[0]] if ring[0] != ring[-1] else ring for ring in polygon]
                for polygon in piece["polygons"]
            ],
        },
    }


def rates(folder: Path, _asked: Asked) -> RatesTold:
    """Return what goes on each area by the acre, as the last build has it. [lb/ac]"""
    last = last_build(folder)
    try:
        areas = {a["name"]: _rates_of(a) for a in last.report["areas"]} if last else {}
    except (ValueError, KeyError, TypeError):
        last, areas = None, {}
    return {"areas": areas, "old": last is None or last.old}


def _rates_of(area: AreaReportJson) -> list[RateTold]:
    need, acres = area.get("need"), float(area["acres"])
    if not need:
        return []
    rates: list[RateTold] = [
        {"what": row["crop"], "for": "seed", "lb_ac": row["bulk_lb_ac"], "unit": "lb"}
        for row in need.get("seed") or ()
    ]
    rates += [
        {"what": row["grade"], "for": "fertilizer", "lb_ac": row["lb_ac"], "unit": "lb"}
        for row in need.get("fertilizer") or ()
    ]
    lime = need.get("lime")
    if lime and lime.get("ton") and acres > 0:
        pounds = lime["ton"] * SHORT_TON_LB / acres
        rates.append({"what": "lime", "for": "lime", "lb_ac": pounds, "unit": "lb"})
    return rates
