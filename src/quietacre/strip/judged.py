"""What a drawn strip comes to: its acres, where it is thin, what it holds, as rows and frames."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import geopandas as gpd
import numpy as np

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.frame import LocalFrame
from quietacre.days import say_day
from quietacre.figures import feet, number
from quietacre.model import WGS84, Note
from quietacre.strip.cuts import (
    ROUTINE_DAYS,
)
from quietacre.strip.growth import KUDZU, Rate
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

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import shapely

    from quietacre.strip.passes import Pass
    from quietacre.strip.width import Case


def add_size(
    made: dict[str, Any],
    ring: shapely.Geometry,
    patch: shapely.Geometry,
    records: Sequence[Any],
) -> None:
    """Add acres, their range from the patch's own, and the length of the edge."""
    acres = float(area_m2(np.array([ring], dtype=object))[0]) / ACRE_M2
    length = float(perimeter_m(np.array([patch], dtype=object))[0]) / FT_M
    # the patch's interval, spread evenly along its edge, moves the edge in or out
    low, mid, high = (
        sum(float(r[key]) for r in records) for key in ("acres_low", "acres", "acres_high")
    )
    shift_ft = np.array([low - mid, high - mid]) * ACRE_FT2 / max(length, 1.0)
    edges = LocalFrame.around([patch])
    local = edges.to_local(np.array([patch], dtype=object))[0]
    moved = edges.to_lonlat(
        np.array(
            [local.buffer(ft * FT_M, quad_segs=QUARTER_CHORDS) for ft in shift_ft],
            dtype=object,
        )
    )
    whole = float(ring_acres([patch], made["width_ft"])[0])
    share = acres / whole if whole > 0 else 0.0
    range_ac = [
        acres if shape.is_empty else share * float(ring_acres([shape], made["width_ft"])[0])
        for shape in moved
    ]
    made |= {"acres": acres, "acres_low": min(acres, *range_ac),
             "acres_high": max(acres, *range_ac), "length_ft": length}  # fmt: skip
    if ring.is_empty:
        made["notes"].append(
            Note("strip-empty", f"nothing of “{made['name']}” fits.").to_dict()
        )


def add_what_holds(made: dict[str, Any], case: Case | None, rate: Rate | None) -> None:
    """Add what the width can hold, and what would help where it cannot."""
    at = made.pop("at")
    made |= {"holds": None, "reverse": None, "remedies": []}
    if case is None or rate is None:
        return
    width_ft = made["width_ft"]
    rates = (*KUDZU, rate) if rate not in KUDZU else KUDZU
    made["reverse"] = {one.name: answers(width_ft, case, one) for one in rates}
    made["extra_passes"] = pass_by_pass(case, rate)
    made["cut_every_days"] = min(ROUTINE_DAYS, longest_at_peak(width_ft, case, rate))
    least_ft = min([width_ft, *(weak["available_ft"] for weak in made["weak"])])
    made["holds"] = holds(least_ft, case, rate)
    thin_ft = sum(
        weak["length_ft"]
        for weak in made["weak"]
        if not holds(weak["available_ft"], case, rate)
    )
    made["remedies"] = remedies(
        least_ft, case, rate, length_ft=thin_ft or made["length_ft"], bare=made["bare"]
    )
    if made["remedies"]:
        worst = min(made["weak"], key=lambda w: float(w["available_ft"]), default=at)
        made["notes"].append(
            Note(
                "strip-does-not-hold",
                f"“{made['name']}” does not hold until {say_day(case.until)} at the {rate.name} rate",
                feature=made["area"],
                lon=worst["lon"],
                lat=worst["lat"],
                more=f"its least width is {feet(least_ft)}.",
                help=tuple(f"{row['remedy']}: {row['text']}" for row in made["remedies"]),
            ).to_dict()
        )


def weak_rows(made: dict[str, Any], stations: Stations) -> list[dict[str, Any]]:
    """Return the weak stretches for the report, and count the stations by verdict."""
    lengths = lengths_ft([weak.line for weak in stations.weak])
    rows = []
    for count, (weak, length) in enumerate(zip(stations.weak, lengths, strict=True), 1):
        middle = weak.line.interpolate(0.5, normalized=True)
        rows.append(
            {
                "id": f"{made['id']}-w{count}",
                "verdict": weak.verdict,
                "length_ft": length,
                "available_ft": weak.available_ft,
                "reason": weak.reason,
                "lon": middle.x,
                "lat": middle.y,
            }
        )
    thin = sum(lengths)
    made["stations"] = {
        "pass_ft": max(made["length_ft"] - thin, 0.0),
        "narrow_ft": sum(r["length_ft"] for r in rows if r["verdict"] == "NARROW"),
        "fail_ft": sum(r["length_ft"] for r in rows if r["verdict"] == "FAIL"),
        "count": len(stations.verdict),
        "pass": stations.count("PASS"),
        "narrow": stations.count("NARROW"),
        "fail": stations.count("FAIL"),
    }
    return rows


def add_weak_notes(made: dict[str, Any]) -> None:
    """Add a warning for each place where a strip is thinner than asked."""
    for weak in made["weak"]:
        made["notes"].append(
            Note(
                "strip-narrow",
                f"“{made['name']}” is only {feet(weak['available_ft'])} wide, of "
                f"{number(made['width_ft'])}, along {feet(weak['length_ft'])}",
                feature=made["area"],
                lon=weak["lon"],
                lat=weak["lat"],
                more=f"{weak['reason']}.",
            ).to_dict()
        )


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
    rows: Sequence[Mapping[str, Any]], shapes: Sequence[shapely.Geometry]
) -> gpd.GeoDataFrame:
    """Return the strips and firebreaks with their figures (EPSG:4326)."""
    keys = ("id", "of", "name", "kind", "width_ft", "acres", "acres_low", "acres_high",
            "length_ft")  # fmt: skip
    columns = {key: [row[key] for row in rows] for key in keys}
    return gpd.GeoDataFrame(columns, geometry=list(shapes), crs=WGS84)
