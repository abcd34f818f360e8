"""The log of a property folder: lines written into it, whole and by the journal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.edit import journal
from quietacre.edit.loglines import (
    checked_cells,
    checked_line,
    ids,
    line_words,
    new_id,
    undo_line,
)
from quietacre.edit.logtext import Added, LogText, read_log_text, with_lines
from quietacre.edit.merge import Alike, Changed, Merged, merge
from quietacre.edit.openfile import WAIT_SECONDS, wait_until_closed
from quietacre.errors import Clash
from quietacre.intake.limits import MAX_TEXT_BYTES, check_file
from quietacre.logbook import LOG_FILE, LineFile

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

#: A log changed between reading and writing is read again so many times.
TRIES = 5


@dataclass(frozen=True)
class Written:
    """Lines that were written, and what else had to change in the file for them.

    ``columns`` were added to its first line; ``ended`` says that its last line had no end.
    """

    lines: tuple[Mapping[str, str], ...]
    step: journal.Step | None
    columns: tuple[str, ...] = ()
    ended: bool = False


@dataclass(frozen=True)
class ToWrite:
    """Lines for the log, and other files that change in the same step; none without a line."""

    lines: Sequence[Mapping[str, str]]
    files: Sequence[journal.FileChange] = ()


@dataclass(frozen=True)
class Writer:
    """How the log of a folder is written: whom to tell, how long to wait, where the journal is.

    ``state`` is the folder for the journals of all places; the person's own when None.
    """

    folder: Path
    tell: Callable[[str], None] = lambda _text: None
    wait_s: float = WAIT_SECONDS
    state: Path | None = None
    file: LineFile = LOG_FILE

    def write(self, make: Callable[[LogText], ToWrite], label: str) -> Written:
        """Write the lines that a function makes of the log as it is.

        Parameters
        ----------
        make : is given the log, and gives the lines and other files that go with them. No
            other program of ours changes the folder meanwhile; where anything else does, it
            is asked again.
        label : what was done, in a person's words.

        Raises
        ------
        FileProblem
            The log cannot be read, or is open in another program.
        Clash
            It was changed each time between reading and writing.
        """
        for left in reversed(range(TRIES)):
            wait_until_closed(self.folder / self.file.name, self.tell, self.wait_s)
            wanted, added = ToWrite(()), Added(b"")

            def changes(_: Path) -> Sequence[journal.FileChange]:
                nonlocal wanted, added
                data = journal.read(self.folder, self.file.name)
                log = read_log_text(data or b"", file=self.file)
                wanted = make(log)
                if not wanted.lines:
                    return ()
                added = with_lines(log, wanted.lines)
                return [*wanted.files, journal.FileChange(self.file.name, data, added.data)]

            try:
                step = journal.change(self.folder, changes, label, state=self.state)
            except Clash:
                if not left:
                    raise
                continue
            return Written(tuple(wanted.lines), step, added.columns, added.ended)
        raise AssertionError  # pragma: no cover


def write_line(writer: Writer, cells: Mapping[str, str], *, job: str = "") -> Written:
    """Write one line, which gets an id of its own.

    Parameters
    ----------
    writer : whose log.
    cells : by the name of their column; date, area and task must be there.
    job : the letters of the job of the year that it is, "" for none.

    Raises
    ------
    BadInput
        A cell cannot stand in the log, or the log cannot be written.
    """
    return write_lines(writer, [(cells, job)], "")


def write_lines(
    writer: Writer, lines: Sequence[tuple[Mapping[str, str], str]], label: str
) -> Written:
    """Write several lines in one change, each with an id of its own.

    Parameters
    ----------
    writer : whose log.
    lines : the cells of each, and the letters of the job of the year that it is, "" for none.
    label : what was done, in a person's words; the first line's own when blank.

    Raises
    ------
    BadInput
        A cell cannot stand in the log, or the log cannot be written; no line is written then.
    """
    checked = [(checked_line(cells), job) for cells, job in lines]

    def make(log: LogText) -> ToWrite:
        taken = ids(log)
        named = []
        for line, job in checked:
            named.append({"id": new_id(taken, job), **line})
            taken.add(named[-1]["id"])
        return ToWrite(named)

    return writer.write(make, label or f"log: {line_words(checked[0][0])}")


def take_back(writer: Writer, name: str, on: dt.date, more: Mapping[str, str]) -> Written:
    """Write the line that takes back the line of an id.

    Raises
    ------
    BadInput
        No line has that id, it is taken back already, or the log cannot be written.
    """
    cells = checked_cells(more)
    return writer.write(
        lambda log: ToWrite([undo_line(log, name, on) | cells]),
        f"log: line {name} taken back",
    )


def merge_files(
    writer: Writer,
    others: Sequence[LogText],
    *,
    alike: Alike | None = None,
    changed: Changed | None = None,
) -> tuple[Merged, Written]:
    """Write the lines of other logs that the log lacks; none of them while one is asked about.

    Raises
    ------
    BadInput
        A line is not whole, or the log cannot be written.
    """
    merged: list[Merged] = []

    def make(log: LogText) -> ToWrite:
        merged[:] = [
            merge(log if log.columns else None, others, alike=alike, changed=changed)
        ]
        return ToWrite(() if merged[0].questions else merged[0].lines)

    sources = ", ".join(other.source for other in others)
    written = writer.write(make, f"log: lines of {sources}")
    return merged[0], written


def read_other(path: Path) -> LogText:
    """Return a log or tick file from elsewhere.

    Raises
    ------
    FileProblem
        It cannot be read, is too large, or is no log.
    """
    check_file(path, str(path), MAX_TEXT_BYTES)
    return read_log_text(path.read_bytes(), str(path))
