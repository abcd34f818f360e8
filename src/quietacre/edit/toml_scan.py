"""Where each table, key and value of a TOML text stands, to the character.

Only for text that the standard reader has taken: what is wrong with a text it says, not
this. Positions count characters; line ends are as they are in the file.
"""

from __future__ import annotations

import dataclasses
import functools
import re
import tomllib
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Keys, and places in arrays counted from 0, from the top of the file down.
Path = tuple[str | int, ...]

STRING = re.compile(
    r'"""(?:\\[\s\S]|[^\\])*?"""(?:"{0,2})'
    r"|'''[\s\S]*?'''(?:'{0,2})"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'"
)
BARE = re.compile(r"\d{4}-\d\d-\d\d \d\d:[^\s,\]}#]*|[^\s,\]}#]+")
KEY = re.compile(r'[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'')
BLANKS = re.compile(r"[ \t]*")
#: What may stand between the parts of an array or between lines.
BETWEEN = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")


class Unplaced(Exception):  # noqa: N818 - it says what happened
    """A text is not as this scan understands TOML; nothing may be changed by it."""


@dataclasses.dataclass(frozen=True, slots=True)
class Key:
    """One part of a key, as it is meant, and where it is spelled."""

    name: str
    start: int
    end: int


@dataclasses.dataclass(frozen=True, slots=True)
class Value:
    """A value and where it stands; an array's or inline table's parts too."""

    kind: Literal["plain", "array", "inline"]
    start: int
    end: int
    items: tuple[Value, ...] = ()
    pairs: tuple[Pair, ...] = ()


@dataclasses.dataclass(frozen=True, slots=True)
class Pair:
    """``key = value``; a dotted key has several parts."""

    keys: tuple[Key, ...]
    value: Value

    @property
    def names(self) -> Path:
        """Return the parts of the key."""
        return tuple(key.name for key in self.keys)

    @property
    def start(self) -> int:
        """Return where the key begins."""
        return self.keys[0].start


@dataclasses.dataclass(slots=True)
class Section:
    """A header with the lines under it; the lines above the first header have none.

    ``path`` has a place after each name of an array of tables: ``("area", 2, "strip")``.
    """

    path: Path
    array: bool
    keys: tuple[Key, ...]
    start: int
    head_end: int
    pairs: list[Pair]

    def end(self, text: str) -> int:
        """Return the end of the last line that says something in this section."""
        if not self.pairs:
            return self.head_end
        return line_end(text, self.pairs[-1].value.end)


def line_start(text: str, position: int) -> int:
    """Return where the line begins that holds a position."""
    return text.rfind("\n", 0, position) + 1


def line_end(text: str, position: int) -> int:
    """Return where the next line begins, or the end of the text."""
    end = text.find("\n", position)
    return len(text) if end < 0 else end + 1


@functools.lru_cache(maxsize=4)
def scan(text: str) -> tuple[Section, ...]:
    """Return the sections of a TOML text in order; the first is what stands above any header.

    A text is looked at again by what checks a change to it, so the last few are remembered.

    Raises
    ------
    Unplaced
        The text is written in a way that is not understood here.
    """
    sections = [Section((), array=False, keys=(), start=0, head_end=0, pairs=[])]
    counts: dict[Path, int] = {}
    position = _skip(text, 0)
    while position < len(text):
        if text[position] == "[":
            section = _header(text, position, counts)
            sections.append(section)
            position = section.head_end
        else:
            pair = _pair(text, position)
            sections[-1].pairs.append(pair)
            position = pair.value.end
        position = _skip(text, position)
    return tuple(sections)


def _skip(text: str, position: int) -> int:
    match = BETWEEN.match(text, position)
    return position if match is None else match.end()


def _blanks(text: str, position: int) -> int:
    match = BLANKS.match(text, position)
    return position if match is None else match.end()


def _expect(text: str, position: int, sign: str) -> int:
    if not text.startswith(sign, position):
        message = f"character {position}: no “{sign}”"
        raise Unplaced(message)
    return position + len(sign)


def _header(text: str, position: int, counts: dict[Path, int]) -> Section:
    start = line_start(text, position)
    array = text.startswith("[[", position)
    keys, after = _key(text, _blanks(text, position + 1 + array))
    after = _expect(text, after, "]]" if array else "]")
    path: Path = ()
    for place, key in enumerate(keys):
        path = (*path, key.name)
        last = place == len(keys) - 1
        if last and array:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return Section(path, array, keys, start, line_end(text, after), [])


def _key(text: str, position: int) -> tuple[tuple[Key, ...], int]:
    keys: list[Key] = []
    while True:
        match = KEY.match(text, position)
        if match is None:
            message = f"character {position}: no key"
            raise Unplaced(message)
        keys.append(Key(_unquoted(match.group()), match.start(), match.end()))
        position = _blanks(text, match.end())
        if not text.startswith(".", position):
            return tuple(keys), position
        position = _blanks(text, position + 1)


def _unquoted(spelled: str) -> str:
    if spelled[0] not in "\"'":
        return spelled
    if spelled[0] == "'" or "\\" not in spelled:
        return spelled[1:-1]
    return str(tomllib.loads(f"key = {spelled}")["key"])


def _pair(text: str, position: int) -> Pair:
    keys, after = _key(text, position)
    after = _blanks(text, _expect(text, after, "="))
    return Pair(keys, _value(text, after))


def _value(text: str, position: int) -> Value:
    first = text[position : position + 1]
    if first == "[":
        return _array(text, position)
    if first == "{":
        return _inline(text, position)
    match = (STRING if first in {'"', "'"} else BARE).match(text, position)
    if match is None:
        message = f"character {position}: no value"
        raise Unplaced(message)
    return Value("plain", match.start(), match.end())


def _array(text: str, start: int) -> Value:
    items: list[Value] = []
    position = _skip(text, start + 1)
    while not text.startswith("]", position):
        items.append(_value(text, position))
        position = _skip(text, items[-1].end)
        if text.startswith(",", position):
            position = _skip(text, position + 1)
        elif not text.startswith("]", position):
            message = f"character {position}: no end of an array"
            raise Unplaced(message)
    return Value("array", start, position + 1, items=tuple(items))


def _inline(text: str, start: int) -> Value:
    pairs: list[Pair] = []
    position = _skip(text, start + 1)
    while not text.startswith("}", position):
        pairs.append(_pair(text, position))
        position = _skip(text, pairs[-1].value.end)
        if text.startswith(",", position):
            position = _skip(text, position + 1)
        elif not text.startswith("}", position):
            message = f"character {position}: no end of an inline table"
            raise Unplaced(message)
    return Value("inline", start, position + 1, pairs=tuple(pairs))


def starts_with(path: Path, head: Sequence[str | int]) -> bool:
    """Return whether a path leads through another, or is it."""
    return path[: len(head)] == tuple(head)
