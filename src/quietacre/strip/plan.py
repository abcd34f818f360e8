"""Every strip of a property: its width, its ring, where it is too thin."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import geopandas as gpd
import numpy as np

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.model import WGS84, Note
from quietacre.settings import StripSettings
from quietacre.strip.ring import lengths_ft, strip_ring, weak_lines
from quietacre.strip.width import STAKED_EDGE_M, Case, Mower, edge_error_ft, strip_width
from quietacre.units import ACRE_M2, FT_M
from quietacre.workweek import nearest_workday

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import shapely

    from quietacre.settings import Area, Property, Quiet

#: What a strip may not run over, and the word for it.
CUTS = {"water": "water", "keepout": "keep-out", "road": "road"}
#: Burn blocks without a width of their own get this. NRCS Pennsylvania, 394 Firebreak
#: Job Sheet, n.d.: disked or plowed at least 10 ft.
FIREBREAK_FT = 10.0
#: Vines whose runners the width model was drawn for.
RUNNER_VINES = {"kudzu"}
#: Season taken when the property names none. Common practice, no source.
COMMON_SEASON = ("05-15", "07-03")

VINE_CAUTIONS = (
    "Extension's advice is to eradicate this vine, not to keep it; in some states keeping "
    "it is unlawful. Ask the state department of agriculture before you plan on it.",
    "A strip holds runners only. It does not stop seed, and no width helps where a runner "
    "can climb: keep the outer edge 10-20 ft from trees, fences and poles (from memory).",
    "Walk the strip before each cut: vines hide wire, stumps and holes. Roll bar up, belt "
    "on, nobody near, blades stopped and engine off before you step down; the operator's "
    "manual decides.",
    "Clean the mower before it leaves the strip: cut pieces with a joint can root "
    "(from memory).",
)
FIRE_CAUTIONS = (
    "A burn needs a written plan, the permit of your state's forestry agency and the people "
    "it asks for. Nothing here says that a burn is lawful or safe; a certified burn manager "
    "decides widths for your fuel and weather.",
)


@dataclass(frozen=True)
class StripPlan:
    """Strips and their weak stretches as EPSG:4326 frames; the report rows."""

    strips: gpd.GeoDataFrame
    weak: gpd.GeoDataFrame
    report: list[dict[str, Any]]


def plan_strips(
    areas: gpd.GeoDataFrame,
    prop: Property,
    boundary: shapely.Geometry | None,
    *,
    today: dt.date,
    walk_sigma: Mapping[str, float],
) -> StripPlan:
    """Return the strip round every patch and the break round every burn block.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) with id, name, kind, geometry, in the order
        of ``prop.area``.
    boundary : the property line or None. [deg]
    today : the day of the plan; the quiet season that follows it is planned for.
    walk_sigma : receiver error of walked areas by id. [m]
    """
    rows: list[dict[str, Any]] = []
    shapes: list[shapely.Geometry] = []
    weak: list[tuple[str, str, shapely.LineString, float, str]] = []
    keep_out = [
        (f"{CUTS[kind]} “{name}”", shape)
        for kind, name, shape in zip(
            areas["kind"], areas["name"], areas.geometry, strict=True
        )
        if kind in CUTS
    ]
    for row, area in enumerate(prop.area):
        if area.kind not in ("patch", "burn"):
            continue
        record = areas.iloc[row]
        made = _one(area, record, prop, today, walk_sigma.get(record["id"]))
        ring = strip_ring(
            record.geometry,
            made["width_ft"],
            boundary=boundary,
            keep_out=[shape for _, shape in keep_out],
        )
        made["id"] = f"s{len(rows) + 1:02d}"
        _measure(made, ring, record.geometry)
        obstacles = list(keep_out)
        if boundary is not None:
            obstacles.append(("property line", boundary.boundary))
        for line, width_ft, reason in weak_lines(
            record.geometry, made["width_ft"], obstacles
        ):
            weak.append((made["id"], record["id"], line, width_ft, reason))
        made["weak"] = _weak_report(made, [w for w in weak if w[0] == made["id"]])
        _weak_note(made)
        rows.append(made)
        shapes.append(ring)
    return StripPlan(
        strips=_strips_frame(rows, shapes),
        weak=gpd.GeoDataFrame(
            {
                "id": [f"{w[0]}-w{n + 1}" for n, w in enumerate(weak)],
                "of": [w[0] for w in weak],
                "verdict": ["NARROW"] * len(weak),
                "length_ft": lengths_ft([w[2] for w in weak]),
                "available_ft": [w[3] for w in weak],
                "reason": [w[4] for w in weak],
            },
            geometry=[w[2] for w in weak],
            crs=WGS84,
        ),
        report=rows,
    )


def _one(
    area: Area,
    record: Any,  # noqa: ANN401 - a row
    prop: Property,
    today: dt.date,
    sigma_m: float | None,
) -> dict[str, Any]:
    """Return the report row of one strip, its width settled."""
    settings = area.strip or StripSettings()
    point = record.geometry.representative_point()
    notes: list[Note] = []

    def say(code: str, text: str, level: Any = "warning") -> None:  # noqa: ANN401 - Level
        notes.append(Note(code, text, level, None, area.name, point.x, point.y))

    common = {
        "of": record["id"],
        "area": area.name,
    }
    if area.kind == "burn":
        width_ft = settings.width_ft or FIREBREAK_FT
        if settings.width_ft is None:
            say(
                "firebreak-default",
                f"the break round “{area.name}” is drawn {FIREBREAK_FT:.0f} ft wide, the "
                "least for a disked break on one state's job sheet; set strip.width_ft.",
                "caution",
            )
        return common | {
            "name": f"{area.name} firebreak", "kind": "firebreak", "width_ft": width_ft,
            "width": None, "law": None, "cautions": list(FIRE_CAUTIONS),
            "notes": [note.to_dict() for note in notes], "case": None,
        }  # fmt: skip
    case, why = _case(settings, prop, today, sigma_m)
    widths = strip_width(case)
    width_ft = settings.width_ft or widths["stress"]["width_ft"]
    vine = (area.vine or "").casefold()
    if vine not in RUNNER_VINES:
        say(
            "runner-control-only",
            f"the width model is drawn for kudzu; for “{area.vine or 'an unnamed vine'}” it "
            "is runner control only, and seed or spores jump any strip.",
        )
    if settings.width_ft is not None and settings.width_ft < widths["central"]["width_ft"]:
        say(
            "width-below-central",
            f"the strip is set to {settings.width_ft:.0f} ft; the central estimate for "
            f"{case.last_cut} to {case.until} is {widths['central']['width_ft']:.0f} ft.",
        )
    if sigma_m is not None and sigma_m > 4.0 and not settings.staked:  # noqa: PLR2004
        say(
            "edge-under-leaves",
            "the patch edge was walked under poor sky: stake or tape it before trusting "
            "any width.",
        )
    if settings.live_node_ft is None:
        say(
            "not-inspected",
            "nobody has looked for live rooted nodes outside the patch edge; walk it and "
            "set strip.live_node_ft (0 when it is clean).",
        )
    if not prop.property.keep_vine_confirmed:
        say(
            "vine-law",
            f"before keeping {area.vine or 'this vine'}, read your state's noxious-weed rule"
            + (f" ({prop.property.state})" if prop.property.state else "")
            + "; then set keep_vine_confirmed = true under [property].",
        )
    return common | {
        "name": f"{area.name} strip", "kind": "strip", "width_ft": width_ft, "width": widths,
        "law": {"state": prop.property.state, "status": "unknown",
                "text": "not known here: ask the state department of agriculture",
                "source": None},
        "cautions": list(VINE_CAUTIONS),
        "notes": [note.to_dict() for note in notes],
        "case": {"last_cut": case.last_cut.isoformat(), "next_cut": case.next_cut.isoformat(),
                 "slip_days": case.slip_days, "why": why},
    }  # fmt: skip


def _case(
    settings: StripSettings, prop: Property, today: dt.date, sigma_m: float | None
) -> tuple[Case, str]:
    """Return what the width is worked out for: the cuts round the next quiet season."""
    start, end = _season(prop.quiet, today)
    # the cuts fall on days the person has, not on the eve of the season
    day = dt.timedelta(days=1)
    last_cut = settings.last_cut or nearest_workday(start - day, prop.work, -1)
    next_cut = settings.next_cut or nearest_workday(end + day, prop.work, 1)
    if settings.edge_error_ft is not None:
        edge_ft = settings.edge_error_ft
    elif settings.staked or sigma_m is None or math.isnan(sigma_m):
        edge_ft = STAKED_EDGE_M / FT_M
    else:
        edge_ft = edge_error_ft(sigma_m)
    gear = prop.equipment
    case = Case(
        last_cut=last_cut,
        next_cut=next_cut,
        mower=Mower(gear.mower_width_ft, gear.mower_overlap_ft),
        slip_days=settings.slip_days,
        edge_error_ft=edge_ft,
        live_node_ft=settings.live_node_ft or 0.0,
        watch_lane_ft=settings.watch_lane_ft,
    )
    why = (
        f"last cut {last_cut}, next cut {next_cut} and up to {settings.slip_days} days of "
        "bad weather after it"
    )
    return case, why


def _season(quiet: Sequence[Quiet], today: dt.date) -> tuple[dt.date, dt.date]:
    """Return the next quiet season in which the vine grows, ends included."""
    summers = [(q.start, q.end) for q in quiet if q.start < q.end] or [COMMON_SEASON]
    dated = []
    for start, end in summers:
        for year in (today.year, today.year + 1):
            first, last = (dt.date(year, int(t[:2]), int(t[3:])) for t in (start, end))
            if first > today:
                dated.append((first, last))
                break
    # the longest of the coming summers asks the most of the strip
    return max(dated, key=lambda season: season[1] - season[0])


def _measure(made: dict[str, Any], ring: shapely.Geometry, patch: shapely.Geometry) -> None:
    acres = float(area_m2(np.array([ring], dtype=object))[0]) / ACRE_M2
    length = float(perimeter_m(np.array([patch], dtype=object))[0]) / FT_M
    made |= {"acres": acres, "acres_low": acres, "acres_high": acres, "length_ft": length}
    if ring.is_empty:
        made["notes"].append(
            Note("strip-empty", f"nothing of “{made['name']}” fits.").to_dict()
        )


def _weak_report(
    made: dict[str, Any], weak: Sequence[tuple[str, str, shapely.LineString, float, str]]
) -> list[dict[str, Any]]:
    lengths = lengths_ft([w[2] for w in weak])
    rows = []
    for number, ((_, _, line, width_ft, reason), length) in enumerate(
        zip(weak, lengths, strict=True), 1
    ):
        middle = line.interpolate(0.5, normalized=True)
        rows.append(
            {
                "id": f"{made['id']}-w{number}",
                "verdict": "NARROW",
                "length_ft": length,
                "available_ft": width_ft,
                "reason": reason,
                "lon": middle.x,
                "lat": middle.y,
            }
        )
    thin = sum(lengths)
    made["stations"] = {
        "pass_ft": max(made["length_ft"] - thin, 0.0),
        "narrow_ft": thin,
    }
    return rows


def _weak_note(made: dict[str, Any]) -> None:
    for weak in made["weak"]:
        made["notes"].append(
            Note(
                "strip-narrow",
                f"“{made['name']}” is only {weak['available_ft']:.0f} ft wide, of "
                f"{made['width_ft']:.0f}, along {weak['length_ft']:.0f} ft: {weak['reason']}.",
                feature=made["area"],
                lon=weak["lon"],
                lat=weak["lat"],
            ).to_dict()
        )


def _strips_frame(
    rows: Sequence[Mapping[str, Any]], shapes: Sequence[shapely.Geometry]
) -> gpd.GeoDataFrame:
    keys = ("id", "of", "name", "kind", "width_ft", "acres", "acres_low", "acres_high",
            "length_ft")  # fmt: skip
    columns = {key: [row[key] for row in rows] for key in keys}
    return gpd.GeoDataFrame(columns, geometry=list(shapes), crs=WGS84)
