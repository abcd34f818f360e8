"""What to look into: every note of a report that is more than information, counted one way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.page.notes import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.model import Note
    from quietacre.report_records import Piece, Report

#: The levels of a note that are to be looked into, the worst first.
LEVELS = tuple(level for level in LEVEL_WORDS if level != "info")


def to_look_into(report: Report) -> Iterator[tuple[Note, Piece | None]]:
    """Yield each note to be looked into, and the piece of ground it stands on; None of the place.

    The map's “Look into” holds the same.
    """
    for note in report.notes:
        if note.level in LEVELS:
            yield note, None
    for piece in report.pieces():
        need = piece.need
        for note in (*piece.notes, *(need.notes if need else ())):
            if note.level in LEVELS:
                yield note, piece


def look_words(report: Report) -> str:
    """Return how many there are of each level: "5 warnings, 12 cautions"; blank without one."""
    levels = [note.level for note, _ in to_look_into(report)]
    return ", ".join(
        f"{levels.count(level)} {level}{'' if levels.count(level) == 1 else 's'}"
        for level in LEVELS
        if level in levels
    )
