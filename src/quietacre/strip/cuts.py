"""When a strip is cut: the one set of rules that its width and the year both go by.

While the vine runs it is cut every two weeks, or as often as the width asks. Round a quiet
span in which it runs there is an inspection, a last cut on the last days that the person
has before it, and afterwards a walk-and-pull and a first cut. The width is worked out from
the earlier of the days the last cut may have to the latest that weather can make the next.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import month_day, on_year
from quietacre.quiet import DAY, Season, Span, open_after, shut_by, spans
from quietacre.record.words import CUT
from quietacre.strip.growth import BASE, effective_days, runs
from quietacre.strip.growth import Season as Growth
from quietacre.workweek import MOST_DAYS, is_workday

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Sequence

    from quietacre.settings import PropertyInfo, StripSettings, Work

#: Two weeks between cuts weakens the vine: AgEcon Search, record 258915, 1993.
ROUTINE_DAYS = 14
#: No plan cuts oftener than the person has weekends.
LEAST_DAYS = 7
#: A routine cut may come this much sooner or later: some weekend always lies in between.
SLACK_DAYS = 5
#: The edge is walked this long before the last cut, at most. Common practice, no source.
LOOK_DAYS = 6
#: Workdays one after another that are still a weekend.
LONGEST_WEEKEND = 3
#: A date of the person's own belongs to the quiet span it lies so near to.
NEAR_DAYS = 60


#: The walk over all of a strip after a quiet season.
PULL = "walk and pull"


@dataclass(frozen=True)
class Cut:
    """One job on a strip: its window, and a key that stays the same from plan to plan."""

    key: str
    task: str
    label: str
    reason: str
    earliest: dt.date
    ideal: dt.date
    latest: dt.date


@dataclass(frozen=True)
class Around:
    """The cuts on either side of a quiet span: first and last day each may have."""

    span: Span
    last_cut: tuple[dt.date, dt.date]
    next_cut: tuple[dt.date, dt.date]


def growth_of(place: PropertyInfo, degree_days: tuple[float, ...] | None = None) -> Growth:
    """Return when growth runs on this property: by its frost dates where it gives them."""
    frosts = [
        base if text is None else month_day(text)
        for text, base in (
            (place.last_frost, BASE.last_frost), (place.first_frost, BASE.first_frost),
        )
    ]  # fmt: skip
    return Growth(frosts[0], frosts[1], degree_days)


def words_of(kind: str, patches: Sequence[str], strip: str) -> tuple[str, ...]:
    """Return the words a quiet season may name a strip by: its own, its patches', "strip"."""
    return (kind, *patches, "strip", strip)


def around(
    span: Span, words: Sequence[str], quiet_seasons: Sequence[Season], work: Work,
    own: StripSettings,
) -> Around:  # fmt: skip
    """Return the cuts round a quiet span, on days the person has.

    The last cut may have the last two workdays before the span when they adjoin (a
    weekend); the next one, any day from the first workday after it until weather has made
    it slip by ``own.slip_days``. ``own.last_cut`` and ``own.next_cut`` stand in for them.
    """
    if own.last_cut is not None and _near(own.last_cut, span.first):
        last_cut = (own.last_cut, own.last_cut)
    else:
        late = _free(span.first - DAY, -DAY, words, quiet_seasons, work)
        run = [late - n * DAY for n in range(LONGEST_WEEKEND + 1)]
        mine = [
            is_workday(day, work) and not shut_by(day, words, quiet_seasons) for day in run
        ]
        # of a weekend the day before will do too; who has every day has the eve itself
        early = run[1] if mine[1] and not all(mine) else late
        last_cut = (early, late)
    if own.next_cut is not None and _near(own.next_cut, span.last):
        soon = own.next_cut
    else:
        soon = _free(span.last + DAY, DAY, words, quiet_seasons, work)
    return Around(span, last_cut, (soon, soon + own.slip_days * DAY))


def _free(
    day: dt.date, step: dt.timedelta, words: Sequence[str], quiet_seasons: Sequence[Season],
    work: Work,
) -> dt.date:  # fmt: skip
    """Return the first open workday from ``day`` on in steps; ``day`` when there is none."""
    look = day
    while abs((look - day).days) < MOST_DAYS:
        if is_workday(look, work) and not shut_by(look, words, quiet_seasons):
            return look
        look += step
    return day


def next_open(
    day: dt.date, words: Sequence[str], quiet_seasons: Sequence[Season], work: Work
) -> dt.date:
    """Return the first day from ``day`` on that the person has and no season shuts.

    The first open day when none of the person's is found within two months after it.
    """
    return _free(open_after(day, words, quiet_seasons), DAY, words, quiet_seasons, work)


def _near(day: dt.date, end: dt.date) -> bool:
    return abs((day - end).days) <= NEAR_DAYS


def _runs_in(span: Span, growth: Growth) -> bool:
    return any(runs(span.first + n * DAY, growth) for n in range(span.days))


def hardest(
    words: Sequence[str], quiet_seasons: Sequence[Season], work: Work, own: StripSettings,
    growth: Growth, today: dt.date,
) -> Around | None:  # fmt: skip
    """Return the quiet span that asks the most of the strip; None without one.

    Spans of this calendar year and those that begin within a year of ``today`` count, and
    only those in which the vine runs: the most growth from its last cut to its next asks
    for the most width. A span that is over stays, so that no width shrinks in its year.
    """
    new_year = today.replace(month=1, day=1)
    coming = [
        around(span, words, quiet_seasons, work, own)
        for span in spans(words, quiet_seasons)
        if new_year <= span.last
        and span.first <= today + 366 * DAY
        and _runs_in(span, growth)
    ]
    return max(
        coming,
        key=lambda one: effective_days(one.last_cut[0], one.next_cut[1], growth),
        default=None,
    )


def dated_cuts(
    words: Sequence[str], quiet_seasons: Sequence[Season], work: Work, own: StripSettings,
    growth: Growth, *, every_days: int, first: dt.date, last: dt.date,
) -> Iterator[Cut]:  # fmt: skip
    """Yield what is done to a strip from the spring of ``first``'s year on, to ``last``.

    The dates hang on the season and the quiet spans, never on the day of the plan: a plan
    made a month later has the same jobs.
    """
    every = min(max(every_days, LEAST_DAYS), ROUTINE_DAYS)
    shut = [around(span, words, quiet_seasons, work, own)
            for span in spans(words, quiet_seasons) if _runs_in(span, growth)]  # fmt: skip
    seen: set[tuple[str, str]] = set()
    for year in range(first.year, last.year + 1):
        for cut in _of_year(year, shut, growth, every):
            # a span across New Year belongs to two years
            if cut.earliest <= last and (cut.key, cut.task) not in seen:
                seen.add((cut.key, cut.task))
                yield cut


def _of_year(
    year: int, shut: Sequence[Around], growth: Growth, every: int
) -> Iterator[Cut]:
    opens, closes = _running(year, growth)
    begin, after_quiet = opens, False
    for one in shut:
        if one.span.last < opens or one.span.first > closes:
            continue
        last_cut = one.last_cut[0]
        yield from _routine(
            year, begin, last_cut, every, after_quiet=after_quiet, evenly=True
        )
        # the first cut after one span is the last before the next when they are so near
        if not after_quiet or (one.last_cut[1] - begin).days >= LEAST_DAYS:
            yield from _before(one)
        yield from _after(one)
        begin, after_quiet = one.next_cut[0], True
    yield from _routine(year, begin, closes + DAY, every, after_quiet=after_quiet)


def _running(year: int, growth: Growth) -> tuple[dt.date, dt.date]:
    """Return the first and the last day on which the vine runs in a year."""
    return on_year(year, *growth.last_frost) + DAY, on_year(year, *growth.first_frost)


def _routine(
    year: int, begin: dt.date, end: dt.date, every: int, *, after_quiet: bool,
    evenly: bool = False,
) -> Iterator[Cut]:  # fmt: skip
    """Yield cuts every so many days in [begin, end); that on ``begin`` may be made already.

    ``evenly`` spreads them so that the step to ``end``, itself a cut, is as long as the rest.
    """
    days = (end - begin).days
    steps = max(round(days / every), 1) if evenly else 0
    slack = min(SLACK_DAYS, (every - 1) // 2) * DAY
    number = 1 if after_quiet else 0
    while True:
        day = begin + round(number * days / steps if evenly else number * every) * DAY
        if day >= end:
            return
        yield Cut(
            f"{year} routine {day:%m-%d}", CUT, "routine strip cut",
            "every two weeks weakened kudzu (AgEcon Search, record 258915, 1993), and is taken for any "
            "vine; four weeks may let nodes root (assumption)",
            day - slack, day, day + slack,
        )  # fmt: skip
        number += 1


def _before(one: Around) -> Iterator[Cut]:
    early, late = one.last_cut
    key = f"before {one.span.first.isoformat()}"
    yield Cut(
        key, "strip inspection", "walk the strip edge, record live nodes",
        f"before {one.span.called}: what is found outside widens the strip",
        early - LOOK_DAYS * DAY, early, late,
    )  # fmt: skip
    yield Cut(
        key, CUT, "last strip cut before the quiet",
        f"as late as it may be before {one.span.called}", early, late, late,
    )  # fmt: skip


def _after(one: Around) -> Iterator[Cut]:
    soon, latest = one.next_cut
    key = f"after {one.span.last.isoformat()}"
    yield Cut(
        key, PULL, "walk the strip, pull rooted runners",
        "before the first mowing after the quiet, while what has rooted can be seen (common practice, "
        "no source)", soon, soon, latest,
    )  # fmt: skip
    yield Cut(
        key, CUT, "first strip cut after the quiet",
        "on your first workday after the quiet; mow inward, toward the patch, so that what is cut off "
        "lies inside", soon, soon, latest,
    )  # fmt: skip
