"""Jobs chosen for a list: one person's, one machine's, of one piece of ground, of some days."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.errors import YearProblem
from quietacre.model import folded
from quietacre.words import box_and_line

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence
    from typing import Literal

    from quietacre.year.records import YearTask


@dataclass(frozen=True)
class Wanted:
    """What a list is of: open jobs from ``first`` to ``last``, of whom and what by; "" for all."""

    first: dt.date
    last: dt.date
    who: str = ""
    machine: str = ""
    area: str = ""


@dataclass(frozen=True)
class Chosen:
    """The jobs of a list in order of days, what stands above them, and what is to be said."""

    tasks: tuple[YearTask, ...]
    title: str
    about: tuple[str, ...]
    who: str = ""


def choose(tasks: Sequence[YearTask], wanted: Wanted) -> Chosen:
    """Return the open jobs of a list.

    Where property.toml gives no job to anybody, a list for one person has every job of its
    days, and says so.

    Parameters
    ----------
    tasks : jobs of the year.
    wanted : what the list is of.

    Raises
    ------
    YearProblem
        No job is that person's or that machine's, or none is on that ground.
    """
    open_ = [task for task in tasks if _is_open(task)]
    about: list[str] = []
    if wanted.area:
        open_ = _named(open_, "area", wanted.area, "is planned on", "--area")
    who = wanted.who
    if who and not any(task.who for task in open_):
        about.append(
            "Nothing says yet who does what, so these are all jobs of the days chosen; "
            + box_and_line("area", "who", "who of an area, a task or a round")
            + " says it."
        )
    elif who:
        free = [t for t in open_ if not t.who and _in(t, wanted)]
        open_ = _named(open_, "who", who, "is for", "--who")
        who = open_[0].who or ""
        if free:
            more = f"{len(free)} more jobs of these days are" if len(free) > 1 else "1 more job of these days is"  # fmt: skip
            about.append(f"{more} nobody's by what is said, and not on this list.")
    if wanted.machine:
        open_ = _named(open_, "machine", wanted.machine, "is for the", "--machine")
    # jobs of one day on one piece of ground stay as the year has them: what comes first, first
    chosen = sorted(
        (task for task in open_ if _in(task, wanted)),
        key=lambda task: (_day(task), task.area),
    )
    late = [task for task in open_ if task.state == "not possible"]
    if late:
        jobs = "; ".join(f"{t.area}: {t.label}" for t in late[:3])
        about.append(
            f"{len(late)} without a day, and so not on this list: {jobs}"
            + (" and more." if len(late) > 3 else ".")  # noqa: PLR2004 - those named
        )
    return Chosen(tuple(chosen), _title(wanted, who), tuple(about), who)


def _is_open(task: YearTask) -> bool:
    return task.status != "done" and task.state not in ("done", "missed")


def _day(task: YearTask) -> dt.date:
    return task.scheduled or task.earliest


def _in(task: YearTask, wanted: Wanted) -> bool:
    """Return whether a job, or its window, falls into the days chosen."""
    if task.state == "not possible":
        return False
    if task.scheduled:
        return wanted.first <= task.scheduled <= wanted.last
    return task.earliest <= wanted.last and task.latest >= wanted.first


def _named(
    tasks: Iterable[YearTask],
    key: Literal["area", "who", "machine"],
    name: str,
    word: str,
    source: str,
) -> list[YearTask]:
    """Return the jobs whose ground, person or machine goes by a name."""
    some = [(task, getattr(task, key) or "") for task in tasks]
    named = [task for task, called in some if folded(called) == folded(name)]
    if named:
        return named
    known = ", ".join(sorted({called for _, called in some if called}))
    raise YearProblem(
        f"no open job of the year {word} {name}",
        fix=f"take one of: {known}" if known else "nothing is planned", source=source,
    )  # fmt: skip


def _title(wanted: Wanted, who: str) -> str:
    """Return what stands above a list: "Tom's jobs, mower, July 3 to July 16, 2027"."""
    whose = f"Jobs for {who}" if who else "Jobs"
    parts = [whose, *([wanted.machine] if wanted.machine else [])]
    parts += [wanted.area] if wanted.area else []
    if wanted.first == wanted.last:
        parts.append(f"{wanted.first:%A}, {say_day(wanted.first, year=True)}")
    else:
        parts.append(f"{say_day(wanted.first)} to {say_day(wanted.last, year=True)}")
    return ", ".join(parts)
