"""The tables that ship with the package, as text."""

from __future__ import annotations

import csv
import functools
from importlib.resources import files

from quietacre.figures import with_figures


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of ``data/NAME.csv``; every value is text, {8 ft} in it a figure."""
    with files("quietacre").joinpath(f"data/{name}.csv").open(encoding="utf-8") as handle:
        return [
            {key: with_figures(text) for key, text in row.items()}
            for row in csv.DictReader(handle)
        ]


@functools.cache
def source_titles() -> dict[str, str]:
    """Return sources by id, as "title, publisher, year"."""
    return {
        row["id"]: f"{row['title']}, {row['publisher']}, {row['year']}"
        for row in rows("sources")
    }


def cite(ids: str) -> str:
    """Return the titles of source ids joined by semicolons."""
    titles = source_titles()
    return "; ".join(titles[key] for key in ids.split(";"))
