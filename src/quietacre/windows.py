"""Planting windows: those of the shipped table by state and region, and those a person types.

What a person types, "Aug 15-Oct 1; Feb-Mar", "May", "Jun 1", is cut into clauses at
semicolons, commas and "or"; what stands in brackets is a remark. Months begin with a capital
letter, so that "may winterkill" is no month.
"""

from __future__ import annotations

import calendar
import datetime as dt
import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import LEAP_YEAR, month_day, on_year, say_day
from quietacre.shipped import rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.settings import CropRule, Seed

MonthDayPair = tuple[int, int]
Range = tuple[MonthDayPair, MonthDayPair]

MONTHS = {name: number for number, name in enumerate(calendar.month_abbr) if name}
#: Days of a month that "early", "mid" and "late" mean. Common practice, no source.
PARTS = {"early": (1, 10), "mid": (11, 20), "late": (21, 31)}
#: "about Jun 1", or a lone "Jun 1", is a day to aim at: this much either way. Assumption.
ABOUT_DAYS = 7
#: Words of a window's method that bind that use alone.
ONE_USE = ("grain", "frost seeding", "into sod", "vegetable")
#: Those of them that no other state lends where it prints any other.
NOT_LENT = ("frost seeding", "into sod", "vegetable")
FORMS = "“Sep 1-Oct 15”, “late Aug-early Oct”, “May”, “Jun 1” or “Aug 15-Oct 1; Feb-Mar”"

_MONTH = (
    r"(?:Jan(?:uary)?|Feb(?:ruary)?|Mar(?:ch)?|Apr(?:il)?|May|June?|July?|Aug(?:ust)?|"
    r"Sept?(?:ember)?|Oct(?:ober)?|Nov(?:ember)?|Dec(?:ember)?)"
)
_PART = r"(?:early|mid|late)(?:/(?:early|mid|late))?"
_POINT = rf"(?:{_PART}[ -])?\b{_MONTH}\b\.?(?: \d{{1,2}}\b)?"
_SAYS = re.compile(
    rf"(?:(?P<part>{_PART})[ -])?(?P<month>{_MONTH})\.?(?: (?P<day>\d{{1,2}}))?"
)
_SPAN = re.compile(
    rf"(?P<first>{_POINT})\s*(?:[-–—]|\bto\b|\bthrough\b)\s*(?P<last>{_POINT}|\d{{1,2}}\b)"
)  # fmt: skip
_WEEKS = re.compile(rf"first (?P<weeks>\d) weeks (?:of )?(?P<month>{_MONTH})\b")
_UNTIL = re.compile(rf"\b(?:to|until|by|before) (?:about )?(?P<last>{_POINT})")
_FROM = re.compile(rf"\b(?:from|after) (?:about )?(?P<first>{_POINT})")
_LONE = re.compile(rf"(?P<point>{_POINT})")
#: Clauses that rightly hold no date: the ground decides, the crop does not do there, a remark.
_NO_DATE = re.compile(
    r"\bsoil >?\s*\d+ F\b|\badapted\b|^marginal$|^doubtful\b|^see |^needs |^may ", re.IGNORECASE
)  # fmt: skip
_NUMBERS = re.compile(r"^(\d{2})-(\d{2}) to (\d{2})-(\d{2})$")


@dataclass(frozen=True)
class Window:
    """The (month, day) ranges of a text, both ends inclusive, and the clauses not read.

    A range whose first day comes after its last runs across New Year.
    """

    ranges: tuple[Range, ...]
    unread: tuple[str, ...]


def read_window(text: str) -> Window:
    """Return the ranges of a planting window, and what of it could not be read."""
    ranges: list[Range] = []
    unread: list[str] = []
    plain = re.sub(r"\([^)]*\)|\[[^\]]*\]", " ", text)
    for piece in re.split(r"[;,]|\bor\b", plain):
        clause = " ".join(piece.split())
        if not clause:
            continue
        try:
            read = _clause(clause)
        except ValueError:  # there is no June 31
            read = []
            unread.append(clause)
            continue
        if not read and not _NO_DATE.search(clause):
            unread.append(clause)
        ranges += read
    return Window(tuple(ranges), tuple(unread))


@dataclass(frozen=True)
class State:
    """A state, by its two letters, and the planting regions that it has part in."""

    code: str
    name: str
    regions: frozenset[str]


@dataclass(frozen=True)
class Printed:
    """One planting window as a source prints it for a state, or for regions.

    Without ``first`` nothing is ruled out before ``last``, and the other way round; without
    either the source names a sign on the ground, such as warm soil, and no date.
    """

    crop: str
    state: str  # two letters; blank when printed for regions
    regions: frozenset[str]  # part of the state, or the regions; empty for a whole state
    first: MonthDayPair | None
    last: MonthDayPair | None
    method: str
    words: str  # of the source, where they are no two dates
    source: str

    @property
    def range(self) -> Range | None:
        """Both ends, the open one at the year's; None when the source prints no date."""
        if self.first is None and self.last is None:
            return None
        return self.first or (1, 1), self.last or (12, 31)

    @property
    def one_use(self) -> bool:
        """Whether it is a window of one use or one way only: other sowing is not bound by it."""
        return any(word in self.method for word in ONE_USE)

    @property
    def place(self) -> str:
        """Where it holds: "Georgia, coastal plain", "upper South"."""
        parts = " and ".join(sorted(self.regions))
        if not self.state:
            return parts
        return (
            f"{states()[self.state].name}, {parts}" if parts else states()[self.state].name
        )

    @property
    def when(self) -> str:
        """When it is, with the source's own words: "Sep 21-Oct 31 (late Sep-late Oct)"."""
        say = []
        if self.range is not None:
            first, last = self.first, self.last
            ends = [_say(day) for day in (first, last) if day]
            say.append(
                "-".join(ends)
                if len(ends) > 1
                else f"{'from' if first else 'to'} {ends[0]}"
            )
        remark = "; ".join(part for part in (self.method, self.words) if part)
        return " ".join([*say, f"({remark})"] if remark else say)

    def __str__(self) -> str:
        """Return "Georgia, coastal plain Sep 21-Oct 31 (late Sep-late Oct)"."""
        return f"{self.place} {self.when}"


@functools.cache
def states() -> dict[str, State]:
    """Return the states that figures were read for, by their two letters."""
    return {
        row["state"]: State(row["state"], row["name"], _names(row["regions"]))
        for row in rows("states")
    }


@functools.cache
def printed_windows() -> dict[str, tuple[Printed, ...]]:
    """Return every window of the shipped table by crop."""
    out: dict[str, tuple[Printed, ...]] = {}
    for row in rows("planting_windows"):
        one = Printed(
            row["crop"], row["state"], _names(row["region"]), _month_day(row["start"]),
            _month_day(row["end"]), row["method"], row["printed"], row["source"],
        )  # fmt: skip
        out[one.crop] = (*out.get(one.crop, ()), one)
    return out


def windows_here(
    crop: str, state: str | None = None, region: str | None = None
) -> tuple[Printed, ...]:
    """Return the windows of a crop that hold for a place, as printed.

    Those of its state, then those of its region (or of its state's regions); every one
    that was read when neither is known. Nothing when none was read for there. Where a
    state prints nothing but windows for one use (grain, frost seeding, sod, vegetables),
    its region's others hold too. A window for sod, frost seeding or vegetables is borrowed
    from another state only where no other was read.
    """
    read = printed_windows().get(crop, ())
    if state is None and region is None:
        return read
    own = tuple(
        one for one in read
        if one.state == state and (region is None or not one.regions or region in one.regions)
    )  # fmt: skip
    own = own if state is not None else ()
    if any(not one.one_use for one in own):
        return own
    known = states().get(state or "")
    near = frozenset({region}) if region else known.regions if known else frozenset()
    lent = tuple(one for one in read if near & _regions_of(one) and one.state != state)
    if own:
        return own + tuple(one for one in lent if not one.one_use)
    plain = tuple(one for one in lent if not any(word in one.method for word in NOT_LENT))
    return plain or lent


def windows_of(
    seed: Seed, own: CropRule | None = None, state: str | None = None,
    region: str | None = None,
) -> dict[str, list[Range]]:  # fmt: skip
    """Return the dated planting windows of a crop by where they hold.

    The person's own, where one is given with the seed or under [crop.NAME], stands in for
    those of the table.
    """
    if seed.plant_from and seed.plant_to:
        own_range = (month_day(seed.plant_from), month_day(seed.plant_to))
        return {"your own window": [own_range]}
    if own is not None and own.window:
        return {"your own window": list(read_window(own.window).ranges)}
    ranges_by_crop: dict[str, list[Range]] = {}
    for one in windows_here(seed.crop, state, region):
        if one.range is not None:
            ranges_by_crop.setdefault(one.place, []).append(one.range)
    return ranges_by_crop


def say_windows(
    crop: str, state: str | None = None, region: str | None = None
) -> str | None:
    """Return the windows that hold for a place in words, None when none was read."""
    here = windows_here(crop, state, region)
    return "; ".join(str(one) for one in here) if here else None


def say_place(state: str | None, region: str | None) -> str:
    """Return a place in words: "Alabama, upper South"."""
    known = states().get(state or "")
    name = known.name if known else state
    return ", ".join(part for part in (name, region) if part)


def _say(day: MonthDayPair) -> str:
    return say_day(dt.date(LEAP_YEAR, *day))


def _regions_of(one: Printed) -> frozenset[str]:
    return one.regions or (states()[one.state].regions if one.state else frozenset())


def _names(text: str) -> frozenset[str]:
    return frozenset(text.split(";")) if text else frozenset()


def _month_day(text: str) -> MonthDayPair | None:
    return month_day(text) if text else None


def inside(day: dt.date, ranges: Sequence[Range]) -> bool:
    """Return whether a day lies in one of the ranges, those across New Year included."""
    for low, high in ranges:
        first, last = (on_year(day.year, *end) for end in (low, high))
        if (first <= day <= last) if low <= high else (day >= first or day <= last):
            return True
    return False


def _clause(clause: str) -> list[Range]:
    numbers = _NUMBERS.match(clause)
    if numbers:
        low = _real(int(numbers[1]), int(numbers[2]))
        return [(low, _real(int(numbers[3]), int(numbers[4])))]
    ranges: list[Range] = []
    left = clause
    for match in _SPAN.finditer(clause):
        first = _ends(match["first"])[0]
        last = match["last"]
        end = _real(first[0], int(last)) if last.isdigit() else _ends(last)[1]
        ranges.append((first, end))
    left = _SPAN.sub(" ", left)
    for match in _WEEKS.finditer(left):
        month = MONTHS[match["month"][:3]]
        ranges.append(((month, 1), _real(month, 7 * int(match["weeks"]))))
    left = _WEEKS.sub(" ", left)
    # the table leaves the other end to soil and frost: nothing is ruled out on that side
    ranges += [((1, 1), _ends(match["last"])[1]) for match in _UNTIL.finditer(left)]
    left = _UNTIL.sub(" ", left)
    ranges += [(_ends(match["first"])[0], (12, 31)) for match in _FROM.finditer(left)]
    left = _FROM.sub(" ", left)
    for match in _LONE.finditer(left):
        low, high = _ends(match["point"])
        if low == high:  # a day, not a month
            middle = dt.date(LEAP_YEAR, *low)
            about = dt.timedelta(days=ABOUT_DAYS)
            first_day, last_day = middle - about, middle + about
            low = (first_day.month, first_day.day)
            high = (last_day.month, last_day.day)
        ranges.append((low, high))
    return ranges


def _ends(point: str) -> Range:
    """Return the first and the last day that "Aug", "late Aug" or "Aug 15" means."""
    match = _SAYS.fullmatch(point)
    assert match is not None  # noqa: S101 - the caller matched it
    month = MONTHS[match["month"][:3]]
    most = calendar.monthrange(LEAP_YEAR, month)[1]
    if match["day"]:
        day = _real(month, int(match["day"]))
        return day, day
    if match["part"]:
        parts = [PARTS[word] for word in match["part"].split("/")]
        return (month, parts[0][0]), (month, min(parts[-1][1], most))
    return (month, 1), (month, most)


def _real(month: int, day: int) -> MonthDayPair:
    """Return the day of a month; ValueError when there is none."""
    dt.date(LEAP_YEAR, month, day)
    return month, day
