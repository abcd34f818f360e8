"""Files that property.toml names: inside the folder, there, and named once."""

from __future__ import annotations

import dataclasses
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from quietacre.intake.key_names import near_word
from quietacre.intake.limits import lies_inside
from quietacre.model import OUT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre import settings


#: What stands for the file of ground that comes as a shape or a walk.
GIVEN = "given as a shape"


@dataclasses.dataclass(frozen=True)
class Place:
    """A property folder, and the files that are about to be put into it.

    Without a folder no file can be named: ground is given in other ways then.
    """

    folder: Path | None
    coming: frozenset[str] = frozenset()


def file_faults(name: str, path: str, place: Place) -> Iterator[str]:
    """Yield what is wrong with a file's name; files stay inside the folder."""
    parts = PurePosixPath(name.replace("\\", "/"))
    if parts.is_absolute() or ".." in parts.parts or ":" in name or "\x00" in name:
        yield f"{path}: “{name}” leads out of the property folder; copy the file into it"
        return
    folder = place.folder
    if folder is None:
        if name != GIVEN:
            yield f"{path}: “{name}” lies in no folder; give the folder too, or leave it out"
        return
    target = folder / parts
    try:
        there = target.is_file()
    except OSError:  # a name too long for the system, say
        there = False
    if not there and parts.as_posix() in place.coming:
        return
    if not there:
        near = near_word(parts.as_posix(), _listing(folder))
        yield f"{path}: “{name}” is not there{near or '; check its name'}"
    elif not lies_inside(folder, target):
        yield f"{path}: “{name}” is a link out of the property folder; copy the file into it"
    elif lies_inside(folder / OUT, target):
        yield (
            f"{path}: “{name}” lies in {OUT}/, which every build writes anew; copy the file "
            "out of it, or what you drew is lost"
        )


def area_file_faults(area: settings.Area, at: str, place: Place) -> Iterator[str]:
    """Yield what is wrong with the files that an area names."""
    paths = _listed(area.files)
    over = _listed(area.over)
    if not paths:
        yield f"{at}.from: is empty; name the file of “{area.name}”"
    for path in paths:
        yield from file_faults(path, f"{at}.from", place)
    if len({PurePosixPath(path) for path in paths}) < len(paths):
        yield f"{at}.from: names a file twice; list it once"
    for path in over:
        yield from file_faults(path, f"{at}.over", place)
        if path in paths:
            yield f"{at}.over: “{path}” is in from too; from is the drawing, over its walk"
    for key, survey in _surveys(area):
        for path in _listed(survey.files):
            yield from file_faults(path, f"{at}.{key}.from", place)
    yield from _survey_days(area, at)
    if area.strip is not None and area.strip.temperatures is not None:
        yield from file_faults(area.strip.temperatures, f"{at}.strip.temperatures", place)


def _surveys(area: settings.Area) -> Iterator[tuple[str, settings.Previous]]:
    """Yield the earlier surveys of an area, each with its key."""
    if area.previous is not None:
        yield "previous", area.previous
    for place, survey in enumerate(area.surveys):
        yield f"surveys[{place}]", survey


def _survey_days(area: settings.Area, at: str) -> Iterator[str]:
    """Yield what is wrong with the days of surveys: two of one day, one after the newest."""
    days: set[object] = set()
    for survey in area.earlier:
        if survey.on in days:
            yield f"{at}.surveys: two surveys are of {survey.on}; mend the day of one"
        days.add(survey.on)
        if area.surveyed is not None and survey.on >= area.surveyed:
            yield (
                f"{at}.surveys: {survey.on} is not before surveyed = {area.surveyed}, the day of "
                "the edge in from; mend one of the days"
            )


def map_faults(chart: settings.MapSettings, place: Place) -> Iterator[str]:
    """Yield what is wrong with the picture and the tiles of the map."""
    if chart.picture is not None:
        yield from file_faults(chart.picture, "map.picture", place)
    if chart.picture_crs is not None and chart.picture is None:
        yield "map.picture_crs: there is no picture; give one or leave it out"
    if chart.tiles is not None:
        missing = [part for part in ("{z}", "{x}", "{y}") if part not in chart.tiles]
        if missing:
            yield f"map.tiles: “{chart.tiles}” lacks {' '.join(missing)}"
    elif chart.tiles_credit is not None:
        yield "map.tiles_credit: there is no tiles address; give one or leave it out"


def _listed(files: str | tuple[str, ...] | None) -> list[str]:
    return [files] if isinstance(files, str) else list(files or ())


def _listing(folder: Path) -> list[str]:
    lines = []
    for place in (folder, folder / "walks", folder / "drawn"):
        if place.is_dir():
            lines += [
                p.relative_to(folder).as_posix() for p in sorted(place.iterdir())[:500]
            ]
    return lines
