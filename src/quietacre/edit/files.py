"""One file of a property folder: where its name leads, and how it is replaced whole."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.export.atomic import STAGE_PREFIX, sync_folder
from quietacre.intake.limits import lies_inside

if TYPE_CHECKING:
    from pathlib import Path


class LeadsOut(FileProblem):
    """A name, or a link, that leads out of the property folder or to no plain file."""


def located(folder: Path, name: str) -> Path:
    """Return the file that a name of a property folder leads to, links followed.

    Parameters
    ----------
    folder : the property folder, with all links followed.
    name : path inside it with "/" between its parts; the file need not be there.

    Raises
    ------
    LeadsOut
        The name, or a link on the way, leads out of the folder; or something stands there
        that is no plain file.
    """
    parts = PurePosixPath(name)
    if not parts.parts or parts.is_absolute() or ".." in parts.parts or "\x00" in name:
        raise LeadsOut(
            "leads out of the property folder",
            fix="name a file inside it",
            source=name or "(no name)",
        )
    path = folder / parts
    if not lies_inside(folder, path):
        raise LeadsOut(
            "is a link out of the property folder", fix="copy the file into it", source=name
        )
    path = path.resolve()
    if path.exists() and not path.is_file():
        raise LeadsOut(
            "is not a plain file", fix="move it away, or name another", source=name
        )
    return path


def content(path: Path) -> bytes | None:
    """Return the bytes of a file, None where there is none."""
    try:
        return path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return None


def mode_of(path: Path) -> int | None:
    """Return the permissions of a file, None where there is none."""
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except (FileNotFoundError, NotADirectoryError):
        return None


def check_writable(path: Path, name: str) -> None:
    """Raise FileProblem for a file that its owner marked as not to be written.

    A new file put in its place would get round that mark.
    """
    mode = mode_of(path)
    if mode is not None and (not mode & 0o222 or not os.access(path, os.W_OK)):
        raise FileProblem(
            "is marked read-only, so nothing is changed",
            fix="take that mark off if it is to be changed",
            source=name,
        )


def stage_name(path: Path, number: int, place: int) -> Path:
    """Return the neighbour a new content waits in, told by its step so it can be swept."""
    return path.with_name(f"{STAGE_PREFIX}{number:08d}-{place}{path.suffix[:16]}")


def put_aside(stage: Path, data: bytes, mode: int | None, path: Path) -> None:
    """Write a new content of a file to its waiting place, synced.

    It has the permissions it will have, and the owner of the file that stands there, as far
    as the system lets who runs this give files away.
    """
    stage.unlink(missing_ok=True)
    handle = os.open(
        stage,
        os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0),
        0o666 if mode is None else 0o600,
    )
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        if mode is not None:
            with contextlib.suppress(OSError, AttributeError):  # nobody but root may
                old = path.stat()
                if (old.st_uid, old.st_gid) != (os.geteuid(), os.getegid()):
                    os.chown(stage, old.st_uid, old.st_gid)
            stage.chmod(mode)
        os.fsync(file.fileno())


def put_in_place(stage: Path | None, path: Path) -> None:
    """Rename a waiting content onto its file, or take the file away when there is none.

    Raises
    ------
    FileProblem
        Another program holds the file open in a way that lets nobody replace it.
    """
    try:
        if stage is None:
            path.unlink(missing_ok=True)
        else:
            stage.replace(path)
    except PermissionError as problem:
        if os.name == "posix" and problem.errno != errno.ETXTBSY:
            raise
        raise FileProblem(
            "is open in another program",
            fix="close it there, then try again",
            source=path.name,
        ) from problem
    sync_folder(path.parent)


def make_folders(folder: Path, path: Path) -> tuple[str, ...]:
    """Make the folders a new file lies in; return those that were not there, outermost first."""
    missing: list[Path] = []
    made = path.parent
    while made != folder and not made.exists():
        missing.insert(0, made)
        made = made.parent
    for made in missing:
        made.mkdir()
        sync_folder(made.parent)
    return tuple(made.relative_to(folder).as_posix() for made in missing)


def drop_folders(folder: Path, folders: tuple[str, ...]) -> None:
    """Remove folders that a step made, where nothing else has come to lie in them."""
    for made in reversed(folders):
        with contextlib.suppress(OSError):
            (folder / made).rmdir()
