"""What another copy of property.toml says otherwise, as settings to give one by one."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, TypeGuard

from quietacre.edit.key_path import called, shown_path
from quietacre.edit.toml_plain import same
from quietacre.edit.toml_spell import key_spelled, spelled

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.edit.toml_scan import Path
    from quietacre.edit.toml_table import TomlTable


@dataclasses.dataclass(frozen=True)
class Otherwise:
    """A setting that another copy has otherwise: its key path, and its values as spelled.

    ``ours`` is None where we have it not, ``theirs`` where they have it not.
    """

    key: str
    ours: str | None
    theirs: str | None


def differences(ours: TomlTable, theirs: TomlTable) -> tuple[Otherwise, ...]:
    """Return what two settings files say otherwise, in our order; items of lists by name.

    Parameters
    ----------
    ours, theirs : plain settings, as the standard reader gives them.
    """
    return tuple(_tables(ours, ours, theirs, ()))


def _tables(
    document: TomlTable, ours: TomlTable, theirs: TomlTable, path: Path
) -> Iterator[Otherwise]:  # fmt: skip
    for key in [*ours, *(key for key in theirs if key not in ours)]:
        here = (*path, key)
        if key in ours and key in theirs:
            yield from _values(document, ours[key], theirs[key], here)
        elif key in ours:
            yield Otherwise(shown_path(document, here), _flat(ours[key]), None)
        elif _named_list(new := theirs[key]):
            yield from (_more(document, here, item) for item in new)
        else:
            head = shown_path(document, path)
            full = f"{head}.{key_spelled(key)}" if head else key_spelled(key)
            yield Otherwise(full, None, _flat(theirs[key]))


def _values(
    document: TomlTable, ours: object, theirs: object, path: Path
) -> Iterator[Otherwise]:
    if same(ours, theirs):
        return
    if isinstance(ours, dict) and isinstance(theirs, dict):
        yield from _tables(document, ours, theirs, path)
    elif _named_list(ours) and _named_list(theirs):
        yield from _lists(document, ours, theirs, path)
    else:
        yield Otherwise(shown_path(document, path), _flat(ours), _flat(theirs))


def _lists(
    document: TomlTable, ours: list[Any], theirs: list[Any], path: Path
) -> Iterator[Otherwise]:  # fmt: skip
    other = {called(item): item for item in theirs}
    names = [called(item) for item in ours]
    for place, item in enumerate(ours):
        if names[place] in other:
            yield from _values(document, item, other[names[place]], (*path, place))
        else:
            yield Otherwise(shown_path(document, (*path, place)), _flat(item), None)
    for name, item in other.items():
        if name not in names:
            yield _more(document, path, item)


def _more(document: TomlTable, path: Path, item: object) -> Otherwise:
    return Otherwise(f"{shown_path(document, path)}[+]", None, _flat(item))


def _named_list(value: object) -> TypeGuard[list[TomlTable]]:
    """Return whether a value is a list of tables with names that are all different."""
    if not isinstance(value, list) or not value:
        return False
    names = [called(item) if isinstance(item, dict) else "" for item in value]
    return all(names) and len(set(names)) == len(names)


def _flat(value: object) -> str:
    return spelled(value, flat=True)
