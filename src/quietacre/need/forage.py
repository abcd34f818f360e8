"""How much to plant: acres by kind, the published ranges, and what deer would eat."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, MEASURES, figure, span_of
from quietacre.need.exclosure import browse
from quietacre.need.tables import number
from quietacre.shipped import cite, rows

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pandas as pd

    from quietacre.need.exclosure import Clipped
    from quietacre.settings import Forage

SHARE = "share"


@dataclass(frozen=True, slots=True)
class ForageBalance:
    """What deer would eat, what plots give, and the acres that would do."""

    eaten_lb: float
    given_lb: float
    balance_lb: float
    acres_needed: float
    acres: float
    deer_days_ac: float
    text: str


@dataclass(frozen=True, slots=True)
class PrintedRange:
    """What an agency prints; a range of the planted share stands beside the property's own.

    ``share_pct`` is that range, ``acres`` what it would be here, ``verdict`` where the
    property's share lies ("under", "within" or "over").
    """

    measure: str
    low: float | None
    high: float | None
    unit: str
    text: str
    source: str
    share_pct: tuple[float, float] | None = None
    acres: tuple[float, float] | None = None
    verdict: str | None = None

    JSON_MAY_LACK: ClassVar = ("share_pct", "acres", "verdict")


@dataclass(frozen=True, slots=True)
class ClippedTold:
    """What clippings say, and the same in words."""

    clipped: Clipped
    text: tuple[str, ...]

    JSON_FLAT: ClassVar = ("clipped",)


@dataclass(frozen=True, slots=True)
class HowMuch:
    """How much is planted, what others print, and what deer would eat of it."""

    planted_acres: float
    property_acres: float | None
    share_pct: float | None
    acres_by_kind: Mapping[str, float]
    ranges: tuple[PrintedRange, ...]
    forage: ForageBalance | None
    clipped: ClippedTold | None
    text: tuple[str, ...]


def forage_balance(
    deer: float, intake_lb_day: float, days: float, yield_lb_ac: float, utilisation: float,
    acres: float,
) -> ForageBalance:  # fmt: skip
    """Return what deer would eat against what plots give them.

    Parameters
    ----------
    deer, intake_lb_day, days : how many, dry matter each takes a day from plots, how
        long. [1, lb/day, day]
    yield_lb_ac, utilisation : dry matter grown in that time, and the part that can be
        eaten, 0 to 1. [lb/ac, 1]
    acres : ground planted. [ac]

    Raises
    ------
    NeedProblem
        A figure is not above zero, or utilisation is above 1.

    Notes
    -----
    Plain arithmetic; every figure is the user's. No default is shipped.
    """
    if min(deer, intake_lb_day, days, yield_lb_ac, utilisation) <= 0 or utilisation > 1:
        raise NeedProblem(
            "the forage balance needs figures above zero, and a utilisation of 1 at most",
            fix="write 50 % as 0.5",
        )
    eaten = deer * intake_lb_day * days
    usable = yield_lb_ac * utilisation
    given = usable * acres
    needed = eaten / usable
    if acres <= 0:
        verdict = f"{figure(needed, 'ac', 1)} would feed them"
    elif given >= eaten:
        verdict = f"enough: {given / eaten:.2f} times what they would eat"
    else:
        more = figure(needed - acres, "ac", 1)
        verdict = f"short by {figure(eaten - given, 'lb', 0)}: {more} more would do"
    return ForageBalance(
        eaten_lb=eaten, given_lb=given, balance_lb=given - eaten,
        acres_needed=needed, acres=acres, deer_days_ac=usable / intake_lb_day,
        text=f"{deer:g} deer × {figure(intake_lb_day, 'lb', AS_IT_IS)} × {days:g} days = "
        f"{figure(eaten, 'lb', 0)}; {figure(acres, 'ac', 2)} × "
        f"{figure(yield_lb_ac, 'lb/ac', AS_IT_IS)} × {utilisation:g} = "
        f"{figure(given, 'lb', 0)}: {verdict}",
    )  # fmt: skip


def published_ranges() -> tuple[PrintedRange, ...]:
    """Return what agencies print on shares, sizes and intake, each with its source."""
    return tuple(
        PrintedRange(
            row["measure"], number(row["low"]), number(row["high"]), row["unit"],
            row["text"], cite(row["source"]),
        )
        for row in rows("how_much")
    )  # fmt: skip


def range_line(row: PrintedRange) -> str:
    """Return a printed range in one line, with its source."""
    span = f"{row.low:g}-{row.high:g}" if row.high else f"{row.low:g} or more"
    told = f"{span} {row.unit}"
    word, of, what = row.unit.partition(" a ")
    if word in MEASURES and row.low is not None:
        told = f"{span_of(row.low, row.high, word)}{of}{what}"
    yours = f"; yours is {row.verdict} it" if row.verdict else ""
    return f"{told}: {row.text} ({row.source}){yours}"


def _beside(
    row: PrintedRange, share: float | None, property_acres: float | None
) -> PrintedRange:
    """Return a printed range with the planted share beside it, where it is one of that."""
    if row.measure != SHARE or row.low is None or row.high is None:
        return row
    low, high = row.low, row.high
    acres = (
        (low / 100 * property_acres, high / 100 * property_acres)
        if property_acres
        else None
    )
    verdict = None
    if share is not None:
        verdict = "under" if share < low else "over" if share > high else "within"
    return dataclasses.replace(row, share_pct=(low, high), acres=acres, verdict=verdict)


def how_much(
    areas: pd.DataFrame, property_acres: float | None, forage: Forage | None
) -> HowMuch:
    """Return acres by kind, the planted share, the ranges and the forage balance.

    Parameters
    ----------
    areas : one row per area with kind and acres [ac].
    property_acres : inside the property line, None when no line is drawn. [ac]
    forage : the deer to feed, None when the user named none.
    """
    by_kind = {
        str(kind): float(acres)
        for kind, acres in areas.groupby("kind")["acres"].sum().items()
    }
    planted = by_kind.get("plot", 0.0)
    share = 100.0 * planted / property_acres if property_acres else None
    ranges = tuple(_beside(row, share, property_acres) for row in published_ranges())
    lines = [f"{kind}: {figure(area_ac, 'ac', 2)}" for kind, area_ac in by_kind.items()]
    if share is not None:
        lines.append(
            f"plots are {share:.1f} % of the {figure(property_acres or 0.0, 'ac', 1)} of the property"
        )
    lines += [range_line(row) for row in ranges]
    balance = None
    clipped = None
    if forage is not None:
        grown = forage.yield_lb_ac
        if forage.clips is not None:
            clips = forage.clips
            eaten = browse(clips.inside_g, clips.outside_g, clips.area_ft2, clips.dry_frac)
            clipped = ClippedTold(eaten, tuple(eaten.lines()))
            lines += eaten.lines()
            grown = eaten.grown_lb_ac if grown is None else grown
        balance = forage_balance(
            forage.deer, forage.intake_lb_day, forage.days, grown or 0.0,
            forage.utilisation, planted,
        )  # fmt: skip
        lines.append(balance.text)
    return HowMuch(
        planted_acres=planted,
        property_acres=property_acres,
        share_pct=share,
        acres_by_kind=by_kind,
        ranges=ranges,
        forage=balance,
        clipped=clipped,
        text=tuple(lines),
    )
