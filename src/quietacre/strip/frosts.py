"""Frost dates that were read in print, by state: what stands beside an assumed season."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from quietacre.days import say_month_day
from quietacre.shipped import cite, rows
from quietacre.windows import states


@dataclass(frozen=True)
class Frost:
    """The mean last and first frost of a part of a state, as printed: (from, to), MM-DD."""

    part: str
    last: tuple[str, str]
    first: tuple[str, str]
    source: str

    def __str__(self) -> str:
        """Return "zone C, central: last April 1, first October 30"."""
        return f"{self.part}: last {_days(self.last)}, first {_days(self.first)}"


@functools.cache
def printed_frosts() -> dict[str, tuple[Frost, ...]]:
    """Return the frost dates of the shipped table, by the two letters of a state."""
    out: dict[str, tuple[Frost, ...]] = {}
    for row in rows("frosts"):
        one = Frost(
            row["part"], (row["last_from"], row["last_to"]),
            (row["first_from"], row["first_to"]), row["source"],
        )  # fmt: skip
        out[row["state"]] = (*out.get(row["state"], ()), one)
    return out


def frost_text(state: str | None) -> str:
    """Return what is printed for a state, or whom to ask where nothing was read."""
    read = printed_frosts().get(state or "", ())
    if not read:
        return "none was read for your state: your county extension office knows yours."
    sources = dict.fromkeys(one.source for one in read)
    return (
        f"printed for {states()[state or ''].name}, {'; '.join(map(str, read))} "
        f"({'; '.join(map(cite, sources))})."
    )


def _days(span: tuple[str, str]) -> str:
    first, last = span
    day_text = say_month_day(first)
    return day_text if first == last else f"{day_text} to {say_month_day(last)}"
