"""What to know before acting on an amount, and who decides."""

from __future__ import annotations

CAUTIONS = (
    ("soil test first", "Lime, phosphate and potash without a soil test are placeholders.",
     "the state soil laboratory and the county extension agent"),
    ("label", "The pesticide or foliar label is the law: site, rate, yearly maximum, "
     "protective equipment, re-entry. Restricted-use products are for certified applicators.",
     "the label and the state department of agriculture"),
    ("urea", "Urea left on the surface can lose a good part of its nitrogen to the air; it "
     "wants half an inch of rain at once, or mixing in.", "extension"),
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


def all_cautions() -> list[dict[str, str]]:
    """Return every caution as topic, text and who decides."""
    return [{"topic": t, "text": x, "defer_to": d} for t, x, d in CAUTIONS]
