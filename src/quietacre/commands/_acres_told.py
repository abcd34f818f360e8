"""What ``quietacre acres`` tells: the form of its JSON, and its lines on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from quietacre.commands._edge import words
from quietacre.errors import one_line
from quietacre.figures import figure
from quietacre.short_names import short_names

if TYPE_CHECKING:
    from quietacre.export.areas import AreaRow

#: Most letters of a name in its column.
MOST_NAME = 48


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
    called = short_names(names, MOST_NAME)
    wide = max([len(name) for name in called.values()] + [5])
    lines = []
    for row, name in zip(result["areas"], names, strict=True):
        plus_minus = (row["acres_high"] - row["acres_low"]) / 2
        margin = f" ± {figure(plus_minus, 'ac', 2, bare=True)}" if plus_minus > 0 else ""
        lines.append(
            f"{called[name]:<{wide}}  {_acres(row['acres'])}{margin}   "
            f"{words(figure(row['perimeter_ft'], 'ft', 0)):>13} round"
        )
        lines += [f"    note: {text}" for text in row["warnings"]]
    lines.append(f"{'total':<{wide}}  {_acres(result['total_acres'])}")
    lines += [f"note: {text}" for text in result["warnings"]]
    return "\n".join(lines)


def _acres(area_ac: float) -> str:
    return f"{words(figure(area_ac, 'ac measured')):>13}"


def streamed_lines(result: StreamedFiles) -> str:
    """Return what to say of areas that were written to a table."""
    lines = [
        f"{result['area_count']:,} areas, {figure(result['total_acres'], 'ac measured')}: "
        f"{result['out']}"
    ]
    lines += [f"note: {text}" for text in result["warnings"]]
    return "\n".join(lines)
