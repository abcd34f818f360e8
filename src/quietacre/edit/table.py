"""Tables of legs and deeds kept in a property folder, for an area that is there or a new one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.edit import journal
from quietacre.edit.property_file import area_of, change_settings, read_settings
from quietacre.edit.redraw import OF_THE_EDGE, Kept, Redrawing
from quietacre.edit.ring_file import DRAWN
from quietacre.edit.toml_plain import Change, Insert, Remove, Set
from quietacre.edit.toml_table import areas_in, texts_in
from quietacre.errors import FileProblem
from quietacre.filenames import safe_name
from quietacre.measure.table import read_table
from quietacre.model import SETTINGS_FILE, folded

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.boundary.figure_place import KnownCorner
    from quietacre.edit.toml_table import TomlTable
    from quietacre.intake.vector import OwnUnits
    from quietacre.measure.known import HowKnown, Known

#: What goes with the edge before, when a table takes its place.
GONE = OF_THE_EDGE - {"name", "kind", "from", "was", "previous"}


@dataclass(frozen=True)
class NewTable:
    """A table of legs or a deed's words to keep.

    ``area`` is the area that it measures, None for a new one of ``name`` and ``kind``.
    ``ending`` is ".csv" for a table, ".txt" for words.
    """

    text: str
    ending: str
    how: HowKnown
    own: OwnUnits
    area: str | None = None
    name: str = ""
    kind: str = "plot"


def keep_table(folder: Path, table: NewTable, *, state: Path | None = None) -> Redrawing:
    """Keep a table or a deed as the ground of an area, in one step of the journal.

    Raises
    ------
    BadInput
        It is not understood, does not close at all, or no corner of it is placed; there is no
        such area, or one of that name already; nothing is changed.
    """
    document = read_settings(folder)
    old = area_of(document, table.area)[1] if table.area is not None else None
    name = str(old["name"]) if old is not None else table.name.strip()
    if not name:
        raise FileProblem(
            "the new piece has no name", fix="give it one", source=SETTINGS_FILE
        )
    if old is None and folded(name) in {
        folded(str(a.get("name", ""))) for a in areas_in(document)
    }:
        raise FileProblem(
            f"there is an area “{name}” already", fix="give the new piece another name",
            source=SETTINGS_FILE,
        )  # fmt: skip
    file = _file(folder, document, name, old, table.ending)
    known = _checked(table, file)
    keys = _keys(table)

    def make(now: TomlTable) -> list[Change]:
        if table.area is None:
            new = {"name": name, "kind": table.kind, "from": file, **keys}
            return [Insert(("area",), new)]
        at, area = area_of(now, table.area)
        path = ("area", at)
        changes: list[Change] = [Set((*path, "from"), file)]
        changes += [
            Set((*path, key), value)
            for key, value in keys.items()
            if area.get(key) != value
        ]
        return [
            *changes,
            *(Remove((*path, key)) for key in area if key in GONE - set(keys)),
        ]

    what = "mend the table of" if old is not None else "add"
    outcome = change_settings(
        folder, make, f"{what} {name}", files={file: table.text.encode()}, state=state
    )
    kept = Kept(name, old is None, file, known.acres, known.acres_low, known.acres_high, (), None, known.notes)  # fmt: skip
    label = f"{name}: {known.method}"
    return Redrawing(outcome.step, (kept,), (label,))


def _checked(table: NewTable, file: str) -> Known:
    """Return the ground of a table as a build will read it."""
    read = read_table(table.text, table.how, table.own, file)
    if read.known is None:
        raise FileProblem(
            read.why.removeprefix(f"{file}: "), fix="mend the rows named", source=file
        )
    if read.known.shape is None:
        raise FileProblem(
            "has no place yet", fix="tell where one or two of its corners lie", source=file
        )
    if any(note.code == "exception-not-drawn" for note in read.known.notes):
        raise FileProblem(
            "has an exception, whose place its words do not tell",
            fix="take the exception out of the text, and draw it as an area of kind keepout",
            source=file,
        )
    return read.known


def _keys(table: NewTable) -> TomlTable:
    """Return the keys of an [[area]] that its table needs besides."""
    keys = {
        "placed": [_corner(one) for one in table.how.placed],
        "declination_deg": table.how.declination_deg,
        "pace_ft": table.own.pace_ft,
        "vara_ft": table.own.vara_ft,
    }
    return {key: value for key, value in keys.items() if value is not None}


def _corner(one: KnownCorner) -> TomlTable:
    return {"corner": one.corner, "lat": round(one.lat, 9), "lon": round(one.lon, 9)}


def _file(
    folder: Path,
    document: TomlTable,
    name: str,
    old: TomlTable | None,
    ending: str,
) -> str:
    """Return the file of a table: the area's own where it is one, or one that is not there."""
    files = texts_in(old, "from") if old is not None else ()
    used = [file for area in areas_in(document) if area is not old
            for key in ("from", "over") for file in texts_in(area, key)]  # fmt: skip
    if len(files) == 1 and files[0].endswith(ending) and files[0] not in used:
        return files[0]
    stem = safe_name(f"{name}{ending}").removesuffix(ending)
    for number in range(1, 1_000_000):
        file = f"{DRAWN}/{stem}{'' if number == 1 else f' {number}'}{ending}"
        if journal.read(folder, file) is None:
            return file
    raise AssertionError  # pragma: no cover
