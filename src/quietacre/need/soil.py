"""What a soil test says of a piece of ground: its age, its pH, its lime."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.in_parts import ended
from quietacre.need.lime import lime_rate
from quietacre.need.lime_words import months_text, parts_text
from quietacre.need.records import LimeLine
from quietacre.record.words import LIME
from quietacre.shipped import cite

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from quietacre.need.job import Job
    from quietacre.settings import Product, Property, SoilTest

#: Years that a soil test holds: one that is older is said (``al-deer``), and one older than
#: the second is a warning (``ms-cycle``).
TEST_YEARS, MOST_TEST_YEARS = 2, 3
DAYS_A_YEAR = 365.25


def look_at_test(job: Job, today: dt.date | None = None) -> None:
    """Say when a soil test is old, and when its pH is too low for what is sown."""
    test = job.test
    if test is None:
        return
    _say_old(job, test, today)
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
        limed = _lime_asked(test)
        job.say(
            "ph-too-low",
            f"the soil test reads pH {test.ph:g}; {', '.join(low)}",
            more="Lime first, months ahead, as this test asks; take the next sample before you sow."
            if limed
            else "Lime first, months ahead; this test asks for none, so ask the laboratory how much.",
        )


def _lime_asked(test: SoilTest) -> bool:
    """Return whether a soil test asks for lime, by whatever figure its laboratory wrote."""
    figures = (test.lime_ton_ac, test.lime_lb_ac, test.buffer_ph)
    return any(figure is not None and figure > 0 for figure in figures)


def _say_old(job: Job, test: SoilTest, today: dt.date | None) -> None:
    """Say that a soil test is older than tests are said to hold."""
    when = max((day for day in (job.area.plant, today) if day is not None), default=None)
    if test.on is None or when is None:
        return
    years = (when - test.on).days / DAYS_A_YEAR
    if years <= TEST_YEARS:
        return
    at = "at planting" if when == job.area.plant else "now"
    job.say(
        "old-soil-test",
        f"the soil test “{test.name}” is {years:.1f} years old {at}; take one at least every two "
        f"years ({cite('al-deer')}), and at the latest after three ({cite('ms-cycle')})",
        "caution" if years <= MOST_TEST_YEARS else "warning",
        more="Its figures are used as they stand, less what the log has spread since.",
    )


def test_lines(jobs: Sequence[Job]) -> list[str]:
    """Return what the terminal says of soil tests that are old or have no day."""
    areas_by_test: dict[str, list[str]] = {}
    for job in jobs:
        for note in job.notes:
            if note.code in ("old-soil-test", "soil-test-undated"):
                areas_by_test.setdefault(note.marked, []).append(job.name)
    return [f"{', '.join(names)}: {text}" for text, names in areas_by_test.items()]


def lime_product(prop: Property) -> Product | None:
    """Return the first lime the person can buy."""
    return next((p for p in prop.product if p.grade.startswith(LIME)), None)


def lime(job: Job, prop: Property) -> None:
    """Work out the lime of a job, before anything is taken off."""
    if job.test is None:
        return
    lime = lime_rate(job.test, lime_product(prop), prop.property.state)
    if lime is None:
        return
    if job.limed_with is not None:
        job.say(
            "limed-once",
            f"the ground is limed once, by the newest of its soil tests, with {job.limed_with}; "
            f"the lime of “{job.test.name}” is not counted here.",
            "info",
        )
        return
    job.lime = lime
    low, high = job.spread
    ton_ac = lime.parts_ton_ac[0]
    ton = ton_ac * job.acres
    job.lime_line = LimeLine(
        whole_ton_ac=lime.ton_ac,
        parts_ton_ac=lime.parts_ton_ac,
        ton_ac=ton_ac,
        ton=ton,
        ton_low=ton * low,
        ton_high=ton * high,
        product=lime.product,
        basis=lime.basis,
        text=lime.text,
        months_ahead=lime.months_ahead,
    )


def say_of_lime(job: Job) -> None:
    """Say what to know of the lime that is still to be spread on a piece of ground."""
    lime = job.lime
    if lime is None or job.lime_line is None:
        return
    for text in lime.warnings:
        job.say("lime-basis", text)
    for text in lime.doubts:
        job.say("lime-basis", text, "warning")
    if len(lime.parts_ton_ac) > 1:
        job.say("lime-in-parts", parts_text(lime), "warning")
    job.say("lime-months-ahead", ended(months_text()), "info")
