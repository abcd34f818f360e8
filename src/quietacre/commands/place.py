"""``quietacre place``: a picture laid on the ground by points."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, keep_inputs, say
from quietacre.errors import BadInput, FileProblem

if TYPE_CHECKING:
    import numpy as np

    from quietacre.boundary.placing import Placed

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
    help="How far off a pair may be, 95 %; used when only two are given.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False),
    help="Name of the copy; beside the picture, with -placed in its name, when left out.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    picture: Path, pairs: tuple[str, ...], *, affine: bool, point_pm_ft: float,
    out: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Lay PICTURE on the ground by points, and say how far off an edge drawn on it may be.

    Writes a copy with a world file beside it; the picture itself is never changed. What the fit
    leaves over at its own points says little of other places (with two pairs it is nothing), so
    the error predicted where you draw is told instead: put it into property.toml as edge_pm_ft.
    """
    import numpy as np

    from quietacre.boundary.placing import place_picture
    from quietacre.chance import CIRCULAR_95
    from quietacre.export.whole import write_whole
    from quietacre.intake.limits import check_file
    from quietacre.intake.picture import MAX_PICTURE_BYTES, picture_size
    from quietacre.units import FT_M

    check_file(picture, str(picture), MAX_PICTURE_BYTES)
    world = WORLD_FILE.get(picture.suffix.lower())
    if world is None:
        raise FileProblem(
            f"pictures ending in “{picture.suffix}” are not placed", fix="save it as PNG or JPEG",
            source=str(picture),
        )  # fmt: skip
    width, height = picture_size(picture, str(picture))
    pixels, lat, lon = _pairs(pairs, width, height)
    system, east, north = _metres(lat, lon)
    placed = place_picture(
        pixels.tolist(), np.column_stack([east, north]).tolist(),
        fit="affine" if affine else None, point_sigma_m=point_pm_ft * FT_M / CIRCULAR_95,
    )  # fmt: skip
    wrong = None if placed.wrong is None else pairs[placed.wrong]
    out = out or picture.with_name(f"{picture.stem}-placed{picture.suffix}")
    beside = out.with_suffix(world)
    keep_inputs([picture], out, beside)
    write_whole(out, picture.read_bytes())
    write_whole(beside, _world_file(placed))
    low_ft, high_ft = _errors_ft(placed, pixels, width, height)
    if as_json:
        emit({
            "out": str(out), "world_file": str(beside), "picture_crs": system, "fit": placed.fit,
            "edge_pm_ft": low_ft, "edge_pm_at_corners_ft": high_ft, "wrong": wrong,
        })  # fmt: skip
        return
    say(
        f"{out}, with {beside.name} beside it\n"
        f"an edge drawn between the points may be off by {low_ft:.0f} ft, in the picture's corners by "
        f"{high_ft:.0f} ft (95 %)\n"
        f'in property.toml: [map] picture = "{out.name}", picture_crs = "{system}"; and edge_pm_ft = '
        f"{low_ft:.0f} for an area drawn on it"
    )
    if wrong is not None:
        say(
            f"note: the pair {wrong} disagrees with all others; look at it and place it again."
        )


def _pairs(
    pairs: tuple[str, ...], width: int, height: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return places on the picture (n, 2) and their latitudes and longitudes."""
    import numpy as np

    rows = []
    for text in pairs:
        match = PAIR.fullmatch(text)
        if match is None:
            raise BadInput(
                f"“{text[:60]}” is not a pair", fix="write it as 120,340=33.2012,-86.3007",
                source="--at",
            )  # fmt: skip
        x, y, lat, lon = map(float, match.groups())
        if not (0 <= x <= width and 0 <= y <= height):
            raise BadInput(
                f"{x:g},{y:g} lies off the picture", fix=f"it has {width} by {height} pixels",
                source="--at",
            )  # fmt: skip
        if abs(lat) > 84 or abs(lon) > 180:  # noqa: PLR2004 - the zones end there
            raise BadInput(
                f"{lat:g},{lon:g} is no place", fix="write latitude first", source="--at"
            )
        rows.append((x, y, lat, lon))
    table = np.array(rows)
    return table[:, :2], table[:, 2], table[:, 3]


def _metres(lat: np.ndarray, lon: np.ndarray) -> tuple[str, np.ndarray, np.ndarray]:
    """Return the zone of the first place, and all places in its metres."""
    from pyproj import Transformer

    zone = int((lon[0] + 180.0) // 6.0) % 60 + 1
    system = f"EPSG:{(32_600 if lat[0] >= 0 else 32_700) + zone}"
    east, north = Transformer.from_crs("EPSG:4326", system, always_xy=True).transform(
        lon, lat, errcheck=True
    )
    return system, east, north


def _world_file(placed: Placed) -> bytes:
    """Return the six lines of a world file: the middle of the first pixel last."""
    (a, b, c), (d, e, f) = placed.matrix.tolist()
    middle = (c + (a + b) / 2.0, f + (d + e) / 2.0)
    return "".join(f"{value:.10f}\n" for value in (a, d, b, e, *middle)).encode()


def _errors_ft(
    placed: Placed, pixels: np.ndarray, width: int, height: int
) -> tuple[float, float]:
    """Return the 95 % radius between the points, and in the picture's corners. [ft]"""
    import numpy as np

    from quietacre.chance import CIRCULAR_95, Z95
    from quietacre.units import FT_M

    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float)
    inside = np.vstack([pixels, pixels.mean(axis=0)])
    to_radius = CIRCULAR_95 / Z95 / FT_M
    return (
        float(placed.pm_m(inside).max() * to_radius),
        float(placed.pm_m(corners).max() * to_radius),
    )
