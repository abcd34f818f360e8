"""The work of a build: started, stopped, watched, and the papers and the year it made."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
import secrets
from typing import TYPE_CHECKING

from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse

from quietacre.desk.answers import MEDIA, NOT_THERE, no
from quietacre.desk.last_build import last_build
from quietacre.desk.said import answer_for_desk
from quietacre.desk.turn_routes import kept_told, turning
from quietacre.desk.worker import Build
from quietacre.model import OUT

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from starlette.requests import Request

    from quietacre.desk.state import Desk, Handler


#: Seconds between two looks at a build.
LOOK_SECONDS = 0.25
PAPERS = ("map.html", "field-sheets.pdf", "phone.gpx", "phone.kml", "calendar.ics",
          "shopping.csv", "plan.csv", "areas.gpkg", "report.json")  # fmt: skip


async def year(desk: Desk, _request: Request) -> Response:
    """Return the tasks of the last build, and whether the settings changed since."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    last = last_build(desk.folder)
    if last is None:
        return JSONResponse({"made_on": None, "tasks": [], "kept": kept_told(desk)})
    report = last.report
    return JSONResponse(
        {
            "made_on": report.get("made_on"),
            "old": last.old,
            "tasks": answer_for_desk(report.get("year", {}).get("tasks", [])),
            "kept": kept_told(desk),
            **turning(report, desk.folder, dt.date.today().year),  # noqa: DTZ011 - the wall's
            "shopping": report.get("shopping", []),
            "strips": [
                {key: row.get(key) for key in ("name", "width_ft", "acres", "of")}
                for row in report.get("strips", [])
            ],
        }
    )


async def build(desk: Desk, _request: Request) -> Response:
    """Start a build of the open place, unless one runs."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    if desk.build is None or not desk.build.running:
        desk.build = await asyncio.to_thread(Build, desk.folder)
    return JSONResponse({"started": True})


async def amounts(desk: Desk, _request: Request) -> Response:
    """Return what to buy as things stand now; nothing is written."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    answer = await desk.ask("amounts", {})
    return no(answer.err) if answer.code else JSONResponse(answer.data)


async def stop(desk: Desk, _request: Request) -> Response:
    """Stop the build that runs."""
    if desk.build is not None and desk.build.running:
        await asyncio.to_thread(desk.build.stop)
    return JSONResponse({"stopped": True})


async def steps(desk: Desk, _request: Request) -> Response:
    """Return what a build says as it goes, an event a line."""
    build = desk.build
    if build is None:
        return no("nothing is being worked out", NOT_THERE)

    async def events() -> AsyncIterator[bytes]:
        sent = 0
        while True:
            lines = build.lines[sent:]
            sent += len(lines)
            for line in lines:
                yield f"data: {json.dumps(answer_for_desk(line))}\n\n".encode()
            if lines and "end" in lines[-1]:
                return
            await asyncio.sleep(LOOK_SECONDS)

    return StreamingResponse(events(), media_type="text/event-stream")


async def paper(desk: Desk, request: Request) -> Response:
    """Return a finished paper; its path is known to this desk's own tabs alone."""
    word, name = request.path_params["word"], request.path_params["name"]
    known = name in PAPERS or name in desk.made
    if not secrets.compare_digest(word, desk.papers) or not known:
        return PlainTextResponse("not here", NOT_THERE)
    path = None if desk.folder is None else desk.folder / OUT / name
    path = desk.made.get(name, path)
    if path is None or not path.is_file():
        return PlainTextResponse("work it out first", NOT_THERE)
    kinds = {**MEDIA, ".pdf": "application/pdf"}
    kind = kinds.get(path.suffix, "application/octet-stream")
    data = await asyncio.to_thread(path.read_bytes)
    headers = {} if kind != "application/octet-stream" else {
        "content-disposition": f'attachment; filename="{name}"'
    }  # fmt: skip
    return Response(data, media_type=kind, headers=headers)


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("year", "GET", year),
    ("amounts", "GET", amounts),
    ("build", "POST", build),
    ("stop", "POST", stop),
    ("steps", "GET", steps),
)
