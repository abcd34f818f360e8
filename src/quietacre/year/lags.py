"""The least days from one job of a plot to the next: the usual ones, and a plot's own.

Windows of one plot may touch; ``LAGS`` keeps their order and the rot whatever day of each
is taken.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from quietacre.quiet import DAY
from quietacre.workweek import DISK_DAYS, ROT_DAYS
from quietacre.year.rules import crops_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.plantings import Sown
    from quietacre.settings import Property
    from quietacre.year.steps import Step


#: Planting follows the clipping by at least this. Common practice, no source.
CLIP_DAYS = 42
ROT_MORE_DAYS = 7
#: Months in which turned-under residue rots slowly. Assumption, about 33° N.
COOL_MONTHS = frozenset({10, 11, 12, 1, 2, 3, 4})
#: What must come at least so long after what, whatever day of its window each has: days, or
#: the key of ``Lags`` that holds them. Tasks of one day are listed in this order.
LAGS: tuple[tuple[str, str, int | str], ...] = (
    ("soil test", "lime", "soil_test_days"), ("soil test", "fertilize", "soil_test_days"),
    ("clip", "turn under", 0), ("turn under", "second disking", "rot_days"),
    ("second disking", "fertilize", 0), ("second disking", "smooth", 0),
    ("fertilize", "smooth", 0), ("smooth", "plant", "settle_days"),
    ("plant", "set exclosure", 0), ("set exclosure", "read exclosure", "exclosure_days"),
    ("plant", "top-dress", "top_dress_days"),
)  # fmt: skip
#: Common practice, no source; thirty days after emergence less a margin for top-dressing.
USUAL = {
    "soil_test_days": 14, "lime_days": 90, "clip_days": CLIP_DAYS, "rot_days": ROT_DAYS,
    "rot_more_days": ROT_MORE_DAYS, "settle_days": 5, "top_dress_days": 28,
    "exclosure_days": 42,
}  # fmt: skip


def lags_of(area: Sown, prop: Property) -> dict[str, int]:
    """Return the lags of a plot in days: its crops' own, the property's, or the usual.

    Of several crops in one mix the longest of each lag holds. ``rot_days`` has the more of
    cool and woody residue in it, and ``clip_days`` leaves the time for it.
    """
    crops = [
        prop.crop[name].lags for name in sorted(crops_of(area, prop)) if name in prop.crop
    ]
    out: dict[str, int] = {}
    own: set[str] = set()
    for key, usual in USUAL.items():
        given = [days for lags in crops if (days := getattr(lags, key)) is not None]
        here = max(given) if given else getattr(prop.lags, key)
        if here is not None:
            own.add(key)
        out[key] = usual if here is None else here
    if area.plant is not None:
        cool = (area.plant - out["clip_days"] * DAY).month in COOL_MONTHS
        out["rot_days"] += out["rot_more_days"] * ((area.residue == "woody") + cool)
    if "clip_days" not in own:
        out["clip_days"] += out["rot_days"] - ROT_DAYS
    out["clip_days"] = max(out["clip_days"], out["rot_days"] + DISK_DAYS)
    return out


def lagged(step: Step, lags: Mapping[str, int]) -> Step:
    """Return a step with its days before planting moved by the plot's own lags."""
    clip, rot, lime = lags["clip_days"], lags["rot_days"], lags["lime_days"]
    days = {
        "lime": (max(step.earliest, lime + 60), max(step.ideal, lime), lime),
        "clip": (clip + 14, clip, clip),
        "turn under": (clip, max(clip - 2, rot + DISK_DAYS), rot + DISK_DAYS),
        "smooth": (max(step.earliest, lags["settle_days"]), max(step.ideal, lags["settle_days"]),
                   max(step.latest, lags["settle_days"])),
    }.get(step.task)  # fmt: skip
    if days is None:
        return step
    reason = step.reason
    if step.task in {"clip", "turn under"} and rot != ROT_DAYS:
        reason += f"; {rot} days to rot here"
        if rot > ROT_DAYS:
            reason += ", for cool or woody residue or a lag of your own"
    return dataclasses.replace(
        step, earliest=days[0], ideal=days[1], latest=days[2], reason=reason
    )
