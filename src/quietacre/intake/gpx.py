"""GPX, read point by point and strictly: a track is never silently shortened.

GPX 1.0, GPX 1.1 and files without a namespace are read. The XML parser takes no
document type, no entities and nothing from outside. A point that cannot be used
is named by its line.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from xml.parsers import expat

import numpy as np

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import MAX_FIXES, MAX_TEXT_BYTES, MAX_TRACKS, check_file
from quietacre.model import Layer, Note, Track, Waypoint

if TYPE_CHECKING:
    from pathlib import Path

NAMESPACES = {
    "",
    "http://www.topografix.com/GPX/1/0",
    "http://www.topografix.com/GPX/1/1",
}
MAX_DEPTH = 64
HALF_TURN = 180.0
POINTS = {"trkpt": "track", "rtept": "route", "wpt": "waypoint"}


@dataclass
class _Line:
    """A track or route while it is being read."""

    kind: str
    name: str = ""
    lon: list[float] = field(default_factory=list)
    lat: list[float] = field(default_factory=list)
    time_s: list[float] = field(default_factory=list)
    segment: list[int] = field(default_factory=list)
    hdop: list[float] = field(default_factory=list)
    satellites: list[float] = field(default_factory=list)
    height_m: list[float] = field(default_factory=list)
    segments: int = 0


def parse_time(text: str) -> float:
    """Return seconds since the epoch of an ISO 8601 time, NaN when it is not one.

    A time without a zone is taken as UTC, as GPX requires.
    """
    try:
        moment = dt.datetime.fromisoformat(text.strip())
    except ValueError:
        return math.nan
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=dt.UTC)
    return moment.timestamp()


class _Reader:
    """Collects points while expat walks the file."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.path: list[str] = []
        self.tracks: list[_Line] = []
        self.line: _Line | None = None
        self.waypoints: list[Waypoint] = []
        self.point: tuple[float, float, float, str] | None = None  # lon lat time name
        self.told: dict[str, float] = {}  # what the point says of its own error
        self.text: list[str] = []
        self.fixes = 0
        self.bad_times = 0
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.words
        self.parser.StartDoctypeDeclHandler = self.refuse_doctype
        self.parser.buffer_text = True

    def problem(self, what: str, fix: str) -> FileProblem:
        where = f"line {self.parser.CurrentLineNumber}"
        if self.line is not None and self.line.name:
            where = f"{self.line.kind} “{self.line.name}”, {where}"
        return FileProblem(what, fix=fix, source=self.shown, where=where)

    def refuse_doctype(self, *_args: object) -> None:
        raise self.problem(
            "it declares a document type, which a GPX file never needs",
            "export it again from the phone",
        )

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        space, _, word = tag.rpartition(" ")
        if len(self.path) >= MAX_DEPTH:
            raise self.problem(f"elements nest deeper than {MAX_DEPTH}", "export it again")
        if not self.path and (word != "gpx" or space not in NAMESPACES):
            raise self.problem("is not a GPX file", "check what the file is")
        known = word if space in NAMESPACES else ""
        self.path.append(known)
        self.text = []
        if known in ("trk", "rte"):
            if len(self.tracks) >= MAX_TRACKS:
                raise self.problem(
                    f"more than {MAX_TRACKS:,} tracks and routes", "split the file"
                )
            self.line = _Line("track" if known == "trk" else "route")
            self.tracks.append(self.line)
        elif known == "trkseg" and self.line is not None:
            self.line.segments += 1
        elif known in POINTS:
            self.start_point(known, attributes)

    def start_point(self, tag: str, attributes: dict[str, str]) -> None:
        self.fixes += 1
        if self.fixes > MAX_FIXES:
            raise self.problem(f"more than {MAX_FIXES:,} points", "split the file")
        lat = self.degrees(attributes, "lat", 90.0)
        lon = self.degrees(attributes, "lon", 360.0)
        self.point = (lon, lat, math.nan, "")
        self.told = {}
        if tag == "wpt" and self.line is not None:
            raise self.problem("a waypoint inside a track", "export it again")
        if tag in ("trkpt", "rtept") and self.line is None:
            raise self.problem("a point outside any track or route", "export it again")

    def degrees(self, attributes: dict[str, str], key: str, most: float) -> float:
        name = "latitude" if key == "lat" else "longitude"
        text = attributes.get(key)
        if text is None:
            raise self.problem(f"{name} missing", "delete this point or export again")
        try:
            value = float(text)
        except ValueError:
            if text.count(",") == 1 and "." not in text:
                raise self.problem(
                    f"{name} “{text}” has a decimal comma",
                    "export with decimal points",
                ) from None
            raise self.problem(
                f"{name} “{text[:40]}” is not a number", "delete this point or export again"
            ) from None
        if "_" in text or not text.isascii() or not math.isfinite(value):
            raise self.problem(
                f"{name} “{text[:40]}” is not a number", "delete this point or export again"
            )
        if abs(value) > most:
            raise self.problem(
                f"{name} {value:g} is outside ±{most:g}°",
                "check that latitude and longitude are not swapped",
            )
        return value

    def words(self, data: str) -> None:
        self.text.append(data)

    def end(self, _tag: str) -> None:
        word = self.path.pop()
        parent = self.path[-1] if self.path else ""
        text = "".join(self.text).strip()
        if word == "name":
            if parent in ("trk", "rte") and self.line is not None:
                self.line.name = text
            elif parent in POINTS and self.point is not None:
                self.point = (*self.point[:3], text)
        elif word == "time" and parent in POINTS and self.point is not None:
            moment = parse_time(text)
            self.bad_times += math.isnan(moment)
            self.point = (*self.point[:2], moment, self.point[3])
        elif word in ("hdop", "pdop", "sat") and parent in POINTS:
            self.told[word] = positive(text)
        elif word == "ele" and parent in POINTS:
            self.told[word] = number_of(text)
        elif (
            word in ("trkpt", "rtept") and self.line is not None and self.point is not None
        ):
            lon, lat, moment, _ = self.point
            self.line.lon.append(lon)
            self.line.lat.append(lat)
            self.line.time_s.append(moment)
            self.line.segment.append(max(self.line.segments - 1, 0))
            self.line.hdop.append(self.told.get("hdop", self.told.get("pdop", math.nan)))
            self.line.satellites.append(self.told.get("sat", math.nan))
            self.line.height_m.append(self.told.get("ele", math.nan))
            self.point = None
        elif word == "wpt" and self.point is not None:
            lon, lat, moment, name = self.point
            self.waypoints.append(Waypoint(name, self.shown, lon, lat, moment))
            self.point = None
        elif word in ("trk", "rte"):
            self.line = None
        self.text = []


@timed
def read_gpx(path: Path, *, shown: str | None = None) -> Layer:
    """Return the tracks, routes and waypoints of a GPX file.

    Parameters
    ----------
    path : the file.
    shown : how to name it in messages; its path when left out.

    Returns
    -------
    Layer
        Without polygons. Tracks and routes keep every point in file order.

    Raises
    ------
    FileProblem
        The file is cut off, is not GPX, or holds a point that cannot be used;
        the message names the line.
    """
    shown = shown or str(path)
    check_file(path, shown, MAX_TEXT_BYTES)
    reader = _Reader(shown)
    try:
        reader.parser.Parse(path.read_bytes(), True)
    except expat.ExpatError as problem:
        raise _broken(reader, problem) from problem
    except (LookupError, ValueError) as problem:
        raise reader.problem("is in an unknown encoding", "save it as UTF-8") from problem
    return _layer(reader, shown)


def _broken(reader: _Reader, problem: expat.ExpatError) -> FileProblem:
    text = expat.ErrorString(problem.code)
    cut = problem.code in (
        expat.errors.codes[expat.errors.XML_ERROR_NO_ELEMENTS],
        expat.errors.codes[expat.errors.XML_ERROR_UNCLOSED_TOKEN],
        expat.errors.codes[expat.errors.XML_ERROR_UNCLOSED_CDATA_SECTION],
        expat.errors.codes[expat.errors.XML_ERROR_PARTIAL_CHAR],
    )
    if cut:
        what = f"is cut off after {reader.fixes:,} points (line {problem.lineno})"
        return FileProblem(what, fix="copy or export it again", source=reader.shown)
    return FileProblem(
        f"is not a GPX file, or a damaged one ({text})",
        fix="check what the file is, or export it again",
        source=reader.shown,
        where=f"line {problem.lineno}",
    )


def _layer(reader: _Reader, shown: str) -> Layer:
    notes = []
    tracks = []
    for number, line in enumerate(reader.tracks, 1):
        if not line.lon:
            label = line.name or f"number {number}"
            notes.append(
                Note(
                    "empty-track",
                    f"{line.kind} “{label}” has no points; left out.",
                    level="info",
                    source=shown,
                    feature=label,
                )
            )
            continue
        tracks.append(
            Track(
                name=line.name,
                source=shown,
                kind="track" if line.kind == "track" else "route",
                lon=wrapped(np.array(line.lon)),
                lat=np.array(line.lat),
                time_s=np.array(line.time_s),
                segment=np.array(line.segment, dtype=np.int64),
                hdop=_told(line.hdop),
                satellites=_told(line.satellites),
                height_m=_told(line.height_m),
            )
        )
    if reader.bad_times:
        notes.append(
            Note(
                "bad-times",
                f"{reader.bad_times} points have a time that cannot be read; "
                "they are used without it.",
                level="info",
                source=shown,
            )
        )
    if reader.waypoints:
        notes.append(
            Note(
                "waypoints-listed",
                f"{len(reader.waypoints)} waypoints are listed, not measured.",
                level="info",
                source=shown,
            )
        )
    return Layer(
        source=shown,
        geometry=np.array([], dtype=object),
        name=(),
        kind=(),
        feature=(),
        tracks=tuple(tracks),
        waypoints=tuple(reader.waypoints),
        notes=tuple(notes),
    )


def number_of(text: str) -> float:
    """Return a number, NaN of anything else."""
    try:
        value = float(text)
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan


def positive(text: str) -> float:
    """Return a number above 0, NaN of anything else: a receiver writes 0 when it has none."""
    value = number_of(text)
    return value if value > 0.0 else math.nan


def _told(values: list[float]) -> np.ndarray | None:
    """Return what fixes tell, None when none tells anything."""
    array = np.array(values)
    return array if np.isfinite(array).any() else None


def wrapped(lon: np.ndarray) -> np.ndarray:
    """Return longitudes counted 0-360 as ±180."""
    return np.where(np.abs(lon) > HALF_TURN, (lon + HALF_TURN) % 360.0 - HALF_TURN, lon)
