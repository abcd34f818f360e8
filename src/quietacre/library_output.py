"""Libraries written in C that talk on the terminal, kept from it."""

from __future__ import annotations

import contextlib
import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

STDOUT, STDERR = 1, 2


@contextlib.contextmanager
def silenced(descriptor: int) -> Iterator[None]:
    """Send what is written to a file descriptor, ``STDOUT`` or ``STDERR``, nowhere."""
    stream = {STDOUT: sys.stdout, STDERR: sys.stderr}[descriptor]
    if stream is not None:  # there is none where it was closed before we began
        stream.flush()
    try:
        kept = os.dup(descriptor)
    except OSError:  # nothing to hush
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, descriptor)
        yield
    finally:
        os.dup2(kept, descriptor)
        os.close(kept)
        os.close(nowhere)
