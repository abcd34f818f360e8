"""Changes to settings, and what they lead to on the plain settings of the standard reader."""

from __future__ import annotations

import copy
import dataclasses
from typing import TYPE_CHECKING, Any

from quietacre.edit import toml_splice as splice
from quietacre.edit.toml_scan import Path, Section, Unplaced
from quietacre.edit.toml_spell import path_spelled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.edit.toml_table import TomlTable

MISSING = object()


@dataclasses.dataclass(frozen=True)
class Set:
    """Give the value at a path; it is made where it is missing, with the tables above it."""

    path: Path
    value: object


@dataclasses.dataclass(frozen=True)
class Insert:
    """Put an item into the list at a path, before a place; last when that is None."""

    path: Path
    value: object
    place: int | None = None


@dataclasses.dataclass(frozen=True)
class Remove:
    """Take away what is at a path: a key, a table, an item of a list."""

    path: Path


@dataclasses.dataclass(frozen=True)
class Move:
    """Move the item of a list at a path to another place of that list, counted from 0."""

    path: Path
    place: int


@dataclasses.dataclass(frozen=True)
class Rename:
    """Give the key at the end of a path another name."""

    path: Path
    key: str


Change = Set | Insert | Remove | Move | Rename


def value_at(document: object, path: Sequence[str | int]) -> Any:  # noqa: ANN401 - as TOML gives it
    """Return what is at a path of plain settings, `MISSING` where there is nothing."""
    here: Any = document
    for part in path:
        if isinstance(part, int):
            if not isinstance(here, list) or not 0 <= part < len(here):
                return MISSING
        elif not isinstance(here, dict) or part not in here:
            return MISSING
        here = here[part]
    return here


def same(one: object, other: object) -> bool:
    """Return whether settings are equal, kinds of numbers too: 1, 1.0 and true differ."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    number = isinstance(one, (int, float)) and isinstance(other, (int, float))
    if number and not isinstance(one, bool) and not isinstance(other, bool):
        return one == other  # 60 is written 60.0 where a point stood
    return type(one) is type(other) and one == other


def plainly(document: TomlTable, change: Change, sections: Sequence[Section]) -> Any:  # noqa: ANN401
    """Return the settings that a change is to lead to."""
    wanted = copy.deepcopy(document)
    path = change.path
    if isinstance(change, Set):
        return _plain_set(wanted, path, change.value)
    parent, last = value_at(wanted, path[:-1]), path[-1] if path else None
    if isinstance(change, Insert):
        items = value_at(wanted, path)
        if items is MISSING:
            return _plain_set(wanted, path, [change.value])
        if not isinstance(items, list):
            raise nowhere(path, "is no list")
        items.insert(len(items) if change.place is None else change.place, change.value)
        return wanted
    if not path or value_at(wanted, path) is MISSING:
        raise nowhere(path, "is not in the file")
    if isinstance(change, Rename):
        if not isinstance(last, str) or change.key in parent:
            raise nowhere(path, f"cannot be called “{change.key}”")
        parent[change.key] = parent.pop(last)
        return wanted
    if isinstance(change, Move):
        if not isinstance(last, int) or not 0 <= change.place < len(parent):
            raise nowhere(path, "cannot be moved there")
        parent.insert(change.place, parent.pop(last))
        return wanted
    del parent[last]
    return _without_husks(wanted, path[:-1], sections)


def _plain_set(document: TomlTable, path: Path, value: object) -> TomlTable:
    here: Any = document
    for place, part in enumerate(path):
        last = place == len(path) - 1
        if isinstance(part, int):
            if not isinstance(here, list) or not 0 <= part < len(here):
                raise nowhere(path[: place + 1], "is not in the file")
        elif not isinstance(here, dict):
            raise nowhere(path[:place], "holds no keys")
        elif part not in here and not last:
            here[part] = {}
        if last:
            here[part] = value
        here = here[part]
    return document


def _without_husks(document: Any, path: Path, sections: Sequence[Section]) -> Any:  # noqa: ANN401
    """Drop tables that are gone with their last key, for they have no header of their own."""
    while path:
        here = value_at(document, path)
        stands = any(s.keys and s.path == path for s in sections)
        if here or stands or splice.find(sections, path) is not None:
            break
        parent = value_at(document, path[:-1])
        del parent[path[-1]]
        path = path[:-1]
    return document


def nowhere(path: Path, why: str) -> Unplaced:
    """Return what says why a change has no place."""
    return Unplaced(f"{path_spelled(path)}: {why}" if path else f"the file {why}")
