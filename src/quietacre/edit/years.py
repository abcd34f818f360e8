"""A year kept under years/: whole or not at all, and never written over."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.edit.journal import recover
from quietacre.edit.state import place_home, turn
from quietacre.errors import FileProblem
from quietacre.export.atomic import staged_folder, write_synced
from quietacre.intake.years import kept_folders, newest_of, read_years
from quietacre.kept_years import RECORD, YEARS

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping
    from pathlib import Path

    from quietacre.kept_years import YearRecord


@dataclass(frozen=True)
class KeptYear:
    """What became of a year that was to be kept.

    ``name`` is its folder under years/; ``new`` is False where it was kept already and
    nothing of it has changed; ``corrects`` is the folder that it stands beside.
    """

    name: str
    new: bool
    corrects: str | None = None


def keep_year(
    folder: Path, record: YearRecord, files: Mapping[str, bytes], today: dt.date, *,
    state: Path | None = None,
) -> KeptYear:  # fmt: skip
    """Keep a year under years/, or its correction beside it; what is there stays as it is.

    Parameters
    ----------
    folder : the property folder.
    record : the year, as the log tells it now.
    files : what is kept with it, by name.
    today : the day that a correction is named by.
    state : folder for the journals of all places; the person's own when None.

    Raises
    ------
    FileProblem
        years/ is a link or no folder, or the kept year cannot be read.
    OSError
        The file system refused; nothing is left behind.
    """
    real = folder.resolve()
    recover(real, state=state)
    with turn(place_home(real, state), real):
        home = real / YEARS
        if home.is_symlink() or (home.exists() and not home.is_dir()):
            raise FileProblem(
                "is no folder of this place", fix="rename it: closed years are kept in it",
                source=YEARS,
            )  # fmt: skip
        name, corrects = _name(real, record, today)
        if name is None:
            return KeptYear(corrects or "", new=False)
        with staged_folder(home / name) as stage:
            for file, data in files.items():
                write_synced(stage / file, data)
            write_synced(stage / RECORD, record.to_json().encode())
    return KeptYear(name, new=True, corrects=corrects)


def _name(
    folder: Path, record: YearRecord, today: dt.date
) -> tuple[str | None, str | None]:
    """Return the folder to write, None when nothing has changed, and the one it corrects."""
    year = str(record.year)
    before = [name for name in kept_folders(folder) if name[:4] == year]
    if not before and not (folder / YEARS / year).exists():
        return year, None
    kept, notes = read_years(folder)
    newest = newest_of(kept, record.year)
    if newest is not None and not notes and newest.same_as(record):
        return None, newest.kept
    stem, number = f"{year}-corrected-{today.isoformat()}", 2
    name = stem
    while (folder / YEARS / name).exists():
        name, number = f"{stem}-{number}", number + 1
    return name, before[-1] if before else year
