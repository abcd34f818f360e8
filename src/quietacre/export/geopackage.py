"""Every layer in one GeoPackage, with acres, amounts and dates as columns."""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypedDict

import pandas as pd

from quietacre.export.atomic import gdal_faults
from quietacre.export.data_columns import describe_columns
from quietacre.export.styles import LINES, SLD_TYPE, ground_sld, line_sld
from quietacre.figures import figure, printed
from quietacre.page.look_into import to_look_into
from quietacre.report_records import AreaReport

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping, Sequence

    import geopandas as gpd

    from quietacre.as_json import Sayer
    from quietacre.need.records import Need
    from quietacre.report_records import Piece, Report
    from quietacre.words.columns import Column
    from quietacre.year.records import YearTask


#: Each layer and the type of its shapes, in the order they are written.
LAYERS = {
    "areas": "MultiPolygon", "strips": "MultiPolygon", "weak": "MultiLineString",
    "passes": "MultiLineString", "walks": "MultiLineString", "bands": "MultiPolygon",
    "readings": "MultiPolygon", "removed": "Point", "previous": "MultiPolygon", "boundary": "MultiPolygon",
    "waypoints": "Point", "taped": "MultiLineString", "look_into": "Point",
}  # fmt: skip
#: The form that older desktop programs read without a warning.
FORM = {"VERSION": "1.2"}
GROUND = ("areas", "strips")
#: Columns of the table of tasks, and what each is called there.
TASKS = {
    "scheduled": "scheduled_on", "area": "area", "area_id": "area_id", "label": "task",
    "minutes": "minutes", "machine": "machine", "earliest": "earliest_on", "ideal": "ideal_on",
    "latest": "latest_on", "status": "status", "reason": "reason", "amounts": "amounts",
    "notes": "notes",
}  # fmt: skip
SHOPPING = {
    "item": "item", "what": "what", "unit": "unit", "need": "need", "need_low": "need_low",
    "need_high": "need_high", "done": "done", "left": "left", "on_hand": "on_hand",
    "from_stock": "from_stock", "buy": "buy", "pack": "pack",
    "packs": "packs", "price": "price_per_pack_usd", "cost": "cost_usd",
    "spent": "spent_usd",
}  # fmt: skip


#: Endings of columns that hold numbers, for when a column is empty throughout.
NUMBERS = ("_ton", "_usd", "_gal", "_lb", "_low", "_high", "_ac", "_bags", "pack", "packs")


class AmountColumns(TypedDict):
    """The amounts of one area as columns, their units in their names; None is not asked for."""

    seed_lb: float | None
    seed_lb_low: float | None
    seed_lb_high: float | None
    fertilizer_lb: float | None
    fertilizer_bags: float | None
    n_lb_ac: float | None
    p2o5_lb_ac: float | None
    k2o_lb_ac: float | None
    s_lb_ac: float | None
    lime_ton: float | None
    spray_gal: float | None
    cost_usd: float | None
    cost_usd_ac: float | None
    seed_text: str
    fertilizer_text: str
    setting_text: str


class DateColumns(TypedDict):
    """What is sown when, what was surveyed when, and the first and last task, as columns."""

    mix: str | None
    plant_on: dt.date | None
    surveyed_on: dt.date | None
    next_task: str | None
    next_task_on: dt.date | None
    last_task_on: dt.date | None
    tasks: int
    work_minutes: float
    history_text: str
    last_done: str | None
    last_done_on: dt.date | None
    jobs_done: int
    note: str | None


def amount_columns(need: Need | None) -> AmountColumns:
    """Return the amounts of one area as flat columns with units in their names."""
    seed = need.seed if need else ()
    spread = need.fertilizer if need else ()
    sprays = need.spray if need else ()
    lime = need.lime if need else None
    return {
        "seed_lb": _total([row.lb for row in seed]),
        "seed_lb_low": _total([row.lb_low for row in seed]),
        "seed_lb_high": _total([row.lb_high for row in seed]),
        "fertilizer_lb": _total([row.lb for row in spread]),
        "fertilizer_bags": _total([row.bags_exact for row in spread]),
        "n_lb_ac": _total([row.n_lb_ac for row in spread]),
        "p2o5_lb_ac": _total([row.p2o5_lb_ac for row in spread]),
        "k2o_lb_ac": _total([row.k2o_lb_ac for row in spread]),
        "s_lb_ac": _total([row.s_lb_ac for row in spread]),
        "lime_ton": lime.ton if lime else None,
        "spray_gal": _total([row.tank.gal for row in sprays]),
        "cost_usd": need.cost if need else None,
        "cost_usd_ac": need.cost_ac if need else None,
        "seed_text": "; ".join(f"{s.crop} {figure(s.lb, 'lb', 1)}" for s in seed),
        "fertilizer_text": "; ".join(f"{f.grade} {figure(f.lb, 'lb', 1)}" for f in spread),
        "setting_text": "; ".join(need.setting if need else ()),
    }


def _total(amounts: Sequence[float]) -> float | None:
    return round(float(sum(amounts)), 3) if amounts else None


def date_columns(row: Piece, tasks: Sequence[YearTask]) -> DateColumns:
    """Return the columns of days of an area or a strip, which has no mix and no survey."""
    planned = sorted(
        (task.scheduled, task.label)
        for task in tasks
        if task.status == "planned" and task.scheduled
    )
    done = row.record
    area = row if isinstance(row, AreaReport) else None
    return {
        "mix": area.mix if area else None,
        "plant_on": area.plant if area else None,
        "surveyed_on": area.surveyed if area else None,
        "next_task": planned[0][1] if planned else None,
        "next_task_on": planned[0][0] if planned else None,
        "last_task_on": planned[-1][0] if planned else None,
        "tasks": len(planned),
        "work_minutes": round(sum(t.minutes for t in tasks if t.scheduled), 1),
        "history_text": "; ".join(area.history if area else ()),
        "last_done": done[0].task if done else None,
        "last_done_on": done[0].on if done else None,
        "jobs_done": len(done),
        "note": area.note if area else None,
    }


def geopackage_bytes(
    layers: Mapping[str, gpd.GeoDataFrame], report: Report, more: Sequence[Column] = (),
    say: Sayer = printed,
) -> bytes:  # fmt: skip
    """Return a GeoPackage of all layers that hold something, as bytes.

    Besides the layers it holds the tables ``tasks``, ``shopping`` and ``styles``, the
    last with a Styled Layer Descriptor for each layer. The same layers give the same
    bytes: the times GDAL writes are set to the day of the report. Every table and column
    is described inside; ``more`` are columns that steps of other packages added to areas.
    ``say`` prints the figures of texts; columns of numbers have their unit in their name.
    """
    import pyogrio

    with tempfile.TemporaryDirectory(prefix="quietacre-") as place:
        path = Path(place) / "areas.gpkg"
        with gdal_faults(path):
            written = []
            for name, kind in LAYERS.items():
                frame = _frame(name, layers, report)
                if frame is None or (not len(frame) and name != "areas"):
                    continue
                pyogrio.write_dataframe(
                    _clean(frame, say), path, layer=name, driver="GPKG", geometry_type=kind,
                    promote_to_multi=kind.startswith("Multi"), append=path.exists(),
                    dataset_options=FORM,
                )  # fmt: skip
                written.append(name)
            for name, rows in _tables(report, written):
                if rows:
                    pyogrio.write_dataframe(
                        _clean(pd.DataFrame(rows), say),
                        path,
                        layer=name,
                        driver="GPKG",
                        append=True,
                        dataset_options=FORM,
                    )
            _settle(path, report.made_on, more)
            return _same_counters(path.read_bytes())


def _same_counters(data: bytes) -> bytes:
    """Return a closed SQLite file whose count of changes is always the same.

    How often GDAL commits depends on the clock. The two counters must agree (SQLite,
    "Database File Format", n.d., 1.3.7 and 1.3.22), or the size in the header is not believed.
    """
    one = (1).to_bytes(4, "big")
    return data[:24] + one + data[28:92] + one + data[96:]


def _frame(
    name: str, layers: Mapping[str, gpd.GeoDataFrame], report: Report
) -> gpd.GeoDataFrame | None:
    """Return a layer with everything that is known of its rows as columns."""
    if name == "look_into":
        return _look_into(report)
    frame = layers.get(name)
    if frame is None or name not in GROUND:
        return frame
    rows = {row.id: row for row in report.pieces()}
    jobs: dict[str, list[YearTask]] = {}
    for task in report.year.tasks:
        jobs.setdefault(task.area_id, []).append(task)
    extra = pd.DataFrame(
        [
            {
                **amount_columns(rows[key].need),
                **date_columns(rows[key], jobs.get(key, [])),
            }
            for key in frame["id"]
        ],
        index=frame.index,
    )
    return frame.join(extra)


def _look_into(report: Report) -> gpd.GeoDataFrame:
    """Return every warning and caution that has a place, as points."""
    import geopandas as gpd

    placed = [note for note, _ in to_look_into(report) if note.lon is not None]
    columns = {
        key: [getattr(n, key) for n in placed] for key in ("level", "code", "feature")
    } | {"text": [note.marked for note in placed]}
    points = gpd.points_from_xy([n.lon for n in placed], [n.lat for n in placed])
    return gpd.GeoDataFrame(columns, geometry=points, crs="EPSG:4326")


def _tables(
    report: Report, written: Sequence[str]
) -> Iterator[tuple[str, Sequence[Mapping[str, object]]]]:
    yield (
        "tasks",
        [
            {new: _told(getattr(task, old)) for old, new in TASKS.items()}
            for task in report.year.tasks
        ],
    )
    yield (
        "shopping",
        [
            {new: getattr(row, old) for old, new in SHOPPING.items()}
            for row in report.shopping
        ],
    )
    yield "styles", [
        {"layer": name, "format": SLD_TYPE, "sld": ground_sld(name) if name in GROUND else line_sld(name)}
        for name in written
        if name in GROUND or name in LINES
    ]  # fmt: skip


def _told(value: object) -> object:
    """Return a value of a record as a cell: several texts as one."""
    return "; ".join(value) if isinstance(value, tuple) else value


def _clean(frame: Any, say: Sayer) -> Any:  # noqa: ANN401 - with or without geometry
    """Return a frame that every reader takes: whole texts, printed, one type a column."""
    frame = frame.reset_index(drop=True).copy()
    for name in frame.columns:
        column = frame[name]
        if name == "geometry" or not (
            pd.api.types.is_object_dtype(column) or pd.api.types.is_string_dtype(column)
        ):
            continue
        if column.isna().all():
            number = name.endswith(NUMBERS)
            frame[name] = pd.Series(
                [None] * len(frame), dtype="float64" if number else "string"
            )
        elif column.map(lambda v: isinstance(v, str)).any():
            frame[name] = [
                say(text).encode("utf-8", "replace").decode()
                if isinstance(text, str)
                else text
                for text in column
            ]
    return frame


def _settle(path: Path, day: dt.date, more: Sequence[Column]) -> None:
    """Describe the columns, set the times GDAL writes to one day, declare dates as dates."""
    stamp = f"{day.isoformat()}T00:00:00.000Z"
    with closing(sqlite3.connect(path)) as base:
        describe_columns(base, more)
        base.execute("UPDATE gpkg_contents SET last_change = ?", (stamp,))
        # a date is text of ten letters in a GeoPackage; only its declared type differs
        base.execute("PRAGMA writable_schema = ON")
        base.execute(
            "UPDATE sqlite_master SET sql = replace(sql, '_on\" TEXT', '_on\" DATE') "
            "WHERE type = 'table' AND sql LIKE '%\\_on\" TEXT%' ESCAPE '\\'"
        )
        base.execute("PRAGMA writable_schema = OFF")
        base.commit()
        base.execute("VACUUM")
