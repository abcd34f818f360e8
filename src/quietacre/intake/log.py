"""log.csv: what has been done, one job a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text
from quietacre.intake.rows import day_in, named_rows
from quietacre.logbook import NEEDED
from quietacre.model import Job

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping
    from pathlib import Path

#: Columns whose cells speak for themselves.
NOTE = "note"
MINUTES = "minutes"


@timed
def read_log(path: Path, *, shown: str | None = None) -> tuple[Job, ...]:
    """Return every finished job, in the order of the lines.

    Columns besides date, area and task are kept as words.

    Raises
    ------
    FileProblem
        A column is missing, or a line has no date.
    """
    shown = shown or str(path)
    jobs = []
    text = read_text(path, shown)
    for number, row in named_rows(text, shown, need=NEEDED, more=True):
        missing = [name for name in NEEDED if not row[name].strip()]
        if missing:
            raise FileProblem(
                f"has no {missing[0]}", fix="give date, area and task", source=shown,
                where=f"line {number}",
            )  # fmt: skip
        day = day_in(row["date"], shown, number)
        jobs.append(Job(day, row["area"].strip(), row["task"].strip(), _more(row)))
    return tuple(jobs)


def _more(row: Mapping[str, str]) -> str:
    """Return the other cells in words: "40 minutes; rain 0.4 in; by the north gate"."""
    words = []
    for name, cell in row.items():
        said = cell.strip()
        if name in NEEDED or not name or not said:
            continue
        if name == NOTE:
            words.append(said)
        elif name == MINUTES and said.isdecimal():
            words.append(f"{said} minutes")
        else:
            words.append(f"{name} {said}")
    return "; ".join(words)


def days_done(jobs: Iterable[Job]) -> dict[tuple[str, str], tuple[dt.date, ...]]:
    """Return the days of each finished (area, task), in order."""
    days: dict[tuple[str, str], set[dt.date]] = {}
    for job in jobs:
        days.setdefault((job.area, job.task), set()).add(job.on)
    return {key: tuple(sorted(found)) for key, found in days.items()}
