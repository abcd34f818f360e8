"""``quietacre line``: a piece of ground is the property line."""

from __future__ import annotations

from pathlib import Path

import click

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, say


@click.command(name="line")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("area", metavar="AREA")
@click.option("--json", "as_json", is_flag=True, help="Print what changed as JSON.")
@fail_cleanly
def command(folder: Path, area: str, *, as_json: bool) -> None:
    """Make the edge of AREA the property line of DIR, and take AREA out of its ground.

    Strips are cut back to the line and areas are checked against it. Its file stays.
    """
    from quietacre.edit.property_line import make_property_line

    made = make_property_line(folder, area)
    step = made.outcome.step
    tell_recovered(step.recovered if step else ())
    if as_json:
        emit({
            "area": made.area,
            "file": made.file,
            "was": made.was,
            "step": step_record(step) if step else None,
            "faults_left": list(made.outcome.faults),
        })  # fmt: skip
        return
    say(f"{made.file} is the property line; {made.area} is no piece of ground any more")
    if made.was is not None and made.was != made.file:
        say(f"  it was {made.was}; that file stays")
    say(f"  {how_back(folder)}")
