"""The words on columns of areas.gpkg and keys of report.json, told once.

The docs pages, the description inside the GeoPackage and the tests take them from here.
"""

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
    words = {}
    for table, own in tables.items():
        about = own.pop("about")
        first = [groups[name] for name in own.pop("first")]
        last = [groups[name] for name in own.pop("last", ())]
        rows: dict[str, dict[str, str]] = {}
        for part in (*first, own, *last):
            rows |= part
        words[table] = TableColumns(
            about,
            {
                name: Column(name, row.get("unit", ""), row["is"])
                for name, row in rows.items()
            },
        )
    return words


@dataclass(frozen=True)
class Key:
    """One key of report.json: its unit, what it holds, and of what.

    ``of`` names the record that it holds or holds a list of; ``by`` says what the keys of a
    table are, where the person's own data name them. Both are "" when they do not apply.
    """

    name: str
    unit: str
    meaning: str
    of: str
    by: str


@dataclass(frozen=True)
class Record:
    """What one record of report.json is, and its keys in order."""

    about: str
    keys: dict[str, Key]


@functools.cache
def report_words() -> dict[str, Record]:
    """Return the words on every record of report.json, by the record's name."""
    text = files("quietacre").joinpath("words/report.toml").read_text(encoding="utf-8")
    return {
        record: Record(
            rows.pop("about"),
            {
                name: Key(
                    name,
                    row.get("unit", ""),
                    row["is"],
                    row.get("of", ""),
                    row.get("by", ""),
                )
                for name, row in rows.items()
            },
        )
        for record, rows in tomllib.loads(text).items()
    }
