"""Ground added to a property folder from files of the person's own."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from quietacre.edit import journal
from quietacre.edit.entries import Entry, Taken, entries_of, read_files
from quietacre.edit.property_file import change_settings, read_settings
from quietacre.edit.ring_file import DRAWN
from quietacre.edit.toml_plain import Insert
from quietacre.edit.toml_table import areas_in, texts_in
from quietacre.errors import FileProblem
from quietacre.model import folded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from quietacre.edit.journal import Step
    from quietacre.edit.toml_table import TomlTable
    from quietacre.model import Note


@dataclass(frozen=True)
class Added:
    """Pieces of ground that were added, the files that were copied, and what to say of them.

    ``step`` is None where every edge was an area already.
    """

    step: Step | None
    entries: tuple[Entry, ...]
    copied: tuple[str, ...]
    notes: tuple[tuple[str, Note], ...]


class NameTaken(FileProblem):
    """The one piece of ground to be added goes by a name that an area has."""

    def __init__(self, name: str, free: str, source: str) -> None:
        self.name = name
        self.free = free
        super().__init__(
            f"there is an area “{name}” already", fix="say what this one is", source=source
        )


@dataclass(frozen=True)
class Piece:
    """One piece of ground chosen of a file: which, counted from 1, and what to call it."""

    number: int
    kind: str | None = None
    name: str | None = None


def add_ground(
    folder: Path,
    files: Sequence[Path],
    *,
    name: str | None = None,
    kind: str | None = None,
    only: Sequence[Piece] = (),
    read: Callable[[Sequence[Path]], Mapping[str, Taken]] = read_files,
    state: Path | None = None,
) -> Added:
    """Copy files into a property folder, with an area for each edge in them.

    Parameters
    ----------
    folder : the property folder.
    files : walks and drawings; the originals stay where they are.
    name : of the one piece of ground in them; from the file when None.
    kind : of every piece; what the file says, or a plot, when None.
    only : the pieces wanted of one file; all of them when there are none.
    read : reads the files.
    state : as in `journal.apply`.

    Raises
    ------
    NameTaken
        One piece of ground has the name of an area.
    BadInput
        A file cannot be used, or other bytes lie under its name; nothing is changed.
    """
    document = read_settings(folder)
    areas = areas_in(document)
    taken = in_folder(folder, read(files))
    entries = _new_entries(taken, areas)
    entries = _chosen(entries, taken, only) if only else entries
    if name is not None and len(entries) != 1:
        raise FileProblem(
            f"hold {len(entries)} pieces of ground that are no area yet, and one name was given",
            fix="leave --as out, or give the files one by one",
            source=", ".join(path.name for path in files),
        )
    if name is not None:
        entries = [_renamed(entries[0], name, taken)]
    names = [str(area.get("name", "")) for area in areas]
    _check_name(entries, names)
    entries = _apart(entries, names, taken)
    if kind is not None:
        entries = [replace(entry, kind=kind) for entry in entries]
    notes = tuple((target, note) for target, one in taken.items() for note in one.notes)
    if not entries:
        return Added(None, (), (), notes)
    new = {t: one.data for t, one in taken.items() if journal.read(folder, t) is None}
    what = entries[0].name if len(entries) == 1 else f"{len(entries)} areas"
    outcome = change_settings(
        folder,
        lambda _: [Insert(("area",), _table(entry)) for entry in entries],
        f"add {what} from {', '.join(path.name for path in files)}",
        files=new,
        state=state,
    )
    return Added(outcome.step, tuple(entries), tuple(new), notes)


def _check_name(entries: Sequence[Entry], known: Sequence[str]) -> None:
    """Raise NameTaken when the one piece of ground goes by a name that an area has."""
    names = {folded(name): name for name in known}
    if len(entries) == 1 and folded(entries[0].name) in names:
        one = entries[0]
        tried = (f"{one.name} {number}" for number in range(2, len(names) + 3))
        free = next(word for word in tried if folded(word) not in names)
        raise NameTaken(names[folded(one.name)], free, one.file)


def in_folder(folder: Path, taken: Mapping[str, Taken]) -> dict[str, Taken]:
    """Return files by their names in the folder, where none but themselves lies yet."""
    there = {path.name.casefold(): path.name for room in (DRAWN, "walks")
             if (folder / room).is_dir() for path in (folder / room).iterdir()}  # fmt: skip
    for target, one in taken.items():
        data = journal.read(folder, target)
        other = there.get(Path(target).name.casefold(), Path(target).name)
        if (data is not None and data != one.data) or other != Path(target).name:
            raise FileProblem(
                "another file of this name is in the folder",
                fix="rename yours, or if it is a new edge of an area give it with --mend",
                source=target,
            )
    return dict(taken)


def _new_entries(taken: Mapping[str, Taken], areas: Sequence[TomlTable]) -> list[Entry]:
    """Return an entry for each edge that no area has yet, by the names in the files."""
    entries = entries_of(taken)
    had: set[tuple[str, str]] = set()
    for area in areas:
        for file in texts_in(area, "from"):
            if file in taken:
                word = str(area.get("feature", area.get("name", "")))
                picked = taken[file].edges.pick(word)
                alone = len(taken[file].edges.measured) < 2  # noqa: PLR2004
                had |= {(file, edge.key) for edge in picked.edges} if picked else set()
                had |= {(file, "")} if alone else set()
    return [
        entry for entry in entries
        if (entry.file, "") not in had
        and (entry.file, _key_of(entry, taken)) not in had
    ]  # fmt: skip


def _chosen(
    entries: Sequence[Entry], taken: Mapping[str, Taken], only: Sequence[Piece]
) -> list[Entry]:
    """Return the pieces that were chosen of one file, by their numbers in it."""
    if len(taken) > 1:
        raise FileProblem(
            "pieces are chosen of one file",
            fix="give one file with --only",
            source="--only",
        )
    numbered = dict(enumerate(entries_of(taken), 1))
    out = []
    for piece in only:
        entry = numbered.get(piece.number)
        if entry is None:
            raise FileProblem(
                f"there is no piece {piece.number}", fix=f"take one of 1 to {len(numbered)}",
                source="--only",
            )  # fmt: skip
        if entry not in entries:  # an area has this edge already
            continue
        if piece.name is not None and piece.name != entry.name:
            entry = _renamed(entry, piece.name, taken)
        out.append(entry if piece.kind is None else replace(entry, kind=piece.kind))
    return out


def _key_of(entry: Entry, taken: Mapping[str, Taken]) -> str:
    """Return what `feature` would say to mean an entry's edge; empty for pins, legs or calls."""
    edges = taken[entry.file].edges
    picked = edges.pick(entry.feature or entry.name)
    edges_here = picked.edges if picked is not None else edges.measured
    return edges_here[0].key if edges_here else ""


def _renamed(entry: Entry, name: str, taken: Mapping[str, Taken]) -> Entry:
    """Return an entry under another name; one of several in its file is told by feature then."""
    many = len(taken[entry.file].edges.measured) > 1
    feature = entry.feature or (_key_of(entry, taken) if many else None)
    return replace(entry, name=name, feature=feature)


def _apart(
    entries: Iterable[Entry], known: Iterable[str], taken: Mapping[str, Taken]
) -> list[Entry]:
    """Return entries under names that no area has."""
    names = {folded(name) for name in known}
    out = []
    for entry in entries:
        free, number = entry.name, 2
        while folded(free) in names:
            free, number = f"{entry.name} {number}", number + 1
        names.add(folded(free))
        out.append(entry if free == entry.name else _renamed(entry, free, taken))
    return out


def _table(entry: Entry) -> TomlTable:
    more = tomllib.loads("\n".join(entry.more))
    table = {"name": entry.name, "kind": entry.kind, "from": entry.file}
    return {**table, **({"feature": entry.feature} if entry.feature else {}), **more}
