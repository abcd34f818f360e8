"""What stood on the ground before, by its history and the log, and what that means now."""

from __future__ import annotations

import datetime as dt
import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.crop_names import named_in, sown_as
from quietacre.days import say_day
from quietacre.figures import span_of
from quietacre.in_parts import InParts
from quietacre.model import folded
from quietacre.record.words import PLANT
from quietacre.shipped import cite, rows
from quietacre.windows import MONTHS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from quietacre.need.mix_advice import Advice
    from quietacre.record.moved import Line
    from quietacre.settings import Property

#: Years between brassicas on one ground that their source asks for at least, and at most.
BRASSICA_YEARS = (2, 4)
BRASSICA_SOURCE = "udel-rotation"
#: So many years of arrowleaf are "several", after which it reseeds badly. Assumption.
ARROWLEAF_YEARS = 2
ARROWLEAF = "arrowleaf clover"
#: What was turned under longer ago than this has given what it had. Assumption. [days]
CREDIT_DAYS = 365
TURNED = re.compile(
    r"\b(?:turned|plowed|ploughed|disked|disced|tilled)\s+(?:under|down|in)\b|green manure"
)
_YEAR = re.compile(r"^\s*((?:19|20)\d\d)\s*[:,.-]?\s*(.*)$", re.DOTALL)
_MONTH = re.compile("|".join(MONTHS))


@dataclass(frozen=True)
class Stood:
    """What one line of a history, or of the log, says stood in a year."""

    year: int
    month: int | None  # that the line names, when it names one
    crops: tuple[str, ...]
    turned_under: bool
    on: dt.date | None = None  # the day of sowing, of a line of the log

    @property
    def told(self) -> str:
        """Which of the two tells of it."""
        return "history" if self.on is None else "log"


@dataclass(frozen=True)
class Credit:
    """Nitrogen that a source counts for a green manure. [lb/ac]"""

    crop: str
    low: float
    high: float
    how: str
    source: str

    def __str__(self) -> str:
        """Return "60-80 lb/ac (how; source)"."""
        span = span_of(self.low, self.high, "lb/ac")
        return f"{self.crop} {span} of nitrogen ({self.how}; {cite(self.source)})"


@functools.cache
def credits_by_crop() -> dict[str, Credit]:
    """Return what print counts for each green manure, by crop."""
    return {
        row["crop"]: Credit(
            row["crop"], float(row["n_low_lb_ac"]), float(row["n_high_lb_ac"]), row["how"],
            row["source"],
        )
        for row in rows("green_manure")
    }  # fmt: skip


def stood_before(history: Sequence[str]) -> tuple[Stood, ...]:
    """Return what a history's lines say of crops, those that begin with a year, in order.

    "same mix" or "the same" stands for the crops of the line before it.
    """
    out: list[Stood] = []
    for line in history:
        match = _YEAR.match(line)
        if match is None:
            continue
        crops = named_in(match[2])
        if not crops and out and re.search(r"\bsame\b", match[2], re.IGNORECASE):
            crops = out[-1].crops
        month = _MONTH.search(match[2])
        out.append(
            Stood(
                int(match[1]),
                MONTHS[month[0]] if month else None,
                crops,
                TURNED.search(match[2].lower()) is not None,
            )
        )
    return tuple(out)


def stood_in_log(lines: Iterable[Line], prop: Property) -> dict[str, tuple[Stood, ...]]:
    """Return what the log says was sown on each piece of ground, by its name, in order.

    A line's crops are those that its ``item`` names, or those of its ``mix``; a line with
    neither is kept without crops.
    """
    mixes = {
        folded(mix.name): ", ".join(seed.crop for seed in mix.seed) for mix in prop.mix
    }
    out: dict[str, dict[dt.date, tuple[str, ...]]] = {}
    for line in lines:
        grounds = [ground for ground, task in line.parts if task == PLANT]
        if not grounds:
            continue
        words = [mixes.get(folded(cell), cell) for cell in (line.item, line.mix)]
        named = named_in(words[0]) or named_in(words[1])
        for ground in grounds:
            days = out.setdefault(ground, {})
            days[line.on] = tuple(dict.fromkeys((*days.get(line.on, ()), *named)))
    return {
        ground: tuple(
            Stood(day.year, day.month, crops, turned_under=False, on=day)
            for day, crops in sorted(days.items())
        )
        for ground, days in out.items()
    }


def look_back(
    crops: Sequence[str], history: Sequence[str], plant: dt.date | None,
    log: Sequence[Stood] = (),
) -> Iterator[Advice]:  # fmt: skip
    """Return code, text and level of what stood on the ground means for these crops.

    Nothing is said without a day of planting: how long ago is not known then. ``log`` is
    what the log says was sown there before the season.
    """
    if plant is None:
        return
    before = [stood for stood in stood_before(history) if stood.year < plant.year]
    before += log
    yield from _brassicas(crops, before, plant)
    yield from _arrowleaf(crops, before)
    yield from _unnamed(crops, before, plant)
    yield from _turned_under(stood_before(history), log, plant)


def _told(stood: Sequence[Stood]) -> str:
    """Return "the history has", "the log has", or "the history and the log have"."""
    who = sorted({one.told for one in stood})
    return f"the {' and the '.join(who)} {'has' if len(who) == 1 else 'have'}"


def _brassicas(
    crops: Sequence[str], before: Sequence[Stood], plant: dt.date
) -> Iterator[Advice]:
    kind = sown_as("brassica")
    now = [crop for crop in crops if crop in kind]
    least, most = BRASSICA_YEARS
    were = [s for s in before if plant.year - s.year <= least and kind & set(s.crops)]
    if now and were:
        years_text = " and ".join(str(year) for year in sorted({s.year for s in were}))
        yield (
            "brassicas-again",
            InParts(
                f"{', '.join(now)}: {_told(were)} brassicas here in {years_text}",
                "Diseases and insects build up: keep them off the same ground for "
                f"{least} to {most} years",
                cite(BRASSICA_SOURCE),
            ),
            "caution",
        )


def _arrowleaf(crops: Sequence[str], before: Sequence[Stood]) -> Iterator[Advice]:
    were = [stood for stood in before if ARROWLEAF in stood.crops]
    years = sorted({stood.year for stood in were})
    if ARROWLEAF in crops and len(years) >= ARROWLEAF_YEARS:
        yield (
            "arrowleaf-again",
            InParts(
                f"{ARROWLEAF}: {_told(were)} it here in {', '.join(map(str, years))}",
                "After several years on one ground a root disease keeps it from coming back by "
                "its own seed: sow another clover for a while",
                cite("uga-arrowleaf"),
            ),
            "caution",
        )


def _unnamed(
    crops: Sequence[str], before: Sequence[Stood], plant: dt.date
) -> Iterator[Advice]:
    """Say which sowings of the log name no crop, where that decides a rotation."""
    asks = [crop for crop in crops if crop == ARROWLEAF or crop in sown_as("brassica")]
    days = [
        stood.on for stood in before
        if stood.on and not stood.crops and plant.year - stood.year <= BRASSICA_YEARS[0]
    ]  # fmt: skip
    if asks and days:
        days_text = " and ".join(f"{say_day(day)}, {day.year}" for day in days)
        yield (
            "sowing-unnamed",
            InParts(
                f"{', '.join(asks)}: the log has a sowing here on {days_text} that names no "
                "crop, so whether the same stood here before is not known",
                "Write the crop or the mix on its line.",
            ),
            "info",
        )


def _turned_under(
    before: Sequence[Stood], log: Sequence[Stood], plant: dt.date
) -> Iterator[Advice]:
    """Say what the last green manure gives, and what it does not.

    A line that names no crop means what the log says was sown last before it.
    """
    last = next((stood for stood in reversed(before) if stood.turned_under), None)
    if last is None:
        return
    when = dt.date(last.year, last.month or 12, 1)
    if not dt.timedelta(0) <= plant - when <= dt.timedelta(days=CREDIT_DAYS):
        return
    sown = [stood.crops for stood in log if stood.on and stood.on < when and stood.crops]
    crops = last.crops or (sown[-1] if sown else ())
    if not crops:
        return
    known = credits_by_crop()
    given = [str(known[crop]) for crop in crops if crop in known]
    names = " and ".join(crops)
    gives = (
        f"print counts {'; '.join(given)}"
        if given
        else "no source that was read counts nitrogen for it, and old or woody growth ties "
        f"nitrogen up while it rots (more than 30 parts carbon to one; {cite('purdue-cover')})"
    )
    yours = (
        "The nitrogen asked for here is not lowered for it: lower it yourself where the stand "
        "was good. "
        if given
        else ""
    )
    yield (
        "green-manure",
        InParts(
            f"{names} turned under in {last.year}: {gives}",
            f"{yours}It brings no phosphate, potash or lime that was not there, and kills no "
            "weed that comes back from its root (common practice, no source).",
        ),
        "info",
    )
