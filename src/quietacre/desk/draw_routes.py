"""What the drawing page asks and keeps: edges, operations on them, previews."""

from __future__ import annotations

import json
import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.responses import JSONResponse

from quietacre.desk.answers import NOT_THERE, no, shown, words_of
from quietacre.desk.asked import listed
from quietacre.desk.brought import bring_file
from quietacre.desk.change_routes import CLASH, turned
from quietacre.desk.worker import Answer
from quietacre.model import MARK_KINDS

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.asked import Asked
    from quietacre.desk.state import Desk, Handler


async def ask(desk: Desk, what: str, asked: Asked) -> Response:
    """Return what the process beside the server answers to a question on drawing."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    answer = await desk.ask(what, asked)
    return no(answer.err) if answer.code else JSONResponse(answer.data)


async def figures(desk: Desk, request: Request) -> Response:
    """Return the numbers that the page works out acres with."""
    try:
        lat = float(request.query_params.get("lat", "nan"))
    except ValueError:
        lat = float("nan")
    return await ask(desk, "figures", {"lat": lat})


async def edge(desk: Desk, request: Request) -> Response:
    """Return an area's edge at full digits, and its walk."""
    return await ask(desk, "edge", {"area": request.query_params.get("area", "")})


async def beside(desk: Desk, request: Request) -> Response:
    """Return the areas about a piece as it is drawn, and which of them it can be joined with."""
    return await ask(desk, "beside", await words_of(request))


async def rates(desk: Desk, _request: Request) -> Response:
    """Return pounds an acre of what goes on each area, as the last build has them."""
    return await ask(desk, "rates", {})


async def shape(desk: Desk, request: Request) -> Response:
    """Return what an operation makes of a piece; nothing is kept."""
    return await ask(desk, "shape", await words_of(request))


async def strip(desk: Desk, request: Request) -> Response:
    """Return acres, ± and strip of an edge on its way."""
    return await ask(desk, "strip", await words_of(request))


async def strip_of(desk: Desk, request: Request) -> Response:
    """Return the strip of an area: widths, what changes them, weak stretches, what would help."""
    return await ask(desk, "strip_of", {"area": request.query_params.get("area", "")})


async def pins(desk: Desk, request: Request) -> Response:
    """Return the pins of a file that is brought, and the edges between them; nothing is kept."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    _, path = await bring_file(desk, request, "pins")
    answer = await desk.ask("pins", {"path": str(path)})
    path.unlink()
    path.parent.rmdir()
    return (
        no(shown(answer.err, path, path.name)) if answer.code else JSONResponse(answer.data)
    )


async def keep(desk: Desk, request: Request) -> Response:
    """Keep edges: of areas that are there, of new ones; and take areas out."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    made = await desk.ask("edges_file", asked)
    if made.code:
        return no(made.err)
    answer = await run_with_file(
        desk, "edges.geojson", json.dumps(made.data), "edge", "keep"
    )
    kept = answer.data
    if answer.code and isinstance(kept, dict) and kept.get("clash"):
        theirs = await desk.ask("edge", {"area": kept["area"]})
        polygons = None if theirs.code else theirs.data["polygons"]
        return JSONResponse({**kept, "theirs": polygons}, CLASH)
    return response_of(answer)


async def run_with_file(
    desk: Desk, name: str, text: str, *words: str, option: str | None = None
) -> Answer:
    """Return what a command answers for a file of the desk's own, that is gone afterwards.

    The folder and the file follow the words; the file behind ``option`` where one is named.
    """
    path = Path(desk.brought.name) / f"{secrets.token_hex(8)}-{name}"
    path.write_text(text, encoding="utf-8")
    where = [str(path)] if option is None else [option, str(path)]
    try:
        answer = await desk.run(*words, str(desk.folder), *where, "--json")
    finally:
        path.unlink(missing_ok=True)
    return Answer(answer.code, answer.out, answer.err.replace(f"{path}: ", ""))


async def marks(desk: Desk, _request: Request) -> Response:
    """Return the marks and taped lines of the place, and the kinds there are."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    answer = await desk.run("mark", str(desk.folder), "--json")
    if answer.code:
        return no(answer.err)
    kinds = [{"kind": kind, "word": kind} for kind in MARK_KINDS]
    return JSONResponse({**answer.data, "kinds": kinds})


async def mark(desk: Desk, request: Request) -> Response:
    """Set a mark or a taped line, change one, or take one away."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    words = [
        f"--{key}={asked[key]}"
        for key in ("kind", "name", "note", "id")
        if asked.get(key) is not None
    ]
    words += ["--remove"] if asked.get("remove") else []
    if asked.get("line"):
        line = {"type": "LineString", "coordinates": asked["line"]}
        return response_of(
            await run_with_file(
                desk, "line.geojson", json.dumps(line), "mark", *words, option="--line"
            )
        )
    if asked.get("at"):
        try:
            lon, lat = (float(str(one)) for one in listed(asked["at"]))
        except (TypeError, ValueError):
            return no("that is no place; give [longitude, latitude]")
        words.append(f"--at={lat!r},{lon!r}")
    if not words:
        return no("nothing was said of a mark; give its kind and its place")
    return response_of(await desk.run("mark", str(desk.folder), *words, "--json"))


def response_of(answer: Answer) -> Response:
    """Return what a command answered; of words it does not take, the line that says so."""
    why = answer.err.rpartition("Error: ")[2]
    return no(why) if answer.code else JSONResponse(answer.data)


async def redo(desk: Desk, _request: Request) -> Response:
    """Bring back the change that was taken back last."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    return turned(await desk.run("undo", str(desk.folder), "--again", "--json"))


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("figures", "GET", figures),
    ("edge", "GET", edge),
    ("beside", "POST", beside),
    ("rates", "GET", rates),
    ("shape", "POST", shape),
    ("strip", "POST", strip),
    ("strip_of", "GET", strip_of),
    ("pins", "POST", pins),
    ("keep", "POST", keep),
    ("redo", "POST", redo),
    ("marks", "GET", marks),
    ("mark", "POST", mark),
)
