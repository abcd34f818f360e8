"""What is sown, spread and sprayed on a piece of ground, as its sheet has it."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from quietacre.export.plat import SOFT
from quietacre.export.quantities import day
from quietacre.figures import money, number
from quietacre.report_records import StripReport
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.export.paper import Column
    from quietacre.export.quantities import Say
    from quietacre.export.sheets.book import Book
    from quietacre.need.done import Done
    from quietacre.need.records import FertilizerLine, SeedLine, SprayLine
    from quietacre.need.spray import TankPlan
    from quietacre.report_records import Piece

Line = TypeVar("Line", "SeedLine", "FertilizerLine")


def write_amounts(book: Book, column: Column, piece: Piece) -> None:
    """Write what a piece of ground takes: seed, fertilizer, lime, sprays, and what it costs."""
    say, need = book.say, piece.need
    if not need:
        return
    if need.done:
        _done(say, column, need.done)
    plantings = () if isinstance(piece, StripReport) else piece.plantings
    called = {row.key: row.mix for row in plantings} if len(plantings) > 1 else {}
    for seed in _by_planting(need.seed):
        _sow(book, column, seed)
    for spread in _by_planting(need.fertilizer):
        _spread(say, column, spread, called.get(spread[0].planting or ""))
    if lime := need.lime:
        column.head("Lime")
        column.text(say.tons(lime.ton) + (f" of {lime.product}" if lime.product else ""))  # fmt: skip
        column.text(lime.text, soft=True)
    for spray in need.spray:
        _spray(say, column, spray, piece.size.acres)
    if need.setting:
        column.head("Set the machine")
        for line in need.setting:
            column.text(line)
    cost, cost_ac = need.cost, need.cost_ac
    if cost and cost_ac is not None:
        column.text(f"Cost: {money(cost)} ({say.cost_of_area(cost_ac)})")


def _done(say: Say, column: Column, done: Sequence[Done]) -> None:
    """Write what the log says went on already; the amounts below it are what is left."""
    column.head("Done already, by the log; below is what is left")
    rows = []
    for d in done:
        pack = SHORT_TON_LB if d.what == "lime" else None
        needed = "" if d.needed is None else say.needed(d.needed, d.unit, pack)
        rows.append(
            (
                d.item,
                say.needed(d.amount, d.unit, pack),
                needed,
                day(d.days[-1]),
            )
        )
    column.table(("what", "done", "of", "last"), rows, (4, 3, 3, 6))


def _by_planting(rows: Sequence[Line]) -> list[list[Line]]:
    """Return rows in groups, those of one planting of the ground together."""
    groups: dict[str, list[Line]] = {}
    for row in rows:
        groups.setdefault(row.planting or "", []).append(row)
    return list(groups.values())


def _sow(book: Book, column: Column, seed: Sequence[SeedLine]) -> None:
    """Write the seed of a mix, and the planting windows of its crops."""
    say = book.say
    column.head(f"Sow: {seed[0].mix}, {seed[0].method}")
    rows = []
    for s in seed:
        pack = book.packs.get(s.crop)
        bags = f"{number(s.lb / pack, 1)} of {say.pack(pack, 'lb')}" if pack else ""
        rows.append((s.crop, say.rate(s.bulk_lb_ac), say.pounds(s.lb), bags))
    column.table(("seed", "rate", "pour", "bags"), rows, (5, 3.2, 3, 4))
    known = book.report.crops
    own = [f" (your own window {s.own_window})" if s.own_window else "" for s in seed]
    lines = [
        f"{s.crop} {known[s.crop][0]}{window}"
        for s, window in zip(seed, own, strict=True)
        if s.crop in known
    ]
    if lines:  # the rest of what is known of a crop stands with the cautions
        column.text(
            f"{'; '.join(lines)}. The numbers are those of “What is sown”.",
            size=8,
            soft=True,
        )


def _spread(
    say: Say, column: Column, spread: Sequence[FertilizerLine], mix: str | None = None
) -> None:
    """Write the fertilizer of a planting, what is spread later too."""
    column.head("Spread" + (f" for {mix}" if mix else ""))
    rows = [
        (f.grade + (" (later)" if f.when == "top-dressing" else ""), say.rate(f.lb_ac), say.pounds(f.lb),
         f"{number(f.bags_exact, 1)} of {say.pack(f.bag_lb, 'lb')}" if f.bag_lb else "")
        for f in spread
    ]  # fmt: skip
    column.table(("product", "rate", "pounds", "bags"), rows, (5, 3.2, 3, 4))


def _spray(say: Say, column: Column, spray: SprayLine, acres: float) -> None:
    """Write a spray: its tanks, its product, what to wear and what to mind."""
    tank = spray.tank
    column.head(f"Spray: {tank.name}")
    share = spray.share
    whole = say.acres(acres)
    part = (
        f" ({number(100 * share)} % of its {whole}, the share you wrote)"
        if share < 1
        else ""
    )
    column.text(
        f"{say.gallons(tank.gal)} on {say.acres(spray.acres)}{part}: "
        f"{say.amount(tank.product, tank.unit)} of product; {tanks(tank, say)}"
    )
    if tank.loads_full:
        last = say.amount(tank.product_last_load, tank.unit)
        column.text(
            f"A full tank takes {say.amount(tank.product_per_load, tank.unit)}"
            + (f", the last {last}" if tank.last_load_gal > 0 else "")
            + " of product.",
            soft=True,
        )
    column.text(f"Wear: {tank.ppe or 'what the label lists'}", soft=True)
    for caution in tank.cautions:
        column.text(caution, bar=SOFT)


def tanks(tank: TankPlan, say: Say) -> str:
    """Return how often a tank is filled, and with how much the last time."""
    full, last = tank.loads_full, tank.last_load_gal
    whole = [f"{full} full tank{'' if full == 1 else 's'}"] if full else []
    part = [("" if full else "one part tank of ") + say.gallons(last)] if last > 0 else []
    return " and ".join(whole + part)
