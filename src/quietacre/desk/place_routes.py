"""What the page asks of places: which there are, the open one, and what stands in it."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.responses import JSONResponse

from quietacre import __version__
from quietacre.desk import places
from quietacre.desk.answers import NOT_THERE, WRONG, as_json, column, no, shown, words_of
from quietacre.desk.brought import bring_file
from quietacre.desk.build_routes import PAPERS
from quietacre.figures import printed
from quietacre.intake.plain_settings import plain_settings
from quietacre.kinds import KINDS, WORKED
from quietacre.logbook import UNDO, UNIT_NAMES
from quietacre.model import AREA_KINDS, OUT, SETTINGS_FILE

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.as_json import JsonObject
    from quietacre.desk.state import Desk, Handler


async def here(desk: Desk, _request: Request) -> Response:
    """Return whether the settings changed, and whether a build runs; asked every few seconds."""
    running = desk.build is not None and desk.build.running
    return JSONResponse({"sum": desk.sum(), "building": running})


def start_told(desk: Desk) -> JsonObject:
    """Return what the first page shows: the places known here, and the words of kinds."""
    from quietacre.desk.typed_units import units_typed

    return {
        "version": __version__,
        "places": places.known_places(),
        "home": str(places.home_folder()),
        "open": None if desk.folder is None else str(desk.folder),
        "kinds": [
            {"kind": kind, "word": KINDS[kind].word, "sheet": kind in WORKED}
            for kind in AREA_KINDS
        ],
        "units": units_typed(),
        "log_units": UNIT_NAMES,
        "undo": UNDO,
        "drives": places.drives(),
        "today": dt.date.today().isoformat(),  # noqa: DTZ011 - the person's own day
    }


async def start(desk: Desk, _request: Request) -> Response:
    """Return what the first page shows."""
    return JSONResponse(start_told(desk))


def entered(desk: Desk) -> JsonObject:
    """Return all that a tab begins with, so that it asks once: ``start`` and the open ``place``.

    ``unread`` says why the settings of the open place cannot be read, None where they can or
    none is open.
    """
    place = None if desk.folder is None else place_told(desk)
    unread = None if desk.folder is None or place is not None else unread_told(desk.folder)
    return {"start": start_told(desk), "place": place, "unread": unread}


async def enter(desk: Desk, _request: Request) -> Response:
    """Return what a tab begins with that has its key already."""
    return JSONResponse(entered(desk))


async def open_(desk: Desk, request: Request) -> Response:
    """Open a place that is there, the sample as a copy, or a new one."""
    asked = await words_of(request)
    folder = Path(str(asked.get("folder") or ""))
    if asked.get("sample"):
        folder = places.new_folder("Sweetgum Bend (sample)")
        from quietacre.demo.write import write_sample
        from quietacre.edit.loglines import new_id

        await asyncio.to_thread(folder.parent.mkdir, parents=True, exist_ok=True)
        await asyncio.to_thread(write_sample, folder, new_id(()))
    elif asked.get("new"):
        name = str(asked["new"]).strip()
        folder = places.new_folder(name)
        folder.parent.mkdir(parents=True, exist_ok=True)
        made = await desk.run("new", str(folder), "--name", name)
        if made.code:
            return no(made.err.strip())
    folder = folder.expanduser()
    if folder.suffix.lower() == ".zip" and folder.is_file():
        return await lay_out(desk, request, folder)
    if not (folder / SETTINGS_FILE).is_file():
        return no(
            f"no place is kept in {folder}: there is no {SETTINGS_FILE} in that folder"
        )
    desk.open_place(folder)
    return await place(desk, request)


async def restore(desk: Desk, request: Request) -> Response:
    """Lay out the copy that the page sends as a new folder, and open it."""
    _, path = await bring_file(desk, request, "copy.zip")
    return await lay_out(desk, request, path)


async def lay_out(desk: Desk, request: Request, archive: Path) -> Response:
    """Lay a kept copy out as a new folder beside the other places, and open it."""
    folder = places.new_folder(archive.stem)
    await asyncio.to_thread(folder.parent.mkdir, parents=True, exist_ok=True)
    answer = await desk.run("restore", str(archive), str(folder), "--json")
    if answer.code:
        return no(shown(answer.err, archive, archive.name))
    desk.open_place(folder)
    return await place(desk, request)


async def shortcut(desk: Desk, _request: Request) -> Response:
    """Put a starter on the person's desktop."""
    answer = await desk.run("shortcut", "--json")
    return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)


def unread_told(folder: Path) -> JsonObject:
    """Return why the settings of a place cannot be read, and of when there are some to put back.

    ``put_back`` is the day and the clock when they were kept last, None without any.
    """
    from quietacre.edit.files import content
    from quietacre.edit.put_back import known_settings, unreadable

    known = known_settings(folder)
    reason = unreadable(content(folder / SETTINGS_FILE))
    way = (
        "they can be put back as they were kept last"
        if known
        else "this computer has kept none of this place: bring back a copy of it, have the line mended, "
        "or open another place"
    )
    return {
        "why": f"the settings of this place cannot be read ({folder / SETTINGS_FILE}: {reason}); {way}",
        "put_back": known and _day_and_clock(known.step.at),
    }


def _day_and_clock(at: dt.datetime) -> JsonObject:
    """Return the day and the clock of a time where the person is."""
    here = at.astimezone()
    return {"on": here.date().isoformat(), "clock": f"{here:%H:%M}"}


def place_told(desk: Desk) -> JsonObject | None:
    """Return the open place: its name, its settings and its papers; None if it cannot be read."""
    assert desk.folder is not None  # noqa: S101 - asked for an open place
    settings = plain_settings(desk.folder)
    if settings is None:
        return None
    out = desk.folder / OUT
    papers = [name for name in PAPERS if (out / name).is_file()]
    return {
        "name": places.name_of(desk.folder), "folder": str(desk.folder),
        "sum": desk.sum(), "settings": as_json(settings),
        "last_copy": places.last_copy(desk.folder),
        "papers": {name: f"/paper/{desk.papers}/{name}" for name in papers},
    }  # fmt: skip


async def place(desk: Desk, _request: Request) -> Response:
    """Return the open place."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    told = place_told(desk)
    return (
        JSONResponse(unread_told(desk.folder), WRONG)
        if told is None
        else JSONResponse(told)
    )


async def put_back(desk: Desk, request: Request) -> Response:
    """Put settings that cannot be read back as they were kept last, and return the place."""
    answer = await desk.run("undo", str(desk.folder), "--settings", "--json")
    return no(answer.err.strip()) if answer.code else await place(desk, request)


async def ground(desk: Desk, request: Request) -> Response:
    """Return the ground of the open place, measured; first as it was kept, where ``kept`` is asked.

    What was kept says so, so that the page asks again.
    """
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    if "kept" in request.query_params and (kept := await desk.kept()) is not None:
        return JSONResponse({**json.loads(kept), "kept": True})
    answer = await desk.ground()
    return no(answer.err) if answer.code else JSONResponse(answer.data)


async def words(desk: Desk, _request: Request) -> Response:
    """Return the schema of property.toml and the words on its keys."""
    answer = await desk.run("schema")
    from quietacre.schema import TABLE_OF
    from quietacre.words import settings_words, unit_words

    words = {
        table: {
            "about": some.about,
            "keys": {
                key: {
                    "label": printed(row.label),
                    "is": row.in_box,
                    "why": row.why,
                    "unit": unit_words(key),
                }
                for key, row in some.keys.items()
            },
        }
        for table, some in settings_words().items()
    }
    return JSONResponse(
        {
            "schema": answer.data, "words": words, "tables": TABLE_OF,
            "crops": column("crops", "crop"), "grades": column("fertilizers", "grade"),
            "vines": column("vines", "vine")
        }
    )  # fmt: skip


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("start", "GET", start),
    ("enter", "GET", enter),
    ("open", "POST", open_),
    ("restore", "POST", restore),
    ("shortcut", "POST", shortcut),
    ("place", "GET", place),
    ("put-back", "POST", put_back),
    ("ground", "GET", ground),
    ("words", "GET", words),
    ("here", "GET", here),
)
