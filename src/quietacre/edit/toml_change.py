"""Changes to the settings in a TOML text that leave the rest as it is, to the byte.

A change is made twice: on the text, by splices, and on the plain settings. What the
standard reader then finds in the text must be those settings, and no remark may be gone
that was not on a line taken away; else nothing is changed and `Unplaced` says why.
"""

from __future__ import annotations

import dataclasses
import difflib
import json
import tomllib
from typing import TYPE_CHECKING, Any

from quietacre.edit import toml_splice as splice
from quietacre.edit.toml_guard import check_rest
from quietacre.edit.toml_plain import (
    MISSING,
    Change,
    Insert,
    Move,
    Remove,
    Rename,
    Set,
    nowhere,
    plainly,
    same,
    value_at,
)
from quietacre.edit.toml_scan import (
    Path,
    Section,
    Unplaced,
    Value,
    line_end,
    line_start,
    scan,
    starts_with,
)
from quietacre.edit.toml_spell import key_spelled, path_spelled, rounded
from quietacre.edit.toml_splice import Splice, Spot, spliced

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.edit.toml_table import TomlTable


def changed(text: str, changes: Sequence[Change]) -> str:
    """Return a TOML text with changes made to it one after another.

    Parameters
    ----------
    text : a whole file, without its byte order mark; line ends as they are.
    changes : paths count the items of lists from 0.

    Raises
    ------
    Unplaced
        A path leads nowhere, or the change cannot be made without touching something else.
    BadInput
        A value cannot be written down.
    """
    for change in changes:
        text = _changed(text, change)
    return text


def _changed(text: str, change: Change) -> str:
    before = tomllib.loads(text)
    if isinstance(change, (Set, Insert)):
        change = dataclasses.replace(change, value=rounded(change.value))
    sections = scan(text)
    wanted = plainly(before, change, sections)
    result = _on_text(text, sections, before, change)
    try:
        parsed = tomllib.loads(result)
    except tomllib.TOMLDecodeError as problem:
        message = f"{path_spelled(change.path)}: the file would not be read ({problem})"
        raise Unplaced(message) from problem
    if not same(parsed, wanted):
        message = f"{path_spelled(change.path)}: more than this would change"
        raise Unplaced(message)
    check_rest(text, result, change, value_at(before, change.path))
    return result


# ---- on the text --------------------------------------------------------------------------


def _on_text(
    text: str, sections: Sequence[Section], document: TomlTable, change: Change
) -> str:
    if isinstance(change, Set):
        old = value_at(document, change.path)
        return _set(text, sections, change.path, old, change.value)
    if isinstance(change, Insert):
        return _insert(text, sections, document, change)
    if isinstance(change, Remove):
        return spliced(text, _removal(text, sections, change.path))
    if isinstance(change, Move):
        return _moved(text, sections, document, change)
    return spliced(text, _renaming(sections, change))


def _set(
    text: str, sections: Sequence[Section], path: Path, old: object, new: object
) -> str:
    if same(old, new):
        return text
    if old is MISSING:
        return spliced(text, _addition(text, sections, path, new))
    if isinstance(old, dict) and isinstance(new, dict):
        parts: list[Change] = [Remove((*path, key)) for key in old if key not in new]
        parts += [
            Set((*path, key), new[key])
            for key in new
            if not same(new[key], old.get(key, MISSING))
        ]
        result = changed(text, parts)
        if (
            value_at(tomllib.loads(result), path) is MISSING
        ):  # gone with its last dotted key
            result = changed(result, [Set(path, new)])
        return result
    if isinstance(old, list) and isinstance(new, list) and new:
        return changed(text, list(_list_changes(path, old, new)))
    spot = splice.find(sections, path)
    if spot is not None:
        return spliced(text, splice.replace(text, spot, new))
    if isinstance(path[-1], int):
        raise nowhere(path, "is a table of a list and can be nothing else")
    return changed(text, [Remove(path), Set(path, new)])


def _list_changes(path: Path, old: list[Any], new: list[Any]) -> Iterator[Change]:
    """Yield what turns one list into another, from its end so that places stay right."""
    was, now = (
        [json.dumps(item, default=repr, sort_keys=True) for item in items]
        for items in (old, new)
    )
    matcher = difflib.SequenceMatcher(a=was, b=now, autojunk=False)
    for what, first, last, begin, end in reversed(matcher.get_opcodes()):
        if what == "equal":
            continue
        pairs = min(last - first, end - begin)
        for place in reversed(range(first + pairs, last)):
            yield Remove((*path, place))
        for place in reversed(range(begin + pairs, end)):
            yield Insert(path, new[place], first + pairs)
        for place in range(pairs):
            yield Set((*path, first + place), new[begin + place])


def _addition(
    text: str, sections: Sequence[Section], path: Path, value: object
) -> list[Splice]:
    """Return what puts a value where nothing is, in the nearest table that is there."""
    for length in range(len(path) - 1, -1, -1):
        head, rest = path[:length], path[length:]
        if any(isinstance(part, int) for part in rest):
            continue
        own = [s for s in sections if s.path == head]
        if head and not own and not splice.headed(sections, head):
            spot = splice.find(sections, head)
            lines = splice.dotted(sections, head)
            if spot is not None and spot.value.kind == "inline":
                return splice.add_inline(spot.value, str(rest[0]), _nest(rest[1:], value))
            if lines:
                return _add_dotted(text, path, value, lines[-1][0])
            continue
        if own and (len(rest) == 1 and not _is_table(value)):
            return splice.add_line(text, own[0], rest, value)
        if own and any(
            isinstance(part, int) for part in head
        ):  # in an area: on its own line
            return splice.add_line(text, own[0], rest[:1], _nest(rest[1:], value))
        return _add_tables(text, sections, path, value)
    raise nowhere(path, "has no place in the file")


def _add_dotted(text: str, path: Path, value: object, section: Section) -> list[Splice]:
    keys = path[len(section.path) :]
    pairs = [p for p in section.pairs if starts_with(p.names, keys[:-1])]
    near = dataclasses.replace(section, pairs=pairs or section.pairs)
    return splice.add_line(text, near, keys, value)


def _is_table(value: object) -> bool:
    tables = isinstance(value, list) and bool(value)
    return isinstance(value, dict) or (
        tables and all(isinstance(item, dict) for item in value)  # type: ignore[attr-defined]
    )


def _nest(keys: Path, value: object) -> object:
    for key in reversed(keys):
        value = {str(key): value}
    return value


def _add_tables(
    text: str, sections: Sequence[Section], path: Path, value: object
) -> list[Splice]:
    """Return what puts new tables with headers of their own near their like."""
    if not _is_table(value):
        path, value = path[:-1], {str(path[-1]): value}
    near = None
    for length in range(len(path) - 1, 0, -1):
        headed = splice.headed(sections, path[:length])
        if headed:
            near = headed[-1]
            break
    nl = splice.newline(text, len(text))
    lines: list[str] = []
    array = isinstance(value, list)
    for table in value if isinstance(value, list) else [value]:
        lines += [""] if lines else []
        header = splice.header_spelled(path, array=array)
        lines += splice.section_lines(header, table, nl)  # type: ignore[arg-type]
    return splice.add_section(text, near, lines)


def _insert(
    text: str, sections: Sequence[Section], document: TomlTable, change: Insert
) -> str:
    items = value_at(document, change.path)
    if items is MISSING:
        return spliced(text, _addition(text, sections, change.path, [change.value]))
    place = len(items) if change.place is None else change.place
    spot = splice.find(sections, change.path)
    if spot is not None:
        return spliced(text, splice.add_item(text, spot.value, place, change.value))
    last = splice.headed(sections, (*change.path, len(items) - 1))[-1]
    nl = splice.newline(text, last.start)
    header = splice.header_spelled(change.path, array=True)
    if not isinstance(change.value, dict):
        raise nowhere(change.path, "holds tables alone")
    lines = list(splice.section_lines(header, change.value, nl))
    if place >= len(items):
        return spliced(text, splice.add_section(text, last, lines))
    first = splice.headed(sections, (*change.path, place))[0]
    start = _with_own_remarks(text, first, place)
    return spliced(text, [Splice(start, start, nl.join([*lines, "", ""]))])


def _removal(text: str, sections: Sequence[Section], path: Path) -> list[Splice]:
    spot = splice.find(sections, path)
    if spot is not None:
        return splice.drop(text, spot)
    splices = [splice.drop_line(text, pair) for _, pair in splice.dotted(sections, path)]
    return splices + splice.drop_sections(text, splice.headed(sections, path))


def _renaming(sections: Sequence[Section], change: Rename) -> list[Splice]:
    depth = len(change.path)
    word = key_spelled(change.key)
    places: set[tuple[int, int]] = set()
    spot = splice.find(sections, change.path)
    if spot is not None and spot.pair is not None:
        places.add((spot.pair.keys[-1].start, spot.pair.keys[-1].end))
    for section, pair in splice.dotted(sections, change.path):
        key = pair.keys[depth - len(section.path) - 1]
        places.add((key.start, key.end))
    named = sum(isinstance(part, str) for part in change.path)
    for section in splice.headed(sections, change.path):
        places.add((section.keys[named - 1].start, section.keys[named - 1].end))
    return [Splice(start, end, word) for start, end in places]


# ---- moving -------------------------------------------------------------------------------


def _moved(
    text: str, sections: Sequence[Section], document: TomlTable, change: Move
) -> str:
    parent, index, place = change.path[:-1], change.path[-1], change.place
    if index == place or not isinstance(index, int):
        return text
    items = value_at(document, parent)
    spot = splice.find(sections, change.path)
    if spot is not None:
        return _moved_item(text, spot, index, place)
    blocks = splice.headed(sections, change.path)
    spans = [
        (
            _with_own_remarks(text, s, index) if n == 0 else s.start,
            splice.block_end(text, s),
        )
        for n, s in enumerate(blocks)
    ]
    nl = splice.newline(text, blocks[0].start)
    whole = nl.join(_closed(text[start:end], nl) for start, end in spans)
    drops = splice.drop_sections(text, blocks)
    drops[0] = Splice(min(spans[0][0], drops[0].start), drops[0].end)
    if place < index:
        target = splice.headed(sections, (*parent, place))[0]
        start = _with_own_remarks(text, target, place)
        return spliced(text, [*drops, Splice(start, start, whole + nl)])
    last = min(place, len(items) - 1)
    target = splice.headed(sections, (*parent, last))[-1]
    added = splice.add_section(text, target, [whole.removesuffix(nl)])
    return spliced(text, [*drops, *added])


def _moved_item(text: str, spot: Spot, index: int, place: int) -> str:
    """Move an item of an array, with the remark behind it where it has a line of its own."""
    array = spot.holder
    if not isinstance(array, Value):
        message = "no array"
        raise Unplaced(message)
    item = array.items[index]
    word = text[item.start : item.end]
    comma = splice.comma_after(text, item.end)
    after = item.end if comma is None else comma + 1
    tail = text[after : line_end(text, after)].rstrip("\r\n")
    if not splice.own_line(text, item.start) or not tail.lstrip().startswith("#"):
        tail = ""
    smaller = spliced(text, splice.drop(text, spot))
    rest = _find_array(smaller, array.start)
    return spliced(smaller, splice.put_item(smaller, rest, place, word, tail))


def _find_array(text: str, start: int) -> Value:
    """Return the array that begins at a position of a text."""

    def within(value: Value) -> Value | None:
        if value.kind == "array" and value.start == start:
            return value
        inner = [*value.items, *(pair.value for pair in value.pairs)]
        return next(filter(None, map(within, inner)), None)

    arrays = (within(pair.value) for section in scan(text) for pair in section.pairs)
    array = next(filter(None, arrays), None)
    if array is None:
        message = f"character {start}: no array"
        raise Unplaced(message)
    return array


def _closed(block: str, nl: str) -> str:
    return block if block.endswith("\n") else block + nl


def _with_own_remarks(text: str, section: Section, index: int) -> int:
    """Return where a table begins with the remarks right above it.

    Those above the first of its kind head them all, and stay where they are.
    """
    start = section.start
    if index == 0:
        return start
    while start:
        begin = line_start(text, start - 1)
        if not splice.COMMENT_LINE.match(text, begin):
            break
        start = begin
    gap = start == 0 or splice.BLANK_LINE.match(text, line_start(text, start - 1))
    return start if gap else section.start
