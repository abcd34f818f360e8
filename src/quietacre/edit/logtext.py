"""The text of a log: read so that lines can be added and every other byte stays.

A line is added whole, in the file's own order of columns, with its mark between cells, its
quotes, its line ends and its encoding. A column that the line needs and the file lacks is
added at the end of the first line; the lines below it stay as they are, because a cell
that is not there is empty.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from quietacre.cells import safe_cell, typed_cell
from quietacre.errors import FileProblem
from quietacre.intake.limits import decode
from quietacre.intake.rows import checked_names, mark_between
from quietacre.logbook import LOG_FILE, SEEN_FILE, LineFile

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

LINE_END = re.compile(r"\r\n|\n|\r")
#: So many of the first lines tell how a file quotes its cells.
LINES_LOOKED_AT = 40
#: Columns that a spreadsheet leaves without quotes when it quotes text.
BARE_COLUMNS = frozenset(
    column.name
    for column in (*LOG_FILE.columns, *SEEN_FILE.columns)
    if column.holds != "words"
)


@dataclass(frozen=True)
class Style:
    """How a table is written: what parts its cells, ends its lines, and what is quoted."""

    mark: str = ","
    line_end: str = "\n"
    encoding: str = "utf-8"
    quotes_words: bool = False
    quotes_figures: bool = False
    quotes_blanks: bool = False


@dataclass(frozen=True)
class LogText:
    """A log as it is written.

    ``source`` is how to name it; ``text`` is without the mark of its encoding, which ``data`` begins with. ``columns`` are
    in lower case, "" for one without a name; ``lines`` are the number of the line that each
    row ends on and its cells as they are written; ``head_end`` is the place in ``text``
    behind the last cell of the first line, ``last_start`` the one where the last row begins.
    """

    source: str
    data: bytes = field(repr=False)
    text: str = field(repr=False)
    style: Style
    columns: tuple[str, ...]
    lines: tuple[tuple[int, list[str]], ...] = field(repr=False)
    head_end: int
    last_start: int
    file: LineFile = LOG_FILE

    def typed(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Yield the number and the cells of each line with any text, as they were typed.

        Cells are by the name of their column; blank ones and those beyond the last
        column, or below one without a name, are left out.
        """
        for number, row in self.lines:
            cells = {
                name: typed_cell(cell.strip())
                for name, cell in zip(self.columns, row, strict=False)
                if name and cell.strip()
            }
            if cells:
                yield number, cells


@dataclass(frozen=True)
class Added:
    """A log with lines added: its bytes, and what else had to change for them."""

    data: bytes
    columns: tuple[str, ...] = ()
    ended: bool = False  # the last line had no line end


def read_log_text(data: bytes, source: str = "", file: LineFile = LOG_FILE) -> LogText:
    """Return a log's bytes as lines that can be added to.

    Raises
    ------
    FileProblem
        It is not text or no table, or lacks a column that every log has.
    """
    source = source or file.name
    text = decode(data, source)
    mark = mark_between(text)
    rows, lines = _rows(text, mark, source)
    if not rows:
        style = Style(encoding=_encoding(data))
        return LogText(source, data, text, style, (), (), len(text), 0, file)
    number, head = rows[0]
    names = checked_names(head, source, number, need=file.needed)
    columns = tuple(typed_cell(name) for name in names)
    head_end = sum(map(len, lines[:number])) - len(_line_end(lines[number - 1]))
    last_start = sum(map(len, lines[: rows[-2][0]])) if len(rows) > 1 else 0
    end = LINE_END.search(text)
    style = _style(text, mark, end.group() if end else "\n", _encoding(data))
    return LogText(
        source, data, text, style, columns, tuple(rows[1:]), head_end, last_start, file
    )


def with_lines(log: LogText, lines: Sequence[Mapping[str, str]]) -> Added:
    """Return a log with lines added at its end.

    Parameters
    ----------
    log : the log as it is, of no bytes for a new one, which gets every column.
    lines : cells by the name of their column, as they were typed.

    Raises
    ------
    FileProblem
        The log ends inside a quote.
    """
    if log.columns:
        return _with_lines(log, lines, _others(lines, log.columns, log.file.names))
    own = log.file.names
    names = (*own, *_others(lines, own, own))
    head = log.style.mark.join(_cell(name, log.style) for name in names) + "\n"
    first = read_log_text(log.data + head.encode(log.style.encoding), log.source, log.file)
    return Added(_with_lines(first, lines, ()).data)


def _with_lines(
    log: LogText, lines: Sequence[Mapping[str, str]], more: tuple[str, ...]
) -> Added:
    style = log.style
    columns = (*log.columns, *[""] * (_widest(log) if more else 0), *more)
    inside = "".join(
        style.mark + _cell(name, style, quoted=style.quotes_words)
        for name in columns[len(log.columns) :]
    )
    ended = bool(log.text) and not _line_end(log.text)
    tail = (style.line_end if ended else "") + "".join(
        _spelled(line, columns, style) for line in lines
    )
    mark_bytes = len(log.data) - len(log.text.encode(style.encoding))
    at = mark_bytes + len(log.text[: log.head_end].encode(style.encoding))
    after = (
        log.data[:at]
        + inside.encode(style.encoding)
        + log.data[at:]
        + tail.encode(style.encoding)
    )
    _check_added(log, lines, columns, inside, tail)
    return Added(after, more, ended)


def _check_added(
    log: LogText,
    lines: Sequence[Mapping[str, str]],
    columns: tuple[str, ...],
    inside: str,
    tail: str,
) -> None:
    """Raise FileProblem unless the lines read back as meant behind the last row that was.

    ``inside`` goes into the first line and ``tail`` behind the last.
    """
    text = log.text[: log.head_end] + inside + log.text[log.head_end :] + tail
    head, _ = _rows(text[: log.head_end + len(inside)], log.style.mark, log.source)
    at = log.last_start + (len(inside) if log.last_start else 0)
    last, _ = _rows(text[at:], log.style.mark, log.source)
    wanted = [[safe_cell(line.get(name, "")) for name in columns] for line in lines]
    names = tuple(typed_cell(name.strip().casefold()) for _, row in head for name in row)
    was = [log.lines[-1][1]] if log.lines else []
    rows = [row for _, row in last]
    same_mark = mark_between(text) == log.style.mark
    if same_mark and names == columns and (rows if was else rows[1:]) == was + wanted:
        return
    raise FileProblem(
        "ends inside a quote, so a line added to it would be lost",
        fix="close or take out the quote",
        source=log.source,
        where=f"line {log.lines[-1][0] if log.lines else 1}",
    )


def _rows(
    text: str, mark: str, source: str
) -> tuple[list[tuple[int, list[str]]], list[str]]:
    """Return the rows, each with the number of the line it ends on, and the lines as they are."""
    lines = list(io.StringIO(text, newline=""))
    reader = csv.reader(lines, delimiter=mark)
    try:
        return [(reader.line_num, row) for row in reader if row], lines
    except csv.Error as problem:
        raise FileProblem(
            f"is not a table ({problem})", fix="save it as CSV again", source=source,
            where=f"line {reader.line_num}",
        ) from problem  # fmt: skip


def _encoding(data: bytes) -> str:
    """Return the encoding of bytes added to a file, which carry no mark of their own."""
    if data.startswith(codecs.BOM_UTF16_LE):
        return "utf-16-le"
    return "utf-16-be" if data.startswith(codecs.BOM_UTF16_BE) else "utf-8"


def _line_end(text: str) -> str:
    """Return what ends the last line of a text, "" for nothing."""
    if text.endswith("\r\n"):
        return "\r\n"
    return text[-1:] if text[-1:] in ("\n", "\r") else ""


def _style(text: str, mark: str, line_end: str, encoding: str) -> Style:
    """Return how a table is written, as its first lines tell."""
    plain = Style(mark, line_end, encoding)
    some = LINE_END.split(text.strip("\r\n"), LINES_LOOKED_AT)[:LINES_LOOKED_AT]
    cell = re.compile(rf'(?:^|{re.escape(mark)})("(?:[^"]|"")*"|[^{re.escape(mark)}"]*)')
    head, *below = [cell.findall(line) for line in some]
    if not all(cell_text.startswith('"') for cell_text in head):
        return plain
    bare = [
        cell_text for line in below for cell_text in line if not cell_text.startswith('"')
    ]
    return Style(
        mark, line_end, encoding,
        quotes_words=True,
        quotes_figures=not any(bare),
        quotes_blanks="" not in bare,
    )  # fmt: skip


def _spelled(line: Mapping[str, str], columns: Sequence[str], style: Style) -> str:
    """Return a line as the file would write it, with its line end."""
    cells = []
    for name in columns:
        text = line.get(name, "") if name else ""
        quoted = style.quotes_figures if name in BARE_COLUMNS else style.quotes_words
        cells.append(_cell(text, style, quoted=quoted if text else style.quotes_blanks))
    return style.mark.join(cells) + style.line_end


def _cell(text: str, style: Style, *, quoted: bool = False) -> str:
    """Return a cell as it is written, in quotes where it has to be or usually is."""
    cell = safe_cell(text)
    if quoted or any(sign in cell for sign in (style.mark, '"', "\r", "\n")):
        return '"' + cell.replace('"', '""') + '"'
    return cell


def _others(
    lines: Sequence[Mapping[str, str]], columns: Sequence[str], order_of: Sequence[str]
) -> tuple[str, ...]:
    """Return columns that the lines fill and a file lacks, in their usual order."""
    filled = {name for line in lines for name, cell in line.items() if cell}
    order = [name for name in order_of if name in filled]
    order += sorted(filled - set(order))
    return tuple(name for name in order if name not in columns)


def _widest(log: LogText) -> int:
    """Return how many columns without a name the cells beyond the last column need."""
    widths = (
        max((n for n, cell in enumerate(row, 1) if cell.strip()), default=0)
        for _, row in log.lines
    )
    return max(0, max(widths, default=0) - len(log.columns))
