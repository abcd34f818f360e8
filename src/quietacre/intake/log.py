"""log.csv: what has been done, one job a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text
from quietacre.intake.rows import day_in, named_rows

if TYPE_CHECKING:
    import datetime as dt
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
    done: dict[tuple[str, str], list[dt.date]] = {}
    for number, row in named_rows(read_text(path, shown), shown, more=True):
        missing = [name for name in COLUMNS if not row.get(name, "").strip()]
        if missing:
            raise FileProblem(
                f"has no {missing[0]}", fix="give date, area and task", source=shown,
                where=f"line {number}",
            )  # fmt: skip
        day = day_in(row["date"], shown, number)
        key = (row["area"].strip(), row["task"].strip())
        done.setdefault(key, []).append(day)
    return {key: tuple(sorted(set(days))) for key, days in done.items()}
