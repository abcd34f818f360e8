"""What a crop carries off: nutrients in hay, grain or straw that is hauled away."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from quietacre.errors import NeedProblem
from quietacre.figures import figure
from quietacre.need.tables import number
from quietacre.shipped import cite, rows

NUTRIENTS = ("n", "p2o5", "k2o")
UNITS = {"ton": "ton", "bu": "bushel"}
#: Of what beef cattle eat they keep about this, the rest falls back on the ground.
#: University of Kentucky, n.d.; none was found for deer.
KEPT_BY_CATTLE = {"n": 0.25, "p2o5": 0.20, "k2o": 0.15}
POOR_GUIDE = (
    "what is carried off is a poor guide to phosphate (Nutrient Removal by Alabama Crops, "
    "Alabama Cooperative Extension System, n.d.): a soil test goes before it"
)


@dataclass(frozen=True)
class Removal:
    """A printed line: pounds of each nutrient in a ton or bushel, from low to high."""

    what: str
    of: str
    unit: str
    lb_per_unit: dict[str, tuple[float, float] | None]
    legume: bool
    note: str
    source: str


@functools.cache
def removals() -> dict[str, Removal]:
    """Return the shipped table by what is hauled off."""
    out = {}
    for row in rows("removal"):
        count = float(row["printed_for"])
        spans: dict[str, tuple[float, float] | None] = {}
        for nutrient in NUTRIENTS:
            low, high = (number(row[f"{nutrient}_lb_{end}"]) for end in ("low", "high"))
            spans[nutrient] = (
                None if low is None or high is None else (low / count, high / count)
            )
        out[row["what"]] = Removal(
            row["what"], row["of"], row["unit"], spans, row["legume"] == "yes", row["note"],
            row["source"],
        )  # fmt: skip
    return out


def removed_lb_ac(
    what: str, *, ton_ac: float | None = None, bu_ac: float | None = None
) -> dict[str, tuple[float, float] | None]:
    """Return pounds an acre of N, P₂O₅ and K₂O hauled off, low and high. [lb/ac]

    None where the source prints none. The yield is tons for hay and bushels for grain;
    one is never taken for the other.

    Raises
    ------
    NeedProblem
        What is hauled off is not in the table, or its yield is in the other unit.
    """
    line = removals().get(what)
    if line is None:
        raise NeedProblem(
            f"“{what}” is not in the table of what crops carry off",
            fix=f"name one of {', '.join(removals())}",
        )
    given = {"ton": ton_ac, "bu": bu_ac}
    amount = given.pop(line.unit)
    if amount is None or any(other is not None for other in given.values()):
        raise NeedProblem(
            f"{what} is printed by the {UNITS[line.unit]}",
            fix=f"give its yield as {line.unit}_ac, and no other",
        )
    return {
        nutrient: None if span is None else (span[0] * amount, span[1] * amount)
        for nutrient, span in line.lb_per_unit.items()
    }


def need_from_removal(
    what: str, *, ton_ac: float | None = None, bu_ac: float | None = None
) -> dict[str, float]:
    """Return what would put back what is hauled off, the middle of each range. [lb/ac]

    Legumes bring their own nitrogen: none is asked for. What no source prints is 0.
    """
    off = removed_lb_ac(what, ton_ac=ton_ac, bu_ac=bu_ac)
    need = {k: 0.0 if span is None else (span[0] + span[1]) / 2 for k, span in off.items()}
    if removals()[what].legume:
        need["n"] = 0.0
    return need


def removal_lines(what: str, off: dict[str, tuple[float, float] | None]) -> list[str]:
    """Return what is hauled off, and what of it would leave if it were eaten there."""
    names = {"n": "N", "p2o5": "P₂O₅", "k2o": "K₂O"}
    line = removals()[what]

    def ranges_text(spans: dict[str, tuple[float, float] | None]) -> str:
        return ", ".join(
            f"{figure(span[0], 'lb/ac', 0)} {names[k]}"
            if abs(span[1] - span[0]) < 0.5  # noqa: PLR2004 - the same when rounded
            else f"{figure(span[0], 'lb/ac', 0, to=span[1], joined='-')} {names[k]}"
            for k, span in spans.items()
            if span is not None
        )

    kept = {
        k: None
        if span is None
        else (span[0] * KEPT_BY_CATTLE[k], span[1] * KEPT_BY_CATTLE[k])
        for k, span in off.items()
    }
    missing = [names[k] for k, span in off.items() if span is None]
    return [
        f"hauled off with {what}: {ranges_text(off)} ({cite(line.source)}"
        + (f"; {line.note}" if line.note else "")
        + ")",
        *([f"not printed there: {', '.join(missing)}"] if missing else []),
        *(["a legume: the nitrogen is its own, none is put back"] if line.legume else []),
        f"eaten where it grew, far less leaves: cattle keep about 25-20-15 % of what they eat "
        f"({cite('uk-retained')}), which here is {ranges_text(kept)}; nothing was found for deer",
        POOR_GUIDE,
    ]
