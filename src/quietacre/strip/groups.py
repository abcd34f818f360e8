"""Which patches share a strip, and what is wanted of each strip then."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from quietacre.acreage.frame import LocalFrame
from quietacre.kinds import strip_name
from quietacre.strip.cuts import growth_of
from quietacre.strip.wanted import Wanted, wanted_strip
from quietacre.units import FT_M

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping, Sequence

    import geopandas as gpd

    from quietacre.model import Transect
    from quietacre.settings import Property

#: Patches that the log calls one strip stay one so long after its last line: what was cut and
#: ticked keeps its name while widths change with the day. Ours.
ONE_STRIP_DAYS = 365


class Known(NamedTuple):
    """What a strip's width is worked out from, besides the ground: as `plan_strips` takes them."""

    today: dt.date
    walk_sigma: Mapping[str, float]
    degree_days: Mapping[str, tuple[float, ...]]
    transects: Sequence[Transect]
    cuts: Mapping[str, Sequence[dt.date]]
    one_strip: Mapping[tuple[str, ...], dt.date] = MappingProxyType({})


def wanted_in_groups(
    areas: gpd.GeoDataFrame, prop: Property, known: Known
) -> tuple[dict[int, Wanted], list[list[int]]]:
    """Return what each strip is wanted to be by its row, and the rows that share a strip.

    Nothing is drawn. ``areas`` are in the order of ``prop``.
    """

    def one(row: int, rows: Sequence[int]) -> Wanted:
        """Return what is wanted of a row's strip when it goes round some rows."""
        area, record = prop.area[row], areas.iloc[row]
        season = growth_of(prop.property, known.degree_days.get(record["id"]))
        taped = [t for t in known.transects if t.patch == area.name]
        names = [prop.area[other].name for other in rows]
        called = {strip_name(names), *(strip_name([name]) for name in names)}
        logged = [day for name in sorted(called) for day in known.cuts.get(name, ())]
        return wanted_strip(
            area, record, prop, known.today, known.walk_sigma.get(record["id"]), season, taped,
            names, logged,
        )  # fmt: skip

    made_by_row = {
        row: one(row, [row])
        for row, area in enumerate(prop.area)
        if area.kind in ("patch", "burn")
    }
    logged = [rows for rows, _ in _logged_as_one(prop, known)]
    groups = _together(areas, made_by_row, logged)
    # the seasons of all may ask for more, and a wider strip may meet one more neighbor
    while shared := [rows for rows in groups if len(rows) > 1]:
        made_by_row |= {row: one(row, rows) for rows in shared for row in rows}
        before, groups = groups, _together(areas, made_by_row, groups)
        if groups == before:
            break
    return made_by_row, groups


def _logged_as_one(prop: Property, known: Known) -> Iterator[tuple[list[int], dt.date]]:
    """Yield the rows of patches that the log calls one strip, and the last day of that."""
    row_by_name = {
        area.name: row for row, area in enumerate(prop.area) if area.kind == "patch"
    }
    for names, last in known.one_strip.items():
        lately = 0 <= (known.today - last).days <= ONE_STRIP_DAYS
        if lately and all(name in row_by_name for name in names):
            yield [row_by_name[name] for name in names], last


def one_strip_since(
    areas: gpd.GeoDataFrame, prop: Property, known: Known, made: Mapping[int, Wanted],
    rows: Sequence[int],
) -> dt.date | None:  # fmt: skip
    """Return the last day of the log that makes one strip of some rows, None if they meet.

    None too where they met as strips of their own, and do not at the width that both share.
    """
    if len(rows) == 1 or any(set(rows) <= set(near) for near in _together(areas, made)):
        return None
    days = (last for some, last in _logged_as_one(prop, known) if set(some) <= set(rows))
    return max(days, default=None)


def _together(
    areas: gpd.GeoDataFrame,
    made: Mapping[int, Wanted],
    known: Sequence[Sequence[int]] = (),
) -> list[list[int]]:
    """Return rows whose strips meet, as groups; firebreaks stay alone.

    What is ``known`` to meet stays together, whatever its widths are now. They meet by the widths
    that the plan asks for: one that a missed cut makes wider stays by itself.
    """
    rows = list(made)
    if not rows:
        return []
    shapes = areas.geometry.iloc[rows].to_numpy()
    local = LocalFrame.around(shapes).to_local(shapes)
    group = {row: row for row in rows}
    for together in known:
        both = {group[row] for row in together}
        group = {row: group[together[0]] if at in both else at for row, at in group.items()}
    for i, row in enumerate(rows):
        for j, other in enumerate(rows[:i]):
            one, two = made[row].ring, made[other].ring
            if "firebreak" in (one.kind, two.kind):
                continue
            reach_m = (made[row].planned_ft + made[other].planned_ft) * FT_M
            if local[i].distance(local[j]) < reach_m:
                old, new = group[row], group[other]
                group = {
                    key: new if value == old else value for key, value in group.items()
                }
    groups: dict[int, list[int]] = {}
    for row in rows:
        groups.setdefault(group[row], []).append(row)
    return list(groups.values())
