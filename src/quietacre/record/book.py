"""The book of what happened: the lines of the log, taken back, named and sorted.

Each pass is a function of lines; the book keeps them by day, then by line. What is done on
a day counts from that day on.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.kinds import patches_of_strip, strip_name
from quietacre.logbook import EVERYWHERE, LOG, UNDO, job_of
from quietacre.model import Job, Note, folded
from quietacre.record.words import CUT, NO_JOBS, PLANT, TAKES, TOP_DRESS, Words

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.kept_years import YearRecord
    from quietacre.settings import Area, Property

#: Of two jobs that one word stands for, the second is meant when the first was done this
#: long before at most. Common practice, no source.
SAME_WORK_DAYS = 120
#: The ground made round an area, and the end of its name.
MADE = ("strip", "firebreak")
#: Which of them is made round a kind of ground.
MADE_ROUND = dict(zip(("patch", "burn"), MADE, strict=True))
#: How it is said that no ground has a name.
UNKNOWN_GROUND = "names no piece of ground “{}”"


def ground_offered(areas: Sequence[Mapping[str, object]]) -> list[str]:
    """Return the names of the ground there is: pieces, and the strips that are made round them.

    Parameters
    ----------
    areas : as property.toml has them.
    """
    names = [str(area["name"]) for area in areas if "name" in area]
    made = [
        f"{area['name']} {MADE_ROUND[str(area['kind'])]}"
        for area in areas
        if "name" in area and area.get("kind") in MADE_ROUND
    ]
    return names + made


@dataclass(frozen=True)
class Entry:
    """One thing that happened on one piece of ground.

    ``task`` is the job it was, or "buy", "rain" or "remark"; ``job`` the line of the log,
    whose ``task`` is the word as it was typed.
    """

    on: dt.date
    area: str
    task: str
    job: Job
    rain_in: float | None = None  # of a word that says it, such as "rain 0.6"

    @property
    def is_job(self) -> bool:
        """Return whether work was done."""
        return self.task not in NO_JOBS


@dataclass(frozen=True)
class Book:
    """What happened, in order, and what is to be said about the log.

    ``unknown`` holds the entries whose word names no job known so far; a plan may still
    know it as the label of one of its jobs. ``ticks`` are the ids that hold a job's letters,
    and whether the line was taken back. ``settled`` holds amounts by item that lines without
    one were taken for when their year was closed, by day, ground and job.
    """

    entries: tuple[Entry, ...] = ()
    unknown: tuple[Entry, ...] = ()
    notes: tuple[Note, ...] = ()
    ticks: Mapping[str, bool] = field(default_factory=dict)
    settled: Mapping[tuple[str, str, str], Mapping[str, float]] = field(
        default_factory=dict
    )

    def ticked(self) -> dict[str, Entry]:
        """Return the line of each job of the year that has its letters, by those letters."""
        lines = (*self.unknown, *self.entries)
        return {job: line for line in lines if (job := job_of(line.job.id))}

    def days_done(self) -> dict[tuple[str, str], tuple[dt.date, ...]]:
        """Return the days of each finished (area, task), in order, known words or not."""
        days: dict[tuple[str, str], set[dt.date]] = {}
        for entry in (*self.entries, *self.unknown):
            if entry.is_job:
                days.setdefault((entry.area, entry.task), set()).add(entry.on)
        return {key: tuple(sorted(days_here)) for key, days_here in days.items()}

    def of(self, area: str) -> list[Job]:
        """Return the lines on one piece of ground, the newest first."""
        mine = [e for e in (*self.entries, *self.unknown) if e.area == area]
        mine.sort(key=lambda e: (e.on, e.job.line))
        return list({id(e.job): e.job for e in reversed(mine)}.values())

    def named(self, names: Mapping[str, str]) -> Book:
        """Return the book with ground by another name, such as of a strip that is shared."""

        def called(area: str) -> str:
            """Return its name; of a strip round several patches that of theirs, if it is one."""
            parts = {names.get(strip_name([one]), "") for one in patches_of_strip(area)}
            return names.get(area) or (parts.pop() if len(parts) == 1 else "") or area

        def now(entries: Sequence[Entry]) -> tuple[Entry, ...]:
            return tuple(replace(e, area=called(e.area)) for e in entries)

        return replace(self, entries=now(self.entries), unknown=now(self.unknown))

    def cuts(self) -> dict[str, tuple[dt.date, ...]]:
        """Return the days on which each strip was cut, by its name."""
        done = self.days_done()
        return {area: days for (area, task), days in done.items() if task == CUT}

    def one_strip(self) -> dict[tuple[str, ...], dt.date]:
        """Return the last day on which work was done on one strip round several patches."""
        return {
            tuple(patches): max(days)
            for (area, _), days in sorted(
                self.days_done().items(), key=lambda one: max(one[1])
            )
            if len(patches := patches_of_strip(area)) > 1
        }


def book_of(
    jobs: Sequence[Job], prop: Property, kept: Sequence[YearRecord] = ()
) -> Book:  # fmt: skip
    """Return the book of a property's log.

    Parameters
    ----------
    jobs : the lines of the log that could be read, in their order.
    prop : the settings: the names of ground, those it had before, and its own words.
    kept : years that were closed, the oldest first, each before its corrections.
    """
    left, notes = without_undone(jobs)
    standing = {job.id for job in left}
    ticks = {job.id: job.id not in standing for job in jobs if job_of(job.id)}
    left, twice = _each_job_once(left)
    notes += twice
    names = Names.of(prop.area, prop.property.name)
    words = Words.of(prop)
    entries: list[Entry] = []
    unknown: list[Entry] = []
    done: dict[tuple[str, str], dt.date] = {}
    for job in sorted(left, key=lambda job: (job.on, job.line)):
        for area in _ground_of(job, names, words):
            meaning = words.meaning(job.task, names.ground(area))
            if meaning is None:
                unknown.append(Entry(job.on, area, job.task, job))
                continue
            task = _first_open(meaning.tasks, area, job.on, done)
            if task == CUT and names.kinds.get(area) == "patch":
                area = strip_name([area])  # noqa: PLW2901 - a kept patch is not cut, its strip is
            done[area, task] = job.on
            entries.append(Entry(job.on, area, task, job, meaning.rain_in))
    return Book(tuple(entries), tuple(unknown), tuple(notes), ticks, _settled(kept, names))


def _settled(
    kept: Sequence[YearRecord], names: Names
) -> dict[tuple[str, str, str], dict[str, float]]:
    """Return what lines without an amount were taken for, by day, ground and job."""
    newest = {record.year: record for record in kept}
    out: dict[tuple[str, str, str], dict[str, float]] = {}
    for record in newest.values():
        for one in record.renamed(lambda name: names.now.get(folded(name), name)).taken:
            items = out.setdefault((one.on, one.area, one.task), {})
            items[one.item] = items.get(one.item, 0.0) + one.amount
    return out


def _ground_of(job: Job, names: Names, words: Words) -> Iterator[str]:
    """Yield the ground of a line; the whole place is every area, of what is spread there."""
    everywhere = words.meaning(job.task, "") if names.is_everywhere(job.area) else None
    if everywhere and TAKES.issuperset(everywhere.tasks):
        yield from names.kinds
    else:
        yield from names.areas_of(job.area)


def _first_open(
    tasks: Sequence[str], area: str, on: dt.date, done: Mapping[tuple[str, str], dt.date]
) -> str:
    """Return the first of some jobs that was not done lately, else the last of them.

    What was done before the ground was sown was for that planting, and comes again before the
    next; of fertilizer the second time is the top-dressing.
    """
    sown = None if TOP_DRESS in tasks else done.get((area, PLANT))
    for task in tasks:
        before = done.get((area, task))
        over = before is not None and sown is not None and before <= sown
        if before is None or over or (on - before).days > SAME_WORK_DAYS:
            return task
    return tasks[-1]


def without_undone(jobs: Sequence[Job], file: str = LOG) -> tuple[list[Job], list[Note]]:
    """Return the lines that were not taken back, and what is said of the taking back."""
    back = {job.id for job in jobs if folded(job.task) == UNDO and job.id}
    known = {job.id for job in jobs if folded(job.task) != UNDO}
    notes = [
        _note("log-undo", f"line {job.line} takes back a line "
              + (f"with the id “{job.id}”, and none has it" if job.id else "and has no id")
              + ", so it counts for nothing", file)
        for job in jobs
        if folded(job.task) == UNDO and job.id not in known - {""}
    ]  # fmt: skip
    return [j for j in jobs if folded(j.task) != UNDO and j.id not in back], notes


def _each_job_once(jobs: Sequence[Job]) -> tuple[list[Job], list[Note]]:
    """Return the lines with each job of the year once, the earliest, and what is said of it."""
    first: dict[str, Job] = {}
    for job in sorted(jobs, key=lambda job: (job.on, job.id)):
        if letters := job_of(job.id):
            first.setdefault(letters, job)
    left, notes = [], []
    for job in jobs:
        kept = first.get(job_of(job.id), job)
        if kept.id == job.id:
            left.append(job)
            continue
        notes.append(
            _note("log-ticked-twice", f"line {job.line} ({job.area}: {job.task}, "
                  f"{_when(job)}) is the same job as line {kept.line} ({_when(kept)}), ticked "
                  "twice, so it counts once, on the earlier day; if it was done twice, write the second as a "
                  "line of its own")
        )  # fmt: skip
    return left, notes


def _when(job: Job) -> str:
    """Return the day of a line, and who did it."""
    who = job.cells.get("who")
    return say_day(job.on, year=True) + (f", {who}" if who else "")


def _note(code: str, text: str, file: str = LOG) -> Note:
    return Note(code, f"{file}: {text}.", "caution", file)


@dataclass(frozen=True)
class Names:
    """What each piece of ground is called now, by every name it has had; its kind."""

    now: Mapping[str, str]
    kinds: Mapping[str, str]
    place: str = ""

    @classmethod
    def of(cls, areas: Sequence[Area], place: str = "") -> Names:
        """Return the names of some areas, of what is made round them, and of the place."""
        now = {}
        for area in areas:
            for old in (*area.was, area.name):
                now[folded(old)] = area.name
                now |= {folded(f"{old} {made}"): f"{area.name} {made}" for made in MADE}
        return cls(now, {area.name: area.kind for area in areas}, folded(place))

    def is_everywhere(self, typed: str) -> bool:
        """Return whether a cell names the whole place, and no piece of it."""
        name = folded(typed)
        whole = name in EVERYWHERE or (bool(name) and name == self.place)
        return whole and name not in self.now

    def areas_of(self, typed: str) -> Iterator[str]:
        """Yield the ground that a cell names: one name, or several between semicolons."""
        parts = [part.strip() for part in typed.split(";")]
        if folded(typed) in self.now or not all(folded(p) in self.now for p in parts):
            yield self.now.get(folded(typed)) or self._one_strip(typed) or typed
            return
        yield from dict.fromkeys(self.now[folded(part)] for part in parts)

    def _one_strip(self, typed: str) -> str:
        """Return the name now of a strip round several patches, "" of anything else."""
        strips = [folded(strip_name([patch])) for patch in patches_of_strip(typed)]
        if not strips or not all(strip in self.now for strip in strips):
            return ""
        patches = {patches_of_strip(self.now[strip])[0] for strip in strips}
        return strip_name([name for name in self.kinds if name in patches])

    def ground(self, area: str) -> str:
        """Return which words hold on a piece of ground."""
        kind = self.kinds.get(area)
        if kind is None:
            return next((made for made in MADE if folded(area).endswith(made)), "")
        return "strip" if kind == "patch" else kind
