"""``quietacre place``: a picture laid on the ground by points."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, keep_inputs, say
from quietacre.errors import BadInput, FileProblem, placed

if TYPE_CHECKING:
    from quietacre.boundary.laid_picture import LaidPicture
    from quietacre.boundary.placing import Fit

NUMBER = r"\s*(-?\d+(?:\.\d+)?)\s*"
PAIR = re.compile(rf"{NUMBER},{NUMBER}={NUMBER},{NUMBER}")
#: Name of the world file beside each kind of picture. Common practice, no source.
WORLD_FILE = {
    ".png": ".pgw",
    ".jpg": ".jgw",
    ".jpeg": ".jgw",
    ".tif": ".tfw",
    ".tiff": ".tfw",
}


@click.command(name="place")
@click.argument("picture", type=click.Path(path_type=Path))
@click.option(
    "--at", "pairs", multiple=True, required=True, metavar="X,Y=LAT,LON",
    help="A place on the picture (pixels from its upper left) and the same on the ground; again "
    "for each pair, well apart.",
)  # fmt: skip
@click.option(
    "--affine", is_flag=True, help="Let the picture lean too; needs four pairs or more."
)
@click.option(
    "--point-pm-ft", type=click.FloatRange(min=0, min_open=True), default=20.0, show_default=True,
    help="How far off a pair may be, 95 %: all there is to go by with two; with four or more it tells a wrong one.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False),
    help="Name of the copy; beside the picture, with -placed in its name, when left out.",
)  # fmt: skip
@click.option(
    "--keep", type=click.Path(path_type=Path, file_okay=False), metavar="DIR",
    help="Keep it and its pairs in this property folder, to draw on at the desk.",
)  # fmt: skip
@click.option(
    "--on-map", is_flag=True, help="With --keep, lay it under the finished map too."
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    picture: Path, pairs: tuple[str, ...], *, affine: bool, point_pm_ft: float,
    out: Path | None, keep: Path | None, on_map: bool, as_json: bool,
) -> None:  # fmt: skip
    """Lay PICTURE on the ground by points, and say how far off an edge drawn on it may be.

    Writes a copy with a world file beside it; the picture itself is never changed. What the fit
    leaves over at its own points says little of other places (with two pairs it is nothing), so
    the error predicted where you draw is told instead: put it into property.toml as edge_pm_ft.
    """
    from quietacre.boundary.laid_picture import lay_picture
    from quietacre.intake.limits import check_file
    from quietacre.intake.picture import MAX_PICTURE_BYTES, picture_size

    check_file(picture, str(picture), MAX_PICTURE_BYTES)
    world = WORLD_FILE.get(picture.suffix.lower())
    if world is None:
        raise FileProblem(
            f"pictures ending in “{picture.suffix}” are not placed", fix="save it as PNG or JPEG",
            source=str(picture),
        )  # fmt: skip
    width, height = picture_size(picture, str(picture))
    fit: Fit | None = "affine" if affine else None
    with placed("--at", ""):
        laid = lay_picture(_pairs(pairs), width, height, fit=fit, point_pm_ft=point_pm_ft)
    if keep is not None:
        if out is not None:
            raise BadInput(
                "--keep and --out are two places", fix="give one", source="--out"
            )
        _keep(keep, picture, laid, fit, point_pm_ft, on_map=on_map, as_json=as_json)
        return
    out = out or picture.with_name(f"{picture.stem}-placed{picture.suffix}")
    _write(picture, out, out.with_suffix(world), laid, pairs, as_json=as_json)


def _write(
    picture: Path, out: Path, beside: Path, laid: LaidPicture, pairs: tuple[str, ...], *,
    as_json: bool,
) -> None:  # fmt: skip
    """Write a copy of the picture and its world file, and say how far off it may be."""
    from quietacre.export.atomic import write_atomic

    keep_inputs([picture], out, beside)
    write_atomic(out, picture.read_bytes())
    write_atomic(beside, laid.world_file())
    low_ft, high_ft = laid.errors_ft()
    wrong, by_north = (
        None if row is None else pairs[row]
        for row in (laid.placed.wrong, laid.wrong_if_north_up)
    )
    if as_json:
        emit({
            "out": str(out), "world_file": str(beside), "picture_crs": laid.system,
            "fit": laid.placed.fit, "edge_pm_ft": low_ft, "edge_pm_at_corners_ft": high_ft,
            "wrong": wrong, "wrong_if_north_up": by_north,
        })  # fmt: skip
        return
    say(f"{out}, with {beside.name} beside it")
    for line in laid.words():
        say(line)
    say(
        f'in property.toml: [map] picture = "{out.name}", picture_crs = "{laid.system}"; and edge_pm_ft = '
        f"{low_ft:.0f} for an area drawn on it"
    )


def _keep(
    folder: Path, picture: Path, laid: LaidPicture, fit: Fit | None, point_pm_ft: float, *,
    on_map: bool, as_json: bool,
) -> None:  # fmt: skip
    """Keep the picture and its pairs in a property folder, and say so."""
    from quietacre.edit.pictures import keep_picture

    kept = keep_picture(
        folder, picture.name, picture.read_bytes(), laid, WORLD_FILE[picture.suffix.lower()],
        fit=fit, point_pm_ft=point_pm_ft, on_map=on_map,
    )  # fmt: skip
    tell_recovered(kept.step.recovered if kept.step else ())
    if as_json:
        step = step_record(kept.step) if kept.step else None
        emit(
            {"picture": kept.picture, "on_map": on_map, "said": laid.words(), "step": step}
        )
        return
    say(kept.picture + (", laid under the map" if on_map else ", seen at the desk alone"))
    for line in laid.words():
        say(f"  {line}")
    say(how_back(folder) if kept.step else "it stood so already; nothing was written")


def _pairs(pairs: tuple[str, ...]) -> list[tuple[float, float, float, float]]:
    """Return column and row on the picture, longitude and latitude of each pair."""
    rows = []
    for text in pairs:
        match = PAIR.fullmatch(text)
        if match is None:
            raise BadInput(
                f"“{text[:60]}” is not a pair", fix="write it as 120,340=33.2012,-86.3007",
                source="--at",
            )  # fmt: skip
        x, y, lat, lon = map(float, match.groups())
        rows.append((x, y, lon, lat))
    return rows
