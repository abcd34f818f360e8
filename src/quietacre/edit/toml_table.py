"""A table of property.toml as it was typed, before anything of it is checked."""

from __future__ import annotations

from typing import Any

from quietacre.measure.ground import paths

#: Keys with whatever stands there: texts, numbers, days, lists, further tables. Of any type,
#: for a change is made to what a person typed, and the reader checks the whole file after it.
TomlTable = dict[str, Any]


def files_under(area: TomlTable) -> tuple[str, ...]:
    """Return the files that an area is measured by: those it was made over, else its own."""
    return paths(area["over"] if "over" in area else area["from"])
