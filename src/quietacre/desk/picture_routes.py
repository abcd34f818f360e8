"""Pictures brought to the desk, placed by clicked points, and kept in the folder."""

from __future__ import annotations

import asyncio
import secrets
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from starlette.responses import JSONResponse, Response

from quietacre.desk.answers import MEDIA, NOT_THERE, body_of, no, words_of
from quietacre.desk.draw_routes import ask, told_by
from quietacre.desk.guard import MOST_FILE_BYTES
from quietacre.filenames import safe_name
from quietacre.intake.placed import PICTURES, placed_pictures

if TYPE_CHECKING:
    from starlette.requests import Request

    from quietacre.desk.state import Desk, Handler


async def bring(desk: Desk, request: Request) -> Response:
    """Take a picture, and say how large it is; nothing of the place is changed."""
    name = safe_name(unquote(request.headers.get("x-name", "")) or "picture")
    token = secrets.token_hex(8)
    room = Path(desk.brought.name) / token
    room.mkdir()
    path = room / name
    path.write_bytes(await body_of(request, MOST_FILE_BYTES))
    answer = await desk.ask("size", {"path": str(path)})
    if answer.code:
        path.unlink()
        room.rmdir()
        return no(answer.err)
    return JSONResponse({"token": token, "name": name, **answer.data})


def _where(desk: Desk, said: dict[str, Any]) -> dict[str, Any]:
    """Return a question with the path of a picture that was brought; none that the page tells."""
    said = {key: value for key, value in said.items() if key != "path"}
    token = str(said.get("token") or "")
    room = Path(desk.brought.name) / token
    if token.isalnum() and room.is_dir():
        said["path"] = str(next(room.iterdir()))
    return said


async def place(desk: Desk, request: Request) -> Response:
    """Return where a picture lies by the pairs that were clicked; nothing is kept."""
    return await ask(desk, "place", _where(desk, await words_of(request)))


async def place_edge(desk: Desk, request: Request) -> Response:
    """Return how far off an edge drawn on a picture may be."""
    return await ask(desk, "place_edge", _where(desk, await words_of(request)))


async def place_keep(desk: Desk, request: Request) -> Response:
    """Keep a picture and its pairs in the folder."""
    said = _where(desk, await words_of(request))
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    laid = await desk.ask("place", said)  # what cannot be placed says why
    if laid.code:
        return no(laid.err)
    path = said.get("path") or str(desk.folder / PICTURES / str(said.get("picture")))
    words = [f"--at={x!r},{y!r}={lat!r},{lon!r}" for x, y, lon, lat in said["pairs"]]
    words += ["--affine"] if said.get("fit") == "affine" else []
    words += [f"--point-pm-ft={said['point_pm_ft']}"] if said.get("point_pm_ft") else []
    words += ["--on-map"] if said.get("on_map") else []
    return told_by(
        await desk.run("place", path, *words, "--keep", str(desk.folder), "--json")
    )


async def pictures(desk: Desk, _request: Request) -> Response:
    """Return the pictures that are placed in the folder."""
    return await ask(desk, "pictures", {})


async def picture(desk: Desk, request: Request) -> Response:
    """Return the bytes of a placed picture."""
    name = request.query_params.get("picture", "")
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
