"""What the page is told while a person draws: the form of each answer, as its scripts read it.

Polygons are lists of rings of longitude and latitude. [deg]
"""

from __future__ import annotations

from typing import TypedDict

from quietacre.drawing.sheet import Lonlat

Polygons = list[list[list[Lonlat]]]


class FixAside(TypedDict):
    """A fix of a walk that was set aside, and why. [deg]"""

    lon: float
    lat: float
    cause: str


class WalkTold(TypedDict):
    """The fixes of a walk: those kept, those set aside, and how good one is, 95 %. [deg, ft]"""

    kept: list[list[float]]
    aside: list[FixAside]
    pm_ft: float


#: An area's edge, its acres, the files it is measured by, what is known of it ("deed", "legs",
#: "pins"), and the sum that tells a change of it. [ac, ft]
EdgeTold = TypedDict(
    "EdgeTold",
    {
        "area": str,
        "kind": str,
        "polygons": Polygons,
        "acres": float,
        "acres_low": float,
        "acres_high": float,
        "method": str,
        "drawn": bool,
        "edge_pm_ft": float | None,
        "from": list[str],
        "over": list[str],
        "was": str,
        "known": str | None,
        "walk": WalkTold | None,
    },
)


class AreaBeside(TypedDict):
    """Another area: the feet between, rounded up, and whether the two can be joined."""

    name: str
    ft: int
    joins: bool


class BesideTold(TypedDict):
    """The other areas about a piece, the nearest edge first."""

    beside: list[AreaBeside]


class PieceMade(TypedDict):
    """A piece that an operation made. [ac]"""

    polygons: Polygons
    acres: float


class ShapeTold(TypedDict):
    """What an operation makes of a piece: acres before, after, and moved. [ac]"""

    pieces: list[PieceMade]
    before_ac: float
    after_ac: float
    moved_ac: float
    said: list[str]


class StripDrawn(TypedDict):
    """A strip or break round an edge that is drawn, and the areas it goes round. [ft, ac]"""

    name: str
    width_ft: float
    acres: float
    of: list[str]
    polygons: Polygons


class StripTold(TypedDict):
    """What keeping an edge would give: its acres with their ±, and the strips round it."""

    acres: float
    acres_low: float
    acres_high: float
    edge_pm_ft: float | None
    strips: list[StripDrawn]
    took_ms: int
