"""Files that the page brought: kept in a room of their own until they are used or the desk ends."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote

from quietacre.desk.answers import NotBroughtError, body_of
from quietacre.desk.guard import MOST_FILE_BYTES
from quietacre.filenames import safe_name

if TYPE_CHECKING:
    from starlette.requests import Request

    from quietacre.desk.state import Desk


def new_room(desk: Desk) -> Path:
    """Return a new folder for what was brought; its name is the word it goes by."""
    room = Path(desk.brought.name) / secrets.token_hex(8)
    room.mkdir()
    return room


async def bring_file(
    desk: Desk, request: Request, otherwise: str, most: int = MOST_FILE_BYTES
) -> tuple[str, Path]:
    """Keep the file that a request holds; return the word it goes by from now on, and its path.

    ``otherwise`` is its name where the page tells none, ``most`` the bytes it may have.
    """
    name = safe_name(unquote(request.headers.get("x-name", "")) or otherwise)
    path = new_room(desk) / name
    path.write_bytes(await body_of(request, most))
    return path.parent.name, path


def brought_file(desk: Desk, token: object) -> Path:
    """Return a file that was brought, by its word.

    Raises
    ------
    NotBroughtError
        There is none; the desk may have been started anew since.
    """
    word = str(token or "")
    room = Path(desk.brought.name) / word
    if not word.isalnum() or not room.is_dir():
        raise NotBroughtError
    return next(room.iterdir())
