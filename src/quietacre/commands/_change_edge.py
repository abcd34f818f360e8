"""What the commands that change a property folder share: what they say of it."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING

from quietacre.commands._edge import say, told
from quietacre.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from quietacre.edit.journal import Recovered, Step

ENDS = {
    "finished": "was cut short, and is finished now",
    "taken back": "was cut short while being taken back, and is taken back now",
    "clash": "was cut short and cannot be finished, for a file was changed since; all files "
    "are left as they are",
}
#: What a step's state is called.
STATES = {
    "done": "",
    "undone": " (taken back)",
    "clash": " (cut short and never finished: a file was changed meanwhile)",
    "begun": " (under way)",
    "undoing": " (being taken back)",
}


def tell_recovered(recovered: Iterable[Recovered]) -> None:
    """Say what became of changes that were cut short, and where what did not fit is kept."""
    for past in recovered:
        say(f"an earlier change, “{past.step.label}”, {ENDS[past.end]}", err=True)
        for path in past.kept:
            say(f"  what was to be written is kept in {path}", err=True)


def finish_cut_short(folder: Path) -> None:
    """Carry a change that was cut short to its end, and say so; a build reads whole changes."""
    from quietacre.edit.journal import cut_short, recover

    try:
        if cut_short(folder):
            tell_recovered(recover(folder))
    except (
        BadInput,
        OSError,
    ) as problem:  # a disk that is only read, say: it is built as it is
        say(
            f"a change to these files was cut short and cannot be finished: {told(problem)}",
            err=True,
        )


def how_back(folder: Path) -> str:
    """Return the words on how a change is taken back."""
    return f"take it back with: quietacre undo {shlex.quote(str(folder))}"


def step_line(step: Step, *, again: bool) -> str:
    """Return a step in a line: its number, when, what and which files.

    ``again`` says that it was taken back and its files still stand as before it.
    """
    day = step.at.astimezone().strftime("%Y-%m-%d %H:%M")
    files = f": {', '.join(step.paths)}" if step.paths else ""
    what = STATES[step.state]
    if again:
        what += f"; once more with --again --step {step.number}"
    return f"{step.number:>4}  {day}  {step.label}{files}{what}"


def step_record(step: Step) -> dict[str, object]:
    """Return a step as JSON has it."""
    return {
        "number": step.number,
        "at": step.at.isoformat(),
        "label": step.label,
        "files": list(step.paths),
        "state": step.state,
        "cut_short_before": [
            {"label": r.step.label, "end": r.end, "kept": [str(path) for path in r.kept]}
            for r in step.recovered
        ],
    }
