"""How much to plant: acres by kind, the published ranges, and what deer would eat."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from quietacre.errors import NeedProblem
from quietacre.need.exclosure import browse
from quietacre.need.tables import number
from quietacre.shipped import cite, rows

if TYPE_CHECKING:
    import pandas as pd

    from quietacre.settings import Forage

SHARE = "share"


def forage_balance(
    deer: float, intake_lb_day: float, days: float, yield_lb_ac: float, utilisation: float,
    acres: float,
) -> dict[str, Any]:  # fmt: skip
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
        verdict = f"{needed:.1f} ac would feed them"
    elif given >= eaten:
        verdict = f"enough: {given / eaten:.2f} times what they would eat"
    else:
        verdict = f"short by {eaten - given:,.0f} lb: {needed - acres:.1f} ac more would do"
    return {
        "eaten_lb": eaten, "given_lb": given, "balance_lb": given - eaten,
        "acres_needed": needed, "acres": acres, "deer_days_ac": usable / intake_lb_day,
        "text": f"{deer:g} deer × {intake_lb_day:g} lb × {days:g} days = {eaten:,.0f} lb; "
        f"{acres:.2f} ac × {yield_lb_ac:g} lb × {utilisation:g} = {given:,.0f} lb: {verdict}",
    }  # fmt: skip


def published_ranges() -> list[dict[str, Any]]:
    """Return what agencies print on shares, sizes and intake, each with its source."""
    return [
        {
            "measure": row["measure"], "low": number(row["low"]), "high": number(row["high"]),
            "unit": row["unit"], "text": row["text"], "source": cite(row["source"]),
        }
        for row in rows("how_much")
    ]  # fmt: skip


def range_line(row: dict[str, Any]) -> str:
    """Return a printed range in one line, with its source."""
    low, high = row["low"], row["high"]
    span = f"{low:g}-{high:g}" if high else f"{low:g} or more"
    yours = f"; yours is {row['verdict']} it" if row.get("verdict") else ""
    return f"{span} {row['unit']}: {row['text']} ({row['source']}){yours}"


def _beside(row: dict[str, Any], share: float | None, property_acres: float | None) -> None:
    """Set the planted share beside a printed range of it."""
    row["share_pct"] = [row["low"], row["high"]]
    if property_acres:
        row["acres"] = [row[end] / 100 * property_acres for end in ("low", "high")]
    if share is not None:
        over = "over" if share > row["high"] else "within"
        row["verdict"] = "under" if share < row["low"] else over


def how_much(
    areas: pd.DataFrame, property_acres: float | None, forage: Forage | None
) -> dict[str, Any]:
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
    ranges = published_ranges()
    for row in ranges:
        if row["measure"] != SHARE:
            continue
        _beside(row, share, property_acres)
    lines = [f"{kind}: {acres:.2f} ac" for kind, acres in by_kind.items()]
    if share is not None:
        lines.append(
            f"plots are {share:.1f} % of the {property_acres:.1f} ac of the property"
        )
    lines += [range_line(row) for row in ranges]
    balance = None
    clipped = None
    if forage is not None:
        grown = forage.yield_lb_ac
        if forage.clips is not None:
            clips = forage.clips
            found = browse(clips.inside_g, clips.outside_g, clips.area_ft2, clips.dry_frac)
            clipped = {**dataclasses.asdict(found), "text": found.lines()}
            lines += found.lines()
            grown = found.grown_lb_ac if grown is None else grown
        balance = forage_balance(
            forage.deer, forage.intake_lb_day, forage.days, grown or 0.0,
            forage.utilisation, planted,
        )  # fmt: skip
        lines.append(balance["text"])
    return {
        "planted_acres": planted, "property_acres": property_acres, "share_pct": share,
        "acres_by_kind": by_kind, "ranges": ranges, "forage": balance,
        "clipped": clipped, "text": lines,
    }  # fmt: skip
