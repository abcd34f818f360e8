"""The season before of a planting: over and quiet, but still to be read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import say_day

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.year.planting_season import PlantingSeason
    from quietacre.year.task import Task


@dataclass(frozen=True, slots=True)
class PastJob:
    """A job of a season that is over, and the day it was done; None when it is not in the log."""

    label: str
    done: dt.date | None


@dataclass(frozen=True, slots=True)
class PastSeason:
    """A season of a planting that is over, and its jobs in order of days."""

    area: str
    area_id: str
    year: int
    planting: str
    plant: dt.date
    sown_on: dt.date | None
    text: str
    jobs: tuple[PastJob, ...]


def past_season(
    row: PlantingSeason, tasks: Sequence[Task], done: Mapping[str, dt.date]
) -> PastSeason | None:  # fmt: skip
    """Return a season that is over, None when the log has nothing of it.

    Its jobs stand in order of days. Those that are not in the log are told of a planting that
    comes back each year, for it was planned then as it is now.

    Parameters
    ----------
    row : how far the season came.
    tasks : its jobs.
    done : the day of each that is in the log, by uid.
    """
    kept = [task for task in tasks if task.uid in done or (done and row.returns)]
    if not kept:
        return None
    kept.sort(key=lambda task: done.get(task.uid, task.latest))
    return PastSeason(
        area=row.area,
        area_id=row.area_id,
        year=row.year,
        planting=row.key,
        plant=row.plant,
        sown_on=row.sown_on,
        text=f"season of {row.year}: {_told(row, len(kept), len(done))}",
        jobs=tuple(PastJob(task.label, done.get(task.uid)) for task in kept),
    )


def _told(row: PlantingSeason, jobs: int, done: int) -> str:
    sown = (
        f"sown {say_day(row.sown_on, year=True)}" if row.sown_on else "not sown by the log"
    )
    count = "1 job done" if done == 1 else f"{done} jobs done"
    return f"{sown}; {count}" + (f", {jobs - done} not in the log" if jobs > done else "")
