"""transects.csv: what runners were taped to have grown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text
from quietacre.intake.rows import day_in, named_rows, number_in
from quietacre.model import Transect
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

COLUMNS = ("patch", "transect", "from", "to", "advance_ft")
YES = ("yes", "y", "true", "1")
NO = ("", "no", "n", "false", "0")


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
    for number, row in named_rows(read_text(path, shown), shown, need=COLUMNS):
        patch, transect, first, last, advance_ft = (
            _cell(row, column, shown, number) for column in COLUMNS
        )
        start, end = (day_in(cell, shown, number) for cell in (first, last))
        if end <= start:
            raise FileProblem(
                f"to ({end}) is not after from ({start})", fix="give the days in order",
                source=shown, where=f"line {number}",
            )  # fmt: skip
        fix = "give advance_ft as a number"
        advance_m = number_in(advance_ft, "", fix, shown, number) * FT_M
        cut = row.get("cut", "").strip().casefold()
        if cut not in (*YES, *NO):  # the half of a decimal comma, say
            raise FileProblem(
                f"cut is “{cut[:20]}”", fix="write yes, or leave it blank", source=shown,
                where=f"line {number}",
            )  # fmt: skip
        out.append(Transect(patch, transect, start, end, advance_m, cut in YES))
    return tuple(out)


def _cell(row: Mapping[str, str], column: str, shown: str, number: int) -> str:
    text = row[column].strip()
    if not text:
        raise FileProblem(
            f"has no {column}", fix="fill it in", source=shown, where=f"line {number}"
        )
    return text
