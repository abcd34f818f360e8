"""What the crops of a mix ask of each other and of the person, beyond their pounds."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Literal

from quietacre.crop_names import sown_as
from quietacre.figures import figure, span_of
from quietacre.in_parts import InParts
from quietacre.shipped import cite, rows

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from quietacre.need.tables import Crop
    from quietacre.settings import Mix, SoilTest

#: Part of its full rate that a grain is sown at beside clover, least and greatest.
COMPANION = (1 / 3, 1 / 2)
COMPANION_SOURCE = "usda-hollowell-1947"
#: More nitrogen for brassicas that are grazed more than once, and days after seeding. [lb/ac]
BRASSICA_LATER_N = 70
BRASSICA_LATER_DAYS = (60, 80)
BRASSICA_SOURCE = "psu-brassica-fertility"
WEED_SOURCE = "unl-turnip-2007"
#: Sulfur of canola, a near relative, whatever its soil test says. [lb/ac]
CANOLA_S = (10, 20)
CANOLA_S_SOURCE = "canola-council-s"
#: Sulfur that any crop's fertilizer should bring where the subsoil is low in it. [lb/ac]
LOW_SUBSOIL_S = (10, 15)
LOW_SUBSOIL_SOURCE = "clemson-subsoil"
#: Code, text and level.
Advice = tuple[str, str, Literal["info", "caution", "warning"]]


def mix_advice(
    mix: Mix, table: Mapping[str, Crop], rates_lb_ac: Mapping[str, float],
    test: SoilTest | None,
) -> Iterator[Advice]:  # fmt: skip
    """Return code, text and level of what to know of a mix.

    ``rates_lb_ac`` is what is sown of each crop of it, as the rate counts. [lb/ac]
    """
    yield from _companion_grain(mix, table, rates_lb_ac)
    yield from _brassicas(mix, test)
    yield from _summer_weeds(mix)


def _companion_grain(
    mix: Mix, table: Mapping[str, Crop], rates_lb_ac: Mapping[str, float]
) -> Iterator[Advice]:
    """Say when a small grain is sown thicker beside clover than its source has it."""
    clovers = [
        seed.crop for seed in mix.seed if seed.crop in table and _is_clover(seed.crop)
    ]
    if not clovers:
        return
    for crop in (seed.crop for seed in mix.seed if seed.crop in sown_as("small grain")):
        full = table[crop].rate_lb_ac(mix.method) if crop in table else None
        if not full or rates_lb_ac[crop] <= COMPANION[1] * full * (1 + 1e-9):
            continue
        other = table[crop].figures.get("in_mix_lb_ac")
        least, most = COMPANION
        yield (
            "companion-grain",
            InParts(
                f"{crop}: {figure(rates_lb_ac[crop], 'lb/ac', 0)} is "
                f"{100 * rates_lb_ac[crop] / full:.0f} % of its full rate",
                f"Beside {' and '.join(clovers)} a grain is sown at a third to a half of it, "
                f"{figure(least * full, 'lb/ac', 0, to=most * full, joined='-')} here, so that it "
                f"does not shade the clover out ({cite(COMPANION_SOURCE)})"
                + (
                    f"; {cite(other.source)} prints {other.said('lb/ac')} in a mix"
                    if other
                    else ""
                )
                + ".",
            ),
            "info",
        )


def as_companion(mix: Mix, name: str, crop: Crop, rate_lb_ac: float) -> bool:
    """Return whether a rate is a small grain's beside clover: a third of its full one or more."""
    full = crop.rate_lb_ac(mix.method)
    return (
        name in sown_as("small grain")
        and any(_is_clover(seed.crop) for seed in mix.seed)
        and full is not None
        and rate_lb_ac >= COMPANION[0] * full * (1 - 1e-9)
    )


def _is_clover(crop: str) -> bool:
    return "clover" in crop


def _brassicas(mix: Mix, test: SoilTest | None) -> Iterator[Advice]:
    now = [seed.crop for seed in mix.seed if seed.crop in sown_as("brassica")]
    if not now:
        return
    names = ", ".join(now)
    low, high = BRASSICA_LATER_DAYS
    yield (
        "brassica-nitrogen",
        InParts(
            f"{names}: where they are eaten down more than once, "
            f"{figure(BRASSICA_LATER_N, 'lb/ac', 0)} more of nitrogen {low} to {high} days after seeding feeds the tops, at the roots' cost "
            f"({cite(BRASSICA_SOURCE)})",
            "Weeds that get ahead of them win: start on clean ground",
            cite(WEED_SOURCE),
        ),
        "info",
    )
    needs = (test.need_lb_ac or test.need_ppm) if test is not None else None
    if needs is not None and needs.s is None:
        yield (
            "brassica-sulfur",
            InParts(
                f"{names}: brassicas take up more sulfur than grain does (common practice, no "
                "source), and the soil test says nothing of it",
                "ask the laboratory for sulfur and write it as `s`. No rate for forage brassicas "
                "was read. For canola, a near relative grown for "
                f"seed, at least {span_of(*CANOLA_S, 'lb/ac')} is printed whatever the test "
                f"says ({cite(CANOLA_S_SOURCE)}), and {span_of(*LOW_SUBSOIL_S, 'lb/ac')} "
                f"for any crop over a subsoil that tests low in it ({cite(LOW_SUBSOIL_SOURCE)}). "
                "None of that is planned until you write it.",
            ),
            "info",
        )


@functools.cache
def _warm_season() -> frozenset[str]:
    return frozenset(row["crop"] for row in rows("crops") if row["season"] == "warm")


def _summer_weeds(mix: Mix) -> Iterator[Advice]:
    now = [seed.crop for seed in mix.seed if seed.crop in _warm_season()]
    if now:
        yield (
            "summer-weeds",
            InParts(
                f"{', '.join(now)}: summer weeds come up with a summer sowing, and turning ground "
                "over brings their seed up",
                "Work it some weeks ahead, let the first flush come up, and kill it as shallowly "
                "as you can right before you sow; any spray by its label (common practice, no "
                "source).",
            ),
            "info",
        )
