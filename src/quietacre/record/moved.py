"""Lines of the log that moved something: bought, limed, spread, sown, sprayed.

Amounts become pounds or fluid ounces; a bag has the weight its line gives it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from quietacre.intake.log import figure
from quietacre.logbook import log_unit
from quietacre.record.words import BUY, FEED, LIME, PLANT, SPRAY

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    from quietacre.model import Job
    from quietacre.record.book import Book
    from quietacre.record.goods import Goods

#: What a job spreads.
KINDS = {LIME: "lime", PLANT: "seed", SPRAY: "spray", **dict.fromkeys(FEED, "fertilizer")}


@dataclass(frozen=True)
class Line:
    """A line that moved something.

    ``parts`` holds (ground, task) of each piece it names, none of a purchase. ``amount`` is
    in pounds, of ``fluid`` in fluid ounces, None where no amount can be read; ``trouble``
    then says why, blank where nobody wrote one. ``item`` is the property's own name.
    ``settled`` holds, by part, what a line without an amount was taken for when its year was closed.
    """

    on: dt.date
    number: int
    parts: tuple[tuple[str, str], ...]
    item: str
    amount: float | None = None
    fluid: bool = False
    trouble: str = ""
    price_usd: float | None = None
    rate_lb_ac: float | None = None
    mix: str = ""
    settled: Mapping[tuple[str, str], Mapping[str, float]] = field(default_factory=dict)

    @property
    def bought(self) -> bool:
        """Return whether it is a purchase."""
        return not self.parts


def lines_of(book: Book, goods: Goods, until: dt.date) -> tuple[Line, ...]:
    """Return what was moved, in order of days, up to a day.

    Parameters
    ----------
    book : the log.
    goods : what the property buys.
    until : the last day that counts.
    """
    jobs: dict[int, Job] = {}
    parts: dict[int, list[tuple[str, str]]] = {}
    for entry in book.entries:
        if entry.on > until or (entry.task != BUY and entry.task not in KINDS):
            continue
        key = id(entry.job)
        jobs[key] = entry.job
        if entry.task != BUY:
            parts.setdefault(key, []).append((entry.area, entry.task))
    job_lines = (_line(job, tuple(parts.get(key, ())), goods) for key, job in jobs.items())
    if not book.settled:
        return tuple(job_lines)
    left = dict(book.settled)
    return tuple(replace(line, settled=_settled(line, left)) for line in job_lines)


def _settled(
    line: Line, left: dict[tuple[str, str, str], Mapping[str, float]]
) -> dict[tuple[str, str], Mapping[str, float]]:
    """Return what a line was taken for when its year was closed, by its parts.

    Of two lines alike the first takes it all, as it did then: ``left`` keeps nothing of it.
    """
    out: dict[tuple[str, str], Mapping[str, float]] = {}
    for part in line.parts:
        key = (line.on.isoformat(), *part)
        if key in left:
            out[part], left[key] = left[key], {}
    return out


def _line(job: Job, parts: tuple[tuple[str, str], ...], goods: Goods) -> Line:
    cells = job.cells
    item = goods.item(cells.get("item", ""))
    if not item and any(task == LIME for _, task in parts):
        item = goods.lime
    amount, fluid, trouble = _amount(cells, item, goods)
    return Line(
        job.on, job.line, parts, item, amount, fluid, trouble,
        _figure(cells, "price"), _figure(cells, "rate_lb_ac") or None,
        cells.get("mix", ""),
    )  # fmt: skip


def _figure(cells: Mapping[str, str], name: str) -> float | None:
    cell = cells.get(name)
    return figure(cell) if cell else None


def _amount(
    cells: Mapping[str, str], item: str, goods: Goods
) -> tuple[float | None, bool, str]:
    """Return pounds or fluid ounces, which of them, and why it cannot be read."""
    typed, word = cells.get("amount", ""), cells.get("unit", "")
    value, bag_lb = _figure(cells, "amount"), _figure(cells, "bag_lb")
    known = goods.known.get(item)
    if value is None:
        return None, False, f"“{typed}” is no figure" if typed else ""
    unit = log_unit(word or ("bag" if bag_lb else ""))
    if unit is None:
        why = f"“{word}” is no unit known here" if word else f"{value:g} has no unit"
        return None, False, why
    fluid = unit.counts == "fl oz"
    each: float | None = unit.each
    if unit.counts == "bag":
        fluid = known is not None and known.unit == "fl oz" and not bag_lb
        each = bag_lb or (known.pack if known else None)
    if each is None:
        return None, False, f"nobody wrote what a bag of {item or 'it'} weighs (bag_lb)"
    if known is not None and fluid != (known.unit == "fl oz"):
        return None, False, f"{item} is counted in {known.unit}, not in {unit.name}"
    return value * each, fluid, ""
