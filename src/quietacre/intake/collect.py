"""Gathers the features of one file: sorts shapes, checks coordinates, says what it left out."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import shapely

from quietacre.intake.coordinates import check_places, moved, one_turn
from quietacre.intake.file_notes import FileNotes
from quietacre.intake.gpx import wrapped
from quietacre.intake.limits import MAX_FEATURES, MAX_VERTICES
from quietacre.model import AREA_KINDS, LINE_KIND, Layer, Waypoint

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.errors import FileProblem
    from quietacre.intake.reference import Move
    from quietacre.model import Cell, Track

#: A drawn line that ends this near its start, against its length, was meant as a ring.
CLOSING_SHARE = 0.05
MIN_RING_POINTS = 3
#: Features that wait before they are moved and checked together.
BATCH = 4096
#: So many features of a kind are named, the rest counted.
NAMED = 3
#: Of a feature whose other columns nobody asked for.
NO_COLUMNS: Mapping[str, Cell] = {}
#: Words for kinds that are kept apart; a county has its own code for each use of land.
MOST_WORDS = 100


class _Waiting(NamedTuple):
    """A feature that waits to be moved and checked."""

    shape: Any
    name: str
    kind: str
    feature: str
    move: Move | None
    columns: Mapping[str, Cell]


class Collector(FileNotes):
    """Features of one file on their way to a ``Layer``."""

    def __init__(
        self, source: str, *, layer: str | None = None, keep: bool = False
    ) -> None:
        """Begin with nothing; ``layer`` is the one to read, ``keep`` other columns too."""
        super().__init__(source)
        self.wanted_layer = layer
        self.keeps_columns = keep
        self._columns: list[Mapping[str, Cell]] = []
        self._shapes: list[Any] = []
        self._names: list[str] = []
        self._kinds: list[str] = []
        self._features: list[str] = []
        self._waypoints: list[Waypoint] = []
        self._tracks: list[Track] = []
        self._odd_kinds: Counter[str] = Counter()
        self._left_out: dict[tuple[str, str], tuple[int, list[str]]] = {}
        self._pending: list[_Waiting] = []
        self._seen = 0
        self._vertices = 0

    def add(
        self,
        shape: shapely.Geometry | None,
        properties: Mapping[str, object],
        feature: str,
        move: Move | None = None,
    ) -> None:
        """Take one feature: its shape, its properties, what to call it in messages.

        ``move`` turns coordinates (n, 2) of the file's system into longitude and
        latitude; None when they are that already.

        Raises
        ------
        FileProblem
            Its coordinates cannot be places on Earth.
        """
        self._seen += 1
        if self._seen > MAX_FEATURES:
            raise self.problem(
                f"holds more than {MAX_FEATURES:,} features", "split the file"
            )
        if shape is None or shape.is_empty:
            self._leave_out("feature", "without a shape", feature)
            return
        kind = self.kind(_word(properties, "kind"))
        more = _others(properties) if self.keeps_columns else NO_COLUMNS
        self._pending.append(
            _Waiting(shape, _word(properties, "name"), kind, feature, move, more)
        )
        if len(self._pending) >= BATCH:
            self._settle()

    def kind(self, word: str) -> str:
        """Return the kind of area that a word of the file means, "" when it is none of ours."""
        kind = word.casefold()
        if kind in AREA_KINDS or kind == LINE_KIND or not kind:
            return kind
        if word in self._odd_kinds or len(self._odd_kinds) < MOST_WORDS:
            self._odd_kinds[word] += 1
        else:
            self._odd_kinds["…"] += 1
        return ""

    def add_track(self, track: Track, feature: str) -> None:
        """Take one recorded or drawn line as a track, not as a shape.

        Raises
        ------
        FileProblem
            Its coordinates cannot be places on Earth.
        """
        self._seen += 1
        if len(track.lon) > 1:
            line = np.empty(1, dtype=object)
            line[0] = shapely.LineString(np.column_stack([track.lon, track.lat]))
            self._check(line, [feature])
        self._tracks.append(replace(track, lon=wrapped(track.lon)))

    def _leave_out(self, what: str, which: str, feature: str) -> None:
        """Count a feature that is not measured, and keep the first few names."""
        why = (what, which)
        count, some = self._left_out.get(why, (0, []))
        self._left_out[why] = (count + 1, [*some, feature] if count < NAMED else some)

    def _settle(self) -> None:
        """Move, check and sort the features that wait, many at a time."""
        pending, self._pending = self._pending, []
        for move, group in itertools.groupby(pending, key=lambda item: item.move):
            waiting = list(group)
            shapes = np.empty(len(waiting), dtype=object)
            shapes[:] = [item.shape for item in waiting]
            features = [item.feature for item in waiting]
            shapes = shapely.force_2d(shapes)
            if move is not None:
                shapes = moved(shapes, move, features, self)
            self._check(shapes, features)
            shapes = one_turn(shapes, features, self)
            for shape, item in zip(shapes, waiting, strict=True):
                self._sort(shape, item)

    def _check(self, shapes: np.ndarray, features: Sequence[str]) -> None:
        """Check that coordinates are places on Earth, and not too many."""
        self._vertices += int(shapely.get_num_coordinates(shapes).sum())
        if self._vertices > MAX_VERTICES:
            raise self.problem(f"has more than {MAX_VERTICES:,} vertices", "split the file")
        check_places(shapes, features, self)

    def _sort(self, shape: shapely.Geometry, item: _Waiting) -> None:
        if shape.geom_type in ("Polygon", "MultiPolygon"):
            self._area(shape, item)
        elif shape.geom_type in ("LineString", "LinearRing"):
            ring = self._ring(shape, item.name or item.feature)
            if ring is not None:
                self._area(ring, item)
        elif shape.geom_type in ("Point", "MultiPoint"):
            self._waypoints += [
                Waypoint(item.name, self.source, float(x), float(y))
                for x, y in shapely.get_coordinates(shape)
            ]
        else:  # collections and multi-lines, part by part
            parts = list(shape.geoms)
            areas = [p for p in parts if p.geom_type in ("Polygon", "MultiPolygon")]
            if areas:
                polygons = [q for p in areas for q in getattr(p, "geoms", [p])]
                self._area(shapely.MultiPolygon(polygons), item)
                parts = [p for p in parts if p not in areas]
            for part in parts:
                self._sort(part, item)

    def _area(self, shape: shapely.Geometry, item: _Waiting) -> None:
        self._shapes.append(shape)
        self._names.append(item.name)
        self._kinds.append(item.kind)
        self._features.append(item.feature)
        if self.keeps_columns:
            self._columns.append(item.columns)

    def _ring(self, line: shapely.LineString, label: str) -> shapely.Polygon | None:
        """Return a drawn line as a ring when it was meant as one."""
        xy = shapely.get_coordinates(line)
        if not encloses(xy):
            self._leave_out("line", "of fewer than three points", label)
            return None
        gap = float(np.hypot(*(xy[0] - xy[-1])))
        if gap > CLOSING_SHARE * line.length:
            self._leave_out("open line", "round no ground", label)
            return None
        self.note(
            "line-closed",
            f"“{label}” is a line; its ends meet, so it is measured as an area.",
            label,
            "info" if gap == 0 else "caution",
        )
        return shapely.Polygon(xy)

    def closed(self, xy: np.ndarray, label: str) -> np.ndarray | None:
        """Return a ring's points, closed and said so if need be; None without area.

        ``xy`` has shape (n, 2); fewer than three different points enclose nothing.
        """
        if not encloses(xy):
            return None
        if xy[0, 0] == xy[-1, 0] and xy[0, 1] == xy[-1, 1]:
            return xy
        self.note(
            "ring-closed",
            f"{label}: the ring does not end where it starts; closed with a straight edge.",
            label,
            "caution",
        )
        return np.vstack([xy, xy[:1]])

    def too_few(self, label: str) -> FileProblem:
        """Return the error of an outer edge that encloses nothing."""
        return self.problem(
            "its edge has fewer than three different points", "draw it again", label
        )

    def layer(self) -> Layer:
        """Return what was gathered.

        Raises
        ------
        FileProblem
            The file held no feature at all.
        """
        self._settle()
        self.check_some()
        for (what, which), (count, some) in self._left_out.items():
            words = ", ".join(some) + (" …" if count > NAMED else "")
            left = _count(count, what, f"{which} is", f"{which} are")
            self.note("left-out", f"{left} left out: {words}.", level="caution")
        if self._odd_kinds:
            words = ", ".join(f"“{word}”" for word, _ in self._odd_kinds.most_common(NAMED))
            words += " …" if len(self._odd_kinds) > NAMED else ""
            self.note(
                "kind-unknown",
                f"{_count(self._odd_kinds.total(), 'feature', 'says', 'say')} a kind that is not known here "
                f"({words}), which is left out; the kinds are {', '.join(AREA_KINDS)}.",
                level="caution",
            )
        if self._waypoints:
            self.note(
                "waypoints-listed",
                f"{_count(len(self._waypoints), 'point', 'is', 'are')} listed, not measured.",
                level="info",
            )
        return self.take()

    def check_some(self) -> None:
        """Raise FileProblem when the file held no feature at all."""
        if self._seen == 0:
            raise self.problem("holds no features", "export it again with something in it")

    def take(self) -> Layer:
        """Return what was gathered since the last time, and let go of it."""
        self._settle()
        self._find_doubles()
        geometry = np.empty(len(self._shapes), dtype=object)
        geometry[:] = self._shapes
        layer = Layer(
            source=self.source,
            geometry=geometry,
            name=tuple(self._names),
            kind=tuple(self._kinds),
            feature=tuple(self._features),
            tracks=tuple(self._tracks),
            waypoints=tuple(self._waypoints),
            notes=tuple(self._notes),
            columns=tuple(self._columns),
        )
        self._columns = []
        self._shapes, self._names, self._kinds, self._features = [], [], [], []
        self._waypoints, self._tracks, self._notes, self._vertices = [], [], [], 0
        return layer

    def _find_doubles(self) -> None:
        seen: dict[bytes, str] = {}
        keys = shapely.to_wkb(np.array(self._shapes, dtype=object)).tolist()
        for key, name, feature in zip(keys, self._names, self._features, strict=True):
            label = name or feature
            if key in seen:
                self.note(
                    "drawn-twice", f"“{label}” repeats “{seen[key]}” to the point.", label
                )
            seen.setdefault(key, label)


def _count(count: int, what: str, one: str, many: str) -> str:
    """Return "1 line is" or "2 lines are"."""
    return f"1 {what} {one}" if count == 1 else f"{count:,} {what}s {many}"


def encloses(xy: np.ndarray) -> bool:
    """Return whether points, shape (n, 2), have three different ones among them."""
    if len({(x, y) for x, y in xy[:4].tolist()}) >= MIN_RING_POINTS:
        return True
    return len(np.unique(xy, axis=0)) >= MIN_RING_POINTS


#: Columns that every file is read for.
OURS = ("name", "kind")


def _others(properties: Mapping[str, object]) -> dict[str, Cell]:
    """Return the columns of a feature besides ours, in their order: text, numbers, or nothing."""
    return {
        key: value
        if isinstance(value, (int, float)) or value is None
        else whole(str(value))
        for key, value in properties.items()
        if key.casefold() not in OURS
    }


def _word(properties: Mapping[str, object], key: str) -> str:
    """Return a text property whatever the case of its key; "" when there is none."""
    for column, value in properties.items():
        if column.casefold() == key and value is not None:
            return whole(str(value)).strip()
    return ""


def whole(text: str) -> str:
    """Return text with halves of surrogate pairs, which no file can hold, as signs."""
    return text.encode("utf-8", "replace").decode()
