"""Key paths as a person types them: ``area["North bottom"].plant``, ``mix[2].seed[1].share``."""

from __future__ import annotations

import difflib
import re
from typing import TYPE_CHECKING, Any

from quietacre.edit.toml_spell import key_spelled, text_spelled
from quietacre.errors import BadInput, FileProblem
from quietacre.model import folded

if TYPE_CHECKING:
    from quietacre.edit.toml_scan import Path

#: Keys by which a table of a list is called, the first it has.
CALLED_BY = ("name", "grade", "item", "crop", "task", "spray")
PART = re.compile(
    r"""\s*(?:
      (?P<dot>\.)?\s*(?P<key>[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')
    | \[\s*(?P<place>[0-9]+)\s*\]
    | \[\s*(?P<name>"(?:[^"\\]|\\.)*"|'[^']*'|[^\]"'][^\]]*?)\s*\]
    )\s*""",
    re.VERBOSE,
)


def read_key_path(text: str) -> list[str | int | Named]:
    """Return the parts of a typed key path; places are counted from 0.

    Raises
    ------
    BadInput
        It is no key path.
    """
    parts: list[str | int | Named] = []
    position = 0
    while position < len(text):
        found = PART.match(text, position)
        dotted = found is not None and found["dot"] is not None
        keyed = found is not None and found["key"] is not None
        if found is None or (keyed and dotted != bool(parts)):
            raise BadInput(
                f"“{text}” is no key path",
                fix='write it as area["North bottom"].plant, or as area[2].plant',
            )
        if found["key"] is not None:
            parts.append(_unquoted(found["key"]))
        elif found["place"] is not None:
            parts.append(int(found["place"]) - 1)
        else:
            parts.append(Named(_unquoted(found["name"])))
        position = found.end()
    if not parts or not isinstance(parts[0], str) or isinstance(parts[0], Named):
        raise BadInput(
            f"“{text}” is no key path", fix="begin with a table, such as property or area"
        )
    return parts


class Named(str):
    """A word in brackets: the name of an item of a list."""

    __slots__ = ()


def _unquoted(word: str) -> str:
    if word[:1] == '"':
        return re.sub(r"\\(.)", r"\1", word[1:-1])
    return word[1:-1] if word[:1] == "'" else word


def found_path(
    document: dict[str, Any], parts: list[str | int | Named], source: str
) -> Path:
    """Return a typed path with the places of named items, as the settings have them.

    Raises
    ------
    FileProblem
        No item, or more than one, has that name; or there is no such place.
    """
    here: Any = document
    path: tuple[str | int, ...] = ()
    for part in parts:
        items = here if isinstance(here, list) else []
        if isinstance(part, Named):
            part = _place_of(items, part, path, source)  # noqa: PLW2901
        if isinstance(part, int):
            if not 0 <= part < len(items):
                many = f"there are {len(items)}" if items else "there is none"
                raise FileProblem(
                    f"has no place {part + 1}; {many}",
                    fix="count from 1, or give the name",
                    source=source,
                    where=shown_path(document, path),
                )
            here = items[part]
        else:
            here = here.get(part) if isinstance(here, dict) else None
        path = (*path, part)
    return path


def _place_of(items: list[Any], name: Named, path: Path, source: str) -> int:
    called = [_called(item) for item in items]
    exact = [n for n, word in enumerate(called) if word == name]
    places = exact or [n for n, word in enumerate(called) if folded(word) == folded(name)]
    table = ".".join(part for part in path if isinstance(part, str))
    if len(places) > 1:
        ways = " or ".join(f"{table}[{place + 1}]" for place in places)
        raise FileProblem(
            f"{len(places)} of them are called “{name}”",
            fix=f"say which: {ways}",
            source=source,
            where=table,
        )
    if not places:
        near = difflib.get_close_matches(name, [word for word in called if word], n=1)
        hint = f"did you mean “{near[0]}”?" if near else "see the names in the file"
        raise FileProblem(
            f"none of them is called “{name}”", fix=hint, source=source, where=table
        )
    return places[0]


def _called(item: object) -> str:
    if not isinstance(item, dict):
        return item if isinstance(item, str) else ""
    return next((str(item[key]) for key in CALLED_BY if key in item), "")


def shown_path(document: object, path: Path) -> str:
    """Return a path as a person would type it, items of lists by their names."""
    here: Any = document
    shown = ""
    for part in path:
        if isinstance(part, int):
            items = here if isinstance(here, list) else []
            here = items[part] if part < len(items) else None
            name = _called(here) if isinstance(here, dict) else ""
            alone = [_called(item) for item in items].count(name) == 1
            shown += f"[{text_spelled(name) if name and alone else part + 1}]"
        else:
            here = here.get(part) if isinstance(here, dict) else None
            shown += f".{key_spelled(part)}" if shown else key_spelled(part)
    return shown
