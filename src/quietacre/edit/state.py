"""Where the journal of a property folder lives, and whose turn it is to change the folder.

The journal lies in the person's own state folder, never in the property's: on a folder
that two computers share, the other one would take up work that is still under way here.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import time
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.limits import lies_inside

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

APP = "quietacre"
LOCK = "lock"
#: Who holds the lock changes a few small files; longer than this is another matter.
MOST_WAIT_SECONDS = 10.0
POLL_SECONDS = 0.02


def user_state() -> Path:
    """Return the folder of the person's own state: XDG_STATE_HOME, or the system's like."""
    from platformdirs import user_state_path

    return user_state_path(APP, appauthor=False)


def where_home(folder: Path, state: Path | None) -> Path:
    """Return where the journal of a property folder lives, there or not.

    Parameters
    ----------
    folder : the property folder, with all links followed.
    state : folder for the journals of all places; the person's own when None.

    Raises
    ------
    FileProblem
        It would lie inside the property folder.
    """
    root = user_state() if state is None else state
    if lies_inside(folder, root):
        raise FileProblem(
            "would hold the journal of changes, and lies inside the property folder",
            fix="set XDG_STATE_HOME to a folder elsewhere",
            source=str(root),
        )
    key = hashlib.sha256(os.fsencode(folder)).hexdigest()[:24]
    return root / "places" / key


def place_home(folder: Path, state: Path | None) -> Path:
    """Return where the journal of a property folder lives, as `where_home`, and make it.

    Raises
    ------
    FileProblem
        It would lie inside the property folder, or cannot be made.
    """
    home = where_home(folder, state)
    if not home.is_dir():
        try:
            home.mkdir(parents=True, exist_ok=True, mode=0o700)
            (home / "place.txt").write_bytes(os.fsencode(folder) + b"\n")
        except OSError as problem:
            raise FileProblem(
                f"cannot hold the journal of changes ({problem.strerror}), so nothing is changed",
                fix="make it writable, or set XDG_STATE_HOME to a folder that is",
                source=str(home),
            ) from problem
    return home


@contextlib.contextmanager
def turn(home: Path, folder: Path) -> Iterator[None]:
    """Hold the lock on changes to a property folder; it ends with the process that holds it.

    The folder itself is locked too, where the system can, for whoever changes it from an
    account of their own has a journal and a lock of their own.

    Raises
    ------
    FileProblem
        Another program held it all the while.
    """
    with contextlib.ExitStack() as held:
        handles = [os.open(home / LOCK, os.O_RDWR | os.O_CREAT, 0o600)]
        held.callback(os.close, handles[0])
        if os.name == "posix":
            with contextlib.suppress(OSError):
                handles.append(os.open(folder, os.O_RDONLY))
                held.callback(os.close, handles[1])
        until = time.monotonic() + MOST_WAIT_SECONDS
        for handle in handles:
            while not _take(handle):
                if time.monotonic() > until:
                    raise FileProblem(
                        "is being changed by another program",
                        fix="wait for it, or close it, and try again",
                        source=str(folder),
                    )
                time.sleep(POLL_SECONDS)
        yield


def _take(handle: int) -> bool:
    """Try to lock an open file; the system lets go of it when the process ends."""
    try:
        import fcntl
    except ImportError:
        return _take_on_windows(handle)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # a network drive without locks: the bytes are compared all the same
        return True
    return True


def _take_on_windows(handle: int) -> bool:
    import importlib

    msvcrt = importlib.import_module("msvcrt")
    try:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    except OSError:
        return False
    return True
