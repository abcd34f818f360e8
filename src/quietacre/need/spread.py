"""Each piece's share of the fertilizer plan, and what of it is over or short."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.crop_names import top_dressed
from quietacre.days import say_day
from quietacre.figures import AS_IT_IS, figure
from quietacre.need.asked import TOP
from quietacre.need.cautions import grade_cautions
from quietacre.need.fertilizer import why_short
from quietacre.need.grade import CRUMB_SHARE, NUTRIENTS
from quietacre.need.job import LATER, NOW
from quietacre.need.machine import spreader_line, thin_text
from quietacre.need.plan_lines import DOUBT_PCT
from quietacre.need.records import FertilizerLine, LeftShort, Unmet
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.need.fertilizer import Plan, Plot
    from quietacre.need.grade import Grade
    from quietacre.need.job import Job
    from quietacre.settings import Buying, Property

#: Worth saying that a need stays short. [lb]
SAY_SHORT_LB = 0.5


def spread(
    jobs: Sequence[Job],
    plots: Sequence[Plot],
    grades: Sequence[Grade],
    plan: Plan,
    prop: Property,
) -> None:
    """Put each area's share of the plan into its amounts, and say what stays short."""
    by_key = {plot.key: plot for plot in plots}
    for job in jobs:
        mine = [(by_key.get(job.key), NOW), (by_key.get(job.key + TOP), LATER)]
        for plot, when in mine:
            if plot is not None:
                _spread_one(job, plot, when, grades, plan, prop)
        used = job.fertilizer
        if job.asked_lb_ac is not None:
            _sum_up(job, job.asked_lb_ac)
            _say_surplus(job, prop.buying)
            _say_left_short(job, job.asked_lb_ac, prop.buying)
            _say_all_at_once(job)
        drilled = job.mix is not None and job.mix.method == "drill"
        if used:
            names = dict.fromkeys(row.grade for row in used)
            for code, text in grade_cautions(names, drilled=drilled):
                job.say(code, text, "info")


def _sum_up(job: Job, asked_lb_ac: Mapping[str, float]) -> None:
    """Write, in place, the nutrients given in all, and those beyond what is asked."""
    before = job.done_lb_ac or {}
    given = {
        k: sum(row.nutrient_lb_ac(k) for row in job.fertilizer) + before.get(k, 0.0)
        for k in NUTRIENTS
    }
    job.given_lb_ac = given
    job.surplus_lb_ac = {
        k: max(given[k] - asked_lb_ac[k], 0.0)
        for k in NUTRIENTS
        if k != "s" or asked_lb_ac.get("s")  # no cap, no surplus
    }


def _spread_one(
    job: Job, plot: Plot, when: str, grades: Sequence[Grade], plan: Plan, prop: Property
) -> None:
    low, high = job.spread
    later = when == LATER
    on = job.area.topdress_on if later else None
    rates_lb_ac = {
        grade.grade: plan.pounds[plot.key, grade.grade] / job.acres
        for grade in grades
        if (plot.key, grade.grade) in plan.pounds and job.acres > 0
    }
    for grade in grades:
        rate = rates_lb_ac.get(grade.grade)
        if rate is None:
            continue
        pounds = plan.pounds[plot.key, grade.grade]
        job.fertilizer.append(
            FertilizerLine(
                grade=grade.grade, lb_ac=rate, lb=pounds, lb_low=pounds * low,
                lb_high=pounds * high, bag_lb=grade.bag_lb, bags_exact=pounds / grade.bag_lb,
                n_lb_ac=rate * grade.n, p2o5_lb_ac=rate * grade.p2o5,
                k2o_lb_ac=rate * grade.k2o, s_lb_ac=rate * grade.s, when=when, on=on,
            )
        )  # fmt: skip
        swath = prop.equipment.spreader_swath_ft
        line = spreader_line(grade.grade, rate, grade.bag_lb, swath)
        line += thin_text(grade.grade, rates_lb_ac)
        job.setting.append(f"{line} ({LATER})" if later else line)
        if later:
            job.say(
                "top-dressing",
                f"keep {figure(pounds, 'lb', 1)} of {grade.grade} for top-dressing"
                + (
                    f" about {say_day(on, year=True)}"
                    if on
                    else "; say when with topdress_on"
                )
                + ", on dry leaves.",
                "info",
            )
    for k, nutrient in enumerate(NUTRIENTS):
        if plan.short_lb.get((plot.key, nutrient), 0.0) > SAY_SHORT_LB:
            spread = sum(
                g.fractions[k] * plan.pounds.get((plot.key, g.grade), 0.0) for g in grades
            )
            short = plot.left_lb_ac(nutrient) * plot.acres - spread
            why = why_short(plot, nutrient, grades, prop.buying)
            job.say(
                "need-not-met",
                f"{figure(short, 'lb', 0)} of {nutrient.upper()} cannot be met ({when})",
                "warning",
                more=f"{why}.",
            )
            job.unmet.append(Unmet(nutrient, short, when, why))


def _say_left_short(job: Job, asked_lb_ac: Mapping[str, float], buying: Buying) -> None:
    """Say what of a need the person's own short_pct leaves out."""
    unmet = {row.nutrient for row in job.unmet}
    given, before = job.given_lb_ac or {}, job.done_lb_ac or {}
    rows = [
        LeftShort(k, (asked - given[k]) * job.acres, asked * job.acres)
        for k, asked in asked_lb_ac.items()
        if k not in unmet
    ]
    left = [
        row for row in rows
        if row.lb > SAY_SHORT_LB
        and not (before.get(row.nutrient) and row.lb < CRUMB_SHARE * row.asked_lb)
    ]  # fmt: skip
    if not left:
        return
    job.left_short = tuple(left)
    worst = max(100 * row.lb / row.asked_lb for row in left)
    job.say(
        "left-short",
        f"under the soil test, by up to the {buying.short_pct:g} % of your choice: "
        + ", ".join(
            f"{figure(row.lb, 'lb', 0, to=row.asked_lb, joined=' of ')} {row.nutrient.upper()}"
            for row in left
        ),
        "warning" if worst > DOUBT_PCT + 1e-6 else "caution",
        more="To meet it, say 0 in "
        + box_and_line("buying", "short_pct", "short_pct = 0 under [buying]")
        + ".",
    )


def _say_all_at_once(job: Job) -> None:
    """Say that a grain gets all its nitrogen before planting, and how to keep some back."""
    grain = job.mix and top_dressed().intersection(seed.crop for seed in job.mix.seed)
    given = (job.given_lb_ac or {}).get("n", 0.0)
    short = any(row.nutrient == "n" for row in job.unmet)
    if not grain or job.area.topdress_n_lb_ac or given < 1.0 or short:
        return
    job.say(
        "nitrogen-before-planting",
        f"all {figure(given, 'lb/ac', 0)} of nitrogen go on before planting, so none is top-dressed",
        "info",
        more="To keep part of it for when the grain is up, fill in "
        + box_and_line("area", "topdress_n_lb_ac", "topdress_n_lb_ac under this area")
        + " and "
        + box_and_line("area", "topdress_on", "topdress_on under this area")
        + ".",
    )


def _say_surplus(job: Job, buying: Buying) -> None:
    over = {k: v for k, v in (job.surplus_lb_ac or {}).items() if v > 1.0}
    if over:
        surplus_text = ", ".join(
            f"{figure(v, 'lb/ac', 0)} of {k.upper()}" for k, v in over.items()
        )
        job.say(
            "surplus",
            f"more than asked: {surplus_text}; {buying.over_pct:g} % or "
            f"{figure(buying.over_lb_ac, 'lb/ac', AS_IT_IS)} more is allowed, whichever is greater.",
            "info",
        )
