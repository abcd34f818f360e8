"""How many lines of the log stand under the name of an area."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.edit import journal
from quietacre.edit.logtext import read_log_text
from quietacre.errors import BadInput
from quietacre.logbook import LOG
from quietacre.model import folded

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path


def lines_under(folder: Path, name: str) -> int:
    """Return how many lines of the log name an area; 0 where there is no log that can be read."""
    try:
        data = journal.read(folder, LOG)
        lines = [] if data is None else [cells for _, cells in read_log_text(data).typed()]
    except BadInput:
        return 0
    return sum(folded(str(cells.get("area", ""))) == folded(name) for cells in lines)


def log_notes(folder: Path, split: Iterable[str], out: Sequence[str]) -> list[str]:
    """Return what to say of log lines whose ground is another now, and of areas taken out.

    Parameters
    ----------
    split : names of areas of which others were made.
    out : names of areas that were taken out.
    """
    out_lines = [
        f"{_count(lines)} under {name} and stay with it: they were of all of it"
        for name in dict.fromkeys(split)
        if (lines := lines_under(folder, name))
    ]
    for name in out:
        out_lines.append(f"{name} is taken out of property.toml; its file stays")
        if lines := lines_under(folder, name):
            out_lines.append(
                f"{_count(lines)} under {name}; to keep them with the ground, write the name under was "
                "of the area it is part of now"
            )
    return out_lines


def _count(lines: int) -> str:
    return "1 line of the log stands" if lines == 1 else f"{lines} lines of the log stand"
