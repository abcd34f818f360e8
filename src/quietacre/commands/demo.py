"""``quietacre demo``: the invented property, written and built."""

from __future__ import annotations

from pathlib import Path

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import build_folder, summary
from quietacre.demo.write import write_sample


@click.command(name="demo")
@click.argument(
    "folder", default="sweetgum-bend", type=click.Path(path_type=Path), metavar="[DIR]"
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@fail_cleanly
def command(folder: Path, *, as_json: bool) -> None:
    """Write the sample property into DIR (default: sweetgum-bend) and build it.

    The property is invented: a dozen areas, walks, drawings, prices and rain.
    Its plan is made as of January 2, 2027.
    """
    from quietacre.demo.sample import SAMPLE_DAY

    write_sample(folder)
    report = build_folder(folder, today=SAMPLE_DAY)
    if as_json:
        emit(report)
    else:
        say(summary(report, folder))
        say("Open it in a browser; no network is needed. The place is invented.")
