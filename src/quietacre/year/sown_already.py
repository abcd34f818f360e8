"""What a sowing in the log changes of the jobs round it: none before it, and those behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.year.moves import move_on, out_of_season

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Work
    from quietacre.year.task import Task

#: Work on the ground that nobody does any more once it is sown. Lime, fertilizer and a soil
#: test are still worth their while then.
BEFORE_SOWING = frozenset({"clip", "turn under", "second disking", "smooth"})


def sown_already(
    tasks: Sequence[Task], sown_on: dt.date, logged: Collection[str],
    quiet_seasons: Sequence[Season], work: Work,
) -> None:  # fmt: skip
    """Settle, in place, the jobs of a planting that the log has as sown.

    What would prepare the ground from that day on falls away, and what follows is counted
    from the day it was sown.

    Parameters
    ----------
    tasks : the jobs of one planting, each after those it follows.
    sown_on : the day of the log.
    logged : the ids of jobs that the log has.
    """
    plant = next(task for task in tasks if task.task == "plant")
    for task in tasks:
        still = task.task in BEFORE_SOWING and task.latest >= sown_on
        if still and task.uid not in logged:
            task.status = "done"
            task.notes = [
                f"no longer wanted: it was sown on {say_day(sown_on, year=True)}, by the log."
            ]
    asked = plant.asked or plant.ideal
    for task in move_on(tasks, plant, sown_on - asked):
        if task.uid not in logged:
            out_of_season(task, sown_on, quiet_seasons, work)
