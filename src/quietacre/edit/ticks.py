"""Tick files: what was ticked on a map or a helper's list, as lines for the log.

A tick file is a log with one more column, which says of which place its lines are. Each line
has an id of its own that begins with the letters of its job, and one that was taken back again
has its ``undo`` line, so files of any number of phones merge in any order, each line once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.edit.logs import merge_files
from quietacre.errors import FileProblem
from quietacre.logbook import PLACE_COLUMN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.edit.logs import Writer, Written
    from quietacre.edit.logtext import LogText
    from quietacre.edit.merge import Merged


@dataclass(frozen=True)
class TickFile:
    """A tick file: its lines as a log has them, and the places they are of."""

    log: LogText
    places: frozenset[str]


def tick_file(log: LogText) -> TickFile | None:
    """Return a log as a tick file, None when it is none."""
    if PLACE_COLUMN not in log.columns:
        return None
    places = frozenset(cells.get(PLACE_COLUMN, "") for _, cells in log.typed())
    columns = tuple("" if name == PLACE_COLUMN else name for name in log.columns)
    return TickFile(replace(log, columns=columns), places)


def merge_ticks(
    writer: Writer, files: Sequence[TickFile], place_id: str, *, any_place: bool = False
) -> tuple[Merged, Written]:
    """Write the ticks that the log lacks, in one step.

    A line that is here with other cells stays as it is here: it was mended since. One that is
    alike in all cells to a line without an id is the same work.

    Parameters
    ----------
    writer : whose log.
    files : tick files, in any order; those merged before add nothing.
    place_id : what the place is known by, as the files have it.
    any_place : take ticks of another place as well.

    Raises
    ------
    BadInput
        A file is of another place, a line is not whole, or the log cannot be written.
    """
    for file in files:
        # a row added by hand names no place: it is of the one it is brought to
        if not any_place and file.places - {place_id, ""}:
            raise FileProblem(
                "holds ticks of another place, so nothing was written",
                fix="name that place's folder, or give --any-place where they are of this one, "
                "as after a new name",
                source=file.log.source,
            )
    return merge_files(writer, [file.log for file in files], alike="same", changed="ours")
