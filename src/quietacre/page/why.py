"""Why a figure is what it is: its terms, its source and its spread, for each piece of ground."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre.boundary.why import Term, why_lines
from quietacre.figures import feet, number
from quietacre.words import settings_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

#: How minutes are made up. AEN-73, University of Kentucky, 1991, for the acres an hour.
MINUTES = (
    "acres ÷ acres an hour for each pass (width × miles an hour × field efficiency ÷ 8.25; "
    "University of Kentucky, AEN-73, 1991), with the minutes you set for hitching and turning, "
    "for each load and for each tank; trips not counted"
)


#: Acres nearer than this are the same.
SAME_AC = 1e-9


def why_of(piece: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return what each figure of an area or a strip rests on, as about and lines.

    Parameters
    ----------
    piece : an area or a strip of the report.
    """
    groups = [
        ("Acres", _acres(piece)),
        ("Width", _width(piece)),
        ("Seed", _seed(piece)),
        ("Lime", _lime(piece)),
        ("Fertilizer", _fertilizer(piece)),
        ("Minutes", _minutes(piece)),
    ]
    return [
        {"about": about, "lines": lines} for about, some in groups if (lines := list(some))
    ]


def _acres(piece: Mapping[str, Any]) -> Iterator[str]:
    low, high = piece["acres_low"], piece["acres_high"]
    spread = (
        f"between {number(low, 2)} and {number(high, 2)} ac, 19 times in 20"
        if high - low > SAME_AC
        else f"drawn without a ±: “{settings_words()['area'].keys['edge_pm_ft'].label}” gives it one"
    )
    if piece.get("kind") in ("strip", "firebreak"):
        yield (
            f"{number(piece['acres'], 2)} ac of the ring as drawn, {feet(piece['width_ft'])} wide less "
            f"what is cut off it; {spread}, from the edge it goes round"
        )
        return
    walk = piece.get("walk")
    sigma = (walk or {}).get("sigma_m")
    yield (
        f"{number(piece['acres'], 2)} ac on the ellipsoid inside the edge of {piece['source']} "
        f"({piece['method']}); {spread}"
        + (f"; each walked point is taken as {sigma:.1f} m off or less, two times in three"
           if sigma else "")
    )  # fmt: skip
    terms = (walk or {}).get("why") or ()
    if terms:
        yield f"why ± {number((high - low) / 2, 2)} ac, as the root of the squares of"
        yield from why_lines([Term(**row) for row in terms])


def _width(piece: Mapping[str, Any]) -> Iterator[str]:
    for name, row in (piece.get("width") or {}).items():
        terms = "; ".join(
            f"{feet(term['ft'])} {term['term']} ({term['source']})" for term in row["terms"]
        )
        yield (
            f"{name}: {terms}; {feet(row['required_ft'])} asked, {feet(row['width_ft'])} in "
            f"{row['passes']} passes"
        )
    if piece.get("width"):
        yield (
            "low closes on the smallest season that was read and central on the middle of them; "
            "stress is the “foot a day” of print kept up without a rest, so it errs wide"
        )


def _seed(piece: Mapping[str, Any]) -> Iterator[str]:
    for row in (piece.get("need") or {}).get("seed") or ():
        kind = "live seed" if row["basis"] == "pls" else "seed out of the bag"
        source = "from memory, read nowhere" if row["from_memory"] else row["source"]
        in_mix = row.get("in_mix_lb_ac")
        yield (
            f"{row['crop']}: {row['rate_lb_ac']:.1f} lb/ac of {kind} ({source})"
            + (f" ÷ {row['pls_frac']:.3f} live" if row["basis"] == "pls" else "")
            + f" × {number(piece['acres'], 2)} ac = {row['lb']:.1f} lb"
            + _range(row["lb_low"], row["lb_high"], "lb")
            + (f"; {in_mix[0]:g}-{in_mix[1]:g} lb/ac is printed in a mix" if in_mix else "")
        )


def _range(low: float, high: float, unit: str) -> str:
    """Return ", 3.1 to 3.4 lb by the acres' own ±", blank where they have none."""
    if f"{low:.1f}" == f"{high:.1f}":
        return ""
    return f", {low:.1f} to {high:.1f} {unit} by the acres' own ±"


def _lime(piece: Mapping[str, Any]) -> Iterator[str]:
    lime = (piece.get("need") or {}).get("lime")
    if lime:
        yield f"{lime['text']}" + _range(lime["ton_low"], lime["ton_high"], "tons")


def _fertilizer(piece: Mapping[str, Any]) -> Iterator[str]:
    need = piece.get("need") or {}
    asked, given = need.get("asked_lb_ac"), need.get("given_lb_ac")
    if not asked or not given or not need.get("fertilizer"):
        return
    words = {"n": "N", "p2o5": "P₂O₅", "k2o": "K₂O", "s": "S"}
    parts = [
        f"{words[key]} {asked[key]:.0f} lb/ac asked, {given.get(key, 0.0):.0f} given"
        for key in words
        if asked.get(key) or given.get(key)
    ]
    yield "; ".join(parts) + "; pounds of product = pounds of nutrient ÷ (grade ÷ 100)"
    left = need.get("left_out_n_lb_ac")
    if left:
        yield f"{left:.0f} lb/ac of N left out before a mix with many legumes: see Notes"


def _minutes(piece: Mapping[str, Any]) -> Iterator[str]:
    work = (piece.get("need") or {}).get("work") or {}
    for job, row in work.items():
        yield f"{job}: {row['minutes']:.0f} minutes, {row['text']}"
    passes = piece.get("passes")
    if passes and passes.get("count"):
        yield (
            f"one cut: {passes['count']} passes of {feet(passes['length_ft'])} in all, "
            f"{passes['minutes']:.0f} minutes at the mower"
        )
    if work or (passes and passes.get("count")):
        yield MINUTES
