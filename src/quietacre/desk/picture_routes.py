"""Pictures brought to the desk, placed by clicked points, and kept in the folder."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from starlette.responses import JSONResponse, Response

from quietacre.desk.answers import MEDIA, NOT_THERE, no, words_of
from quietacre.desk.asked import listed
from quietacre.desk.brought import bring_file, brought_file
from quietacre.desk.draw_routes import ask, response_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from quietacre.desk.asked import Asked
    from quietacre.desk.state import Desk, Handler


async def bring(desk: Desk, request: Request) -> Response:
    """Take a picture, and say how large it is; nothing of the place is changed."""
    token, path = await bring_file(desk, request, "picture")
    answer = await desk.ask("size", {"path": str(path)})
    if answer.code:
        path.unlink()
        path.parent.rmdir()
        return no(answer.err)
    return JSONResponse({"token": token, "name": path.name, **answer.data})


def _where(desk: Desk, asked: Asked) -> Asked:
    """Return a question with the path of a picture that was brought; none that the page tells."""
    asked = {key: value for key, value in asked.items() if key != "path"}
    if not asked.get("token"):
        return asked
    return {**asked, "path": str(brought_file(desk, asked["token"]))}


async def place(desk: Desk, request: Request) -> Response:
    """Return where a picture lies by the pairs that were clicked; nothing is kept."""
    return await ask(desk, "place", _where(desk, await words_of(request)))


async def place_edge(desk: Desk, request: Request) -> Response:
    """Return how far off an edge drawn on a picture may be."""
    return await ask(desk, "place_edge", _where(desk, await words_of(request)))


async def place_keep(desk: Desk, request: Request) -> Response:
    """Keep a picture and its pairs in the folder."""
    asked = _where(desk, await words_of(request))
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    laid = await desk.ask("place", asked)  # what cannot be placed says why
    if laid.code:
        return no(laid.err)
    from quietacre.intake.placed import PICTURES  # it loads numpy

    own = desk.folder / PICTURES / str(asked.get("picture"))
    path = str(asked.get("path") or own)
    pairs = [pair for pair in listed(asked.get("pairs")) if isinstance(pair, list)]
    words = [f"--at={x!r},{y!r}={lat!r},{lon!r}" for x, y, lon, lat in pairs]
    words += ["--affine"] if asked.get("fit") == "affine" else []
    words += [f"--point-pm-ft={asked['point_pm_ft']}"] if asked.get("point_pm_ft") else []
    words += ["--on-map"] if asked.get("on_map") else []
    return response_of(
        await desk.run("place", path, *words, "--keep", str(desk.folder), "--json")
    )


async def pictures(desk: Desk, _request: Request) -> Response:
    """Return the pictures that are placed in the folder."""
    return await ask(desk, "pictures", {})


async def picture(desk: Desk, request: Request) -> Response:
    """Return the bytes of a placed picture."""
    name = request.query_params.get("picture", "")
    from quietacre.intake.placed import PICTURES, placed_pictures

    if desk.folder is None or name not in placed_pictures(desk.folder):
        return no("there is no such picture here", NOT_THERE)
    path = desk.folder / PICTURES / name
    kind = {**MEDIA, ".jpg": "image/jpeg", ".jpeg": "image/jpeg"}.get(path.suffix.lower())
    data = await asyncio.to_thread(path.read_bytes)
    return Response(data, media_type=kind or "application/octet-stream")


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("picture", "POST", bring),
    ("picture", "GET", picture),
    ("pictures", "GET", pictures),
    ("place/edge", "POST", place_edge),
    ("place/keep", "POST", place_keep),
    ("place", "POST", place),
)
