"""The records of years that were closed, read from years/."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from quietacre.errors import BadInput
from quietacre.intake.limits import check_inside, read_text
from quietacre.kept_years import RECORD, YEARS, YearRecord, read_record
from quietacre.model import Note

if TYPE_CHECKING:
    from pathlib import Path

#: "2027", "2027-corrected-2028-03-02", and the second of that day with "-2".
FOLDER = re.compile(r"(\d{4})(?:-corrected-(\d{4}-\d{2}-\d{2})(?:-(\d+))?)?")
MAX_RECORD_BYTES = 4_000_000


def kept_folders(folder: Path) -> list[str]:
    """Return the names of kept years, the oldest first, each before its corrections."""
    home = folder / YEARS
    if home.is_symlink() or not home.is_dir():
        return []
    folders = [
        (match[1], match[2] or "", int(match[3] or 1), path.name)
        for path in home.iterdir()
        if path.is_dir() and (match := FOLDER.fullmatch(path.name))
    ]
    return [name for *_, name in sorted(folders)]


def corrected_on(name: str) -> str | None:
    """Return the day, as 2028-03-02, that a kept year's folder was corrected on; None where not."""
    match = FOLDER.fullmatch(name)
    return match[2] if match else None


def read_years(folder: Path) -> tuple[tuple[YearRecord, ...], tuple[Note, ...]]:
    """Return the records of kept years, the oldest first, and which could not be read."""
    records: list[YearRecord] = []
    notes: list[Note] = []
    for name in kept_folders(folder):
        shown = f"{YEARS}/{name}/{RECORD}"
        try:
            check_inside(folder, folder / shown, shown)
            records.append(
                read_record(read_text(folder / shown, shown, MAX_RECORD_BYTES), name)
            )
        except (BadInput, ValueError, OSError) as problem:
            why = str(problem).removeprefix(f"{shown}: ")
            notes.append(
                Note("kept-year-unread", f"{shown} {why}: that year is not set beside this one.",
                     "caution", shown)
            )  # fmt: skip
    return tuple(records), tuple(notes)


def newest_of(records: tuple[YearRecord, ...], year: int) -> YearRecord | None:
    """Return the record of a year as it was corrected last; None where it is not kept."""
    return next((one for one in reversed(records) if one.year == year), None)
