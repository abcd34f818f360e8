"""What comes home from the field: tick files of phones, and filled paper sheets."""

from __future__ import annotations

import csv
import io
import secrets
from typing import TYPE_CHECKING
from urllib.parse import unquote

from starlette.responses import JSONResponse

from quietacre.desk.answers import NOT_THERE, no, shown, words_of
from quietacre.desk.asked import listed
from quietacre.desk.brought import bring_file, new_room
from quietacre.desk.guard import MOST_WORD_BYTES
from quietacre.desk.said import for_desk, without_commands
from quietacre.filenames import safe_name
from quietacre.logbook import JOB_COLUMN, NAMES, SEEN_FILE

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.state import Desk, Handler

#: The option for ticks of another place.
OTHER_PLACE = "--any-place"
#: A table that was filled in has no more rows.
MOST_ROWS = 500


async def ticks(desk: Desk, request: Request) -> Response:
    """Merge a tick file into the log."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    _, path = await bring_file(desk, request, "ticks.csv", MOST_WORD_BYTES)
    words = ["done", str(desk.folder), "--from", str(path), "--json", "--wait", "0"]
    if request.headers.get("x-any-place") == "yes":
        words.append(OTHER_PLACE)
    answer = await desk.run(*words)
    text = shown(answer.err, path, path.name)
    told = {**(answer.data or {}), "said": for_desk(text)}
    if answer.code:
        return no(text, other_place=OTHER_PLACE in text)
    return JSONResponse(told)


async def photo(desk: Desk, request: Request) -> Response:
    """Keep a photograph of what was done, and write its line into the log."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    _, path = await bring_file(desk, request, "photo.jpg")
    words = ["photo", str(desk.folder), str(path), "--json", "--wait", "0"]
    for option in ("area", "on", "who", "note"):
        if value := unquote(request.headers.get(f"x-{option}", "")):
            words += [f"--{option}", value]
    answer = await desk.run(*words)
    text = without_commands(shown(answer.err, path, path.name))
    if answer.code:
        return no(text)
    return JSONResponse({**answer.data, "said": for_desk(text)})


async def sheet(desk: Desk, request: Request) -> Response:
    """Write the lines of a filled sheet into the log, in one change."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    rows = [row for row in listed(asked.get("rows")) if isinstance(row, dict)][:MOST_ROWS]
    columns = (JOB_COLUMN, *(name for name in NAMES if name != "id"))
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows({name: _cell(row.get(name)) for name in columns} for row in rows)
    path = new_room(desk) / "the sheet.csv"
    path.write_text(out.getvalue(), encoding="utf-8")
    answer = await desk.run(
        "log", str(desk.folder), "--table", str(path), "--json", "--wait", "0"
    )
    if answer.code:
        return no(shown(answer.err, path, path.name))
    return JSONResponse(answer.data)


async def list_(desk: Desk, request: Request) -> Response:
    """Make a list of chosen jobs, or one piece's sheet, and say where it can be had."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    ending = "html" if asked.get("form") == "html" else "pdf"
    called = str(asked.get("area") if asked.get("sheet") else asked.get("who") or "jobs")
    name = f"{safe_name(called)} {secrets.token_hex(3)}.{ending}".replace(" ", "-")
    path = new_room(desk) / name
    words = ["list", str(desk.folder), "--out", str(path)]
    for option in ("who", "machine", "area", "from", "to", "day"):
        if asked.get(option):
            words += [f"--{option}", str(asked[option])]
    answer = await desk.run(*words, *(["--sheet"] if asked.get("sheet") else []))
    if answer.code:
        return no(shown(answer.err, path, name))
    desk.made[name] = path
    text = shown(answer.out, path, name)
    return JSONResponse(
        {"name": name, "address": f"/paper/{desk.papers}/{name}", "said": for_desk(text)}
    )


async def seen(desk: Desk, request: Request) -> Response:
    """Write down what was seen, or take a line back."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    words = ["seen", str(desk.folder), "--json", "--wait", "0"]
    if asked.get("undo"):
        words += ["--undo", str(asked["undo"])]
    else:
        for option in ("on", "area", "place", "count", "time", "who", "note"):
            if asked.get(option):
                words += [f"--{option}", str(asked[option])]
        words += ["--", str(asked.get("words") or "")]
    answer = await desk.run(*words)
    return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)


async def seen_lines(desk: Desk, _request: Request) -> Response:
    """Return the last lines of seen.csv as they stand, the newest last."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    from quietacre.edit.journal import read
    from quietacre.edit.logtext import read_log_text
    from quietacre.errors import BadInput

    data = read(desk.folder, SEEN_FILE.name)
    try:
        table = read_log_text(data or b"", file=SEEN_FILE)
    except BadInput as problem:
        return JSONResponse({"lines": [], "why": str(problem)})
    return JSONResponse({"lines": [cells for _, cells in table.typed()][-MOST_ROWS:]})


def _cell(value: object) -> str:
    """Return a cell on one line, as a spreadsheet's own text."""
    from quietacre.cells import safe_cell

    return safe_cell(" ".join(str(value if value is not None else "").split()))


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("ticks", "POST", ticks),
    ("photo", "POST", photo),
    ("sheet", "POST", sheet),
    ("list", "POST", list_),
    ("seen", "POST", seen),
    ("sightings", "GET", seen_lines),
)
