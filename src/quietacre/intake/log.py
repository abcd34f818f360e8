"""log.csv: what has been done, one job a line."""

from __future__ import annotations

import csv
import datetime as dt
import io
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text

if TYPE_CHECKING:
    from pathlib import Path

COLUMNS = ("date", "area", "task")


@timed
def read_log(
    path: Path, *, shown: str | None = None
) -> dict[tuple[str, str], tuple[dt.date, ...]]:
    """Return the days of each finished (area, task), in order.

    Raises
    ------
    FileProblem
        A column is missing, or a line has no date.
    """
    shown = shown or str(path)
    text = io.StringIO(read_text(path, shown), newline=None)
    try:
        rows = list(csv.DictReader(text))
    except csv.Error as problem:
        raise FileProblem(
            f"is not a table ({problem})", fix="save it as CSV again", source=shown
        ) from problem
    done: dict[tuple[str, str], list[dt.date]] = {}
    for number, row in enumerate(rows, 2):
        missing = [name for name in COLUMNS if not (row.get(name) or "").strip()]
        if missing:
            raise FileProblem(
                f"has no {missing[0]}", fix="give date, area and task", source=shown,
                where=f"line {number}",
            )  # fmt: skip
        try:
            day = dt.date.fromisoformat(row["date"].strip())
        except ValueError as problem:
            raise FileProblem(
                f"“{row['date'][:20]}” is not a date", fix="write it as 2027-07-04",
                source=shown, where=f"line {number}",
            ) from problem  # fmt: skip
        key = (row["area"].strip(), row["task"].strip())
        done.setdefault(key, []).append(day)
    return {key: tuple(sorted(set(days))) for key, days in done.items()}
