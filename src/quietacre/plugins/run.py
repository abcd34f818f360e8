"""Runs readers, steps and outputs of other packages, and checks what they return."""

from __future__ import annotations

import copy
import dataclasses
import re
from typing import TYPE_CHECKING

from quietacre.filenames import safe_name
from quietacre.model import AREA_KINDS, LINE_KIND, SETTINGS_FILE, Layer, Note
from quietacre.plugins.load import in_its_name, refused
from quietacre.words.columns import Column, column_words

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence
    from pathlib import Path

    import geopandas as gpd
    import pandas as pd

    from quietacre.plugins import Named, Output, Plugins, Reader
    from quietacre.report_json.report import ReportJson

#: What a column may be called: a name that every database takes.
COLUMN_NAME = re.compile(r"[a-z][a-z0-9_]{0,62}")
ENDING = re.compile(r"\.[a-z0-9]+")


def readers_by_ending(
    readers: Sequence[Named[Reader]], own: Collection[str]
) -> dict[str, Callable[[Path, str], Layer]]:
    """Return what reads each ending that quietacre does not read itself.

    Parameters
    ----------
    own : the endings that quietacre reads; none of them may be taken.

    Raises
    ------
    PluginProblem
        An ending is no ending, is quietacre's own, or is claimed twice.
    """
    by_ending: dict[str, Callable[[Path, str], Layer]] = {}
    for named in readers:
        for ending in named.made.endings:
            if not ENDING.fullmatch(ending):
                raise refused("readers", named, f"reads “{ending}”, which is no ending")
            if ending in own:
                raise refused("readers", named, f"reads {ending}, which quietacre reads")
            if ending in by_ending:
                raise refused("readers", named, f"reads {ending}, which another reads")
            by_ending[ending] = _reading(named)
    return by_ending


def _reading(named: Named[Reader]) -> Callable[[Path, str], Layer]:
    def read(path: Path, shown: str) -> Layer:
        with in_its_name("readers", named.name, named.package):
            layer = named.made.read(path, shown)
        problem = _layer_problem(layer)
        if problem:
            raise refused("readers", named, f"gave for {shown} {problem}")
        return dataclasses.replace(layer, source=shown)

    return read


def _layer_problem(layer: object) -> str | None:
    """Return what is wrong with a layer that another package gave."""
    import numpy as np
    import shapely

    if not isinstance(layer, Layer):
        return f"a {type(layer).__name__} and no Layer"
    count = len(layer.geometry)
    if {len(layer.name), len(layer.kind), len(layer.feature)} != {count}:
        return "names, kinds and features of another count than its shapes"
    shapes = np.asarray(layer.geometry, dtype=object)
    if any(
        getattr(shape, "geom_type", "") not in ("Polygon", "MultiPolygon")
        for shape in shapes
    ):
        return "a shape that is neither polygon nor multipolygon"
    unknown = sorted(set(layer.kind) - {*AREA_KINDS, LINE_KIND, ""})
    if unknown:
        return f"the kind “{unknown[0]}”, which there is not"
    corners = [shapely.get_coordinates(shapes)]
    corners += [np.column_stack([track.lon, track.lat]) for track in layer.tracks]
    corners += [np.array([[point.lon, point.lat]]) for point in layer.waypoints]
    lonlat = np.concatenate(corners)
    if not np.isfinite(lonlat).all() or (np.abs(lonlat) > (180.0, 90.0)).any():
        return "a place that is no longitude and latitude"
    return None


def step_columns(plugins: Plugins) -> tuple[Column, ...]:
    """Return the columns that the steps add, in order."""
    return tuple(column for named in plugins.steps for column in named.made.columns)


def with_steps(areas: gpd.GeoDataFrame, plugins: Plugins) -> gpd.GeoDataFrame:
    """Return the areas with the columns that steps of other packages add.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) with ``id``; given to each step as a copy.

    Raises
    ------
    PluginProblem
        A step fails, or returns other ids or columns than it may.
    """
    taken = set(areas.columns) | set(column_words()["areas"].columns)
    joined = areas
    for named in plugins.steps:
        names = [column.name for column in named.made.columns]
        for name in names:
            if not COLUMN_NAME.fullmatch(name):
                raise refused(
                    "steps", named, f"adds “{name}”, which is no name of a column"
                )
            if name in taken:
                raise refused("steps", named, f"adds “{name}”, which there is already")
            taken.add(name)
        with in_its_name("steps", named.name, named.package):
            made = named.made.run(areas.copy())
        if problem := _frame_problem(made, areas, names):
            raise refused("steps", named, problem)
        by_id = made.set_index("id")[names]
        joined = joined.join(by_id, on="id")
    return joined


def _frame_problem(
    made: object, areas: gpd.GeoDataFrame, names: Sequence[str]
) -> str | None:
    """Return what is wrong with the frame that a step returned."""
    import pandas as pd

    if not isinstance(made, pd.DataFrame):
        return f"returned a {type(made).__name__} and no frame"
    lacking = [name for name in ("id", *names) if name not in made.columns]
    if lacking:
        return f"returned a frame without “{lacking[0]}”"
    ids, wanted = list(made["id"]), set(areas["id"])
    if len(ids) != len(set(ids)) or set(ids) != wanted:
        return "returned other ids than the areas have, or one twice"
    extra = [name for name in made.columns if name not in {*names, *areas.columns}]
    if extra:
        return f"returned the column “{extra[0]}”, which it does not declare"
    changed = [
        name for name in areas.columns if name in made and _differs(made, areas, name)
    ]
    if changed:
        return f"changed the column “{changed[0]}”, which is not its own"
    return _cell_problem(made, names)


def _differs(made: pd.DataFrame, areas: gpd.GeoDataFrame, name: str) -> bool:
    theirs = made.set_index("id", drop=False)[name].reindex(list(areas["id"]))
    ours = areas.set_index("id", drop=False)[name]
    same = (theirs == ours) | (theirs.isna() & ours.isna())
    return not bool(same.all())


def _cell_problem(made: pd.DataFrame, names: Sequence[str]) -> str | None:
    """Return what is wrong with a cell: only numbers, texts, yes and no go into every file."""
    import numpy as np

    for name in names:
        for value in made[name]:
            if value is None or isinstance(value, (str, bool, np.bool_, int, np.integer)):
                continue
            if isinstance(value, (float, np.floating)) and not np.isinf(value):
                continue
            return (
                f"put a {type(value).__name__} into “{name}”: numbers and texts are taken"
            )
    return None


def written_by(
    plugins: Plugins,
    report: ReportJson,
    layers: Mapping[str, gpd.GeoDataFrame],
    own: Collection[str],
) -> dict[str, bytes]:
    """Return the files that outputs of other packages make, by name.

    Parameters
    ----------
    own : the names of quietacre's own outputs; none of them may be taken.

    Raises
    ------
    PluginProblem
        An output fails, or gives other files than it declares.
    """
    taken = {name.casefold() for name in own}
    files: dict[str, bytes] = {}
    for named in plugins.outputs:
        for name in named.made.files:
            if name != safe_name(name) or name.startswith("."):
                raise refused(
                    "outputs", named, f"writes “{name}”, which is no safe file name"
                )
            if name.casefold() in taken:
                raise refused("outputs", named, f"writes “{name}”, which there is already")
            taken.add(name.casefold())
        with in_its_name("outputs", named.name, named.package):
            made = dict(
                named.made.write(
                    copy.deepcopy(report), {key: f.copy() for key, f in layers.items()}
                )
            )
        if problem := _files_problem(named, made):
            raise refused("outputs", named, problem)
        files |= {name: bytes(made[name]) for name in named.made.files}
    return files


def _files_problem(named: Named[Output], made: Mapping[str, object]) -> str | None:
    if set(made) != set(named.made.files):
        return "gave other files than it declares"
    for name, data in made.items():
        if not isinstance(data, (bytes, bytearray)):
            return f"gave a {type(data).__name__} for “{name}”, and no bytes"
    return None


def plugin_notes(plugins: Plugins) -> tuple[Note, ...]:
    """Return a note on each reader, step and output of another package that a build uses."""
    texts = [
        *(
            (
                f"the reader “{it.name}” of {it.package}",
                f"reads {', '.join(it.made.endings)}",
            )
            for it in plugins.readers
        ),
        *(
            (
                f"the step “{it.name}” of {it.package}",
                f"adds {', '.join(column.name for column in it.made.columns)} to each area",
            )
            for it in plugins.steps
        ),
        *(
            (
                f"the output “{it.name}” of {it.package}",
                f"writes {', '.join(it.made.files)}",
            )
            for it in plugins.outputs
        ),
    ]
    return tuple(
        Note(
            "plugin-used",
            f"{what} {does}; it is a program of its makers, named under [use] in "
            "property.toml.",
            "info",
            SETTINGS_FILE,
        )
        for what, does in texts
    )
