"""The amounts of an area that is sown more than once a year, as one record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

#: Keys whose rows are told one after another, and those that add up.
LISTED = ("seed", "fertilizer", "spray", "done", "unmet", "left_short", "notes")
ADDED = ("cost", "cost_ac", "left_out_n_lb_ac")
#: Pounds an acre by nutrient, over all plantings.
NUTRIENTS = ("asked_lb_ac", "done_lb_ac", "given_lb_ac", "surplus_lb_ac")


def merged_need(needs: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return the amounts of several plantings of one area together; of one, its own.

    Rows keep the order of the plantings, and each of seed and fertilizer says which planting
    it is of. Lime is on one planting only, so it stands as it is.
    """
    if len(needs) == 1:
        return dict(needs[0])
    out: dict[str, Any] = {
        key: [row for need in needs for row in need.get(key, ())] for key in LISTED
        if key in {"seed", "fertilizer", "spray", "done", "notes"} or any(key in n for n in needs)
    }  # fmt: skip
    out["setting"] = list(dict.fromkeys(s for need in needs for s in need["setting"]))
    out["lime"] = next((need["lime"] for need in needs if need.get("lime")), None)
    for key in ADDED:
        given = [need[key] for need in needs if need.get(key) is not None]
        if given or key != "left_out_n_lb_ac":
            out[key] = round(sum(given), 2) if given else None
    for key in NUTRIENTS:
        rows = [need[key] for need in needs if key in need]
        if rows:
            names = dict.fromkeys(name for row in rows for name in row)
            out[key] = {name: sum(row.get(name, 0.0) for row in rows) for name in names}
    out["work"] = {}  # by job, and every planting has its own
    return out
