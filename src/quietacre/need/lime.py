"""Tons of lime: as the laboratory wrote it, for the product in hand.

A laboratory writes lime on some basis. ECCE and RNV both count neutralizing value
*times* fineness; CCE counts neutralizing value alone; ENP and ENM count effective pounds,
so that a rate is pounds of them, not of lime; "pure" is fine, pure calcium carbonate. A rate
on one basis is never scaled by a product's figure on another.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.in_parts import InParts
from quietacre.need.buffers import MEHLICH_STATE, its_method
from quietacre.need.grade import CRUMB_SHARE
from quietacre.need.tables import lime_bases, lime_fineness
from quietacre.shipped import cite
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.settings import Product, SoilTest

#: Most lime begins to change the soil in so many months: source ``mo-lime-time``.
MONTHS_AHEAD = (3, 6)
#: Not more at once on top of the ground; the rest two to three years later: ``mo-lime``.
MOST_TON_AT_ONCE = 2.0
LATER_YEARS = "two to three years later"
#: NCDA&CS, bufftab1: pH of the buffer, meq/100 cm³ per unit of pH below it.
MEHLICH_BUFFER_PH = 6.6
MEHLICH_PER_PH = 4.0
#: NCDA&CS: share of the last lime's credit that is used up each month.
CREDIT_LOST_A_MONTH = {"mineral": 0.08, "mineral-organic": 0.16, "organic": 0.16}
#: Measures that count effective pounds, and the key that says a product's.
COUNTED = {"ENP": "enp_lb_ton", "ENM": "enm_lb_ton"}
SOURCED_BUFFERS = ("mehlich",)


@dataclass(frozen=True)
class Lime:
    """Lime to spread: tons of product per acre, and how that came about."""

    ton_ac: float
    product: str | None
    basis: str
    text: str
    warnings: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()  # taken without being told, and able to move the tons
    parts_ton_ac: tuple[float, ...] = ()  # now, and years later
    months_ahead: tuple[int, int] = MONTHS_AHEAD


def lime_parts(ton_ac: float, *, worked_in: bool) -> tuple[float, ...]:
    """Return tons an acre to spread now and later: all of it when it is worked in.

    Two tons at a time and then the rest; a rest under ``CRUMB_SHARE`` of two tons goes on
    with what comes before it.

    Notes
    -----
    How Much Lime To Apply?, University of Missouri Extension, n.d.
    """
    if worked_in:
        return (ton_ac,)
    most = MOST_TON_AT_ONCE
    full = int(ton_ac // most)
    if full and ton_ac <= (full + CRUMB_SHARE) * most:
        full -= 1
    return (*(most,) * full, ton_ac - full * most)


def fineness_efficiency(passing_pct: Mapping[int, float], state: str) -> float:
    """Return the effective share of a lime's grains by its state's weights.

    Parameters
    ----------
    passing_pct : percent of the lime that passes each mesh, by mesh.
    state : two letters; only states whose weights were read in a source.

    Raises
    ------
    NeedProblem
        The state's weights are not known, a mesh is missing, or the figures cannot be.

    Notes
    -----
    Weights and their sources: ``lime_fineness.csv``.
    """
    weights = lime_fineness().get(state)
    if weights is None:
        raise NeedProblem(
            f"no fineness weights of {state or 'a state'} were read in a source "
            f"(known: {', '.join(sorted(lime_fineness()))})",
            fix="give the effective value printed on the ticket (ecce_pct or rnv_pct)",
        )
    meshes = sorted(weights)
    missing = [mesh for mesh in meshes if mesh not in passing_pct]
    if missing:
        raise NeedProblem(
            f"{state} weighs lime by the {', '.join(map(str, meshes))} mesh; "
            f"{', '.join(map(str, missing))} is not given",
            fix="give the percent passing each of them",
        )
    passed = [passing_pct[mesh] / 100.0 for mesh in meshes]
    if any(fine > coarse for coarse, fine in itertools.pairwise(passed)):
        raise NeedProblem(
            "more lime passes a fine mesh than a coarse one", fix="check the ticket"
        )
    finer = [*passed[1:], 0.0]
    return sum(
        weights[mesh] * (share - next_finer)
        for mesh, share, next_finer in zip(meshes, passed, finer, strict=True)
    )


def mehlich_ton_ac(
    ph: float, buffer_ph: float, target_ph: float, *, last_ton_ac: float = 0.0,
    last_months: float = 0.0, soil: str = "mineral",
) -> float:  # fmt: skip
    """Return tons per acre by the Mehlich buffer as North Carolina reads it.

    acidity = 4 × (6.6 − buffer pH); share = (target − pH) / (6.6 − pH); their product
    less what the last lime still gives. Nothing when the soil stands at its target.

    Raises
    ------
    NeedProblem
        The soil class is not one of the three, or the buffer reads above 6.6.

    Notes
    -----
    NCDA&CS, bufftab1, n.d. The credit shrinks by 8 % (mineral) or 16 % a month of what
    was spread; the page prints the percentages, that they are of the first amount is
    our reading.
    """
    lost = CREDIT_LOST_A_MONTH.get(soil)
    if lost is None:
        raise NeedProblem(
            f"“{soil}” is not a soil class", fix="use mineral, mineral-organic or organic"
        )
    if buffer_ph > MEHLICH_BUFFER_PH:
        raise NeedProblem(
            f"a Mehlich buffer cannot read {buffer_ph:g}: it starts at {MEHLICH_BUFFER_PH:g}",
            fix="this is another method's buffer pH; take the laboratory's lime figure",
        )
    if ph >= MEHLICH_BUFFER_PH:
        return 0.0
    if target_ph > MEHLICH_BUFFER_PH:
        raise NeedProblem(
            f"the method reaches pH {MEHLICH_BUFFER_PH:g} at most, not {target_ph:g}",
            fix="choose a lower target_ph",
        )
    acidity = MEHLICH_PER_PH * (MEHLICH_BUFFER_PH - buffer_ph)
    credit = last_ton_ac * max(1.0 - lost * last_months, 0.0)
    share = (target_ph - ph) / (MEHLICH_BUFFER_PH - ph)
    return max(acidity * share - credit, 0.0)


def lime_rate(
    test: SoilTest, product: Product | None, state: str | None = None
) -> Lime | None:
    """Return tons of product per acre, None when the test asks for none.

    Parameters
    ----------
    test : the laboratory's lime and its basis, or a buffer pH of a sourced method.
    product : the lime in hand, None when none is listed.
    state : two letters, for its fineness weights and what its laboratories assume.

    Raises
    ------
    NeedProblem
        The basis and the product's quality are different measures, or a buffer method
        has no coefficients that were read in a source.

    Notes
    -----
    Doubling the rate for half the quality: Mackowiak, Hay & Forage Grower, n.d. A
    pound of ENP is not a pound of lime: Univ. of Minnesota, Ask Extension 878323, 2024.
    """
    state = test.lime_state or state
    asked = _asked(test, state)
    if asked is None:
        return None
    rate = asked[0]
    measure, pct, steps, warnings, doubts = _basis(test, state, asked, product)
    doubts += _other_table(test, state)
    depth = _depth_of(test, state)
    if depth and test.lime_depth_in:
        rate *= test.lime_depth_in / depth
        mixed = figure(test.lime_depth_in, "in.", AS_IT_IS)
        steps.append(f"mixed {mixed} of {figure(depth, 'in.', AS_IT_IS, bare=True)}")
    if measure in COUNTED:
        rate, label = _by_effective_lb(rate, product, measure, steps)
    else:
        label = "pure CaCO₃" if measure == "pure" else f"{measure} {pct:g} %"
        quality = _quality(product, measure, state) if product else None
        if quality is None:
            if product is not None:
                what = measure if measure != "pure" else "effective value"
                doubts.append(
                    InParts(
                        f"the {what} of {product.grade} is not given",
                        f"tons are those of lime at {label}.",
                    )
                )
                steps.append("product's quality not given: taken as the laboratory's basis")
        else:
            value, how = quality
            rate *= pct / value
            steps.append(f"product at {how}")
            _below(value, measure, state or "", warnings)
    name = None if product is None else (product.name or product.grade)
    return Lime(
        rate, name, label, "; ".join(steps), tuple(warnings), tuple(doubts),
        lime_parts(rate, worked_in=test.lime_depth_in is not None),
    )  # fmt: skip


def _other_table(test: SoilTest, state: str | None) -> list[str]:
    """Return the doubt of a buffer pH that another state's laboratory read."""
    if test.buffer is None or state in (None, MEHLICH_STATE):
        return []
    return [
        InParts(
            f"the tons are North Carolina's reading of a Mehlich buffer{its_method(state)}",
            "one laboratory's buffer pH is never read with another's table",
        )
    ]


def _depth_of(test: SoilTest, state: str | None) -> float | None:
    """Return the depth that a lime figure is for: as written, or as its laboratory's. [in]"""
    depth = test.lime_basis_depth_in
    if depth is None and test.lime_basis is None and state in lime_bases():
        return lime_bases()[state].depth_in
    return depth


def _below(value: float, measure: str, state: str, out: list[str]) -> None:
    """Add the warning that a lime is weaker than its state asks of lime sold there."""
    least = lime_bases().get(state)
    if (
        least
        and least.least_pct
        and least.least_measure == measure
        and value < least.least_pct
    ):
        out.append(
            InParts(
                f"{measure} {value:g} % is under the {least.least_pct:g} % that {state} asks of "
                "lime sold there",
                cited=cite(least.least_source),
            )
        )


def _asked(test: SoilTest, state: str | None) -> tuple[float, str] | None:
    """Return tons per acre (thousand pounds ENP count as tons too), and who says so."""
    if test.buffer is not None:
        if test.buffer.lower() not in SOURCED_BUFFERS:
            raise NeedProblem(
                f"no coefficients of the “{test.buffer}” buffer were read in a source"
                f"{its_method(state)}",
                fix="give the laboratory's own lime figure (lime_ton_ac or lime_lb_ac)",
                where=f"soil_test “{test.name}”",
            )
        if test.ph is None or test.buffer_ph is None or test.target_ph is None:
            raise NeedProblem(
                "a buffer needs ph, buffer_ph and target_ph",
                fix="give all three",
                where=f"soil_test “{test.name}”",
            )
        tons = mehlich_ton_ac(
            test.ph, test.buffer_ph, test.target_ph, last_ton_ac=test.last_lime_ton_ac,
            last_months=test.last_lime_months, soil=test.soil_class,
        )  # fmt: skip
        return (tons, "Mehlich buffer (North Carolina)") if tons > 0 else None
    asked = test.lime_ton_ac
    if asked is None and test.lime_lb_ac is not None:
        asked = test.lime_lb_ac / SHORT_TON_LB
    return (asked, "laboratory") if asked else None


def _basis(
    test: SoilTest, state: str | None, asked: tuple[float, str], product: Product | None
) -> tuple[str, float, list[str], list[str], list[str]]:
    """Return the measure, its percent, the first step, what to say and what is a doubt."""
    tons, first = asked
    warnings: list[str] = []
    doubts: list[str] = []
    pct = test.lime_basis_pct or test.lime_basis_ecce_pct
    known = None if test.buffer is not None else lime_bases().get(state or "")
    measure: str
    if test.lime_basis is not None:
        measure = test.lime_basis
        pct = 100.0 if measure == "pure" or pct is None else pct
    elif pct is not None:
        measure = "ECCE"
    elif known is not None and known.assumed_pct is not None:
        measure, pct = known.measure, known.assumed_pct
        if measure in COUNTED and getattr(product, COUNTED[measure], None) is None:
            measure = "ECCE"  # the same pounds, where the ticket says them as a percent
        warnings.append(InParts(f"lime: {state}'s {known.note}", cited=cite(known.source)))
    else:
        measure, pct = "ECCE", 100.0
        if test.buffer is not None:
            doubts.append(
                InParts(
                    "the page the Mehlich method was read on does not print which lime its tons "
                    "are of",
                    "taken as ECCE 100 %; lime_basis and lime_basis_pct say otherwise.",
                )
            )
        else:
            doubts.append(
                InParts(
                    "the soil test does not say which basis its lime is on",
                    "taken as ECCE 100 %. Ask the laboratory; the difference can double the tons.",
                )
            )
    if measure in COUNTED:
        return (
            measure,
            pct,
            [f"{first}: {tons * SHORT_TON_LB:,.0f} lb {measure}/ac"],
            warnings,
            doubts,
        )
    at = "pure CaCO₃" if measure == "pure" else f"{measure} {pct:g} %"
    rate = figure(float(f"{tons:.3g}"), "ton/ac", AS_IT_IS)
    return measure, pct, [f"{first}: {rate} at {at}"], warnings, doubts


def _by_effective_lb(
    ton_ac: float, product: Product | None, measure: str, steps: list[str]
) -> tuple[float, str]:
    """Return tons of product that hold the ENP or ENM asked for.

    Notes
    -----
    ENM asked for ÷ ENM of the lime: How Much Lime To Apply?, University of Missouri
    Extension, n.d. One is never taken for the other: their weights of fineness differ.
    """
    key = COUNTED[measure]
    a_ton = None if product is None else getattr(product, key)
    if a_ton is None:
        raise NeedProblem(
            f"the laboratory's figure is pounds of {measure}, and no lime listed says its "
            f"{measure}",
            fix=f"give the product's {key}, printed on its ticket",
        )
    steps.append(f"product at {a_ton:g} lb {measure} a ton")
    return ton_ac * SHORT_TON_LB / float(a_ton), measure


def _quality(product: Product, measure: str, state: str | None) -> tuple[float, str] | None:
    """Return the product's percent on the laboratory's measure, None when it says none.

    Raises
    ------
    NeedProblem
        The product gives its quality on another measure only.
    """
    if measure == "CCE":
        if product.cce_pct is not None:
            return product.cce_pct, f"CCE {product.cce_pct:g} %"
    else:
        for name, value in (("ECCE", product.ecce_pct), ("RNV", product.rnv_pct)):
            if value is not None:
                return value, f"{name} {value:g} %"
        if product.cce_pct is not None and product.passing_pct:
            share = fineness_efficiency(dict(product.passing_pct), state or "")
            value = product.cce_pct * share
            if value <= 0:
                raise NeedProblem("this lime is too coarse to work", fix="check the ticket")
            return value, (
                f"CCE {product.cce_pct:g} % × fineness {100 * share:.3g} % ({state}) = "
                f"{value:.3g} %"
            )
    given = [n for n, v in (("ECCE", product.ecce_pct), ("RNV", product.rnv_pct),
                            ("CCE", product.cce_pct), ("ENP", product.enp_lb_ton), ("ENM", product.enm_lb_ton)) if v]  # fmt: skip
    if given:
        raise NeedProblem(
            f"the lime's {given[0]} cannot be set against a rate written on {measure}",
            fix="give the product's "
            + ("cce_pct" if measure == "CCE"
               else "ecce_pct, rnv_pct, or cce_pct with passing_pct"),
            where=f"product “{product.grade}”",
        )  # fmt: skip
    return None
