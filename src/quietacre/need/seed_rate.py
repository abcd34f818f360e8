"""The rate a seed is sown at: the table's, your own, or seeds on a square foot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from quietacre.crop_names import hint
from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, figure, span_of
from quietacre.in_parts import InParts
from quietacre.need.mix_advice import as_companion
from quietacre.need.tables import ASK_RATE, no_rate
from quietacre.shipped import cite
from quietacre.units import ACRE_FT2
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from quietacre.need.tables import Crop
    from quietacre.settings import Mix, Seed

#: From the crop table's words, such as "annual (reseeding; ~90% hard seed)".
HARD_WORD = "hard seed"
#: A doubt that moves pounds by more than this is a warning.
DOUBT = 0.05
#: Parts of a whole, and rates, within this share of each other are the same.
SAME = 1e-9


class Said(NamedTuple):
    """What to say about a mix: a code, the sentence, and how much it matters."""

    code: str
    text: str
    level: Literal["info", "caution", "warning"] = "info"


def live_fraction(
    purity: float | None, germination: float | None, hard: float = 0.0, coating: float = 0.0
) -> float:
    """Return the part of a bag's weight that is pure live seed.

    purity × (germination + hard or dormant seed), and × (1 − coating) where that purity is
    of the seed without its coating: see `counts_coating`. A missing figure counts as 1.

    Raises
    ------
    NeedProblem
        A figure is not a fraction, or nothing of the seed is alive.

    Notes
    -----
    "What is Pure Live Seed (PLS)?", Georgia Forages, University of Georgia, n.d.
    """
    whole_bag = counts_coating(purity, coating)
    purity = 1.0 if purity is None else purity
    germination = 1.0 if germination is None else germination
    for name, value in (
        ("purity", purity), ("germination", germination), ("hard seed", hard),
        ("coating", coating), ("germination and hard seed", germination + hard),
    ):  # fmt: skip
        if not 0.0 <= value <= 1.0 + SAME:
            raise NeedProblem(
                f"{name} is {value:g}, not a fraction",
                fix="write 98 % as 0.98",
            )
    live = purity * min(germination + hard, 1.0) * (1.0 if whole_bag else 1.0 - coating)
    if live <= 0.0:
        raise NeedProblem("nothing of this seed is alive", fix="check the seed tag")
    return live


def counts_coating(purity: float | None, coating: float) -> bool:
    """Return whether a tag's purity is a part of the whole bag, its coating counted.

    Laboratories count the coating as inert matter, and all parts of the bag as it is sold.
    Only where purity and coating come to more than the bag is purity of the bare seed.

    Notes
    -----
    "Purity procedures for coated seed", 7 CFR 201.51b, USDA Agricultural Marketing Service, 1994.
    """
    return purity is not None and 0.0 < coating <= 1.0 - purity + SAME


def bulk_lb_ac(pls_lb_ac: float, live: float) -> float:
    """Return pounds out of the bag that bring ``pls_lb_ac`` of live seed. [lb/ac]"""
    return pls_lb_ac / live


def seeds_per_ft2(live_lb_ac: float, seeds_per_lb: float) -> float:
    """Return live seeds on a square foot."""
    return live_lb_ac * seeds_per_lb / ACRE_FT2


def rate_from_seeds_lb_ac(seeds_ft2: float, seeds_per_lb: float) -> float:
    """Return the rate that puts so many seeds on a square foot. [lb/ac]"""
    return seeds_ft2 * ACRE_FT2 / seeds_per_lb


@dataclass(frozen=True)
class Rate:
    """What is sown an acre, counted in bagged ("bulk") or in live seed ("pls"). [lb/ac]"""

    lb_ac: float
    basis: Literal["bulk", "pls"]
    source: str
    from_memory: bool
    said: tuple[Said, ...] = ()


def rate_of(mix: Mix, seed: Seed, crop: Crop | None, live: float) -> Rate:
    """Return the rate of one seed of a mix, and what to say about it.

    ``live`` is the part of the bag that is live seed.

    Raises
    ------
    NeedProblem
        There is no rate to sow it at, or no count of seeds in a pound.
    """
    if seed.seeds_ft2 is not None:
        return _by_count(mix, seed, crop)
    if seed.rate_lb_ac is not None:
        notes = [] if crop else [_not_in_table(seed.crop)]
        if crop and crop.rate_lb_ac(mix.method) is None:
            notes.append(Said("not-that-way",
                f"{seed.crop}: {no_rate(mix.method)}; your own is taken as it is; {ASK_RATE}.",
                "caution",
            ))  # fmt: skip
        return Rate(
            seed.rate_lb_ac, seed.basis or "bulk", "your own rate", False, tuple(notes)
        )
    return _by_table(mix, seed, crop, live)


def _by_count(mix: Mix, seed: Seed, crop: Crop | None) -> Rate:
    """Return the rate for seeds on a square foot: of live seed when there is a tag."""
    a_pound = seed.seeds_per_lb or (crop.seeds_per_lb if crop else None)
    if seed.seeds_ft2 is None or a_pound is None:
        raise NeedProblem(
            f"how many seeds of “{seed.crop}” weigh a pound is not known",
            fix="give seeds_per_lb from the tag",
            where=f"mix “{mix.name}”",
        )
    own = seed.seeds_per_lb is not None
    memory = not own and crop is not None and "seeds_per_lb" in crop.from_memory
    lb_ac = rate_from_seeds_lb_ac(seed.seeds_ft2, a_pound)
    notes = [] if crop else [_not_in_table(seed.crop)]
    if not own:
        notes.append(Said("seed-count-of-the-table",
            f"{seed.crop}: {figure(a_pound, 'seeds a pound')} is the crop table's"
            + (", from memory" if memory else "")
            + "; lots differ: count your own or read the tag (seeds_per_lb).",
            "warning",
        ))  # fmt: skip
    source = f"{figure(seed.seeds_ft2, 'seeds a square foot', AS_IT_IS)}, {figure(a_pound, 'a pound')}"
    basis = seed.basis or ("pls" if _tagged(seed) else "bulk")
    return Rate(lb_ac, basis, source, memory, tuple(notes))


def _by_table(mix: Mix, seed: Seed, crop: Crop | None, live: float) -> Rate:
    full = crop.rate_lb_ac(mix.method) if crop else None
    if crop is None or full is None:
        raise NeedProblem(
            f"“{seed.crop}”: {no_rate(mix.method)}"
            if crop
            else f"“{seed.crop}” has no {mix.method} rate{hint(seed.crop)}",
            fix=_cure(crop, mix.method),
            where=f"mix “{mix.name}”",
        )
    rate = full * (seed.share or 1.0)
    basis = seed.basis or ("pls" if _tagged(seed) else "bulk")
    printed = crop.rate_basis(mix.method)
    notes = []
    if basis == "pls" and seed.basis is None and printed != "pls":
        notes.append(Said("table-rate-as-live-seed",
            InParts(
                f"{seed.crop}: the table's rate is taken as live seed, "
                f"{figure(bulk_lb_ac(rate, live), 'lb/ac', 1)} out of the bag; poured as it is it "
                f"would be {figure(rate, 'lb/ac', 1, bare=True)}",
                "Say which in "
                + box_and_line("seed", "basis", 'basis = "pls" or "bulk" beside the crop')
                + ".",
            ),
            "warning" if 1 / live - 1 > DOUBT else "info",
        ))  # fmt: skip
    if basis == "bulk" and printed == "pls":
        tagged = _tagged(seed)
        notes.append(Said("live-rate-poured-as-bulk",
            f"{seed.crop}: the table's rate counts live seed, and it is poured as it is"
            + ("" if tagged else " because no tag is given; give purity and germination")
            + ": less live seed than printed.",
            "warning" if not tagged or 1 / live - 1 > DOUBT else "caution",
        ))  # fmt: skip
    notes += _no_way_told(seed, crop, mix.method)
    return Rate(
        rate, basis, cite(crop.rate_source(mix.method)), crop.rate_from_memory(mix.method),
        tuple(notes),
    )  # fmt: skip


def _no_way_told(seed: Seed, crop: Crop, method: str) -> list[Said]:
    """Return what to say of a rate that is printed without the way of sowing."""
    used = crop.figures[f"{method}_lb_ac"]
    if not used.no_way_told:
        return []
    thicker = "Seed that is broadcast is often sown thicker (common practice, no source). "
    text = InParts(
        f"{seed.crop}: {used.said('lb/ac')} are printed to plant; whether drilled or broadcast is not told "
        "in what was read",
        f"They are taken for both. {thicker if method == 'broadcast' else ''}"
        f"For your own rate {ASK_RATE}.",
        cite(used.source),
    )
    return [Said("rate-of-no-way-told", text, "caution")]


def _cure(crop: Crop | None, method: str) -> str:
    """Return what to do where there is no rate by a method: the other one, or whom to ask."""
    if crop is None:
        return "change the mix's method, or give rate_lb_ac and basis"
    other = "drill" if method == "broadcast" else "broadcast"
    span = crop.range_lb_ac[other]
    way = (
        f"change the mix's method to {other} ({span_of(span[0], span[1], 'lb/ac')} was read), or give "
        if span
        else "give "
    )
    return f"{way}rate_lb_ac and basis: {ASK_RATE}"


def _tagged(seed: Seed) -> bool:
    return seed.purity is not None or seed.germination is not None or seed.coating > 0


def coating_notes(seed: Seed, rate: Rate, bulk: float) -> list[Said]:
    """Return what to say of coated seed whose rate counts live seed."""
    if seed.coating <= 0 or rate.basis != "pls":
        return []
    other = bulk * (1.0 - seed.coating)
    tag = ""
    if counts_coating(seed.purity, seed.coating):
        tag = (
            "The tag's purity leaves the coating out already: both are parts of the whole bag "
            "(7 CFR 201.51b), so it is not taken off again. "
        )
    elif seed.purity is not None:
        tag = (
            "Purity and coating come to more than the bag, so that purity is taken for that of "
            "the seed without its coating; look at the tag once more. "
        )
    text = InParts(
        f"{seed.crop}, coated: {figure(bulk, 'lb/ac', 1)} with the coating counted off, "
        f"{figure(other, 'lb/ac', 1)} at the same bulk rate: sources disagree, the first is used",
        f"{tag}Counted off: How much clover seed is enough?, NRCS Jimmy Carter Plant Materials "
        "Center, n.d., and Texas AgriLife in Hay & Forage Grower, n.d. The same: University of "
        "Kentucky, n.d., and a trial of the University of Georgia in the county agents' journal, "
        "2025. Coated seed often comes inoculated: the tag says.",
    )
    return [Said("coated-seed", text, "warning" if bulk / other - 1 > DOUBT else "info")]


def hard_seed_notes(seed: Seed, crop: Crop) -> list[Said]:
    """Return what to say of a crop that is often hard-seeded."""
    if HARD_WORD not in crop.life_cycle or seed.hard:
        return []
    text = (
        f"{seed.crop} is often hard-seeded ({crop.life_cycle}): count the tag's hard "
        "seed as live with `hard`, and do not expect all of it up in the first year."
    )
    return [Said("hard-seed", text)]


def off_range(mix: Mix, seed: Seed, crop: Crop, rate: float) -> Said | None:
    """Return what to say of a rate outside the printed range, alone or in a mix."""
    alone = len(mix.seed) == 1
    printed = crop.range_lb_ac[mix.method] if alone else crop.in_mix_lb_ac
    where = f"alone, {mix.method}" if alone else "in a mix"
    if printed is None:
        full = crop.range_lb_ac[mix.method]
        if full is None or rate < full[0]:
            return None
        printed, where = full, f"alone, {mix.method}"
    low, high = printed
    under = rate < low * (1 - SAME)
    if not under and rate <= high * (1 + SAME):
        return None
    if under and as_companion(mix, seed.crop, crop, rate):
        return None
    name = f"{mix.method}_lb_ac" if alone or crop.in_mix_lb_ac is None else "in_mix_lb_ac"
    if crop.figures[name].no_way_told:
        where = "alone, the way of sowing not told"
    text = InParts(
        f"{seed.crop}: {figure(rate, 'lb/ac', 1)} is {'under' if under else 'over'} the "
        f"{span_of(low, high, 'lb/ac')} printed for it {where}",
        cited=cite(crop.figures[name].source),
    )
    return Said("rate-outside-range", text, "caution")


def _not_in_table(word: str) -> Said:
    """Return what to say of a crop that is sown at its own rate and not known."""
    return Said(
        "crop-not-in-table",
        InParts(
            f"“{word}” is not in the crop table{hint(word) or '.'}",
            "Its rate is taken as written; depth, window, pH and inoculant are not known, and it "
            "is taken for no legume, so that nitrogen is planned for it. quietacre crops lists "
            "the names.",
        ),
        "warning",
    )
