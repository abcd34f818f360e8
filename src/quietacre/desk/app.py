"""The desk as an application: the page and its parts, the way in, and a route for each answer."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.applications import Starlette
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from quietacre.desk import (
    build_routes,
    change_routes,
    draft_routes,
    draw_routes,
    field_routes,
    picture_routes,
    place_routes,
    table_routes,
    turn_routes,
)
from quietacre.desk.answers import (
    GONE,
    MEDIA,
    NOT_THERE,
    NotBroughtError,
    SlowError,
    no,
    words_of,
)
from quietacre.desk.build_routes import paper
from quietacre.desk.guard import Guarded

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterable

    from starlette.requests import Request

    from quietacre.desk.state import Desk, Handler


STATIC = Path(__file__).parent / "static"
#: Where the page and its parts are; anything else is not there.
PARTS = frozenset(path.name for path in STATIC.iterdir() if path.suffix in MEDIA)
#: What shows the names of the open place; no other part is waited for.
FIRST = ("first.js", "ask.js", "say.js")
#: What shows the map besides. Every other part comes once it is there, or is asked for.
SECOND = (
    "alike.js", "begin.js", "bring.js", "desk.js", "drop.js", "ground.js", "half_filled.js", "later.js",
    "mark_layer.js", "names.js", "on_map.js", "parts.js", "place_tools.js", "plain_words.js", "rings.js", "take_back.js",
    "told.js", "unfolded.js",
)  # fmt: skip


def _preloads(names: Iterable[str], how: str = "") -> bytes:
    """Return links that have modules fetched all at once, not one behind the other."""
    return "".join(
        f'<link rel="modulepreload" href="/{name}"{how}>\n' for name in names
    ).encode()


#: The page: its first parts named before all else, the map's behind what those ask for.
PAGE = (
    (STATIC / "desk.html")
    .read_bytes()
    .replace(b"<head>\n", b"<head>\n" + _preloads(FIRST))
    .replace(
        b"</head>",
        _preloads(SECOND, ' fetchpriority="low"') + b"</head>",
    )
)


def desk_app(desk: Desk) -> Guarded:
    """Return the application behind its guard."""
    routes = [
        Route("/", _bound(desk, part)),
        Route("/{name}", _bound(desk, part)),
        Route("/api/key", _bound(desk, key), methods=["POST"]),
        Route("/api/ticket", _bound(desk, ticket), methods=["POST"]),
        Route("/paper/{word}/{name}", _bound(desk, paper)),
    ]
    for module in (
        place_routes,
        change_routes,
        build_routes,
        draw_routes,
        draft_routes,
        field_routes,
        picture_routes,
        table_routes,
        turn_routes,
    ):
        for path, method, answer in module.ROUTES:
            routes.append(Route(f"/api/{path}", _answered(desk, answer), methods=[method]))
    return Guarded(Starlette(routes=routes), desk.port, desk.secrets)


def _bound(desk: Desk, answer: Handler) -> Callable[[Request], Awaitable[Response]]:
    """Return a route of this desk."""

    async def run(request: Request) -> Response:
        return await answer(desk, request)

    return run


def _answered(desk: Desk, answer: Handler) -> Callable[[Request], Awaitable[Response]]:
    """Return a route that counts as work, and says when a body did not come."""

    async def run(request: Request) -> Response:
        desk.idle = 0
        try:
            return await answer(desk, request)
        except NotBroughtError:
            return no(
                "the desk was started anew since this file was brought: bring it again",
                GONE,
                gone=True,
            )
        except SlowError:
            return no("what was sent did not come whole; send it again", 408)

    return run


async def part(_desk: Desk, request: Request) -> Response:
    """Return the page or one of its parts; Leaflet's come out of its package."""
    name = request.path_params.get("name", "desk.html")
    if name in ("leaflet.js", "leaflet.css"):
        from quietacre.page.leaflet import leaflet_files

        return Response(leaflet_files()[name], media_type=MEDIA[Path(name).suffix])
    if name not in PARTS:
        return PlainTextResponse("not here", NOT_THERE)
    data = PAGE if name == "desk.html" else (STATIC / name).read_bytes()
    return Response(data, media_type=MEDIA[Path(name).suffix])


async def key(desk: Desk, request: Request) -> Response:
    """Return the key of this desk for a ticket that was not used yet, and what a tab begins with."""
    asked = await words_of(request)
    if not desk.secrets.take(str(asked.get("ticket", ""))):
        return no("this way in was used already: open the desk again from its starter", 403)
    return JSONResponse({"key": desk.secrets.key, **place_routes.entered(desk)})


async def ticket(desk: Desk, _request: Request) -> Response:
    """Return a ticket that opens one more tab."""
    ticket = secrets.token_urlsafe(24)
    desk.secrets.tickets.add(ticket)
    return JSONResponse({"ticket": ticket})
