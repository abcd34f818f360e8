"""Inoculant of legumes: which group, for how much seed, and when."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Container, Sequence

    from quietacre.need.records import SeedLine

#: What a shopping line of inoculant says in place of packs.
PACKET = (
    "how much seed a packet treats stands on it; not needed for seed whose tag says it is "
    "inoculated; check its date, keep it cool and dark"
)


def by_group(rows: Sequence[SeedLine]) -> dict[str, list[SeedLine]]:
    """Return the seed rows that want inoculant, by group, in order of the groups."""
    groups: dict[str, list[SeedLine]] = {}
    for row in rows:
        if row.inoculant:
            groups.setdefault(row.inoculant, []).append(row)
    return dict(sorted(groups.items()))


def inoculate_text(rows: Sequence[SeedLine], from_memory: Container[str] = ()) -> str:
    """Return what to inoculate with which group, and when; blank when nothing is.

    ``from_memory`` are the crops whose group nobody read in a source.
    """
    parts = [
        f"{' and '.join(row.crop for row in some)} with {group}"
        + (
            " (group from memory: the seed's tag or the packet decides)"
            if any(row.crop in from_memory for row in some)
            else ""
        )
        for group, some in by_group(rows).items()
    ]
    return f"inoculate {'; '.join(parts)}; sow within a day of it" if parts else ""
