"""The words on the columns of areas.gpkg, told once for the docs, the file and its test."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class Column:
    """One column: its name, its unit ("" without one), and what it holds."""

    name: str
    unit: str
    meaning: str

    @property
    def sentence(self) -> str:
        """Return unit and meaning as one sentence."""
        unit = f" [{self.unit}]" if self.unit else ""
        return f"{self.meaning[0].upper()}{self.meaning[1:]}{unit}."


@dataclass(frozen=True)
class TableColumns:
    """What a row of one table is, and its columns in order."""

    about: str
    columns: dict[str, Column]


@functools.cache
def column_words() -> dict[str, TableColumns]:
    """Return the words on every table of areas.gpkg, by the table's name."""
    text = files("quietacre").joinpath("words/columns.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    groups = tables.pop("group")
    found = {}
    for table, own in tables.items():
        about = own.pop("about")
        first = [groups[name] for name in own.pop("first")]
        last = [groups[name] for name in own.pop("last", ())]
        rows: dict[str, dict[str, str]] = {}
        for part in (*first, own, *last):
            rows |= part
        found[table] = TableColumns(
            about,
            {
                name: Column(name, row.get("unit", ""), row["is"])
                for name, row in rows.items()
            },
        )
    return found
