"""``quietacre seen``: one line of what was seen."""

from __future__ import annotations

import dataclasses
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._log_edge import (
    WAIT,
    again,
    ask,
    day_done,
    known_area,
    writer_of,
)
from quietacre.errors import BadInput
from quietacre.logbook import SEEN_FILE, UNDO

if TYPE_CHECKING:
    import datetime as dt

    from quietacre.edit.logs import Writer


@click.command(name="seen")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("words", required=False, metavar="[WORDS]")
@click.option("--area", default="", help="The piece of ground, by its name.")
@click.option("--place", default="", help="Where on it or near it, in your words.")
@click.option("--count", default="", metavar="N", help="How many; 0 is a record too.")
@click.option(
    "--on", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY",
    help="The day it was seen, such as 2027-10-16 (default: today).",
)  # fmt: skip
@click.option("--time", "time", default="", help="The time of day, such as 07:10.")
@click.option("--who", default="", help="Who saw it.")
@click.option("--note", default="", help="Anything else.")
@click.option("--any-area", is_flag=True, help="Take a name that property.toml has not.")
@click.option("--undo", "undo_id", metavar="ID", help="Take back the line of this id.")
@WAIT
@click.option("--json", "as_json", is_flag=True, help="Print the line as JSON.")
@fail_cleanly
def command(
    folder: Path, words: str | None, area: str, on: dt.datetime | None, undo_id: str | None,
    wait_s: float | None, *, any_area: bool, as_json: bool, **cells: str,
) -> None:  # fmt: skip
    """Write what was seen into DIR/seen.csv: "3 deer", "no quail", "12 turkeys".

    Lines are added, never taken out; --undo ID takes one back by a line of its own.
    """
    from quietacre.edit.seen import take_back_seen, write_seen
    from quietacre.record.seen import counted, kind_of, numbers_in

    writer = dataclasses.replace(writer_of(folder, wait_s), file=SEEN_FILE)
    day = day_done(on)
    if undo_id is not None:
        if words or area or any(cells.values()):
            ask("--undo takes a line back as it is; type:", [_undo(folder, undo_id)])
        _tell(folder, writer, take_back_seen(writer, undo_id, day), as_json=as_json)
        return
    if not (words or "").strip():
        ask("say what was seen, such as:", [again(words="3 deer", area=area or "NAME")])
    what, count = counted(str(words))
    if count is None and not cells["count"] and numbers_in(what):
        raise BadInput(
            f"“{what}” has a number that may be no count",
            fix='write one kind a line, such as "3 deer", or give --count', source=SEEN_FILE.name,
        )  # fmt: skip
    place = known_area(folder, area, any_area=any_area) if area.strip() else ""
    if count is not None and not cells["count"]:
        cells["count"] = str(count)
    line = write_seen(
        writer, {"date": day.isoformat(), "area": place, "what": what, **cells}
    )
    _tell(folder, writer, line, as_json=as_json, kind=kind_of(what))


def _undo(folder: Path, name: str) -> str:
    return f"quietacre seen {shlex.quote(str(folder))} --undo {name}"


def _tell(
    folder: Path, writer: Writer, line: dict[str, str], *, as_json: bool, kind: str = ""
) -> None:
    """Say what was written, and how to take it back."""
    if as_json:
        emit({"line": line, "kind": kind})
        return
    if line["what"] == UNDO:
        say(f"{writer.file.name}: the line {line['id']} is taken back")
        return
    count = f"{line['count']} " if line.get("count") else ""
    where = f", {line['area']}" if line.get("area") else ""
    say(
        f"{writer.file.name}: {line['date']}{where}: {count}{line['what']} (kept as {kind})"
    )
    say(f"  take it back with: {_undo(folder, line['id'])}")
