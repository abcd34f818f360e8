"""Every strip of a property: its width, its ring, where it is too thin."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import geopandas as gpd
import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.frame import LocalFrame
from quietacre.days import say_day
from quietacre.errors import placed
from quietacre.figures import feet, number
from quietacre.frames import areas_by_id
from quietacre.model import WGS84, Note, Transect
from quietacre.quiet import seasons, spans
from quietacre.settings import Quiet, StripSettings
from quietacre.strip.cuts import (
    ROUTINE_DAYS,
    around,
    dated_cuts,
    growth_of,
    hardest,
    words_of,
)
from quietacre.strip.growth import KUDZU, Rate, Season
from quietacre.strip.law import is_runner_vine, law_of, vine_named
from quietacre.strip.missed import Missed, missed_cut
from quietacre.strip.passes import Drive, Pass, mower_passes
from quietacre.strip.reverse import answers, holds, longest_at_peak, pass_by_pass, remedies
from quietacre.strip.ring import (
    QUARTER_CHORDS,
    Obstacle,
    Stations,
    Weak,
    beyond,
    edge_stations,
    lengths_ft,
    ring_acres,
    strip_ring,
    within_reach,
)
from quietacre.strip.transects import measured_rate
from quietacre.strip.width import STAKED_EDGE_M, Case, Mower, edge_error_ft, strip_width
from quietacre.units import ACRE_FT2, ACRE_M2, FT_M

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.settings import Area, Property

#: What a strip may not run over, and the word for it.
CUTS = {"water": "water", "keepout": "keep-out", "road": "road"}
#: Burn blocks without a width of their own get this. NRCS Pennsylvania, 394 Firebreak
#: Job Sheet, n.d.: disked or plowed at least 10 ft.
FIREBREAK_FT = 10.0
#: What the job sheets say of widths; guidance, not a design.
FIREBREAK_GUIDANCE = (
    {
        "text": "twice the height of the fuel beside it, at least 4 ft",
        "source": "nrcs-394-mo",
    },
    {
        "text": "bare: twice the flame length or 6 ft, whichever is more",
        "source": "nrcs-394-fl",
    },
    {"text": "disked or plowed: at least 10 ft", "source": "nrcs-394-pa"},
    {"text": "30 ft clear round high-value property", "source": "nrcs-394-sd"},
)
#: Reach of a climbing runner, kept free beyond the strip. From memory: 10-20 ft.
CLIMB_FT = 10.0
#: Season taken when the property names none. Common practice, no source.
COMMON = Quiet("nesting", "05-15", "07-03")

VINE_CAUTIONS = (
    "The case against keeping kudzu: it shelters the kudzu bug that moves to soybeans (about 20 "
    "percent loss unsprayed, NC State Extension, 2010s), raises nitric oxide from the soil "
    "(Hickman et al., PNAS, 2010), bears no leaf after frost, and one missed cut puts runners "
    "past the strip.",
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

    Raises
    ------
    FrameProblem
        The areas cannot be joined with ``prop``.
    """
    areas = areas_by_id(areas, prop)
    ground = _Ground(areas, boundary)

    def one(row: int, rows: Sequence[int]) -> dict[str, Any]:
        area, record = prop.area[row], areas.iloc[row]
        season = growth_of(prop.property, (degree_days or {}).get(record["id"]))
        taped = [t for t in transects if t.patch == area.name]
        names = [prop.area[other].name for other in rows]
        sigma_m = walk_sigma.get(record["id"])
        called = {_called(names), *(_called([name]) for name in names)}
        logged = [day for name in sorted(called) for day in (cuts or {}).get(name, ())]
        return _one(area, record, prop, today, sigma_m, season, taped, names, logged)

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
    plan = _Drawn([], [], [], [])
    for rows in groups:
        with placed("property.toml", f"area “{made_by_row[rows[0]]['area']}”"):
            _draw([made_by_row[row] for row in rows], rows, areas, prop, ground, plan)
    return StripPlan(
        strips=_strips_frame(plan.rows, plan.shapes),
        weak=_weak_frame(plan.weak),
        passes=_passes_frame(plan.passes),
        report=plan.rows,
    )


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
    prop: Property, ground: _Ground, plan: _Drawn,
) -> None:  # fmt: skip
    """Lay out one strip, round one patch or several close together."""
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
        made["name"] = _called(names)
        made["area"] = names[0]
        made["notes"] = _told_once([note for one in several for note in one["notes"]])
        point = records[0].geometry.representative_point()
        words = (
            f"{' and '.join(f'“{name}”' for name in names)} lie nearer than two widths: one "
            f"strip of {feet(made['width_ft'])} goes round them and fills the gap."
        )
        made["notes"].append(
            Note("strips-merged", words, "info", None, names[0], point.x, point.y).to_dict()
        )
    made["id"] = f"s{len(plan.rows) + 1:02d}"
    point = patch.representative_point()
    made["at"] = {"lon": point.x, "lat": point.y}
    keep_out = ground.near(patch, made["width_ft"])
    ring = strip_ring(patch, made["width_ft"], boundary=ground.boundary, keep_out=keep_out)
    _measure(made, ring, patch, records)
    stations = edge_stations(
        patch, made["width_ft"], ground.obstacles(made["kind"]), fail_below_ft=made.pop("fail_below_ft")
    )  # fmt: skip
    plan.weak.extend((made["id"], weak) for weak in stations.weak)
    made["weak"] = _weak_report(made, stations)
    _weak_note(made)
    case, rate = made.pop("model")
    _what_then(made, case, rate)
    _drive(made, patch, prop, ground, plan)
    plan.rows.append(made)
    plan.shapes.append(ring)


def _called(patches: Sequence[str]) -> str:
    """Return the name of the strip round some patches."""
    return " + ".join(patches) + " strip"


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


def _what_then(made: dict[str, Any], case: Case | None, rate: Rate | None) -> None:
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
        ways = "; ".join(
            f"{number}. {row['remedy']}: {row['text'].rstrip('.')}"
            for number, row in enumerate(made["remedies"], 1)
        )
        text = (
            f"“{made['name']}” does not hold until {say_day(case.until)} at the {rate.name} rate: its "
            f"least width is {feet(least_ft)}. What would help: {ways}."
        )
        made["notes"].append(
            Note(
                "strip-does-not-hold",
                text,
                feature=made["area"],
                lon=worst["lon"],
                lat=worst["lat"],
            ).to_dict()
        )


def _one(
    area: Area,
    record: Any,  # noqa: ANN401 - a row
    prop: Property,
    today: dt.date,
    sigma_m: float | None,
    season: Season,
    taped: Sequence[Transect],
    patches: Sequence[str],
    logged: Sequence[dt.date],
) -> dict[str, Any]:
    """Return the report row of one patch's strip, its width settled.

    ``patches`` are all that the strip goes round: the seasons of each shut it.

    It also carries ``fail_below_ft`` and ``model`` (case, rate), which the drawing takes out.
    """
    settings = area.strip or StripSettings()
    point = record.geometry.representative_point()
    notes: list[Note] = []

    def say(code: str, text: str, level: Any = "warning") -> None:  # noqa: ANN401 - Level
        notes.append(Note(code, text, level, None, area.name, point.x, point.y))

    common = {
        "of": record["id"],
        "area": area.name,
        "bare": settings.bare,
    }
    if area.kind == "burn":
        width_ft = settings.width_ft or FIREBREAK_FT
        if width_ft <= FIREBREAK_FT:
            say(
                "firebreak-default",
                f"the break round “{area.name}” is {feet(width_ft)} wide; {feet(FIREBREAK_FT)} is "
                "the least for a disked break on one state's job sheet. The burn manager sets "
                "the width for your fuel: strip.width_ft.",
                "caution",
            )
        return common | {
            "name": f"{area.name} firebreak", "kind": "firebreak", "width_ft": width_ft,
            "width": None, "law": None, "cautions": list(FIRE_CAUTIONS),
            "guidance": list(FIREBREAK_GUIDANCE),
            "notes": [note.to_dict() for note in notes], "case": None,
            "fail_below_ft": 0.0, "model": (None, None),
        }  # fmt: skip
    law = law_of(area.vine, prop.property.state)
    if law["eradication"]:
        say(
            "vine-unlawful",
            f"{area.vine} in {law['state']}: {law['text']}. Plan to get rid of it.",
        )
    case, why, missed = _case(settings, area, prop, today, sigma_m, season, patches, logged)
    own = measured_rate(taped, season) if taped else None
    rate = own.rate if own and own.counts else KUDZU[-1]
    widths = strip_width(case, KUDZU if rate in KUDZU else (*KUDZU, rate))
    width_ft = settings.width_ft or widths[rate.name]["width_ft"]
    if missed is not None:
        asked_ft = widths[rate.name]["width_ft"]
        say("strip-cut-missed", missed.words(_called(patches), today, asked_ft))
    if own is not None:
        say("transects", own.text, "info")
    elif taped:
        say(
            "transects-few",
            "fewer than five usable transects: the stress rate stays.",
            "info",
        )
    if not is_runner_vine(area.vine):
        say(
            "runner-control-only",
            f"the width model is drawn for kudzu; for “{area.vine or 'an unnamed vine'}” it "
            "is runner control only, and seed or spores jump any strip"
            + (f" ({row['why']})." if (row := vine_named(area.vine)) else "."),
        )
    if settings.width_ft is not None and settings.width_ft < widths["central"]["width_ft"]:
        say(
            "width-below-central",
            f"the strip is set to {feet(settings.width_ft)}; the central estimate for "
            f"{say_day(case.last_cut)} to {say_day(case.until)} is {feet(widths['central']['width_ft'])}.",
        )
    if sigma_m is not None and sigma_m > 4.0 and not settings.staked:  # noqa: PLR2004
        say(
            "edge-under-leaves",
            f"the edge of “{area.name}” was walked under poor sky: stake or tape it before "
            "trusting any width.",
        )
    if settings.live_node_ft is None:
        say(
            "not-inspected",
            f"nobody has looked for rooted vine outside the edge of “{area.name}”; walk it and "
            "write down how far out the farthest stands, 0 when there is none, as "
            "strip = { live_node_ft = 0 } under it in the property file.",
        )
    if not prop.property.keep_vine_confirmed:
        say(
            "vine-law",
            f"before keeping {area.vine or 'this vine'}, read your state's noxious-weed rule"
            + (f" ({prop.property.state})" if prop.property.state else "")
            + ". When it lets you keep the vine, confirm so in the property file.",
        )
    return common | {
        "name": f"{area.name} strip", "kind": "strip", "width_ft": width_ft, "width": widths,
        "law": law, "cautions": [f"To get rid of it, {step['when']}: {step['what']}."
                     for step in law["eradication"]] + list(VINE_CAUTIONS), "guidance": [],
        "measured": own.to_dict() if own else None, "design": rate.name,
        "notes": [note.to_dict() for note in notes],
        "case": {"of": area.name, "last_cut": case.last_cut.isoformat(), "next_cut": case.next_cut.isoformat(),
                 "slip_days": case.slip_days, "why": why},
        "fail_below_ft": widths["central"]["required_ft"], "model": (case, rate),
    }  # fmt: skip


def _case(
    settings: StripSettings, area: Area, prop: Property, today: dt.date,
    sigma_m: float | None, season: Season, patches: Sequence[str], logged: Sequence[dt.date],
) -> tuple[Case, str, Missed | None]:  # fmt: skip
    """Return what the width is worked out for: the cuts round a quiet span.

    Or the gap since the last of the ``logged`` cuts, when a missed one has made it longer.
    """
    words = words_of(area.kind, patches, _called(patches))
    found = seasons(prop.quiet, today.year - 1, today.year + 2)
    gap = hardest(words, found, prop.work, settings, season, today)
    assumed = ""
    if gap is None:
        found = seasons([COMMON], today.year - 1, today.year + 2)
        gap = hardest((), found, prop.work, settings, season, today)
        if gap is None:  # so far north that the vine does not run then
            coming = next(span for span in spans((), found) if span.first > today)
            gap = around(coming, (), found, prop.work, settings)
        assumed = "; no quiet season shuts this strip, so May 15 to July 3 is assumed (common practice, no source)"
    last_cut = settings.last_cut or gap.last_cut[0]
    next_cut = settings.next_cut or gap.next_cut[0]
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
        season=season,
    )
    why = (
        f"last cut {say_day(last_cut, year=True)}, next cut {say_day(next_cut, year=True)} "
        f"and up to {settings.slip_days} days of bad weather after it{assumed}"
    )
    if len(patches) > 1:
        why += (
            f"; of the patches in it, “{area.name}” asks for the most, in the quiet seasons "
            f"of all {len(patches)}"
        )
    mine = seasons(prop.quiet, today.year - 1, today.year + 2)
    planned = dated_cuts(
        words, mine, prop.work, settings, season, every_days=ROUTINE_DAYS, first=today,
        last=today,
    )  # fmt: skip
    missed = missed_cut(case, planned, logged, today, words, mine, prop.work)
    if missed is None or missed.case is case:
        return case, why, missed
    why = (
        f"last cut in the log {say_day(missed.since, year=True)}, next cut "
        f"{say_day(missed.next_cut, year=True)} and up to {settings.slip_days} days of bad weather "
        f"after it, because a cut was missed; as planned: {why}"
    )
    return missed.case, why, missed


def _measure(
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


def _weak_report(made: dict[str, Any], stations: Stations) -> list[dict[str, Any]]:
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


def _weak_frame(weak: Sequence[tuple[str, Weak]]) -> gpd.GeoDataFrame:
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


def _passes_frame(passes: Sequence[tuple[str, Pass]]) -> gpd.GeoDataFrame:
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


def _weak_note(made: dict[str, Any]) -> None:
    for weak in made["weak"]:
        made["notes"].append(
            Note(
                "strip-narrow",
                f"“{made['name']}” is only {feet(weak['available_ft'])} wide, of "
                f"{number(made['width_ft'])}, along {feet(weak['length_ft'])}: {weak['reason']}.",
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
