"""A thread that surely runs, or is said not to.

``threading.Thread.start`` waits for the new thread without end, and where that one finds no
memory for its first step it never answers.
"""

from __future__ import annotations

import _thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

#: A thread that has not begun by now never does. [s]
BEGUN_SECONDS = 20.0


class Beside:
    """A function that runs beside the program; the program does not wait for it to end."""

    def __init__(self, run: Callable[[], object]) -> None:
        self._function = run
        self._begun = _thread.allocate_lock()
        self._over = _thread.allocate_lock()
        self._begun.acquire()
        self._over.acquire()

    def start(self) -> None:
        """Start it, and return when it runs.

        Raises
        ------
        MemoryError
            There is too little memory for a thread.
        """
        try:
            _thread.start_new_thread(self._run, ())
        except RuntimeError as problem:
            raise MemoryError from problem
        if not self._begun.acquire(timeout=BEGUN_SECONDS):
            raise MemoryError

    def _run(self) -> None:
        self._begun.release()
        try:
            self._function()
        finally:
            self._over.release()

    def join(self) -> None:
        """Wait until it is over; it was started."""
        with self._over:
            return
