"""Single changes to a TOML text: which characters go, and which come in their place.

Every function gives `Splice`s into the text it was shown; none renders anything but the
value that is new. A comment above a header is nobody's own: it stays when the table goes.
"""

from __future__ import annotations

import dataclasses
import re
from typing import TYPE_CHECKING

from quietacre.edit.toml_scan import (
    Pair,
    Path,
    Section,
    Unplaced,
    Value,
    line_end,
    line_start,
    starts_with,
)
from quietacre.edit.toml_spell import INDENT, key_spelled, spelled

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

BLANK_LINE = re.compile(r"[ \t]*(?:\r?\n|$)")
COMMENT_LINE = re.compile(r"[ \t]*#")


@dataclasses.dataclass(frozen=True, slots=True)
class Splice:
    """Characters from ``start`` to ``end`` that ``text`` replaces."""

    start: int
    end: int
    text: str = ""


@dataclasses.dataclass(frozen=True, slots=True)
class Spot:
    """Where something of a path stands: a pair in a holder, or a place in an array."""

    section: Section
    value: Value
    pair: Pair | None
    holder: Section | Value
    index: int = 0


def spliced(text: str, splices: Sequence[Splice]) -> str:
    """Return a text with splices carried out; they do not touch one another."""
    parts, position = [], 0
    for splice in sorted(splices, key=lambda s: (s.start, s.end)):
        if splice.start < position:
            message = "two changes touch one another"
            raise Unplaced(message)
        parts += [text[position : splice.start], splice.text]
        position = splice.end
    return "".join([*parts, text[position:]])


def find(sections: Sequence[Section], path: Path) -> Spot | None:
    """Return where the value of a path stands, None when no single value is it."""
    for section in sections:
        if starts_with(path, section.path) and len(path) > len(section.path):
            spot = _in_pairs(section, section, section.pairs, path[len(section.path) :])
            if spot is not None:
                return spot
    return None


def _in_pairs(
    section: Section, holder: Section | Value, pairs: Sequence[Pair], rest: Path
) -> Spot | None:
    for pair in pairs:
        names = pair.names
        if not starts_with(rest, names):
            continue
        if len(rest) == len(names):
            return Spot(section, pair.value, pair, holder)
        return _in_value(section, pair.value, rest[len(names) :])
    return None


def _in_value(section: Section, value: Value, rest: Path) -> Spot | None:
    if value.kind == "inline":
        return _in_pairs(section, value, value.pairs, rest)
    index = rest[0]
    if value.kind != "array" or not isinstance(index, int) or index >= len(value.items):
        return None
    item = value.items[index]
    if len(rest) == 1:
        return Spot(section, item, None, value, index)
    return _in_value(section, item, rest[1:])


def headed(sections: Sequence[Section], path: Path) -> list[Section]:
    """Return the sections whose header is a path or leads through it."""
    return [s for s in sections if s.keys and starts_with(s.path, path)]


def dotted(sections: Sequence[Section], path: Path) -> list[tuple[Section, Pair]]:
    """Return the lines whose dotted key leads through a path that is no value itself."""
    return [
        (section, pair)
        for section in sections
        if starts_with(path, section.path)
        for pair in section.pairs
        if len(section.path) < len(path) < len(section.path) + len(pair.keys)
        and starts_with(section.path + pair.names, path)
    ]


def newline(text: str, position: int) -> str:
    """Return the line end in use before a position, or else anywhere, or else plain."""
    before = text.rfind("\n", 0, position)
    at = before if before >= 0 else text.find("\n")
    return "\r\n" if at > 0 and text[at - 1] == "\r" else "\n"


def margin(text: str, position: int) -> str:
    """Return the blanks that begin the line of a position."""
    match = re.compile(r"[ \t]*").match(text, line_start(text, position))
    return match.group() if match else ""


# ---- a value in its place ------------------------------------------------------------


def replace(text: str, spot: Spot, value: object) -> list[Splice]:
    """Put another value where one stands."""
    old = text[spot.value.start : spot.value.end]
    new = spelled(
        value,
        like=old,
        line_end=newline(text, spot.value.start),
        margin=margin(text, spot.value.start),
    )
    return [Splice(spot.value.start, spot.value.end, new)]


def add_line(text: str, section: Section, keys: Path, value: object) -> list[Splice]:
    """Put ``key = value`` under a header, after the last line that is there."""
    position = section.end(text)
    nl = newline(text, position)
    near = section.pairs[-1].start if section.pairs else section.start
    blanks = margin(text, near) if section.keys or section.pairs else ""
    name = ".".join(key_spelled(str(key)) for key in keys)
    line = f"{blanks}{name} = {spelled(value, line_end=nl, margin=blanks)}"
    if not section.keys and not section.pairs:  # above the first header, and nothing there
        position = above_first(text)
        gap = nl if position < len(text) else ""
        return [Splice(position, position, line + nl + gap)]
    if position and text[position - 1] != "\n":
        return [Splice(position, position, nl + line)]
    return [Splice(position, position, line + nl)]


def above_first(text: str) -> int:
    """Return where a first line may go: after the comments that head the file."""
    position = 0
    while COMMENT_LINE.match(text, position):
        position = line_end(text, position)
    if BLANK_LINE.match(text, position) and position < len(text):
        return line_end(text, position)
    return 0


def add_inline(table: Value, key: str, value: object) -> list[Splice]:
    """Put a pair last into an inline table."""
    pair = f"{key_spelled(key)} = {spelled(value, flat=True)}"
    if not table.pairs:
        return [Splice(table.start, table.end, f"{{ {pair} }}")]
    position = table.pairs[-1].value.end
    return [Splice(position, position, f", {pair}")]


def add_item(text: str, array: Value, index: int, value: object) -> list[Splice]:
    """Put a value into an array before the one of a place, or last."""
    near = array.items[-1].start if array.items else array.start
    word = spelled(value, line_end=newline(text, array.start), margin=margin(text, near))
    return put_item(text, array, index, word)


def put_item(
    text: str, array: Value, index: int, word: str, tail: str = ""
) -> list[Splice]:
    """Put a value that is already spelled into an array; ``tail`` is what its line ends in."""
    nl = newline(text, array.start)
    if not array.items:
        start = array.start + 1
        inner = text[start : array.end - 1]
        if inner.strip(" \t") == "":
            return [Splice(start, array.end - 1, word)]
        blanks = margin(text, array.start)
        return [Splice(start, start, f"{nl}{blanks}{INDENT}{word},{tail}")]
    if index < len(array.items):
        item = array.items[index]
        if own_line(text, item.start):
            begin = line_start(text, item.start)
            line = f"{margin(text, begin)}{word},{tail}{nl}"
            return [Splice(begin, begin, line)]
        return [Splice(item.start, item.start, f"{word}, ")]
    last = array.items[-1]
    comma = comma_after(text, last.end)
    if not own_line(text, last.start):
        if comma is None:
            return [Splice(last.end, last.end, f", {word}")]
        return [Splice(comma + 1, comma + 1, f" {word},")]
    splices = [Splice(last.end, last.end, ",")] if comma is None else []
    after = last.end if comma is None else comma + 1
    stop = line_end(text, after)
    blanks = margin(text, last.start)
    if stop > array.end - 1:  # the bracket closes on the same line
        return [*splices, Splice(after, after, f"{nl}{blanks}{word}")] if comma is not None \
            else [Splice(after, after, f",{nl}{blanks}{word}")]  # fmt: skip
    return [*splices, Splice(stop, stop, f"{blanks}{word},{tail}{nl}")]


def own_line(text: str, position: int) -> bool:
    """Return whether nothing but blanks stands before a position on its line."""
    return text[line_start(text, position) : position].strip(" \t") == ""


def comma_after(text: str, position: int) -> int | None:
    """Return where the comma after an item stands, None when there is none."""
    match = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*,").match(text, position)
    return None if match is None else match.end() - 1


# ---- taking away ------------------------------------------------------------------------


def drop(text: str, spot: Spot) -> list[Splice]:
    """Take a value away, with its key and the remark behind it on its line."""
    if spot.pair is None:
        return drop_item(text, spot.holder, spot.index)
    if isinstance(spot.holder, Value):
        return _drop_inline(spot.holder, spot.pair)
    return [drop_line(text, spot.pair)]


def drop_line(text: str, pair: Pair) -> Splice:
    """Take the lines of a pair away."""
    return Splice(line_start(text, pair.start), line_end(text, pair.value.end))


def _drop_inline(table: Value, pair: Pair) -> list[Splice]:
    place = table.pairs.index(pair)
    if len(table.pairs) == 1:
        return [Splice(table.start + 1, table.end - 1)]
    if place:
        return [Splice(table.pairs[place - 1].value.end, pair.value.end)]
    return [Splice(pair.start, table.pairs[1].start)]


def drop_item(text: str, array: Section | Value, index: int) -> list[Splice]:
    """Take one value out of an array; remarks of other lines stay."""
    if not isinstance(array, Value):
        message = "no array"
        raise Unplaced(message)
    item = array.items[index]
    comma = comma_after(text, item.end)
    after = item.end if comma is None else comma + 1
    stop = line_end(text, after)
    first_line = line_end(text, item.end)
    alone = own_line(text, item.start) and (comma is None or comma < first_line)
    rest = text[after:stop].strip()
    if alone and stop <= array.end - 1 and (not rest or rest.startswith("#")):
        return [Splice(line_start(text, item.start), stop)]
    if len(array.items) == 1:
        return [Splice(item.start, after)]
    if index + 1 < len(array.items):
        behind = text[after : array.items[index + 1].start]
        if behind.strip(" \t") == "":
            return [Splice(item.start, array.items[index + 1].start)]
        return [Splice(item.start, after)]
    before = text[array.items[index - 1].end : item.start]
    if "\n" in before:
        return [Splice(item.start, after)]
    return [Splice(array.items[index - 1].end, item.end)]


# ---- whole tables ------------------------------------------------------------------------


def block_end(text: str, section: Section) -> int:
    """Return where a section ends: its lines, and the comments that hang on to them.

    Comments that run on to the next header belong to that one as much: they are left out.
    """
    end = position = section.end(text)
    while position < len(text) and COMMENT_LINE.match(text, position):
        position = line_end(text, position)
    return position if BLANK_LINE.match(text, position) else end


def drop_sections(text: str, sections: Sequence[Section]) -> list[Splice]:
    """Take tables away, each with one of the gaps round it."""
    splices: list[Splice] = []
    for section in sections:
        start, end = section.start, block_end(text, section)
        gap = end
        while gap < len(text) and BLANK_LINE.match(text, gap):
            gap = line_end(text, gap)
        if gap == len(text):
            start = _gap_before(text, start)
        elif start == 0 or _gap_before(text, start) < start:
            end = gap
        if splices and splices[-1].end >= start:
            splices[-1] = Splice(splices[-1].start, max(end, splices[-1].end))
        else:
            splices.append(Splice(start, end))
    return splices


def _gap_before(text: str, position: int) -> int:
    """Return where the blank lines before a position begin."""
    while position:
        begin = line_start(text, position - 1)
        if text[begin:position].strip():
            return position
        position = begin
    return position


def add_section(text: str, after: Section | None, lines: Sequence[str]) -> list[Splice]:
    """Put a new table after another, or at the end, with a blank line round it."""
    position = len(text) if after is None else block_end(text, after)
    nl = newline(text, position)
    block = nl.join(lines) + nl
    if not position:
        return [Splice(0, 0, block)]
    lead = "" if text[position - 1] == "\n" else nl
    lead += "" if _gap_before(text, position) < position else nl
    tail = ""
    if position < len(text) and not BLANK_LINE.match(text, position):
        tail = nl
    return [Splice(position, position, lead + block + tail)]


def section_lines(header: str, table: dict[str, object], nl: str) -> Iterator[str]:
    """Yield the lines of a new table."""
    yield header
    for key, value in table.items():
        yield f"{key_spelled(key)} = {spelled(value, line_end=nl)}"


def header_spelled(path: Path, *, array: bool = False) -> str:
    """Return the header of a table; the places in arrays are not spelled."""
    name = ".".join(key_spelled(part) for part in path if isinstance(part, str))
    return f"[[{name}]]" if array else f"[{name}]"
