"""``quietacre photo``: photographs into the folder, with the line that names each."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._log_edge import (
    WAIT,
    again,
    ask,
    day_done,
    known_area,
    tell_written,
    writer_of,
)
from quietacre.errors import BadInput, FileProblem
from quietacre.figures import figure
from quietacre.logbook import LOG, PHOTOS
from quietacre.units import FT_M

if TYPE_CHECKING:
    import datetime as dt

    from quietacre.edit.photos import Near
    from quietacre.intake.photo import Photo

NAMED = 3
#: Longest side of a small copy. [pixels]
SHARED_PX = 1024


@dataclass(frozen=True)
class _Meant:
    """A photograph with what its line says, or what has to be asked and the answers."""

    photo: Photo
    file: Path
    day: dt.date | None
    area: str | None
    said: str = ""
    asked: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()


@click.command(name="photo")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE…"
)
@click.option("--area", help="The piece of ground it shows (default: where it was taken).")
@click.option(
    "--on", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY",
    help="The day it was taken (default: what the camera says).",
)  # fmt: skip
@click.option("--note", help="What there is to see.")
@click.option("--who", help="Who took it.")
@click.option(
    "--share", type=click.Path(path_type=Path, file_okay=False), metavar="FOLDER",
    help="Write a small copy there too, of bare pixels: no place, no day, no camera.",
)  # fmt: skip
@click.option("--any-area", is_flag=True, help="Take a name that property.toml has not.")
@WAIT
@click.option("--json", "as_json", is_flag=True, help="Print what was kept as JSON.")
@fail_cleanly
def command(
    folder: Path, files: tuple[Path, ...], area: str | None, on: dt.datetime | None,
    note: str | None, who: str | None, share: Path | None, wait_s: float | None, *,
    any_area: bool, as_json: bool,
) -> None:  # fmt: skip
    """Keep photographs in DIR/photos and write a line into DIR/log.csv for each.

    The original is copied byte for byte and never written over. Its day and its place
    are read from it; what it does not say, or cannot be, is asked: nothing is kept then.
    """
    from quietacre.edit.photos import take_in
    from quietacre.intake.photo import read_photo

    writer = writer_of(folder, wait_s)
    place = None if area is None else known_area(folder, area, any_area=any_area)
    photos = [(path, read_photo(path, shown=str(path))) for path in files]
    meant = _meant(folder, photos, place, None if on is None else day_done(on))
    _ask_first(meant)
    copies = _small_copies(meant, share)
    kept = []
    for one in meant:
        for doubt in one.photo.notes:
            say(doubt.marked, err=True)
        if one.said:
            say(one.said, err=True)
        cells = {"date": str(one.day), "area": one.area or "", "note": note, "who": who}
        done = take_in(writer, one.photo, {k: v for k, v in cells.items() if v})
        kept.append({
            "file": str(one.file), "photo": f"{PHOTOS}/{done.name}", "date": str(one.day),
            "area": one.area, "was_there": done.was_there,
            "line": dict(done.written.lines[0]) if done.written.lines else None,
        })  # fmt: skip
        if not as_json:
            copied = "is there already, as" if done.was_there else "kept as"
            line = "" if done.written.lines else f"; {LOG} names it already"
            say(f"{one.file}: {copied} {PHOTOS}/{done.name}; {one.area}, {one.day}{line}")
        if done is not None and one is meant[-1]:
            tell_written(folder, done.written)
    _write_copies(copies)
    if as_json:
        emit({"photos": kept, "shared": [str(path) for path in copies]})


def _meant(
    folder: Path, photos: list[tuple[Path, Photo]], area: str | None, day: dt.date | None
) -> list[_Meant]:
    """Return each photograph with its day and place, or with what has to be asked."""
    from quietacre.edit.photos import doubt_of_day, first_year, ground_near
    from quietacre.intake.plain_settings import plain_settings
    from quietacre.measure.property import measure_property

    today, first = day_done(None), 0
    if day is None:
        first = first_year(_log(folder), plain_settings(folder) or {}, today)
    areas: Any = None
    trouble = ""
    if area is None and any(photo.lon is not None for _, photo in photos):
        try:
            areas = measure_property(folder).areas
        except BadInput as problem:
            trouble = (
                f" (where the ground lies cannot be read: {problem.marked})".splitlines()[0]
            )
    out = []
    for path, photo in photos:
        asked: list[str] = []
        doubt = doubt_of_day(photo, first, today) if day is None else None
        if doubt:
            asked.append(doubt)
        near = ground_near(areas, photo) if areas is not None else []
        chosen, how = (area, "") if area is not None else _place_of(photo, near)
        if chosen is None:
            asked.append(_no_place(photo, near) + trouble)
        best = day or photo.taken or photo.gps_day
        if best is not None and best > today:
            best = None
        places = [chosen] if chosen else [one.area for one in near[:NAMED]] or ["NAME"]
        answers = [
            again(files=path, on=best or "DAY", area=name) for name in places if asked
        ]
        out.append(_Meant(photo, path, day or photo.taken, chosen, how,
                          tuple(asked), tuple(answers)))  # fmt: skip
    return out


def _place_of(photo: Photo, near: list[Near]) -> tuple[str | None, str]:
    """Return the piece of ground a photograph was taken on, None unless it is one alone."""
    if photo.error_m is None or not near:
        return None, ""
    inside = [one for one in near if one.distance_m == 0.0]
    close = [one for one in near if 0.0 < one.distance_m <= photo.error_m]
    if len(inside) > 1 or (not inside and len(close) != 1):
        return None, ""
    chosen, *_ = inside or close
    others = [one for one in close if one is not chosen]
    off = "" if inside else f", {_feet(chosen.distance_m)} off it"
    also = ", ".join(f"“{one.area}” is {_feet(one.distance_m)} off" for one in others)
    how = f"; {also}, and the place may be {_feet(photo.error_m)} off" if also else ""
    if not off and not how:
        return chosen.area, ""
    return chosen.area, (
        f"{photo.source}: taken on “{chosen.area}”{off}{how}; --area says otherwise"
    )


def _feet(length_m: float) -> str:
    return figure(length_m / FT_M, "ft", 0)


def _no_place(photo: Photo, near: list[Near]) -> str:
    """Return why no piece of ground is the one a photograph shows."""
    if photo.lon is None:
        return "does not say where it was taken"
    inside = [one.area for one in near if one.distance_m == 0.0]
    if inside:
        return (
            "was taken where " + " and ".join(f"“{name}”" for name in inside) + " overlap"
        )
    if not near:
        return "was taken at a place nothing is known of"
    return (
        f"was taken {_feet(near[0].distance_m)} from the nearest ground, "
        f"“{near[0].area}” (± {_feet(photo.error_m or 0.0)})"
    )


def _ask_first(meant: list[_Meant]) -> None:
    """End with 2 and the commands to type when any photograph leaves something open."""
    open_ones = [one for one in meant if one.asked]
    if not open_ones:
        return
    clear = [one.file for one in meant if not one.asked]
    words = [f"{one.file}: " + "; ".join(one.asked) for one in open_ones]
    answers = [answer for one in open_ones for answer in one.answers]
    if clear:
        answers.append(again(files=clear))
    ask(
        "\n".join([*words, "nothing was kept; type, with the right day and place:"]),
        answers,
    )


def _small_copies(meant: list[_Meant], share: Path | None) -> dict[Path, bytes]:
    """Return the small copies to write, none over another file."""
    if share is None:
        return {}
    from quietacre.export.photo import bare_jpeg
    from quietacre.filenames import safe_name
    from quietacre.intake.photo import small_pixels

    share.mkdir(parents=True, exist_ok=True)  # before anything is kept
    copies: dict[Path, bytes] = {}
    for one in meant:
        path = share / safe_name(f"{one.file.stem}-small.jpg")
        if path in copies or path.exists():
            raise FileProblem(
                "is there already",
                fix="name another folder to share from",
                source=str(path),
            )
        copies[path] = bare_jpeg(
            small_pixels(one.photo.data, SHARED_PX, shown=str(one.file))
        )
    return copies


def _write_copies(copies: dict[Path, bytes]) -> None:
    from quietacre.export.atomic import write_atomic

    for path, data in copies.items():
        write_atomic(path, data)
        say(f"to share: {shlex.quote(str(path))} (pixels alone)", err=True)


def _log(folder: Path) -> Any:  # noqa: ANN401
    from quietacre.edit.journal import read
    from quietacre.edit.logtext import read_log_text

    return read_log_text(read(folder, LOG) or b"")
