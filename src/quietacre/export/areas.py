"""A row an area, written as it comes: CSV for a spreadsheet, GeoPackage or GeoJSON for others."""

from __future__ import annotations

import csv
import json
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NotRequired, TypedDict

import numpy as np
import shapely

from quietacre.errors import FileProblem
from quietacre.export.atomic import gdal_faults, staged
from quietacre.export.lists import cell
from quietacre.figures import printed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from quietacre.as_json import Sayer
    from quietacre.model import Cell

    #: The other columns of a person's file, of each area.
    Columns = Sequence[Mapping[str, Cell]]
    #: Takes areas, their shapes and the file's other columns of each; gives those left out.
    Write = Callable[[Sequence["AreaRow"], NDArray[np.object_], Columns], set[str]]

TEXTS = ("name", "kind", "source")
FIGURES = ("acres", "acres_low", "acres_high", "perimeter_ft")
WARNINGS = "warnings"
OURS = (*TEXTS, *FIGURES, WARNINGS)
#: What writes which ending, in the words of a refusal.
ENDINGS = (".csv", ".gpkg", ".geojson", ".json")


class AreaRow(TypedDict):
    """An area that was measured, as a file and the JSON of ``quietacre acres`` have it. [ac, ft]

    ``number`` is its number in its file and ``edge`` its shape as GeoJSON, where they were
    asked for.
    """

    name: str
    kind: str
    source: str
    acres: float
    acres_low: float
    acres_high: float
    perimeter_ft: float
    warnings: list[str]
    number: NotRequired[int]
    edge: NotRequired[object]


@dataclass(frozen=True)
class Others:
    """Columns of the person's own file, in their order, and what each holds."""

    kinds: Mapping[str, type]

    @classmethod
    def of(cls, rows: Columns) -> Others:
        """Return the columns of the first features; ours come before one of the same name."""
        kinds: dict[str, type] = {}
        for row in rows:
            for name, value in row.items():
                if name.casefold() in OURS:
                    continue
                kind = _kind(value)
                held = kinds.get(name)
                kinds[name] = kind if held is None else _wider(held, kind)
        return cls(
            {name: str if kind is _Nothing else kind for name, kind in kinds.items()}
        )

    def left_out(self, rows: Columns) -> set[str]:
        """Return columns of later features that the first have not."""
        names = {name for row in rows for name in row if name.casefold() not in OURS}
        return names - set(self.kinds)

    def value(self, row: Mapping[str, Cell], name: str) -> Cell:
        """Return the cell of a column, as what the column holds; None when it cannot be that."""
        value = row.get(name)
        if value is None:
            return None
        kind = self.kinds[name]
        if kind is str:
            return str(value)
        return kind(value) if isinstance(value, (int, float)) else None


class _Nothing:
    """What a column holds whose cells are all empty so far."""


def _kind(value: object) -> type:
    if value is None:
        return _Nothing
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str
    return int if isinstance(value, int) and abs(value) < 2**63 else float


def _wider(one: type, other: type) -> type:
    """Return what holds both kinds of cells."""
    kinds = {one, other} - {_Nothing}
    if len(kinds) < 2:  # noqa: PLR2004 - one of them, or none
        return kinds.pop() if kinds else _Nothing
    return str if str in kinds else float


@contextmanager
def areas_file(path: Path, say: Sayer = printed) -> Iterator[Write]:
    """Give a function that takes rows and their shapes; the file appears whole at the end.

    ``say`` prints the figures of what is said of an area.

    Raises
    ------
    FileProblem
        The name ends in none of ``ENDINGS``.
    OSError
        The file system refused; what stood at ``path`` stands there still.
    """
    suffix = path.suffix.lower()
    if suffix not in ENDINGS:
        raise FileProblem(
            f"files ending in “{suffix or 'nothing'}” are not written",
            fix="name a .csv, a .gpkg or a .geojson",
            source=str(path),
        )
    with staged(path) as stage:
        if suffix == ".gpkg":
            yield _geopackage(stage, say)
            return
        with stage.open("x", encoding="utf-8", newline="") as handle:
            if suffix == ".csv":
                yield _csv(csv.writer(handle, lineterminator="\n"), say)
                return
            handle.write('{"type": "FeatureCollection", "features": [')
            yield _geojson(handle.write, say)
            handle.write("\n]}\n")


def _texts(row: AreaRow) -> tuple[str, str, str]:
    """Return the texts of an area, in the order of `TEXTS`."""
    return row["name"], row["kind"], row["source"]


def _figures(row: AreaRow) -> tuple[float, float, float, float]:
    """Return the figures of an area, in the order of `FIGURES`."""
    return row["acres"], row["acres_low"], row["acres_high"], row["perimeter_ft"]


def _csv(writer: Any, say: Sayer) -> Write:  # noqa: ANN401 - the standard library's own
    carried: list[Others] = []

    def write(
        rows: Sequence[AreaRow], _shapes: NDArray[np.object_], columns: Columns
    ) -> set[str]:
        if not carried:
            carried.append(Others.of(columns))
            writer.writerow([*OURS, *map(cell, carried[0].kinds)])
        others = carried[0]
        for row, more in zip(rows, columns, strict=True):
            words = map(cell, _texts(row))
            figures = [round(figure, 6) for figure in _figures(row)]
            rest = [others.value(more, name) for name in others.kinds]
            warnings = cell(say(" ".join(row["warnings"])))
            writer.writerow(
                [
                    *words,
                    *figures,
                    warnings,
                    *(cell(v) if isinstance(v, str) else v for v in rest),
                ]
            )
        return others.left_out(columns)

    return write


def _geojson(put: Callable[[str], object], say: Sayer) -> Write:
    carried: list[Others] = []
    before = [""]

    def write(
        rows: Sequence[AreaRow], shapes: NDArray[np.object_], columns: Columns
    ) -> set[str]:
        if not carried:
            carried.append(Others.of(columns))
        others = carried[0]
        for row, shape, more in zip(rows, shapes, columns, strict=True):
            own: Iterable[tuple[str, Cell]] = zip(
                (*TEXTS, *FIGURES), (*_texts(row), *_figures(row)), strict=True
            )
            properties: dict[str, Cell] = dict(own)
            properties[WARNINGS] = say(" ".join(row["warnings"]))
            properties |= {name: others.value(more, name) for name in others.kinds}
            feature = {"type": "Feature", "properties": properties,
                       "geometry": json.loads(shapely.to_geojson(shape))}  # fmt: skip
            put(f"{before[0]}\n" + json.dumps(feature, ensure_ascii=False))
            before[0] = ","
        return others.left_out(columns)

    return write


def _geopackage(path: Path, say: Sayer) -> Write:
    carried: list[Others] = []

    def write(
        rows: Sequence[AreaRow], shapes: NDArray[np.object_], columns: Columns
    ) -> set[str]:
        if not carried:
            carried.append(Others.of(columns))
        others = carried[0]
        texts = [_texts(row) for row in rows]
        figures = [_figures(row) for row in rows]
        named: dict[str, NDArray[Any]] = {
            key: np.array([some[n] for some in texts], dtype=object)
            for n, key in enumerate(TEXTS)
        }
        named |= {
            key: np.array([some[n] for some in figures], dtype=float)
            for n, key in enumerate(FIGURES)
        }
        said = [say(" ".join(row["warnings"])) for row in rows]
        named[WARNINGS] = np.array(said, dtype=object)
        masks: list[NDArray[np.bool_] | None] = [None] * len(named)
        for name, kind in others.kinds.items():
            values = [others.value(more, name) for more in columns]
            named[name], mask = _column(values, kind)
            masks.append(mask)
        append_layer(path, "areas", shapes, named, masks)
        return others.left_out(columns)

    return write


def _column(
    values: Sequence[Any], kind: type
) -> tuple[NDArray[Any], NDArray[np.bool_] | None]:
    """Return values as an array, and where there is none in a column of numbers."""
    if kind is str:
        return np.array([*values, None], dtype=object)[:-1], None
    empty = np.array([value is None for value in values])
    filled = [0 if value is None else value for value in values]
    return np.array(filled, dtype=np.int64 if kind is int else float), empty


def append_layer(
    path: Path, layer: str, shapes: NDArray[np.object_], columns: Mapping[str, NDArray[Any]],
    masks: Sequence[NDArray[np.bool_] | None] | None = None,
) -> None:  # fmt: skip
    """Add features to a layer of a GeoPackage in longitude and latitude; make it if need be.

    Parameters
    ----------
    path : the file, there already or not.
    shapes : shape (n,).
    columns : by name, each of shape (n,).
    masks : where a column has no value; None for one that has all.
    """
    from pyogrio.raw import write

    with gdal_faults(path):
        write(
            path,
            shapely.to_wkb(shapes),
            list(columns.values()),
            np.array(list(columns)),
            field_mask=masks
            if masks is None or any(m is not None for m in masks)
            else None,
            layer=layer,
            driver="GPKG",
            geometry_type="Unknown",
            crs="EPSG:4326",
            append=path.exists(),
        )
