"""Files that another program has open: waited for, and said."""

from __future__ import annotations

import os
import time
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

#: What office programs lay beside a file they have open; common practice, no source.
LOCKS = (".~lock.{}#", "~${}")
#: Time to change the window, save and close. Ours.
WAIT_SECONDS = 30.0
POLL_SECONDS = 0.25
SYSTEM = "the system"


def open_elsewhere(path: Path) -> str | None:
    """Return what tells that another program has a file open, None when nothing does."""
    for form in LOCKS:
        lock = path.with_name(form.format(path.name))
        if lock.exists():
            return lock.name
    if os.name == "nt" and path.exists():
        try:
            with path.open("r+b"):
                pass
        except PermissionError:
            return SYSTEM
    return None


def wait_until_closed(path: Path, tell: Callable[[str], None], wait_s: float) -> None:
    """Wait until no other program has a file open, and say so while it lasts.

    Parameters
    ----------
    path : the file, there or not.
    tell : is given the words, once.
    wait_s : how long at most. [s]

    Raises
    ------
    FileProblem
        It is open still; nothing was written.
    """
    until = time.monotonic() + wait_s
    sign = open_elsewhere(path)
    if sign is not None and wait_s > 0:
        tell(
            f"{path.name} is open in a spreadsheet ({sign} says so): waiting for "
            f"{wait_s:.0f} seconds; save and close it there"
        )
    while (sign := open_elsewhere(path)) is not None:
        if time.monotonic() >= until:
            stale = "" if sign == SYSTEM else f"; if none has, delete {sign}"
            raise FileProblem(
                f"is open in another program ({sign} says so), so nothing was written",
                fix=f"save and close it there, then type this again{stale}",
                source=path.name,
            )
        time.sleep(POLL_SECONDS)
