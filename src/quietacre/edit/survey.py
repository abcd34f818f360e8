"""A new survey of a vine patch: its edge becomes the present one, the old one an earlier."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.boundary.mended import days_walked
from quietacre.edit import journal
from quietacre.edit.entries import entries_of, read_files
from quietacre.edit.ground import in_folder
from quietacre.edit.property_file import area_of, change_settings, read_settings
from quietacre.edit.toml_plain import Change, Insert, Remove, Set
from quietacre.edit.toml_table import day_in, files_under, texts_in
from quietacre.errors import BadInput, FileProblem
from quietacre.measure.choose import Files
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence
    from pathlib import Path

    from quietacre.boundary.edges import Edge
    from quietacre.edit.entries import Entry, Taken
    from quietacre.edit.journal import Step
    from quietacre.edit.toml_table import TomlTable
    from quietacre.model import Note

#: Kinds of ground whose edge is surveyed again.
KINDS = ("patch",)


@dataclass(frozen=True)
class Surveyed:
    """A survey that was taken in: the area, its files and days before and now, its acres."""

    step: Step | None
    area: str
    file: str
    on: dt.date
    before: tuple[str, ...]
    before_on: dt.date
    acres: float
    notes: tuple[Note, ...]


class DayNeeded(BadInput):
    """A survey has no day, and its file tells none; ``option`` is what would give it."""

    def __init__(self, what: str, option: str, source: str) -> None:
        self.option = option
        super().__init__(f"{what} has no day", fix="say when it was", source=source)


def take_survey(
    folder: Path, file: Path, area: str, *, on: dt.date | None = None,
    before_on: dt.date | None = None, state: Path | None = None,
) -> Surveyed:  # fmt: skip
    """Make a new walk or drawing the present edge of a patch, and keep the old as an earlier one.

    Parameters
    ----------
    folder : the property folder; the file is copied into it.
    file : the new edge, alone in its file or under the area's name.
    area : the patch, by its name in property.toml.
    on : the day of the new edge; the day it was walked when None.
    before_on : the day of the old edge, where property.toml and its walk do not tell it.
    state : as in `journal.apply`.

    Raises
    ------
    DayNeeded
        Neither the person nor a file tells the day of one of the edges.
    BadInput
        There is no such patch, the file holds no edge or several, or the days are in the
        wrong order; nothing is changed.
    """
    document = read_settings(folder)
    _, now = area_of(document, area)
    name = str(now["name"])
    if now.get("kind") not in KINDS:
        raise FileProblem(
            f"“{name}” is a {now.get('kind')}, and only a vine patch is surveyed again",
            fix="draw its edge anew with: quietacre add DIR FILE --mend AREA",
            source=SETTINGS_FILE,
        )
    read = read_files([file])
    _, edge = _the_edge(read, name, file)
    new_on = on or _day_of([edge]) or _missing("the new survey", "--on", file.name)
    taken = in_folder(folder, _with_day(folder, read, new_on))
    ((target, one),) = taken.items()
    entry, _ = _the_edge(taken, name, file)
    old_files = texts_in(now, "from")
    old_on = day_in(now, "surveyed") or before_on or _walked(folder, now)
    if old_on is None:
        raise DayNeeded(f"the present edge of “{name}”", "--before", SETTINGS_FILE)
    if old_on >= new_on:
        raise BadInput(
            f"the new survey ({new_on}) is not after the present one ({old_on})",
            fix="give an older survey by hand, under surveys of this area", source="--on",
        )  # fmt: skip
    outcome = change_settings(
        folder, lambda document: _changes(document, area, old_on, new_on, target, entry.feature),
        f"survey {name} again from {file.name}", files={target: one.data},
        state=state,
    )  # fmt: skip
    return Surveyed(
        outcome.step, name, target, new_on, old_files, old_on, entry.acres, one.notes
    )


def _changes(
    document: TomlTable, area: str, old_on: dt.date, new_on: dt.date, file: str,
    feature: str | None,
) -> list[Change]:  # fmt: skip
    """Return what makes a new file the present edge of an area, and the old one an earlier."""
    at, held = area_of(document, area)
    path = ("area", at)
    earlier: TomlTable = {"from": held["from"], "on": old_on}
    if "feature" in held:
        earlier["feature"] = held["feature"]
    changes: list[Change] = [
        Insert((*path, "surveys"), earlier) if "surveys" in held
        else Set((*path, "surveys"), [earlier]),
        Set((*path, "from"), file),
        Set((*path, "surveyed"), new_on),
    ]  # fmt: skip
    if feature is not None:
        changes.append(Set((*path, "feature"), feature))
    elif "feature" in held:
        changes.append(Remove((*path, "feature")))
    if "over" in held:
        changes.append(Remove((*path, "over")))
    return changes


def _with_day(folder: Path, taken: dict[str, Taken], on: dt.date) -> dict[str, Taken]:
    """Return a file under its name, with its day where another survey has that name."""
    ((target, one),) = taken.items()
    if journal.read(folder, target) in (None, one.data):
        return taken
    stem, dot, ending = target.rpartition(".")
    return {f"{stem} {on}{dot}{ending}": one}


def _the_edge(taken: dict[str, Taken], name: str, file: Path) -> tuple[Entry, Edge]:
    """Return the one edge of a file, or the one that goes by the area's name."""
    ((_, one),) = taken.items()
    entries, edges = entries_of(taken), one.edges
    if len(entries) == len(edges.measured) == 1:
        return entries[0], edges.measured[0]
    named = edges.named(name)
    if len(named) == 1:
        place = edges.measured.index(named[0])
        return entries[place], named[0]
    raise FileProblem(
        f"holds {len(entries)} pieces of ground, and none alone goes by “{name}”",
        fix="give the new edge alone in a file, or under that name", source=str(file),
    )  # fmt: skip


def _day_of(edges: Sequence[Edge]) -> dt.date | None:
    """Return the last day on which edges were walked, None where their files have no time."""
    return max(days_walked(edges), default=None)


def _walked(folder: Path, area: TomlTable) -> dt.date | None:
    """Return the day on which the present edge of an area was walked, None when unknown."""
    files = Files(folder)
    names = files_under(area)
    edges = [edge for name in names for edge in files.edges(name).measured]
    return _day_of(edges)


def _missing(what: str, option: str, source: str) -> dt.date:
    raise DayNeeded(what, option, source)
