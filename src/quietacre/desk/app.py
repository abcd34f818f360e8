"""The desk's answers: what the page asks for and what a person tells it, one route each."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
import secrets
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.applications import Starlette
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from quietacre import __version__
from quietacre.desk import places
from quietacre.desk.answers import (
    SlowError,
    as_json,
    as_toml,
    body_of,
    column,
    known_words,
    no,
    shown,
    value_at,
    words_of,
)
from quietacre.desk.guard import MOST_FILE_BYTES, Guarded, Secrets
from quietacre.desk.worker import Answer, Build, Worker
from quietacre.filenames import safe_name
from quietacre.kinds import KINDS
from quietacre.model import AREA_KINDS, OUT

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Awaitable, Callable

    from starlette.requests import Request

STATIC = Path(__file__).parent / "static"
MEDIA = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".png": "image/png",
         ".svg": "image/svg+xml"}  # fmt: skip
#: Where the page and its parts are; anything else is not there.
PARTS = ("desk.html", "desk.css", "desk.js", "say.js", "ground.js", "forms.js", "boxes.js", "groups.js",
         "year.js", "work.js")  # fmt: skip
CLASH, NOT_THERE = 409, 404
#: Seconds between two looks at a build.
LOOK_SECONDS = 0.25
#: Options of the log that the page may fill in.
LOG_OPTIONS = ("item", "amount", "unit", "price", "minutes", "note", "who", "rain_in", "method",
               "stand", "ground")  # fmt: skip
PAPERS = ("map.html", "field-sheets.pdf", "phone.gpx", "phone.kml", "calendar.ics",
          "shopping.csv", "plan.csv", "areas.gpkg", "report.json")  # fmt: skip


class Desk:
    """One running desk: what opens it, the place that is open, and the work under way."""

    def __init__(self, port: int, opened: Secrets) -> None:
        self.port, self.secrets = port, opened
        self.worker = Worker()
        self.folder: Path | None = None
        self.build: Build | None = None
        self.papers = secrets.token_urlsafe(18)
        self.brought = tempfile.TemporaryDirectory(prefix="quietacre-desk-")
        self.idle = 0

    def app(self) -> Guarded:
        """Return the application behind its guard."""
        routes = [
            Route("/", self._part),
            Route("/{name}", self._part),
            Route("/api/key", self._key, methods=["POST"]),
            Route("/api/ticket", self._ticket, methods=["POST"]),
            Route("/paper/{word}/{name}", self._paper),
        ]
        for path, method, answer in (
            ("start", "GET", self._start), ("open", "POST", self._open),
            ("place", "GET", self._place), ("ground", "GET", self._ground),
            ("words", "GET", self._words), ("file", "POST", self._file),
            ("add", "POST", self._add), ("set", "POST", self._set), ("undo", "POST", self._undo),
            ("log", "POST", self._log), ("lines", "GET", self._lines),
            ("year", "GET", self._year), ("build", "POST", self._build),
            ("stop", "POST", self._stop), ("steps", "GET", self._steps),
            ("copy", "POST", self._copy), ("here", "GET", self._here),
        ):  # fmt: skip
            routes.append(Route(f"/api/{path}", self._answered(answer), methods=[method]))
        return Guarded(Starlette(routes=routes), self.port, self.secrets)

    def close(self) -> None:
        """End what runs beside the server."""
        if self.build is not None and self.build.running:
            self.build.stop()
        self.worker.close()
        self.brought.cleanup()

    def _answered(
        self, answer: Callable[[Request], Awaitable[Response]]
    ) -> Callable[[Request], Awaitable[Response]]:
        async def run(request: Request) -> Response:
            self.idle = 0
            try:
                return await answer(request)
            except SlowError:
                return no("what was sent did not come whole; send it again", 408)

        return run

    async def _part(self, request: Request) -> Response:
        """Return the page or one of its parts; Leaflet's come out of its package."""
        name = request.path_params.get("name", "desk.html")
        if name in ("leaflet.js", "leaflet.css"):
            from quietacre.page.leaflet import leaflet_files

            return Response(leaflet_files()[name], media_type=MEDIA[Path(name).suffix])
        if name not in PARTS:
            return PlainTextResponse("not here", NOT_THERE)
        return Response((STATIC / name).read_bytes(), media_type=MEDIA[Path(name).suffix])

    async def _key(self, request: Request) -> Response:
        said = await words_of(request)
        if not self.secrets.take(str(said.get("ticket", ""))):
            return no(
                "this way in was used already: open the desk again from its starter", 403
            )
        return JSONResponse({"key": self.secrets.key})

    async def _ticket(self, _request: Request) -> Response:
        ticket = secrets.token_urlsafe(24)
        self.secrets.tickets.add(ticket)
        return JSONResponse({"ticket": ticket})

    async def _here(self, _request: Request) -> Response:
        running = self.build is not None and self.build.running
        return JSONResponse({"sum": self._sum(), "building": running})

    async def _start(self, _request: Request) -> Response:
        return JSONResponse(
            {
                "version": __version__,
                "places": places.known_places(),
                "home": str(places.home_folder()),
                "open": None if self.folder is None else str(self.folder),
                "kinds": [{"kind": kind, "word": KINDS[kind].word} for kind in AREA_KINDS],
                "today": dt.date.today().isoformat(),  # noqa: DTZ011 - the person's own day
            }
        )

    async def _open(self, request: Request) -> Response:
        """Open a place that is there, the sample as a copy, or a new one."""
        said = await words_of(request)
        folder = Path(str(said.get("folder") or ""))
        if said.get("sample"):
            folder = places.new_folder("Sweetgum Bend (sample)")
            from quietacre.demo.write import write_sample

            await asyncio.to_thread(folder.parent.mkdir, parents=True, exist_ok=True)
            await asyncio.to_thread(write_sample, folder)
        elif said.get("new"):
            name = str(said["new"]).strip()
            folder = places.new_folder(name)
            folder.parent.mkdir(parents=True, exist_ok=True)
            made = await self._run("new", str(folder), "--name", name)
            if made.code:
                return no(made.err.strip())
        folder = folder.expanduser()
        if not (folder / places.SETTINGS).is_file():
            return no(f"{folder}: there is no {places.SETTINGS} in that folder")
        self.open_place(folder)
        return await self._place(request)

    def open_place(self, folder: Path) -> None:
        """Take a folder for the one that is open."""
        self.folder = folder.resolve()
        places.remember(self.folder)

    async def _place(self, _request: Request) -> Response:
        if self.folder is None:
            return no("no place is open", NOT_THERE)
        settings = places.plain_settings(self.folder)
        if settings is None:
            return no(
                f"{self.folder / places.SETTINGS} is no TOML: mend it, or take back the change"
            )
        out = self.folder / OUT
        papers = [name for name in PAPERS if (out / name).is_file()]
        return JSONResponse(
            {
                "name": places.name_of(self.folder), "folder": str(self.folder),
                "sum": self._sum(), "settings": as_json(settings),
                "papers": {name: f"/paper/{self.papers}/{name}" for name in papers},
            }
        )  # fmt: skip

    async def _ground(self, _request: Request) -> Response:
        if self.folder is None:
            return no("no place is open", NOT_THERE)
        answer = await asyncio.to_thread(self.worker.ground, self.folder)
        return no(answer.err) if answer.code else JSONResponse(answer.data)

    async def _words(self, _request: Request) -> Response:
        """Return the schema of property.toml and the words on its keys."""
        answer = await self._run("schema")
        from quietacre.words import settings_words, unit_words

        words = {
            table: {
                "about": some.about,
                "keys": {
                    key: {
                        "label": row.label,
                        "is": row.meaning,
                        "why": row.why,
                        "unit": unit_words(key),
                    }
                    for key, row in some.keys.items()
                },
            }
            for table, some in settings_words().items()
        }
        return JSONResponse(
            {
                "schema": answer.data, "words": words,
                "crops": column("crops", "crop"), "grades": column("fertilizers", "grade"),
                "vines": column("vines", "vine"),
            }
        )  # fmt: skip

    async def _file(self, request: Request) -> Response:
        """Take a file, and say what is in it; nothing of the place is changed."""
        from urllib.parse import unquote

        name = safe_name(unquote(request.headers.get("x-name", "")) or "file")
        token = secrets.token_hex(8)
        room = Path(self.brought.name) / token
        room.mkdir()
        path = room / name
        path.write_bytes(await body_of(request, MOST_FILE_BYTES))
        more = known_words(request.headers.get("x-known", ""))
        answer = await self._run("acres", str(path), "--json", *more)
        said = shown(answer.err, path, name)
        return JSONResponse(
            {"token": token, "name": name, "found": answer.data, "said": said}
        )

    async def _add(self, request: Request) -> Response:
        """Add the ground of files that were brought."""
        said = await words_of(request)
        room = Path(self.brought.name)
        paths = [
            next((room / str(token)).iterdir())
            for token in said.get("tokens", ())
            if str(token).isalnum() and (room / str(token)).is_dir()
        ]
        if self.folder is None or not paths:
            return no("bring a file first")
        words = ["add", str(self.folder), *map(str, paths), "--json"]
        for option in ("as", "kind", "mend"):
            if said.get(option):
                words += [f"--{option}", str(said[option])]
        words += known_words(json.dumps(said.get("known") or {}))
        answer = await self._run(*words)
        if answer.code:
            return no(shown(answer.err, paths[0], paths[0].name))
        return JSONResponse(answer.data)

    async def _set(self, request: Request) -> Response:
        """Change one setting, unless another hand changed that very one meanwhile."""
        said = await words_of(request)
        if self.folder is None:
            return no("no place is open", NOT_THERE)
        key, value = str(said.get("key", "")), said.get("value")
        if "was" in said:
            now = value_at(places.plain_settings(self.folder) or {}, said.get("path") or [])
            if as_json(now) not in (said["was"], value):
                told = {"clash": True, "yours": value, "theirs": as_json(now), "key": key}
                return JSONResponse(told, CLASH)
        words = ["set", str(self.folder), key, "--json"]
        words += ["--remove"] if value is None else ["--", as_toml(value)]
        answer = await self._run(*words)
        return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)

    async def _undo(self, _request: Request) -> Response:
        answer = await self._run("undo", str(self.folder), "--json")
        return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)

    async def _log(self, request: Request) -> Response:
        said = await words_of(request)
        words = ["log", str(self.folder), "--json", "--wait", "0"]
        if said.get("undo"):
            words += ["--undo", str(said["undo"])]
        else:
            words += ["--on", str(said.get("on") or dt.date.today())]  # noqa: DTZ011
            for option in ("area", *LOG_OPTIONS):
                if said.get(option) not in (None, ""):
                    words += [f"--{option.replace('_', '-')}", str(said[option])]
            words += ["--", str(said.get("task") or "")]
        answer = await self._run(*words)
        return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)

    async def _lines(self, _request: Request) -> Response:
        """Return the lines of the log as they stand, the newest last."""
        if self.folder is None:
            return no("no place is open", NOT_THERE)
        from quietacre.edit.journal import read
        from quietacre.edit.logtext import read_log_text
        from quietacre.errors import BadInput
        from quietacre.logbook import LOG

        data = read(self.folder, LOG)
        if data is None:
            return JSONResponse({"lines": []})
        try:
            lines = [cells for _, cells in read_log_text(data).typed()]
        except BadInput as problem:
            return no(str(problem))
        return JSONResponse({"lines": lines[-500:]})

    async def _year(self, _request: Request) -> Response:
        """Return the tasks of the last build, and whether the settings changed since."""
        if self.folder is None:
            return no("no place is open", NOT_THERE)
        path = self.folder / OUT / "report.json"
        try:
            report = json.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return JSONResponse({"made_on": None, "tasks": []})
        newest = max(
            ((self.folder / name).stat().st_mtime for name in (places.SETTINGS, "log.csv")
             if (self.folder / name).is_file()), default=0.0,
        )  # fmt: skip
        return JSONResponse(
            {
                "made_on": report.get("made_on"),
                "old": newest > path.stat().st_mtime,
                "tasks": report.get("year", {}).get("tasks", []),
                "shopping": report.get("shopping", []),
                "strips": [
                    {key: row.get(key) for key in ("name", "width_ft", "acres", "of")}
                    for row in report.get("strips", [])
                ],
            }
        )

    async def _build(self, _request: Request) -> Response:
        if self.folder is None:
            return no("no place is open", NOT_THERE)
        if self.build is None or not self.build.running:
            self.build = await asyncio.to_thread(Build, self.folder)
        return JSONResponse({"started": True})

    async def _stop(self, _request: Request) -> Response:
        if self.build is not None and self.build.running:
            await asyncio.to_thread(self.build.stop)
        return JSONResponse({"stopped": True})

    async def _steps(self, _request: Request) -> Response:
        """Return what a build says as it goes, an event a line."""
        build = self.build
        if build is None:
            return no("nothing is being worked out", NOT_THERE)

        async def events() -> AsyncIterator[bytes]:
            sent = 0
            while True:
                lines = build.lines[sent:]
                sent += len(lines)
                for line in lines:
                    yield f"data: {json.dumps(line)}\n\n".encode()
                if lines and "end" in lines[-1]:
                    return
                await asyncio.sleep(LOOK_SECONDS)

        return StreamingResponse(events(), media_type="text/event-stream")

    async def _copy(self, request: Request) -> Response:
        said = await words_of(request)
        to = await asyncio.to_thread(places.copies_folder, str(said.get("to") or ""))
        answer = await self._run("copy", str(self.folder), str(to), "--json")
        return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)

    async def _paper(self, request: Request) -> Response:
        """Return a finished paper; its path is known to this desk's own tabs alone."""
        word, name = request.path_params["word"], request.path_params["name"]
        if not secrets.compare_digest(word, self.papers) or name not in PAPERS:
            return PlainTextResponse("not here", NOT_THERE)
        path = None if self.folder is None else self.folder / OUT / name
        if path is None or not path.is_file():
            return PlainTextResponse("work it out first", NOT_THERE)
        kinds = {**MEDIA, ".pdf": "application/pdf"}
        kind = kinds.get(path.suffix, "application/octet-stream")
        data = await asyncio.to_thread(path.read_bytes)
        headers = {} if kind != "application/octet-stream" else {
            "content-disposition": f'attachment; filename="{name}"'
        }  # fmt: skip
        return Response(data, media_type=kind, headers=headers)

    def _sum(self) -> str:
        return "" if self.folder is None else places.settings_sum(self.folder)

    async def _run(self, *words: str) -> Answer:
        return await asyncio.to_thread(self.worker.run, words)
