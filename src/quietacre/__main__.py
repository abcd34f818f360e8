"""``python -m quietacre``, and the ``quietacre`` command: the outermost edge of a run."""

from __future__ import annotations

import sys


def start() -> None:
    """Run the command line; end quietly however the system stops it."""
    try:
        _streams()
        _ended_by_the_system()
        from quietacre.cli import main

        main(prog_name="quietacre")
    except KeyboardInterrupt:  # while the program was still being loaded
        sys.stderr.write("Aborted!\n")
        sys.exit(1)
    except OSError as problem:  # no room for what is printed, say
        reason = problem.strerror or type(problem).__name__
        sys.stderr.write(f"quietacre: {reason}; check where the output goes\n")
        sys.exit(2)


def _streams() -> None:
    """Give closed streams a place to go, and signs an encoding lacks a stand-in.

    A closed stream's number would else be that of the next file that is opened, and what
    is printed would land in it.
    """
    import io
    import os

    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115, PTH123
    if isinstance(sys.stdout, io.TextIOWrapper) and sys.stdout.errors == "strict":
        sys.stdout.reconfigure(errors="replace")


def _ended_by_the_system() -> None:
    """Let a polite end (SIGTERM) run what cleans up, as Ctrl-C does."""
    import signal

    def end(number: int, _frame: object) -> None:
        sys.exit(128 + number)

    signal.signal(signal.SIGTERM, end)


if __name__ == "__main__":
    start()
