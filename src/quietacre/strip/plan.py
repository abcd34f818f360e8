"""Every strip of a property: its width, its ring, where it is too thin."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import shapely

from quietacre.as_json import as_json
from quietacre.days import say_day
from quietacre.errors import placed
from quietacre.figures import feet
from quietacre.frames import areas_by_id
from quietacre.kinds import strip_name
from quietacre.model import SETTINGS_FILE, Note, Transect
from quietacre.strip.groups import Known, one_strip_since, wanted_in_groups
from quietacre.strip.judged import (
    edge_verdicts,
    holding_notes,
    passes_frame,
    ring_size,
    strips_frame,
    weak_frame,
    weak_notes,
    weak_stretches,
    what_holds,
)
from quietacre.strip.law import is_runner_vine
from quietacre.strip.passes import Drive, Pass, mower_passes
from quietacre.strip.records import (
    MowerPasses,
    NothingToHold,
    Ring,
    WantedBreak,
    WantedStrip,
)
from quietacre.strip.ring import (
    Obstacle,
    Weak,
    beyond,
    edge_stations,
    strip_ring,
    within_reach,
)
from quietacre.strip.shared_ground import OnGround, shared_ground_told
from quietacre.strip.width import Mower

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    import geopandas as gpd
    import pandas as pd

    from quietacre.report_json.strip import RingJson
    from quietacre.settings import Property
    from quietacre.strip.records import Holding
    from quietacre.strip.wanted import Wanted


#: What a strip may not run over, and the word for it.
CUTS = {"water": "water", "keepout": "keep-out", "road": "road"}
#: Reach of a climbing runner, kept free beyond the strip. From memory: 10-20 ft.
CLIMB_FT = 10.0


@dataclass(frozen=True)
class StripPlan:
    """Strips, weak stretches and machine passes as EPSG:4326 frames; what is told of each."""

    strips: gpd.GeoDataFrame
    weak: gpd.GeoDataFrame
    passes: gpd.GeoDataFrame
    rings: tuple[Ring, ...]

    @property
    def report(self) -> list[RingJson]:
        """Return the strips and firebreaks as report.json holds them."""
        return [as_json(ring) for ring in self.rings]


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
    one_strip: Mapping[tuple[str, ...], dt.date] | None = None,
    about: str | None = None,
) -> StripPlan:
    """Return the strip round every patch and the break round every burn block.

    Patches nearer to each other than both their strips share one strip, and share it for a year
    after the log called them one, though the widths of later days be less. It may be cut only
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
    one_strip : patches that the log calls one strip, by their names: the last day of that.
    about : an area's id, for a preview: only the strip round that one, and no machine passes.

    Raises
    ------
    FrameProblem
        The areas cannot be joined with ``prop``.
    """
    areas = areas_by_id(areas, prop)
    ground = _Ground(areas, boundary)
    known = Known(
        today, walk_sigma, degree_days or {}, transects, cuts or {}, one_strip or {}
    )
    made_by_row, groups = wanted_in_groups(areas, prop, known)
    laid: list[_Laid] = []
    for rows in groups:
        if about is not None and about not in set(areas["id"].iloc[rows]):
            continue
        several = [made_by_row[row] for row in rows]
        records = [areas.iloc[row] for row in rows]
        with placed(SETTINGS_FILE, f"area “{several[0].ring.area}”"):
            one = _draw(
                f"s{len(laid) + 1:02d}", several, records, ground,
                one_strip_since(areas, prop, known, made_by_row, rows),
            )  # fmt: skip
            laid.append(one if about is not None else _driven(one, prop, ground))
    return _told(laid, ground)


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
        obstacles = []
        for of, name, shape in self.areas:
            if of in CUTS:
                words = f"{CUTS[of]} “{name}”"
                if kind == "firebreak" and of in ("water", "road"):
                    words += " (whether it serves as the break, the burn manager decides)"
                obstacles.append(Obstacle(words, shape))
            elif of == "timber" and kind == "strip":
                words = f"timber “{name}” within climbing reach ({feet(CLIMB_FT)})"
                obstacles.append(Obstacle(words, shape, CLIMB_FT))
            elif of == "plot" and kind == "strip":
                obstacles.append(Obstacle(f"plot “{name}”", shape))
        if self.boundary is not None:
            obstacles.append(beyond(self.boundary))
        return obstacles


class _Laid(NamedTuple):
    """A strip as laid out: what is told of it, round what, and its lines."""

    ring: Ring
    patch: shapely.Geometry
    shape: shapely.Geometry
    weak: tuple[Weak, ...]
    passes: tuple[Pass, ...] = ()


def _told(laid: Sequence[_Laid], ground: _Ground) -> StripPlan:
    """Return strips that are laid out as frames and records."""
    plots = [(name, shape) for kind, name, shape in ground.areas if kind == "plot"]
    rings = shared_ground_told(
        [OnGround(one.ring, one.patch, one.shape) for one in laid], plots
    )
    return StripPlan(
        strips=strips_frame(rings, [one.shape for one in laid]),
        weak=weak_frame([(one.ring.id, weak) for one in laid for weak in one.weak]),
        passes=passes_frame([(one.ring.id, drive) for one in laid for drive in one.passes]),
        rings=rings,
    )


def _patch_of(records: Sequence[pd.Series]) -> shapely.Geometry:
    """Return the ground of some areas as one shape."""
    shapes = [record.geometry for record in records]
    return shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)


def _draw(
    name: str, several: Sequence[Wanted], records: Sequence[pd.Series], ground: _Ground,
    logged: dt.date | None,
) -> _Laid:  # fmt: skip
    """Lay out one strip, round one patch or several close together, without passes.

    ``records`` are the rows of the areas in it; ``logged`` the day of the log that makes one
    strip of patches too far from each other for it.
    """
    patch = _patch_of(records)
    widest = max(several, key=lambda one: one.ring.width_ft)
    wanted = _shared(widest.ring, several, records, logged)
    keep_out = ground.near(patch, wanted.width_ft)
    shape = strip_ring(patch, wanted.width_ft, boundary=ground.boundary, keep_out=keep_out)
    size = ring_size(shape, patch, wanted.width_ft, records)
    stations = edge_stations(
        patch, wanted.width_ft, ground.obstacles(wanted.kind),
        fail_below_ft=wanted.fail_below_ft,
    )  # fmt: skip
    weak = weak_stretches(name, stations)
    holding: Holding | NothingToHold = NothingToHold()
    notes = weak_notes(wanted, weak)
    if shape.is_empty:
        notes.insert(0, Note("strip-empty", f"nothing of “{wanted.name}” fits."))
    if isinstance(wanted, WantedStrip) and widest.case and widest.rate:
        holding = what_holds(
            wanted.width_ft, weak, widest.case, widest.rate,
            planned_ft=max(one.planned_ft for one in several), length_ft=size.length_ft,
            patch_ac=sum(float(one["acres"]) for one in records), bare=wanted.bare,
            vine=next((one.vine for one in several if is_runner_vine(one.vine)), widest.vine),
        )  # fmt: skip
        point = patch.representative_point()
        notes += holding_notes(wanted, weak, widest.case, holding, (point.x, point.y))
    ring = Ring(
        wanted=wanted,
        also_of=tuple(record["id"] for record in records[1:]),
        id=name,
        size=size,
        stations=edge_verdicts(stations, weak, size.length_ft),
        weak=weak,
        holding=holding,
        passes=None,
    )
    return _Laid(ring.noted(notes), patch, shape, stations.weak)


def _shared(
    widest: WantedStrip | WantedBreak,
    several: Sequence[Wanted],
    records: Sequence[pd.Series],
    logged: dt.date | None,
) -> WantedStrip | WantedBreak:
    """Return what is wanted of a strip round some areas, the ``widest`` of what each wants."""
    first = records[0]
    if len(records) == 1:
        return replace(widest, of=first["id"])
    names = [record["name"] for record in records]
    point = first.geometry.representative_point()
    both = " and ".join(f"“{name}”" for name in names)
    goes = f"one strip of {feet(widest.width_ft)} goes round them"
    merged = Note(
        "strips-merged",
        f"{both} lie nearer than two widths"
        if logged is None
        else f"the log of {say_day(logged, year=True)} has {both} as one strip",
        "info", None, names[0], point.x, point.y,
        more=f"{goes} and fills the gap."
        if logged is None
        else f"{goes} until a year after that, though two would do now.",
    )  # fmt: skip
    notes = _told_once([note for one in several for note in one.ring.notes])
    return replace(
        widest,
        of=first["id"],
        name=strip_name(names),
        area=names[0],
        notes=(*notes, merged),
    )


def _told_once(notes: Sequence[Note]) -> list[Note]:
    """Return notes without those that say again what an earlier one says."""
    by_text: dict[tuple[str, str], Note] = {}
    for note in notes:
        by_text.setdefault((note.code, note.text), note)
    return list(by_text.values())


def _driven(laid: _Laid, prop: Property, ground: _Ground) -> _Laid:
    """Return a strip with the passes of the mower over it, a firebreak with those of the disk."""
    gear, wanted, patch = prop.equipment, laid.ring.wanted, laid.patch
    if wanted.kind == "strip":
        machine, mph = Mower(gear.mower_width_ft, gear.mower_overlap_ft), gear.mower_mph
    else:
        machine, mph = Mower(gear.disk_width_ft, 0.0), gear.disk_mph
    passes = mower_passes(
        patch, wanted.width_ft, machine, Drive(mph, gear.field_efficiency, gear.fuel_gal_hr),
        boundary=ground.boundary, keep_out=ground.near(patch, wanted.width_ft),
    )  # fmt: skip
    ring = replace(laid.ring, passes=_passes_told(wanted, passes))
    return laid._replace(ring=ring, passes=tuple(passes))


def _passes_told(wanted: WantedStrip | WantedBreak, passes: Sequence[Pass]) -> MowerPasses:
    """Return what the passes of a strip come to."""
    toward = "patch" if wanted.kind == "strip" else "block"
    return MowerPasses(
        count=len(passes),
        order=f"outermost first, toward the {toward}",
        length_ft=sum(one.length_ft for one in passes),
        minutes=sum(one.minutes for one in passes),
        fuel_gal=sum(one.fuel_gal for one in passes),
        each=tuple(one.figures() for one in passes),
    )
