"""One job on one piece of ground, and a name for it that stays."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from quietacre.logbook import id_of

if TYPE_CHECKING:
    import datetime as dt


#: What stands between the label of a job and the number of its part.
PART = " (part "


@dataclass
class Task:
    """One job on one piece of ground. Dates are set here, the day by ``workdays``."""

    uid: str
    area: str
    area_id: str
    kind: str
    task: str
    label: str
    earliest: dt.date
    ideal: dt.date
    latest: dt.date
    minutes: float
    machine: str
    reason: str
    amounts: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    scheduled: dt.date | None = None
    status: str = "planned"  # or "done", "unplaced", "window" (no day is chosen)
    passed: bool = False  # unplaced because its time is over
    on_foot: bool = False
    more_words: tuple[str, ...] = ()  # a strip's patches, for quiet seasons that name them
    due_by: dt.date | None = None  # its own last day, when it is late
    best_was: dt.date | None = None  # and its own best day
    asked: dt.date | None = None  # the day the person asked for
    poor: frozenset[dt.date] = frozenset()  # days that windows, frost or law speak against
    after: list[tuple[str, int]] = field(default_factory=list)  # uid, days at least
    planting: str = ""  # key of the planting that it is a job of
    planted_for: dt.date | None = None  # and the day that was meant for that
    planting_days: tuple[dt.date, ...] = ()  # all of its ground, of the years beside it too
    lasting: str = ""  # what it keeps when its day is moved within its year; else its uid
    whole: str = ""  # of a part, the letters of the whole job
    in_turn: bool = False  # it comes round: its turn says which line of the log it is

    @property
    def letters(self) -> str:
        """Return the letters that a tick or a line of the log knows the job by."""
        return id_of(self.lasting or self.uid)

    @property
    def log_word(self) -> str:
        """Return the word that a line of the log has for it: of a part, its whole label."""
        return self.label if PART in self.label else self.task

    @property
    def job(self) -> tuple[str, dt.date]:
        """Return what the parts of one job have in common, and no two jobs on one ground."""
        return self.label.partition(PART)[0], self.best_was or self.ideal

    @property
    def words(self) -> tuple[str, ...]:
        """Return the words a quiet season may name this ground by."""
        return (self.kind, self.area, *self.more_words)


def uid_of(*parts: str) -> str:
    """Return a name that stays the same from build to build."""
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:20]
