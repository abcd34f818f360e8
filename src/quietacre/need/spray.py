"""Foliar feed and spot spray: gallons, product and tank loads from the user's own label."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.in_parts import InParts
from quietacre.units import GAL_FL_OZ
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from quietacre.settings import Spray

LABEL = (
    "The label is the law: site, rate, yearly maximum, what to wear, when to go back in. "
    "The rate here is the one you typed."
)
#: Water of wetting leaves with a hand gun, as printed beside ``water_unmeasured``. [gal/ac]
HAND_GAL_AC = 150
#: What is told besides, by use.
CAUTIONS = {
    "foliar feed": "Foliar feed can scorch: keep it dilute, spray toward evening, try a strip "
    "first (from memory).",
    "spot spray": "Wet only what you mean to kill: little wind, none toward water, crops, trees "
    "or a neighbor's ground (from memory).",
}


@dataclass(frozen=True, slots=True)
class TankPlan:
    """One spray on some acres: gallons, product in ``unit``, full tanks and the last one.

    ``rate`` is the one typed, an acre or in percent by volume as ``mode`` says.
    """

    name: str
    use: str
    mode: str
    rate: float
    gal: float
    product: float
    unit: str
    loads_full: int
    last_load_gal: float
    product_per_load: float
    product_last_load: float
    ppe: str | None
    reentry_hours: float | None
    cautions: tuple[str, ...]

    @property
    def loads(self) -> int:
        """Return tanks to fill, a partial one counted."""
        return self.loads_full + (self.last_load_gal > 0)


def tank_plan(spray: Spray, acres: float, tank_gal: float, spray_gal_ac: float) -> TankPlan:
    """Return gallons, product and tank loads for an area.

    Raises
    ------
    NeedProblem
        The label rate is blank, or two are given.
    """
    rates = [
        (mode, rate, unit)
        for mode, rate, unit in (
            ("per acre", spray.rate_fl_oz_ac, "fl oz"),
            ("per acre", spray.rate_lb_ac, "lb"),
            ("percent by volume", spray.rate_pct_volume, "fl oz"),
        )
        if rate is not None
    ]
    if len(rates) != 1:
        raise NeedProblem(
            "no label rate is given" if not rates else "two label rates are given",
            fix="type the one rate from your own label; none ships with this program",
            where=f"spray “{spray.name}”",
        )
    mode, rate, unit = rates[0]
    gal_ac = spray.spray_gal_ac or spray_gal_ac
    gallons = gal_ac * acres
    by_volume = gallons * GAL_FL_OZ * rate / 100.0
    product = rate * acres if mode == "per acre" else by_volume
    loads = int(gallons // tank_gal)
    last = gallons - loads * tank_gal
    if last < 1e-9:  # noqa: PLR2004 - an exact number of tanks
        last = 0.0
    return TankPlan(
        name=spray.name,
        use=spray.use,
        mode=mode,
        rate=rate,
        gal=gallons,
        product=product,
        unit=unit,
        loads_full=loads,
        last_load_gal=last,
        product_per_load=product * tank_gal / gallons if gallons else 0.0,
        product_last_load=product * last / gallons if gallons else 0.0,
        ppe=spray.ppe,
        reentry_hours=spray.reentry_hours,
        cautions=(LABEL, CAUTIONS[spray.use]),
    )


def over_label(spray: Spray) -> str | None:
    """Return a warning when the typed rate is above the typed maximum."""
    for rate, most, unit in (
        (spray.rate_fl_oz_ac, spray.max_rate_fl_oz_ac, "fl oz/ac"),
        (spray.rate_lb_ac, spray.max_rate_lb_ac, "lb/ac"),
        (spray.rate_pct_volume, spray.max_rate_pct_volume, None),
    ):
        if rate is not None and most is not None and rate > most:
            told = figure(rate, unit, AS_IT_IS) if unit else f"{rate:g} % by volume"
            at_most = figure(most, unit, AS_IT_IS, bare=True) if unit else f"{most:g}"
            return InParts(
                f"“{spray.name}” is set to {told}, above the label maximum you typed "
                f"({at_most})",
                "lower it.",
            )
    return None


def water_unmeasured(spray: Spray, spray_gal_ac: float) -> InParts | None:
    """Return what to say of a spot spray in percent whose gallons an acre nobody measured.

    Its product follows from the water, and a boom's water does not wet leaves by hand.
    """
    by_hand = spray.use == "spot spray" and spray.rate_pct_volume is not None
    if not by_hand or spray.spray_gal_ac is not None:
        return None
    return InParts(
        f"“{spray.name}” is {spray.rate_pct_volume:g} % of the water, and "
        f"{figure(spray_gal_ac, 'gal/ac', AS_IT_IS)} of it is the equipment's figure, not one of wetting leaves by hand",
        f"That can take ten times as much ({figure(HAND_GAL_AC, 'gal/ac', 0)} in a county's example: How to "
        "Calibrate a Handgun, Mesa County, Colorado, n.d.), and as much more product; the label's "
        "most an acre holds all the same. Measure yours, and write it in "
        + box_and_line("spray", "spray_gal_ac", "spray_gal_ac under its [[spray]]")
        + ".",
    )
