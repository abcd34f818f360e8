"""Gathers the features of one file: sorts shapes, checks coordinates, says what it left out."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.errors import FileProblem
from quietacre.intake.gpx import wrapped
from quietacre.intake.limits import MAX_FEATURES, MAX_VERTICES
from quietacre.model import AREA_KINDS, LINE_KIND, Layer, Level, Note, Waypoint

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pyproj import CRS, Transformer

    from quietacre.model import Track

#: A drawn line that ends this near its start, against its length, was meant as a ring.
CLOSING_SHARE = 0.05
#: South of this nobody plants; swapped coordinates of the Americas land here. [deg]
FAR_SOUTH = -60.0
#: Only so near to a pole is a ring looked at that may go round it. [deg]
POLAR = 89.0
MIN_RING_POINTS = 3
FULL_TURN = 360.0
#: Shapes that are mostly smaller than this, near the origin of a system in lengths, are
#: degrees: no plot is so small. [m]
TINY_M = 10.0
#: Features that wait before they are moved and checked together.
BATCH = 4096
#: So many features of a kind are named, the rest counted.
NAMED = 3
#: Words for kinds that are kept apart; a county has its own code for each use of land.
MOST_WORDS = 100


@dataclass(frozen=True)
class Move:
    """The way from a file's reference system to longitude and latitude.

    ``far_origin``: the system's ground lies far from where its numbers are small.
    """

    system: str
    transformer: Transformer
    counts_lengths: bool
    unit_m: float
    far_origin: bool

    def __call__(self, xy: np.ndarray) -> np.ndarray:
        """Return coordinates (n, 2) in longitude and latitude. [deg]"""
        if not len(xy):
            return xy
        lon, lat = self.transformer.transform(xy[:, 0], xy[:, 1], errcheck=True)
        return np.column_stack([lon, lat])

    def takes_degrees(self, shapes: np.ndarray) -> bool:
        """Return whether shapes said to be in lengths are in degrees after all."""
        bounds = shapely.bounds(shapes)
        bounds = bounds[np.isfinite(bounds).all(axis=1)]
        limits = (FULL_TURN / 2, 90.0, FULL_TURN / 2, 90.0)
        if not self.counts_lengths or not len(bounds) or (np.abs(bounds) > limits).any():
            return False
        size_m = (bounds[:, 2:] - bounds[:, :2]).max(axis=1) * self.unit_m
        size_m = size_m[size_m > 0]
        return self.far_origin or (len(size_m) > 0 and float(np.median(size_m)) < TINY_M)


class Collector:
    """Features of one file on their way to a ``Layer``."""

    def __init__(self, source: str) -> None:
        self.source = source
        self._shapes: list[Any] = []
        self._names: list[str] = []
        self._kinds: list[str] = []
        self._features: list[str] = []
        self._waypoints: list[Waypoint] = []
        self._tracks: list[Track] = []
        self._odd_kinds: Counter[str] = Counter()
        self._notes: list[Note] = []
        self._left_out: dict[str, tuple[int, list[str]]] = {}
        self._pending: list[tuple[Any, str, str, str, Move | None]] = []
        self._seen = 0
        self._vertices = 0

    def note(
        self, code: str, text: str, feature: str | None = None, level: Level = "warning"
    ) -> None:
        """Add something the person should know about the file."""
        self._notes.append(Note(code, text, level, self.source, feature))

    def problem(self, what: str, fix: str, feature: str | None = None) -> FileProblem:
        """Return the error that names this file and feature."""
        return FileProblem(what, fix=fix, source=self.source, where=feature)

    def add(
        self,
        shape: shapely.Geometry | None,
        properties: Mapping[str, Any],
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
            self._leave_out("without a shape", feature)
            return
        kind = self.kind(_word(properties, "kind"))
        self._pending.append((shape, _word(properties, "name"), kind, feature, move))
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
            self._check_all(line, [feature])
        self._tracks.append(replace(track, lon=wrapped(track.lon)))

    def _leave_out(self, why: str, feature: str) -> None:
        """Count a feature that is not measured, and keep the first few names."""
        count, some = self._left_out.get(why, (0, []))
        self._left_out[why] = (count + 1, [*some, feature] if count < NAMED else some)

    def _settle(self) -> None:
        """Move, check and sort the features that wait, many at a time."""
        pending, self._pending = self._pending, []
        for move, group in itertools.groupby(pending, key=lambda item: item[4]):
            waiting = list(group)
            shapes = np.empty(len(waiting), dtype=object)
            shapes[:] = [item[0] for item in waiting]
            features = [item[3] for item in waiting]
            shapes = shapely.force_2d(shapes)
            if move is not None:
                shapes = self._moved(shapes, move, features)
            self._check_all(shapes, features)
            shapes = self._one_turn(shapes, features)
            for shape, (_, name, kind, feature, _) in zip(shapes, waiting, strict=True):
                self._sort(shape, name, kind, feature)

    def _one_turn(self, shapes: np.ndarray, features: Sequence[str]) -> np.ndarray:
        """Return shapes with longitudes as everybody counts them, whole shapes at a time.

        A file that counts from 0 to 360 would else lie beside another of the same ground.
        """
        bounds = shapely.bounds(shapes)
        middle = (bounds[:, 0] + bounds[:, 2]) / 2.0
        shapes = shapes.copy()
        for row in np.flatnonzero(np.abs(middle) > FULL_TURN / 2).tolist():
            turn = FULL_TURN * round(float(middle[row]) / FULL_TURN)
            shapes[row] = shapely.transform(shapes[row], lambda xy, t=turn: xy - (t, 0.0))
        wide = bounds[:, 2] - bounds[:, 0] > FULL_TURN / 2
        wide &= np.maximum(bounds[:, 1], -bounds[:, 3]) > POLAR
        for row in np.flatnonzero(wide).tolist():
            for ring in shapely.get_rings(shapes[row]):
                step = np.diff(shapely.get_coordinates(ring)[:, 0])
                if abs((step - FULL_TURN * np.round(step / FULL_TURN)).sum()) > 1.0:
                    raise self.problem(
                        "its edge goes right round a pole",
                        "draw it again",
                        features[row],
                    )
        return shapes

    def _moved(self, shapes: np.ndarray, move: Move, features: Sequence[str]) -> np.ndarray:
        """Return shapes in longitude and latitude; name the one that cannot go there."""
        if move.takes_degrees(shapes):
            raise self.problem(
                f"its reference system “{move.system}” counts in lengths, but its coordinates "
                "look like degrees",
                "export it in WGS84, or with the system its coordinates are in",
                features[0],
            )
        try:
            moved: np.ndarray = shapely.transform(shapes, move)
        except FileProblem:
            raise
        except Exception:
            for shape, feature in zip(shapes, features, strict=True):
                try:
                    shapely.transform(shape, move)
                except Exception as problem:
                    raise self.problem(
                        "lies where its reference system cannot go",
                        "check the file's reference system",
                        feature,
                    ) from problem
            raise
        return moved

    def _check_all(self, shapes: np.ndarray, features: Sequence[str]) -> None:
        """Check coordinates; only features that look wrong are looked at one by one."""
        xy, owner = shapely.get_coordinates(shapes, return_index=True)
        self._vertices += len(xy)
        if self._vertices > MAX_VERTICES:
            raise self.problem(f"has more than {MAX_VERTICES:,} vertices", "split the file")
        sound = (np.abs(xy) <= (FULL_TURN, 90.0)).all(axis=1)  # false for NaN too
        sound &= xy[:, 1] >= FAR_SOUTH
        for row in np.unique(owner[~sound]).tolist():
            self._check(shapes[row], features[row])

    def _sort(self, shape: shapely.Geometry, name: str, kind: str, feature: str) -> None:
        if shape.geom_type in ("Polygon", "MultiPolygon"):
            self._area(shape, name, kind, feature)
        elif shape.geom_type in ("LineString", "LinearRing"):
            ring = self._ring(shape, name or feature)
            if ring is not None:
                self._area(ring, name, kind, feature)
        elif shape.geom_type in ("Point", "MultiPoint"):
            self._waypoints += [
                Waypoint(name, self.source, float(x), float(y))
                for x, y in shapely.get_coordinates(shape)
            ]
        else:  # collections and multi-lines, part by part
            parts = list(shape.geoms)
            areas = [p for p in parts if p.geom_type in ("Polygon", "MultiPolygon")]
            if areas:
                polygons = [q for p in areas for q in getattr(p, "geoms", [p])]
                self._area(shapely.MultiPolygon(polygons), name, kind, feature)
                parts = [p for p in parts if p not in areas]
            for part in parts:
                self._sort(part, name, kind, feature)

    def _area(self, shape: shapely.Geometry, name: str, kind: str, feature: str) -> None:
        self._shapes.append(shape)
        self._names.append(name)
        self._kinds.append(kind)
        self._features.append(feature)

    def _ring(self, line: shapely.LineString, label: str) -> shapely.Polygon | None:
        """Return a drawn line as a ring when it was meant as one."""
        xy = shapely.get_coordinates(line)
        if not encloses(xy):
            self._leave_out("lines of fewer than three points", label)
            return None
        gap = float(np.hypot(*(xy[0] - xy[-1])))
        if gap > CLOSING_SHARE * line.length:
            self._leave_out("open lines, which enclose nothing", label)
            return None
        self.note(
            "line-closed",
            f"“{label}” is a line; its ends meet, so it is measured as an area.",
            label,
            "info" if gap == 0 else "caution",
        )
        return shapely.Polygon(xy)

    def _check(self, shape: shapely.Geometry, feature: str) -> None:
        xy = shapely.get_coordinates(shape)
        if not np.isfinite(xy).all():
            raise self.problem(
                "has a coordinate that is not a number",
                "mend or delete that vertex",
                feature,
            )
        worst_lon, worst_lat = np.abs(xy).max(axis=0)
        if worst_lon > FULL_TURN or worst_lat > FULL_TURN:
            raise self.problem(
                f"coordinates such as {xy[0, 0]:.10g}, {xy[0, 1]:.10g} are not degrees, "
                "and the file does not say what they are",
                "export it in longitude and latitude (WGS84), or with its reference system",
                feature,
            )
        if worst_lat > 90.0:  # noqa: PLR2004 - the pole
            raise self.problem(
                f"latitude {xy[np.abs(xy[:, 1]).argmax(), 1]:.6g} is beyond a pole",
                "latitude and longitude look swapped: export with longitude first",
                feature,
            )
        if xy[:, 1].min() < FAR_SOUTH:
            self.note(
                "looks-swapped",
                f"{feature} lies at latitude {xy[:, 1].min():.1f}; if it should not, its "
                "latitude and longitude are swapped.",
                feature,
            )

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
        for why, (count, some) in self._left_out.items():
            words = ", ".join(some) + (" …" if count > NAMED else "")
            self.note("left-out", f"{count} features {why}: {words}.", level="caution")
        if self._odd_kinds:
            words = ", ".join(f"“{word}”" for word, _ in self._odd_kinds.most_common(NAMED))
            words += " …" if len(self._odd_kinds) > NAMED else ""
            self.note(
                "kind-unknown",
                f"{self._odd_kinds.total():,} features say a kind that is not known here "
                f"({words}), which is left out; the kinds are {', '.join(AREA_KINDS)}.",
                level="caution",
            )
        if self._waypoints:
            self.note(
                "waypoints-listed",
                f"{len(self._waypoints)} points are listed, not measured.",
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
        )
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


def encloses(xy: np.ndarray) -> bool:
    """Return whether points, shape (n, 2), have three different ones among them."""
    if len({(x, y) for x, y in xy[:4].tolist()}) >= MIN_RING_POINTS:
        return True
    return len(np.unique(xy, axis=0)) >= MIN_RING_POINTS


def _word(properties: Mapping[str, Any], key: str) -> str:
    """Return a text property whatever the case of its key; "" when there is none."""
    for found, value in properties.items():
        if found.casefold() == key and value is not None:
            return whole(str(value)).strip()
    return ""


def whole(text: str) -> str:
    """Return text with halves of surrogate pairs, which no file can hold, as signs."""
    return text.encode("utf-8", "replace").decode()


def to_wgs84(definition: Any, into: Collector, feature: str | None = None) -> Move | None:  # noqa: ANN401
    """Return the function to longitude and latitude, None when nothing must move.

    ``definition`` is anything pyproj reads: an authority code or WKT. Axis order is
    always east first. The reference system's own foot is used, survey or not.

    Raises
    ------
    FileProblem
        The reference system is not one of places on Earth, or is not known.
    """
    from pyproj import CRS, Transformer
    from pyproj.exceptions import CRSError

    try:
        crs = CRS.from_user_input(definition)
    except CRSError as problem:
        raise into.problem(
            "its reference system is not known", "export it in WGS84", feature
        ) from problem
    if crs.is_bound:
        crs = crs.source_crs or crs
    if not (crs.is_geographic or crs.is_projected or crs.is_compound):
        raise into.problem(
            f"its reference system “{crs.name}” is not one of places on Earth",
            "export it in WGS84",
            feature,
        )
    if crs.is_geographic and _is_wgs84(crs.name):
        return None
    return Move(
        crs.name,
        Transformer.from_crs(crs, "EPSG:4326", always_xy=True),
        counts_lengths=crs.is_projected,
        unit_m=crs.axis_info[0].unit_conversion_factor if crs.is_projected else 1.0,
        far_origin=_far_origin(crs),
    )


def _far_origin(crs: CRS) -> bool:
    """Return whether a projected system's own numbers are large, by its false origin."""
    steps = crs.coordinate_operation.params if crs.coordinate_operation else ()
    return crs.is_projected and any(
        abs(float(step.value)) > FULL_TURN
        for step in steps
        if step.name.startswith("False ")
    )


def _is_wgs84(name: str) -> bool:
    return name in ("WGS 84", "WGS 84 (CRS84)", "GCS_WGS_1984", "WGS84") or name.startswith(
        "WGS 84 longitude-latitude"
    )
