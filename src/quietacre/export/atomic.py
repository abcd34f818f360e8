"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import shutil
import sqlite3
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

STAGE_PREFIX = ".quietacre-"
#: No build takes so long over its writing.
STALE_SECONDS = 3600.0


def write_atomic(path: Path, data: bytes | str) -> None:
    """Write one file through a temporary neighbour, synced, then renamed onto it.

    Raises
    ------
    OSError
        The file system refused; what stood at ``path`` stands there still.
    """
    with staged(path) as stage:
        stage.write_bytes(data.encode() if isinstance(data, str) else data)


@contextlib.contextmanager
def staged(path: Path) -> Iterator[Path]:
    """Give a temporary neighbour to write to; on success it is synced and renamed.

    Raises
    ------
    OSError
        The file system refused; what stood at ``path`` stands there still.
    """
    check_target(path)
    stage = path.with_name(f"{STAGE_PREFIX}{secrets.token_hex(6)}{path.suffix}")
    try:
        with named(stage, path):
            yield stage
            with stage.open("rb+") as handle:
                os.fsync(handle.fileno())
            drop_beside(path)
            stage.replace(path)
    finally:
        with contextlib.suppress(OSError):
            stage.unlink(missing_ok=True)
    sync_folder(path.parent)


def check_target(path: Path) -> None:
    """Raise OSError where something stands that is no plain file, and is not to be replaced."""
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if path.exists() and not path.is_file():  # a device, a pipe
        raise OSError(errno.EINVAL, "is not a plain file", str(path))


def drop_beside(path: Path) -> None:
    """Remove what a program that had an old GeoPackage open left beside it.

    Whoever opens the new one next would take those changes for changes to it.
    """
    if path.suffix.lower() != ".gpkg":
        return
    for ending in ("-wal", "-shm", "-journal"):
        with contextlib.suppress(OSError):  # a name too long for one, a folder
            path.with_name(path.name + ending).unlink(missing_ok=True)


@contextlib.contextmanager
def named(stage: Path, path: Path) -> Iterator[None]:
    """Let a refusal name the file that was asked for, not its stage."""
    try:
        yield
    except OSError as problem:
        if problem.filename is not None and str(problem.filename).startswith(str(stage)):
            raise OSError(problem.errno, problem.strerror, str(path)) from problem
        raise


@contextlib.contextmanager
def gdal_faults(path: Path) -> Iterator[None]:
    """Turn what GDAL or SQLite says of a disk that takes no more into what a system says.

    Raises
    ------
    OSError
        ``path`` could not be written whole.
    """
    from pyogrio.errors import DataLayerError, DataSourceError, FeatureError

    try:
        yield
    except (DataLayerError, DataSourceError, FeatureError, sqlite3.Error) as problem:
        raise OSError(errno.EIO, "could not be written whole", str(path)) from problem


def write_folder(
    folder: Path, files: Mapping[str, bytes | str], *, folders: Sequence[str]
) -> None:
    """Write a new folder, with everything in it or not at all.

    Parameters
    ----------
    folder : missing, or empty.
    files : what goes in, by name; a name may lead into one of the folders.
    folders : folders inside, made even when they stay empty.

    Raises
    ------
    OSError
        The file system refused; nothing is left behind.
    """
    with staged_folder(folder) as stage:
        for one in folders:
            (stage / one).mkdir(parents=True)
        for name, data in files.items():
            write_synced(stage / name, data.encode() if isinstance(data, str) else data)


@contextlib.contextmanager
def staged_folder(folder: Path) -> Iterator[Path]:
    """Give a place to write a new folder in; on success it is put where it belongs.

    Parameters
    ----------
    folder : missing, or empty.

    Raises
    ------
    OSError
        The file system refused; nothing is left behind.
    """
    new = not folder.exists()
    home = folder.parent if new else folder  # an empty one may be where somebody stands
    home.mkdir(parents=True, exist_ok=True)
    stage = home / f"{STAGE_PREFIX}{secrets.token_hex(6)}"
    try:
        with named(stage, folder):
            stage.mkdir()
            yield stage
            if new:
                stage.rename(folder)
            else:
                for entry in sorted(stage.iterdir(), key=lambda p: p.is_file()):
                    entry.rename(folder / entry.name)
    finally:
        shutil.rmtree(stage, ignore_errors=True)
    sync_folder(home)


def sweep(folder: Path) -> None:
    """Remove what a build that was killed left behind; a build under way is younger."""
    for left in folder.glob(f"{STAGE_PREFIX}*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > STALE_SECONDS:
                shutil.rmtree(left, ignore_errors=True)


def write_synced(path: Path, data: bytes) -> None:
    """Write a file that is not there yet, and wait until the disk has it."""
    with path.open("xb") as handle:
        handle.write(data)
        handle.flush()
        os.fsync(handle.fileno())


def sync_folder(folder: Path) -> None:
    """Make what was renamed or made in a folder outlast a loss of power, where it can be."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextlib.contextmanager
def turn(folder: Path) -> Iterator[None]:
    """Hold the folder's lock while renaming, where the system has one."""
    try:
        import fcntl
    except ImportError:  # not a POSIX system: renames are still one by one
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
