"""``quietacre demo``: the invented property, written and built."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import build_folder, summary
from quietacre.demo.write import write_sample
from quietacre.kept_years import YEARS

if TYPE_CHECKING:
    import datetime as dt


def keep_last_year(folder: Path, today: dt.date) -> str:
    """Keep the year before a day under years/, and return its folder; blank where it is kept."""
    from quietacre.edit.years import keep_year
    from quietacre.year_end import close_year

    year = today.year - 1
    if (folder / YEARS / str(year)).exists():
        return ""
    closed = close_year(folder, year, today)
    return f"{YEARS}/{keep_year(folder, closed.record, closed.files, today).name}"


@click.command(name="demo")
@click.argument(
    "folder", default="sweetgum-bend", type=click.Path(path_type=Path), metavar="[DIR]"
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@fail_cleanly
def command(folder: Path, *, as_json: bool) -> None:
    """Write the sample property into DIR (default: sweetgum-bend) and build it.

    The property is invented: a dozen areas, walks, drawings, prices and rain.
    Its plan is made as of January 2, 2027; the year before is closed, and stands beside it.
    """
    from quietacre.demo.sample import SAMPLE_DAY

    write_sample(folder)
    kept = keep_last_year(folder, SAMPLE_DAY)
    report = build_folder(folder, today=SAMPLE_DAY)
    if as_json:
        emit(report)
    else:
        say(summary(report, folder))
        if kept:
            say(f"its last year is closed, and kept in {kept}")
        say("Open it in a browser; no network is needed. The place is invented.")
