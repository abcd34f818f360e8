"""Why a figure is what it is: its terms, its source and its spread, for each piece of ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.boundary.why import why_lines
from quietacre.figures import AS_IT_IS, feet, figure, in_words, money, seeds, span_of
from quietacre.report_records import StripReport
from quietacre.words import settings_words
from quietacre.words.growth import growth_word, growth_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.need.records import SeedLine
    from quietacre.report_records import Piece
    from quietacre.year.records import YearTask

#: How minutes are made up. AEN-73, University of Kentucky, 1991, for the acres an hour.
MINUTES = (
    "area ÷ area an hour for each pass (width × speed × field efficiency; "
    "University of Kentucky, AEN-73, 1991), with the minutes you set for hitching and turning, "
    "for each load and for each tank; trips not counted"
)


#: How what falls out of a machine is worked out.
SPREADER = (
    "spreader: what lands on a small piece of ground = the rate × its area; how far a bag goes = "
    "its weight ÷ (the rate × the swath), the swath as it overlaps evenly (418-121, Virginia Tech, n.d.)"
)
DRILL = "drill: what falls on a course, all rows caught = the rate × its width × the course"
#: How a laboratory's lime becomes tons of the product, by the basis it is written on.
BY_PERCENT = (
    "tons of product = laboratory's tons × its percent ÷ the product's, on the same measure: half "
    "the quality is twice the tons (University of Florida, in Hay & Forage Grower, n.d.)"
)
LIME_BY = {
    "ENM": "tons of product = pounds of ENM asked for ÷ pounds of ENM in a ton of it (How Much Lime "
    "To Apply?, University of Missouri Extension, n.d.)",
    "ENP": "tons of product = pounds of ENP asked for ÷ pounds of ENP in a ton of it (Ask Extension "
    "878323, University of Minnesota, 2024)",
    "ECCE": BY_PERCENT,
    "RNV": BY_PERCENT,
    "CCE": BY_PERCENT,
    "pure": BY_PERCENT,
}
#: How a hand gun is set.
HAND_GUN = (
    "hand gun: fluid ounces that wet 18.5 by 18.5 ft, 1/128 acre, are gallons an acre (How to "
    "Calibrate a Handgun, Mesa County, Colorado, n.d.)"
)
SPRAYER = (
    "sprayer: fluid ounces caught over 1/128 acre are gallons an acre (Ounces equal gallons, LSU AgCenter, n.d.); gallons a "
    "minute = gal/ac × mph × inches of width ÷ 5,940"
)
#: How the sums of the whole place are made up.
SUMS = (
    "Acres are on the curve of the earth, and those inside the property line are of the line as drawn; "
    "halves of the ± of walked pieces add as squares, for each walk errs on its own. "
    "Need is the sum over the ground, each piece's rate times its acres; its ± is that of the "
    "walked acres. To buy is that rounded up to whole packs, over all ground together, less "
    "what is in the shed. Cost is packs times the price you gave; a line without one is in "
    "no sum."
)
HOURS = (
    "A job takes its acres ÷ acres an hour for each pass, the minutes you set for hitching, "
    "gates and turning, and those for each load and tank. The way there and back is not "
    "in it, nor are jobs without a day."
)
#: A part of the lime less than this under the whole is no part. [tons/ac]
LEAST_TON_AC = 0.005
#: Acres nearer than this are the same.
SAME_AC = 1e-9


@dataclass(frozen=True, slots=True)
class WhyFigure:
    """What a figure of a piece of ground rests on."""

    about: str
    lines: tuple[str, ...]


def why_of(piece: Piece, tasks: Sequence[YearTask] = ()) -> list[WhyFigure]:
    """Return what each figure of an area or a strip rests on.

    Parameters
    ----------
    piece : an area or a strip of the report.
    tasks : the tasks of the year, of any ground.
    """
    groups = [
        ("Acres", _acres(piece)),
        ("Moved", _moved(piece)),
        ("Width", _width(piece)),
        ("Seed", _seed(piece)),
        ("Lime", _lime(piece)),
        ("Fertilizer", _fertilizer(piece)),
        ("Spray", _spray(piece)),
        ("Machine", _machine(piece)),
        ("Dollars", _dollars(piece)),
        ("Days", _days(piece, tasks)),
        ("Minutes", _minutes(piece)),
    ]
    return [WhyFigure(about, lines) for about, some in groups if (lines := tuple(some))]


def _acres(piece: Piece) -> Iterator[str]:
    low, high = piece.size.acres_low, piece.size.acres_high
    spread = (
        f"between {figure(low, 'ac', 2, to=high, joined=' and ')}, 19 times in 20"
        if high - low > SAME_AC
        else f"drawn without a ±: “{settings_words()['area'].keys['edge_pm_ft'].label}” gives it one"
    )
    if isinstance(piece, StripReport):
        yield (
            f"{_acres_of(piece)} of the ring as drawn, {feet(piece.ring.wanted.width_ft)} wide less "
            f"what is cut off it; {spread}, from the edge it goes round"
        )
        return
    walk = piece.walk
    sigma = walk.sigma_m if walk else None
    yield (
        f"{_acres_of(piece)} on the curve of the earth inside the edge of {piece.source} "
        f"({piece.size.method}); {spread}"
        + (f"; each walked point is taken as {sigma:.1f} m off or less, two times in three"
           if sigma else "")
    )  # fmt: skip
    if walk and walk.why:
        yield f"why ± {figure((high - low) / 2, 'ac', 2)}, as the root of the squares of"
        yield from why_lines(walk.why)


def _acres_of(piece: Piece) -> str:
    return figure(piece.size.acres, "ac", 2)


def _width(piece: Piece) -> Iterator[str]:
    width = piece.ring.wanted.width if isinstance(piece, StripReport) else None
    for name, row in (width or {}).items():
        terms = "; ".join(
            f"{feet(term.ft)} {term.term} ({term.source})" for term in row.terms
        )
        yield (
            f"{growth_word(name)}: {terms}; {feet(row.required_ft)} asked, "
            f"{feet(row.width_ft)} in {row.passes} passes"
        )
    if width:
        yield (
            "; ".join(
                f"{growth_word(name)} {growth_words()[name].meaning}" for name in width
            )
            + "; in spring "
            f"{growth_word('stress')} is taken at a part of that, though one source prints "
            f"{in_words('the foot', 1.0, 'ft')} a day of spring (Kudzu Eradication and Management, USDA Forest Service, 1996)"
        )


def _seed(piece: Piece) -> Iterator[str]:
    for row in piece.need.seed if piece.need else ():
        kind = "live seed" if row.basis == "pls" else "seed out of the bag"
        source = "from memory, read nowhere" if row.from_memory else row.source
        in_mix = row.in_mix_lb_ac
        yield (
            f"{row.crop}: {figure(row.rate_lb_ac, 'lb/ac', 1)} of {kind} ({source})"
            + (f" ÷ {row.pls_frac:.3f} live" if row.basis == "pls" else "")
            + f" × {_acres_of(piece)} = {figure(row.lb, 'lb', 1)}"
            + _range(row.lb_low, row.lb_high, "lb")
            + (f"; {span_of(*in_mix, 'lb/ac')} is printed in a mix" if in_mix else "")
            + _seeds(row)
        )


def _seeds(row: SeedLine) -> str:
    """Return "; 17 live seeds a sq ft at 14,500 a pound", blank where that is not known."""
    sown_ft2, in_a_pound = row.seeds_ft2, row.seeds_per_lb
    if not sown_ft2 or in_a_pound is None:
        return ""
    memory = " (from memory)" if row.seeds_from_memory else ""
    count = seeds(sown_ft2, live=row.basis == "pls")
    return f"; {count} at {figure(in_a_pound, 'a pound')}{memory}"


def _range(low: float, high: float, unit: str) -> str:
    """Return ", 3.1 to 3.4 lb by the acres' own ±", blank where they have none."""
    if f"{low:.1f}" == f"{high:.1f}":
        return ""
    return f", {figure(low, unit, 1, to=high, joined=' to ')} by the acres' own ±"


def _lime(piece: Piece) -> Iterator[str]:
    lime = piece.need.lime if piece.need else None
    if lime:
        whole, now = lime.whole_ton_ac, lime.ton_ac
        told_now = figure(now, "tons/ac", 2, bare=True)
        part = f", {told_now} of it now" if whole - now > LEAST_TON_AC else ""
        yield (
            f"{lime.text}: {figure(whole, 'tons/ac', 2)}{part}; {told_now} × "
            f"{_acres_of(piece)} = {figure(lime.ton, 'tons', 2)}"
            + _range(lime.ton_low, lime.ton_high, "tons")
        )
        if way := LIME_BY.get(lime.basis.split()[0]):
            yield way


def _fertilizer(piece: Piece) -> Iterator[str]:
    need = piece.need
    if not need:
        return
    asked, given = need.asked_lb_ac, need.given_lb_ac
    if not asked or not given or not need.fertilizer:
        return
    words = {"n": "N", "p2o5": "P₂O₅", "k2o": "K₂O", "s": "S"}
    parts = [
        f"{words[key]} {figure(asked[key], 'lb/ac', 0)} asked, "
        f"{figure(given.get(key, 0.0), 'lb/ac', 0, bare=True)} given"
        for key in words
        if asked.get(key) or given.get(key)
    ]
    if need.asked_of:
        yield f"asked by {need.asked_of}"
    yield "; ".join(parts) + "; pounds of product = pounds of nutrient ÷ (grade ÷ 100)"
    if left := need.left_out_n_lb_ac:
        yield f"{figure(left, 'lb/ac', 0)} of N left out before a mix with many legumes: see Notes"


def _moved(piece: Piece) -> Iterator[str]:
    if isinstance(piece, StripReport) and piece.advance:
        yield (
            "the edge is measured from the earlier survey to this one, by eight sides; less than "
            f"{feet(piece.advance.moved.limit_ft)} at one place cannot be seen: 1.645 × the root of the "
            "squares of both surveys' errors"
        )


def _spray(piece: Piece) -> Iterator[str]:
    for row in piece.need.spray if piece.need else ():
        tank = row.tank
        gal_ac = tank.gal / row.acres if row.acres else 0.0
        by = (
            figure(tank.rate, f"{tank.unit}/ac", AS_IT_IS)
            if tank.mode == "per acre"
            else f"{tank.rate:g} % of the water"
        )
        yield (
            f"{tank.name}: {figure(row.acres, 'ac', 2)} sprayed × {figure(gal_ac, 'gal/ac', 1)} = "
            f"{figure(tank.gal, 'gal', 1)}; {figure(tank.product, tank.unit, 1)} of product at {by}, the rate you typed from "
            "the label" + _range(row.gal_low, row.gal_high, "gal")
        )


def _machine(piece: Piece) -> Iterator[str]:
    need = piece.need
    if not need or not need.setting:
        return
    methods = {row.method for row in need.seed}
    if "broadcast" in methods or need.fertilizer:
        yield SPREADER
    if "drill" in methods:
        yield DRILL
    uses = {row.tank.use for row in need.spray}
    if "spot spray" in uses:
        yield HAND_GUN
    if uses - {"spot spray"}:
        yield SPRAYER


def _dollars(piece: Piece) -> Iterator[str]:
    need = piece.need
    cost, cost_ac = (need.cost, need.cost_ac) if need else (None, None)
    if cost and cost_ac:
        yield (
            f"{money(cost)} is this ground's share of each line of the list, by what it takes of it, "
            f"whole packs shared out; {money(cost)} ÷ {_acres_of(piece)} = "
            f"{figure(cost_ac, '$ an acre')}; a line without a price is in no sum"
        )


def _days(piece: Piece, tasks: Sequence[YearTask]) -> Iterator[str]:
    """Yield why each job stands where it does, each reason once."""
    by_job: dict[str, list[str]] = {}
    for task in tasks:
        if task.area_id == piece.id and task.reason:
            labels = by_job.setdefault(task.reason, [])
            if task.label not in labels:
                labels.append(task.label)
    for reason, labels in by_job.items():
        yield f"{' and '.join(labels)}: {reason}"
    if by_job:
        yield (
            "of the days a job may fall on, those are taken that need the fewest trips, then the "
            "fewest days after the best ones"
        )


def _minutes(piece: Piece) -> Iterator[str]:
    work = piece.need.work if piece.need else {}
    for job, row in work.items():
        more = f", {row.text}" if row.text else ""
        yield f"{job}: {row.minutes:.0f} minutes{more}"
    passes = piece.ring.passes if isinstance(piece, StripReport) else None
    if passes and passes.count:
        yield (
            f"one cut: {passes.count} passes of {feet(passes.length_ft)} in all, "
            f"{passes.minutes:.0f} minutes at the machine, {figure(passes.fuel_gal, 'gal', 1)} at the "
            "gallons an hour you set"
        )
    if work or (passes and passes.count):
        yield MINUTES
