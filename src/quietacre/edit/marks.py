"""Marks set, moved, named and taken away: changes to marks.geojson through the journal."""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.edit import journal
from quietacre.edit.journal import FileChange
from quietacre.errors import FileProblem
from quietacre.intake.marks import features_in, mark_of
from quietacre.model import MARKS, TAPE

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from quietacre.edit.journal import Step
    from quietacre.model import Mark

#: Digits of a degree: under half an inch.
DIGITS = 7


@dataclass(frozen=True)
class Marked:
    """A mark as it stands now, None where it was taken away; ``step`` is None where it stood so."""

    mark: Mark | None
    step: Step | None


@dataclass(frozen=True)
class Wish:
    """What is to become of a mark; None leaves what stands. ``at`` in longitude, latitude. [deg]"""

    kind: str | None = None
    name: str | None = None
    at: tuple[tuple[float, float], ...] | None = None
    note: str | None = None


def set_mark(
    folder: Path, wish: Wish, *, key: str | None = None, remove: bool = False,
    state: Path | None = None,
) -> Marked:  # fmt: skip
    """Set a mark, or change the one of a key, or take it away.

    Parameters
    ----------
    folder : the property folder.
    wish : what it is, its name and its place.
    key : of the mark that is meant, as `Mark.id` has it; a new one when None.
    remove : whether to take it away.
    state : as in `journal.apply`.

    Raises
    ------
    FileProblem
        There is no such mark, or what is asked is none; nothing is changed.
    """
    made: list[Mark | None] = []

    def changes(real: Path) -> list[FileChange]:
        before = journal.read(real, MARKS)
        features = [] if before is None else features_in(before)
        at = len(features) if key is None else _row_of(features, key)
        if remove:
            gone = features.pop(at)
            made.append(None)
            return [FileChange(MARKS, before, _spelled(features) if gone else before)]
        old: dict[str, Any] = features[at] if at < len(features) else {}
        new = _changed(old, wish, key or secrets.token_hex(3))
        made.append(mark_of(new, at + 1))
        return [
            FileChange(MARKS, before, _spelled([*features[:at], new, *features[at + 1 :]]))
        ]

    what = "take away" if remove else "set" if key is None else "change"
    label = wish.name or wish.kind or key or ""
    step = journal.change(folder, changes, f"{what} the mark {label}".strip(), state=state)
    return Marked(made[0], step)


def _row_of(features: Sequence[dict[str, Any]], key: str) -> int:
    for row, feature in enumerate(features):
        if mark_of(feature, row + 1).id == key:
            return row
    raise FileProblem(f"has no mark “{key[:40]}”", fix="look at them again", source=MARKS)


def _changed(old: dict[str, Any], wish: Wish, key: str) -> dict[str, Any]:
    """Return a feature with what is wished, all else of it kept."""
    properties = dict(old.get("properties") or {})
    wished = {"kind": wish.kind, "name": wish.name, "note": wish.note}
    properties |= {word: value for word, value in wished.items() if value is not None}
    shape = old.get("geometry")
    if wish.at is not None:
        places = [[round(x, DIGITS), round(y, DIGITS)] for x, y in wish.at]
        line = len(places) > 1
        properties.setdefault("kind", TAPE if line else "mark")
        shape = {"type": "LineString" if line else "Point",
                 "coordinates": places if line else places[0]}  # fmt: skip
    new = {**old, "type": "Feature", "id": key, "properties": properties, "geometry": shape}
    mark = mark_of(new, 1)
    if mark.kind == TAPE:
        properties["length_ft"] = round(mark.length_ft, 1)
    return new


def _spelled(features: Sequence[dict[str, Any]]) -> bytes:
    whole = {"type": "FeatureCollection", "features": list(features)}
    return (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()
