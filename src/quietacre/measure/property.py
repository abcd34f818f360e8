"""property.toml and every file it names, read and measured."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import shapely

from quietacre.boundary.repair import refuse_empty
from quietacre.intake.copies import copy_notes
from quietacre.intake.limits import check_file, check_inside
from quietacre.intake.log import LogRead, read_log
from quietacre.intake.marks import marks_in
from quietacre.intake.property import newer_notes, read_property_and_notes
from quietacre.intake.transects import read_transects
from quietacre.intake.vector import ENDINGS
from quietacre.intake.weather import read_weather
from quietacre.intake.years import read_years
from quietacre.logbook import LOG, SEEN_FILE
from quietacre.measure.choose import Files, unused_notes, use_notes
from quietacre.measure.ground import (
    area_ground,
    earlier_survey,
    paths,
    property_line,
)
from quietacre.measure.mended import ground_over
from quietacre.measure.records import Extras, Measured
from quietacre.measure.sizes import sizes_of
from quietacre.measure.trees import with_trees
from quietacre.model import MARKS, TRANSECTS, Note, Transect
from quietacre.plugins.load import load_plugins
from quietacre.plugins.run import plugin_notes, readers_by_ending
from quietacre.strip.growth import degree_days_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    import numpy as np

    from quietacre.daily import Daily
    from quietacre.measure.records import Ground
    from quietacre.measure.sizes import Sizes
    from quietacre.model import Mark, SurveyedEdge
    from quietacre.settings import Property


#: An earlier survey, and what is said of its files.
Earlier = tuple["SurveyedEdge", tuple[Note, ...]]


class _FileNotes(NamedTuple):
    """Notes on whole files: of those that several areas use, and by area."""

    apart: list[Note]
    by_area: dict[str, list[Note]]


class Found(NamedTuple):
    """A property read and measured; ``extras`` has no layers yet. ``ground`` as the settings go."""

    prop: Property
    sizes: Sizes
    extras: Extras
    ground: Sequence[Ground]
    marks: tuple[Mark, ...]


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
    from quietacre.measure.beside import previous_layer, side_layers

    found = measured_in(folder)
    prop, extras = found.prop, found.extras
    layers = side_layers(
        prop, list(prop.area_by_id), found.ground, extras.boundary, found.marks
    )
    layers["previous"] = previous_layer(extras.surveys)
    return Measured(prop, found.sizes.frame(), replace(extras, layers=layers))


def measured_in(folder: Path, *, weather: bool = True) -> Found:
    """Read and measure a property as ``measure_property`` does, without making its layers.

    Parameters
    ----------
    folder : the property folder.
    weather : whether its daily records are read; no acre hangs on them.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    prop, settings_notes = read_property_and_notes(folder)
    plugins = load_plugins(prop.use)
    files = Files(folder, readers_by_ending(plugins.readers, ENDINGS))
    ids = list(prop.area_by_id)
    ground = with_trees(
        prop.area,
        [ground_over(files, area, area_ground(files, area)) for area in prop.area],
    )
    surveys = _surveys(files, prop, ids)
    boundary, boundary_notes = property_line(files, prop)
    _refuse_empty(prop, ground, boundary)
    sizes = sizes_of(prop, ground, boundary)
    file_notes = _file_notes(files, prop, ids)
    log, seen = log_in(folder), seen_in(folder)
    kept, kept_notes = read_years(folder)
    marks = _marks(folder)
    by_id = dict(zip(ids, ground, strict=True))
    extras = Extras(
        boundary=boundary,
        walks={key: piece.walk for key, piece in by_id.items() if piece.walk},
        surveys={key: tuple(one for one, _ in some) for key, some in surveys.items()},
        overlap_acres=sizes.overlap_acres,
        total_acres=sizes.total_acres,
        notes=(
            *newer_notes(folder), *copy_notes(folder), *settings_notes,
            *plugin_notes(plugins), *boundary_notes, *file_notes.apart,
            *_files_notes(files, prop, sizes.total_acres), *sizes.notes, *log.notes, *seen.notes, *kept_notes,
        ),
        area_notes=_area_notes(prop, ground, surveys, file_notes, sizes.shapes),
        methods={key: piece.method for key, piece in by_id.items()},
        done=log.jobs,
        seen=seen.jobs,
        degree_days=_degree_days(folder, prop) if weather else {},
        transects=_transects(folder),
        weather=weather_in(folder, prop) if weather else None,
        plugins=plugins,
        kept=kept,
        walked={key: piece.walked[0] for key, piece in by_id.items() if piece.walked},
    )  # fmt: skip
    return Found(prop, sizes, extras, ground, marks)


def _files_notes(files: Files, prop: Property, total_ac: float) -> Iterator[Note]:
    """Yield notes on ground of the files that no area uses, and on what is used twice."""
    named = {area.name: paths(area.files) for area in prop.area}
    yield from unused_notes(files, total_ac, named)
    yield from use_notes(files)


def _refuse_empty(
    prop: Property, ground: Sequence[Ground], boundary: shapely.Geometry | None
) -> None:
    """Raise FileProblem for an area or a property line that encloses no ground."""
    for area, piece in zip(prop.area, ground, strict=True):
        refuse_empty(piece.shape, ", ".join(paths(area.files)), f"area “{area.name}”")
    if boundary is not None:
        refuse_empty(boundary, str(prop.property.boundary), "property.boundary")


def _area_notes(
    prop: Property,
    ground: Sequence[Ground],
    surveys: Mapping[str, Sequence[Earlier]],
    file_notes: _FileNotes,
    shapes: np.ndarray,
) -> dict[str, tuple[Note, ...]]:
    """Return what is said of each area by its id: of its files, its edge, its earlier surveys."""
    points = shapely.point_on_surface(shapes)
    return {
        key: tuple(
            _place(note, area.name, point)
            for note in (
                *file_notes.by_area.get(key, ()),
                *piece.notes,
                *(note for _, notes in surveys.get(key, ()) for note in notes),
            )
        )
        for (key, area), piece, point in zip(
            prop.area_by_id.items(), ground, points, strict=True
        )
    }


def _degree_days(folder: Path, prop: Property) -> dict[str, tuple[float, ...]]:
    """Return mean degree-days of a year's days, of the areas that name daily temperatures."""
    return {
        key: degree_days_of(read_weather(folder / name, shown=name))
        for key, area in prop.area_by_id.items()
        if area.strip and (name := area.strip.temperatures) is not None
    }


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


def log_in(folder: Path) -> LogRead:
    """Return the log of a property folder; nothing where there is none."""
    path = _own_list(folder, LOG)
    return read_log(path, shown=LOG) if path else LogRead()


def with_log_of(measured: Measured, folder: Path) -> Measured:
    """Return a property as it was measured, with its folder's log as it stands now."""
    return measured._replace(extras=replace(measured.extras, done=log_in(folder).jobs))


def seen_in(folder: Path) -> LogRead:
    """Return what was seen; nothing where there is no seen.csv."""
    path = _own_list(folder, SEEN_FILE.name)
    if path is None:
        return LogRead()
    return read_log(path, shown=SEEN_FILE.name, file=SEEN_FILE)


def _transects(folder: Path) -> tuple[Transect, ...]:
    path = _own_list(folder, TRANSECTS)
    return read_transects(path, shown=TRANSECTS) if path else ()


def _marks(folder: Path) -> tuple[Mark, ...]:
    path = _own_list(folder, MARKS)
    return marks_in(path.read_bytes()) if path else ()


def weather_in(folder: Path, prop: Property) -> Daily | None:
    """Return the daily record of a property; None where none is named."""
    if prop.weather is None:
        return None
    return read_weather(folder / prop.weather.files, shown=prop.weather.files)


def _surveys(files: Files, prop: Property, ids: Sequence[str]) -> dict[str, list[Earlier]]:
    """Return the earlier surveys of each patch that has any, with what to say of their files."""
    return {
        key: [earlier_survey(files, area, survey) for survey in area.earlier]
        for key, area in zip(ids, prop.area, strict=True)
        if area.earlier
    }


def _file_notes(files: Files, prop: Property, ids: Sequence[str]) -> _FileNotes:
    """Return notes on whole files: with the area when it alone uses the file, else apart."""
    users: dict[str, list[str]] = {}
    for key, area in zip(ids, prop.area, strict=True):
        earlier = (name for survey in area.earlier for name in paths(survey.files))
        for name in dict.fromkeys((*paths(area.files), *earlier)):
            users.setdefault(name, []).append(key)
    apart: list[Note] = []
    by_area: dict[str, list[Note]] = {}
    for name, keys in users.items():
        if name == prop.property.boundary or name in files.told:
            continue  # said with the property line, or with the area
        if len(keys) == 1:
            by_area.setdefault(keys[0], []).extend(files.notes(name))
        else:
            apart += files.notes(name)
    return _FileNotes(apart, by_area)


def _place(note: Note, name: str, point: shapely.Point) -> Note:
    """Return the note with its area and a place to point at."""
    if note.lon is not None:
        return note
    return replace(note, feature=note.feature or name, lon=point.x, lat=point.y)
