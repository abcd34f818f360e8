"""The files of one step, brought from what they were to what they are to be, or back."""

from __future__ import annotations

import contextlib
import dataclasses
from typing import TYPE_CHECKING

from quietacre.edit.files import (
    content,
    drop_folders,
    located,
    make_folders,
    mode_of,
    put_aside,
    put_in_place,
    stage_name,
)
from quietacre.errors import Clash, FileProblem

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from quietacre.edit.book import Entry


class Halfway(FileProblem):
    """Some files of a step are moved, and the system lets nobody put them back."""


@dataclasses.dataclass(frozen=True)
class FileMove:
    """One file on its way from one content to another."""

    name: str
    path: Path
    old: bytes | None
    new: bytes | None
    mode: int | None
    stage: Path


def moves_of(folder: Path, entry: Entry, *, forward: bool) -> list[FileMove]:
    """Return what is to be done, so that whoever reads meanwhile finds what he is led to.

    New files come first, then those that lead to them, and last what nothing leads to.
    """
    moves = []
    for place, (change, mode) in enumerate(zip(entry.changes, entry.modes, strict=True)):
        path = located(folder, change.path)
        old, new = change.before, change.after
        if not forward:
            old, new = new, old
        kept = mode_of(path)
        stage = stage_name(path, entry.step.number, place)
        moves.append(
            FileMove(change.path, path, old, new, mode if kept is None else kept, stage)
        )
    return sorted(moves, key=lambda m: 0 if m.old is None else 2 if m.new is None else 1)


def move_files(folder: Path, entry: Entry, *, forward: bool) -> None:
    """Bring all files of a step to its other side; on a refusal put back those moved.

    Raises
    ------
    Clash
        A file is on neither side.
    OSError
        The file system refused.
    """
    moves = moves_of(folder, entry, forward=forward)
    moved: list[FileMove] = []
    try:
        for move in moves:
            _still_its_own(move)
            if move.new is not None:
                make_folders(folder, move.path)
                put_aside(move.stage, move.new, move.mode, move.path)
        for move in moves:
            if _still_its_own(move) == move.new:
                continue
            moved.append(move)
            put_in_place(None if move.new is None else move.stage, move.path)
    except BaseException:
        put_all_back(moved)
        drop_folders(folder, entry.folders if forward else ())
        raise
    finally:
        for move in moves:
            with contextlib.suppress(OSError):
                move.stage.unlink(missing_ok=True)
    if not forward:
        drop_folders(folder, entry.folders)


def _still_its_own(move: FileMove) -> bytes | None:
    """Return what a file holds now; raise Clash when that is neither its old nor its new."""
    now = content(move.path)
    if now not in (move.old, move.new):
        raise Clash("was changed meanwhile", fix="ask once more", source=move.name)
    return now


def put_all_back(moved: Sequence[FileMove]) -> None:
    """Put back files that were moved; raise Halfway where the system refuses."""
    try:
        for move in reversed(moved):
            _put_back(move)
    except OSError as problem:
        raise Halfway(
            f"could be neither changed nor put back ({problem.strerror})",
            fix="mend that; the next change to this folder finishes this one first",
            source=", ".join(move.name for move in moved),
        ) from problem


def _put_back(move: FileMove) -> None:
    if content(move.path) != move.new or move.new == move.old:
        return
    if move.old is not None:
        put_aside(move.stage, move.old, move.mode, move.path)
    put_in_place(None if move.old is None else move.stage, move.path)
