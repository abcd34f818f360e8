"""What a drawn strip comes to: its acres, where it is thin, what it holds, as records and frames."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import geopandas as gpd
import numpy as np

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.frame import LocalFrame
from quietacre.days import say_day
from quietacre.figures import feet, figure
from quietacre.model import WGS84, Note
from quietacre.strip.cuts import (
    ROUTINE_DAYS,
)
from quietacre.strip.growth import KUDZU, Rate
from quietacre.strip.law import is_runner_vine
from quietacre.strip.records import EdgeVerdicts, Holding, RingSize, WeakStretch
from quietacre.strip.remedies import remedies
from quietacre.strip.reverse import answers, holds, longest_at_peak, pass_by_pass
from quietacre.strip.ring import (
    QUARTER_CHORDS,
    Stations,
    Weak,
    lengths_ft,
    ring_acres,
)
from quietacre.units import ACRE_FT2, ACRE_M2, FT_M
from quietacre.words.growth import growth_word

if TYPE_CHECKING:
    from collections.abc import Sequence

    import shapely

    from quietacre.strip.passes import Pass
    from quietacre.strip.records import Ring, WantedBreak, WantedStrip
    from quietacre.strip.width import Case


def ring_size(
    ring: shapely.Geometry,
    patch: shapely.Geometry,
    width_ft: float,
    records: Sequence[Any],
) -> RingSize:
    """Return acres, their range from the patch's own, and the length of the edge.

    ``records`` are the rows of the areas in it, with acres, acres_low and acres_high.
    """
    acres = float(area_m2(np.array([ring], dtype=object))[0]) / ACRE_M2
    length = float(perimeter_m(np.array([patch], dtype=object))[0]) / FT_M
    # the patch's interval, spread evenly along its edge, moves the edge in or out
    low, mid, high = (
        sum(float(r[key]) for r in records) for key in ("acres_low", "acres", "acres_high")
    )
    shift_ft = np.array([low - mid, high - mid]) * ACRE_FT2 / length
    edges = LocalFrame.around([patch])
    local = edges.to_local(np.array([patch], dtype=object))[0]
    moved = edges.to_lonlat(
        np.array(
            [local.buffer(ft * FT_M, quad_segs=QUARTER_CHORDS) for ft in shift_ft],
            dtype=object,
        )
    )
    share = acres / float(ring_acres([patch], width_ft)[0])
    range_ac = [
        acres if shape.is_empty else share * float(ring_acres([shape], width_ft)[0])
        for shape in moved
    ]
    return RingSize(acres, min(acres, *range_ac), max(acres, *range_ac), length)


def what_holds(
    width_ft: float, weak: Sequence[WeakStretch], case: Case, rate: Rate, *,
    planned_ft: float, length_ft: float, patch_ac: float, bare: bool, vine: str | None,
) -> Holding:  # fmt: skip
    """Return what the width can hold, and what would help where it cannot.

    Parameters
    ----------
    width_ft : of the strip; ``weak`` are the stretches where it is less. [ft]
    planned_ft : its width without what a missed cut adds: how often it is cut goes by that. [ft]
    length_ft : of the edge it goes round. [ft]
    patch_ac : the vine's own ground. [ac]
    bare : whether it is kept bare already.
    vine : what helps, and how often it is cut, was worked out for kudzu alone.
    """
    drawn_for_it = is_runner_vine(vine)
    least_ft = _least_ft(width_ft, weak)
    thin_ft = sum(one.length_ft for one in weak if not holds(one.available_ft, case, rate))
    return Holding(
        holds=holds(least_ft, case, rate) if drawn_for_it else None,
        reverse={one.name: answers(width_ft, case, one) for one in (*KUDZU, rate)},
        remedies=remedies(
            least_ft,
            case,
            rate,
            length_ft=thin_ft or length_ft,
            patch_ac=patch_ac,
            bare=bare,
        )
        if drawn_for_it
        else (),
        extra_passes=pass_by_pass(case, rate),
        cut_every_days=min(ROUTINE_DAYS, longest_at_peak(planned_ft, case, rate))
        if drawn_for_it
        else ROUTINE_DAYS,
    )


def _least_ft(width_ft: float, weak: Sequence[WeakStretch]) -> float:
    return min([width_ft, *(one.available_ft for one in weak)])


def holding_notes(
    strip: WantedStrip, weak: Sequence[WeakStretch], case: Case, holding: Holding,
    at: tuple[float, float],
) -> list[Note]:  # fmt: skip
    """Return a warning where a strip does not hold; ``at`` is a place in it. [deg]"""
    if not holding.remedies:
        return []
    worst = min(weak, key=lambda one: one.available_ft, default=None)
    lon, lat = (worst.lon, worst.lat) if worst else at
    return [
        Note(
            "strip-does-not-hold",
            f"“{strip.name}” does not hold until {say_day(case.until)} with {growth_word(strip.design)}",
            feature=strip.area,
            lon=lon,
            lat=lat,
            more=f"its least width is {feet(_least_ft(strip.width_ft, weak))}.",
            help=tuple(f"{one.remedy}: {one.text}" for one in holding.remedies),
        )
    ]


def weak_stretches(ring_id: str, stations: Stations) -> tuple[WeakStretch, ...]:
    """Return the weak stretches of the strip of that id."""
    lengths = lengths_ft([weak.line for weak in stations.weak])
    stretches = []
    for count, (weak, length) in enumerate(zip(stations.weak, lengths, strict=True), 1):
        middle = weak.line.interpolate(0.5, normalized=True)
        stretches.append(
            WeakStretch(
                id=f"{ring_id}-w{count}",
                verdict=weak.verdict,
                length_ft=length,
                available_ft=weak.available_ft,
                reason=weak.reason,
                lon=middle.x,
                lat=middle.y,
            )
        )
    return tuple(stretches)


def edge_verdicts(
    stations: Stations, weak: Sequence[WeakStretch], length_ft: float
) -> EdgeVerdicts:
    """Return how much of an edge of some length is wide enough, and the stations counted."""
    return EdgeVerdicts(
        pass_ft=max(length_ft - sum(one.length_ft for one in weak), 0.0),
        narrow_ft=sum(one.length_ft for one in weak if one.verdict == "NARROW"),
        fail_ft=sum(one.length_ft for one in weak if one.verdict == "FAIL"),
        count=len(stations.verdict),
        pass_=stations.count("PASS"),
        narrow=stations.count("NARROW"),
        fail=stations.count("FAIL"),
    )


def weak_notes(ring: WantedStrip | WantedBreak, weak: Sequence[WeakStretch]) -> list[Note]:
    """Return a warning for each place where a strip is thinner than asked."""
    return [
        Note(
            "strip-narrow",
            f"“{ring.name}” is only {feet(one.available_ft)} wide, of "
            f"{figure(ring.width_ft, 'ft', bare=True)}, along {feet(one.length_ft)}",
            feature=ring.area,
            lon=one.lon,
            lat=one.lat,
            more=f"{one.reason}.",
        )
        for one in weak
    ]


def weak_frame(weak: Sequence[tuple[str, Weak]]) -> gpd.GeoDataFrame:
    """Return the thin places of all strips, each with its strip's id (EPSG:4326)."""
    numbers = [sum(o == of for o, _ in weak[: n + 1]) for n, (of, _) in enumerate(weak)]
    return gpd.GeoDataFrame(
        {
            "id": [f"{of}-w{n}" for n, (of, _) in zip(numbers, weak, strict=True)],
            "of": [of for of, _ in weak],
            "verdict": [w.verdict for _, w in weak],
            "length_ft": lengths_ft([w.line for _, w in weak]),
            "available_ft": [w.available_ft for _, w in weak],
            "reason": [w.reason for _, w in weak],
        },
        geometry=[w.line for _, w in weak],
        crs=WGS84,
    )


def passes_frame(passes: Sequence[tuple[str, Pass]]) -> gpd.GeoDataFrame:
    """Return the machine passes of all strips, each with its strip's id (EPSG:4326)."""
    return gpd.GeoDataFrame(
        {
            "of": [of for of, _ in passes],
            "number": [one.number for _, one in passes],
            "from_edge_ft": [one.from_edge_ft for _, one in passes],
            "length_ft": [one.length_ft for _, one in passes],
            "minutes": [one.minutes for _, one in passes],
            "fuel_gal": [one.fuel_gal for _, one in passes],
        },
        geometry=[one.line for _, one in passes],
        crs=WGS84,
    )


def strips_frame(
    rings: Sequence[Ring], shapes: Sequence[shapely.Geometry]
) -> gpd.GeoDataFrame:
    """Return the strips and firebreaks with their figures (EPSG:4326)."""
    columns: dict[str, list[object]] = {"id": [ring.id for ring in rings]}
    for key in ("of", "name", "kind", "width_ft"):
        columns[key] = [getattr(ring.wanted, key) for ring in rings]
    for key in ("acres", "acres_low", "acres_high", "length_ft"):
        columns[key] = [getattr(ring.size, key) for ring in rings]
    return gpd.GeoDataFrame(columns, geometry=list(shapes), crs=WGS84)
