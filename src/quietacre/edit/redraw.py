"""Edges drawn anew in a property folder: areas changed, made of others, taken out, in one step."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.boundary.mended import drawn_over, mended_words
from quietacre.drawing.sheet import acres_of
from quietacre.edit import journal
from quietacre.edit.edge_error import EdgeError, OldEdge, new_error, old_edge
from quietacre.edit.log_under import log_notes
from quietacre.edit.property_file import area_of, change_settings, read_settings
from quietacre.edit.ring_file import DIGITS, read_again, ring_file, ring_name
from quietacre.edit.toml_plain import Change, Insert, Remove, Set
from quietacre.edit.toml_table import areas_in, files_under, number_in, texts_in
from quietacre.edit.walks_under import walks_under
from quietacre.errors import BadInput, Clash, FileProblem
from quietacre.measure.choose import Files
from quietacre.measure.one import Place
from quietacre.measure.otherwise import with_drawn_range
from quietacre.measure.records import Ground
from quietacre.model import SETTINGS_FILE, folded

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    import shapely

    from quietacre.edit.journal import Step
    from quietacre.edit.toml_table import TomlTable
    from quietacre.model import Note

#: What an operation made holds the acres there were only with all of its digits.
EXACT: tuple[int, ...] = ()
#: Keys that say where an edge comes from: they go with the old edge.
OF_THE_EDGE = frozenset({
    "name", "kind", "from", "feature", "over", "walked_inside_ft", "walked_outside_ft", "sky", "corners",
    "order", "placed", "declination_deg", "pace_ft", "vara_ft", "edge_pm_ft", "map_scale", "was", "previous",
})  # fmt: skip
#: Of these, what reads the walk that stays beside the new edge.
OF_THE_WALK = ("walked_inside_ft", "walked_outside_ft", "sky")
#: What a drawing that takes the place of pins, legs or calls leaves without a use.
OF_KNOWN = (
    "corners", "order", "placed", "declination_deg", "pace_ft", "vara_ft", "map_scale",
)  # fmt: skip


@dataclass(frozen=True)
class NewEdge:
    """An edge to keep. ``shape`` are polygons in longitude, latitude [deg].

    ``area`` is the area whose edge it becomes, None for a new one of ``name`` and ``kind``,
    which takes the settings of the area ``like``. ``was`` is what ``edge_sum`` said of the
    area when its edge was looked at. ``edge_pm_ft`` is how far off any of its corners
    may be, 95 %, ``hand_pm_ft`` how far those that a hand put; None leaves what stands.
    """

    shape: shapely.Geometry
    area: str | None = None
    name: str = ""
    kind: str | None = None
    like: str | None = None
    was: str | None = None
    edge_pm_ft: float | None = None
    hand_pm_ft: float | None = None


@dataclass(frozen=True)
class Kept:
    """An area whose edge was kept. ``over`` are the walks that stay beside it."""

    area: str
    new: bool
    file: str
    acres: float
    acres_low: float
    acres_high: float
    over: tuple[str, ...]
    edge_pm_ft: float | None
    notes: tuple[Note, ...]


@dataclass(frozen=True)
class Redrawing:
    """What was kept in one step; ``step`` is None where all of it stood so already."""

    step: Step | None
    areas: tuple[Kept, ...]
    said: tuple[str, ...]


class EdgeClash(Clash):
    """Another hand changed an edge since it was looked at."""

    def __init__(self, area: str) -> None:
        self.area = area
        super().__init__(
            "its edge was changed meanwhile, so it was left as it is",
            fix="look at it, and keep yours once more",
            source=f"area “{area}”",
        )


def edge_sum(folder: Path, area: str) -> str:
    """Return what any change to an area's edge, by any hand, would change.

    Raises
    ------
    FileProblem
        There is no such area.
    """
    return _edge_sum(folder, area_of(read_settings(folder), area)[1])


def _edge_sum(folder: Path, area: TomlTable) -> str:
    keys = {key: area.get(key) for key in sorted(OF_THE_EDGE - {"was", "previous"})}
    total = hashlib.sha256(json.dumps(keys, default=str).encode())
    for name in (*texts_in(area, "from"), *texts_in(area, "over")):
        total.update(journal.read(folder, name) or b"")
    return total.hexdigest()[:32]


def mend_edge(
    folder: Path, area: str, shape: shapely.Geometry, *, edge_pm_ft: float | None = None,
    state: Path | None = None,
) -> Redrawing:  # fmt: skip
    """Give an area an edge drawn anew; a walk that it was measured by stays beside it.

    Parameters and errors are those of `keep_edges`.
    """
    new = NewEdge(shape, area, edge_pm_ft=edge_pm_ft)
    return keep_edges(
        folder, [new], label=f"draw the edge of {area} anew", digits=DIGITS, state=state
    )


def keep_edges(
    folder: Path, edges: Sequence[NewEdge], *, out: Sequence[str] = (), label: str,
    digits: Sequence[int] = EXACT, state: Path | None = None,
) -> Redrawing:  # fmt: skip
    """Keep edges that were drawn, and take areas out, in one step of the journal.

    Parameters
    ----------
    folder : the property folder.
    edges : for areas that are there, and for new ones.
    out : areas to take out of property.toml, after a join; their files stay.
    label : what was done, as ``undo --list`` shows it.
    digits : digits of a degree behind the point, the first that keeps the rings valid; all
        of them when none are named, so that no acre is lost.
    state : as in `journal.apply`.

    Raises
    ------
    EdgeClash
        Another hand changed an edge since it was looked at.
    BadInput
        There is no such area, or one of the name already; an edge crosses itself, or does
        not lie on the ground of its walk; nothing is changed.
    """
    document = read_settings(folder)
    _check_names(document, edges, out)
    files: dict[str, bytes] = {}
    place = Place.of(folder)
    joined = _joined(place, document, edges, out)
    drafts = [_draft(place, document, edge, files, digits, joined) for edge in edges]

    def make(now: TomlTable) -> list[Change]:
        changes: list[Change] = []
        for draft in drafts:
            if draft.edge.area is None:
                continue
            at, area = area_of(now, draft.edge.area)
            if draft.edge.was is not None and _edge_sum(folder, area) != draft.edge.was:
                raise EdgeClash(str(area["name"]))
            changes += _changes(("area", at), area, draft)
        changes += [
            Insert(("area",), draft.table) for draft in drafts if draft.edge.area is None
        ]
        gone = sorted((area_of(now, name)[0] for name in out), reverse=True)
        return [*changes, *(Remove(("area", at)) for at in gone)]

    outcome = change_settings(folder, make, label, files=files, state=state)
    lines = [line for draft in drafts for line in draft.said]
    lines += log_notes(folder, [one.like for one in edges if one.like is not None], out)
    return Redrawing(outcome.step, tuple(draft.kept for draft in drafts), tuple(lines))


@dataclass(frozen=True)
class _Draft:
    """An edge on its way: what was asked, its table when new, and what is kept of it."""

    edge: NewEdge
    table: TomlTable
    kept: Kept
    said: tuple[str, ...]


def _draft(
    place: Place, document: TomlTable, edge: NewEdge, files: dict[str, bytes],
    digits: Sequence[int], joined: Sequence[OldEdge],
) -> _Draft:  # fmt: skip
    folder = place.files.folder
    old_name = edge.area or edge.like
    old = area_of(document, old_name)[1] if old_name is not None else {}
    over, walk = walks_under(folder, old) if old else ((), None)
    table = dict(old) if edge.area is not None else _new_table(folder, edge, old, over)
    word = str(table.get("feature", table["name"]))
    data = ring_file(edge.shape, word, digits)
    file = ring_name(folder, document, table, files)
    files[file] = data
    table = {"name": table["name"], "kind": table["kind"], "from": file,
             **{key: value for key, value in table.items() if key not in ("name", "kind", "from")}}  # fmt: skip
    drawn, notes = read_again(data, file, word)
    error = EdgeError(edge.edge_pm_ft)
    if edge.edge_pm_ft is None:
        made_of = _made_of(place, old, drawn if walk is not None else None)
        some = [*made_of, *joined]
        error = new_error(edge.hand_pm_ft, some, drawn, walked=walk is not None)
    pm_ft = error.pm_ft
    if walk is not None:
        origin = mended_words((), len(over))
        mended, note = drawn_over(walk, drawn, str(table["name"]), origin, edge_pm_ft=pm_ft)
        ground = Ground(drawn, mended, origin, (*notes, note), ())
    else:
        ground = with_drawn_range(Ground(drawn, None, "drawn", notes, ()), pm_ft, None)
    acres = float(acres_of([drawn])[0])
    kept = Kept(str(table["name"]), edge.area is None, file, acres, *ground.between(acres), over, pm_ft,
                ground.notes)  # fmt: skip
    if pm_ft is not None and edge.area is None:
        table["edge_pm_ft"] = pm_ft
    said_of = (f"{table['name']}: {error.said}",) if error.said else ()
    return _Draft(edge, table, kept, (*_words(edge, old, table), *said_of))


def _words(edge: NewEdge, old: TomlTable, table: TomlTable) -> tuple[str, ...]:
    """Return what to say of an edge's settings: those that go on, those that stay behind."""
    if edge.area is not None:
        dropped = [key for key in OF_KNOWN if key in old]
        gone = (
            f"{edge.area}: {', '.join(dropped)} told of the edge before, and went with it"
        )
        return (gone,) if dropped else ()
    taken = sorted(set(old) & set(table) - OF_THE_EDGE)
    words = []
    if edge.like is not None:
        what = f" ({', '.join(taken)})" if taken else ""
        words.append(f"{edge.name} has the settings of {edge.like}{what}")
    if "previous" in old:
        words.append(f"the earlier survey stays with {edge.like}: it is of both together")
    return tuple(words)


def _new_table(
    folder: Path, edge: NewEdge, old: TomlTable, over: tuple[str, ...]
) -> TomlTable:
    """Return the [[area]] of a new piece: the settings of the one it is like."""
    kind = edge.kind or old.get("kind") or "plot"
    table: TomlTable = {"name": edge.name, "kind": kind}
    if over:
        table["over"] = over[0] if len(over) == 1 else list(over)
        table |= {key: old[key] for key in OF_THE_WALK if key in old}
        if (which := _which_walk(folder, old, over)) is not None:
            table["feature"] = which
    same_kind = kind == old.get("kind")
    return table | {
        key: value for key, value in old.items() if key not in OF_THE_EDGE and same_kind
    }


def _which_walk(folder: Path, old: TomlTable, over: tuple[str, ...]) -> str | None:
    """Return what names the walk of an area in a file that holds several, else None."""
    if "feature" in old:
        return str(old["feature"])
    files = Files(folder)
    edges = [files.edges(name) for name in over]
    if not any(len(one.measured) > 1 for one in edges):
        return None
    called = [str(name) for name in (old["name"], *reversed(texts_in(old, "was")))]
    known = (name for name in called if any(one.pick(name) is not None for one in edges))
    return next(known, called[0])


def _changes(path: tuple[str | int, ...], area: TomlTable, draft: _Draft) -> list[Change]:
    """Return what gives an area that is there its new edge."""
    changes: list[Change] = [Set((*path, "from"), draft.kept.file)]
    over = draft.kept.over
    if over and "over" not in area:
        changes.append(Set((*path, "over"), over[0] if len(over) == 1 else list(over)))
    gone = [key for key in OF_KNOWN if key in area]
    if "feature" in area and not over:
        gone.append("feature")
    pm_ft = draft.kept.edge_pm_ft
    if pm_ft is not None and pm_ft != area.get("edge_pm_ft"):
        changes.append(Set((*path, "edge_pm_ft"), pm_ft))
    if pm_ft is None and "edge_pm_ft" in area:
        gone.append("edge_pm_ft")
    return [*changes, *(Remove((*path, key)) for key in gone)]


def _check_names(document: TomlTable, edges: Sequence[NewEdge], out: Sequence[str]) -> None:
    """Raise when a new name is taken, or one area is meant twice."""
    known = {folded(str(area.get("name", ""))) for area in areas_in(document)}
    known -= {folded(name) for name in out}
    meant = [folded(edge.area) for edge in edges if edge.area is not None]
    meant += [folded(name) for name in out]
    if len(set(meant)) < len(meant):
        raise FileProblem(
            "an area is meant twice", fix="give each area one edge", source=SETTINGS_FILE
        )
    for edge in edges:
        if edge.area is not None:
            continue
        if not edge.name.strip():
            raise FileProblem(
                "a new piece has no name", fix="give it one", source=SETTINGS_FILE
            )
        if folded(edge.name) in known:
            raise FileProblem(
                f"there is an area “{edge.name}” already", fix="give the new piece another name",
                source=SETTINGS_FILE,
            )  # fmt: skip
        known.add(folded(edge.name))


def _made_of(
    place: Place, old: TomlTable, walked: shapely.Geometry | None
) -> list[OldEdge]:
    """Return the edge that a new one takes the place of; none where it cannot be measured.

    Over a walk, ``walked`` stands for its ground, so that it is not read once more.
    """
    if not old:
        return []
    if walked is not None:
        return [OldEdge(str(old["name"]), walked, number_in(old, "edge_pm_ft"))]
    name = str(old["name"])
    try:
        return [old_edge(place.area(name), place.ground(name))]
    except BadInput:  # what cannot be read is what the new edge mends
        return []


def _joined(
    place: Place, document: TomlTable, edges: Sequence[NewEdge], out: Sequence[str]
) -> list[OldEdge]:
    """Return the edges of areas that are taken out, whose error is not the others' already.

    Pieces over the same walk have the error of that walk.
    """
    walks = [
        files_under(area)
        for edge in edges if edge.area is not None
        for area in [area_of(document, edge.area)[1]]
    ]  # fmt: skip
    gone = [area_of(document, name)[1] for name in out]
    return [
        old_edge(place.area(name), place.ground(name), joined=True)
        for area in gone
        for name in [str(area["name"])]
        if "edge_pm_ft" in area or files_under(area) not in walks
    ]
