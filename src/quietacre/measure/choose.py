"""Which edges of a file an area means, and what of a file no area means."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.edges import UNNAMED, Edge, Edges, Picked, edges_of, refusal
from quietacre.boundary.recordings import chosen_note, most_ground
from quietacre.boundary.repair import repair_all
from quietacre.errors import BadInput, FileProblem
from quietacre.figures import acres as acres_words
from quietacre.figures import figures_in
from quietacre.intake.vector import read_layer
from quietacre.model import Layer, Note, doubt_level, folded
from quietacre.units import ACRE_M2
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from quietacre.intake.vector import OwnUnits

#: So many edges that no area uses are named, file by file; the rest are counted.
MOST_NAMED = 200
#: What a build says of ground on the terminal, not on the page alone.
SAID_AT_ONCE = (
    "ground-unused", "feature-twice", "feature-count", "features-together", "track-chosen",
    "tracks-joined", "walked-again", "route-measured", "line-of-many", "line-as-drawn",
    "segments-apart", "plugin-used",
)  # fmt: skip
#: And of edges taken together so many sizes are listed.
MOST_SIZES = 12
#: Less ground than this that is drawn twice is not spoken of. [ac]
SLIVER_AC = 0.01


@dataclass(frozen=True)
class Use:
    """An area that means an edge of a file, and whether by the number of a name."""

    area: str
    edge: Edge
    picked: Picked | None
    as_area: bool = True


class Files:
    """Reads each file of a property once, and remembers which of its edges are used."""

    def __init__(
        self,
        folder: Path,
        readers: Mapping[str, Callable[[Path, str], Layer]] | None = None,
    ) -> None:
        self.folder = folder
        self.readers = readers
        self._layers: dict[str, Layer] = {}
        self._edges: dict[str, Edges] = {}
        self.uses: dict[str, list[Use]] = defaultdict(list)
        self.told: set[str] = set()  # files whose notes their area has said already

    def layer(self, name: str, own_units: OwnUnits | None = None) -> Layer:
        """Return what the file of this name holds."""
        if name not in self._layers:
            self._layers[name] = read_layer(
                self.folder / name,
                shown=name,
                own_units=own_units,
                readers=self.readers,
            )
        return self._layers[name]

    def edges(self, name: str) -> Edges:
        """Return the edges of the file of this name."""
        if name not in self._edges:
            self._edges[name] = edges_of(self.layer(name))
        return self._edges[name]

    def notes(self, name: str) -> tuple[Note, ...]:
        """Return what there is to say of a file as a whole."""
        return self.layer(name).notes + self.edges(name).notes

    def unused(self, name: str) -> list[Edge]:
        """Return the measured edges of a file that nothing uses."""
        used = {use.edge.which for use in self.uses[name]}
        return [edge for edge in self.edges(name).measured if edge.which not in used]

    def read(self) -> tuple[str, ...]:
        """Return the names of the files that were read, in order."""
        return tuple(self._edges)


@dataclass
class Chosen:
    """The edges of one file that an area means, and what there is to say of the choice."""

    edges: tuple[Edge, ...]
    notes: list[Note] = field(default_factory=list)


def choose(
    files: Files, file: str, wanted: str | None, area: str, *, was: Sequence[str] = (),
    as_area: bool = True,
) -> Chosen:  # fmt: skip
    """Return the edges of a file that belong to one area, and remember that they do.

    Parameters
    ----------
    wanted : what ``feature`` says, or None; the area's own name is tried then, and the names
        ``was`` that it had before, the last first: a file goes on calling ground as it did.
    as_area : whether it is the area itself, and not an earlier survey of it.

    Raises
    ------
    FileProblem
        The file holds no edge, or none that the area can mean.
    WalkRefused
        The track that it means cannot be read.
    """
    edges = files.edges(file)
    where = f"area “{area}”"
    if not edges.measured and wanted is None:
        raise nothing_in(edges, where)
    if wanted is not None:
        picked = edges.pick(wanted)
    else:  # an area called "South#2" means nothing by it
        own = (edges.pick(name) for name in (area, *reversed(was)))
        picked = next((one for one in own if one is not None and one.how == "name"), None)
    if picked is None and wanted is not None:
        raise FileProblem(
            f"there is no feature “{wanted}”",
            fix=f"use one of those in the file ({edges.known()})",
            source=edges.source,
            where=where,
        )
    if picked is not None and (wanted is not None or picked.edges[0] in edges.measured):
        chosen = _by_word(edges, picked, wanted, where)
    else:
        chosen = _without_word(edges, area, where)
        picked = None
    files.uses[file] += [Use(area, edge, picked, as_area) for edge in chosen.edges]
    return chosen


def nothing_in(edges: Edges, where: str) -> BadInput:
    """Return why a file gives no edge: what is wrong with its first track, or that it is empty."""
    for edge in edges.rest:
        if (problem := refusal(edge)) is not None:
            return problem
    return FileProblem(
        "holds no polygon and no track",
        fix="give a file with the edge of the area in it",
        source=edges.source,
        where=where,
    )


def _by_word(edges: Edges, picked: Picked, wanted: str | None, where: str) -> Chosen:
    """Return what a word means; several drawings of one name are taken together."""
    edges_here = picked.edges
    if len(edges_here) == 1:
        return Chosen(edges_here)
    drawn = tuple(edge for edge in edges_here if edge.shape is not None)
    walks = [edge for edge in edges_here if edge.walked is not None]
    if drawn:  # a walk of the same name is left, and said with what no area uses
        return Chosen(
            drawn, [_together_note(edges, drawn, picked.name)] if len(drawn) > 1 else []
        )
    if wanted is not None:
        keys = " or ".join(f'"{edge.key}"' for edge in walks)
        raise FileProblem(
            f"holds {len(walks)} walks named “{wanted}”",
            fix="say which one: " + box_and_line("area", "feature", f"feature = {keys}"),
            source=edges.source,
            where=where,
        )
    return _largest(walks)


def _without_word(edges: Edges, area: str, where: str) -> Chosen:
    """Return the edges of an area that no word of the file names."""
    if len(edges.measured) == 1:
        return Chosen(edges.measured)
    drawn = tuple(edge for edge in edges.measured if edge.shape is not None)
    if not drawn:
        return _largest(list(edges.measured))
    if len({edge.name for edge in drawn if edge.name}) > 1:
        raise FileProblem(
            f"holds {len(edges.measured)} features and none is named “{area}”",
            fix="say which one: "
            + box_and_line("area", "feature", 'feature = "…"')
            + f"; there are {edges.known()}",
            source=edges.source,
            where=where,
        )
    return Chosen(drawn, [_together_note(edges, drawn, area)] if len(drawn) > 1 else [])


def _largest(edges_here: Sequence[Edge]) -> Chosen:
    walks = [edge.walked for edge in edges_here if edge.walked is not None]
    best = most_ground(walks)
    edge = next(edge for edge in edges_here if edge.walked is best)
    return Chosen((edge,), list(chosen_note(best, walks)))


def _together_note(edges: Edges, edges_here: Sequence[Edge], name: str) -> Note:
    sizes = acres_of(edges_here, edges.source)
    whole, _ = joined_shape(edges_here, edges.source, name)
    acres = float(area_m2(np.array([whole], dtype=object))[0]) / ACRE_M2
    each = figures_in("ac", sizes[:MOST_SIZES], bare=True)
    each += " …" if len(sizes) > MOST_SIZES else ""
    return Note(
        "features-together",
        f"{len(edges_here)} features of {edges.source} are measured together as “{name}”, "
        f"{acres_words(acres)} ({each}{twice_words(sum(sizes) - acres)}); to part them, write feature = "
        f'"{edges_here[0].key}", "{edges_here[1].key}" … under an area each.',
        "caution",
        edges.source,
        name,
    )


def twice_words(acres: float) -> str:
    """Return how much of pieces that are put together lies on one another, if any does."""
    return (
        f", {acres_words(acres)} drawn twice and counted once" if acres >= SLIVER_AC else ""
    )


def acres_of(edges_here: Sequence[Edge], source: str) -> list[float]:
    """Return the acres of edges: of the walk, or of the drawing once it is mended."""
    sizes = {
        place: edge.walked.walk.acres
        for place, edge in enumerate(edges_here)
        if edge.walked is not None
    }
    drawn = [place for place, edge in enumerate(edges_here) if edge.shape is not None]
    if drawn:
        shapes = np.empty(len(drawn), dtype=object)
        shapes[:] = [edges_here[place].shape for place in drawn]
        labels = [edges_here[place].label for place in drawn]
        mended, _ = repair_all(shapes, labels, [source] * len(drawn))
        sizes |= zip(drawn, (area_m2(mended) / ACRE_M2).tolist(), strict=True)
    return [sizes.get(place, 0.0) for place in range(len(edges_here))]


def unused_notes(
    files: Files, total_ac: float, areas: Mapping[str, Sequence[str]] | None = None
) -> Iterator[Note]:
    """Yield a note for each file with edges that nothing uses, naming each with its acres.

    ``areas`` has the files of each area by its name: an edge that one of these had before it
    was drawn anew in another file is no ground that was forgotten.
    """
    anew = {folded(name): (name, source) for name, source in (areas or {}).items()}
    for file in files.read():
        left = files.unused(file)
        before = [
            edge
            for edge in left
            if file not in anew.get(folded(edge.label), ("", (file,)))[1]
        ]
        for edge in before:
            name, source = anew[folded(edge.label)]
            yield Note(
                "edge-before", f"{file} still holds the edge that “{name}” had before; it is "
                f"measured by {', '.join(source)} now.", "info", file, name,
            )  # fmt: skip
        left = [edge for edge in left if edge not in before]
        if not left:
            continue
        sizes = _sizes_one_by_one(left, file)
        acres = sum(size for size in sizes if size is not None)
        each = ", ".join(
            f"“{edge.label}” "
            + ("cannot be measured" if size is None else acres_words(size))
            for edge, size in zip(left[:MOST_NAMED], sizes, strict=False)
        )
        more = len(left) - MOST_NAMED
        each += f" and {more:,} more" if more > 0 else ""
        features = "1 feature" if len(left) == 1 else f"{len(left):,} features"
        yield Note(
            "ground-unused",
            f"{file} holds {features} that no area uses, {acres_words(acres)}, and they are not "
            f"counted: {each}",
            doubt_level(acres, total_ac),
            file,
            more="To count one, bring the file again at the desk, or give it an [[area]] with "
            f'feature = "{left[0].key}" in property.toml.',
        )


def _sizes_one_by_one(edges_here: Sequence[Edge], source: str) -> list[float | None]:
    """Return acres, None for a drawing that cannot be mended."""
    try:
        return list(acres_of(edges_here, source))
    except BadInput:
        pass
    sizes: list[float | None] = []
    for edge in edges_here:
        try:
            sizes += acres_of([edge], source)
        except BadInput:
            sizes.append(None)
    return sizes


def use_notes(files: Files) -> Iterator[Note]:
    """Yield notes on edges used twice, and on names whose count is not what was numbered."""
    for file, uses in files.uses.items():
        by_edge: dict[object, list[Use]] = defaultdict(list)
        for use in uses:
            if use.as_area:
                by_edge[use.edge.which].append(use)
        for same in by_edge.values():
            areas = list(dict.fromkeys(use.area for use in same))
            if len(areas) > 1:
                names = " and ".join(f"“{area}”" for area in areas)
                size = acres_of([same[0].edge], file)[0]
                yield Note(
                    "feature-twice",
                    f"{names} are the same feature “{same[0].edge.label}” of {file}; its "
                    f"{acres_words(size)} are counted once in the total, but each has its amounts "
                    "and its work.",
                    "warning",
                    file,
                    areas[0],
                )
        yield from _count_notes(files.edges(file), file, uses)


def _count_notes(edges: Edges, file: str, uses: Sequence[Use]) -> Iterator[Note]:
    """Yield a note on each name told by number whose count is not as far as it is told."""
    noted = {use.picked.name for use in uses if use.picked and use.picked.how == "numbered"}
    used = {use.edge.which for use in uses}
    for name in sorted(noted):
        same = edges.named(name or UNNAMED)
        known = max(n for n, edge in enumerate(same, 1) if edge.which in used)
        # a name alone in the file needs no number, unless it is none
        if len(same) == known and (len(same) > 1 or not name):
            continue
        called = f"named “{name}”" if name else "without a name"
        written = f"{name or UNNAMED}#{known}"
        yield Note(
            "feature-count",
            f"{file} holds {len(same)} feature{'' if len(same) == 1 else 's'} {called}, and "
            f"property.toml uses them up to “{written}”",
            "warning",
            file,
            more="if one was added or taken out, check that each area still is the ground you "
            "mean.",
        )


def joined_shape(
    chosen: Sequence[Edge], source: str, label: str | None
) -> tuple[shapely.Geometry, list[Note]]:
    """Return drawn edges as one geometry, each mended first, and what was mended.

    ``label`` is what to call them in notes; None for each by where it is in its file.
    """
    shapes = np.empty(len(chosen), dtype=object)
    shapes[:] = [edge.shape for edge in chosen]
    names = [edge.where if label is None else label for edge in chosen]
    mended, notes = repair_all(shapes, names, [source] * len(chosen))
    if len(mended) == 1:
        return mended[0], list(notes)
    return shapely.union_all(mended), list(notes)
