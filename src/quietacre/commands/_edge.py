"""What every command shares: how it fails, and how it prints JSON."""

from __future__ import annotations

import functools
import json
import os
import re
import sys
from typing import TYPE_CHECKING, Any

import click

from quietacre import endings
from quietacre.as_json import as_json
from quietacre.errors import BadInput, FileProblem, one_line
from quietacre.figures import printed
from quietacre.units import reckonable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

EXIT_BAD_INPUT = 2
EXIT_OUR_FAULT = 1
#: Control signs that JSON may hold as they are, and turned writing.
DRIVES_TERMINAL = re.compile("[\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
#: What a library says when the system has no memory left to load it into, or to start a
#: thread in.
NO_ROOM = ("failed to map segment", "cannot allocate memory", "can't start new thread")
#: What a build of a small property takes. Where the system lets a process have less, one
#: library ends the program with words of its own, and the interpreter itself may look for
#: ever for the memory that an error's way out takes.
LEAST_BYTES = 500_000_000
#: Seconds since 1970 up to the year 2286.
MOST_EPOCH_DIGITS = 10

#: Where the units that lines are said in stand while a command runs.
UNITS = "quietacre.units"
#: What a command calls the property folder that it is given.
FOLDERS = ("folder", "keep")

LAYER = click.option(
    "--layer", metavar="NAME", help="Read this layer alone of a GeoPackage."
)


def fail_cleanly(run: Callable[..., Any]) -> Callable[..., Any]:
    """Turn errors into one line on stderr: exit 2 for input, 1 for our fault.

    Set QUIETACRE_TRACEBACK=1 to see where our own fault came from.
    """

    @functools.wraps(run)
    def wrapped(*args: object, **kwargs: object) -> object:
        try:
            _check_numbers(kwargs)
            _check_surroundings()
            return run(*args, **kwargs)
        except BadInput as problem:
            endings.carry_on()
            click.echo(printed(problem.marked, metric=shows_metric()), err=True)
            sys.exit(EXIT_BAD_INPUT)
        except (click.ClickException, click.Abort, click.exceptions.Exit):
            raise
        except BrokenPipeError:
            # the reader of our output went away: not an error of ours
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(0)
        except OSError as problem:
            endings.carry_on()
            where = problem.filename or "file system"
            reason = problem.strerror or type(problem).__name__
            click.echo(
                one_line(
                    f"{where}: {reason}; check the path, its permissions and free space"
                ),
                err=True,
            )
            sys.exit(EXIT_BAD_INPUT)
        except Exception as problem:
            endings.carry_on()
            if isinstance(problem, MemoryError) or (
                isinstance(problem, (ImportError, RuntimeError))
                and any(words in str(problem) for words in NO_ROOM)
            ):
                click.echo(
                    "quietacre: there is not enough memory for this; close other programs, "
                    "or split the file",
                    err=True,
                )
                sys.exit(EXIT_BAD_INPUT)
            if os.environ.get("QUIETACRE_TRACEBACK"):
                raise
            click.echo(
                one_line(
                    f"quietacre: fault of the program ({type(problem).__name__}: "
                    f"{problem}); nothing was changed, please report it"
                ),
                err=True,
            )
            sys.exit(EXIT_OUR_FAULT)

    return wrapped


def _check_surroundings() -> None:
    """Refuse a limit of memory that is too small, and drop a SOURCE_DATE_EPOCH that is none.

    A library reads SOURCE_DATE_EPOCH too, and takes nothing but digits.

    Raises
    ------
    MemoryError
        A limit is set, and what is left of it is too little.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch is not None and not (
        epoch.isascii() and epoch.isdigit() and len(epoch) <= MOST_EPOCH_DIGITS
    ):
        del os.environ["SOURCE_DATE_EPOCH"]
        if epoch:
            say(
                f"note: SOURCE_DATE_EPOCH is “{epoch[:24]}”, which is no count of seconds since "
                "1970; the day on the clock counts",
                err=True,
            )
    if os.name == "posix":
        import mmap
        import resource

        if resource.getrlimit(resource.RLIMIT_AS)[0] != resource.RLIM_INFINITY:
            try:
                mmap.mmap(-1, LEAST_BYTES).close()
            except OSError as problem:
                raise MemoryError from problem


def _check_numbers(options: Mapping[str, object]) -> None:
    """Raise BadInput for an option that is no number to reckon with: nan, inf, 1e300."""
    for name, value in options.items():
        for number in value if isinstance(value, tuple) else (value,):
            if isinstance(number, (int, float)) and not reckonable(number):
                raise BadInput(
                    f"{str(number)[:24]} is not a number to reckon with",
                    fix="type a plain one",
                    source=f"--{name.replace('_', '-')}",
                )


def keep_inputs(inputs: Iterable[Path], *outs: Path | None) -> None:
    """Raise FileProblem where an output would replace a file it is made from, or another.

    Raises
    ------
    FileProblem
        Two names lead to one file.
    """
    read = [path for path in inputs if path.exists()]
    written = [out for out in outs if out is not None]
    for number, out in enumerate(written):
        if out.exists() and any(out.samefile(path) for path in read):
            raise FileProblem(
                "would be written over itself",
                fix="name another file to write to; yours was not changed",
                source=str(out),
            )
        if any(out.resolve() == other.resolve() for other in written[:number]):
            raise FileProblem(
                "two outputs have this name", fix="name another", source=str(out)
            )


def say_if_cut_short(paths: Iterable[Path]) -> None:
    """Say of files that builds wrote when they do not belong together, before they are read."""
    from quietacre.export.build_set import look_at
    from quietacre.export.outputs import BUILD_FILE

    for folder in dict.fromkeys(path.parent for path in paths):
        if (folder / BUILD_FILE).is_file() and (text := look_at(folder).text):
            say(f"note: {folder}: {text}", err=True)


def say(text: str, *, err: bool = False) -> None:
    """Print text with its figures; signs in a name that would drive a terminal are spelled."""
    click.echo("\n".join(map(one_line, words(text).split("\n"))), err=err)


def words(text: str) -> str:
    """Return a text with its figures printed, for what is padded before it is said."""
    return printed(text, metric=shows_metric())


def told(problem: BadInput | OSError) -> str:
    """Return a problem for a line of ours, its figures still values."""
    return problem.marked if isinstance(problem, BadInput) else str(problem)


def shows_metric() -> bool:
    """Return whether lines say metric units: as asked for, or as the property's map shows."""
    context = click.get_current_context(silent=True)
    if context is None:
        return False
    asked = context.find_root().params.get("units")
    if asked is None:
        asked = context.meta.get(UNITS) or _units_of(_folder_of(context.params))
        context.meta[UNITS] = asked
    return bool(asked == "metric")


def _folder_of(params: Mapping[str, object]) -> object:
    """Return the property folder that a command was given, where it was given one."""
    return next((params[name] for name in FOLDERS if params.get(name)), None)


def _units_of(folder: object) -> str:
    """Return the units that the map of a folder shows; "us" where they cannot be read."""
    from pathlib import Path

    from quietacre.intake.plain_settings import plain_settings

    settings = plain_settings(folder) if isinstance(folder, Path) else None
    chart = (settings or {}).get("map")
    return str(chart.get("units", "us")) if isinstance(chart, dict) else "us"


def emit(result: object) -> None:
    """Print a result as JSON, never NaN or infinity."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    plain = not encoding.lower().replace("-", "").startswith("utf")
    text = json.dumps(as_json(result), indent=2, ensure_ascii=plain, allow_nan=False)
    click.echo(DRIVES_TERMINAL.sub(lambda sign: f"\\u{ord(sign.group()):04x}", text))
