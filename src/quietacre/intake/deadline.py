"""How long one file may be read: a watch that ends the reading, wherever it is.

The longest call into a library written in C is bounded by the limits on bytes and nesting;
shapefiles, where it is not, are read in a process of their own (``apart``).
"""

from __future__ import annotations

import contextlib
import ctypes
import functools
import threading
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeVar

from quietacre.beside import Beside
from quietacre.errors import FileProblem
from quietacre.intake.limits import MAX_SECONDS, MAX_SECONDS_A_MEGABYTE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

P = ParamSpec("P")
R = TypeVar("R")

MEGABYTE = 1e6
#: A strike may land where it is lost, in a callback or a destructor: strike again.
AGAIN_SECONDS = 0.5
POLL_SECONDS = 0.05
#: Seconds are those that the processor works, so that a busy machine refuses no good
#: file; by the clock it may take so many times as long.
PATIENCE = 8.0


class _LateError(BaseException):
    """Raised in the reading thread; no reader's own ``except Exception`` may hold it."""


def allowed_seconds(size_bytes: int) -> float:
    """Return how long a file of a size may be read. [s]"""
    return MAX_SECONDS + MAX_SECONDS_A_MEGABYTE * size_bytes / MEGABYTE


def too_slow(shown: str, seconds: float) -> FileProblem:
    """Return the error of a file that is read for longer than it may be."""
    return FileProblem(
        f"could not be read within {seconds:.0f} seconds, the limit for its size",
        fix="export it again, or split it",
        source=shown,
    )


@contextmanager
def in_time(path: Path, shown: str) -> Iterator[None]:
    """Read a file inside this, and it ends when the time for its size is over.

    Raises
    ------
    FileProblem
        The reading took too long.
    """
    try:
        size = path.stat().st_size
    except (OSError, ValueError):  # whoever reads it says what is wrong
        size = 0
    seconds = allowed_seconds(size)
    watch = _Watch(seconds)
    try:
        watch.start()
        try:
            yield
        finally:
            watch.stop()
    except _LateError:
        raise too_slow(shown, seconds) from None


def timed(read: Callable[Concatenate[Path, P], R]) -> Callable[Concatenate[Path, P], R]:
    """Let a reader, which takes a path and may be told how to show it, run in its time."""

    def held(path: Path, /, *args: P.args, **kwargs: P.kwargs) -> R:
        with in_time(path, str(kwargs.get("shown") or path)):
            return read(path, *args, **kwargs)

    functools.update_wrapper(held, read)
    return held


class _Watch:
    """Raises ``_LateError`` in the thread that made it, after some seconds."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.reader = ctypes.c_ulong(threading.get_ident())
        self.start_s = time.process_time()
        self.done = threading.Event()
        self.thread = Beside(self._wait)

    def start(self) -> None:
        try:
            self.thread.start()
        except MemoryError:
            self.done.set()
            raise

    def _wait(self) -> None:
        begun, wait = time.monotonic(), self.seconds
        while not self.done.wait(wait):
            left = self.seconds - (time.process_time() - self.start_s)
            if left > 0 and time.monotonic() - begun < PATIENCE * self.seconds:
                wait = max(left, POLL_SECONDS)  # other work has the machine
                continue
            wait = AGAIN_SECONDS
            ctypes.pythonapi.PyThreadState_SetAsyncExc(
                self.reader, ctypes.py_object(_LateError)
            )

    def stop(self) -> None:
        """Call it off; a strike that has not landed yet lands here.

        It is not taken back: an interpreter that is told to forget one goes on looking
        for it, and one that is traced looks for ever.
        """
        while True:
            try:
                self.done.set()
                self.thread.join()  # from here on none is sent
                break
            except _LateError:
                continue
        with contextlib.suppress(_LateError):
            for _ in range(2):
                time.sleep(0)
