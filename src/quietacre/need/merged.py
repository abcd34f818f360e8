"""The amounts of an area that is sown more than once a year, as one record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.records import Need

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence


def merged_need(needs: Sequence[Need]) -> Need:
    """Return the amounts of several plantings of one area together; of one, its own.

    Lines keep the order of the plantings, and each of seed and fertilizer says which planting
    it is of. Lime is on one planting only, so it stands as it is; work is of each planting.
    """
    if len(needs) == 1:
        return needs[0]
    return Need(
        seed=tuple(row for need in needs for row in need.seed),
        fertilizer=tuple(row for need in needs for row in need.fertilizer),
        lime=next((need.lime for need in needs if need.lime), None),
        spray=tuple(row for need in needs for row in need.spray),
        setting=tuple(dict.fromkeys(text for need in needs for text in need.setting)),
        cost=_added(need.cost for need in needs),
        cost_ac=_added(need.cost_ac for need in needs),
        notes=tuple(note for need in needs for note in need.notes),
        work={},
        left_out_n_lb_ac=_added(need.left_out_n_lb_ac for need in needs),
        asked_lb_ac=_summed(need.asked_lb_ac for need in needs),
        asked_of="; ".join(dict.fromkeys(one.asked_of for one in needs if one.asked_of))
        or None,
        done_lb_ac=_summed(need.done_lb_ac for need in needs),
        unmet=tuple(row for need in needs for row in need.unmet or ()) or None,
        given_lb_ac=_summed(need.given_lb_ac for need in needs),
        surplus_lb_ac=_summed(need.surplus_lb_ac for need in needs),
        left_short=tuple(row for need in needs for row in need.left_short or ()) or None,
        done=tuple(one for need in needs for one in need.done),
    )


def _added(values: Iterable[float | None]) -> float | None:
    """Return the sum of what is known, None when nothing is."""
    known = [value for value in values if value is not None]
    return round(sum(known), 2) if known else None


def _summed(values: Iterable[Mapping[str, float] | None]) -> dict[str, float] | None:
    """Return pounds an acre by nutrient over all plantings, None when none is fed."""
    known = [value for value in values if value is not None]
    names = dict.fromkeys(name for value in known for name in value)
    summed = {name: sum(value.get(name, 0.0) for value in known) for name in names}
    return summed if known else None
