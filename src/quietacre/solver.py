"""What every use of the integer-program solver shares."""

from __future__ import annotations

import contextlib
import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextlib.contextmanager
def quiet_stdout() -> Iterator[None]:
    """Send what a library writes to the terminal's file descriptor nowhere."""
    if sys.stdout is not None:  # there is none where it was closed before we began
        sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # nothing to keep quiet
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
