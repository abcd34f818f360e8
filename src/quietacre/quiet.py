"""Quiet seasons: which days of which years nobody disturbs which ground."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import month_day, on_year

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from quietacre.settings import Quiet

DAY = dt.timedelta(days=1)


@dataclass(frozen=True)
class Season:
    """One quiet season of one year; both ends are inclusive."""

    name: str
    first: dt.date
    last: dt.date
    keeps_out: tuple[str, ...] | None  # None: everything

    @property
    def called(self) -> str:
        """Return "the nesting season", or "the deer season at the stands"."""
        return f"the {self.name}" + ("" if "season" in self.name.casefold() else " season")

    def shuts(self, day: dt.date, words: Iterable[str]) -> bool:
        """Return whether ``day`` is quiet for ground that goes by any of ``words``."""
        if not self.first <= day <= self.last:
            return False
        return self.keeps_out is None or bool(set(self.keeps_out) & set(words))


@dataclass(frozen=True)
class Span:
    """Quiet days one after another for some ground, of one season or several that meet."""

    first: dt.date
    last: dt.date
    seasons: tuple[Season, ...]

    @property
    def days(self) -> int:
        """Return how many days it lasts."""
        return (self.last - self.first).days + 1

    @property
    def called(self) -> str:
        """Return the seasons' names as a person says them."""
        names = list(dict.fromkeys(season.called for season in self.seasons))
        return (
            names[0]
            if len(names) == 1
            else " and ".join((", ".join(names[:-1]), names[-1]))
        )

    @property
    def names(self) -> str:
        """Return the bare names."""
        return ", ".join(dict.fromkeys(season.name for season in self.seasons))


def seasons(quiet: Sequence[Quiet], first_year: int, last_year: int) -> tuple[Season, ...]:
    """Return every season that touches the years, those across New Year included."""
    dated = []
    for rule in quiet:
        for year in range(first_year - 1, last_year + 1):
            start, end = (on_year(year, *month_day(at)) for at in (rule.start, rule.end))
            if end < start:
                end = on_year(year + 1, *month_day(rule.end))
            keeps_out = None if rule.keeps_out == "all" else tuple(rule.keeps_out)
            dated.append(Season(rule.name, start, end, keeps_out))
    return tuple(sorted(dated, key=lambda s: (s.first, s.last, s.name)))


def shut_by(
    day: dt.date, words: Sequence[str], quiet_seasons: Sequence[Season]
) -> Season | None:
    """Return a season that shuts ``day`` for ground of these words, None when open."""
    for season in quiet_seasons:  # asked of every day of a year: most are far from it
        if season.first <= day <= season.last and season.shuts(day, words):
            return season
    return None


def open_before(
    day: dt.date, words: Sequence[str], quiet_seasons: Sequence[Season]
) -> dt.date:
    """Return the last open day on or before ``day``, overlapping seasons included."""
    while (season := shut_by(day, words, quiet_seasons)) is not None:
        day = season.first - DAY
    return day


def open_after(
    day: dt.date, words: Sequence[str], quiet_seasons: Sequence[Season]
) -> dt.date:
    """Return the first open day on or after ``day``, overlapping seasons included."""
    while (season := shut_by(day, words, quiet_seasons)) is not None:
        day = season.last + DAY
    return day


def spans(words: Sequence[str], quiet_seasons: Sequence[Season]) -> tuple[Span, ...]:
    """Return the quiet spans of ground of these words, in order, no two of them touching."""
    out: list[Span] = []
    for season in sorted(quiet_seasons, key=lambda s: (s.first, s.last, s.name)):
        if not season.shuts(season.first, words):
            continue
        if out and season.first <= out[-1].last + DAY:
            before = out.pop()
            season_last = max(before.last, season.last)
            out.append(Span(before.first, season_last, (*before.seasons, season)))
        else:
            out.append(Span(season.first, season.last, (season,)))
    return tuple(out)
