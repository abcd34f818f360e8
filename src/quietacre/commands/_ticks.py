"""Tick files at the terminal: merged, and each tick told."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from quietacre.commands._edge import emit, say
from quietacre.commands._log_edge import tell_written
from quietacre.commands._lost import lines_said
from quietacre.commands.build import today_from
from quietacre.days import say_day
from quietacre.errors import BadInput, FileProblem
from quietacre.intake.logdays import read_day
from quietacre.logbook import LOG, PLACE_COLUMN, UNDO, id_of, job_of
from quietacre.model import folded

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from quietacre.edit.logs import Writer
    from quietacre.edit.logtext import LogText
    from quietacre.edit.ticks import TickFile
    from quietacre.year.records import YearTask


def read_ticks(path: Path) -> TickFile:
    """Return a tick file.

    Raises
    ------
    FileProblem
        It cannot be read, or is no tick file.
    """
    from quietacre.edit.logs import read_other
    from quietacre.edit.ticks import tick_file

    ticks = tick_file(read_other(path))
    if ticks is None:
        raise FileProblem(
            f"is no tick file: it has no column {PLACE_COLUMN}",
            fix="lines of another log come in with quietacre merge", source=str(path),
        )  # fmt: skip
    return ticks


def tell_unsure(log: LogText) -> None:
    """Say of a file whose days could be read two ways how they are read."""
    from quietacre.edit.merge import unsure_day

    unsure = unsure_day(log)
    if unsure is not None:
        say(f"{log.source}: days such as that of line {unsure[0]} are read month first: "
            f"{say_day(unsure[1], year=True)}", err=True)  # fmt: skip


def bring_ticks(
    folder: Path, writer: Writer, files: Sequence[TickFile], *, any_place: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """Merge tick files into the log of a folder, and say what became of each tick."""
    from quietacre.edit.ticks import merge_ticks
    from quietacre.intake.property import read_property

    for ticks in files:
        tell_unsure(ticks.log)
    prop = read_property(folder)
    merged, written = merge_ticks(
        writer, files, id_of(prop.property.known_by), any_place=any_place
    )
    lines = [dict(line) for line in written.lines]
    jobs = _jobs_planned(folder) if lines else {}
    if as_json:
        emit({
            "files": [vars(file) for file in merged.files],
            "lines": [
                {**line, "planned": None if jobs is None else job_of(line["id"]) in jobs}
                for line in lines
            ],
        })  # fmt: skip
    else:
        for file in merged.files:
            parts = [
                f"{lines_said(file.added)} added to {LOG}",
                f"{file.known} in it already",
            ]
            if file.alike:
                parts.append(
                    f"{file.alike} taken for the same as lines alike in all but the id"
                )
            if file.changed:
                parts.append(f"{file.changed} in it with other cells, which stay")
            say(f"{file.source}: {', '.join(parts)}")
        for line in lines:
            say(f"  {_told(line, lines, jobs)}")
        if jobs is None:
            say("the year cannot be planned now, so whether these jobs are in it was not looked at: "
                "quietacre build says why", err=True)  # fmt: skip
    tell_written(folder, written)


def _jobs_planned(folder: Path) -> dict[str, YearTask] | None:
    """Return the jobs of the year by their letters, None when it cannot be planned."""
    from quietacre.build import plan_records
    from quietacre.measure.property import measure_property

    try:
        report, _ = plan_records(measure_property(folder), today=today_from(None))
    except BadInput:
        return None
    return {task.job: task for task in report.year.tasks}


def _told(
    line: Mapping[str, str],
    lines: Sequence[Mapping[str, str]],
    jobs: Mapping[str, YearTask] | None,
) -> str:
    """Return what a new line is: the job, its day, who; or that it was taken back."""
    ground = f"{line['area']}: " if line.get("area") else ""
    if folded(line["task"]) == UNDO:
        meant = next(
            (one["task"] for one in lines if one["id"] == line["id"] and one is not line),
            f"line {line['id']}",
        )
        return f"{ground}{meant} was taken back again, and counts for nothing"
    day = read_day(line["date"])
    when = say_day(day, year=True) if isinstance(day, dt.date) else line["date"]
    who = f", {line['who']}" if line.get("who") else ""
    words = f"{ground}{line['task']}, {when}{who}"
    if isinstance(day, dt.date) and day > today_from(None):
        words += "; a day still to come: it counts from then on"
    if jobs is not None and job_of(line["id"]) not in jobs:
        words += "; no such job is in the plan now: the line stands by its name and day"
    return words
