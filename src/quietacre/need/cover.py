"""Covering seed that was broadcast, by how deep it wants to lie."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import span_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.need.records import SeedLine

#: How to cover seed up to so deep. Common practice, no source. [in]
BY_DEPTH = (
    (0.25, "roll or cultipack, do not disk"),
    (0.75, "drag lightly, then roll"),
    (float("inf"), "disk lightly or drag in"),
)
NO_SOURCE = "common practice"


def cover_text(depth_in: Sequence[float]) -> str:
    """Return how to cover broadcast seed of these depths, shallowest and deepest. [in]"""
    how = next(text for most, text in BY_DEPTH if depth_in[1] <= most + 1e-9)
    return f"{how}, {span_of(depth_in[0], depth_in[1], 'in.')}"


def cover_lines(rows: Sequence[SeedLine]) -> list[str]:
    """Return a line on covering broadcast seed, pass by pass; none when nothing is."""
    passes: dict[int, list[tuple[str, tuple[float, float]]]] = {}
    for row in rows:
        if row.method == "broadcast" and row.depth_in is not None:
            passes.setdefault(row.pass_, []).append((row.crop, row.depth_in))
    parts = []
    for _, group in sorted(passes.items()):
        depth = (
            max(shallowest for _, (shallowest, _) in group),
            min(deepest for _, (_, deepest) in group),
        )
        crops = f"{', '.join(crop for crop, _ in group)} " if len(passes) > 1 else ""
        parts.append(f"{crops}{cover_text(depth)}")
    return [f"cover: {'; '.join(parts)} ({NO_SOURCE})"] if parts else []
