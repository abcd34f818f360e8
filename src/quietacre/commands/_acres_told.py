"""What ``quietacre acres`` tells: the form of its JSON, and its lines on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from quietacre.errors import one_line

if TYPE_CHECKING:
    from quietacre.export.areas import AreaRow


class MeasuredFiles(TypedDict):
    """Acres of the areas in some files, as the JSON says them; the total counts ground once."""

    total_acres: float
    areas: list[AreaRow]
    warnings: list[str]


class StreamedFiles(TypedDict):
    """Acres of the areas that were written to a table, as the JSON says them."""

    total_acres: float
    area_count: int
    out: str
    warnings: list[str]


def table(result: MeasuredFiles) -> str:
    """Return the measured areas as lines to read."""
    names = [one_line(row["name"]) for row in result["areas"]]
    wide = min(max([len(name) for name in names] + [5]), 48)
    lines = []
    for row, whole_name in zip(result["areas"], names, strict=True):
        plus_minus = (row["acres_high"] - row["acres_low"]) / 2
        margin = f" ± {plus_minus:.2f}" if plus_minus > 0 else ""
        name = whole_name if len(whole_name) <= wide else whole_name[: wide - 1] + "…"
        lines.append(
            f"{name:<{wide}}  {row['acres']:>10.3f} ac{margin}   "
            f"{row['perimeter_ft']:>10,.0f} ft round"
        )
        lines += [f"    note: {text}" for text in row["warnings"]]
    lines.append(f"{'total':<{wide}}  {result['total_acres']:>10.3f} ac")
    lines += [f"note: {text}" for text in result["warnings"]]
    return "\n".join(lines)


def streamed_lines(result: StreamedFiles) -> str:
    """Return what to say of areas that were written to a table."""
    lines = [
        f"{result['area_count']:,} areas, {result['total_acres']:,.3f} ac: {result['out']}"
    ]
    lines += [f"note: {text}" for text in result["warnings"]]
    return "\n".join(lines)
