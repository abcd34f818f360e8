"""A table of property.toml as it was typed: unchecked, so what is read of it is looked at here."""

from __future__ import annotations

import datetime as dt

#: Keys with whatever stands there: texts, numbers, days, lists, further tables.
TomlTable = dict[str, object]


def areas_in(document: TomlTable) -> list[TomlTable]:
    """Return the [[area]] tables of a file, in their order."""
    areas = document.get("area")
    return (
        [one for one in areas if isinstance(one, dict)] if isinstance(areas, list) else []
    )


def table_in(document: TomlTable, key: str) -> TomlTable:
    """Return the table under a key; an empty one where there is none."""
    table = document.get(key)
    return table if isinstance(table, dict) else {}


def texts_in(table: TomlTable, key: str) -> tuple[str, ...]:
    """Return the texts under a key, one or a list of them; none where it is left out."""
    value = table.get(key)
    if isinstance(value, str):
        return (value,)
    return tuple(str(one) for one in value) if isinstance(value, list) else ()


def number_in(table: TomlTable, key: str) -> float | None:
    """Return the number under a key, None where none stands there."""
    value = table.get(key)
    return (
        value if isinstance(value, (int, float)) and not isinstance(value, bool) else None
    )


def day_in(table: TomlTable, key: str) -> dt.date | None:
    """Return the day under a key, a date of TOML or spelled as one; None where none stands there."""
    value = table.get(key)
    if isinstance(value, str):
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            return None
    return (
        value if isinstance(value, dt.date) and not isinstance(value, dt.datetime) else None
    )


def files_under(area: TomlTable) -> tuple[str, ...]:
    """Return the files that an area is measured by: those it was made over, else its own."""
    return texts_in(area, "over" if "over" in area else "from")
