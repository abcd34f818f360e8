"""Tables of legs and deeds as the page types them: each leg as understood, the figure, its ±."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict, cast

import numpy as np

from quietacre.boundary.deed import CLOSED_BY_WORDS
from quietacre.boundary.figure_place import KnownCorner
from quietacre.desk.asked import listed
from quietacre.drawing.sheet import rings_of
from quietacre.errors import BadInput, FileProblem
from quietacre.intake.deed import is_deed
from quietacre.intake.limits import read_text
from quietacre.intake.vector import OwnUnits
from quietacre.measure.ground import paths
from quietacre.measure.known import HowKnown, Known
from quietacre.measure.one import Place
from quietacre.measure.table import (
    COLUMNS,
    DEED_COLUMNS,
    LegRead,
    RowRead,
    closed_rows,
    read_table,
    table_text,
)
from quietacre.units import reckonable

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from quietacre.desk.asked import Asked
    from quietacre.drawing.sheet import Lonlat

MOST_TEXT = 200_000
SOURCE = "the table"
#: A key of property.toml, and the box of the page that it is given in.
KEY, BOX = "give declination_deg", "say so under “The compass, paces and varas”"
#: What the row of a call that is in words only shows.
BLANK = dict.fromkeys(("bearing", "distance", "unit"), "")


class RowTold(TypedDict):
    """A row as it was typed, by the columns of a table of legs.

    ``leg`` is the leg that it is, -1 where it is not understood; ``problem`` says why.
    """

    bearing: str
    distance: str
    unit: str
    slope_pct: str
    back_bearing: str
    radius_ft: str
    turn: str
    step_deg: str
    step_ft: str
    words: str
    number: int
    problem: str
    leg: int


class LegTold(TypedDict):
    """A leg as it is understood: its length, its azimuth, and where it runs.

    ``xy_ft`` are east and north of the first corner, ``line`` longitude and latitude once the
    figure has its place.
    """

    number: int
    feet: float
    azimuth_deg: float
    xy_ft: list[list[float]]
    line: list[list[float]] | None


class SuspectTold(TypedDict):
    """A leg that may be wrong, and the change that would close the figure."""

    number: int
    text: str
    change: str


class LineTold(TypedDict):
    """One line of what is said of a table, and whether it is a doubt."""

    text: str
    doubt: bool


class FigureTold(TypedDict):
    """What the legs come to; None each before they are all understood. [ac, ft]"""

    acres: float | None
    acres_low: float | None
    acres_high: float | None
    perimeter_ft: float | None
    misclosure_ft: float | None
    expected_ft: float | None
    ratio: float | None
    doubtful: bool | None
    suspects: list[SuspectTold]
    polygons: list[list[list[Lonlat]]] | None


#: Where a table came from ("rows" as typed, or the "text" of a deed), and the area's own file.
_Start = TypedDict("_Start", {"from": str, "file": str | None, "text": str | None})


class TableTold(_Start, FigureTold):
    """What is understood of a table or a deed so far: its rows, its legs, what is said of it."""

    rows: list[RowTold]
    legs: list[LegTold]
    stated_ac: float | None
    placed: list[tuple[int, float, float]]
    declination_deg: float | None
    pace_ft: float | None
    vara_ft: float | None
    said: list[str]
    lines: list[LineTold]


class TableFile(TypedDict):
    """The file that ``quietacre edge table`` takes: its text, its ending and the options."""

    text: str
    ending: str
    words: list[str]


def table(folder: Path, asked: Asked) -> TableTold:
    """Return what is understood of a table or a deed so far; nothing is kept."""
    asked, file = _with_area(folder, asked)
    text, typed, closed = _text(asked)
    how = _how(asked)
    read = read_table(text, how, _own(asked), SOURCE)
    known = read.known
    # while rows are typed, what is not understood yet is no error of the question
    remarks = [read.why] if read.why else []
    remarks += [note.text for note in read.notes] + ([CLOSED_BY_WORDS] if closed else [])
    return {
        "from": "text" if typed else "rows", "file": file, "text": text if typed else None,
        "rows": [
            _row(row, leg, blank=closed and row is read.rows[-1])
            for row, leg in zip(read.rows, _legs_of(read.rows), strict=True)
        ],
        "legs": [_leg(leg) for leg in read.legs],
        **_figure(known), "stated_ac": read.stated_ac,
        "placed": [(one.corner, one.lat, one.lon) for one in how.placed],
        # a deed that says true north is turned by nothing, also once it is mended as rows
        "declination_deg": 0.0 if read.true_north and how.declination_deg is None else how.declination_deg,
        "pace_ft": _own(asked).pace_ft,
        "vara_ft": _own(asked).vara_ft, "said": remarks,
        "lines": _lines(known, remarks),
    }  # fmt: skip


def _row(row: RowRead, leg: int, *, blank: bool) -> RowTold:
    """Return a row as the page shows it; ``blank`` for a call that is in words only."""
    cells = {name: row.cells.get(name, "") for name in DEED_COLUMNS} | (
        BLANK if blank else {}
    )
    told = {**cells, "number": row.number, "problem": row.problem, "leg": leg}
    return cast("RowTold", told)  # its other keys are DEED_COLUMNS


def _lines(known: Known | None, remarks: Sequence[str]) -> list[LineTold]:
    """Return what is said of a table, line by line, and whether each is a doubt."""
    figure = None if known is None else known.figure
    suspects = [] if figure is None else figure.suspects
    doubtful = figure is not None and figure.doubtful
    lines = [(f"Leg {one.number}: {one.change or one.text}", True) for one in suspects]
    lines += [(text.replace(KEY, BOX), doubtful) for text in remarks]
    if known is not None and known.shape is None:
        lines.append(
            (
                "Not on the ground yet: say below where its first corner is.",
                False,
            )
        )
    return [{"text": text, "doubt": doubt} for text, doubt in lines]


def table_file(_folder: Path, asked: Asked) -> TableFile:
    """Return the file that ``quietacre edge table`` takes, and its options, to keep a table."""
    text, typed, _ = _text(asked)
    how, own = _how(asked), _own(asked)
    words = [f"--placed={one.corner}={one.lat!r},{one.lon!r}" for one in how.placed]
    if not words:
        raise BadInput(
            "the figure has no place yet", fix="tell where one or two of its corners lie"
        )
    for option, value in (("declination-deg", how.declination_deg), ("pace-ft", own.pace_ft),
                          ("vara-ft", own.vara_ft)):  # fmt: skip
        words += [f"--{option}={value!r}"] if value is not None else []
    for option, key in (("area", "area"), ("as", "name"), ("kind", "kind")):
        words += [f"--{option}={asked[key]}"] if asked.get(key) else []
    return {"text": text, "ending": ".txt" if typed else ".csv", "words": words}


def _figure(known: Known | None) -> FigureTold:
    """Return the figures of what is worked out; None each before that."""
    figure = None if known is None else known.figure
    if known is None or figure is None:
        return {
            "acres": None, "acres_low": None, "acres_high": None, "perimeter_ft": None,
            "misclosure_ft": None, "expected_ft": None, "ratio": None, "doubtful": None,
            "suspects": [], "polygons": None,
        }  # fmt: skip
    return {
        "acres": known.acres, "acres_low": known.acres_low, "acres_high": known.acres_high,
        "perimeter_ft": known.perimeter_ft, "misclosure_ft": figure.misclosure_ft,
        "expected_ft": figure.expected_ft, "ratio": figure.ratio, "doubtful": figure.doubtful,
        "suspects": [
            {"number": one.number, "text": one.text, "change": one.change}
            for one in figure.suspects
        ],
        "polygons": None if known.shape is None else rings_of(known.shape),
    }  # fmt: skip


def _legs_of(rows: Sequence[RowRead]) -> list[int]:
    """Return which leg each row is, -1 for one that is not understood."""
    understood = np.array([not row.problem for row in rows], dtype=bool)
    return np.where(understood, np.cumsum(understood) - 1, -1).tolist()  # type: ignore[no-any-return]


def _leg(leg: LegRead) -> LegTold:
    return {
        "number": leg.number, "feet": leg.feet, "azimuth_deg": leg.azimuth_deg,
        "xy_ft": np.round(leg.xy_ft, 4).tolist(),
        "line": None if leg.lonlat is None else leg.lonlat.tolist(),
    }  # fmt: skip


def _with_area(folder: Path, asked: Asked) -> tuple[Asked, str | None]:
    """Return a question with the table of the area it names, where it tells none itself."""
    if not asked.get("area"):
        return asked, None
    area = Place.of(folder).area(str(asked["area"]))
    file = paths(area.files)[0]
    if asked.get("rows") is not None or asked.get("text") is not None:
        return asked, file
    if not file.lower().endswith((".csv", ".txt")):
        raise FileProblem(
            "is no table and no deed", fix="draw its edge instead", source=file
        )
    own = {
        "text": read_text(folder / file, file),
        "placed": [{"corner": c.corner, "lat": c.lat, "lon": c.lon} for c in area.placed],
        "declination_deg": area.declination_deg, "pace_ft": area.pace_ft, "vara_ft": area.vara_ft,
    }  # fmt: skip
    return {
        **own,
        **{key: value for key, value in asked.items() if value is not None},
    }, file


def _text(asked: Asked) -> tuple[str, bool, bool]:
    """Return a table as a file has it; whether it is a deed's words; whether words close it."""
    text, rows = asked.get("text"), asked.get("rows")
    if isinstance(text, str) and text.strip():
        if len(text) > MOST_TEXT:
            raise BadInput("the text is too long for a deed", fix="give one tract")
        return text, is_deed(text) and not text.lstrip().lower().startswith(COLUMNS), False
    if (
        not isinstance(rows, list)
        or not all(isinstance(row, dict) for row in rows)
        or not rows
    ):
        raise BadInput("there are no legs yet", fix="type a bearing and a distance")
    closed = False
    if asked.get("deed"):
        rows, closed = closed_rows(rows, _own(asked), SOURCE)
    return table_text(rows, deed=bool(asked.get("deed"))), False, closed


def _how(asked: Asked) -> HowKnown:
    corners = []
    for one in listed(asked.get("placed")):
        options = one if isinstance(one, dict) else {}
        corner, lat, lon = (options.get(key) for key in ("corner", "lat", "lon"))
        if not isinstance(corner, int) or isinstance(corner, bool):
            raise BadInput("a placed corner has no number", fix="count corners from 1")
        corners.append(
            KnownCorner(corner, _number(lat, "lat", 90.0), _number(lon, "lon", 180.0))
        )
    declination = asked.get("declination_deg")
    return HowKnown(
        placed=tuple(corners),
        declination_deg=None if declination is None else _number(declination, "declination_deg", 180.0),
    )  # fmt: skip


def _own(asked: Asked) -> OwnUnits:
    return OwnUnits(*(
        None if asked.get(key) is None else _feet(asked[key], key) for key in ("pace_ft", "vara_ft")
    ))  # fmt: skip


#: What numbers of a table are called where one is refused.
CALLED = {
    "declination_deg": "where the compass points", "pace_ft": "a pace", "vara_ft": "a vara",
    "lat": "a latitude", "lon": "a longitude",
}  # fmt: skip


def _feet(value: object, key: str) -> float:
    if (
        isinstance(value, bool)
        or not isinstance(value, (int, float))
        or not reckonable(value)
        or value <= 0
    ):
        raise BadInput(
            f"“{str(value)[:24]}” is no length of {CALLED[key]}", fix="type feet, above 0"
        )
    return float(value)


def _number(value: object, key: str, most: float) -> float:
    if (
        isinstance(value, bool)
        or not isinstance(value, (int, float))
        or not abs(value) <= most
    ):
        raise BadInput(
            f"{CALLED[key]} is no number of degrees: “{str(value)[:24]}”",
            fix=f"type up to {most:g}, west and south below zero",
        )
    return float(value)
