"""Tables of legs and deeds, typed and mended at the desk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.desk.answers import NOT_THERE, no, words_of
from quietacre.desk.draw_routes import ask, response_of, run_with_file

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.state import Desk, Handler


async def table(desk: Desk, request: Request) -> Response:
    """Return what is understood of a table or a deed so far; nothing is kept."""
    return await ask(desk, "table", await words_of(request))


async def table_keep(desk: Desk, request: Request) -> Response:
    """Keep a table or a deed, for an area that is there or a new one."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    made = await desk.ask("table_file", asked)
    if made.code:
        return no(made.err)
    name = f"table{made.data['ending']}"
    return response_of(
        await run_with_file(
            desk, name, made.data["text"], "edge", "table", *made.data["words"]
        )
    )


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("table", "POST", table),
    ("table/keep", "POST", table_keep),
)
