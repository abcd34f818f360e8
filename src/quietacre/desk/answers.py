"""What the desk's answers share: bodies read in time, refusals, values in and out."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
from typing import TYPE_CHECKING, Any

from starlette.responses import JSONResponse

from quietacre.desk.guard import MOST_WORD_BYTES
from quietacre.desk.said import for_desk

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

#: What was asked for cannot be done; there is no such thing.
WRONG, NOT_THERE = 422, 404
#: What was brought is gone; `gone` in the answer tells the page, which brings it again by itself.
GONE = 410
MEDIA = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".png": "image/png",
         ".svg": "image/svg+xml"}  # fmt: skip
#: A body that comes slower than this is given up; others go on meanwhile. [s]
MOST_BODY_SECONDS = 60.0


class SlowError(Exception):
    """A body did not come in time, or is longer than it said."""


class NotBroughtError(Exception):
    """A file that was brought is not here any more: the desk was started anew since."""


def column(table: str, column: str) -> list[str]:
    """Return the different names in a column of a shipped table."""
    from quietacre.shipped import rows

    return sorted({row[column] for row in rows(table) if row.get(column)})


def no(why: str, status: int = WRONG, **more: object) -> JSONResponse:
    """Return the answer to what cannot be done: why, in one line, and what ``more`` is known."""
    return JSONResponse(
        {"why": for_desk(why.strip()) or "it could not be done", **more}, status
    )


async def body_of(request: Request, most: int) -> bytes:
    """Return a request's body, in time and no longer than it may be."""
    parts, size = [], 0

    async def read() -> None:
        nonlocal size
        async for part in request.stream():
            size += len(part)
            if size > most:
                raise SlowError
            parts.append(part)

    try:
        await asyncio.wait_for(read(), MOST_BODY_SECONDS)
    except TimeoutError as problem:
        raise SlowError from problem
    return b"".join(parts)


async def words_of(request: Request) -> dict[str, object]:
    """Return the JSON that a request holds; an empty one for anything else."""
    try:
        words = json.loads(await body_of(request, MOST_WORD_BYTES) or b"{}")
    except (ValueError, RecursionError):
        return {}
    return words if isinstance(words, dict) else {}


def known_words(text: str) -> list[str]:
    """Return the options on pins, legs and calls that the page gives as JSON."""
    try:
        known = json.loads(text or "{}")
    except ValueError:
        return []
    names = ("corners", "order", "sky", "pace_ft", "vara_ft")
    return [
        word
        for name in names
        if isinstance(known, dict) and known.get(name)
        for word in (f"--{name.replace('_', '-')}", str(known[name]))
    ]


def shown(text: str, path: Path, name: str) -> str:
    """Return a message with a file's own name in place of where it lies for the moment."""
    return text.replace(str(path), name).strip()


def value_at(settings: Any, path: list[Any]) -> Any:  # noqa: ANN401 - any TOML
    """Return the value at a path of keys and numbers, None when there is none."""
    for part in path:
        try:
            settings = settings[part]
        except (KeyError, IndexError, TypeError):
            return None
    return settings


def as_json(value: Any) -> Any:  # noqa: ANN401 - any TOML
    """Return settings as JSON has them: days as text."""
    if isinstance(value, dict):
        return {key: as_json(item) for key, item in value.items()}
    if isinstance(value, list):
        return [as_json(item) for item in value]
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    return value


def as_toml(value: Any) -> str:  # noqa: ANN401 - any JSON
    """Return a value of the page as property.toml spells it; {"day": …} is a date."""
    from quietacre.edit.toml_spell import spelled

    def plain(item: Any) -> Any:  # noqa: ANN401
        if isinstance(item, dict):
            if set(item) == {"day"}:
                try:
                    return dt.date.fromisoformat(str(item["day"]))
                except ValueError:  # the checks of the settings say what is wrong with it
                    return str(item["day"])
            return {key: plain(one) for key, one in item.items()}
        return [plain(one) for one in item] if isinstance(item, list) else item

    return spelled(plain(value), flat=True)
