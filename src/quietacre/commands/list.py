"""``quietacre list``: chosen jobs for whoever helps, and one piece's sheet, printed alone."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import TODAY, today_from
from quietacre.days import say_day
from quietacre.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    from quietacre.measure.records import Frames
    from quietacre.report_records import Report
    from quietacre.year.chosen import Chosen

#: A list without an end has so many days.
USUAL_DAYS = 14
ENDINGS = (".html", ".pdf")


def day_option(
    name: str, word: str, text: str
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Return an option that takes a day."""
    return click.option(
        name, word, type=click.DateTime(["%Y-%m-%d"]), metavar="DAY", help=text
    )


@click.command(name="list")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option("--who", default="", metavar="NAME", help="Jobs of one person.")
@click.option("--machine", default="", metavar="NAME", help="Jobs of one machine.")
@click.option("--area", default="", metavar="NAME", help="Jobs on one piece of ground.")
@day_option("--from", "first", "First day (default: today).")
@day_option("--to", "last", f"Last day (default: {USUAL_DAYS} days from the first).")
@day_option("--day", "one_day", "One day, in place of --from and --to.")
@click.option(
    "--sheet", is_flag=True,
    help="The whole field sheet of --area, with its map and amounts, in place of a list.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
    help="FILE.pdf to print, or FILE.html with boxes to tick on a phone; else printed here.",
)  # fmt: skip
@TODAY
@click.option("--json", "as_json", is_flag=True, help="Print the jobs as JSON.")
@fail_cleanly
def command(
    folder: Path, who: str, machine: str, area: str, first: dt.datetime | None,
    last: dt.datetime | None, one_day: dt.datetime | None, today: dt.datetime | None,
    out: Path | None, *, sheet: bool, as_json: bool,
) -> None:  # fmt: skip
    """List the jobs of one person, one machine, one piece of ground or some days.

    Who does what stands as "who" of an area, a task or a round in property.toml; where
    nothing says it, the list has every job of its days. What is ticked on a list for one
    person carries the name; quietacre done DIR --from FILE takes it into the log.
    """
    from quietacre.build import plan_records
    from quietacre.measure.property import measure_property
    from quietacre.year.chosen import Wanted, choose

    if out is not None and out.suffix.lower() not in ENDINGS:
        raise BadInput("is neither .html nor .pdf", fix="name one of them", source=str(out))
    if one_day is not None and (first or last):
        raise BadInput("--day stands in place of --from and --to", fix="give one of them",
                       source="quietacre list")  # fmt: skip
    now = today_from(today)
    begin = (one_day or first).date() if one_day or first else now  # type: ignore[union-attr]
    end = (one_day or last).date() if one_day or last else begin + dt.timedelta(days=USUAL_DAYS - 1)  # type: ignore[union-attr]  # fmt: skip
    if end < begin:
        raise BadInput(f"{end} comes before {begin}", fix="turn them round", source="--to")
    measured = measure_property(folder)
    report, layers = plan_records(measured, today=now)
    units = measured.prop.map.units
    if sheet:
        _print_sheet(report, layers, area, out, units)
        return
    chosen = choose(report.year.tasks, Wanted(begin, end, who, machine, area))
    if out is None:
        emit(_record(chosen)) if as_json else _say_list(chosen)
        return
    _write(out, _list_file(out, chosen, report, layers, units))
    if as_json:
        emit({**_record(chosen), "out": str(out)})
        return
    count = len(chosen.tasks)
    say(f"{out}: {chosen.title}: {count} job{'' if count == 1 else 's'}")
    for text in chosen.about:
        say(f"  {text}")


def _list_file(
    out: Path, chosen: Chosen, report: Report, layers: Frames, units: str
) -> bytes:
    """Return the list as a PDF or as a page that works offline, by the ending of the file."""
    if out.suffix.lower() == ".pdf":
        from quietacre.export.sheets.listing import job_list_pdf

        return job_list_pdf(
            report,
            layers,
            chosen.tasks,
            title=chosen.title,
            about=chosen.about,
            units=units,
        )
    from quietacre.page.helper import helper_page

    return helper_page(
        report,
        chosen.tasks,
        title=chosen.title,
        about=chosen.about,
        who=chosen.who,
        units=units,
    ).encode()


def _write(out: Path, data: bytes) -> None:
    from quietacre.export.atomic import write_atomic

    try:
        write_atomic(out, data)
    except OSError as problem:
        raise BadInput(
            f"cannot be written ({problem.strerror})", fix="name a file elsewhere",
            source=str(out),
        ) from problem  # fmt: skip


def _print_sheet(
    report: Report, layers: Frames, area: str, out: Path | None, units: str
) -> None:
    """Write the field sheet of one piece of ground."""
    from quietacre.export.sheets.listing import one_sheet_pdf
    from quietacre.kinds import WORKED
    from quietacre.model import folded

    if not area or out is None or out.suffix.lower() != ".pdf":
        raise BadInput("is printed for one piece of ground", fix="give --area NAME and --out FILE.pdf",
                       source="--sheet")  # fmt: skip
    pieces = [p for p in report.pieces() if p.kind in WORKED]
    wanted = next((p for p in pieces if folded(p.name) == folded(area)), None)
    if wanted is None:
        known = ", ".join(piece.name for piece in pieces)
        raise BadInput(f"no ground with a sheet is called “{area}”", fix=f"take one of: {known}",
                       source="--area")  # fmt: skip
    _write(out, one_sheet_pdf(report, layers, wanted.id, units=units))
    say(f"{out}: the sheet of {wanted.name}")


def _record(chosen: Chosen) -> dict[str, object]:
    return {"title": chosen.title, "about": chosen.about, "tasks": chosen.tasks}


def _say_list(chosen: Chosen) -> None:
    """Print a list on the terminal, by day."""
    say(chosen.title)
    for text in chosen.about:
        say(f"  {text}")
    on = None
    for task in chosen.tasks:
        day = task.scheduled or task.earliest
        if day != on:
            on = day
            say(f"{day:%A}, {say_day(day, year=True)}")
        amounts = f" [{'; '.join(task.amounts)}]" if task.amounts else ""
        open_ = f", any day to {say_day(task.latest)}" if not task.scheduled else ""  # fmt: skip
        who = f", {task.who}" if task.who else ""
        say(f"  {task.area}: {task.label}, {task.minutes:.0f} min "
            f"{task.machine}{who}{open_}{amounts}")  # fmt: skip
        for note in task.notes:
            say(f"    {note}")
    if not chosen.tasks:
        say("no job is planned for these days")
