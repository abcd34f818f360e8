"""``quietacre new``: a property folder from the person's own files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._known import Asked, known_file, known_options
from quietacre.commands.build import today_from
from quietacre.errors import FileProblem, one_line
from quietacre.figures import acres
from quietacre.model import LINE_KIND, SETTINGS_FILE

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping, Sequence

    import shapely

    from quietacre.boundary.edges import Edge, Edges
    from quietacre.edit.entries import Entry
    from quietacre.model import Note

HEAD = """\
# Everything quietacre knows about this property. See docs/property-file.md.
# Lines that start with # are off; take the # away and put your own figures in.

[property]
name = {name}
id = {id}                # what ticks and calendars know the place by, whatever its name
begun = {begun}           # jobs from before it are not asked for
{line}
# state = "AL"                  # two letters; shows what is known of the vine's law
# region = "upper South"        # or coastal plain, Midwest: whose planting windows hold

[[quiet]]                       # no work inside; both ends inclusive: use your state's dates
name = "nesting"
start = "05-15"
end = "07-03"
keeps_out = "all"
source = "common practice"

[equipment]
mower_width_ft = 6.0
mower_overlap_ft = 0.5
spreader_swath_ft = 20.0
tank_gal = 25.0
spray_gal_ac = 15.0

# ---- areas: kind is plot, patch, native, timber, water, road, keepout or burn ----
# Ground with the vine in it is kind = "patch"; every walk begins as a plot.
# Two walks of one edge are one area: from = ["walks/hill-1.gpx", "walks/hill-2.gpx"]
# One of a file's many: feature = "South", or "South#2", the second of that name
# The property line is no area: name its file as boundary above, and take its area out.
"""

TAIL = """
# ---- what is sown, and what the soil test asks for ----
# [[mix]]
# name = "fall clover and grain"
# method = "broadcast"
# seed = [
#   { crop = "crimson clover", share = 0.5, purity = 0.98, germination = 0.85 },
#   { crop = "oats", rate_lb_ac = 60.0, basis = "bulk" },
# ]
# [[soil_test]]
# name = "my test"
# ph = 5.6
# lime_ton_ac = 1.0
# lime_basis_ecce_pct = 100
# need_lb_ac = { n = 60, p2o5 = 40, k2o = 60 }
# [[product]]
# grade = "13-13-13"
# bag_lb = 50
# price = 17.5
"""


NO_LINE = '# boundary = "drawn/boundary.geojson"'
#: A polygon by such a name is the property line.
LINE_WORDS = ("boundary", "property line", "parcel")
#: And one without a kind that holds all else, when there is so much of it. Ours.
LEAST_HELD = 3


@dataclass(frozen=True)
class Line:
    """The property line: its file, and the one edge that it is in a file of several."""

    file: str
    edge: Edge
    alone: bool


def property_line(edges_by_file: Mapping[str, Edges]) -> Line | None:
    """Return the property line among the edges of files, None where none surely is."""
    called = [
        Line(file, edge, len(edges.measured) == 1)
        for file, edges in edges_by_file.items()
        for edge in edges.measured
        if edge.shape is not None and _called_line(file, edge, edges)
    ]
    everything = sum(len(edges.measured) for edges in edges_by_file.values())
    if len(called) == 1 and everything > 1:
        return called[0]
    if called or len(edges_by_file) == 1:
        return None
    for file, edges in edges_by_file.items():
        if len(edges.measured) != 1 or edges.rest:
            continue
        edge = edges.measured[0]
        if edge.shape is None or edge.kind:
            continue
        held = [
            edge.shape.covers(spot)
            for other, others in edges_by_file.items() if other != file
            for spot in _spots(others)
        ]  # fmt: skip
        if len(held) >= LEAST_HELD and all(held):
            return Line(file, edge, alone=True)
    return None


def _called_line(file: str, edge: Edge, edges: Edges) -> bool:
    """Return whether a drawing, or the file that it has to itself, goes by such a name.

    Among others of its file it must hold them all, too.
    """
    if edge.kind:
        return edge.kind == LINE_KIND
    alone = len(edges.measured) == 1
    words = f"{Path(file).stem} {edge.name}" if alone else edge.name
    plain = words.casefold().replace("_", " ").replace("-", " ")
    if not any(word in plain for word in LINE_WORDS):
        return False
    return alone or all(edge.shape.covers(spot) for spot in _spots(edges) if edge.shape)


def _spots(edges: Edges) -> Iterator[shapely.Point]:
    """Yield a place of each thing that is drawn or walked."""
    for edge in edges.measured:
        if edge.shape is not None:
            yield edge.shape.representative_point()
        elif edge.walked is not None:
            yield edge.walked.walk.polygon.representative_point()


def property_text(
    name: str, entries: Sequence[Entry], line: str | None = None, *, begun: dt.date
) -> str:  # fmt: skip
    """Return a property.toml of areas and the file of the property line, with an id of its own."""
    from quietacre.edit.loglines import new_id
    from quietacre.edit.toml_spell import text_spelled

    line_text = NO_LINE if line is None else f"boundary = {text_spelled(line)}"
    known_by = text_spelled(new_id(()))
    parts = [HEAD.format(name=text_spelled(name), id=known_by, begun=begun, line=line_text)]
    for entry in entries:
        lines = [
            "\n[[area]]",
            f"name = {text_spelled(entry.name)}",
            f"kind = {text_spelled(entry.kind)}",
            f"from = {text_spelled(entry.file)}",
        ]
        if entry.feature is not None:
            lines.append(f"feature = {text_spelled(entry.feature)}")
        lines += entry.more
        if entry.kind == "plot":
            lines += [
                '# mix = "fall clover and grain"',
                "# plant = 2027-09-25",
                '# soil_test = "my test"',
            ]
        if entry.kind == "patch":
            lines.append('vine = "kudzu"')
        parts.append("\n".join(lines) + "\n")
    return "".join(parts) + TAIL


@click.command(name="new")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE…]")
@click.option("--name", help="Name of the property (default: the folder's).")
@known_options
@click.option("--json", "as_json", is_flag=True, help="Print what was made as JSON.")
@fail_cleanly
def command(
    folder: Path, files: tuple[Path, ...], name: str | None, *, as_json: bool,
    **known: Any,  # noqa: ANN401
) -> None:  # fmt: skip
    """Start a property folder DIR, with copies of your walks and drawings in it.

    Each file is read first; one that cannot be used stops the whole thing before
    anything is written. Your originals stay where they are.
    """
    from quietacre.edit.entries import entries_of, read_files
    from quietacre.export.atomic import write_folder

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FileProblem(
            "is already there and not empty", fix="name a new folder", source=str(folder)
        )
    asked = Asked(**known)
    taken = read_files(
        files, know=lambda layer: known_file(layer, asked), own_units=asked.own_units
    )
    edges = {target: one.edges for target, one in taken.items()}
    line = property_line(edges)
    entries = entries_of(taken, without=line.edge if line else None)
    title = name or folder.resolve().name
    made: dict[str, bytes | str] = {
        **{target: one.data for target, one in taken.items()},
        SETTINGS_FILE: property_text(
            title, entries, line.file if line else None, begun=today_from(None)
        ),
    }
    write_folder(folder, made, folders=("walks", "drawn"))
    notes = [(t, note) for t, one in taken.items() for note in one.notes]
    if as_json:
        emit(_record(folder, entries, line, notes))
        return
    _say_made(folder, entries, line, notes)


def _line_acres(line: Line) -> float:
    from quietacre.measure.choose import acres_of

    return acres_of([line.edge], line.file)[0]


def _record(
    folder: Path,
    entries: Sequence[Entry],
    line: Line | None,
    notes: Sequence[tuple[str, Note]],
) -> dict[str, object]:
    """Return what was made, for JSON."""
    return {
        "folder": str(folder),
        "areas": [
            {"name": e.name, "kind": e.kind, "from": e.file, "feature": e.feature,
             "acres": e.acres}
            for e in entries
        ],
        "boundary": line.file if line else None,
        "boundary_acres": _line_acres(line) if line else None,
        "notes": [{**note.to_dict(), "source": file} for file, note in notes],
    }  # fmt: skip


def _say_made(
    folder: Path,
    entries: Sequence[Entry],
    line: Line | None,
    notes: Sequence[tuple[str, Note]],
) -> None:
    """Say on the terminal which areas were made, of what, and what was left out."""
    whole = acres(sum(entry.acres for entry in entries))
    say(f"{folder}: {len(entries)} areas in property.toml, {whole}")
    for entry in entries:
        which = f", feature “{entry.feature}”" if entry.feature is not None else ""
        say(
            one_line(
                f"  {entry.name} ({entry.kind}), {acres(entry.acres)} from {entry.file}{which}"
            )
        )
    if line is not None:
        which = "" if line.alone else f", feature “{line.edge.label}”"
        say(
            one_line(
                f"  the property line, {acres(_line_acres(line))} from {line.file}{which}; "
                "if it is none, make it an [[area]]"
            )
        )
    for file, note in notes:
        if note.level != "info":
            say(one_line(f"  note: {file}: {note.marked}"))
    say(f"Now open {folder / 'property.toml'}, then: quietacre build {folder}")
