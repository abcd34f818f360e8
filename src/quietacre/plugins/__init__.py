"""What another package gives to quietacre: readers, steps and outputs.

A package names one of these records in an entry point of the group ``quietacre.readers``,
``quietacre.steps`` or ``quietacre.outputs``. It is loaded only when ``[use]`` of
property.toml names it. ``docs/extending.md`` shows each.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic, TypeVar

from quietacre.words.columns import Column

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    import geopandas as gpd
    import pandas as pd

    from quietacre.model import Layer
    from quietacre.report_json.report import ReportJson

T = TypeVar("T")

__all__ = ["CONTRACT", "Column", "Output", "Reader", "Step"]

#: The version of what the records below promise. It goes up by one when a package that was
#: made for an older one could be misunderstood.
CONTRACT = 1


@dataclass(frozen=True)
class Reader:
    """Reads files of endings that quietacre itself does not read.

    Parameters
    ----------
    contract : the ``CONTRACT`` it was made for, as a plain number.
    endings : endings of file names, in small letters, such as (".pts",).
    read : takes the file's path and how to name it in messages; returns its layer, in
        longitude and latitude on WGS84.
    """

    contract: int
    endings: tuple[str, ...]
    read: Callable[[Path, str], Layer]


@dataclass(frozen=True)
class Step:
    """Adds columns to the areas.

    Parameters
    ----------
    contract : the ``CONTRACT`` it was made for, as a plain number.
    columns : the columns that it adds, each with its unit and what it holds.
    run : takes the measured areas, a row each, in EPSG:4326 with ``id``; returns a frame
        with ``id`` and those columns, in any order of rows.
    """

    contract: int
    columns: tuple[Column, ...]
    run: Callable[[gpd.GeoDataFrame], pd.DataFrame]


@dataclass(frozen=True)
class Output:
    """Makes files that are written into ``out/`` with the others, all of them or none.

    Parameters
    ----------
    contract : the ``CONTRACT`` it was made for, as a plain number.
    files : the names of the files, and what each is for.
    write : takes the report, as in report.json, and the layers as frames in EPSG:4326;
        returns the bytes of each file by its name.
    """

    contract: int
    files: Mapping[str, str]
    write: Callable[[ReportJson, dict[str, gpd.GeoDataFrame]], Mapping[str, bytes]]


@dataclass(frozen=True)
class Named(Generic[T]):
    """One of the records above, the name that property.toml calls it by, and its package."""

    name: str
    package: str
    made: T


@dataclass(frozen=True)
class Plugins:
    """What a property uses of other packages, in the order it names them."""

    readers: tuple[Named[Reader], ...] = field(default=())
    steps: tuple[Named[Step], ...] = field(default=())
    outputs: tuple[Named[Output], ...] = field(default=())
