"""What each area takes, and what to buy for all of them together."""

from __future__ import annotations

import contextlib
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from quietacre.crop_names import top_dressed
from quietacre.days import say_day
from quietacre.errors import NeedProblem
from quietacre.frames import areas_by_id, check_strips
from quietacre.model import Note
from quietacre.need.cautions import all_cautions, grade_cautions, seed_cautions
from quietacre.need.cover import cover_lines
from quietacre.need.fertilizer import Plan, Plot, plan_fertilizer, why_short
from quietacre.need.forage import how_much
from quietacre.need.grade import (
    NUTRIENTS,
    Grade,
    oxide_needs,
    parse_grade,
)
from quietacre.need.inoculant import PACKET, inoculate_text
from quietacre.need.legumes import MOST_LEGUME, left_out_text, legume_share
from quietacre.need.lime import lime_rate, months_text, parts_text
from quietacre.need.machine import seed_line, sprayer_line, spreader_line
from quietacre.need.plan_lines import (
    DOUBT_PCT,
    left_out_lines,
    plan_lines,
    price_notes,
    short_lines,
    unmet_lines,
)
from quietacre.need.removal import need_from_removal, removal_lines, removed_lb_ac
from quietacre.need.seed import seed_needs
from quietacre.need.spray import over_label, tank_plan
from quietacre.need.tables import cite, crop_lines, crops
from quietacre.need.work import lime_work, sow_work, spray_minutes, spread_work
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    import geopandas as gpd
    import pandas as pd

    from quietacre.need.tables import Crop
    from quietacre.settings import Area, Buying, Mix, Product, Property, SoilTest

LIME = "lime"
PROPERTY_FILE = "property.toml"
#: A second plot of the plan stands for the nitrogen kept back for later.
TOP = "+top"
NOW, LATER = "planting", "top-dressing"
RUNNERS_UP = 2
#: Biology and Management of White-tailed Deer in Alabama, n.d.: test every two years.
TEST_YEARS = 2
#: Worth saying that a need stays short. [lb]
SAY_SHORT_LB = 0.5


@contextlib.contextmanager
def _named_after(source: str) -> Iterator[None]:
    """Name the file in a problem that does not know where its figures came from."""
    try:
        yield
    except NeedProblem as problem:
        if problem.source is None:
            problem.source = source
        raise


@dataclass(frozen=True)
class NeedPlan:
    """Amounts by area or strip id, the shopping list, and what to say about them."""

    by_id: dict[str, dict[str, Any]]
    shopping: list[dict[str, Any]]
    fertilizer_plan: dict[str, Any]
    how_much: dict[str, Any]
    cautions: list[dict[str, str]]
    notes: tuple[Note, ...]  # of the whole property
    crops: dict[str, list[str]]  # what the table holds of each crop that is sown


@dataclass
class _Job:
    """One piece of ground to sow, feed or spray."""

    key: str
    name: str
    acres: float
    low: float
    high: float
    lon: float
    lat: float
    mix: Mix | None
    test: SoilTest | None
    area: Area
    made: bool  # a strip, not a declared area
    table: Mapping[str, Crop]  # the crop table as it holds here
    need: dict[str, Any] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)

    def say(self, code: str, text: str, level: Any = "caution") -> None:  # noqa: ANN401
        self.notes.append(Note(code, text, level, None, self.name, self.lon, self.lat))

    @property
    def spread(self) -> tuple[float, float]:
        """Return acres_low and acres_high over acres."""
        if self.acres <= 0:
            return 1.0, 1.0
        return self.low / self.acres, self.high / self.acres


def plan_needs(
    areas: gpd.GeoDataFrame, prop: Property, *, strips: pd.DataFrame | None = None,
    property_acres: float | None = None,
) -> NeedPlan:  # fmt: skip
    """Return what every area and strip takes, and what to buy.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) with id, name, kind, acres, acres_low,
        acres_high [ac] and geometry, in any order.
    strips : the same columns, and ``of``, the id of the area a strip goes round; a
        strip is sown and fed when that area's ``strip`` names a mix or a soil test.
    property_acres : inside the property line, None when no line is drawn. [ac]

    Raises
    ------
    NeedProblem
        A seed, grade or label rate cannot be worked with.
    FrameProblem
        The areas cannot be joined with ``prop``, or a strip goes round none of them.
    """
    areas = areas_by_id(areas, prop)
    table = crops(prop.property.state, prop.property.region)
    jobs = list(_jobs(areas, prop, strips, table))
    products = [p for p in prop.product if not p.grade.startswith(LIME)]
    with _named_after(PROPERTY_FILE):
        grades = [_grade(p, prop) for p in products]
    with _named_after(PROPERTY_FILE):
        for job in jobs:
            _sow(job, prop)
            _look_at_test(job)
            _lime(job, prop)
            _spray(job, prop)
        plots = [plot for job in jobs for plot in _plots(job)]
        plan = plan_fertilizer(plots, grades, prop.buying, runners_up=RUNNERS_UP)
    _spread(jobs, plots, grades, plan, prop)
    for job in jobs:
        _count_work(job, prop)
    shopping = [
        *_seed_shopping(jobs, prop),
        *_inoculant_shopping(jobs),
        *_fertilizer_shopping(jobs, grades, plan, prop),
        *_lime_shopping(jobs, prop),
        *_spray_shopping(jobs, prop),
    ]
    _costs(jobs, shopping)
    said = [
        *short_lines(
            [
                (j.name, row["nutrient"], row["lb"])
                for j in jobs
                for row in j.need.get("left_short", ())
            ],
            prop.buying,
        ),
        *left_out_lines(
            [(j.name, j.need.get("left_out_n_lb_ac", 0.0) * j.acres) for j in jobs]
        ),
        *unmet_lines([(j.name, row) for j in jobs for row in j.need.get("unmet", ())]),
    ]
    for job in jobs:
        job.need["notes"] = [note.to_dict() for note in job.notes]
    return NeedPlan(
        by_id={job.key: job.need for job in jobs},
        shopping=shopping,
        fertilizer_plan={
            "status": plan.status,
            "gap": plan.gap,
            "cost": round(plan.cost, 2),
            "bags": dict(plan.bags),
            "proof": plan.proof,
            "runners_up": [
                {
                    "cost": round(other.cost, 2),
                    "more": round(other.cost - plan.cost, 2),
                    "bags": dict(other.bags),
                    "products": list(other.products),
                    "proof": other.proof,
                }
                for other in plan.runners_up
            ],
            "text": [*plan_lines(plan), *said],
            "said": said,
        },
        how_much=how_much(areas, property_acres, prop.forage),
        cautions=all_cautions(),
        notes=tuple(price_notes(shopping, plan)),
        crops={
            name: [
                *crop_lines(table[name]),
                cite(table[name].source),
            ]
            for name in sorted({row["crop"] for job in jobs for row in job.need["seed"]})
            if name in table
        },
    )


def _jobs(
    areas: gpd.GeoDataFrame, prop: Property, strips: pd.DataFrame | None,
    table: Mapping[str, Crop],
) -> Iterator[_Job]:  # fmt: skip
    mixes = {mix.name: mix for mix in prop.mix}
    tests = {test.name: test for test in prop.soil_test}
    by_id = prop.area_by_id
    for row, area in enumerate(by_id.values()):
        record = areas.iloc[row]
        by_id[record["id"]] = area
        yield _job(
            record, area, mixes.get(area.mix or ""), tests.get(area.soil_test or ""), table
        )
    if strips is None:
        return
    check_strips(strips, prop)
    for row in range(len(strips)):
        record = strips.iloc[row]
        area = by_id[record["of"]]
        settings = area.strip
        mix = mixes.get(settings.mix or "") if settings else None
        test = tests.get(settings.soil_test or "") if settings else None
        if mix is not None or test is not None:
            yield _job(record, area, mix, test, table, made=True)


def _job(
    record: Any,  # noqa: ANN401 - a row
    area: Area,
    mix: Mix | None,
    test: SoilTest | None,
    table: Mapping[str, Crop],
    *,
    made: bool = False,
) -> _Job:
    point = record["geometry"].representative_point()
    job = _Job(
        record["id"], record["name"], float(record["acres"]), float(record["acres_low"]),
        float(record["acres_high"]), point.x, point.y, mix, test, area, made, table,
    )  # fmt: skip
    job.need = {
        "seed": [], "fertilizer": [], "lime": None, "spray": [], "setting": [],
        "cost": None, "cost_ac": None, "notes": [],
    }  # fmt: skip
    return job


def _sow(job: _Job, prop: Property) -> None:
    if job.mix is None:
        return
    job.need["seed"], said = seed_needs(job.mix, job.acres, job.low, job.high, job.table)
    for row in job.need["seed"]:
        rule = prop.crop.get(row["crop"])
        if row["own_window"] is None and rule is not None:
            row["own_window"] = rule.window
    for code, text, level in said:
        job.say(code, text, level)
    gear = prop.equipment
    job.need["setting"] += [
        seed_line(row, gear.spreader_swath_ft, gear.drill_width_ft)
        for row in job.need["seed"]
    ]
    job.need["setting"] += cover_lines(job.need["seed"])
    for code, text in seed_cautions([r["crop"] for r in job.need["seed"]], job.mix.method):
        job.say(code, text, "info" if code == "baiting-law" else "caution")
    memory = [row["crop"] for row in job.need["seed"] if row["from_memory"]]
    if memory:
        job.say(
            "rate-from-memory",
            f"the {job.mix.method} rate of {', '.join(memory)} is from memory, read in no "
            "source: check it with extension.",
            "warning",
        )
    inoculate = inoculate_text(job.need["seed"])
    if inoculate:
        job.say("inoculate", f"{inoculate}.", "info")
        job.need["setting"].append(inoculate)


def _look_at_test(job: _Job) -> None:
    """Say when a soil test is old, and when its pH is too low for what is sown."""
    test = job.test
    if test is None:
        return
    when = job.area.plant
    if test.on is not None and when is not None:
        years = (when - test.on).days / 365.25
        if years > TEST_YEARS:
            job.say(
                "old-soil-test",
                f"the soil test is {years:.1f} years old at planting; take one at least "
                "every two years (Biology and Management of White-tailed Deer in Alabama).",
            )
    if test.ph is None or job.mix is None:
        return
    low = []
    for seed in job.mix.seed:
        crop = job.table.get(seed.crop)
        if crop is None or crop.ph_min is None or test.ph >= crop.ph_min:
            continue
        read_in = cite(crop.ph_source) if crop.ph_source else "from memory"
        low.append(f"{seed.crop} wants {crop.ph_min:g} at least ({read_in})")
    if low:
        job.say(
            "ph-too-low",
            f"the soil test reads pH {test.ph:g}; {', '.join(low)}. Lime first, months ahead.",
        )


def _lime_product(prop: Property) -> Product | None:
    """Return the first lime the person can buy."""
    return next((p for p in prop.product if p.grade.startswith(LIME)), None)


def _lime(job: _Job, prop: Property) -> None:
    if job.test is None:
        return
    lime = lime_rate(job.test, _lime_product(prop), prop.property.state)
    if lime is None:
        return
    for text in lime.warnings:
        job.say("lime-basis", text)
    for text in lime.doubts:
        job.say("lime-basis", text, "warning")
    if len(lime.parts_ton_ac) > 1:
        job.say("lime-in-parts", parts_text(lime), "warning")
    job.say("lime-months-ahead", f"{months_text()}.", "info")
    low, high = job.spread
    ton_ac = lime.parts_ton_ac[0]
    ton = ton_ac * job.acres
    job.need["lime"] = {
        "whole_ton_ac": lime.ton_ac, "parts_ton_ac": list(lime.parts_ton_ac),
        "ton_ac": ton_ac, "ton": ton, "ton_low": ton * low, "ton_high": ton * high,
        "product": lime.product, "basis": lime.basis, "text": lime.text,
        "months_ahead": list(lime.months_ahead),
    }  # fmt: skip


def _spray(job: _Job, prop: Property) -> None:
    if job.made:
        return
    sprays = {spray.name: spray for spray in prop.spray}
    for feed in job.area.feed:
        spray = sprays[feed.spray]
        gear = prop.equipment
        row = tank_plan(spray, job.acres * feed.share, gear.tank_gal, gear.spray_gal_ac)
        low, high = job.spread
        row |= {
            "acres": job.acres * feed.share, "share": feed.share, "on": feed.on.isoformat() if feed.on else None,
            "gal_low": row["gal"] * low, "gal_high": row["gal"] * high,
            "minutes": spray_minutes(
                job.acres * feed.share, row["loads_full"] + (row["last_load_gal"] > 0), gear
            ),
        }  # fmt: skip
        job.need["spray"].append(row)
        gal_ac = spray.spray_gal_ac or gear.spray_gal_ac
        line = sprayer_line(gal_ac, gear.spray_swath_ft, gear.spray_mph)
        if line not in job.need["setting"]:
            job.need["setting"].append(line)
        warning = over_label(spray)
        if warning:
            job.say("above-label", warning, "warning")
        if job.area.kind == "patch" and spray.use == "foliar feed":
            job.say(
                "feeding-the-vine",
                "feeding the vine makes it run: re-survey its edge and widen the strip; "
                "no trial shows what it gains as browse.",
            )


def _plots(job: _Job) -> list[Plot]:
    """Return what an area needs at planting and later, nothing when it is not fertilized."""
    mode = job.area.fertilizer or ("soil test" if job.test else "none")
    grown = [
        job.table[seed.crop]
        for seed in (job.mix.seed if job.mix else ())
        if seed.crop in job.table
    ]
    if job.area.harvest is not None and mode == "soil test" and not job.made:
        _say_hauled_off(job)
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
            f"legumes only: the {need['n']:.0f} lb/ac of nitrogen asked for is left out, and "
            "no product that carries nitrogen is spread.",
            "info",
        )
    later = 0.0 if only_legumes else _kept_back(job, need)
    if only_legumes:
        need["n"] = 0.0
    elif mostly_legumes and need["n"] > 0:
        job.say("no-nitrogen-before-legumes", left_out_text(need["n"], share))
        job.need["left_out_n_lb_ac"], need["n"] = need["n"], 0.0
    elif any(legumes) and need["n"] > 0:
        job.say(
            "nitrogen-on-legumes",
            f"{need['n']:.0f} lb/ac of nitrogen on a mix with legumes: nodules drop at 50 "
            "lb or more (Univ. of Tennessee, 2014, soybean). How much is your judgment.",
            "info",
        )
    job.need["asked_lb_ac"] = {**need, "n": need["n"] + later}
    out = []
    if any(need.values()):
        none_of = frozenset({"n"} if only_legumes or mostly_legumes else ())
        out.append(Plot(job.key, job.acres, need, job.area.max_products, none_of))
    if later > 0:
        out.append(Plot(job.key + TOP, job.acres, {"n": later, "p2o5": 0.0, "k2o": 0.0}, 1))
    return out


def _asked(job: _Job, mode: str, grown: Sequence[Crop]) -> dict[str, float] | None:
    """Return oxides asked for, None when the area is not fertilized. [lb/ac]"""
    if mode == "none":
        return None
    if mode == "maintenance":
        if not grown:
            return None
        memory = [
            crop.name
            for crop in grown
            if any(c.startswith("maint_") for c in crop.from_memory)
        ]
        job.say(
            "maintenance-default",
            "these are maintenance figures, not a soil test's: a placeholder. Take a sample."
            + (f" From memory in part: {', '.join(memory)}." if memory else ""),
            "warning",
        )
        return {
            nutrient: max(crop.maintenance_lb_ac[k] for crop in grown)
            for k, nutrient in enumerate(NUTRIENTS[:3])  # the table has no sulfur
        }
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
    return oxide_needs(given, ppm=job.test.need_lb_ac is None)


def _say_hauled_off(job: _Job) -> None:
    harvest = job.area.harvest
    if harvest is not None:
        off = removed_lb_ac(harvest.what, ton_ac=harvest.ton_ac, bu_ac=harvest.bu_ac)
        lines = removal_lines(harvest.what, off)
        job.say(
            "removal",
            f"{lines[0]}. The soil test's figures are used as they stand: tell the laboratory "
            "what you haul off.",
            "info",
        )


def _put_back(job: _Job) -> dict[str, float] | None:
    """Return what would put back what is hauled off. [lb/ac]"""
    harvest = job.area.harvest
    if harvest is None or job.made:
        return None
    off = removed_lb_ac(harvest.what, ton_ac=harvest.ton_ac, bu_ac=harvest.bu_ac)
    job.say(
        "removal",
        "fed by what is hauled off, not by a soil test: a placeholder. "
        + "; ".join(removal_lines(harvest.what, off))
        + ".",
        "warning",
    )
    return need_from_removal(harvest.what, ton_ac=harvest.ton_ac, bu_ac=harvest.bu_ac)


def _kept_back(job: _Job, need: dict[str, float]) -> float:
    """Take the nitrogen kept for top-dressing out of ``need`` and return it. [lb/ac]"""
    later = job.area.topdress_n_lb_ac or 0.0
    if later <= 0 or job.made:
        return 0.0
    kept = min(later, need["n"])
    if kept < later:
        job.say(
            "topdress-cut",
            f"{later:g} lb/ac of nitrogen was to be top-dressed, but only {kept:g} is called "
            "for.",
            "info",
        )
    need["n"] -= kept
    return kept


def _grade(product: Product, prop: Property) -> Grade:
    n, p2o5, k2o, s = parse_grade(product.grade)
    bag_lb = SHORT_TON_LB if product.bulk else (product.bag_lb or 50.0)
    left = _in_stock(prop, product.grade, bag_lb)
    return Grade(
        product.grade, n, p2o5, k2o, s, bag_lb, product.price, left, product.max_bags
    )


def _spread(
    jobs: Sequence[_Job],
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
        used = job.need["fertilizer"]
        if "asked_lb_ac" in job.need:
            given = {k: sum(row[f"{k}_lb_ac"] for row in used) for k in NUTRIENTS}
            job.need["given_lb_ac"] = given
            job.need["surplus_lb_ac"] = {
                k: max(given[k] - job.need["asked_lb_ac"].get(k, 0.0), 0.0)
                for k in NUTRIENTS
                if k != "s" or job.need["asked_lb_ac"].get("s")  # no cap, no surplus
            }
            _say_surplus(job, prop.buying)
            _say_left_short(job, prop.buying)
            _say_all_at_once(job)
        drilled = job.mix is not None and job.mix.method == "drill"
        if used:
            names = dict.fromkeys(row["grade"] for row in used)
            for code, text in grade_cautions(names, drilled=drilled):
                job.say(code, text, "info")


def _spread_one(
    job: _Job, plot: Plot, when: str, grades: Sequence[Grade], plan: Plan, prop: Property
) -> None:
    low, high = job.spread
    later = when == LATER
    on = job.area.topdress_on if later else None
    for grade in grades:
        pounds = plan.pounds.get((plot.key, grade.grade))
        if pounds is None or job.acres <= 0:
            continue
        rate = pounds / job.acres
        job.need["fertilizer"].append(
            {
                "grade": grade.grade, "lb_ac": rate, "lb": pounds,
                "lb_low": pounds * low, "lb_high": pounds * high,
                "bag_lb": grade.bag_lb, "bags_exact": pounds / grade.bag_lb,
                "n_lb_ac": rate * grade.n, "p2o5_lb_ac": rate * grade.p2o5,
                "k2o_lb_ac": rate * grade.k2o, "s_lb_ac": rate * grade.s, "when": when,
                "on": on.isoformat() if on else None,
            }
        )  # fmt: skip
        swath = prop.equipment.spreader_swath_ft
        line = spreader_line(grade.grade, rate, grade.bag_lb, swath)
        job.need["setting"].append(f"{line} ({LATER})" if later else line)
        if later:
            job.say(
                "top-dressing",
                f"keep {pounds:.1f} lb of {grade.grade} for top-dressing"
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
            short = plot.need_lb_ac.get(nutrient, 0.0) * plot.acres - spread
            why = why_short(plot, nutrient, grades, prop.buying)
            job.say(
                "need-not-met",
                f"{short:.0f} lb of {nutrient.upper()} cannot be met ({when}): {why}.",
                "warning",
            )
            job.need.setdefault("unmet", []).append(
                {"nutrient": nutrient, "lb": short, "when": when, "why": why}
            )


def _say_left_short(job: _Job, buying: Buying) -> None:
    """Say what of a need the person's own short_pct leaves out."""
    unmet = {row["nutrient"] for row in job.need.get("unmet", ())}
    rows = [
        {
            "nutrient": k,
            "lb": (asked - job.need["given_lb_ac"][k]) * job.acres,
            "asked_lb": asked * job.acres,
        }
        for k, asked in job.need["asked_lb_ac"].items()
        if k not in unmet
    ]
    left = [row for row in rows if row["lb"] > SAY_SHORT_LB]
    if not left:
        return
    job.need["left_short"] = left
    worst = max(100 * row["lb"] / row["asked_lb"] for row in left)
    job.say(
        "left-short",
        f"under the soil test by your choice (short_pct = {buying.short_pct:g}): "
        + ", ".join(
            f"{row['lb']:.0f} of {row['asked_lb']:.0f} lb {row['nutrient'].upper()}"
            for row in left
        )
        + ". Write short_pct = 0 under [buying] to meet it.",
        "warning" if worst > DOUBT_PCT + 1e-6 else "caution",
    )


def _say_all_at_once(job: _Job) -> None:
    """Say that a grain gets all its nitrogen before planting, and how to keep some back."""
    grain = job.mix and top_dressed().intersection(seed.crop for seed in job.mix.seed)
    given = job.need["given_lb_ac"]["n"]
    short = any(row["nutrient"] == "n" for row in job.need.get("unmet", ()))
    if not grain or job.area.topdress_n_lb_ac or given < 1.0 or short:
        return
    job.say(
        "nitrogen-before-planting",
        f"all {given:.0f} lb/ac of nitrogen go on before planting, so none is top-dressed. To "
        "keep part of it for when the grain is up, write topdress_n_lb_ac and topdress_on "
        "under this area in the property file.",
        "info",
    )


def _say_surplus(job: _Job, buying: Buying) -> None:
    over = {k: v for k, v in job.need["surplus_lb_ac"].items() if v > 1.0}
    if over:
        said = ", ".join(f"{v:.0f} lb/ac of {k.upper()}" for k, v in over.items())
        job.say(
            "surplus",
            f"more than asked: {said}; {buying.over_pct:g} % or {buying.over_lb_ac:g} lb/ac more "
            "is allowed, whichever is greater.",
            "info",
        )


def _count_work(job: _Job, prop: Property) -> None:
    """Count minutes, passes and loads of each job that spreads or sows something."""
    need, gear, work = job.need, prop.equipment, {}
    if need["seed"]:
        work["plant"] = sow_work(job.acres, need["seed"], gear)
    for task, when in (("fertilize", NOW), ("top-dress", LATER)):
        pounds = [row["lb"] for row in need["fertilizer"] if row["when"] == when]
        if pounds:
            work[task] = spread_work(job.acres, pounds, gear)
    if need["lime"]:
        lime_lb = need["lime"]["ton"] * SHORT_TON_LB
        work["lime"] = lime_work(job.acres, lime_lb, gear, _lime_product(prop))
    need["work"] = {task: one.to_dict() for task, one in work.items()}
    for one in work.values():
        if one.note:
            job.say("many-loads", one.note)


def _item(
    item: str, what: str, unit: str, need: float, low: float, high: float, *,
    stock: float, pack: float | None, price: float | None, used: list[dict[str, Any]],
) -> dict[str, Any]:  # fmt: skip
    buy = max(need - stock, 0.0)

    def packs(amount: float) -> int | None:
        return None if pack is None else math.ceil(max(amount - stock, 0.0) / pack - 1e-9)

    count, fewest, most = packs(need), packs(low), packs(high)
    return {
        "item": item, "what": what, "unit": unit, "need": need, "need_low": low,
        "need_high": high, "from_stock": min(stock, need), "buy": buy, "pack": pack,
        "packs": count, "packs_low": fewest, "packs_high": most, "price": price,
        "cost": None if price is None or count is None else round(price * count, 2),
        "used_by": used,
        "name": None, "tons": need / SHORT_TON_LB if unit == "lb" else None,
        "tank_loads": None, **_counted(count, fewest, most, buy, pack),
    }  # fmt: skip


def _counted(
    count: int | None, fewest: int | None, most: int | None, buy: float, pack: float | None
) -> dict[str, Any]:
    """Return what is left over, and whether the ± of the acreage changes the number."""
    if count is None or pack is None:
        return {"left_over": None, "note": None}
    if fewest == most:
        note = "the ± of the acreage does not change the number"
    else:
        note = f"the ± of the acreage changes the number: {fewest} to {most}"
    return {"left_over": max(count * pack - buy, 0.0), "note": note}


def _use(job: _Job, amount: float) -> dict[str, Any]:
    return {"area": job.name, "id": job.key, "amount": amount}


def _in_stock(prop: Property, item: str, pack_lb: float | None) -> float:
    return sum(
        (s.amount_lb or 0.0) + (s.bags or 0.0) * (pack_lb or 0.0)
        for s in prop.stock
        if s.item == item
    )


def _seed_shopping(jobs: Sequence[_Job], prop: Property) -> Iterator[dict[str, Any]]:
    found: dict[
        tuple[str, float | None, float | None], list[tuple[_Job, dict[str, Any]]]
    ] = {}
    for job in jobs:
        if job.mix is None:
            continue
        for seed, row in zip(job.mix.seed, job.need["seed"], strict=True):
            found.setdefault((seed.crop, seed.bag_lb, seed.price_lb), []).append((job, row))
    for (crop, bag_lb, price_lb), rows in found.items():
        price = price_lb * (bag_lb or 1.0) if price_lb is not None else None
        yield _item(
            crop, "seed", "lb",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=_in_stock(prop, crop, bag_lb), pack=bag_lb or 1.0, price=price,
            used=[_use(job, r["lb"]) for job, r in rows],
        )  # fmt: skip


def _inoculant_shopping(jobs: Sequence[_Job]) -> Iterator[dict[str, Any]]:
    """Yield a line for each group of inoculant: the pounds of seed that it must treat."""
    groups: dict[str, list[tuple[_Job, Mapping[str, Any]]]] = {}
    for job in jobs:
        for row in job.need["seed"]:
            if row["inoculant"]:
                groups.setdefault(row["inoculant"], []).append((job, row))
    for group, rows in groups.items():
        line = _item(
            f"inoculant: {group}", "inoculant", "lb of seed",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=0.0, pack=None, price=None, used=[_use(job, r["lb"]) for job, r in rows],
        )  # fmt: skip
        yield line | {"note": PACKET}


def _fertilizer_shopping(
    jobs: Sequence[_Job], grades: Sequence[Grade], plan: Plan, prop: Property
) -> Iterator[dict[str, Any]]:
    names = {product.grade: product.name for product in prop.product}
    for grade in grades:
        rows = [
            (job, row)
            for job in jobs
            for row in job.need["fertilizer"]
            if row["grade"] == grade.grade
        ]
        if not rows:
            continue
        item = _item(
            grade.grade, "fertilizer", "lb",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=grade.stock_lb, pack=grade.bag_lb, price=grade.price,
            used=[_use(job, r["lb"]) for job, r in rows],
        )  # fmt: skip
        bags = plan.bags.get(grade.grade, 0)
        item |= {
            "packs": bags,
            "cost": None if grade.price is None else round(grade.price * bags, 2),
            "left_over": max(bags * grade.bag_lb - item["buy"], 0.0),
            "name": names.get(grade.grade),
        }
        yield item


def _lime_shopping(jobs: Sequence[_Job], prop: Property) -> Iterator[dict[str, Any]]:
    limed = [job for job in jobs if job.need["lime"]]
    if not limed:
        return
    product = _lime_product(prop)
    # lime nobody has named comes by the ton; a product neither bulk nor bagged, loose
    pack = SHORT_TON_LB if product is None or product.bulk else product.bag_lb
    yield _item(
        product.grade if product else "lime (no product listed)", "lime", "lb",
        sum(j.need["lime"]["ton"] for j in limed) * SHORT_TON_LB,
        sum(j.need["lime"]["ton_low"] for j in limed) * SHORT_TON_LB,
        sum(j.need["lime"]["ton_high"] for j in limed) * SHORT_TON_LB,
        stock=_in_stock(prop, product.grade, pack or SHORT_TON_LB) if product else 0.0,
        pack=pack,
        price=product.price if product else None,
        used=[_use(j, j.need["lime"]["ton"] * SHORT_TON_LB) for j in limed],
    ) | {"name": product.name if product else None}  # fmt: skip


def _spray_shopping(jobs: Sequence[_Job], prop: Property) -> Iterator[dict[str, Any]]:
    for spray in prop.spray:
        rows = [(j, r) for j in jobs for r in j.need["spray"] if r["name"] == spray.name]
        if not rows:
            continue
        pounds = rows[0][1]["unit"] == "lb"
        stock = sum(
            (s.amount_lb if pounds else s.amount_fl_oz) or 0.0
            for s in prop.stock
            if s.item == spray.name
        )
        yield _item(
            spray.name, "spray", rows[0][1]["unit"],
            sum(r["product"] for _, r in rows),
            sum(r["product"] * j.spread[0] for j, r in rows),
            sum(r["product"] * j.spread[1] for j, r in rows),
            stock=stock, pack=spray.pack_lb if pounds else spray.pack_fl_oz, price=spray.price,
            used=[_use(j, r["product"]) for j, r in rows],
        ) | {"tank_loads": _loads(rows)}  # fmt: skip


def _loads(rows: Sequence[tuple[_Job, Mapping[str, Any]]]) -> int:
    """Return tanks to fill, a partial one counted: each area is mixed for itself."""
    return sum(row["loads_full"] + (row["last_load_gal"] > 0) for _, row in rows)


def _costs(jobs: Sequence[_Job], shopping: Sequence[Mapping[str, Any]]) -> None:
    """Give each area its share of what is bought, by amount."""
    totals = dict.fromkeys((job.key for job in jobs), 0.0)
    for row in shopping:
        used = sum(share["amount"] for share in row["used_by"])
        if row["cost"] is None or used <= 0:
            continue
        for share in row["used_by"]:
            totals[share["id"]] += row["cost"] * share["amount"] / used
    for job in jobs:
        cost = totals[job.key]
        if cost > 0 and job.acres > 0:
            job.need["cost"] = round(cost, 2)
            job.need["cost_ac"] = round(cost / job.acres, 2)
