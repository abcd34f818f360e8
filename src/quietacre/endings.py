"""How a run is ended from outside: Ctrl-C, the system's polite end, no memory left."""

from __future__ import annotations

import _thread
import contextlib
import signal
import sys
import threading
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from types import FrameType

AGAIN_SECONDS = 0.05
#: What takes longer to load than this is stopped while it is loaded.
LOADED_SECONDS = 5

_waited: dict[int, int] = {}
_carried_out: list[int] = []


def heed() -> None:
    """Let a polite end (SIGTERM) run what cleans up, as Ctrl-C does.

    Neither ends the loading of a library: one that is stopped half way prints what only a
    programmer can read, and its next loading fails. The end is sent again until it is loaded.
    """
    signal.signal(signal.SIGTERM, _end)
    signal.signal(signal.SIGINT, _end)
    sys.unraisablehook = _end_lost


def _end(number: int, frame: FrameType | None) -> None:
    """Raise what ends the program, unless a library is being loaded."""
    if _is_loading(frame) and _waited.get(number, 0) * AGAIN_SECONDS < LOADED_SECONDS:
        _waited[number] = _waited.get(number, 0) + 1
        _send_again(signal.Signals(number))
        return
    _carried_out.append(number)
    if number == signal.SIGTERM:
        signal.signal(number, signal.SIG_DFL)  # whoever asks twice does not want to wait
    carry_on()


def carry_on() -> None:
    """Raise again the end that was raised before, if one was.

    A library that calls back to Python may turn an end into an error of its own.
    """
    if not _carried_out:
        return
    if _carried_out[0] == signal.SIGINT:
        raise KeyboardInterrupt
    sys.exit(128 + _carried_out[0])


def _is_loading(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


def _send_again(number: signal.Signals) -> None:
    _thread.start_new_thread(_soon, (number,))


def _soon(number: signal.Signals) -> None:
    time.sleep(AGAIN_SECONDS)
    if hasattr(signal, "pthread_kill"):
        signal.pthread_kill(threading.main_thread().ident or 0, number)
    else:  # does not wake a main thread that waits for the system, as Windows has it
        _thread.interrupt_main(number)


def _end_lost(what: sys.UnraisableHookArgs) -> None:
    """Send an end once more that came in a callback, where it can end nothing.

    Memory that runs out while something is cleared away is not told: what ran out of it
    first is.
    """
    if issubclass(what.exc_type, MemoryError):
        return
    if issubclass(what.exc_type, Exception):
        sys.__unraisablehook__(what)
    elif what.exc_type is KeyboardInterrupt:
        _send_again(signal.SIGINT)
    elif what.exc_type is SystemExit:
        with contextlib.suppress(ValueError):  # not the main thread
            signal.signal(signal.SIGTERM, _end)
        _send_again(signal.SIGTERM)
