"""What a soil test says of a piece of ground: its age, its pH, its lime."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.lime import lime_rate, months_text, parts_text
from quietacre.shipped import cite

if TYPE_CHECKING:
    from quietacre.need.job import Job
    from quietacre.settings import Product, Property

LIME = "lime"
#: Biology and Management of White-tailed Deer in Alabama, n.d.: test every two years.
TEST_YEARS = 2


def look_at_test(job: Job) -> None:
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


def lime_product(prop: Property) -> Product | None:
    """Return the first lime the person can buy."""
    return next((p for p in prop.product if p.grade.startswith(LIME)), None)


def lime(job: Job, prop: Property) -> None:
    """Work out the lime of a job, and say what to know of it."""
    if job.test is None:
        return
    lime = lime_rate(job.test, lime_product(prop), prop.property.state)
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
