"""What the page sends to be kept, as the files that the commands take; and rates of the last build."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre.desk.last_build import last_build
from quietacre.desk.screen import drawn_pm_ft
from quietacre.drawing.sheet import polygons_of
from quietacre.errors import BadInput
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from pathlib import Path

Said = dict[str, Any]
#: So many pieces are kept at once.
MOST_PIECES = 200
#: What of a piece goes into its feature's properties as it is.
WORDS = ("area", "name", "kind", "like", "was")


def edges_file(folder: Path, asked: Said) -> Said:
    """Return the GeoJSON that ``quietacre edge keep`` takes, of what the page sends."""
    pieces = asked.get("pieces")
    if not isinstance(pieces, list) or len(pieces) > MOST_PIECES:
        raise BadInput("there is no list of pieces", fix="draw a piece first")
    out = [str(name) for name in asked.get("out") or ()]
    if not pieces and not out:
        raise BadInput("there is nothing to keep", fix="draw a piece first")
    return {
        "type": "FeatureCollection",
        "label": str(asked.get("label") or "")[:200] or None,
        "out": out,
        "features": [_feature(folder, piece) for piece in pieces],
    }


def _feature(folder: Path, piece: Any) -> Said:  # noqa: ANN401 - any JSON
    if not isinstance(piece, dict):
        raise BadInput("a piece is none", fix="draw it again")
    what = str(piece.get("area") or piece.get("name") or "the piece")
    polygons_of(piece.get("polygons"), what)
    properties = {key: str(piece[key]) for key in WORDS if piece.get(key)}
    pm_ft = drawn_pm_ft(folder, piece)
    return {
        "type": "Feature",
        "properties": properties if pm_ft is None else {**properties, "hand_pm_ft": pm_ft},
        "geometry": {
            "type": "MultiPolygon",
            "coordinates": [
                [[*ring, ring[0]] if ring[0] != ring[-1] else ring for ring in polygon]
                for polygon in piece["polygons"]
            ],
        },
    }


def rates(folder: Path, _said: Said) -> Said:
    """Return what goes on each area by the acre, as the last build has it. [lb/ac]"""
    last = last_build(folder)
    try:
        areas = {a["name"]: _rates_of(a) for a in last.report["areas"]} if last else {}
    except (ValueError, KeyError, TypeError):
        last, areas = None, {}
    return {"areas": areas, "old": last is None or last.old}


def _rates_of(area: Said) -> list[Said]:
    need, acres = area.get("need") or {}, float(area["acres"])
    rates = [
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
