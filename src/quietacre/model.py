"""Frozen records that pass between steps, and the names of shared columns.

Coordinates are longitude, latitude in degrees on WGS84 unless a name says
otherwise. Frames use EPSG:4326; local metric frames live in
``quietacre.acreage.frame`` and never leave the step that made them.
"""

from __future__ import annotations

import functools
import math
import unicodedata
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, ClassVar, Literal

from quietacre.as_json import as_json
from quietacre.figures import printed
from quietacre.in_parts import InParts, one_text

#: What stands in a column of a person's file: text, a number, yes or no, or nothing.
Cell = str | float | bool | None

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping

    import geopandas as gpd
    import numpy as np
    import shapely

    from quietacre.report_json.model import NoteJson
WGS84 = "EPSG:4326"
#: The folder of a property that every build writes anew.
OUT = "out"
#: The settings of a property, in its folder.
SETTINGS_FILE = "property.toml"
#: Marks on a place, and runners that were taped; both beside its settings.
MARKS, TRANSECTS = "marks.geojson", "transects.csv"
#: The format of a property folder that this program writes. It goes up by one when an older
#: program could take what is in a folder for something else.
FORMAT = 1

#: Kinds of area a person can declare. ``strip`` and ``firebreak`` are made.
AREA_KINDS = ("plot", "patch", "native", "timber", "water", "road", "keepout", "burn")
#: The fields of a track that hold a value for each fix.
PER_FIX = ("lon", "lat", "time_s", "segment", "hdop", "satellites", "height_m")
#: What a drawing calls the property line, which is no area.
LINE_KIND = "boundary"
MADE_KINDS = ("strip", "firebreak")

Level = Literal["info", "caution", "warning"]
#: A doubt beside the stated ± that moves acres, bags or dollars by more than this share is a
#: warning; a smaller one is a caution.
DOUBT_SHARE = 0.05


def doubt_level(off: float, of: float = 1.0) -> Level:
    """Return the level of a doubt that moves so much ``of`` a figure, both in its unit."""
    return "warning" if off > DOUBT_SHARE * of else "caution"


@functools.lru_cache(maxsize=4096)  # a log says the same few words in thousands of lines
def folded(name: str) -> str:
    """Return what of a name a person can tell apart: no capitals, accents in one form."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def bare(name: str) -> str:
    """Return a name `folded` and without accents: "Étang" and "etang" are one."""
    apart = unicodedata.normalize("NFKD", folded(name))
    return "".join(sign for sign in apart if not unicodedata.combining(sign))


def names_like(typed: str, names: Iterable[str], most: int) -> list[str]:
    """Return the names that may have been meant, the likest first.

    Those that differ in capitals and accents alone stand by themselves.
    """
    import difflib

    by_bare: dict[str, list[str]] = {}
    for name in names:
        by_bare.setdefault(bare(name), []).append(name)
    same = by_bare.get(bare(typed))
    near = difflib.get_close_matches(bare(typed), by_bare, n=most)
    return (same or [name for one in near for name in by_bare[one]])[:most]


@dataclass(frozen=True)
class Note:
    """One thing a person should know, and the place it points at.

    ``code`` is a stable kebab-case word for tests and the page; ``head`` says what is wrong
    in a line, ``more`` what there is to it besides, ``help`` what would help, in order,
    ``cited`` where it was read. ``lon``/``lat`` in degrees when the note has a place.
    A ``head`` that is a text in parts gives the note those parts. Figures in the parts are
    values until they are printed (``quietacre.figures.printed``).
    """

    code: str
    head: str
    level: Level = "warning"
    source: str | None = None
    feature: str | None = None
    lon: float | None = None
    lat: float | None = None
    more: str = ""
    help: tuple[str, ...] = ()
    cited: str = ""

    JSON_KEYS: ClassVar = ("code", "level", "text", "head", "more", "help", "cited", "source",
                           "feature", "lon", "lat")  # fmt: skip

    def __post_init__(self) -> None:
        """Take the parts of a text that has parts."""
        text = self.head
        if isinstance(text, InParts):
            more = " ".join(part for part in (text.more, self.more) if part)
            cited = "; ".join(part for part in (text.cited, self.cited) if part)
            for name, value in (("head", text.head), ("more", more), ("cited", cited)):
                object.__setattr__(self, name, value)

    @property
    def text(self) -> str:
        """Return all of it as one text with its figures printed, for a line on a terminal."""
        return printed(self.marked)

    @property
    def marked(self) -> str:
        """Return all of it as one text, its figures still values."""
        return one_text(self.head, self.more, self.help, self.cited)

    def to_dict(self) -> NoteJson:
        """Return the note for JSON."""
        made: NoteJson = as_json(self)
        return made


#: How lengths of a table were taken, and how finely they and the bearings hold.
Method = Literal["tape", "pace", "deed"]


@dataclass(frozen=True)
class Arc:
    """A curve along a leg, whose bearing and length are its chord's. [ft]"""

    radius_ft: float
    turn: Literal["left", "right"]


@dataclass(frozen=True)
class Leg:
    """One course from corner to corner.

    ``azimuth_deg`` is as read, from the north the file meant; ``step_deg`` and ``step_ft`` are
    the last digit each was written to; ``text`` is what stood there; ``place`` says where.
    """

    azimuth_deg: float
    length_ft: float
    step_deg: float = 0.0
    step_ft: float = 0.0
    arc: Arc | None = None
    text: str = ""
    place: str = ""


@dataclass(frozen=True)
class Traverse:
    """Legs that go round one piece of ground, as read and before any judgement.

    ``method`` tells how the lengths were taken; ``stated_ac`` are the acres that the paper
    itself gives, None without; ``holes`` are exceptions with calls of their own. ``true_north``
    where the paper says that its bearings are from it.
    """

    name: str
    source: str
    legs: tuple[Leg, ...]
    method: Method
    stated_ac: float | None = None
    holes: tuple[Traverse, ...] = ()
    notes: tuple[Note, ...] = field(default=())
    true_north: bool = False


@dataclass(frozen=True)
class Call:
    """One call of a deed: its words, and what was understood of them.

    ``leg`` is None for a call that is not understood (``problem`` says why) and for the last
    one, when it runs straight to the beginning without a bearing (``closes``).
    """

    number: int
    text: str
    leg: Leg | None
    problem: str | None = None
    closes: bool = False


@dataclass(frozen=True)
class Deed:
    """A figure in words: its calls in order, before any judgement.

    ``ties`` lead from a known corner to the point of beginning and bound nothing;
    ``exceptions`` have calls of their own; ``stated_ac`` is what the paper itself says, and
    ``true_north`` whether it says that its bearings are from true north.
    """

    source: str
    calls: tuple[Call, ...]
    ties: tuple[Call, ...] = ()
    stated_ac: float | None = None
    exceptions: tuple[Deed, ...] = ()
    notes: tuple[Note, ...] = field(default=())
    true_north: bool = False


@dataclass(frozen=True)
class Track:
    """A recorded walk, as read and before any judgement.

    ``lon``, ``lat`` shape (n,) [deg]; ``time_s`` shape (n,) seconds since the
    epoch, NaN where the file gives none; ``segment`` shape (n,) number of the
    segment each fix came from. ``kind`` is "line" where a file does not tell a recording
    from a drawing; ``area_kind`` is one of AREA_KINDS where the file says. ``hdop`` and
    ``satellites``, shape (n,), are the dilution of precision and the number of satellites,
    ``height_m`` the height [m]: NaN where a fix has none, None where the file has none.
    """

    name: str
    source: str
    kind: Literal["track", "route", "line"]
    lon: np.ndarray
    lat: np.ndarray
    time_s: np.ndarray
    segment: np.ndarray
    area_kind: str = ""
    hdop: np.ndarray | None = None
    satellites: np.ndarray | None = None
    height_m: np.ndarray | None = None

    def fixes(self, rows: np.ndarray) -> Track:
        """Return the track with some of its fixes, by number or by a mask, in that order."""
        per_fix = {name: getattr(self, name) for name in PER_FIX}
        return replace(self, **{n: v[rows] for n, v in per_fix.items() if v is not None})


@dataclass(frozen=True)
class Waypoint:
    """A single marked point: listed, or a corner when the person says so.

    ``time_s`` is when it was marked, seconds since the epoch, NaN where the file gives none.
    """

    name: str
    source: str
    lon: float
    lat: float
    time_s: float = math.nan


#: What may be marked on a place: points by their words, and a line that was taped.
TAPE = "tape"
MARK_KINDS = ("gate", "stand", "feeder", "tree", "water", "mark", TAPE)


@dataclass(frozen=True)
class Mark:
    """A point that was marked, or a line that was taped.

    ``at`` are its places, longitude and latitude [deg]: one for a point. ``id`` names it in its
    file. ``length_ft`` is 0 for a point.
    """

    id: str
    kind: str
    name: str
    at: tuple[tuple[float, float], ...]
    note: str = ""
    length_ft: float = 0.0

    @property
    def title(self) -> str:
        """Return what it is and what it is called: "gate: North gate"."""
        return f"{self.kind}: {self.name}" if self.name else self.kind


@dataclass(frozen=True)
class Layer:
    """Everything one file held.

    ``geometry`` is an object array, shape (n,), of shapely polygons and
    multipolygons on WGS84; ``name``, ``kind`` and ``feature`` have the same
    length. ``kind`` is one of AREA_KINDS, LINE_KIND, or "" when the file does not say.
    ``feature`` tells a person which feature it is ("layer plots, feature 3").
    ``columns`` are the other columns of each feature, kept where they were asked for.
    ``traverse`` and ``deed`` are legs or calls, of a file that holds them and nothing else.
    """

    source: str
    geometry: np.ndarray
    name: tuple[str, ...]
    kind: tuple[str, ...]
    feature: tuple[str, ...]
    tracks: tuple[Track, ...] = ()
    waypoints: tuple[Waypoint, ...] = ()
    notes: tuple[Note, ...] = field(default=())
    traverse: Traverse | None = None
    deed: Deed | None = None
    columns: tuple[Mapping[str, Cell], ...] = ()

    def to_frame(self) -> gpd.GeoDataFrame:
        """Return a frame with name, kind, source, feature and geometry."""
        import geopandas as gpd

        return gpd.GeoDataFrame(
            {
                "name": list(self.name),
                "kind": list(self.kind),
                "source": [self.source] * len(self.name),
                "feature": list(self.feature),
            },
            geometry=list(self.geometry),
            crs=WGS84,
        )


@dataclass(frozen=True)
class Transect:
    """Advance of the furthest live tip along one tape between two days. [m]

    ``censored``: the tip was cut, browsed or ran off the tape, so it is a lower bound.
    """

    patch: str
    transect: str
    start: dt.date
    end: dt.date
    advance_m: float
    censored: bool = False


@dataclass(frozen=True)
class Job:
    """One thing that happened: a line of log.csv, its cells as they were typed.

    ``line`` is its number, ``id`` the letters that name it, ``cells`` the other cells by
    their column.
    """

    on: dt.date
    area: str
    task: str
    line: int = field(default=0, compare=False)
    id: str = field(default="", compare=False)
    cells: Mapping[str, str] = field(default_factory=dict, compare=False)


#: The end of the ids of our events in a calendar.
AT = "@quietacre"


@dataclass(frozen=True)
class Issued:
    """An event that a calendar of ours holds: its id without ``AT``, and its days (inclusive)."""

    uid: str
    first: dt.date
    last: dt.date
    title: str
    off: bool  # cancelled


@dataclass(frozen=True)
class SurveyedEdge:
    """The edge of a patch at one survey, in longitude and latitude.

    ``sigma_m`` is None where it was drawn; ``between_ac`` what its acres lie between, where
    the walk itself tells it.
    """

    on: dt.date | None
    shape: shapely.Geometry
    sigma_m: float | None
    source: str
    between_ac: tuple[float, float] | None = None
