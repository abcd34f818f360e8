"""``quietacre build``: everything, for a property folder."""

from __future__ import annotations

import datetime as dt
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._change_edge import finish_cut_short
from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._lost import tell_lost_to_reader
from quietacre.errors import BadInput, FileProblem
from quietacre.export.outputs import listed
from quietacre.figures import acres, feet, figure, printed
from quietacre.model import OUT, SETTINGS_FILE
from quietacre.workweek import FIRST_YEAR, LAST_YEAR

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from quietacre.report_records import Report, StripReport


TODAY = click.option(
    "--today", type=click.DateTime(["%Y-%m-%d"]), help="Plan as if it were this day."
)


def today_from(given: dt.datetime | None) -> dt.date:
    """Return the day asked for, SOURCE_DATE_EPOCH's, or the clock's."""
    if given is not None:
        if not FIRST_YEAR <= given.year <= LAST_YEAR:
            raise click.BadParameter(
                f"{given.date()} is no year to plan in; give one from {FIRST_YEAR} to {LAST_YEAR}",
                param_hint="'--today'",
            )
        return given.date()
    if epoch := os.environ.get("SOURCE_DATE_EPOCH"):  # nothing but digits: see _edge
        day = dt.datetime.fromtimestamp(int(epoch), tz=dt.UTC).date()
    else:
        day = dt.date.today()  # noqa: DTZ011 - the day on the wall, however odd the zone
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise BadInput(
            f"the clock says {day}, which is no year to plan in",
            fix="set it right, or give --today",
        )
    return day


def _check_out(folder: Path) -> None:
    """Raise FileProblem unless ``out`` is, or can be, a folder inside the property's own."""
    from quietacre.intake.limits import lies_inside

    out = folder / OUT
    if not lies_inside(folder, out):
        raise FileProblem(
            "is a link out of the property folder, where nothing is written",
            fix="take the link away",
            source=str(out),
        )
    if (out.exists() or out.is_symlink()) and not out.is_dir():
        raise FileProblem(
            "is not a folder", fix="move it away; the outputs go there", source=str(out)
        )


def _as_line(step: str) -> None:
    """Print a step for a program that waits for it."""
    say(json.dumps({"step": step}))
    sys.stdout.flush()


def build_folder(
    folder: Path, *, today: dt.date, tell: Callable[[str], None] | None = None
) -> Report:
    """Build a property folder into its ``out/`` and return the report.

    Raises
    ------
    BadInput
        A setting or a file cannot be used; nothing is written then.
    """
    if not (folder / SETTINGS_FILE).is_file():
        raise FileProblem(
            "there is no property.toml",
            fix="start one with: quietacre new DIR, or see a whole one with: quietacre demo",
            source=str(folder),
        )
    _check_out(folder)
    finish_cut_short(folder)
    from quietacre.build import STEPS, build_property
    from quietacre.desk.kept_ground import inputs_sum, keep_measured
    from quietacre.export.build_set import look_at, write_build

    place = folder.resolve()
    was = inputs_sum(place)
    standing = look_at(folder / OUT)
    if standing.state == "unfinished":
        say(
            f"note: {folder / OUT}: an earlier build was cut short; this one finishes it",
            err=True,
        )
    steps = list(STEPS)
    shown = sys.stderr.isatty()
    with click.progressbar(
        length=len(steps),
        label="building",
        file=sys.stderr,
        hidden=not shown,
        width=24,
        item_show_func=lambda step: step or "",
    ) as bar:

        def say_step(step: str) -> None:
            bar.update(0 if step == steps[0] else 1, current_item=step)
            if tell is not None:
                tell(step)

        built = build_property(folder, today=today, tell=say_step)
        say_step(steps[-1])
        kept = write_build(folder / OUT, built.files)
        keep_measured(place, was, built.measured)  # the desk shows it at once
        bar.update(1)
    for name in kept:
        say(
            f"note: a file in {OUT}/ was changed since its build; yours is now “{name}”",
            err=True,
        )
    return built.report


def _strip_line(row: StripReport) -> str:
    """Return a strip's width and acres, where it is thin, and whether it holds."""
    thin_ft = sum(weak.length_ft for weak in row.ring.weak)
    return (
        f"{row.name}: {feet(row.ring.wanted.width_ft)} wide, {acres(row.size.acres)}"
        + (f", thinner than that along {feet(thin_ft)}" if thin_ft else "")
        + (
            ", does not hold from the last cut to the next: “Look into” says what would help"
            if row.ring.holding.remedies
            else ""
        )
    )


#: Notes with these codes are told on the terminal too: of the log and of the shed.
TOLD_OF_LOG = ("log-", "shed-", "stock-")


def summary(report: Report, folder: Path, *, at_desk: bool = False) -> str:
    """Return what a person wants to hear when a build ends; the desk has the files as buttons."""
    totals = report.totals
    from quietacre.page.look_into import look_words

    low, high = totals.total_acres_low, totals.total_acres_high
    between = ""
    if printed(acres(low)) != printed(acres(high)):  # of drawn ground there is no ±
        span = figure(low, "ac", to=high, joined=" and ", bare=True)
        between = f" (between {span})"
    lines = [
        f"{report.property.name}: {len(report.areas)} areas, {acres(totals.total_acres)}"
        f"{between}",
    ]
    lines += [_strip_line(row) for row in report.strips]
    lines += _money_lines(report)
    lines += report.fertilizer_plan.said
    lines += [f"note: {text}" for text in _said_of_ground(report)]
    coded = ((note.code, note.marked) for note in report.notes)
    lines += [*log_lines(coded), *_behind(report)]
    if look := look_words(report):
        more = "" if at_desk else ", or report.json"
        lines.append(f"to look into: {look}: see “Look into” on the map{more}")
    if not at_desk:
        lines.append(f"map: {(folder / OUT / 'map.html').resolve()}")
    return "\n".join(lines)


def _money_lines(report: Report) -> list[str]:
    """Return what is to buy and what it costs, and what was spent this year."""
    from quietacre.export.quantities import spent_words

    spent = report.spent
    had = spent_words(spent)
    if not report.shopping:
        return [had] if had else []
    open_ = [row for row in report.shopping if row.buy > 0 or row.packs]
    had = f"; {had}" if had else ""
    if not open_:
        return [f"to buy: nothing more{had}"]
    lines = "1 line" if len(open_) == 1 else f"{len(open_)} lines"
    return [f"to buy: {lines}, {_cost_of(report)}{had}"]


def log_lines(coded: Iterable[tuple[str, str]]) -> list[str]:
    """Return what is said of lines of the log: those that could not be read, or not count.

    ``coded`` are notes, each by its code and its text.
    """
    return [text for code, text in coded if code.startswith(TOLD_OF_LOG)]


def _behind(report: Report) -> list[str]:
    """Return how many jobs are late and missed, none when none is."""
    quiet = {
        row.key
        for area in report.areas
        for row in area.plantings
        if row.state == "finished"
    }
    states = [task.state for task in report.year.tasks if task.planting not in quiet]
    counts = [
        f"{states.count(state)} {'job' if states.count(state) == 1 else 'jobs'} {state}"
        for state in ("late", "missed")
        if state in states
    ]
    if not counts:
        return []
    return [
        f"{', '.join(counts)}: “What is due” at the desk tells which, and what follows; so does "
        "the list of quietacre year"
    ]


def _cost_of(report: Report) -> str:
    """Return what the shopping costs, and which lines that leaves out."""
    from quietacre.need.records import not_priced

    lacking = [
        row.item for row in report.shopping if not_priced(row.price, row.buy, row.what)
    ]
    cost = report.totals.cost
    if cost is None:
        return "none with a price"
    return f"${cost:,.2f}" + (
        f" without {', '.join(lacking)}, of no known price" if lacking else ""
    )


def _said_of_ground(report: Report) -> list[str]:
    """Return what a build says of land left out, taken twice or put together, once each."""
    from quietacre.measure.choose import SAID_AT_ONCE

    notes = [*report.notes, *(n for row in report.areas for n in row.notes)]
    return list(dict.fromkeys(n.marked for n in notes if n.code in SAID_AT_ONCE))


@click.command(
    name="build",
    epilog=f"Writes {listed()}: all of them, or none. What else stands in DIR/out stays.",
)
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@TODAY
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@click.option(
    "--steps", is_flag=True, help="Print each step as it begins, a line of JSON each."
)
@fail_cleanly
def command(folder: Path, today: dt.datetime | None, *, as_json: bool, steps: bool) -> None:
    """Work out everything for the property folder DIR and write it to DIR/out.

    Your own files are only read.
    """
    report = build_folder(folder, today=today_from(today), tell=_as_line if steps else None)
    for note in report.notes:
        if note.code == "newer-format":
            say(note.marked, err=True)
    tell_lost_to_reader(folder)
    if as_json:
        emit(report)
    else:
        say(summary(report, folder, at_desk=steps))
