"""A cut that was missed: the vine has run since the last one in the log, not since the plan's."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.figures import feet
from quietacre.quiet import DAY
from quietacre.record.words import CUT
from quietacre.strip.cuts import next_open
from quietacre.strip.growth import effective_days

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence

    from quietacre.quiet import Season as Quiet
    from quietacre.settings import Work
    from quietacre.strip.cuts import Cut
    from quietacre.strip.width import Case

#: A cut longer ago says nothing of this year's vine.
MOST_AGO_DAYS = 366
#: A cut so much before its window is that cut all the same.
NEAR = 7 * DAY


@dataclass(frozen=True)
class Missed:
    """A cut that the log has not: ``case`` is what the strip must hold since the last it has.

    That is the plan's own case where that asks for more. ``label`` and ``last`` are of the
    cut that was missed last.
    """

    case: Case
    since: dt.date
    next_cut: dt.date
    label: str
    last: dt.date

    def words(self, strip: str, today: dt.date, width_ft: float) -> tuple[str, str]:
        """Return what happened, and what it asks for and who has to look."""
        ago = (today - self.since).days
        return (
            f"the {self.label} of “{strip}”, by {say_day(self.last)}, was missed",
            f"the last cut in the log is {ago} days old ({say_day(self.since, year=True)}), and the next can be on "
            f"{say_day(self.next_cut, year=True)}. The strip asks for {feet(width_ft)}, and the "
            "vine may be across: send someone to walk the outer edge, pull what "
            "has rooted beyond it, and write both the pulling and the cut into the log.",
        )


def missed_cut(
    case: Case, planned: Iterable[Cut], logged: Iterable[dt.date], today: dt.date, words: Sequence[str],
    quiet_seasons: Sequence[Quiet], work: Work,
) -> Missed | None:  # fmt: skip
    """Return the gap since the last logged cut when one that was planned since is missing.

    Parameters
    ----------
    case : what the width is worked out for as planned; ``planned`` are its cuts.
    logged : days of the strip's cuts; those after ``today`` are not counted. Without one
        in the year before ``today`` there is nothing to go by, and the plan's dates stand.
    words, found, work : what quiet seasons name the strip by, the seasons, the workdays:
        they say when the next cut can be.
    """
    past = [day for day in logged if 0 <= (today - day).days <= MOST_AGO_DAYS]
    if not past:
        return None
    since = max(past)
    over = [
        cut for cut in planned
        if cut.task == CUT and cut.latest < today and since < cut.earliest - NEAR
    ]  # fmt: skip
    if not over:
        return None
    last = max(over, key=lambda cut: cut.latest)
    soon = next_open(today, words, quiet_seasons, work)
    real = replace(case, last_cut=since, next_cut=soon)
    longer = effective_days(since, real.until, case.season) > effective_days(
        case.last_cut, case.until, case.season
    )
    return Missed(real if longer else case, since, soon, last.label, last.latest)
