"""The edges that one file holds, drawn and walked, each with a name that means it alone.

``feature`` in property.toml is a name as the file has it; ``South#2``, the second of that
name (``unnamed#1`` of those without one); or ``#2``, the second edge of the file. A name
comes first, whatever signs are in it.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from quietacre.boundary.recordings import read_tracks, read_unread
from quietacre.model import folded

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import shapely

    from quietacre.boundary.pieces import Unread, Walked
    from quietacre.errors import WalkRefused
    from quietacre.model import Layer, Note

#: What features without a name are called.
UNNAMED = "unnamed"
#: A name, and which of that name; or a place in the file alone.
NUMBERED = re.compile(r"(.*)#([0-9]{1,7})", re.DOTALL)


@dataclass(frozen=True, eq=False)
class Edge:
    """One edge of a file: ``shape`` as drawn, or ``walked``, or ``unread`` and why.

    ``name`` is the file's, perhaps blank; ``names`` are all it goes by; ``label`` is what
    it is shown as and ``key`` what ``feature`` says to mean it alone; ``places`` are its
    places in the file, counted from 1; ``where`` tells a person which feature it is.
    """

    name: str
    names: tuple[str, ...]
    label: str
    key: str
    kind: str
    where: str
    places: tuple[int, ...]
    shape: shapely.Geometry | None = None
    walked: Walked | None = None
    unread: Unread | None = None

    @property
    def which(self) -> tuple[tuple[int, ...], str]:
        """Return what no other edge of the file has."""
        return self.places, self.label


@dataclass(frozen=True)
class Picked:
    """Edges that a word means. ``how``: by name, by the number of a name, by place."""

    edges: tuple[Edge, ...]
    how: Literal["name", "numbered", "place"]
    name: str = ""
    number: int = 0


@dataclass(frozen=True)
class Edges:
    """What one file holds: ``measured`` edges, and ``rest``: open tracks, and plans."""

    source: str
    measured: tuple[Edge, ...]
    rest: tuple[Edge, ...]
    notes: tuple[Note, ...]
    _by_name: dict[str, list[Edge]] = field(repr=False)
    _by_folded: dict[str, list[Edge]] = field(repr=False)

    def named(self, word: str) -> tuple[Edge, ...]:
        """Return the measured edges of a name: as it is typed, else whatever its capitals."""
        named_edges = self._by_name.get(word) or self._by_folded.get(folded(word), [])
        return tuple(named_edges)

    def pick(self, word: str) -> Picked | None:
        """Return what ``feature = word`` means in this file, None when nothing goes by it."""
        if named_edges := self.named(word):
            return Picked(named_edges, "name", word)
        if asked := [edge for edge in self.rest if word in edge.names]:
            return Picked(tuple(asked[:1]), "name", word)
        parts = NUMBERED.fullmatch(word)
        if parts is None:
            return None
        name, number = parts[1], int(parts[2])
        if not name:
            at = [edge for edge in (*self.measured, *self.rest) if number in edge.places]
            return Picked(tuple(at), "place", "", number) if at else None
        same = self.named(name)
        if not 1 <= number <= len(same):
            return None
        return Picked((same[number - 1],), "numbered", same[0].name, number)

    def known(self, most: int = 12) -> str:
        """Return the words that ``feature`` may say, for a message."""
        words = [f"“{edge.key}”" for edge in self.measured[:most]]
        more = len(self.measured) - len(words)
        return ", ".join(words) + (f" and {more:,} more" if more else "") or "none"


def edges_of(layer: Layer) -> Edges:
    """Return the edges of a file: its drawn features in order, then its walks.

    Tracks are read as ``read_tracks`` does; a plan beside a walk is no edge of the file.
    """
    edges = list(_drawn(layer))
    first = len(layer.geometry)
    recorded = read_tracks(layer.tracks)
    walks: list[tuple[tuple[int, ...], Edge]] = []
    for walked in recorded.walked:
        track = walked.tracks[0]
        places = tuple(first + number for number in walked.numbers)
        names = tuple(dict.fromkeys(name for name in walked.names if name)) or ("",)
        edge = _edge(walked.name, names, track.area_kind, places, walked.numbers[0])
        walks.append((walked.numbers, _with(edge, walked=walked)))
    for line in recorded.drawn:
        track = line.track
        edge = _edge(
            track.name, (track.name,), track.area_kind, (first + line.number,), line.number
        )
        walks.append(((line.number,), _with(edge, shape=line.shape)))
    edges += [edge for _, edge in sorted(walks, key=lambda item: item[0])]
    rest = tuple(
        _with(
            _edge(one.track.name, (one.track.name,), "", (first + one.number,), one.number),
            unread=one,
        )
        for one in recorded.unread
    )
    return _named(layer.source, edges, rest, recorded.notes)


def refusal(edge: Edge) -> WalkRefused | None:
    """Return why an edge that is not measured is none; None for a plan nobody tried."""
    return edge.unread.problem if edge.unread is not None else None


def walk_round(edge: Edge) -> Walked | None:
    """Return the walk of an edge, also of one set aside; None of a drawing.

    Raises
    ------
    WalkRefused
        It cannot be read.
    """
    return read_unread(edge.unread) if edge.unread is not None else edge.walked


def _drawn(layer: Layer) -> Iterator[Edge]:
    rows = zip(layer.geometry, layer.name, layer.kind, layer.feature, strict=True)
    for place, (shape, name, kind, where) in enumerate(rows, 1):
        yield Edge(name, (name,), "", "", kind, where, (place,), shape=shape)


def _edge(
    name: str, names: tuple[str, ...], kind: str, places: tuple[int, ...], number: int
) -> Edge:
    return Edge(name, names, "", "", kind, f"track {number}", places)


def _with(edge: Edge, **more: object) -> Edge:
    from dataclasses import replace

    return replace(edge, **more)  # type: ignore[arg-type]


def _named(
    source: str, edges: Sequence[Edge], rest: tuple[Edge, ...], notes: tuple[Note, ...]
) -> Edges:
    """Return edges with labels and keys; each is alone in the file with both."""
    labels = _labels([edge.name for edge in edges])
    shown = [_with(edge, label=label) for edge, label in zip(edges, labels, strict=True)]
    keys = _keys(shown)
    shown = [_with(edge, key=key) for edge, key in zip(shown, keys, strict=True)]
    rest = tuple(
        _with(edge, label=edge.name or f"track {edge.places[0]}", key=f"#{edge.places[0]}")
        for edge in rest
    )
    by_name: dict[str, list[Edge]] = defaultdict(list)
    by_folded: dict[str, list[Edge]] = defaultdict(list)
    for edge in shown:
        for name in edge.names:
            by_name[name or UNNAMED].append(edge)
        for word in {folded(name or UNNAMED) for name in edge.names}:
            by_folded[word].append(edge)
    return Edges(source, tuple(shown), rest, notes, dict(by_name), dict(by_folded))


def _labels(names: Sequence[str]) -> list[str]:
    """Return a name for each to be shown by: its own, "South 2", "unnamed 1"."""
    count = Counter(name or UNNAMED for name in names)
    taken = {folded(name) for name in names if name and count[name] == 1}
    seen: Counter[str] = Counter()
    labels = []
    for name in names:
        word = name or UNNAMED
        if name and count[name] == 1:
            labels.append(name)
            continue
        seen[word] += 1
        label = f"{word} {seen[word]}"
        while folded(label) in taken:  # another feature is called so
            label += "'"
        taken.add(folded(label))
        labels.append(label)
    return labels


def _keys(edges: Sequence[Edge]) -> list[str]:
    """Return what ``feature`` says to mean each edge alone."""
    exact = Counter(name or UNNAMED for edge in edges for name in edge.names)
    loose = Counter(
        word for edge in edges for word in {folded(n or UNNAMED) for n in edge.names}
    )
    seen: Counter[str] = Counter()
    keys = []
    for edge in edges:
        for name in edge.names:
            seen[name or UNNAMED] += 1
        word = edge.name or UNNAMED
        # a name comes first: a number is told by a word that is no name here
        forms = [
            f"{start}#{zeros}{number}"
            for zeros in ("", "0", "00")
            for start, number in ((word, seen[word]), ("", edge.places[0]))
        ]
        free = [key for key in forms if not exact[key] and not loose[folded(key)]]
        if edge.name and exact[word] == 1:
            keys.append(edge.name)
        else:
            keys.append(free[0] if free else forms[0])
    return keys
