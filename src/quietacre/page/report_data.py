"""What the page's script reads of a report: made of its records here, and nowhere else."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from quietacre.as_json import marked, plain
from quietacre.page.notes import parts_of
from quietacre.page.why import HOURS, SUMS, why_of
from quietacre.short_names import short_names
from quietacre.words.for_reader import for_reader

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from quietacre.as_json import JsonObject
    from quietacre.model import Note
    from quietacre.report_records import Piece, Report
    from quietacre.year.records import YearTask

#: Keys of the report that the page never shows.
UNSHOWN = frozenset({
    "schema", "version", "stations", "uid", "settings", "half_width_pct", "windows", "reverse",
    "extra_passes", "remedies", "weekends", "conflicts", "each", "ideal", "after",
    "to_move", "done_lb_ac", "asked_lb_ac", "asked_of", "given_lb_ac", "surplus_lb_ac", "effective_days", "code",
})  # fmt: skip
#: The same, where a key of that name is shown elsewhere: the key of the list, and its own.
UNSHOWN_IN = frozenset({
    ("seed", "source"), ("seed", "pass"), ("seed", "seeds_ft2"), ("seed", "rate_lb_ac"),
    ("terms", "source"), ("tasks", "reason"), ("tasks", "task"), ("guidance", "source"),
    ("keeping", "keep"), ("keeping", "rid_often"), ("keeping", "rid_monthly"), ("keeping", "nests"),
    *((key, "days") for key in ("advance", "central", "intervals", "low", "moves", "pieces",
                                "plantings", "stress", "whole", "year")),
    ("years", "this"), ("years", "last"), ("years", "kept"), ("report", "ticks"), ("property", "place_id"), ("property", "own_id"),
})  # fmt: skip
#: Most letters of a name on the map.
MOST_ON_MAP = 40
PLACES = frozenset({"lon", "lat"})


def report_data(report: Report) -> JsonObject:
    """Return a report as the page's script reads it, why each figure is so among it."""
    whole: JsonObject = plain(replace(report, areas=(), strips=(), notes=()), marked)
    tasks = report.year.tasks
    at = {area.id: (area.lon, area.lat) for area in report.areas}
    short = short_names([area.name for area in report.areas], MOST_ON_MAP)
    called: dict[str, JsonObject] = {
        name: {"called": cut} for name, cut in short.items() if cut != name
    }
    strips = []
    for strip in report.strips:
        wanted = strip.ring.wanted
        strips.append(_with_why(strip, tasks, wanted.area, at.get(wanted.of)))
    made: JsonObject = slim(
        whole
        | {
            "areas": [
                _with_why(one, tasks, one.name, at[one.id]) | called.get(one.name, {})
                for one in report.areas
            ],
            "strips": strips,
            "notes": [_told(note) for note in report.notes],
            "why_sums": SUMS,
            "why_hours": HOURS,
        },
        "report",
    )
    return made


def slim(value: Any, key: str = "") -> Any:  # noqa: ANN401 - any JSON
    """Return a report without what the page never shows, for its reader, with shorter numbers.

    Places keep six decimals of a degree, all else seven digits.
    """
    if isinstance(value, dict):
        return {
            k: slim(v, k)
            for k, v in value.items()
            if k not in UNSHOWN and (key, k) not in UNSHOWN_IN
        }
    if isinstance(value, list):
        return [slim(item, key) for item in value]
    if isinstance(value, str):  # one word is a name of a file, or a word for programs
        return for_reader(value) if " " in value else value
    if not isinstance(value, float):
        return value
    short = round(value, 6) if key in PLACES else float(f"{value:.7g}")
    return int(short) if short.is_integer() else short


def _with_why(
    piece: Piece, tasks: Sequence[YearTask], name: str, lon_lat: tuple[float, float] | None
) -> JsonObject:
    """Return a piece of ground with why its figures are so, its notes without its own name."""
    lon, lat = lon_lat or (None, None)
    own = {"feature": name, "lon": lon, "lat": lat}

    def short(notes: Iterable[Note]) -> list[JsonObject]:
        told = map(_told, notes)
        return [{k: v for k, v in one.items() if own.get(k) != v} for one in told]

    made: JsonObject = plain(piece, marked)
    made |= {"notes": short(piece.notes), "why": plain(why_of(piece, tasks), marked)}
    if piece.need and piece.need.notes:
        made["need"] = {**plain(piece.need, marked), "notes": short(piece.need.notes)}
    return made


def _told(note: Note) -> JsonObject:
    """Return a note as the page shows it: its parts as sentences, without what it has not."""
    parts: JsonObject = plain(parts_of(note)._asdict(), marked)
    told = plain(note, marked) | parts
    return {k: v for k, v in told.items() if k != "text" and v not in (None, "", [])}
