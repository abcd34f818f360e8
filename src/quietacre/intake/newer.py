"""Folders that a newer version wrote: told by ``format`` under ``[property]``, only read."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.model import FORMAT, SETTINGS_FILE

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


def format_of(folder: Path) -> int:
    """Return the format of a property folder; `FORMAT` where nothing readable says another."""
    try:
        data = (folder / SETTINGS_FILE).read_bytes()
    except OSError:
        return FORMAT
    if b"format" not in data:  # as nearly all: no need to read it
        return FORMAT
    try:
        return format_in(tomllib.loads(data.decode("utf-8-sig")))
    except (ValueError, RecursionError):  # its reader says what is wrong
        return FORMAT


def format_in(document: Mapping[str, object]) -> int:
    """Return the format that the content of a property.toml says, `FORMAT` without one."""
    table = document.get("property")
    number = table.get("format") if isinstance(table, dict) else None
    return number if isinstance(number, int) and not isinstance(number, bool) else FORMAT


def newer_words(number: int) -> str:
    """Return that a folder is of a format this program does not know."""
    return (
        f"the folder was written by a newer quietacre (its format is {number}; this one knows "
        f"{FORMAT})"
    )


def check_not_newer(folder: Path) -> None:
    """Raise FileProblem for a folder that a newer version wrote: it is not to be changed."""
    number = format_of(folder)
    if number > FORMAT:
        raise FileProblem(
            f"{newer_words(number)}, so it is only read here and nothing is changed",
            fix="get the newer quietacre to change it",
            source=SETTINGS_FILE,
        )
