"""The year turns: a year that is over is closed, and the days of the next season are set."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from starlette.responses import JSONResponse

from quietacre.desk.answers import NOT_THERE, no, words_of
from quietacre.desk.said import for_desk
from quietacre.intake.years import kept_folders

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


class Turning(TypedDict):
    """The year that can be closed, None without one, and the days offered for the next."""

    to_close: int | None
    offers: list[DayOffered]


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
