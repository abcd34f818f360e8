"""transects.csv: what runners were taped to have grown."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text
from quietacre.strip.transects import Transect
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

YES = ("yes", "y", "true", "1")


@timed
def read_transects(path: Path, *, shown: str | None = None) -> tuple[Transect, ...]:
    """Return the rows of patch, transect, from, to, advance_ft and cut (yes or blank).

    Raises
    ------
    FileProblem
        A column is missing, or a value is no date or no number.
    """
    shown = shown or str(path)
    out = []
    for number, row in enumerate(_rows(path, shown), 2):
        for column in ("patch", "transect", "from", "to", "advance_ft"):
            _cell(row, column, shown, number)
        start, end = (_date(row, column, shown, number) for column in ("from", "to"))
        if end <= start:
            raise FileProblem(
                f"to ({end}) is not after from ({start})", fix="give the days in order",
                source=shown, where=f"line {number}",
            )  # fmt: skip
        advance_m = _number(row, "advance_ft", shown, number) * FT_M
        cut = (row.get("cut") or "").strip().casefold() in YES
        out.append(
            Transect(
                row["patch"].strip(), row["transect"].strip(), start, end, advance_m, cut
            )
        )
    return tuple(out)


def _rows(path: Path, shown: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(read_text(path, shown))))


def _cell(row: Mapping[str, str | None], column: str, shown: str, number: int) -> str:
    text = (row.get(column) or "").strip()
    if not text:
        raise FileProblem(
            f"has no {column}", fix="fill it in", source=shown, where=f"line {number}"
        )
    return text


def _date(row: Mapping[str, str | None], column: str, shown: str, number: int) -> dt.date:
    text = _cell(row, column, shown, number)
    try:
        return dt.date.fromisoformat(text)
    except ValueError as problem:
        raise FileProblem(
            f"“{text[:20]}” is not a date", fix="write it as 2027-07-04", source=shown,
            where=f"line {number}",
        ) from problem  # fmt: skip


def _number(row: Mapping[str, str | None], column: str, shown: str, number: int) -> float:
    text = _cell(row, column, shown, number)
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise FileProblem(
            f"“{text[:20]}” is not a number", fix=f"give {column} as a number", source=shown,
            where=f"line {number}",
        )  # fmt: skip
    return value
