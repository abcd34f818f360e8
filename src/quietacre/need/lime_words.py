"""What is said of lime: in parts, months ahead, late."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import AS_IT_IS, figure
from quietacre.in_parts import InParts
from quietacre.need.lime import LATER_YEARS, MONTHS_AHEAD, MOST_TON_AT_ONCE
from quietacre.shipped import cite
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from quietacre.need.lime import Lime


def parts_text(lime: Lime) -> str:
    """Return what to say of lime that is spread in parts."""
    now, *later = lime.parts_ton_ac
    tons_later = [
        f"{_bare(part)} {'as long after that' if n else LATER_YEARS}"
        for n, part in enumerate(later)
    ]
    return InParts(
        f"{figure(lime.ton_ac, 'tons of lime an acre', 2)} is more than "
        f"{_bare(MOST_TON_AT_ONCE, AS_IT_IS)} at a time",
        f"{_bare(now)} now, {', '.join(tons_later)} ({cite('mo-lime')}), by a soil test taken then "
        "(common practice, no source). The amounts here are those of now. If you work it into "
        "the ground, say how deep in "
        + box_and_line(
            "soil_test", "lime_depth_in", "lime_depth_in under its [[soil_test]]"
        )
        + ": then all of it goes on at once.",
    )


def _bare(ton_ac: float, places: int = 2) -> str:
    return figure(ton_ac, "tons of lime an acre", places, bare=True)


def months_text() -> str:
    """Return how long before planting lime must be down, and why."""
    late = late_text()
    return InParts(
        f"spread the lime {MONTHS_AHEAD[0]}-{MONTHS_AHEAD[1]} months before planting",
        late.head,
        late.cited,
    )


def late_text() -> InParts:
    """Return what lime that comes late is worth to the crop."""
    first, last = MONTHS_AHEAD
    return InParts(
        f"most lime begins to act in {first} to {last} months, so that of late lime this crop "
        "sees little",
        cited=cite("mo-lime-time"),
    )
