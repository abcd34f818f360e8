"""The year turns: a year that is over is closed, and the days of the next season are set."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from starlette.responses import JSONResponse

from quietacre.desk.answers import NOT_THERE, no, words_of
from quietacre.desk.said import for_desk
from quietacre.intake.years import corrected_on, kept_folders
from quietacre.kept_years import YEARS

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.state import Desk, Handler
    from quietacre.report_json.report import ReportJson


class DayOffered(TypedDict):
    """The day offered for the next season of a planting; None where no day will do."""

    area: str
    mix: str | None
    day: str | None
    text: str


class KeptTold(TypedDict):
    """A year that is kept, or a correction of it, by its folder; ``map`` is where its map is."""

    name: str
    year: int
    corrected: str | None
    map: str | None


class Turning(TypedDict):
    """The year that can be closed, None without one, and the days offered for the next."""

    to_close: int | None
    offers: list[DayOffered]


def kept_told(desk: Desk) -> list[KeptTold]:
    """Return the years of the open place that are kept, the newest first."""
    assert desk.folder is not None  # noqa: S101 - asked for an open place
    told: list[KeptTold] = []
    for name in reversed(kept_folders(desk.folder)):
        path, shown = desk.folder / YEARS / name / "map.html", f"map-of-{name}.html"
        there = path.is_file()
        if there:
            desk.made[shown] = path
        told.append(
            {
                "name": name, "year": int(name[:4]), "corrected": corrected_on(name),
                "map": f"/paper/{desk.papers}/{shown}" if there else None,
            }
        )  # fmt: skip
    return told


def turning(report: ReportJson, folder: Path, this_year: int) -> Turning:
    """Return the year that can be closed, and the plantings whose next day is offered.

    ``report`` is that of the last build, which may be of an earlier year than ``this_year``.
    """
    years, year_now = report.get("years"), report.get("year")
    lived = [years.get("to_close") if years else None]
    this = years.get("this") if years else None
    whole = this.get("whole") if this else None
    if this and whole and whole.get("jobs"):
        lived.append(this.get("year"))
    kept = {name[:4] for name in kept_folders(folder)}
    open_ = [
        year for year in lived
        if isinstance(year, int) and year < this_year and str(year) not in kept
    ]  # fmt: skip
    offers: list[DayOffered] = [
        {
            "area": row.get("area"),
            "mix": row.get("mix"),
            "day": row.get("day"),
            "text": for_desk(row.get("text") or ""),
        }
        for row in (year_now.get("offers", ()) if year_now else ())
    ]
    return {"to_close": max(open_, default=None), "offers": offers}


async def close(desk: Desk, request: Request) -> Response:
    """Keep a year that is over."""
    asked = await words_of(request)
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    answer = await desk.run(
        "close", str(desk.folder), "--json", "--", str(asked.get("year") or "")
    )
    return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)


async def next_(desk: Desk, _request: Request) -> Response:
    """Set the days offered for the next season."""
    if desk.folder is None:
        return no("no place is open", NOT_THERE)
    answer = await desk.run("next", str(desk.folder), "--write", "--json")
    return no(answer.err.strip()) if answer.code else JSONResponse(answer.data)


#: Address under /api, method, and what answers.
ROUTES: tuple[tuple[str, str, Handler], ...] = (
    ("close", "POST", close),
    ("next", "POST", next_),
)
