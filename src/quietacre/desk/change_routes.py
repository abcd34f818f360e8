"""What a person changes: files brought, settings, the log, and a change taken back."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
from typing import TYPE_CHECKING, Any

from starlette.responses import JSONResponse

from quietacre.desk import places
from quietacre.desk.answers import (
    NOT_THERE,
    as_json,
    as_toml,
    known_words,
    no,
    shown,
    value_at,
    words_of,
)
from quietacre.desk.asked import listed
from quietacre.desk.brought import bring_file, brought_file
from quietacre.desk.meant import no_ground
from quietacre.desk.said import (
    answer_for_desk,
    for_desk,
    in_boxes,
    what_is_asked,
    without_commands,
)
from quietacre.intake.plain_settings import plain_settings

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.state import Desk, Handler
    from quietacre.desk.worker import Answer


CLASH = 409
#: Options of the log that the page may fill in.
LOG_OPTIONS = ("item", "amount", "unit", "bag_lb", "price", "minutes", "note", "who", "rain_in", "method",
               "stand", "ground")  # fmt: skip


async def file(desk: Desk, request: Request) -> Response:
    """Take a file, and say what is in it; nothing of the place is changed."""
    token, path = await bring_file(desk, request, "file")
    more = known_words(request.headers.get("x-known", ""))
    answer = await desk.run("acres", str(path), "--json", "--edges", *more)
    text = shown(answer.err, path, path.name)
    head, asks = what_is_asked(text)
    found = answer_for_desk(answer.data)
    return JSONResponse(
        {
            "token": token, "name": path.name, "found": found,
            "said": for_desk(head), "asks": asks,
        }
    )  # fmt: skip


async def add(desk: Desk, request: Request) -> Response:
    """Add the ground of files that were brought."""
    asked = await words_of(request)
    tokens = listed(asked.get("tokens"))
    if desk.folder is None or not tokens:
        return no("bring a file first")
    paths = [brought_file(desk, token) for token in tokens]
    words = ["add", str(desk.folder), *map(str, paths), "--json"]
    for option in ("as", "kind", "mend"):
        if asked.get(option):
            words += [f"--{option}", str(asked[option])]
    pieces = [one for one in listed(asked.get("pieces")) if isinstance(one, dict)]
    for piece in pieces:
        words += ["--only", f"{piece['number']}:{piece['kind']}={piece['name']}"]
    words += known_words(json.dumps(asked.get("known") or {}))
    answer = await desk.run(*words)
    if answer.code:
        return no(without_commands(shown(answer.err, paths[0], paths[0].name)))
    return JSONResponse(answer_for_desk(answer.data))


async def set_(desk: Desk, request: Request) -> Response:
    """Change one setting, unless another hand changed that very one meanwhile."""
    asked = await words_of(request)
    async with desk.one_change:
        return await _set(desk, asked)


async def _set(desk: Desk, asked: dict[str, Any]) -> Response:
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    key, value = str(asked.get("key", "")), asked.get("value")
    path, also = list(asked.get("path") or []), _also(asked)
    now = plain_settings(desk.folder) or {}
    answers = [(path, asked)] if "was" in asked else []
    answers += [([*path[:-1], name], one) for name, one in also.items()]
    for at, one in answers:
        theirs = as_json(value_at(now, at))
        if theirs not in (one.get("was"), one.get("value")):
            clash = {"clash": True, "yours": value, "theirs": theirs, "key": key}
            return JSONResponse(clash, CLASH)
    if also:
        key, value = _whole_table(now, key, path, {path[-1]: asked, **also})
    words = ["set", str(desk.folder), key, "--json"]
    words += ["--remove"] if value is None else ["--", as_toml(value)]
    answer = await desk.run(*words)
    return no(in_boxes(answer.err)) if answer.code else JSONResponse(answer.data)


async def line(desk: Desk, request: Request) -> Response:
    """Make the edge of a piece of ground the property line."""
    asked = await words_of(request)
    async with desk.one_change:
        if desk.folder is None:
            return no("no place is open", NOT_THERE)
        words = ["line", str(desk.folder), "--json", "--", str(asked.get("area", ""))]
        answer = await desk.run(*words)
    return no(in_boxes(answer.err)) if answer.code else JSONResponse(answer.data)


def _also(asked: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Return the other keys of the same table that are asked for as one change."""
    also, path = asked.get("also"), asked.get("path")
    if not isinstance(also, dict) or not isinstance(path, list) or not path:
        return {}
    return {name: one for name, one in also.items() if isinstance(one, dict)}


def _whole_table(
    now: dict[str, Any], key: str, path: list[Any], asked: dict[str, dict[str, Any]]
) -> tuple[str, dict[str, Any]]:
    """Return the key of a table, and the table with some of its keys answered anew."""
    table = dict(value_at(now, path[:-1]) or {})
    for name, one in asked.items():
        if one.get("value") is None:
            table.pop(name, None)
        else:
            table[name] = one["value"]
    return key.removesuffix(f".{path[-1]}"), table


async def undo(desk: Desk, _request: Request) -> Response:
    """Take back the last change."""
    return turned(await desk.run("undo", str(desk.folder), "--json"))


def turned(answer: Answer) -> Response:
    """Return which change was taken back or brought again, in the words of the desk."""
    if answer.code:
        return no(answer.err)
    return JSONResponse({**answer.data, "label": for_desk(answer.data.get("label") or "")})


async def log(desk: Desk, request: Request) -> Response:
    """Add a line to the log, or take one out."""
    asked = await words_of(request)
    words = ["log", str(desk.folder), "--json", "--wait", "0"]
    if asked.get("undo"):
        words += ["--undo", str(asked["undo"])]
    else:
        words += ["--on", str(asked.get("on") or dt.date.today())]  # noqa: DTZ011
        for option in ("area", "job", *LOG_OPTIONS):
            if asked.get(option) not in (None, ""):
                words += [f"--{option.replace('_', '-')}", str(asked[option])]
        words += ["--", str(asked.get("task") or "")]
    answer = await desk.run(*words)
    if answer.code and desk.folder is not None:
        return no_ground(desk.folder, answer.err, str(asked.get("area") or ""))
    return no(answer.err) if answer.code else JSONResponse(answer.data)


async def wait(desk: Desk, request: Request) -> Response:
    """Say that it has not rained: the planting of a piece waits for a day."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    answer = await desk.run(
        "wait", str(desk.folder), "--json", "--wait", "0", "--until", str(asked.get("until")),
        "--area", str(asked.get("area")),
    )  # fmt: skip
    return no(answer.err) if answer.code else JSONResponse(answer.data)


async def survey(desk: Desk, request: Request) -> Response:
    """Take a file that was brought for the new edge of a patch; the old one stays."""
    asked = await words_of(request)
    if desk.folder is None or not asked.get("token"):
        return no("bring a file first")
    path = brought_file(desk, asked["token"])
    words = [
        "survey",
        str(desk.folder),
        str(path),
        "--json",
        "--area",
        str(asked.get("area")),
    ]
    for option in ("on", "before"):
        if asked.get(option):
            words += [f"--{option}", str(asked[option])]
    answer = await desk.run(*words)
    if answer.code:
        return no(shown(answer.err, path, path.name))
    return JSONResponse(answer.data)


async def lines(desk: Desk, _request: Request) -> Response:
    """Return the lines of the log as they stand, the newest last."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    from quietacre.edit.journal import read
    from quietacre.edit.logtext import read_log_text
    from quietacre.errors import BadInput
    from quietacre.figures import printed
    from quietacre.logbook import LOG
    from quietacre.record.line_said import line_said

    data = read(desk.folder, LOG)
    if data is None:
        return JSONResponse({"lines": []})
    try:
        lines = [
            {**cells, "said": printed(line_said(cells))}
            for _, cells in read_log_text(data).typed()
        ]
    except BadInput as problem:
        return no(str(problem))
    return JSONResponse({"lines": lines[-500:]})


async def copy(desk: Desk, request: Request) -> Response:
    """Put a copy of the place where the person says."""
    asked = await words_of(request)
    to = await asyncio.to_thread(places.copies_folder, str(asked.get("to") or ""))
    answer = await desk.run("copy", str(desk.folder), str(to), "--json")
    if answer.code or desk.folder is None:
        return no(answer.err.strip())
    places.remember_copy(desk.folder, str(answer.data["copy"]))
    return JSONResponse(answer.data)


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("file", "POST", file),
    ("add", "POST", add),
    ("set", "POST", set_),
    ("line", "POST", line),
    ("undo", "POST", undo),
    ("log", "POST", log),
    ("wait", "POST", wait),
    ("survey", "POST", survey),
    ("lines", "GET", lines),
    ("copy", "POST", copy),
)
