"""Every strip of a property: its width, its ring, where it is too thin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.errors import placed
from quietacre.figures import feet
from quietacre.frames import areas_by_id
from quietacre.model import SETTINGS_FILE, Note, Transect
from quietacre.strip.cuts import (
    growth_of,
)
from quietacre.strip.judged import (
    add_size,
    add_weak_notes,
    add_what_holds,
    passes_frame,
    strips_frame,
    weak_frame,
    weak_rows,
)
from quietacre.strip.passes import Drive, Pass, mower_passes
from quietacre.strip.ring import (
    Obstacle,
    Weak,
    beyond,
    edge_stations,
    strip_ring,
    within_reach,
)
from quietacre.strip.wanted import strip_name, wanted_strip
from quietacre.strip.width import Mower
from quietacre.units import FT_M

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    import geopandas as gpd

    from quietacre.settings import Property

#: What a strip may not run over, and the word for it.
CUTS = {"water": "water", "keepout": "keep-out", "road": "road"}
#: Reach of a climbing runner, kept free beyond the strip. From memory: 10-20 ft.
CLIMB_FT = 10.0


@dataclass(frozen=True)
class StripPlan:
    """Strips, weak stretches and machine passes as EPSG:4326 frames; the report rows."""

    strips: gpd.GeoDataFrame
    weak: gpd.GeoDataFrame
    passes: gpd.GeoDataFrame
    report: list[dict[str, Any]]


def plan_strips(
    areas: gpd.GeoDataFrame,
    prop: Property,
    boundary: shapely.Geometry | None,
    *,
    today: dt.date,
    walk_sigma: Mapping[str, float],
    degree_days: Mapping[str, tuple[float, ...]] | None = None,
    transects: Sequence[Transect] = (),
    cuts: Mapping[str, Sequence[dt.date]] | None = None,
    about: str | None = None,
) -> StripPlan:
    """Return the strip round every patch and the break round every burn block.

    Patches nearer to each other than both their strips share one strip. It may be cut only
    when no quiet season of any of them shuts it, and is as wide as the widest that one of
    them asks for then.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) with id, name, kind, acres, acres_low,
        acres_high [ac] and geometry, in any order.
    boundary : the property line or None. [deg]
    today : the day of the plan; the quiet season that follows it is planned for.
    walk_sigma : receiver error of walked areas by id. [m]
    degree_days : mean degree-days of each day of a year by area id, where known.
    transects : taped advances of any patch, by its name.
    cuts : days of the logged cuts, by the name of the strip.
    about : an area's id, for a preview: only the strip round that one, and no machine passes.

    Raises
    ------
    FrameProblem
        The areas cannot be joined with ``prop``.
    """
    areas = areas_by_id(areas, prop)
    ground = _Ground(areas, boundary)
    known = Known(today, walk_sigma, degree_days or {}, transects, cuts or {})
    made_by_row, groups = wanted_in_groups(areas, prop, known)
    plan = _Drawn([], [], [], [])
    for rows in groups:
        if about is not None and about not in set(areas["id"].iloc[rows]):
            continue
        with placed(SETTINGS_FILE, f"area “{made_by_row[rows[0]]['area']}”"):
            patch = _draw([made_by_row[row] for row in rows], rows, areas, ground, plan)
            if about is None:
                _drive(plan.rows[-1], patch, prop, ground, plan)
    return StripPlan(
        strips=strips_frame(plan.rows, plan.shapes),
        weak=weak_frame(plan.weak),
        passes=passes_frame(plan.passes),
        report=plan.rows,
    )


class Known(NamedTuple):
    """What a strip's width is worked out from, besides the ground: as `plan_strips` takes them."""

    today: dt.date
    walk_sigma: Mapping[str, float]
    degree_days: Mapping[str, tuple[float, ...]]
    transects: Sequence[Transect]
    cuts: Mapping[str, Sequence[dt.date]]


def wanted_in_groups(
    areas: gpd.GeoDataFrame, prop: Property, known: Known
) -> tuple[dict[int, dict[str, Any]], list[list[int]]]:
    """Return what each strip is wanted to be by its row, and the rows that share a strip.

    Nothing is drawn. ``areas`` are in the order of ``prop``.
    """

    def one(row: int, rows: Sequence[int]) -> dict[str, Any]:
        """Return what is wanted of a row's strip when it goes round some rows."""
        area, record = prop.area[row], areas.iloc[row]
        season = growth_of(prop.property, known.degree_days.get(record["id"]))
        taped = [t for t in known.transects if t.patch == area.name]
        names = [prop.area[other].name for other in rows]
        called = {strip_name(names), *(strip_name([name]) for name in names)}
        logged = [day for name in sorted(called) for day in known.cuts.get(name, ())]
        return wanted_strip(
            area, record, prop, known.today, known.walk_sigma.get(record["id"]), season, taped,
            names, logged,
        )  # fmt: skip

    made_by_row = {
        row: one(row, [row])
        for row, area in enumerate(prop.area)
        if area.kind in ("patch", "burn")
    }
    groups = _together(areas, made_by_row)
    # the seasons of all may ask for more, and a wider strip may meet one more neighbor
    while shared := [rows for rows in groups if len(rows) > 1]:
        made_by_row |= {row: one(row, rows) for rows in shared for row in rows}
        before, groups = groups, _together(areas, made_by_row, groups)
        if groups == before:
            break
    return made_by_row, groups


class _Ground:
    """What lies round the patches: what cuts a strip, and what spoils it."""

    def __init__(self, areas: gpd.GeoDataFrame, boundary: shapely.Geometry | None) -> None:
        self.boundary = boundary
        self.areas = list(zip(areas["kind"], areas["name"], areas.geometry, strict=True))
        self.keep_out = [shape for kind, _, shape in self.areas if kind in CUTS]

    def near(self, patch: shapely.Geometry, width_ft: float) -> list[shapely.Geometry]:
        """Return what cuts a strip, of it what the strip and a machine can reach."""
        return [s for s in self.keep_out if within_reach(patch, s, 2 * width_ft)]

    def obstacles(self, kind: str) -> list[Obstacle]:
        """Return what is in the way of a strip or a firebreak."""
        found = []
        for of, name, shape in self.areas:
            if of in CUTS:
                words = f"{CUTS[of]} “{name}”"
                if kind == "firebreak" and of in ("water", "road"):
                    words += " (whether it serves as the break, the burn manager decides)"
                found.append(Obstacle(words, shape))
            elif of == "timber" and kind == "strip":
                words = f"timber “{name}” within climbing reach ({feet(CLIMB_FT)})"
                found.append(Obstacle(words, shape, CLIMB_FT))
            elif of == "plot" and kind == "strip":
                found.append(Obstacle(f"plot “{name}”", shape))
        if self.boundary is not None:
            found.append(beyond(self.boundary))
        return found


class _Drawn(NamedTuple):
    """Report rows, rings, weak stretches and passes, as they are made."""

    rows: list[dict[str, Any]]
    shapes: list[shapely.Geometry]
    weak: list[tuple[str, Weak]]
    passes: list[tuple[str, Pass]]


def _together(
    areas: gpd.GeoDataFrame,
    made: Mapping[int, Mapping[str, Any]],
    known: Sequence[Sequence[int]] = (),
) -> list[list[int]]:
    """Return rows whose strips meet, as groups; firebreaks stay alone.

    What is ``known`` to meet stays together, whatever its widths are now.
    """
    rows = list(made)
    if not rows:
        return []
    shapes = areas.geometry.iloc[rows].to_numpy()
    local = LocalFrame.around(shapes).to_local(shapes)
    group = {row: row for row in rows}
    group |= {row: together[0] for together in known for row in together}
    for i, row in enumerate(rows):
        for j, other in enumerate(rows[:i]):
            if "firebreak" in (made[row]["kind"], made[other]["kind"]):
                continue
            reach_m = (made[row]["width_ft"] + made[other]["width_ft"]) * FT_M
            if local[i].distance(local[j]) < reach_m:
                old, new = group[row], group[other]
                group = {
                    key: new if value == old else value for key, value in group.items()
                }
    found: dict[int, list[int]] = {}
    for row in rows:
        found.setdefault(group[row], []).append(row)
    return list(found.values())


def _draw(
    several: Sequence[dict[str, Any]], rows: Sequence[int], areas: gpd.GeoDataFrame,
    ground: _Ground, plan: _Drawn,
) -> shapely.Geometry:  # fmt: skip
    """Lay out one strip, round one patch or several close together; return their ground."""
    made = max(several, key=lambda one: one["width_ft"])
    records = [areas.iloc[row] for row in rows]
    patch = (
        records[0].geometry
        if len(rows) == 1
        else shapely.union_all([r.geometry for r in records])
    )
    made["of"], made["also_of"] = records[0]["id"], [r["id"] for r in records[1:]]
    if len(rows) > 1:
        names = [r["name"] for r in records]
        made["name"] = strip_name(names)
        made["area"] = names[0]
        made["notes"] = _told_once([note for one in several for note in one["notes"]])
        point = records[0].geometry.representative_point()
        made["notes"].append(
            Note(
                "strips-merged",
                f"{' and '.join(f'“{name}”' for name in names)} lie nearer than two widths",
                "info", None, names[0], point.x, point.y,
                more=f"one strip of {feet(made['width_ft'])} goes round them and fills the gap.",
            ).to_dict()
        )  # fmt: skip
    made["id"] = f"s{len(plan.rows) + 1:02d}"
    point = patch.representative_point()
    made["at"] = {"lon": point.x, "lat": point.y}
    keep_out = ground.near(patch, made["width_ft"])
    ring = strip_ring(patch, made["width_ft"], boundary=ground.boundary, keep_out=keep_out)
    add_size(made, ring, patch, records)
    stations = edge_stations(
        patch, made["width_ft"], ground.obstacles(made["kind"]), fail_below_ft=made.pop("fail_below_ft")
    )  # fmt: skip
    plan.weak.extend((made["id"], weak) for weak in stations.weak)
    made["weak"] = weak_rows(made, stations)
    add_weak_notes(made)
    case, rate = made.pop("model")
    add_what_holds(made, case, rate)
    plan.rows.append(made)
    plan.shapes.append(ring)
    return patch


def _told_once(notes: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return notes without those that say again what an earlier one says."""
    told: dict[tuple[str, str], dict[str, Any]] = {}
    for note in notes:
        told.setdefault((note["code"], note["text"]), note)
    return list(told.values())


def _drive(
    made: dict[str, Any],
    patch: shapely.Geometry,
    prop: Property,
    ground: _Ground,
    plan: _Drawn,
) -> None:
    """Add the machine passes of a strip, and what they cost."""
    gear = prop.equipment
    if made["kind"] == "strip":
        machine, mph = Mower(gear.mower_width_ft, gear.mower_overlap_ft), gear.mower_mph
    else:
        machine, mph = Mower(gear.disk_width_ft, 0.0), gear.disk_mph
    passes = mower_passes(
        patch, made["width_ft"], machine, Drive(mph, gear.field_efficiency, gear.fuel_gal_hr),
        boundary=ground.boundary, keep_out=ground.near(patch, made["width_ft"]),
    )  # fmt: skip
    plan.passes.extend((made["id"], one) for one in passes)
    made["passes"] = {
        "count": len(passes),
        "order": "outermost first, toward the "
        + ("patch" if made["kind"] == "strip" else "block"),
        "length_ft": sum(one.length_ft for one in passes),
        "minutes": sum(one.minutes for one in passes),
        "fuel_gal": sum(one.fuel_gal for one in passes),
        "each": [one.figures() for one in passes],
    }
