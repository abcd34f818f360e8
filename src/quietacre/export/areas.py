"""A row an area, written as it comes: CSV for a spreadsheet, GeoPackage for a desktop GIS."""

from __future__ import annotations

import csv
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.errors import FileProblem
from quietacre.export.lists import cell
from quietacre.export.whole import said_by_gdal, staged

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    Write = Callable[[Sequence[Mapping[str, Any]], NDArray[np.object_]], None]

TEXTS = ("name", "kind", "source")
FIGURES = ("acres", "acres_low", "acres_high", "perimeter_ft")


@contextmanager
def areas_file(path: Path) -> Iterator[Write]:
    """Give a function that takes rows and their shapes; the file appears whole at the end.

    Raises
    ------
    FileProblem
        The name ends in neither .csv nor .gpkg.
    OSError
        The file system refused; what stood at ``path`` stands there still.
    """
    suffix = path.suffix.lower()
    if suffix not in (".csv", ".gpkg"):
        raise FileProblem(
            f"files ending in “{suffix or 'nothing'}” are not written",
            fix="name a .csv or a .gpkg",
            source=str(path),
        )
    with staged(path) as stage:
        if suffix == ".gpkg":
            yield lambda rows, shapes: _append(stage, rows, shapes)
            return
        with stage.open("x", encoding="utf-8", newline="") as handle:
            writer = csv.writer(handle, lineterminator="\n")
            writer.writerow([*TEXTS, *FIGURES, "warnings"])

            def write(
                rows: Sequence[Mapping[str, Any]], _shapes: NDArray[np.object_]
            ) -> None:
                for row in rows:
                    words = [cell(row[key]) for key in TEXTS]
                    figures = [round(row[key], 6) for key in FIGURES]
                    writer.writerow([*words, *figures, cell(" ".join(row["warnings"]))])

            yield write


def _append(
    path: Path, rows: Sequence[Mapping[str, Any]], shapes: NDArray[np.object_]
) -> None:
    from pyogrio.raw import write

    words = [np.array([row[key] for row in rows], dtype=object) for key in TEXTS]
    figures = [np.array([row[key] for row in rows], dtype=float) for key in FIGURES]
    said = np.array([" ".join(row["warnings"]) for row in rows], dtype=object)
    with said_by_gdal(path):
        write(
            path,
            shapely.to_wkb(shapes),
            [*words, *figures, said],
            np.array([*TEXTS, *FIGURES, "warnings"]),
            layer="areas",
            driver="GPKG",
            geometry_type="Unknown",
            crs="EPSG:4326",
            append=path.exists(),
        )
