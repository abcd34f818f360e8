"""A daily weather record: NOAA GHCN-Daily by station, or a plain table of days.

GHCN by-station fields, in order: ID, date as YYYYMMDD, element, value, M-flag, Q-flag,
S-flag, time (readme-by_station.txt, NOAA NCEI). PRCP is in tenths of a millimeter, TMIN
and TMAX in tenths of a degree Celsius.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import TYPE_CHECKING

import numpy as np

from quietacre.daily import Daily
from quietacre.errors import FileProblem
from quietacre.figures import figure
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text
from quietacre.intake.rows import (
    check_year,
    column_names,
    day_in,
    named_rows,
    number_in,
    plain_rows,
)
from quietacre.units import c_to_f

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

MM_PER_IN = 25.4
GHCN_FIELDS = 4  # the flags and the time may be cut off when empty
GHCN_MISSING = -9999
ELEMENTS = {"PRCP": "rain_in", "TMIN": "low_f", "TMAX": "high_f"}
#: Wider than any place on earth; outside it a column is in other units.
LIMITS = {"rain_in": (0.0, 80.0), "low_f": (-130.0, 140.0), "high_f": (-130.0, 140.0)}
TRACE = {"t", "trace"}
YEAR_DAYS = 365
#: The wettest gauges of North America catch less; common practice, no source.
MOST_RAIN_IN_YEAR = 300.0
#: Columns of a plain table, and what each holds; Celsius is turned into Fahrenheit.
COLUMNS = {
    "inches": "rain_in", "rain_in": "rain_in", "low_f": "low_f", "high_f": "high_f",
    "low_c": "low_f", "high_c": "high_f",
}  # fmt: skip
CELSIUS = frozenset({"low_c", "high_c"})


@timed
def read_weather(path: Path, *, shown: str | None = None) -> Daily:
    """Return the daily record of a file.

    A value with a quality flag is dropped; a day without a value is missing, not dry; a
    trace is no measurable rain. Fahrenheit is rounded to the whole degree it was read in.

    Raises
    ------
    FileProblem
        A line is not a date with a value, or a day comes twice with different values.
    """
    shown = shown or str(path)
    text = read_text(path, shown)
    first = text.lstrip().partition("\n")[0]
    ghcn = len(first.split(",")) >= GHCN_FIELDS and "inches" not in first.casefold() and (
        first.split(",")[2].strip('" ') in {"ELEMENT", *ELEMENTS} or first.split(",")[2].strip('" ').isupper()
    )  # fmt: skip
    values: dict[tuple[str, dt.date], float] = {}
    dropped = traces = 0
    for number, day, key, value, flag in (_ghcn if ghcn else _plain)(text, shown):
        if flag == "quality":
            dropped += 1
            continue
        traces += flag == "trace"
        low, high = LIMITS[key]
        if not low <= value <= high:
            raise _problem(f"{key} {value:g} cannot be", "check its units", shown, number)
        if values.setdefault((key, day), value) != value:
            raise _problem(f"{day} comes twice for {key}", "delete one", shown, number)
    if not values:
        raise FileProblem(
            "holds no rain and no temperature",
            fix="give a GHCN-Daily by-station CSV, or columns date,inches",
            source=shown,
        )
    days = sorted({day for _, day in values})
    _check_sense(values, shown, nights=not ghcn)
    start = days[0]
    count = (days[-1] - start).days + 1
    table = {key: np.full(count, math.nan) for key in LIMITS}
    for (key, day), value in values.items():
        table[key][(day - start).days] = value
    return Daily(shown, start, **table, dropped_by_flag=dropped, traces=traces)


def _check_sense(
    values: Mapping[tuple[str, dt.date], float], shown: str, *, nights: bool
) -> None:
    """Raise FileProblem for what no place has: nights warmer than days, a flood a year."""
    for (key, day), low in values.items() if nights else ():
        if key == "low_f" and low > values.get(("high_f", day), math.inf):
            raise FileProblem(
                f"the low of {day} is above its high", fix="the columns look swapped; mend it",
                source=shown,
            )  # fmt: skip
    rain = [value for (key, _), value in values.items() if key == "rain_in"]
    if len(rain) >= YEAR_DAYS and sum(rain) / len(rain) > MOST_RAIN_IN_YEAR / YEAR_DAYS:
        raise FileProblem(
            f"its rain comes to {figure(sum(rain) / len(rain) * YEAR_DAYS, 'inches')} a year, more "
            "than any farm gets", fix="it looks like millimeters; divide them by 25.4", source=shown,
        )  # fmt: skip


def _problem(what: str, fix: str, shown: str, number: int) -> FileProblem:
    return FileProblem(what, fix=fix, source=shown, where=f"line {number}")


def _ghcn(text: str, shown: str) -> Iterator[tuple[int, dt.date, str, float, str]]:
    stations: set[str] = set()
    for number, row in plain_rows(text, shown):
        if row[0].strip() == "ID":
            continue
        if len(row) < GHCN_FIELDS:
            raise _problem(
                "has fewer than four fields", "get the file again", shown, number
            )
        stations.add(row[0].strip())
        if len(stations) > 1:
            raise _problem(
                "is of another station", "give one station's file", shown, number
            )
        key = ELEMENTS.get(row[2].strip())
        if key is None:
            continue
        try:
            day = dt.datetime.strptime(row[1].strip(), "%Y%m%d").date()  # noqa: DTZ007
            tenths = int(row[3])
        except ValueError as problem:
            raise _problem(
                "is not a date with a whole number", "get the file again", shown, number
            ) from problem
        check_year(day, shown, number)
        if tenths == GHCN_MISSING:
            continue
        flags = [field.strip() for field in (*row[4:6], "", "")]
        if flags[1]:
            yield number, day, key, 0.0, "quality"
            continue
        if key == "rain_in":
            # a trace is stored as nothing; hundredths of an inch is how it was read
            value = round(tenths / 10.0 / MM_PER_IN, 2)
        else:
            value = float(math.floor(tenths / 10.0 * 1.8 + 32.0 + 0.5))
        yield number, day, key, value, "trace" if flags[0] == "T" else ""


def _plain(text: str, shown: str) -> Iterator[tuple[int, dt.date, str, float, str]]:
    names = column_names(text, shown)
    columns = [(name, key, name in CELSIUS)
               for name, key in COLUMNS.items() if name in names]  # fmt: skip
    if "date" not in names or not columns:
        raise _problem(
            "is neither GHCN-Daily by station nor a table of days",
            "name the columns date,inches (and low_f,high_f or low_c,high_c)", shown, 1,
        )  # fmt: skip
    for number, row in named_rows(text, shown):
        if not row["date"].strip():
            continue
        day = day_in(row["date"], shown, number)
        for name, key, celsius in columns:
            cell = row[name].strip()
            if not cell:
                continue
            if key == "rain_in" and cell.casefold() in TRACE:
                yield number, day, key, 0.0, "trace"
                continue
            value = number_in(cell, "", "leave unknown days empty", shown, number)
            # to the tenth, so that a freeze at 0 °C is one at 32 °F
            yield number, day, key, round(c_to_f(value), 1) if celsius else value, ""
