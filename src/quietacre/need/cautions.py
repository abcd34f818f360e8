"""What to know before acting on an amount, and who decides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.crop_names import draws_birds
from quietacre.figures import in_words
from quietacre.in_parts import InParts
from quietacre.shipped import cite, rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

CAUTIONS = (
    ("soil test first", "Lime, phosphate and potash without a soil test are placeholders.",
     "the state soil laboratory and the county extension agent"),
    ("label", "The pesticide or foliar label is the law: site, rate, yearly maximum, "
     "protective equipment, re-entry. Restricted-use products are for certified applicators.",
     "the label and the state department of agriculture"),
    ("urea", "Urea left on the surface can lose a good part of its nitrogen to the air; it wants "
     f"{in_words('half an inch', 0.5, 'in')} of rain at once, or mixing in.", "extension"),
    ("salt and seed", "Keep fertilizer off the seed row, and inoculated seed out of a hopper "
     "with fertilizer (from memory).", "extension"),
    ("inoculant", "Inoculant is alive: keep it cool and dark, use the right group, sow within "
     "a day or inoculate again.", "the package"),
    ("baiting law", "Seed on top of the ground can count as bait for migratory birds unless it "
     "is a normal planting inside the state's dates; deer baiting is state law.",
     "the federal and state wildlife agencies"),
    ("noxious seed", "Check the tag for noxious weeds; some cover crops are listed in some "
     "states.", "the state seed-law office"),
    ("tractors and mowers", "Roll bar up, belt on, no riders, nobody near, blades stopped and "
     "engine off before you step down, shields on the shaft. Slope limits are the manual's.",
     "the operator's manual"),
    ("fire", "A burn needs a written plan, the permit and the people your state asks for.",
     "the state forestry agency"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind, and who decides."""

    topic: str
    text: str
    defer_to: str


def all_cautions() -> tuple[Caution, ...]:
    """Return every caution."""
    return tuple(Caution(*row) for row in CAUTIONS)


#: Crops that stay or spread where not wanted, with where that was read.
SPREADS = {
    "sunn hemp": "its whole genus is listed in many states (NRCS, Plant Guide)",
    "browntop millet": "it is a row-crop weed in Mississippi (Mississippi State Univ., 2012)",
    "chufa": "it is a relative of yellow nutsedge (National Wild Turkey Federation)",
    "chicory": "it can escape (from memory)",
    "hairy vetch": "it can escape (from memory)",
}


def seed_cautions(crops: Iterable[str], method: str) -> Iterator[tuple[str, str]]:
    """Return code and text of what these crops, sown this way, call for."""
    for crop in crops:
        if crop in SPREADS:
            yield (
                "noxious-seed",
                (f"{crop}: {SPREADS[crop]}; ask the state seed-law office first."),
            )
    grain = [crop for crop in crops if crop in draws_birds()]
    if grain and method == "broadcast":
        yield (
            "baiting-law",
            InParts(
                f"{', '.join(grain)} on top of the ground can count as bait for migratory birds "
                "unless sown inside the state's official dates and ways; an area stays baited "
                "until 10 days after all of it is gone (50 CFR 20.11)",
                "The federal and state wildlife agencies decide.",
            ),
        )


def grade_cautions(grades: Iterable[str], *, drilled: bool) -> Iterator[tuple[str, str]]:
    """Return code and text of what these fertilizers call for."""
    table = {row["grade"]: row for row in rows("fertilizers")}
    for grade in grades:
        row = table.get(grade)
        if row is not None and row["caution"]:
            memory = ", part of this from memory" if row["from_memory"] else ""
            yield (
                "fertilizer",
                InParts(
                    f"{grade}: {row['caution']}", cited=f"{cite(row['source'])}{memory}"
                ),
            )
    if drilled:
        yield (
            "salt-and-seed",
            (
                "keep fertilizer off the seed row and out of a hopper with inoculated seed "
                "(from memory)."
            ),
        )
