"""``quietacre mark``: gates, stands, feeders, trees, water and taped lines of a place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NotRequired, TypedDict

import click

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.errors import BadInput
from quietacre.figures import figure
from quietacre.model import MARK_KINDS, MARKS

if TYPE_CHECKING:
    from quietacre.model import Mark


@click.command(name="mark")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option("--kind", type=click.Choice(MARK_KINDS), help="What it is.")
@click.option("--name", help="What to call it.")
@click.option("--at", metavar="LAT,LON", help="Where it is.")
@click.option(
    "--line", type=click.Path(path_type=Path), metavar="FILE",
    help="The line that was taped, from GeoJSON, GPX or KML.",
)  # fmt: skip
@click.option("--note", help="A word on it.")
@click.option("--id", "key", help="Change this mark, by the letters that name it.")
@click.option("--remove", is_flag=True, help="Take the mark of --id away.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    folder: Path, kind: str | None, name: str | None, at: str | None, line: Path | None,
    note: str | None, key: str | None, *, remove: bool, as_json: bool,
) -> None:  # fmt: skip
    """Set a mark on the map of DIR, or change one; with nothing but DIR, list them.

    Marks stand in marks.geojson. They are shown on the map and go into the phone's files.
    """
    if not any((kind, name is not None, at, line, note is not None, key, remove)):
        _list(folder, as_json=as_json)
        return
    from quietacre.edit.marks import Wish, set_mark

    if at is not None and line is not None:
        raise BadInput("--at and --line are two places", fix="give one", source="--line")
    if key is None and (remove or (at is None and line is None)):
        fix = "name a mark with --id" if remove else "give --at LAT,LON, or --line FILE"
        raise BadInput("no place and no mark is named", fix=fix, source="quietacre mark")
    places: tuple[tuple[float, float], ...] | None = None
    if at is not None:
        places = (_place(at),)
    elif line is not None:
        from quietacre.intake.lines import read_line

        places = tuple((x, y) for x, y, *_ in read_line(line))
        kind = kind or "tape"
    made = set_mark(folder, Wish(kind, name, places, note), key=key, remove=remove)
    tell_recovered(made.step.recovered if made.step else ())
    if as_json:
        emit(
            {
                "mark": mark_record(made.mark),
                "step": step_record(made.step) if made.step else None,
            }
        )
        return
    if made.mark is None:
        say(f"taken away: {key}")
    else:
        say(_words(made.mark))
    say(how_back(folder) if made.step else "it stood so already; nothing was written")


def _list(folder: Path, *, as_json: bool) -> None:
    from quietacre.edit.journal import read
    from quietacre.intake.marks import marks_in

    data = read(folder, MARKS)
    marks = marks_in(data) if data is not None else ()
    if as_json:
        emit({"marks": [mark_record(mark) for mark in marks]})
        return
    for mark in marks:
        say(_words(mark))
    if not marks:
        say("no marks yet; set one with: quietacre mark DIR --kind gate --at LAT,LON")


def _words(mark: Mark) -> str:
    lon, lat = mark.at[0]
    long = f", {figure(mark.length_ft, 'ft', 0)}" if mark.length_ft else ""
    return f"{mark.id}  {mark.title}{long}, at {lat:.6f}, {lon:.6f}"


class MarkTold(TypedDict):
    """A mark as JSON has it: a point ``at`` a place, or a taped ``line`` with its length. [deg, ft]"""

    id: str
    kind: str
    name: str
    note: str
    at: NotRequired[list[float]]
    line: NotRequired[list[list[float]]]
    length_ft: NotRequired[float]


def mark_record(mark: Mark | None) -> MarkTold | None:
    """Return a mark as JSON has it."""
    if mark is None:
        return None
    told: MarkTold = {
        "id": mark.id,
        "kind": mark.kind,
        "name": mark.name,
        "note": mark.note,
    }
    if len(mark.at) > 1:
        return {**told, "line": [list(at) for at in mark.at], "length_ft": mark.length_ft}
    return {**told, "at": list(mark.at[0])}


def _place(text: str) -> tuple[float, float]:
    """Return longitude and latitude of "33.2,-86.3"."""
    try:
        lat, lon = (float(part) for part in text.split(","))
    except ValueError:
        lat, lon = 99.0, 0.0
    if not (abs(lat) <= 90 and abs(lon) <= 180):  # noqa: PLR2004 - degrees
        raise BadInput(
            f"“{text[:40]}” is no place", fix="write it as 33.2012,-86.3007", source="--at"
        )
    return lon, lat
