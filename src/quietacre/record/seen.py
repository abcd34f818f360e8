"""What was seen: the lines of seen.csv, taken back, named and sorted.

Counts are what somebody saw on a day, never how many there are: no number of animals is worked
out of them. Nothing seen is a record too.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.intake.log import figure
from quietacre.logbook import SEEN_FILE
from quietacre.model import Note, folded
from quietacre.record.book import Names, without_undone
from quietacre.shipped import rows

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from quietacre.model import Job
    from quietacre.settings import Property

#: What is none of the kinds that the shipped table has words for.
OTHER = "other"
#: Numbers that people write as words.
COUNTS = {
    "no": 0, "none": 0, "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5,
    "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_WORD = re.compile(r"[^\W\d_]+|\d+(?:\.\d+)?")


@dataclass(frozen=True)
class Sighting:
    """One thing seen on a day: where, of which kind, and how many when that was said."""

    on: dt.date
    area: str
    kind: str
    count: float | None
    line: Job


@functools.cache
def _kinds() -> dict[str, str]:
    return {row["word"]: row["kind"] for row in rows("seen_words")}


def kind_of(what: str) -> str:
    """Return the kind that words of the field stand for: the first one known."""
    words = _WORD.findall(folded(what))
    return next((kind for word in words if (kind := _kinds().get(word))), OTHER)


def counted(text: str) -> tuple[str, int | None]:
    """Return what was seen and how many, of "3 deer"; no count where none or several are said."""
    words = text.split()
    numbers = [
        word for word in _WORD.findall(folded(text)) if word.isdigit() or word in COUNTS
    ]
    if len(words) > 1 and len(numbers) == 1 and folded(words[0]) == numbers[0]:
        number = numbers[0]
        count = int(number) if number.isdigit() else COUNTS[number]
        return " ".join(words[1:]), count
    return text.strip(), None


def numbers_in(text: str) -> int:
    """Return how many numbers words hold: of more than one, none is the count."""
    words = _WORD.findall(folded(text))
    return sum(word.replace(".", "").isdigit() for word in words)


def seen_of(
    jobs: Sequence[Job], prop: Property, today: dt.date
) -> tuple[tuple[Sighting, ...], tuple[Note, ...]]:
    """Return what was seen, the newest first, and what is to be said of the file.

    Parameters
    ----------
    jobs : the lines of seen.csv.
    prop : gives the names that ground has and had.
    today : lines of a later day are told, and do not count.
    """
    left, notes = without_undone(jobs, SEEN_FILE.name)
    names = Names.of(prop.area)
    known = set(names.now.values())
    seen = []
    for job in left:
        if job.on > today:
            notes.append(_note(f"line {job.line} is dated {job.on}, a day still to come"))
            continue
        for area in names.areas_of(job.area) if job.area else ("",):
            if area and area not in known:
                notes.append(
                    _note(
                        f"line {job.line}: “{area}” is no ground here, so it stands on no card"
                    )
                )
            count = figure(job.cells.get("count", ""))
            seen.append(Sighting(job.on, area, kind_of(job.task), count, job))
    seen.sort(key=lambda one: (one.on, one.line.line), reverse=True)
    return tuple(seen), tuple(notes)


@dataclass(frozen=True, slots=True)
class Seen:
    """What somebody saw on a day, as it is told; ``count`` is None when it was not said."""

    on: dt.date
    area: str
    kind: str
    what: str
    count: float | None
    time: str | None
    place: str | None
    who: str | None
    note: str | None


def seen_told(one: Sighting) -> Seen:
    """Return a sighting as it is told."""
    cells = one.line.cells
    return Seen(
        on=one.on,
        area=one.area,
        kind=one.kind,
        what=one.line.task,
        count=one.count,
        time=cells.get("time"),
        place=cells.get("place"),
        who=cells.get("who"),
        note=cells.get("note"),
    )


def _note(text: str) -> Note:
    return Note("seen", f"{SEEN_FILE.name}: {text}.", "caution", SEEN_FILE.name)
