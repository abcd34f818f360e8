"""Cells of tables that a spreadsheet may open: written so that none of them runs."""

from __future__ import annotations

import unicodedata

#: A spreadsheet runs cells that start so; a quote in front makes them text.
#: "CSV Injection", OWASP Foundation, n.d. (from memory); wide signs are read as narrow ones.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
QUOTE = "'"


def safe_cell(text: str) -> str:
    """Return text as a cell that no spreadsheet will run."""
    return QUOTE + text if text.lstrip(QUOTE).startswith(FORMULA_STARTS) else text


def typed_cell(cell: str) -> str:
    """Return what was typed, of a cell that `safe_cell` wrote."""
    return cell[1:] if cell.startswith(QUOTE) and safe_cell(cell) != cell else cell


#: Control signs, half signs and line breaks: no cell and no line of a list can hold them.
UNFIT = ("Cc", "Cs", "Zl", "Zp")


def fits_a_line(text: str) -> bool:
    """Return whether text can stand on a line of a list: no control signs, no breaks."""
    return not any(unicodedata.category(sign) in UNFIT for sign in text)
