"""What a walk, or several of one edge, says of a boundary: its ring, its acres and their ±."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from quietacre.boundary import error
from quietacre.boundary.why import total_sd_m2
from quietacre.figures import printed
from quietacre.model import Note
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import numpy as np
    import shapely
    from geopandas import GeoDataFrame
    from numpy.typing import NDArray

    from quietacre.boundary.differ import OtherReading
    from quietacre.boundary.plane import Plane
    from quietacre.boundary.why import Term

    FloatArray = NDArray[np.float64]

#: A half-width above this share of the acres, in percent, is warned of.
WIDE_PCT = 15.0
#: From this half-width on, a bag in twenty, another lap is advised.
WORTH_A_LAP_PCT = 5.0
#: A lap that leaves more than this part of the ± is not advised.
LEAST_GAIN = 0.95
#: What makes a walked acreage known better, the least work first.
KNOWN_BETTER = (
    "walk the edge again, best the other way round and on another day, and use both walks "
    "together",
    "set a pin at each corner, or tape the sides, and use those instead",
    "take the calls of a deed, or of a survey's plat",
)


class Interval(NamedTuple):
    """An acreage and its 95 % interval, named as in ``Walk``."""

    acres: float
    acres_low: float
    acres_high: float
    half_width_pct: float


def interval_of(area: float, sd_m2: float) -> Interval:
    """Return the interval of an area and its standard deviation. [m²]"""
    half = error.T_95 * sd_m2
    return Interval(
        acres=area / ACRE_M2,
        acres_low=max(area - half, 0.0) / ACRE_M2,
        acres_high=(area + half) / ACRE_M2,
        half_width_pct=100.0 * half / area,
    )


@dataclass(frozen=True)
class Reading:
    """How a walk was read: laps, fixes left out by cause, how far a fix strays [m], advice.

    ``why`` is what its ± is made of.
    """

    laps: float
    removed: Mapping[str, int]
    sigma_m: float
    advice: tuple[str, ...]
    method: str
    why: tuple[Term, ...] = ()


@dataclass(frozen=True)
class Walk:
    """A boundary read from a walk.

    ``polygon`` and ``band`` (the 95 % band of the edge) are in longitude, latitude;
    acres are international; ``sigma_m`` is how far a fix strays, per axis;
    ``removed`` counts fixes left out by cause; ``kept_*`` and ``removed_*`` are the
    fixes themselves [deg], ``removed_cause`` their causes; ``terms`` are what its ± is made
    of; ``sky`` is the person's hint, ``blocked`` how far the sky was blocked, 0 to 1;
    ``readings`` are the readings of the edge that were taken together, where they were two.
    """

    polygon: shapely.Geometry
    acres: float
    acres_low: float
    acres_high: float
    half_width_pct: float
    method: str
    laps: float
    removed: Mapping[str, int]
    sigma_m: float
    advice: tuple[str, ...]
    notes: tuple[Note, ...]
    band: shapely.Geometry | None
    kept_lon: FloatArray
    kept_lat: FloatArray
    removed_lon: FloatArray
    removed_lat: FloatArray
    removed_cause: tuple[str, ...]
    source: str = ""
    name: str = ""
    area_sd_m2: float = field(default=0.0)
    terms: tuple[Term, ...] = ()
    sky: str | None = None
    blocked: float = 0.0
    readings: tuple[OtherReading, ...] = ()

    @property
    def edge_sigma_m(self) -> float:
        """How far its edge may stray, per axis: `sigma_m`, allowing for its being a guess. [m]"""
        return self.sigma_m * error.SIGMA_UNSURE

    @property
    def reading(self) -> Reading:
        """How the walk was read."""
        return Reading(
            self.laps,
            dict(self.removed),
            self.sigma_m,
            self.advice,
            self.method,
            self.terms,
        )

    def to_frame(self) -> GeoDataFrame:
        """Return the walk as one row: its polygon in longitude, latitude (WGS84) and figures."""
        import geopandas as gpd  # slow to load

        figures = {
            name: [getattr(self, name)]
            for name in (
                "name", "source", "acres", "acres_low", "acres_high", "half_width_pct",
                "method", "laps", "sigma_m",
            )
        }  # fmt: skip
        figures["method"] = [printed(self.method)]
        return gpd.GeoDataFrame(figures, geometry=[self.polygon], crs="EPSG:4326")


def band_of(
    polygon_xy: shapely.Polygon, sigma: float, laps: float, plane: Plane
) -> shapely.Geometry:
    """Return the 95 % band of the edge: where the true line probably lies."""
    reach = 1.96 * sigma / laps**0.5
    ring = polygon_xy.exterior.simplify(0.2 * reach)
    return plane.ground(ring.buffer(reach, quad_segs=4))


def wide_note(
    half_pct: float,
    middle: shapely.Point,
    source: str,
    name: str,
    *,
    lap_helps: bool = True,
) -> tuple[Note, ...]:
    """Return the warning of an acreage that is known poorly, when it is, and what would help."""
    if half_pct <= WIDE_PCT:
        return ()
    text = f"the acreage is known only to ± {half_pct:.0f} %"
    ways = KNOWN_BETTER if lap_helps else KNOWN_BETTER[1:]
    return (
        Note("wide-interval", text, "warning", source, name, middle.x, middle.y, help=ways),
    )


def advised(walk: Walk, laps: float | None = None, source: str | None = None) -> Walk:
    """Return a walk with what would make its acreage known better, told where it is poor.

    Parameters
    ----------
    walk : with its terms.
    laps : how many laps its terms are of; those of the walk when None.
    source : the file that the note names; those of the walk when None.
    """
    area = walk.acres * ACRE_M2
    laps = walk.laps if laps is None else laps
    wide = wide_note(
        walk.half_width_pct, walk.polygon.representative_point(),
        walk.source if source is None else source, walk.name,
        lap_helps=lap_would_help(area, walk.terms, laps),
    )  # fmt: skip
    return replace(
        walk,
        advice=advice_for(area, walk.terms, laps),
        notes=(*without_wide(walk.notes), *wide),
    )


def without_wide(notes: Sequence[Note]) -> list[Note]:
    """Return notes without what they say of an interval that holds no longer."""
    return [note for note in notes if note.code != "wide-interval"]


def lap_would_help(area: float, terms: Sequence[Term], laps: float) -> bool:
    """Return whether one more lap would bring the ± of a walk down by much.

    The parameters are those of `advice_for`.
    """
    half_pct, better = _half_pcts(area, terms, laps)
    return better <= LEAST_GAIN * half_pct


def _half_pcts(area: float, terms: Sequence[Term], laps: float) -> tuple[float, float]:
    """Return the half-width of an acreage as it is, and with one more lap. [%]"""
    fewer = laps / (laps + 1.0)
    variance = sum(t.sd_m2**2 * (t.common + (1.0 - t.common) * fewer) for t in terms)
    sds_m2 = (total_sd_m2(terms), variance**0.5)
    now, better = (interval_of(area, sd_m2).half_width_pct for sd_m2 in sds_m2)
    return now, better


def advice_for(area: float, terms: Sequence[Term], laps: float) -> tuple[str, ...]:
    """Return what would make an acreage known better, when that is worth the walk.

    Parameters
    ----------
    area : the acreage. [m²]
    terms : what its ± is made of; only what is not common to all laps gets smaller.
    laps : how many there were.
    """
    half_pct, better = _half_pcts(area, terms, laps)
    if half_pct <= WORTH_A_LAP_PCT:
        return ()
    if not lap_would_help(area, terms, laps):
        return (
            f"More laps would not bring ± {half_pct:.0f} % down by much; corners marked by pins, "
            "or a tape, would.",
        )
    return (
        f"One more lap would bring ± {half_pct:.0f} % to about ± {better:.0f} %, best the other "
        "way round; on another day it helps at least as much.",
    )
