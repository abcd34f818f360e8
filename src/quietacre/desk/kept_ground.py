"""The ground as it was measured last, by the desk or a build, kept for the next opening of its place.

It is told by the sum of all that the measuring reads, so it is of no use once any of it changed;
and what is shown of it is held against a new measuring all the same.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from typing import TYPE_CHECKING, NamedTuple

from quietacre import __version__
from quietacre.desk import places
from quietacre.desk.kept_file import kept_file
from quietacre.export.atomic import write_atomic
from quietacre.intake.plain_settings import plain_settings
from quietacre.kept_years import RECORD, YEARS
from quietacre.logbook import LOG, SEEN_FILE
from quietacre.model import MARKS, OUT, SETTINGS_FILE, TRANSECTS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from quietacre.measure.records import Measured

#: What is read beside the settings and the files they name.
LISTS = (SETTINGS_FILE, LOG, SEEN_FILE.name, MARKS, TRANSECTS)
#: A place with more to read than this is measured at each opening. [bytes]
MOST_BYTES = 64_000_000
#: And no larger answer is kept. [bytes]
MOST_KEPT_BYTES = 16_000_000


class Kept(NamedTuple):
    """The ground of a place as JSON, and the sum of what it was measured by."""

    sum: str
    ground: str


def inputs_sum(folder: Path) -> str:
    """Return what would change with anything that the ground is measured by.

    It is "" where that cannot be told: settings that are no TOML, plug-ins that read what
    they like, files that go away meanwhile, more than ``MOST_BYTES``.
    """
    settings = plain_settings(folder)
    if settings is None or settings.get("use"):
        return ""
    told = hashlib.sha256(f"{__version__} {folder}".encode())
    left = MOST_BYTES
    try:
        for path in sorted(_read_of(folder, settings)):
            size = path.stat().st_size
            left -= size
            if left < 0:
                return ""
            told.update(f"\n{path} {size} ".encode(errors="surrogateescape"))
            told.update(path.read_bytes())
        # names alone count too: copies of a sync service, files that were not there before
        names = sorted(path.name for path in folder.iterdir() if path.name != OUT)
        told.update("\n".join(names).encode(errors="surrogateescape"))
    except (OSError, ValueError):
        return ""
    return told.hexdigest()


def _read_of(folder: Path, settings: Mapping[str, object]) -> set[Path]:
    """Return the files that measuring a place may read, and what lies beside them by their stem."""
    found = {path for name in LISTS if (path := folder / name).is_file()}
    found.update(path for path in folder.glob(f"{YEARS}/*/{RECORD}") if path.is_file())
    for text in _texts(settings):
        if "\n" in text or len(text) > 1000:  # noqa: PLR2004 - no name of a file
            continue
        path = folder / text
        if path.is_file():
            beside = f"{path.stem}."
            found.update(
                one
                for one in path.parent.iterdir()
                if one.name.startswith(beside) and one.is_file()
            )
    return found


def _texts(settings: object) -> Iterator[str]:
    """Yield every text of settings, however deep (a list of what is left: tables go very deep)."""
    left = [settings]
    while left:
        value = left.pop()
        if isinstance(value, str):
            yield value
        elif isinstance(value, dict):
            left.extend(value.values())
        elif isinstance(value, list):
            left.extend(value)


def kept_ground(folder: Path) -> Kept | None:
    """Return the kept ground of a place, if nothing it was measured by has changed."""
    try:
        kept = json.loads(kept_file(folder).read_text(encoding="utf-8"))
        mine = Kept(kept["sum"], kept["ground"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return mine if mine.sum and mine.sum == inputs_sum(folder) else None


def keep_measured(folder: Path, was: str, measured: Measured) -> None:
    """Keep ground that was measured for a build; ``was`` is the sum from before it."""
    from quietacre.desk.ground import ground_told

    if was:
        keep_ground(folder, Kept(was, json.dumps(ground_told(measured), allow_nan=False)))


def keep_ground(folder: Path, mine: Kept) -> None:
    """Keep the ground of a place, and let go of places that are not known any more.

    Nothing is kept if what it was measured by has changed since its sum was told. A full disk
    keeps nothing, and the next opening measures.
    """
    if not mine.sum or len(mine.ground) > MOST_KEPT_BYTES or mine.sum != inputs_sum(folder):
        return
    from pathlib import Path

    path = kept_file(folder)
    known = {kept_file(Path(place["folder"])) for place in places.known_places()}
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_atomic(path, json.dumps(mine._asdict()))
        for other in set(path.parent.glob("*.json")) - known - {path}:
            other.unlink(missing_ok=True)
