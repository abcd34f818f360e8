"""Ground added to a property folder, and edges drawn anew."""

from __future__ import annotations

import json
import tempfile
import tomllib
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.edges import edges_of
from quietacre.boundary.over import drawn_over, said_over
from quietacre.edit import journal
from quietacre.edit.entries import Entry, Taken, entries_of, read_files
from quietacre.edit.property_file import Outcome, change_settings, read_settings
from quietacre.edit.toml_plain import Change, Insert, Remove, Set
from quietacre.errors import FileProblem
from quietacre.filenames import safe_name
from quietacre.intake.vector import read_layer
from quietacre.measure.choose import Files, choose, joined_shape
from quietacre.measure.ground import paths, walk_ground
from quietacre.model import folded
from quietacre.settings import Area
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from quietacre.boundary.walk import Walk
    from quietacre.edit.journal import Step
    from quietacre.model import Note

#: Where drawings lie in a property folder.
DRAWN = "drawn"
#: An edge is drawn to an inch: digits of a degree behind the point; and finer where that
#: would let a narrow place cross itself. Ours.
DIGITS = (7, 9, 12)


@dataclass(frozen=True)
class Added:
    """Pieces of ground that were added, the files that were copied, and what to say of them.

    ``step`` is None where every edge was an area already.
    """

    step: Step | None
    entries: tuple[Entry, ...]
    copied: tuple[str, ...]
    notes: tuple[tuple[str, Note], ...]


@dataclass(frozen=True)
class Mended:
    """An area with an edge drawn anew: the file it lies in, and what to say of it.

    ``over`` are the walks that stay beside it; empty where it was a drawing before.
    """

    step: Step | None
    area: str
    file: str
    acres: float
    over: tuple[str, ...]
    notes: tuple[Note, ...]


class NameTaken(FileProblem):
    """The one piece of ground to be added goes by a name that an area has."""

    def __init__(self, name: str, free: str, source: str) -> None:
        self.name = name
        self.free = free
        super().__init__(
            f"there is an area “{name}” already", fix="say what this one is", source=source
        )


def add_ground(
    folder: Path,
    files: Sequence[Path],
    *,
    name: str | None = None,
    kind: str | None = None,
    read: Callable[[Sequence[Path]], Mapping[str, Taken]] = read_files,
    state: Path | None = None,
) -> Added:
    """Copy files into a property folder, with an area for each edge in them.

    Parameters
    ----------
    folder : the property folder.
    files : walks and drawings; the originals stay where they are.
    name : of the one piece of ground in them; from the file when None.
    kind : of every piece; what the file says, or a plot, when None.
    read : reads the files.
    state : as in `journal.apply`.

    Raises
    ------
    NameTaken
        One piece of ground has the name of an area.
    BadInput
        A file cannot be used, or other bytes lie under its name; nothing is changed.
    """
    document = read_settings(folder)
    areas = [area for area in document.get("area", []) if isinstance(area, dict)]
    taken = _in_folder(folder, read(files))
    entries = _new_entries(taken, areas)
    if name is not None and len(entries) != 1:
        raise FileProblem(
            f"hold {len(entries)} pieces of ground that are no area yet, and one name was given",
            fix="leave --as out, or give the files one by one",
            source=", ".join(path.name for path in files),
        )
    if name is not None:
        entries = [_renamed(entries[0], name, taken)]
    names = [str(area.get("name", "")) for area in areas]
    _check_name(entries, names)
    entries = _apart(entries, names, taken)
    if kind is not None:
        entries = [replace(entry, kind=kind) for entry in entries]
    notes = tuple((target, note) for target, one in taken.items() for note in one.notes)
    if not entries:
        return Added(None, (), (), notes)
    new = {t: one.data for t, one in taken.items() if journal.read(folder, t) is None}
    said = entries[0].name if len(entries) == 1 else f"{len(entries)} areas"
    outcome = change_settings(
        folder,
        lambda _: [Insert(("area",), _table(entry)) for entry in entries],
        f"add {said} from {', '.join(path.name for path in files)}",
        files=new,
        state=state,
    )
    return Added(outcome.step, tuple(entries), tuple(new), notes)


def _check_name(entries: Sequence[Entry], known: Sequence[str]) -> None:
    """Raise NameTaken when the one piece of ground goes by a name that an area has."""
    names = {folded(name): name for name in known}
    if len(entries) == 1 and folded(entries[0].name) in names:
        one = entries[0]
        tried = (f"{one.name} {number}" for number in range(2, len(names) + 3))
        free = next(word for word in tried if folded(word) not in names)
        raise NameTaken(names[folded(one.name)], free, one.file)


def _in_folder(folder: Path, taken: Mapping[str, Taken]) -> dict[str, Taken]:
    """Return files by their names in the folder, where none but themselves lies yet."""
    there = {path.name.casefold(): path.name for room in (DRAWN, "walks")
             if (folder / room).is_dir() for path in (folder / room).iterdir()}  # fmt: skip
    for target, one in taken.items():
        data = journal.read(folder, target)
        other = there.get(Path(target).name.casefold(), Path(target).name)
        if (data is not None and data != one.data) or other != Path(target).name:
            raise FileProblem(
                "another file of this name is in the folder",
                fix="rename yours, or if it is a new edge of an area give it with --mend",
                source=target,
            )
    return dict(taken)


def _new_entries(
    taken: Mapping[str, Taken], areas: Sequence[dict[str, Any]]
) -> list[Entry]:
    """Return an entry for each edge that no area has yet, by the names in the files."""
    entries = entries_of(taken)
    had: set[tuple[str, str]] = set()
    for area in areas:
        for file in paths(area.get("from", ())):
            if file in taken:
                word = str(area.get("feature", area.get("name", "")))
                picked = taken[file].edges.pick(word)
                alone = len(taken[file].edges.measured) < 2  # noqa: PLR2004
                had |= {(file, edge.key) for edge in picked.edges} if picked else set()
                had |= {(file, "")} if alone else set()
    return [
        entry for entry in entries
        if (entry.file, "") not in had
        and (entry.file, _key_of(entry, taken)) not in had
    ]  # fmt: skip


def _key_of(entry: Entry, taken: Mapping[str, Taken]) -> str:
    """Return what `feature` would say to mean an entry's edge; empty for pins, legs or calls."""
    edges = taken[entry.file].edges
    picked = edges.pick(entry.feature or entry.name)
    found = picked.edges if picked is not None else edges.measured
    return found[0].key if found else ""


def _renamed(entry: Entry, name: str, taken: Mapping[str, Taken]) -> Entry:
    """Return an entry under another name; one of several in its file is told by feature then."""
    many = len(taken[entry.file].edges.measured) > 1
    feature = entry.feature or (_key_of(entry, taken) if many else None)
    return replace(entry, name=name, feature=feature)


def _apart(
    entries: Iterable[Entry], known: Iterable[str], taken: Mapping[str, Taken]
) -> list[Entry]:
    """Return entries under names that no area has."""
    names = {folded(name) for name in known}
    out = []
    for entry in entries:
        free, number = entry.name, 2
        while folded(free) in names:
            free, number = f"{entry.name} {number}", number + 1
        names.add(folded(free))
        out.append(entry if free == entry.name else _renamed(entry, free, taken))
    return out


def _table(entry: Entry) -> dict[str, Any]:
    more = tomllib.loads("\n".join(entry.more))
    table = {"name": entry.name, "kind": entry.kind, "from": entry.file}
    return {**table, **({"feature": entry.feature} if entry.feature else {}), **more}


# ---- an edge drawn anew --------------------------------------------------------------------


def ring_file(shape: shapely.Geometry, name: str) -> bytes:
    """Return a drawn edge as a GeoJSON file.

    Parameters
    ----------
    shape : polygons in longitude, latitude. [deg]
    name : what the feature goes by.
    """
    tried = (shapely.transform(shape, partial(np.round, decimals=d)) for d in DIGITS)
    fine = next((one for one in tried if one.is_valid), shape)
    feature = {
        "type": "Feature",
        "properties": {"name": name},
        "geometry": json.loads(shapely.to_geojson(fine)),
    }
    whole = {"type": "FeatureCollection", "features": [feature]}
    return (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()


def mend_edge(
    folder: Path, area: str, shape: shapely.Geometry, *, state: Path | None = None
) -> Mended:
    """Give an area an edge drawn anew; a walk that it was measured by stays beside it.

    Parameters
    ----------
    folder : the property folder.
    area : its name in property.toml.
    shape : polygons in longitude, latitude. [deg]
    state : as in `journal.apply`.

    Raises
    ------
    BadInput
        There is no such area; the edge crosses itself, or does not lie on the ground of the
        walk; nothing is changed.
    """
    document = read_settings(folder)
    _, now = _area_of(document, area)
    word = str(now.get("feature", now["name"]))
    data = ring_file(shape, word)
    file = _ring_name(folder, document, now)
    drawn, notes = _read_again(data, file, word)
    over, walk = _walks_under(folder, now)
    if walk is not None:
        mended, note = drawn_over(walk, drawn, str(now["name"]), said_over((), len(over)))
        notes = (*notes, note)
        acres = mended.acres
    else:
        acres = float(area_m2(np.array([drawn], dtype=object))[0]) / ACRE_M2
    outcome = _mend(folder, area, file, data, over, state)
    return Mended(outcome.step, str(now["name"]), file, acres, over, notes)


def _mend(
    folder: Path, area: str, file: str, data: bytes, over: tuple[str, ...],
    state: Path | None,
) -> Outcome:  # fmt: skip
    def make(document: dict[str, Any]) -> list[Change]:
        at, now = _area_of(document, area)
        path = ("area", at)
        changes: list[Change] = [Set((*path, "from"), file)]
        if over and "over" not in now:
            changes.append(Set((*path, "over"), over[0] if len(over) == 1 else list(over)))
        if "feature" in now and not over:
            changes.append(Remove((*path, "feature")))
        return changes

    return change_settings(
        folder, make, f"draw the edge of {area} anew", files={file: data}, state=state
    )


def _area_of(document: dict[str, Any], name: str) -> tuple[int, dict[str, Any]]:
    areas = document.get("area", [])
    for place, area in enumerate(areas):
        if folded(str(area.get("name", ""))) == folded(name):
            return place, area
    known = ", ".join(f"“{area.get('name')}”" for area in areas[:12])
    raise FileProblem(
        f"there is no area “{name}”", fix=f"name one of {known or 'your areas'}",
        source="property.toml",
    )  # fmt: skip


def _ring_name(folder: Path, document: dict[str, Any], area: dict[str, Any]) -> str:
    """Return the file for an area's drawn edge: its own, or one that is not there yet."""
    used = [file for other in document["area"] if other is not area
            for key in ("from", "over") for file in paths(other.get(key, ()))]  # fmt: skip
    stem = safe_name(f"{area['name']}.geojson").removesuffix(".geojson")
    for number in range(1, 1_000_000):
        file = f"{DRAWN}/{stem}{'' if number == 1 else f' {number}'}.geojson"
        mine = area.get("from") == file and file not in used
        if mine or journal.read(folder, file) is None:
            return file
    raise AssertionError  # pragma: no cover


def _read_again(
    data: bytes, file: str, name: str
) -> tuple[shapely.Geometry, tuple[Note, ...]]:
    """Return a drawn edge as a build will read it; what would have to be mended is refused."""
    with tempfile.TemporaryDirectory() as room:
        path = Path(room) / "ring.geojson"
        path.write_bytes(data)
        layer = read_layer(path, shown=file)
    edges = edges_of(layer)
    if len(edges.measured) != 1 or edges.measured[0].shape is None:
        raise FileProblem("is no edge round ground", fix="draw a ring", source=file)
    if not edges.measured[0].shape.is_valid:
        why = shapely.is_valid_reason(edges.measured[0].shape)
        raise FileProblem(
            f"crosses itself ({why})", fix="draw it without crossing it", source=file
        )
    shape, notes = joined_shape(edges.measured, file, name)
    return shape, (*layer.notes, *edges.notes, *notes)


def _walks_under(folder: Path, area: dict[str, Any]) -> tuple[tuple[str, ...], Walk | None]:
    """Return the walks that an area is measured by, or was, and what they give together."""
    names = paths(area.get("over", area["from"]))
    files = Files(folder)
    if not all(
        files.layer(name).tracks and not len(files.layer(name).geometry) for name in names
    ):
        return (), None
    inside, outside = (area.get(f"walked_{side}_ft") for side in ("inside", "outside"))
    known = Area(
        str(area["name"]), area["kind"], names, walked_inside_ft=inside,
        walked_outside_ft=outside, sky=area.get("sky"),
    )  # fmt: skip
    chosen = [choose(files, name, area.get("feature"), known.name) for name in names]
    return names, walk_ground(chosen, known)
