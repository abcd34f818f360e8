"""The whole run, in order: read, boundary, measure, strips, needs, year, page.

Everything here is glue. Each step is a function of its own module and can be
run alone; this module only decides what goes into which.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

import geopandas as gpd
import numpy as np
import shapely

from quietacre import __version__
from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.overlap import covered_m2, find_overlaps, overlap_notes
from quietacre.boundary.repair import repair_all
from quietacre.boundary.walk import combine_walks, read_walk
from quietacre.errors import FileProblem, StripProblem
from quietacre.frames import areas_by_id
from quietacre.intake.limits import check_file, check_inside
from quietacre.intake.log import days_done, read_log
from quietacre.intake.property import read_property
from quietacre.intake.tapes import read_transects
from quietacre.intake.vector import read_layer
from quietacre.intake.weather import read_weather
from quietacre.model import WGS84, Job, Layer, Note, Transect, folded
from quietacre.strip.growth import degree_days_of
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from quietacre.boundary.walk import Walk
    from quietacre.daily import Daily
    from quietacre.settings import Area, Property

Frames = dict[str, gpd.GeoDataFrame]

#: A property is a few miles across; an area farther off than this from the
#: middle of the rest was surely misread. Common practice, no source.
FAR_OFF_DEG = 0.5

#: Steps of a build, in order, as a person would name them.
STEPS = (
    "reading and measuring",
    "strips",
    "amounts",
    "the year",
    "map",
    "writing",
)


@dataclass(frozen=True)
class Extras:
    """What measuring found besides the areas themselves.

    ``boundary`` is the property line or None; ``walks`` and ``previous`` go by
    area id; ``layers`` holds walks, removed, bands, previous, boundary and
    waypoints as EPSG:4326 frames.
    """

    boundary: shapely.Geometry | None
    walks: Mapping[str, Walk]
    previous: Mapping[str, shapely.Geometry]
    layers: Frames
    overlap_acres: float
    total_acres: float
    notes: tuple[Note, ...]
    area_notes: Mapping[str, tuple[Note, ...]] = field(default_factory=dict)
    previous_sigma: Mapping[str, float | None] = field(default_factory=dict)
    done: tuple[Job, ...] = ()
    degree_days: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    transects: tuple[Transect, ...] = ()
    weather: Daily | None = None


class Measured(NamedTuple):
    """A property read and measured, before anything is planned on it."""

    prop: Property
    areas: gpd.GeoDataFrame
    extras: Extras


class _Ground(NamedTuple):
    """One area's ground, however it was recorded."""

    shape: shapely.Geometry
    walk: Walk | None
    method: str
    notes: tuple[Note, ...]
    waypoints: tuple[Any, ...]


class _Files:
    """Reads each file of a property once."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen: dict[str, Layer] = {}

    def layer(self, name: str) -> Layer:
        if name not in self._seen:
            self._seen[name] = read_layer(self.folder / name, shown=name)
        return self._seen[name]


def _paths(files: str | tuple[str, ...]) -> tuple[str, ...]:
    return (files,) if isinstance(files, str) else tuple(files)


def _pick(layer: Layer, wanted: str | None, area: str) -> shapely.Geometry:
    """Return the polygons of a file that belong to one area, as one geometry."""
    asked = wanted or area
    # as it is typed first: a file may hold names that differ by a capital only
    rows = [i for i, name in enumerate(layer.name) if name == asked]
    names = [folded(name) for name in layer.name]
    rows = rows or [i for i, name in enumerate(names) if name == folded(asked)]
    if not rows and wanted is not None:
        known = ", ".join(sorted({f"“{name}”" for name in layer.name if name})) or "none"
        raise FileProblem(
            f"there is no feature named “{wanted}”",
            fix=f"use one of the names in the file ({known})",
            source=layer.source,
            where=f"area “{area}”",
        )
    if not rows and len(names) > 1 and len({name for name in names if name}) > 1:
        raise FileProblem(
            f"holds {len(names)} features and none is named “{area}”",
            fix='say which one with feature = "…" in property.toml',
            source=layer.source,
            where=f"area “{area}”",
        )
    chosen = layer.geometry[rows] if rows else layer.geometry
    if len(chosen) == 1:
        shape: shapely.Geometry = chosen[0]
        return shape
    return shapely.union_all(chosen)


def _drawn(
    layer: Layer, wanted: str | None, area: str
) -> tuple[shapely.Geometry, list[Note]]:
    shape = _pick(layer, wanted, area)
    fixed, notes = repair_all(np.array([shape], dtype=object), [area], [layer.source])
    return fixed[0], list(notes)


def _walked(layers: Sequence[Layer], area: Area) -> Walk:
    walks = [
        read_walk(
            layer.tracks,
            walked_inside_ft=area.walked_inside_ft or 0.0,
            walked_outside_ft=area.walked_outside_ft or 0.0,
            sky=area.sky,
        )
        for layer in layers
    ]
    return walks[0] if len(walks) == 1 else combine_walks(walks)


def _ground(files: _Files, area: Area) -> _Ground:
    """Return an area's ground from its drawing, or from its walk or walks."""
    layers = [files.layer(name) for name in _paths(area.files)]
    notes = [note for layer in layers for note in layer.notes]
    points = tuple(point for layer in layers for point in layer.waypoints)
    drawn = [layer for layer in layers if len(layer.geometry)]
    if drawn:
        shapes = []
        for layer in drawn:
            shape, said = _drawn(layer, area.feature, area.name)
            shapes.append(shape)
            notes += said
        shape = shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)
        if len(drawn) < len(layers):
            notes.append(
                Note(
                    "drawing-over-walk",
                    f"“{area.name}” has a drawing and a walk; the drawing was measured. "
                    "List only the walks to measure them instead.",
                    level="caution",
                    feature=area.name,
                )
            )
        if area.walked_inside_ft or area.walked_outside_ft:
            notes.append(
                Note(
                    "drawing-not-moved",
                    f"“{area.name}” is drawn, so walked_inside_ft / walked_outside_ft "
                    "was not applied.",
                    level="caution",
                    feature=area.name,
                )
            )
        return _Ground(shape, None, "drawn", tuple(notes), points)
    if not any(layer.tracks for layer in layers):
        raise FileProblem(
            "holds no polygon and no track",
            fix="give a file with the edge of the area in it",
            source=layers[0].source,
            where=f"area “{area.name}”",
        )
    walk = _walked(layers, area)
    return _Ground(
        walk.polygon, walk, f"walked: {walk.method}", tuple(notes) + walk.notes, points
    )


def _boundary(files: _Files, prop: Property) -> tuple[shapely.Geometry | None, list[Note]]:
    if prop.property.boundary is None:
        return None, []
    layer = files.layer(prop.property.boundary)
    if len(layer.geometry):
        fixed, notes = repair_all(
            np.array([shapely.union_all(layer.geometry)], dtype=object),
            ["the property line"],
            [layer.source],
        )
        return fixed[0], list(layer.notes) + list(notes)
    if layer.tracks:
        walk = read_walk(layer.tracks, source=layer.source)
        return walk.polygon, list(layer.notes) + list(walk.notes)
    raise FileProblem(
        "holds no polygon and no track",
        fix="draw or walk the property line",
        source=layer.source,
        where="property.boundary",
    )


def _place(note: Note, name: str, point: shapely.Point) -> Note:
    """Return the note with its area and a place to point at."""
    if note.lon is not None:
        return note
    return Note(
        note.code,
        note.text,
        note.level,
        note.source,
        note.feature or name,
        point.x,
        point.y,
    )


def measure_property(folder: Path) -> Measured:
    """Read property.toml and every file it names, and measure the ground.

    Parameters
    ----------
    folder : the property folder. Nothing in it is changed.

    Returns
    -------
    Measured
        The settings; one row per area (EPSG:4326) with id, name, kind, source,
        acres, acres_low, acres_high [ac], perimeter_ft [ft], sigma_m [m] and
        method; and what else was found.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    prop = read_property(folder)
    files = _Files(folder)
    boundary, boundary_notes = _boundary(files, prop)
    ids = list(prop.area_by_id)
    ground = [_ground(files, area) for area in prop.area]
    shapes = np.array([piece.shape for piece in ground] or [None], dtype=object)[
        : len(ground)
    ]
    square_m = area_m2(shapes)
    acres = square_m / ACRE_M2
    rows: dict[str, Any] = {
        "id": ids,
        "name": [area.name for area in prop.area],
        "kind": [area.kind for area in prop.area],
        "source": [", ".join(_paths(area.files)) for area in prop.area],
        "acres": acres,
        "acres_low": [
            piece.walk.acres_low if piece.walk else float(acre)
            for piece, acre in zip(ground, acres, strict=True)
        ],
        "acres_high": [
            piece.walk.acres_high if piece.walk else float(acre)
            for piece, acre in zip(ground, acres, strict=True)
        ],
        "perimeter_ft": perimeter_m(shapes) / FT_M,
        "sigma_m": [piece.walk.sigma_m if piece.walk else math.nan for piece in ground],
        "method": [piece.method for piece in ground],
    }
    areas = gpd.GeoDataFrame(rows, geometry=list(shapes), crs=WGS84)

    points = shapely.point_on_surface(shapes)
    area_notes = {
        key: tuple(_place(note, area.name, point) for note in piece.notes)
        for key, area, piece, point in zip(ids, prop.area, ground, points, strict=True)
    }
    previous = _previous(files, prop, ids)
    overlaps = find_overlaps(shapes)
    total_m2 = covered_m2(shapes, overlaps)
    extras = Extras(
        boundary=boundary,
        walks={
            key: piece.walk for key, piece in zip(ids, ground, strict=True) if piece.walk
        },
        previous={key: shape for key, (shape, _) in previous.items()},
        previous_sigma={key: sigma for key, (_, sigma) in previous.items()},
        layers=_side_layers(prop, ids, ground, boundary),
        overlap_acres=float(square_m.sum() - total_m2) / ACRE_M2,
        total_acres=total_m2 / ACRE_M2,
        notes=(
            *boundary_notes,
            *overlap_notes(overlaps, rows["name"], square_m),
            *_place_notes(areas, boundary),
        ),
        area_notes=area_notes,
        done=_done(folder),
        degree_days={
            key: degree_days_of(read_weather(folder / name, shown=name))
            for key, area in zip(ids, prop.area, strict=True)
            if area.strip and (name := area.strip.temperatures) is not None
        },
        transects=_transects(folder),
        weather=_weather(folder, prop),
    )
    extras.layers["previous"] = _previous_layer(prop, ids, extras.previous)
    return Measured(prop, areas, extras)


def _own_list(folder: Path, name: str) -> Path | None:
    """Return a list that is read when it is there; None without one.

    Raises
    ------
    FileProblem
        Something of that name is there, and is no file of this folder.
    """
    path = folder / name
    if not path.is_symlink() and not path.exists():
        return None
    check_inside(folder, path, name)
    check_file(path, name)
    return path


def _done(folder: Path) -> tuple[Job, ...]:
    path = _own_list(folder, "log.csv")
    return read_log(path, shown="log.csv") if path else ()


def _record(done: Sequence[Job], name: str) -> list[dict[str, str]]:
    """Return what was done on one piece of ground, the newest first."""
    mine = sorted((job for job in done if job.area == name), key=lambda job: job.on)
    return [
        {"on": job.on.isoformat(), "task": job.task, "more": job.more}
        for job in reversed(mine)
    ]


def _transects(folder: Path) -> tuple[Transect, ...]:
    path = _own_list(folder, "transects.csv")
    return read_transects(path, shown="transects.csv") if path else ()


def _weather(folder: Path, prop: Property) -> Daily | None:
    if prop.weather is None:
        return None
    return read_weather(folder / prop.weather.files, shown=prop.weather.files)


def _previous(
    files: _Files, prop: Property, ids: Sequence[str]
) -> dict[str, tuple[shapely.Geometry, float | None]]:
    """Return the earlier survey of each patch that has one, and its sigma [m] if walked."""
    found: dict[str, tuple[shapely.Geometry, float | None]] = {}
    for key, area in zip(ids, prop.area, strict=True):
        if area.previous is None:
            continue
        layers = [files.layer(name) for name in _paths(area.previous.files)]
        drawn = [layer for layer in layers if len(layer.geometry)]
        if drawn:
            shape = shapely.union_all(
                [_drawn(layer, None, area.name)[0] for layer in drawn]
            )
            found[key] = (shape, None)
        else:
            walk = _walked(layers, area)
            found[key] = (walk.polygon, walk.sigma_m)
    return found


def _previous_layer(
    prop: Property, ids: Sequence[str], previous: Mapping[str, shapely.Geometry]
) -> gpd.GeoDataFrame:
    on = {
        key: area.previous.on.isoformat()
        for key, area in zip(ids, prop.area, strict=True)
        if area.previous is not None
    }
    return gpd.GeoDataFrame(
        {"id": list(previous), "on": [on[key] for key in previous]},
        geometry=list(previous.values()),
        crs=WGS84,
    )


def _side_layers(
    prop: Property,
    ids: Sequence[str],
    ground: Sequence[_Ground],
    boundary: shapely.Geometry | None,
) -> Frames:
    """Return walks, removed fixes, ± bands, waypoints and the property line."""
    walked = [
        (key, area, piece)
        for key, area, piece in zip(ids, prop.area, ground, strict=True)
        if piece.walk is not None
    ]
    walks, bands, removed = [], [], []
    for key, area, piece in walked:
        walk = piece.walk
        assert walk is not None  # noqa: S101 - for the type checker
        source = ", ".join(_paths(area.files))
        if len(walk.kept_lon) > 1:
            line = shapely.linestrings(np.column_stack([walk.kept_lon, walk.kept_lat]))
            walks.append((key, source, line))
        if walk.band is not None and not walk.band.is_empty:
            bands.append((key, walk.band))
        removed += [
            (key, cause, shapely.Point(lon, lat))
            for lon, lat, cause in zip(
                walk.removed_lon, walk.removed_lat, walk.removed_cause, strict=True
            )
        ]
    points = {
        (point.name, point.lon, point.lat): point
        for piece in ground
        for point in piece.waypoints
    }.values()

    def frame(columns: dict[str, list[Any]], shapes: list[Any]) -> gpd.GeoDataFrame:
        return gpd.GeoDataFrame(columns, geometry=shapes, crs=WGS84)

    return {
        "walks": frame(
            {"id": [w[0] for w in walks], "source": [w[1] for w in walks]},
            [w[2] for w in walks],
        ),
        "bands": frame({"id": [b[0] for b in bands]}, [b[1] for b in bands]),
        "removed": frame(
            {"id": [r[0] for r in removed], "cause": [r[1] for r in removed]},
            [r[2] for r in removed],
        ),
        "waypoints": frame(
            {"name": [p.name for p in points]},
            [shapely.Point(p.lon, p.lat) for p in points],
        ),
        "boundary": frame(
            {"name": [prop.property.name] if boundary is not None else []},
            [boundary] if boundary is not None else [],
        ),
    }


def _place_notes(
    areas: gpd.GeoDataFrame, boundary: shapely.Geometry | None
) -> tuple[Note, ...]:
    """Return notes on areas that lie where they should not."""
    if not len(areas):
        return ()
    notes = []
    points = areas.geometry.representative_point()
    middle_lon, middle_lat = float(points.x.median()), float(points.y.median())
    for name, shape, point in zip(areas["name"], areas.geometry, points, strict=True):
        where = {"feature": name, "lon": point.x, "lat": point.y}
        off = max(abs((point.x - middle_lon + 180) % 360 - 180), abs(point.y - middle_lat))
        if off > FAR_OFF_DEG:
            notes.append(
                Note(
                    "area-far-off",
                    f"“{name}” lies {off:.1f}° from the rest of the property; "
                    "check its file's coordinates and reference system.",
                    **where,
                )
            )
        elif boundary is not None and not shape.intersects(boundary):
            notes.append(
                Note("area-outside", f"“{name}” lies outside the property line.", **where)
            )
        elif boundary is not None:
            outside = float(area_m2(np.array([shape.difference(boundary)]))[0])
            share = outside / max(float(area_m2(np.array([shape]))[0]), 1e-9)
            if share > 0.02 and outside > ACRE_M2 / 50:  # noqa: PLR2004 - walk error
                notes.append(
                    Note(
                        "area-crosses-boundary",
                        f"{outside / ACRE_M2:.2f} ac of “{name}” lie outside the property "
                        "line; nothing should be sown or cut there without the neighbor.",
                        **where,
                    )
                )
    return tuple(notes)


@dataclass(frozen=True)
class Built:
    """A finished build: the report, the layers, and every file to write."""

    report: dict[str, Any]
    layers: Frames
    files: Mapping[str, bytes]


def plan_property(
    measured: Measured, *, today: dt.date, tell: Callable[[str], None] = lambda _step: None
) -> tuple[dict[str, Any], Frames]:
    """Return the report and the layers of a measured property.

    Parameters
    ----------
    measured : what ``measure_property`` returned.
    today : the day the plan is made.
    tell : called with the name of each step as it begins.
    """
    from quietacre.need.plan import plan_needs
    from quietacre.strip.plan import plan_strips
    from quietacre.year.report import plan_year

    measured = measured._replace(areas=areas_by_id(measured.areas, measured.prop))
    prop, areas, extras = measured
    tell(STEPS[1])
    strips = plan_strips(
        areas,
        prop,
        extras.boundary,
        today=today,
        walk_sigma={key: walk.sigma_m for key, walk in extras.walks.items()},
        degree_days=extras.degree_days,
        transects=extras.transects,
    )
    tell(STEPS[2])
    place = _property_report(prop, extras)
    needs = plan_needs(areas, prop, strips=strips.strips, property_acres=place["acres"])
    tell(STEPS[3])
    year = plan_year(
        areas,
        prop,
        today=today,
        needs=needs.by_id,
        strips_report=strips.report,
        done=days_done(extras.done),
        weather=extras.weather,
    )
    strip_rows = [
        {
            **row,
            "need": needs.by_id.get(row["id"]),
            "advance": _advance(measured, row),
            "record": _record(extras.done, row["name"]),
        }
        for row in strips.report
    ]
    report: dict[str, Any] = {
        "schema": 1,
        "made_on": today.isoformat(),
        "version": __version__,
        "property": place,
        "totals": _totals(areas, extras, needs.shopping),
        "areas": [_area_report(measured, row, needs.by_id) for row in range(len(areas))],
        "strips": strip_rows,
        "shopping": needs.shopping,
        "fertilizer_plan": needs.fertilizer_plan,
        "how_much": needs.how_much,
        "crops": needs.crops,
        "year": year.report,
        "cautions": needs.cautions,
        "notes": [note.to_dict() for note in (*extras.notes, *year.notes)],
    }
    layers = {
        "areas": areas,
        "strips": strips.strips,
        "weak": strips.weak,
        "passes": strips.passes,
        **extras.layers,
    }
    return plain(report), layers


def _advance(measured: Measured, strip: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return how far a strip's patch moved since its last survey, None without one."""
    extras = measured.extras
    surveyed = [key for key in (strip["of"], *strip["also_of"]) if key in extras.previous]
    if not surveyed or strip["kind"] != "strip":
        return None
    # of patches that share a strip, the one that moved farthest
    moves = [_moved(measured, key, strip["width_ft"]) for key in surveyed]
    return max(moves, key=lambda moved: float(moved["most_ft"]))


def _moved(measured: Measured, key: str, width_ft: float) -> dict[str, Any]:
    """Return how far one patch moved since its last survey."""
    from quietacre.strip.advance import advance
    from quietacre.strip.ring import strip_ring

    prop, areas, extras = measured
    settings = prop.area_by_id[key]
    walk = extras.walks.get(key)
    try:
        moved = advance(
            extras.previous[key],
            areas.set_index("id").geometry[key],
            old_on=settings.previous.on if settings.previous else None,
            new_on=settings.surveyed,
            old_sigma_m=extras.previous_sigma.get(key),
            new_sigma_m=walk.sigma_m if walk else None,
            strip=strip_ring(extras.previous[key], width_ft),
        )
    except StripProblem as problem:
        raise StripProblem(
            problem.what,
            fix=problem.fix,
            source="property.toml",
            where=f"area “{settings.name}”",
        ) from problem
    return {"area": settings.name, **moved.to_dict()}


def _property_report(prop: Property, extras: Extras) -> dict[str, Any]:
    acres = None
    if extras.boundary is not None:
        acres = float(area_m2(np.array([extras.boundary], dtype=object))[0]) / ACRE_M2
    return {
        "name": prop.property.name,
        "state": prop.property.state,
        "acres": acres,
        "acres_low": acres,
        "acres_high": acres,
        "note": prop.property.note,
    }


def _totals(
    areas: gpd.GeoDataFrame, extras: Extras, shopping: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    # Walks err independently, so their half-widths add in squares.
    below = float(np.sqrt(((areas["acres"] - areas["acres_low"]) ** 2).sum()))
    above = float(np.sqrt(((areas["acres_high"] - areas["acres"]) ** 2).sum()))
    costs = [row["cost"] for row in shopping if row.get("cost") is not None]
    return {
        "total_acres": extras.total_acres,
        "total_acres_low": max(extras.total_acres - below, 0.0),
        "total_acres_high": extras.total_acres + above,
        "by_kind": {
            kind: float(group["acres"].sum())
            for kind, group in areas.groupby("kind", sort=True)
        },
        "overlap_acres": max(extras.overlap_acres, 0.0),
        "cost": round(float(sum(costs)), 2) if costs else None,
    }


def _area_report(
    measured: Measured, row: int, needs: Mapping[str, Mapping[str, Any]]
) -> dict[str, Any]:
    prop, areas, extras = measured
    record = areas.iloc[row]
    settings = prop.area_by_id[record["id"]]
    walk = extras.walks.get(record["id"])
    point = record.geometry.representative_point()
    half = (record["acres_high"] - record["acres_low"]) / 2
    need = needs.get(record["id"])
    return {
        "id": record["id"],
        "name": record["name"],
        "kind": record["kind"],
        "source": record["source"],
        "acres": record["acres"],
        "acres_low": record["acres_low"],
        "acres_high": record["acres_high"],
        "half_width_pct": 100 * half / record["acres"] if record["acres"] > 0 else 0.0,
        "perimeter_ft": record["perimeter_ft"],
        "method": record["method"],
        "walk": walk.to_dict() if walk else None,
        "need": need,
        "settings": list(need["setting"]) if need and need.get("setting") else [],
        "mix": settings.mix,
        "plant": settings.plant.isoformat() if settings.plant else None,
        "vine": settings.vine,
        "surveyed": settings.surveyed.isoformat() if settings.surveyed else None,
        "history": list(settings.history),
        "record": _record(extras.done, record["name"]),
        "note": settings.note,
        "notes": [note.to_dict() for note in extras.area_notes.get(record["id"], ())],
        "lon": point.x,
        "lat": point.y,
    }


def plain(value: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return ``value`` with numpy scalars unwrapped, NaN as None, tuples as lists."""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float):
        return round(value, 6) if math.isfinite(value) else None
    return value


def build_property(
    folder: Path, *, today: dt.date, tell: Callable[[str], None] = lambda _step: None
) -> Built:
    """Work out everything for a property folder, without writing a file.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    tell(STEPS[0])
    measured = measure_property(folder)
    report, layers = plan_property(measured, today=today, tell=tell)
    tell(STEPS[4])
    under = _under(folder, measured)
    return Built(report, layers, render_files(report, layers, measured.prop, under))


def _under(folder: Path, measured: Measured) -> dict[str, Any] | None:
    """Return the picture laid under the map, None when none is asked for."""
    chart = measured.prop.map
    if chart.picture is None or not len(measured.areas):
        return None
    from quietacre.intake.picture import read_picture
    from quietacre.page.under import laid_under

    path = folder / chart.picture
    picture = read_picture(path, shown=chart.picture, crs=chart.picture_crs)
    edge = measured.extras.boundary
    west, south, east, north = (
        edge.bounds if edge is not None else measured.areas.total_bounds
    )
    return laid_under(picture, (west, south, east, north))


def render_files(
    report: dict[str, Any],
    layers: Frames,
    prop: Property,
    under: dict[str, Any] | None = None,
) -> dict[str, bytes]:
    """Return every output file by name, as bytes; ``under`` is the map's picture."""
    from quietacre.export.calendar import calendar_ics, plan_csv
    from quietacre.export.geopackage import geopackage_bytes
    from quietacre.export.kml import phone_kml
    from quietacre.export.lists import report_json, shopping_csv
    from quietacre.export.phone import phone_gpx
    from quietacre.export.sheets import field_sheets_pdf
    from quietacre.export.styles import ground_sld
    from quietacre.page.map import render_page

    chart = prop.map
    tiles = None
    if chart.tiles is not None:
        tiles = {
            "url": chart.tiles,
            "credit": chart.tiles_credit,
            "most_zoom": chart.tiles_most_zoom,
        }
    page = render_page(report, layers, units=chart.units, under=under, tiles=tiles)
    return {
        "map.html": page.encode(),
        "field-sheets.pdf": field_sheets_pdf(report, layers, units=prop.map.units),
        "areas.gpkg": geopackage_bytes(layers, report),
        "ground.sld": ground_sld("areas").encode(),
        "report.json": report_json(report).encode(),
        "shopping.csv": shopping_csv(report).encode(),
        "plan.csv": plan_csv(report).encode(),
        "calendar.ics": calendar_ics(report),
        "phone.gpx": phone_gpx(report, layers).encode(),
        "phone.kml": phone_kml(report, layers).encode(),
    }
