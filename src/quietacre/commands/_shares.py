"""What was done on several pieces of ground at once: amount, price and minutes, shared out.

One command writes a line for each piece, and what it says was of all of them together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.intake.log import figure
from quietacre.record.moved import KINDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.need.records import Need
    from quietacre.report_records import Piece, Report
    from quietacre.year.records import YearTask

#: Cells that are of all the ground of a command together, and how many decimals a share has.
SHARED = {"amount": 3, "price": 2, "minutes": 0}


@dataclass(frozen=True)
class Shares:
    """The cells of each line, and how they were shared, in words; no words of one line."""

    cells: tuple[dict[str, str], ...]
    words: tuple[str, ...] = ()


def share_cells(
    given: Mapping[str, str], tasks: Sequence[YearTask], report: Report
) -> Shares:
    """Return the cells of a line for each job, what is of all together shared between them.

    Amount and price by what the plan still asks of each, else by acres; minutes by acres.

    Parameters
    ----------
    given : cells as they were typed.
    tasks : jobs of the year, one for each line.
    report : the report that they are of.
    """
    out = [dict(given) for _ in tasks]
    shared = {name: value for name in SHARED if (value := figure(given.get(name, "")))}
    if len(tasks) < 2 or not shared:  # noqa: PLR2004 - one line is not shared
        return Shares(tuple(out))
    ground = {row.name: row for row in report.pieces()}
    acres = [ground[t.area].size.acres if t.area in ground else 0.0 for t in tasks]
    asked = [_asked(t, ground[t.area], given) if t.area in ground else 0.0 for t in tasks]
    words = []
    for name, whole in shared.items():
        by_need = name != "minutes" and all(asked)
        weights = asked if by_need else acres if all(acres) else [1.0] * len(tasks)
        parts = _parts(whole, weights, SHARED[name])
        for cells, part in zip(out, parts, strict=True):
            cells[name] = f"{part:g}"
        shares = ", ".join(
            f"{task.area} {part:,g}" for task, part in zip(tasks, parts, strict=True)
        )
        how = "by what each asks" if by_need else "by acres"
        words.append(f"{name} {whole:,g} is of all of it together, shared {how}: {shares}")
    return Shares(tuple(out), tuple(words))


def _parts(whole: float, weights: Sequence[float], decimals: int) -> list[float]:
    """Return the parts of a figure, rounded so that together they are the whole."""
    out: list[float] = []
    so_far = before = 0.0
    for weight in weights:
        so_far += weight
        upto = (
            round(whole * so_far / sum(weights), decimals)
            if so_far < sum(weights)
            else whole
        )
        out.append(round(upto - before, 6))
        before = upto
    return out


def _asked(task: YearTask, ground: Piece, given: Mapping[str, str]) -> float:
    """Return how much the plan still asks of a piece of ground for a job; 0 when nothing."""
    need, kind = ground.need, KINDS.get(task.task)
    if not need or not kind:
        return 0.0
    if kind == "lime":
        return need.lime.ton if need.lime else 0.0
    return sum(
        amount
        for item, amount in _rows(need, kind, task.planting)
        if given.get("item") in (None, "", item)
    )


def _rows(need: Need, kind: str, planting: str | None) -> Iterator[tuple[str, float]]:
    """Yield item and amount of what one planting takes of a kind."""
    if kind == "spray":
        yield from ((row.tank.name, row.left) for row in need.spray)
    elif kind == "seed":
        for seed in need.seed:
            if planting in (None, seed.planting):
                yield seed.crop, seed.lb
    else:
        for spread in need.fertilizer:
            if planting in (None, spread.planting):
                yield spread.grade, spread.lb
