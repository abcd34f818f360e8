"""Folders that a newer version wrote: told by ``format`` under ``[property]``, only read."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.model import FORMAT

if TYPE_CHECKING:
    from pathlib import Path

FILE = "property.toml"


def format_of(folder: Path) -> int:
    """Return the format of a property folder; `FORMAT` where nothing readable says another."""
    try:
        data = (folder / FILE).read_bytes()
    except OSError:
        return FORMAT
    if b"format" not in data:  # as nearly all: no need to read it
        return FORMAT
    try:
        told = tomllib.loads(data.decode("utf-8-sig"))["property"]["format"]
    except (
        ValueError,
        KeyError,
        TypeError,
        RecursionError,
    ):  # its reader says what is wrong
        return FORMAT
    return told if isinstance(told, int) else FORMAT


def newer_words(found: int) -> str:
    """Return what a format says that this program does not know."""
    return (
        f"the folder was written by a newer quietacre (its format is {found}; this one knows "
        f"{FORMAT})"
    )


def check_not_newer(folder: Path) -> None:
    """Raise FileProblem for a folder that a newer version wrote: it is not to be changed."""
    found = format_of(folder)
    if found > FORMAT:
        raise FileProblem(
            f"{newer_words(found)}, so it is only read here and nothing is changed",
            fix="get the newer quietacre to change it",
            source=FILE,
        )
