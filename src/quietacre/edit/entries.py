"""Files of the person's own read for a property folder: an area for each edge in them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from quietacre.boundary.edges import edges_of
from quietacre.errors import FileProblem
from quietacre.filenames import safe_name
from quietacre.intake.vector import read_layer
from quietacre.measure.choose import acres_of, nothing_in
from quietacre.model import AREA_KINDS, folded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from quietacre.boundary.edges import Edge, Edges
    from quietacre.intake.vector import OwnUnits
    from quietacre.model import Layer, Note


@dataclass(frozen=True)
class KnownFile:
    """A file of pins, legs or calls: its acres, the lines that an [[area]] needs, the notes."""

    acres: float
    lines: tuple[str, ...]
    notes: tuple[Note, ...]


@dataclass(frozen=True)
class Entry:
    """One [[area]] to write: ``feature`` is None where the file or the name tells it alone.

    ``more`` are lines of TOML that it needs besides.
    """

    name: str
    kind: str
    file: str
    feature: str | None
    acres: float
    more: tuple[str, ...] = ()


def entries_of(
    taken: Mapping[str, Taken], *, without: Edge | None = None, known: Iterable[str] = ()
) -> list[Entry]:
    """Return an area for each edge of each file, and for each file of pins, legs or calls.

    Parameters
    ----------
    taken : the files, by the names they will have in the folder.
    without : an edge that is no area: the property line.
    known : names that areas have already.
    """
    names = {folded(name) for name in known}
    entries = []
    for file, one in taken.items():
        edges, stem = one.edges, stem_of(one.name)
        many = len(edges.measured) > 1
        for edge, acres in zip(
            edges.measured, acres_of(edges.measured, edges.source), strict=True
        ):
            if edge is without:
                continue
            name = edge.label if many else edge.name or stem
            if folded(name) in names and many:
                name = f"{name}, {stem}"
            free = _free(name, names)
            kind = edge.kind if edge.kind in AREA_KINDS else "plot"
            plain = not many or edges.named(free) == (edge,)
            feature = None if plain else edge.key
            entries.append(Entry(free, kind, file, feature, acres))
    for file, one in taken.items():
        if one.known is not None:
            name = _free(stem_of(one.name), names)
            entries.append(
                Entry(name, "plot", file, None, one.known.acres, one.known.lines)
            )
    return entries


def _free(name: str, names: set[str]) -> str:
    """Return a name that is not among others, with a number where it was; and add it."""
    free, number = name, 2
    while folded(free) in names:
        free, number = f"{name} {number}", number + 1
    names.add(folded(free))
    return free


def stem_of(name: str) -> str:
    """Return a file's name as a person would say it."""
    stem = Path(name).stem.replace("_", " ").replace("-", " ").strip() or "area"
    return stem.capitalize()


@dataclass(frozen=True)
class Taken:
    """One file of the person's: its own name, bytes, edges, and what there is to say of it."""

    name: str
    data: bytes
    edges: Edges
    notes: tuple[Note, ...]
    known: KnownFile | None = None


def _nothing_known(_layer: Layer) -> None:
    return None


def read_files(
    files: Sequence[Path],
    *,
    know: Callable[[Layer], KnownFile | None] = _nothing_known,
    own_units: OwnUnits | None = None,
) -> dict[str, Taken]:
    """Return each file by the name it will have in the folder.

    Parameters
    ----------
    files : the person's own.
    know : tells what a file of pins, legs or calls is; None of any other.
    own_units : as `read_layer` takes them.

    Raises
    ------
    BadInput
        One cannot be used.
    """
    taken: dict[str, Taken] = {}
    kept: set[str] = set()
    for path in files:
        layer = read_layer(path, shown=str(path), own_units=own_units)
        edges = edges_of(layer)
        known = know(layer)
        if not edges.measured and known is None:
            if edges.rest:
                raise nothing_in(edges, "")
            raise FileProblem(
                "holds no edge to measure", fix="leave this file out", source=str(path)
            )
        if path.suffix.lower() == ".shp":
            raise FileProblem(
                "a bare shapefile is several files",
                fix="zip its .shp, .shx, .dbf and .prj together and give the zip",
                source=str(path),
            )
        home = "drawn" if len(layer.geometry) or known is not None else "walks"
        target = f"{home}/{safe_name(path.name)}"
        if target.casefold() in kept:  # many systems take them for one
            raise FileProblem(
                "two files have this name", fix="rename one of them", source=path.name
            )
        kept.add(target.casefold())
        notes = (*layer.notes, *edges.notes, *(known.notes if known else ()))
        taken[target] = Taken(path.name, path.read_bytes(), edges, notes, known)
    return taken
