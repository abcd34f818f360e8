"""What is told of a piece of ground's past and dangers, and the sheet of cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.export.paper import FULL_W, MARGIN, Column
from quietacre.export.plat import RED, SOFT
from quietacre.export.quantities import day
from quietacre.page.look_into import look_words, to_look_into
from quietacre.page.notes import LEVEL_WORDS, READ_IN, parts_of
from quietacre.report_records import AreaReport, StripReport

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.export.plat import RGB
    from quietacre.export.sheets.book import Book
    from quietacre.model import Note
    from quietacre.report_records import DoneJob, Piece


#: Kinds of jobs done that a sheet shows, and days of each; the map has them all.
MOST_DONE = 3
#: Ways to mend a trouble that a piece's sheet shows, the first ones; the last sheets have all.
MOST_WAYS = 3
#: What is not mended on the day of a job.
NOT_ON_THE_DAY = frozenset({"wide-interval"})
#: Advice that is no doubt of the plan, and is wanted where the work is done.
IN_THE_FIELD = frozenset({"summer-weeds", "baiting-law"})


def done_here(record: Sequence[DoneJob]) -> list[str]:
    """Return what was done on a piece, the newest first; jobs done again and again in one line."""
    kinds: dict[str, list[DoneJob]] = {}
    for job in record:
        kinds.setdefault(job.task, []).append(job)
    lines = []
    for name, jobs in list(kinds.items())[:MOST_DONE]:
        if len(jobs) == 1:
            lines.append(f"{day(jobs[0].on)}: {jobs[0].said}")
            continue
        days = ", ".join(day(job.on) for job in jobs[:MOST_DONE])
        before = len(jobs) - MOST_DONE
        lines.append(f"{name}: {days}" + (f", and {before} before" if before > 0 else ""))
    left = sum(len(jobs) for jobs in list(kinds.values())[MOST_DONE:])
    return [*lines, f"{left} more: see the log"] if left else lines


def care_of(piece: Piece) -> list[tuple[str, str, RGB | None]]:
    """Return what is told of a piece's past and dangers: heading, text, bar."""
    care: list[tuple[str, str, RGB | None]] = []
    area = None if isinstance(piece, StripReport) else piece
    care += [("History", line, None) for line in (area.history if area else ())]
    care += [("Done here", line, None) for line in done_here(piece.record)]
    if area and area.note:
        care.append(("Note", area.note, None))
    need = piece.need
    notes = (*piece.notes, *(need.notes if need else ()))
    thin = () if isinstance(piece, AreaReport) else piece.ring.weak
    for note in notes:
        # the table of thin places says it already
        told_above = note.code == "strip-narrow" and thin
        in_hand = note.level != "info" or note.code in IN_THE_FIELD
        if in_hand and not told_above:
            bar = RED if note.level == "warning" else SOFT
            parts = parts_of(note)
            text = f"{LEVEL_WORDS[note.level]}: {parts.head} {parts.more}".strip()
            care.append(("Take care", text, bar))
            most = 0 if note.code in NOT_ON_THE_DAY else MOST_WAYS
            care += [
                ("Take care", f"{n}. {way}", bar)
                for n, way in enumerate(parts.help[:most], 1)
            ]
            if left := len(parts.help) - min(most, len(parts.help)):
                ways = f"{left} {'more ' if most else ''}way{'' if left == 1 else 's'}"
                care.append(("Take care", f"{ways} to mend it: see Look into.", bar))
    if isinstance(piece, StripReport):
        care += [("Take care", one, SOFT) for one in piece.ring.wanted.cautions]
    return care


#: Most letters of what is told of one crop, so that no source is cut off.
MOST_OF_A_CROP = 6000
#: So much of what is wrong stands together. [mm]
TROUBLE_MM = 9.0


def write_care(column: Column, care: list[tuple[str, str, RGB | None]]) -> None:
    """Write what is told of past and dangers under its headings."""
    head = ""
    for title, text, bar in care:
        size = 8.5 if bar else 9.5
        if title != head:
            column.head(title, column.least_mm(text, size=size, bar=bar))
            head = title
        column.text(text, size=size, bar=bar)


def write_cautions(book: Book) -> None:
    """Draw the last sheet: what is sown, the cautions, and what to look into."""
    book.pdf.add_page()
    column = Column(book.pdf, MARGIN, MARGIN, FULL_W)
    sown = book.report.crops
    if sown:
        column.text("What is sown", size=17, font="head")
        for crop, lines in sown.items():
            facts = [line for line in lines if not line.startswith("[")]
            read_in = [line for line in lines if line.startswith("[")]
            column.text(f"{crop}: {'; '.join(facts)}", size=8.5, cut=MOST_OF_A_CROP)
            column.text("; ".join(read_in), size=7.5, soft=True, cut=MOST_OF_A_CROP)
    column.text("Before you act on it", size=17, font="head")
    for caution in book.report.cautions:
        column.text(
            f"{caution.topic}: {caution.text} Who decides: {caution.defer_to}.",
            bar=SOFT,
        )
    cautions = [(_whose(note, piece), note) for note, piece in to_look_into(book.report)]
    column.head("Look into")
    column.text(f"{look_words(book.report) or 'Nothing is amiss'}.")
    cautions.sort(key=lambda row: row[1].level != "warning")
    for who in dict.fromkeys(name for name, _ in cautions):
        column.head(who, TROUBLE_MM)
        for _, note in (row for row in cautions if row[0] == who):
            _trouble(column, note)


def _trouble(column: Column, note: Note) -> None:
    """Write what is wrong in bold, what more there is to it, and what would help."""
    parts, bar = parts_of(note), RED if note.level == "warning" else SOFT
    column.room(TROUBLE_MM)
    column.text(f"{LEVEL_WORDS[note.level]}: {parts.head}", bold=True, bar=bar)
    if parts.more:
        column.text(parts.more, bar=bar)
    for step, way in enumerate(parts.help, 1):
        column.text(f"{step}. {way}", indent=3)
    if parts.cited:
        column.text(f"{READ_IN}{parts.cited}", size=8, soft=True)


def _whose(note: Note, piece: Piece | None) -> str:
    """Return whose trouble a note tells of."""
    if piece is not None:
        return piece.name
    return note.feature or note.source or "The property"
