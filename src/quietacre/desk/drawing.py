"""What the page asks while a person draws; answered in the process beside the server.

Nothing here changes a file. What is read of a place is kept until one of its files changes, so
that a corner on its way costs no reading.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.acreage.frame import LocalFrame
from quietacre.chance import CIRCULAR_95
from quietacre.desk.amounts import amounts_json
from quietacre.desk.asked import listed
from quietacre.desk.keeping import edges_file, rates
from quietacre.desk.pictures import pictures, place, place_edge, size
from quietacre.desk.pins import pins
from quietacre.desk.screen import drawn_pm_ft, figures_json
from quietacre.desk.strip_page import strip_json
from quietacre.desk.tables import table, table_file
from quietacre.drawing.cut import clip, hole, split, without
from quietacre.drawing.follow import follow
from quietacre.drawing.join import SAME_M, join, joins
from quietacre.drawing.sheet import (
    Redrawn,
    acres_of,
    line_of,
    place_of,
    polygons_of,
    rings_of,
)
from quietacre.drawing.stretch import straighten, strip_along, trim
from quietacre.drawing.take_in import take_in
from quietacre.edit.edge_error import new_error, old_edge
from quietacre.edit.redraw import edge_sum
from quietacre.errors import BadInput
from quietacre.logbook import LOG
from quietacre.measure.ground import paths
from quietacre.measure.one import Place
from quietacre.measure.otherwise import with_drawn_range
from quietacre.measure.records import Ground
from quietacre.model import SETTINGS_FILE, TRANSECTS
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    import shapely

    from quietacre.desk.asked import Asked
    from quietacre.desk.drawing_told import (
        AreaBeside,
        BesideTold,
        EdgeTold,
        ShapeTold,
        StripDrawn,
        StripTold,
        WalkTold,
    )
    from quietacre.desk.screen import FiguresTold
    from quietacre.measure.records import Measured
    from quietacre.settings import Area


# ---- places kept between questions ---------------------------------------------------------


@dataclass
class _Kept:
    """A place, the state of the files it was read from, and what was measured of it."""

    state: tuple[tuple[str, int, int], ...]
    place: Place
    grounds: dict[str, Ground]
    measured: Measured | None = None


_KEPT: dict[str, _Kept] = {}


def _state(folder: Path, place: Place | None) -> tuple[tuple[str, int, int], ...]:
    names = {SETTINGS_FILE, LOG, TRANSECTS}
    for area in place.prop.area if place else ():
        names |= {*paths(area.files), *paths(area.over or ())}
    if place is not None and place.prop.property.boundary:
        names.add(place.prop.property.boundary)
    state = []
    for name in sorted(names):
        try:
            stat = (folder / name).stat()
            state.append((name, stat.st_mtime_ns, stat.st_size))
        except OSError:
            state.append((name, 0, -1))
    return tuple(state)


def kept_place(folder: Path) -> _Kept:
    """Return a place as it stands now, read anew only when one of its files changed."""
    kept = _KEPT.get(str(folder))
    if kept is None or kept.state != _state(folder, kept.place):
        place = Place.of(folder)
        kept = _Kept(_state(folder, place), place, {})
        _KEPT.clear()  # of the place that was open before
        _KEPT[str(folder)] = kept
    return kept


def _ground(kept: _Kept, name: str) -> Ground:
    name = kept.place.area(name).name
    if name not in kept.grounds:
        kept.grounds[name] = kept.place.ground(name)
    return kept.grounds[name]


def _shapes(kept: _Kept, asked: Asked, key: str) -> list[shapely.Geometry]:
    """Return other ground: told as rings, or by the names of areas."""
    others = [polygons_of(rings, "the other piece") for rings in listed(asked.get(key))]
    return others + [_ground(kept, str(name)).shape for name in listed(asked.get("areas"))]


# ---- an edge, and what is done to one ------------------------------------------------------


def edge(folder: Path, asked: Asked) -> EdgeTold:
    """Return an area's edge at full digits, its walk, and the sum that tells a change of it."""
    kept = kept_place(folder)
    area = kept.place.area(str(asked.get("area") or ""))
    ground = _ground(kept, area.name)
    acres = float(acres_of([ground.shape])[0])
    low, high = ground.between(acres)
    layers = [kept.place.files.layer(name) for name in paths(area.files)]
    known = next(
        (
            word
            for layer in layers
            for word, held in (
                ("deed", layer.deed), ("legs", layer.traverse), ("pins", area.corners),
            )
            if held is not None
        ),
        None,
    )  # fmt: skip
    return {
        "area": area.name, "kind": area.kind, "polygons": rings_of(ground.shape),
        "acres": acres, "acres_low": low, "acres_high": high, "method": ground.method,
        "drawn": ground.walk is None and known is None, "edge_pm_ft": area.edge_pm_ft,
        "from": list(paths(area.files)), "over": list(paths(area.over or ())),
        "was": edge_sum(folder, area.name), "known": known, "walk": _walk(ground),
    }  # fmt: skip


def beside(folder: Path, asked: Asked) -> BesideTold:
    """Return the other areas about a piece as it is drawn, the nearest edge first.

    Each with the feet between, rounded up, and whether the two can be joined. Those that the
    piece took in already are left out.
    """
    kept = kept_place(folder)
    piece = polygons_of(asked.get("polygons"))
    gone = {str(name) for name in (asked.get("area"), *listed(asked.get("out"))) if name}
    names = [area.name for area in kept.place.prop.area if area.name not in gone]
    shapes = [piece, *(_ground(kept, name).shape for name in names)]
    here, *others = LocalFrame.around([piece]).to_local(np.array(shapes))
    apart_m = [float(other.distance(here)) for other in others]
    rows: list[AreaBeside] = [
        {
            "name": name, "ft": math.ceil(far / FT_M) if far > SAME_M else 0,
            "joins": far <= SAME_M and joins([piece, shape]),
        }
        for far, name, shape in zip(apart_m, names, shapes[1:], strict=True)
    ]  # fmt: skip
    return {"beside": [rows[n] for n in np.argsort(apart_m, kind="stable")]}


def _walk(ground: Ground) -> WalkTold | None:
    walk = ground.walk
    if walk is None:
        return None
    aside = zip(walk.removed_lon, walk.removed_lat, walk.removed_cause, strict=True)
    return {
        "kept": np.column_stack([walk.kept_lon, walk.kept_lat]).tolist(),
        "aside": [{"lon": float(x), "lat": float(y), "cause": why} for x, y, why in aside],
        "pm_ft": walk.sigma_m * CIRCULAR_95 / FT_M,
    }


def _split(_kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    return split(shape, line_of(asked.get("line")))


def _hole(_kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    return hole(shape, polygons_of([[asked.get("ring") or []]], "the ring"))


def _join(kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    return join([shape, *_shapes(kept, asked, "others")])


def _without(kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    return without(shape, _shapes(kept, asked, "others"))


def _clip(kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    if asked.get("line_polygons"):
        return clip(shape, polygons_of(asked["line_polygons"], "the line"))
    line = kept.place.line()
    if line is None:
        raise BadInput("there is no property line", fix="bring its file, or draw one")
    return clip(shape, line)


def _snap(kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    others = _shapes(kept, asked, "to")
    if not others:
        own = str(asked.get("area") or "").casefold()
        others = [
            _ground(kept, area.name).shape
            for area in kept.place.prop.area
            if area.name.casefold() != own
        ]
        line = kept.place.line()
        others += [] if line is None else [line]
    return follow(shape, others, _number(asked, "within_ft"))


def _straighten(_kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    ends = line_of([asked.get("from") or (), asked.get("to") or ()], "the stretch").coords
    return straighten(shape, ends[0], ends[-1], long_way=bool(asked.get("long_way")))


def _trim(_kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    spur, notch = (_number(asked, key, missing=0.0) for key in ("spur_ft", "notch_ft"))
    return trim(shape, spur_ft=spur, notch_ft=notch)


def _take_in(_kept: _Kept, asked: Asked, shape: shapely.Geometry) -> Redrawn:
    return take_in(shape, place_of(asked.get("place")))


#: What may be done to a piece of ground, by its word.
OPERATIONS: dict[str, Callable[[_Kept, Asked, shapely.Geometry], Redrawn]] = {
    "split": _split, "hole": _hole, "join": _join, "without": _without, "clip": _clip,
    "snap": _snap, "straighten": _straighten, "trim": _trim,
    "take_in": _take_in,
}  # fmt: skip


def shape(folder: Path, asked: Asked) -> ShapeTold:
    """Return what one operation makes of a piece; nothing is kept."""
    what = str(asked.get("do") or "")
    if what == "line":
        made = strip_along(line_of(asked.get("line")), _number(asked, "width_ft"))
    elif what in OPERATIONS:
        made = OPERATIONS[what](
            kept_place(folder), asked, polygons_of(asked.get("polygons"))
        )
    else:
        raise BadInput(
            f"“{what[:40]}” is not done here", fix=f"ask {', '.join(OPERATIONS)}"
        )
    return {
        "pieces": [
            {"polygons": rings_of(piece), "acres": acres}
            for piece, acres in zip(made.pieces, made.acres, strict=True)
        ],
        "before_ac": made.before_ac, "after_ac": sum(made.acres), "moved_ac": made.moved_ac,
        "said": list(made.said),
    }  # fmt: skip


def _number(asked: Asked, key: str, *, missing: float | None = None) -> float:
    value = asked.get(key, missing)
    if value is None:
        raise BadInput("a number of feet is missing", fix="type one, such as 12")
    if (
        isinstance(value, bool)
        or not isinstance(value, (int, float))
        or not np.isfinite(value)
    ):
        raise BadInput(
            f"“{str(value)[:24]}” is no number of feet", fix="type one, such as 12"
        )
    return float(value)


# ---- figures while a corner moves ----------------------------------------------------------


def strip(folder: Path, asked: Asked) -> StripTold:
    """Return an edge's acres with their ±, and the strip round it: what keeping it would give."""
    began = time.perf_counter()
    kept = kept_place(folder)
    piece = polygons_of(asked.get("polygons"))
    name = asked.get("area")
    pm_ft = drawn_pm_ft(folder, asked)
    acres = float(acres_of([piece])[0])
    area = kept.place.area(str(name)) if name else None
    old = None if area is None else _ground(kept, area.name)
    if area is not None and old is not None:
        base = old_edge(area, old)
        pm_ft = new_error(pm_ft, [base], piece, walked=old.walk is not None).pm_ft
    low, high = _between(piece, acres, area, old, pm_ft)
    strips = (
        [] if area is None else _strips(kept, folder, area.name, piece, (acres, low, high))
    )
    return {
        "acres": acres, "acres_low": low, "acres_high": high, "edge_pm_ft": pm_ft,
        "strips": strips, "took_ms": round(1000 * (time.perf_counter() - began)),
    }  # fmt: skip


def _between(
    piece: shapely.Geometry,
    acres: float,
    area: Area | None,
    old: Ground | None,
    pm_ft: float | None,
) -> tuple[float, float]:
    """Return the acres that a drawn edge lies between, a walk under it told for."""
    if area is not None and old is not None and old.walk is not None:
        from quietacre.boundary.mended import drawn_over

        mended, _ = drawn_over(old.walk, piece, area.name, "drawn", edge_pm_ft=pm_ft)
        return mended.acres_low, mended.acres_high
    return with_drawn_range(Ground(piece, None, "drawn", (), ()), pm_ft, None).between(
        acres
    )


def _strips(
    kept: _Kept, folder: Path, name: str, piece: shapely.Geometry,
    acres: tuple[float, float, float],
) -> list[StripDrawn]:  # fmt: skip
    """Return the strip or break round an area whose edge is another now."""
    if kept.place.area(name).kind not in ("patch", "burn"):
        return []
    import datetime as dt

    from quietacre.build import strips_of
    from quietacre.measure.property import measure_property
    from quietacre.record.book import book_of

    if kept.measured is None:
        kept.measured = measure_property(folder)
    prop, areas, extras = kept.measured
    areas = areas.copy()
    row = areas.index[areas["name"] == name][0]
    for column, value in zip(("acres", "acres_low", "acres_high"), acres, strict=True):
        areas.loc[row, column] = value
    areas.loc[[row], "geometry"] = areas.geometry.loc[[row]].map(lambda _: piece)
    plan = strips_of(
        kept.measured._replace(areas=areas), book_of(extras.done, prop),
        dt.date.today(),  # noqa: DTZ011 - the person's own day
        about=areas.loc[row, "id"],
    )  # fmt: skip
    of = dict(zip(areas["id"], areas["name"], strict=True))
    shapes = dict(zip(plan.strips["id"], plan.strips.geometry, strict=True))
    return [
        {
            "name": ring.name, "width_ft": ring.wanted.width_ft, "acres": ring.size.acres,
            "of": [of[key] for key in ring.round_ids],
            "polygons": rings_of(shapes[ring.id]) if ring.id in shapes else [],
        }
        for ring in plan.rings
        if name in [of[key] for key in ring.round_ids]
    ]  # fmt: skip


def figures(_folder: Path, asked: Asked) -> FiguresTold:
    """Return the numbers that the page works out acres and lengths with."""
    return figures_json(_number(asked, "lat"))


#: Questions of the page by their names.
ANSWERS: dict[str, Callable[[Path, Asked], Mapping[str, object]]] = {
    "edge": edge, "beside": beside, "shape": shape, "strip": strip, "figures": figures, "edges_file": edges_file,
    "rates": rates, "strip_of": strip_json, "size": size, "place": place, "place_edge": place_edge,
    "pictures": pictures, "pins": pins, "table": table, "table_file": table_file,
    "amounts": amounts_json,
}  # fmt: skip
