"""A drawing that was begun and neither kept nor let go: it outlives the tab and the desk.

Drafts lie in the person's own state folder, beside the journal of the place, never in the place.
"""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import json
from typing import TYPE_CHECKING

from starlette.responses import JSONResponse

from quietacre.desk.answers import NOT_THERE, no, words_of
from quietacre.edit.state import place_home
from quietacre.errors import BadInput
from quietacre.export.atomic import write_atomic

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.state import Desk, Handler


def _draft_file(folder: Path, area: str) -> Path:
    """Return where the draft of an area lies; "" stands for a new piece."""
    drafts = place_home(folder, None) / "drafts"
    drafts.mkdir(exist_ok=True, mode=0o700)
    return drafts / f"{hashlib.sha256(area.encode()).hexdigest()[:24]}.json"


def read_draft(folder: Path, area: str) -> dict[str, object] | None:
    """Return the draft of an area as the page told it, None when none waits."""
    try:
        draft = json.loads(_draft_file(folder, area).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return (
        draft if isinstance(draft, dict) and isinstance(draft.get("steps"), dict) else None
    )


def write_draft(folder: Path, area: str, draft: object) -> None:
    """Keep the draft of an area, or forget it when there is none."""
    path = _draft_file(folder, area)
    if draft is None:
        with contextlib.suppress(FileNotFoundError):
            path.unlink()
        return
    write_atomic(path, json.dumps(draft).encode())


async def draft(desk: Desk, request: Request) -> Response:
    """Return the draft that waits for an area, null when none does."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    area = request.query_params.get("area", "")
    return JSONResponse({"draft": await asyncio.to_thread(read_draft, desk.folder, area)})


async def tell_draft(desk: Desk, request: Request) -> Response:
    """Take the draft of an area after each step of it; null forgets it."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    asked = await words_of(request)
    try:
        await asyncio.to_thread(
            write_draft, desk.folder, str(asked.get("area") or ""), asked.get("draft")
        )
    except (OSError, BadInput) as problem:
        return no(f"the drawing could not be put aside: {problem}")
    return JSONResponse({"told": True})


ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("draft", "GET", draft),
    ("draft", "POST", tell_draft),
)
