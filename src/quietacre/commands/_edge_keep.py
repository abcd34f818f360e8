"""What the commands on edges share: places and lines read, and what was kept told."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, say
from quietacre.errors import BadInput, FileProblem
from quietacre.figures import acres, figure
from quietacre.model import AREA_KINDS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    import shapely

    from quietacre.as_json import JsonObject
    from quietacre.boundary.figure_place import KnownCorner
    from quietacre.drawing.sheet import Redrawn
    from quietacre.edit.redraw import EdgeClash, Kept, NewEdge, Redrawing
    from quietacre.measure.one import Place
    from quietacre.report_json.model import NoteJson


def place_of(folder: Path) -> Place:
    """Return the place in a folder, changes that were cut short carried to their end first."""
    from quietacre.commands._change_edge import finish_cut_short
    from quietacre.measure.one import Place

    finish_cut_short(folder)
    return Place.of(folder)


def line_in(path: Path) -> shapely.LineString:
    """Return the one line of a file.

    Raises
    ------
    FileProblem
        It holds none, or several.
    """
    from quietacre.drawing.sheet import line_of
    from quietacre.intake.lines import read_line

    return line_of(read_line(path), str(path))


def ring_in(path: Path) -> shapely.Geometry:
    """Return the polygons of a file.

    Raises
    ------
    FileProblem
        It holds none, or lines besides.
    """
    import shapely

    from quietacre.drawing.sheet import sound_or_refused
    from quietacre.intake.vector import read_layer

    layer = read_layer(path, shown=str(path))
    if not len(layer.geometry) or layer.tracks:
        raise FileProblem(
            "holds no polygon, or lines besides", fix="give the ring alone, drawn as a polygon",
            source=str(path),
        )  # fmt: skip
    for shape in layer.geometry:
        sound_or_refused(shape, "the ring")
    return shapely.union_all(layer.geometry)


def keep_one(
    folder: Path, place: Place, area: str, made: Redrawn, what: str, edge_pm_ft: float | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Keep the one piece that an operation made of an area, and say so."""
    from quietacre.edit.redraw import NewEdge

    name = place.area(area).name
    if made.moved_ac == 0.0:
        if as_json:
            emit({"areas": [], "said": list(made.said), "step": None})
            return
        say("; ".join((*made.said, "nothing was written")))
        return
    edges = [NewEdge(made.pieces[0], name, edge_pm_ft=edge_pm_ft)]
    keep_these(folder, edges, made.said, f"{what} {name}", as_json=as_json)


def keep_these(
    folder: Path, edges: Sequence[NewEdge], lines: Sequence[str], label: str, *,
    out: Sequence[str] = (), as_json: bool,
) -> None:  # fmt: skip
    """Keep edges, and tell what was kept."""
    from quietacre.edit.redraw import keep_edges

    for edge in edges:
        if edge.kind is not None and edge.kind not in AREA_KINDS:
            raise BadInput(
                f"“{edge.kind[:40]}” is no kind of ground",
                fix=f"write {', '.join(AREA_KINDS)}",
            )
    _tell(folder, keep_edges(folder, edges, out=out, label=label), lines, as_json=as_json)


def _tell(folder: Path, kept: Redrawing, lines: Sequence[str], *, as_json: bool) -> None:
    """Tell what was kept, and how it is taken back."""
    tell_recovered(kept.step.recovered if kept.step else ())
    if as_json:
        emit(kept_record(kept, lines))
        return
    for line in (*lines, *kept.said):
        say(line)
    for one in kept.areas:
        _say_kept(one)
    say(how_back(folder) if kept.step else "it stood so already; nothing was written")


def keep_table_of(
    folder: Path, file: Path, area: str | None, name: str | None, kind: str,
    placed: Sequence[str], declination_deg: float | None, pace_ft: float | None,
    vara_ft: float | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Keep the table or the deed of a file, and tell what was kept."""
    from quietacre.edit.table import NewTable, keep_table
    from quietacre.intake.deed import is_deed
    from quietacre.intake.limits import check_file, read_text
    from quietacre.intake.vector import OwnUnits
    from quietacre.measure.known import HowKnown

    check_file(file, str(file))
    text = read_text(file, str(file))
    corners = tuple(_corner(word) for word in placed)
    new = NewTable(
        text, ".txt" if is_deed(text) and file.suffix.lower() != ".csv" else ".csv",
        HowKnown(placed=corners, declination_deg=declination_deg), OwnUnits(pace_ft, vara_ft),
        area, name or "", kind,
    )  # fmt: skip
    _tell(folder, keep_table(folder, new), (), as_json=as_json)


def _corner(word: str) -> KnownCorner:
    """Return the corner and its place of "3=33.2012,-86.3007"."""
    from quietacre.boundary.figure_place import KnownCorner

    number, _, place = word.partition("=")
    try:
        lat, lon = (float(part) for part in place.split(","))
        corner = int(number)
    except ValueError:
        corner, lat, lon = 0, 0.0, 0.0
    if corner < 1 or not (abs(lat) <= 90 and abs(lon) <= 180):  # noqa: PLR2004 - degrees
        raise BadInput(
            f"“{word[:60]}” is no placed corner", fix="write it as 1=33.2012,-86.3007",
            source="--placed",
        )  # fmt: skip
    return KnownCorner(corner, lat, lon)


def _say_kept(one: Kept) -> None:
    known = one.acres_high > one.acres_low
    low_high = figure(one.acres_low, "ac", to=one.acres_high, joined=" to ", bare=True)
    pm = f", {low_high}" if known else ""
    say(f"  {one.area}: {acres(one.acres)}{pm}, its edge in {one.file}")
    for note in one.notes:
        say(f"    {note.marked}")
    if one.over:
        say(f"    the walk stays beside it: over = {', '.join(one.over)}")


class KeptArea(TypedDict):
    """An area whose edge was kept, and the files of the walk that stays beside it. [ac, ft]"""

    name: str
    new: bool
    file: str
    acres: float
    acres_low: float
    acres_high: float
    over: list[str]
    edge_pm_ft: float | None
    notes: list[NoteJson]


class KeptTold(TypedDict):
    """What was kept as JSON has it; ``step`` is the one to take back, None where nothing changed."""

    areas: list[KeptArea]
    said: list[str]
    step: JsonObject | None


def kept_record(kept: Redrawing, lines: Sequence[str]) -> KeptTold:
    """Return what was kept as JSON has it."""
    return {
        "areas": [
            {
                "name": one.area, "new": one.new, "file": one.file, "acres": one.acres,
                "acres_low": one.acres_low, "acres_high": one.acres_high,
                "over": list(one.over), "edge_pm_ft": one.edge_pm_ft,
                "notes": [note.to_dict() for note in one.notes],
            }
            for one in kept.areas
        ],
        "said": [*lines, *kept.said],
        "step": step_record(kept.step) if kept.step else None,
    }  # fmt: skip


def tell_clash(problem: EdgeClash) -> None:
    """Tell a clash as JSON; its line follows on standard error."""
    emit({"clash": True, "area": problem.area, "why": str(problem)})
