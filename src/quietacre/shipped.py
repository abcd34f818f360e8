"""The tables that ship with the package, as text."""

from __future__ import annotations

import csv
from importlib.resources import files


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of ``data/NAME.csv``; every value is text."""
    with files("quietacre").joinpath(f"data/{name}.csv").open(encoding="utf-8") as handle:
        return list(csv.DictReader(handle))
