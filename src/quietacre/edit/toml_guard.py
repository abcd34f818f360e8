"""What a change to a TOML text may not do: lose a remark, or touch lines that are not its own."""

from __future__ import annotations

import collections
import re

from quietacre.edit import toml_splice as splice
from quietacre.edit.toml_plain import MISSING, Change, Insert, Move, Remove, Set
from quietacre.edit.toml_scan import STRING, Path, Unplaced, line_end, line_start, scan
from quietacre.edit.toml_spell import path_spelled

#: An item that is moved, and the one that then has or lacks the comma.
MOVED_LINES = 2
REMARK = re.compile(rf"(?:{STRING.pattern})|(#[^\r\n]*)")


def remarks(text: str) -> collections.Counter[str]:
    """Return the remarks of a TOML text, counted."""
    texts = (match.group(1) for match in REMARK.finditer(text))
    return collections.Counter(remark for remark in texts if remark is not None)


def check_rest(before: str, after: str, change: Change, old: object) -> None:
    """Raise Unplaced when a change reached further than the lines that are its own."""
    if before == after:
        return
    at = path_spelled(change.path)
    lost = remarks(before) - remarks(after)
    if isinstance(change, (Remove, Set)):
        lost -= remarks_beside(before, change.path)
    if lost:
        message = f"{at}: the remark “{next(iter(lost))}” would be lost"
        raise Unplaced(message)
    gone, new = (_said(one) - _said(two) for one, two in ((before, after), (after, before)))
    spot = splice.find(scan(before), change.path)
    if isinstance(change, Set) and spot is not None and not isinstance(old, (dict, list)):
        head, tail = before[: spot.value.start], before[spot.value.end :]
        kept = after.startswith(head) and after.endswith(tail)
    elif isinstance(change, Insert) or (isinstance(change, Set) and old is MISSING):
        kept = gone.total() <= 1  # the line of an array, or the comma behind its last item
    elif isinstance(change, Remove):
        kept = new.total() <= 1
    elif isinstance(change, Move):
        kept = max(gone.total(), new.total()) <= MOVED_LINES
    else:
        kept = True  # a list or table: its parts were looked at one by one
    if not kept:
        message = f"{at}: lines that are not its own would change"
        raise Unplaced(message)


def _said(text: str) -> collections.Counter[str]:
    """Return the lines that say something, counted."""
    return collections.Counter(line for line in text.splitlines() if line.strip())


def remarks_beside(text: str, path: Path) -> collections.Counter[str]:
    """Return the remarks inside what stands at a path, or behind it on its lines."""
    sections = scan(text)
    spot = splice.find(sections, path)
    total: collections.Counter[str] = collections.Counter()
    if spot is not None:
        start, end = line_start(text, spot.value.start), line_end(text, spot.value.end)
        total += remarks(text[start:end])
    for _, pair in splice.dotted(sections, path):
        total += remarks(text[pair.start : line_end(text, pair.value.end)])
    for section in splice.headed(sections, path):
        total += remarks(text[section.start : splice.block_end(text, section)])
    return total
