"""Lines that are gone from a log, told by every command that meets it."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING

from quietacre.commands._edge import say, told
from quietacre.errors import BadInput
from quietacre.logbook import LOG

if TYPE_CHECKING:
    from pathlib import Path

NAMED = 3


def lines_said(count: int) -> str:
    """Return a number of lines in words: "1 line", "3 lines"."""
    return f"{count} line" + ("" if count == 1 else "s")


def tell_lost_to_reader(folder: Path) -> None:
    """Say which lines of the log are gone, where the program has written into it before."""
    from quietacre.edit.state import where_home

    try:
        known = where_home(folder.resolve(), None).is_dir()
    except (BadInput, OSError):
        return  # nothing was ever kept of it
    if known:
        tell_lost(folder)


def tell_lost(folder: Path) -> None:
    """Say which lines of the log are gone, and how they come back."""
    from quietacre.edit.loglines import line_words
    from quietacre.edit.lost import look

    try:
        lines = look(folder)
    except (BadInput, OSError) as problem:  # the log itself is written, or only read
        say(f"lines gone from {LOG} cannot be looked for: {told(problem)}", err=True)
        return
    if not lines:
        return
    some = "; ".join(line_words(line) for line in lines[:NAMED])
    more = f"; and {len(lines) - NAMED} more" if len(lines) > NAMED else ""
    say(
        f"{LOG}: {lines_said(len(lines))} that {'was' if len(lines) == 1 else 'were'} in it "
        f"{'is' if len(lines) == 1 else 'are'} gone, as when an older copy is saved "
        f"over it: {some}{more}",
        err=True,
    )
    place = shlex.quote(str(folder))
    say(f"  bring them back: quietacre merge {place} --lost", err=True)
    say(f"  let them go:     quietacre merge {place} --forget", err=True)
