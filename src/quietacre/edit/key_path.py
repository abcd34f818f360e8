"""Key paths as a person types them: ``area["North bottom"].plant``, ``mix[2].seed[1].share``."""

from __future__ import annotations

import dataclasses
import difflib
import re
from typing import TYPE_CHECKING, Any

from quietacre.edit.toml_spell import key_spelled, text_spelled
from quietacre.errors import BadInput, FileProblem
from quietacre.model import folded

if TYPE_CHECKING:
    from quietacre.edit.toml_scan import Path
    from quietacre.edit.toml_table import TomlTable

#: Keys by which a table of a list is called, the first it has.
CALLED_BY = ("name", "grade", "item", "crop", "task", "spray")
#: So many ways are shown when a path is not clear.
FEW = 3
PART = re.compile(
    r"""\s*(?:
      (?P<dot>\.)?\s*(?P<key>[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')
    | \[\s*(?P<place>[0-9]+)\s*\]
    | \[\s*(?P<more>\+)\s*\]
    | \[\s*(?P<name>"(?:[^"\\]|\\.)*"|'[^']*'|[^\]"'][^\]]*?)\s*\]
    )\s*""",
    re.VERBOSE,
)


@dataclasses.dataclass(frozen=True)
class OneMore:
    """The place behind the last of a list: ``area[+]``."""


class Named(str):
    """A word in brackets: the name of an item of a list."""

    __slots__ = ()


Part = str | int | Named | OneMore


def read_key_path(text: str) -> list[Part]:
    """Return the parts of a typed key path; places are counted from 0.

    Raises
    ------
    BadInput
        It is no key path.
    """
    parts: list[Part] = []
    position = 0
    while position < len(text):
        match = PART.match(text, position)
        dotted = match is not None and match["dot"] is not None
        keyed = match is not None and match["key"] is not None
        if match is None or (keyed and dotted != bool(parts)):
            raise BadInput(
                f"“{text}” is no key path",
                fix='write it as area["North bottom"].plant, or as area[2].plant',
            )
        if match["key"] is not None:
            parts.append(_unquoted(match["key"]))
        elif match["more"] is not None:
            parts.append(OneMore())
        elif match["place"] is not None:
            parts.append(int(match["place"]) - 1)
        else:
            parts.append(Named(_unquoted(match["name"])))
        position = match.end()
    if not parts or not isinstance(parts[0], str) or isinstance(parts[0], Named):
        raise BadInput(
            f"“{text}” is no key path", fix="begin with a table, such as property or area"
        )
    return parts


def _unquoted(word: str) -> str:
    if word[:1] == '"':
        return re.sub(r"\\(.)", r"\1", word[1:-1])
    return word[1:-1] if word[:1] == "'" else word


class WhichOne(FileProblem):
    """A key path that may mean one of several; ``ways`` are paths that are plain."""

    def __init__(self, what: str, *, source: str, where: str, ways: list[str]) -> None:
        self.ways = tuple(ways)
        super().__init__(what, fix="say which", source=source, where=where)


def found_path(document: TomlTable, parts: list[Part], source: str) -> Path:
    """Return a typed path with the places of named items, as the settings have them.

    ``[+]`` is the place behind the last of a list.

    Raises
    ------
    WhichOne
        No item has that name but some have a like one, more than one has it, or a list
        stands where a key is asked for.
    FileProblem
        There is no such item.
    """
    here: Any = document
    path: tuple[str | int, ...] = ()
    for place, part in enumerate(parts):
        if isinstance(part, OneMore) and (here is None or isinstance(here, list)):
            path, here = (*path, len(here or ())), None
            continue
        if isinstance(here, list):
            part = _place_in(document, here, path, parts[place:], source)  # noqa: PLW2901
            here = here[part]
        elif isinstance(part, str) and not isinstance(part, Named):
            here = here.get(part) if isinstance(here, dict) else None
        else:
            raise FileProblem(
                "is no list", fix="leave the brackets out, or check the name before them",
                source=source, where=shown_path(document, path),
            )  # fmt: skip
        path = (*path, part)
    return path


def _place_in(
    document: TomlTable,
    items: list[Any],
    path: Path,
    rest: list[Part],
    source: str,
) -> int:
    """Return the place in a list that the first of the parts left leads to."""
    part = rest[0]
    at = shown_path(document, path)
    if isinstance(part, int):
        if 0 <= part < len(items):
            return part
        raise FileProblem(
            f"has no place {part + 1}; there are {len(items)}",
            fix="count from 1, or give the name", source=source, where=at,
        )  # fmt: skip
    names = [called(item) for item in items]
    named = part if isinstance(part, Named) else ""
    places = [n for n, word in enumerate(names) if word == named]
    places = places or [n for n, word in enumerate(names) if folded(word) == folded(named)]
    if len(places) == 1 and isinstance(part, Named):
        return places[0]
    what = f"{len(places)} of them are called “{part}”"
    tail = rest[1:]
    if not isinstance(part, Named):
        what, tail = "is a list", rest
        places, near = [], list(range(min(len(items), FEW)))
    elif places:
        near = places
    else:
        what = f"none of them is called “{part}”"
        words = difflib.get_close_matches(named, [word for word in names if word], n=FEW)
        near = [names.index(word) for word in words] or list(range(min(len(items), FEW)))
    ways = [_typed(document, (*path, place), tail, alone=not places) for place in near]
    raise WhichOne(what, source=source, where=at, ways=ways)


def _typed(document: TomlTable, path: Path, tail: list[Part], *, alone: bool) -> str:
    """Return a whole path to type, the item by its name where it is the only one."""
    head = shown_path(document, path) if alone else (
        f"{shown_path(document, path[:-1])}[{int(path[-1]) + 1}]"
    )  # fmt: skip
    for part in tail:
        if isinstance(part, Named):
            head += f"[{text_spelled(part)}]"
        elif isinstance(part, OneMore):
            head += "[+]"
        elif isinstance(part, int):
            head += f"[{part + 1}]"
        else:
            head += f".{key_spelled(part)}"
    return head


def called(item: object) -> str:
    """Return the name that an item of a list goes by, empty without one."""
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
            name = called(here) if isinstance(here, dict) else ""
            alone = [called(item) for item in items].count(name) == 1
            shown += f"[{text_spelled(name) if name and alone else part + 1}]"
        else:
            here = here.get(part) if isinstance(here, dict) else None
            shown += f".{key_spelled(part)}" if shown else key_spelled(part)
    return shown
