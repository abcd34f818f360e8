"""The report as JSON and the shopping list as CSV."""

from __future__ import annotations

import csv
import io
import json
import re
from typing import TYPE_CHECKING

from quietacre.as_json import plain
from quietacre.cells import safe_cell
from quietacre.figures import printed

if TYPE_CHECKING:
    from quietacre.report_records import Report

LINE_END = re.compile("\r\n?")
SHOPPING_COLUMNS = (
    ("item", "item"),
    ("what", "what"),
    ("unit", "unit"),
    ("need", "need"),
    ("need_low", "need_low"),
    ("need_high", "need_high"),
    ("done", "done"),
    ("left", "left"),
    ("on_hand", "on_hand"),
    ("from_stock", "from_stock"),
    ("buy", "buy"),
    ("pack", "pack"),
    ("packs", "packs"),
    ("packs_low", "packs_low"),
    ("packs_high", "packs_high"),
    ("price", "price_per_pack_usd"),
    ("cost", "cost_usd"),
    ("spent", "spent_usd"),
    ("name", "name"),
    ("tons", "tons"),
    ("tank_loads", "tank_loads"),
    ("left_over", "left_over"),
)


def report_json(report: Report) -> str:
    """Return the report as JSON text without NaN, in US units, ending in a newline."""
    return json.dumps(plain(report), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def cell(value: object) -> object:
    """Return a CSV cell that no spreadsheet will run, its figures in US units if not printed yet.

    A carriage return, which the writer of tables does not put in quotes, ends a row for a
    spreadsheet, and what follows it could run: it becomes the line end that is quoted.
    """
    if isinstance(value, str):
        return LINE_END.sub("\n", safe_cell(printed(value)))
    return "" if value is None else value


def _weighable(value: object) -> object:
    """Return a figure in hundredths, as nobody weighs finer; two digits of what is less."""
    if not isinstance(value, float):
        return value
    return round(value, 2) or float(f"{value:.2g}")


def shopping_csv(report: Report) -> str:
    """Return the shopping list: a line an item, with what each area takes."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*(title for _, title in SHOPPING_COLUMNS), "used_by", "note"])
    for row in report.shopping:
        used = "; ".join(f"{u.area}: {u.amount:.1f}" for u in row.used_by)
        cells = [cell(_weighable(getattr(row, key))) for key, _ in SHOPPING_COLUMNS]
        writer.writerow([*cells, cell(used), cell(row.note)])
    return out.getvalue()
