"""Lines of seen.csv: written whole and by the journal, and taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.edit.loglines import checked_cells, ids, new_id
from quietacre.edit.logs import ToWrite
from quietacre.errors import BadInput
from quietacre.logbook import SEEN_FILE, UNDO
from quietacre.model import folded

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    from quietacre.edit.logs import Writer
    from quietacre.edit.logtext import LogText


def write_seen(writer: Writer, cells: Mapping[str, str]) -> dict[str, str]:
    """Write one line, and return it with the id that it got.

    Raises
    ------
    BadInput
        A cell cannot stand in the file, or the file cannot be written.
    """
    line = checked_cells(cells, SEEN_FILE)
    label = f"seen: {line.get('count', '')} {line['what']}".replace("  ", " ")
    written = writer.write(lambda seen: ToWrite([{"id": new_id(ids(seen)), **line}]), label)
    return dict(written.lines[0])


def take_back_seen(writer: Writer, name: str, on: dt.date) -> dict[str, str]:
    """Write the line that takes back the line of an id, and return it.

    Raises
    ------
    BadInput
        No line has that id, or it is taken back already.
    """

    def make(seen: LogText) -> ToWrite:
        mine = [cells for _, cells in seen.typed() if cells.get("id") == name]
        if not mine or any(folded(cells.get("what", "")) == UNDO for cells in mine):
            why = "is taken back already" if mine else "is no line's"
            raise BadInput(
                f"the id “{name}” {why}", fix="look in its column id", source=SEEN_FILE.name
            )
        line = {
            "id": name,
            "date": on.isoformat(),
            "area": mine[0].get("area", ""),
            "what": UNDO,
        }
        return ToWrite([line])

    return dict(writer.write(make, f"seen: line {name} taken back").lines[0])
