"""``python -m quietacre``, and the ``quietacre`` command: the outermost edge of a run."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import click


def open_desk() -> None:
    """Open the desk without a terminal, as a double-click on ``quietacre-desk`` does.

    What cannot be printed, for there is nowhere to print it, is shown in the browser.
    """
    import io

    sys.argv[1:] = ["open", *sys.argv[1:]]
    if sys.stderr is not None:
        start()
        return
    said = sys.stderr = io.StringIO()
    try:
        start()
    except SystemExit as end:
        if end.code:
            from quietacre.desk.not_started import show_why

            show_why(said.getvalue())
        raise


def start() -> None:
    """Run the command line; end quietly however the system stops it."""
    try:
        from quietacre import endings

        _one_thread()
        _streams()
        endings.heed()
        _no_warnings()
        from quietacre.desk import WORK

        if sys.argv[1:] == [WORK]:  # a page waits for it: the command line loads later
            from quietacre.commands._work import answer_lines

            answer_lines(_commands)
            return
        from quietacre.cli import main

        main(prog_name="quietacre")
    except KeyboardInterrupt:  # while the program was still being loaded
        sys.stderr.write("Aborted!\n")
        sys.exit(1)
    except OSError as problem:  # no room for what is printed, say
        reason = problem.strerror or type(problem).__name__
        sys.stderr.write(f"quietacre: {reason}; check where the output goes\n")
        sys.exit(2)


def _commands() -> click.Command:
    """Return all commands."""
    from quietacre.cli import main

    return main


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


def _one_thread() -> None:
    """Keep the linear algebra library from starting threads that nothing here needs.

    Each wants a buffer of its own, and where the system has none left to give, the library
    asks again for ever, deaf to every signal.
    """
    import os

    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _no_warnings() -> None:
    """Keep what libraries say to programmers from a landowner, unless it is asked for."""
    if not sys.warnoptions:
        import warnings

        warnings.simplefilter("ignore")


if __name__ == "__main__":
    start()
