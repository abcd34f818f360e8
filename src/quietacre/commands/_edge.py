"""What every command shares: how it fails, and how it prints JSON."""

from __future__ import annotations

import functools
import json
import os
import sys
from typing import TYPE_CHECKING, Any

import click

from quietacre.errors import BadInput, one_line

if TYPE_CHECKING:
    from collections.abc import Callable

EXIT_BAD_INPUT = 2
EXIT_OUR_FAULT = 1


def fail_cleanly(run: Callable[..., Any]) -> Callable[..., Any]:
    """Turn errors into one line on stderr: exit 2 for input, 1 for our fault.

    Set QUIETACRE_TRACEBACK=1 to see where our own fault came from.
    """

    @functools.wraps(run)
    def wrapped(*args: object, **kwargs: object) -> object:
        try:
            return run(*args, **kwargs)
        except BadInput as problem:
            click.echo(str(problem), err=True)
            sys.exit(EXIT_BAD_INPUT)
        except (click.ClickException, click.Abort, click.exceptions.Exit):
            raise
        except BrokenPipeError:
            # the reader of our output went away: not an error of ours
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(0)
        except OSError as problem:
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


def emit(result: object) -> None:
    """Print a result as JSON, never NaN or infinity."""
    click.echo(json.dumps(result, indent=2, ensure_ascii=False, allow_nan=False))
