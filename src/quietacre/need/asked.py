"""Nutrients asked for on a piece of ground, now and kept for later."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.figures import AS_IT_IS, figure, in_words
from quietacre.need.fertilizer import Plot
from quietacre.need.grade import oxide_needs
from quietacre.need.legumes import MOST_LEGUME, left_out_text, legume_share
from quietacre.need.removal import need_from_removal, removal_lines, removed_lb_ac
from quietacre.shipped import cite

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.need.job import Job
    from quietacre.need.tables import Crop
    from quietacre.settings import Harvest

#: A second plot of the plan stands for the nitrogen kept back for later.
TOP = "+top"
#: So much nitrogen an acre costs legumes their nodules.
NODULES_DROP = in_words("50 lb", 50, "lb/ac")
#: What the table's upkeep is of, in words.
UPKEEP = {"n": "nitrogen", "p2o5": "phosphate", "k2o": "potash"}


def plots_of(job: Job) -> list[Plot]:
    """Return what an area needs at planting and later, nothing when it is not fertilized."""
    mode = job.area.fertilizer or ("soil test" if job.test else "none")
    grown = [
        job.table[seed.crop]
        for seed in (job.mix.seed if job.mix else ())
        if seed.crop in job.table
    ]
    if job.area.harvest is not None and mode == "soil test" and not job.made:
        _say_hauled_off(job, job.area.harvest)
    need = _asked(job, mode, grown)
    if need is None:
        return []
    legumes = [crop.legume for crop in grown]
    sown = job.mix.seed if job.mix else ()
    only_legumes = bool(sown) and len(grown) == len(sown) and all(legumes)
    share = legume_share(job.mix, job.table) if job.mix and any(legumes) else 0.0
    mostly_legumes = share > MOST_LEGUME and not job.area.nitrogen_on_legumes
    if only_legumes and need["n"] > 0:
        job.say(
            "legume-no-nitrogen",
            f"legumes only: the {figure(need['n'], 'lb/ac', 0)} of nitrogen asked for is left out, and "
            "no product that carries nitrogen is spread.",
            "info",
        )
    later = 0.0 if only_legumes else _kept_back(job, need)
    if only_legumes:
        need["n"] = 0.0
    elif mostly_legumes and need["n"] > 0:
        fed = [crop.name for crop in grown if not crop.legume]
        job.say("no-nitrogen-before-legumes", left_out_text(need["n"], share, fed))
        job.left_out_n_lb_ac, need["n"] = need["n"], 0.0
    elif any(legumes) and need["n"] > 0:
        job.say(
            "nitrogen-on-legumes",
            f"{figure(need['n'], 'lb/ac', 0)} of nitrogen on a mix with legumes",
            "info",
            more=f"nodules drop at {NODULES_DROP} or more; how much is your judgment.",
            cited="Univ. of Tennessee, 2014, soybean",
        )
    job.asked_lb_ac = {**need, "n": need["n"] + later}
    out = []
    if any(need.values()):
        none_of = frozenset({"n"} if only_legumes or mostly_legumes else ())
        out.append(Plot(job.key, job.acres, need, job.area.max_products, none_of))
    if later > 0:
        out.append(Plot(job.key + TOP, job.acres, {"n": later, "p2o5": 0.0, "k2o": 0.0}, 1))
    return out


def _asked(job: Job, mode: str, grown: Sequence[Crop]) -> dict[str, float] | None:
    """Return oxides asked for, None when the area is not fertilized. [lb/ac]"""
    if mode == "none":
        return None
    if mode == "maintenance":
        if not grown:
            return None
        return _kept_up(job, grown)
    if mode == "removal":
        return _put_back(job)
    if job.test is None:
        job.say(
            "no-soil-test", "no soil test is named, so nothing is fertilized.", "warning"
        )
        return None
    given = job.test.need_lb_ac or job.test.need_ppm
    if given is None:
        return None
    in_ppm = job.test.need_lb_ac is None
    taken = f", {say_day(job.test.on, year=True)}" if job.test.on else ""
    job.asked_of = f"the soil test “{job.test.name}”{taken}"
    asked = oxide_needs(given, ppm=in_ppm)
    if in_ppm:
        _say_ppm(job, asked)
    if job.fed_before is None:
        return asked
    if asked["p2o5"] or asked["k2o"]:
        job.say(
            "fed-before",
            f"phosphate and potash of the soil test “{job.test.name}” go on with "
            f"{job.fed_before}, so only its nitrogen is counted here; a test of this planting's "
            "own would say more.",
            "info",
        )
    return {**asked, "p2o5": 0.0, "k2o": 0.0}


def _say_ppm(job: Job, asked: Mapping[str, float]) -> None:
    """Say that parts a million are taken as what to add, never as what the soil holds."""
    assert job.test is not None  # noqa: S101 - the caller looked
    said = ", ".join(
        f"{figure(asked[k], 'lb/ac', 0)} of {k.upper()}" for k in asked if asked[k]
    )
    job.say(
        "need-in-ppm",
        f"the needs of the soil test “{job.test.name}” are in parts a million and are taken "
        f"as what the laboratory asks you to add: {said or 'nothing'}",
        more="What it found in the soil (Mehlich-3, Bray, Olsen …) is no need: where these are "
        "such readings, type the pounds an acre that its report recommends instead.",
    )


def _kept_up(job: Job, grown: Sequence[Crop]) -> dict[str, float]:
    """Return the table's upkeep without a soil test, and say what of it was not read. [lb/ac]"""
    memory = [
        crop.name for crop in grown if any(c.startswith("maint_") for c in crop.from_memory)
    ]
    job.say(
        "maintenance-default",
        "these are maintenance figures, not a soil test's: a placeholder",
        "warning",
        more="Take a sample."
        + (f" From memory in part: {', '.join(memory)}." if memory else ""),
    )
    need: dict[str, float] = {}
    whose: list[str] = []
    for nutrient, word in UPKEEP.items():  # the table has no sulfur
        read = [crop.maintenance_lb_ac[nutrient] for crop in grown]
        need[nutrient] = max((value for value in read if value is not None), default=0.0)
        whose += _upkeep_of(nutrient, need[nutrient], grown)
        blank = [crop.name for crop in grown if crop.maintenance_lb_ac[nutrient] is None]
        if blank:
            planned = (
                f"the {figure(need[nutrient], 'lb/ac', 0)} planned here are its companions'"
                if len(blank) < len(grown) and need[nutrient]
                else "none is planned"
            )
            job.say(
                "maintenance-unread",
                f"no figure for the {word} of {' and '.join(blank)} without "
                f"a soil test was read in a source, so {planned}",
                more="A soil test says how much, or your county extension office.",
            )
    job.asked_of = f"upkeep without a soil test: {'; '.join(whose)}" if whose else None
    return need


def _upkeep_of(nutrient: str, most_lb_ac: float, grown: Sequence[Crop]) -> Iterator[str]:
    """Yield "nitrogen 60 lb/ac for cereal rye (title, publisher, year)" of the crop that asks most."""
    for crop in grown:
        if most_lb_ac and crop.maintenance_lb_ac[nutrient] == most_lb_ac:
            source = cite(crop.figures[f"maint_{nutrient}_lb_ac"].source)
            rate = figure(most_lb_ac, "lb/ac", 0)
            yield f"{UPKEEP[nutrient]} {rate} for {crop.name} ({source})"
            return


def _say_hauled_off(job: Job, harvest: Harvest) -> None:
    off = removed_lb_ac(harvest.what, ton_ac=harvest.ton_ac, bu_ac=harvest.bu_ac)
    job.say(
        "removal",
        removal_lines(harvest.what, off)[0],
        "info",
        more="The soil test's figures are used as they stand: tell the laboratory what you "
        "haul off.",
    )


def _put_back(job: Job) -> dict[str, float] | None:
    """Return what would put back what is hauled off. [lb/ac]"""
    harvest = job.area.harvest
    if harvest is None or job.made:
        return None
    off = removed_lb_ac(harvest.what, ton_ac=harvest.ton_ac, bu_ac=harvest.bu_ac)
    job.asked_of = f"what is hauled off: {removal_lines(harvest.what, off)[0]}"
    job.say(
        "removal",
        "fed by what is hauled off, not by a soil test: a placeholder.",
        "warning",
        more="; ".join(removal_lines(harvest.what, off)) + ".",
    )
    return need_from_removal(harvest.what, ton_ac=harvest.ton_ac, bu_ac=harvest.bu_ac)


def _kept_back(job: Job, need: dict[str, float]) -> float:
    """Take the nitrogen kept for top-dressing out of ``need`` and return it. [lb/ac]"""
    later = (None if job.made else job.area.topdress_n_lb_ac) or 0.0
    kept = min(later, need["n"])
    if kept < later:
        job.say(
            "topdress-cut",
            f"{figure(later, 'lb/ac', AS_IT_IS)} of nitrogen was to be top-dressed, but only "
            f"{figure(kept, 'lb/ac', AS_IT_IS, bare=True)} is called for.",
            "info",
        )
    need["n"] -= kept
    return kept
