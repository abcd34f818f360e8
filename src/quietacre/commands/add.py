"""``quietacre add``: ground from walks and drawings to a property folder that exists."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._known import Asked, known_file, known_options
from quietacre.commands._log_edge import again, ask
from quietacre.errors import BadInput, FileProblem
from quietacre.figures import acres
from quietacre.model import AREA_KINDS, folded

if TYPE_CHECKING:
    from quietacre.edit.ground import Added, Piece
    from quietacre.edit.redraw import Redrawing


def _pieces(words: tuple[str, ...]) -> tuple[Piece, ...]:
    """Return the pieces that --only names."""
    from quietacre.edit.ground import Piece

    out = []
    for word in words:
        which, named, name = word.partition("=")
        number, _, kind = which.partition(":")
        if not number.strip().isdecimal() or (kind and kind not in AREA_KINDS):
            kinds = ", ".join(AREA_KINDS)
            raise BadInput(
                f"{word} is no piece",
                fix=f"write 2, 2=NAME or 2:patch=NAME, with one of the kinds {kinds}",
                source="--only",
            )
        out.append(
            Piece(int(number), kind or None, name.strip() or None if named else None)
        )
    return tuple(out)


def _under(name: str, only: tuple[str, ...]) -> str:
    """Return the same command with another name for the one piece."""
    if not only:
        return again(name=name)
    return again(only=(f"{only[0].partition('=')[0]}={name}",))


@click.command(name="add")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE…"
)
@click.option(
    "--as", "name", metavar="NAME", help="What to call the one piece of ground in it."
)
@click.option("--kind", type=click.Choice(AREA_KINDS), help="What it is (default: plot).")
@click.option(
    "--mend", metavar="AREA",
    help="The drawing in FILE is the new edge of this area; its walk stays beside it.",
)  # fmt: skip
@click.option(
    "--only", metavar="N[:KIND][=NAME]", multiple=True,
    help="Add only the Nth piece of ground of FILE, under this name; may be given again. "
    "quietacre acres --edges numbers them.",
)  # fmt: skip
@known_options
@click.option("--json", "as_json", is_flag=True, help="Print what was added as JSON.")
@fail_cleanly
def command(
    folder: Path, files: tuple[Path, ...], name: str | None, kind: str | None,
    mend: str | None, only: tuple[str, ...], *, as_json: bool, **known: Any,  # noqa: ANN401
) -> None:  # fmt: skip
    """Copy walks and drawings into DIR, with an area for each loop and each feature.

    Each file is read first; one that cannot be used stops the whole thing before
    anything is written. Your originals stay where they are. An edge that an area has
    already is not added again.
    """
    from quietacre.edit.entries import read_files
    from quietacre.edit.ground import NameTaken, add_ground

    asked = Asked(**known)
    if mend is not None:
        if name is not None or kind is not None or only or len(files) > 1:
            raise BadInput(
                "--mend takes one file, and none of --as, --kind and --only", fix="leave them out",
                source="quietacre add",
            )  # fmt: skip
        _mend(folder, files[0], mend, as_json=as_json)
        return
    try:
        added = add_ground(
            folder, files, name=name, kind=kind, only=_pieces(only),
            read=lambda these: read_files(
                these, know=lambda layer: known_file(layer, asked), own_units=asked.own_units
            ),
        )  # fmt: skip
    except NameTaken as problem:
        ways = [_under(problem.free, only)]
        alone = len(files) == 1 and not only
        ways += [again(mend=problem.name, name=None, kind=None)] if alone else []
        ask(f"{problem.marked}; nothing was written. Type one of:", ways)
    tell_recovered(added.step.recovered if added.step else ())
    if as_json:
        emit(_record(added))
        return
    _say_added(folder, added)


def _record(added: Added) -> dict[str, object]:
    return {
        "areas": [
            {"name": e.name, "kind": e.kind, "from": e.file, "feature": e.feature,
             "acres": e.acres}
            for e in added.entries
        ],
        "copied": list(added.copied),
        "notes": [{**note.to_dict(), "source": file} for file, note in added.notes],
        "step": step_record(added.step) if added.step else None,
    }  # fmt: skip


def _say_added(folder: Path, added: Added) -> None:
    """Say which areas were added, of what, and what there is to say of the files."""
    from quietacre.commands.new import LINE_WORDS

    if added.step is None:
        say("every edge in these files is an area already; nothing was written")
    else:
        whole = acres(sum(entry.acres for entry in added.entries))
        count = len(added.entries)
        say(f"{count} {'area' if count == 1 else 'areas'} added to property.toml, {whole}")
    for entry in added.entries:
        which = f", feature “{entry.feature}”" if entry.feature is not None else ""
        say(f"  {entry.name} ({entry.kind}), {acres(entry.acres)} from {entry.file}{which}")
        for line in entry.more:
            if line.startswith("#"):
                say(f"    add to it by hand: {line.lstrip('# ')}")
    for file, note in added.notes:
        if note.level != "info":
            say(f"  note: {file}: {note.marked}")
    for entry in added.entries:
        if any(word in folded(entry.name) for word in LINE_WORDS):
            say(f"  if {entry.name} is the property line and no area, type:")
            place, name = shlex.quote(str(folder)), shlex.quote(entry.name)
            say(f"    quietacre line {place} {name}")
    if added.step is not None:
        say(f"  {how_back(folder)}")


def _mend(folder: Path, path: Path, area: str, *, as_json: bool) -> None:
    """Give an area the edge in a drawing, and say what stays of the old one."""
    from quietacre.boundary.edges import edges_of
    from quietacre.edit.redraw import mend_edge
    from quietacre.intake.vector import read_layer

    measured = edges_of(read_layer(path, shown=str(path))).measured
    if len(measured) != 1 or measured[0].shape is None:
        what = "a walk" if len(measured) == 1 else f"{len(measured)} edges"
        raise FileProblem(
            f"holds {what}, not one drawing", fix="give the new edge alone, drawn as a polygon",
            source=str(path),
        )  # fmt: skip
    mended = mend_edge(folder, area, measured[0].shape)
    tell_recovered(mended.step.recovered if mended.step else ())
    if as_json:
        (one,) = mended.areas
        emit({
            "area": one.area, "file": one.file, "acres": one.acres, "over": list(one.over),
            "notes": [note.to_dict() for note in one.notes],
            "step": step_record(mended.step) if mended.step else None,
        })  # fmt: skip
        return
    _say_mended(folder, mended)


def _say_mended(folder: Path, mended: Redrawing) -> None:
    (one,) = mended.areas
    if mended.step is None:
        say(f"{one.area} has this edge already; nothing was written")
        return
    say(f"{one.area}: its edge is drawn anew in {one.file}, {acres(one.acres)}")
    for note in one.notes:
        say(f"  {note.marked}")
    for line in mended.said:
        say(f"  {line}")
    if one.over:
        say(f"  the walk stays beside it: over = {', '.join(one.over)}")
    else:
        say("  the file it was measured by stays, and is no longer read for it")
    say(f"  {how_back(folder)}")
