"""``quietacre advance``: how far the vine's edge moved between two surveys."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, keep_inputs, say, words
from quietacre.figures import figure

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    import shapely

    from quietacre.model import Cell
    from quietacre.strip.advance import Advance


@click.command(name="advance")
@click.argument("old", type=click.Path(path_type=Path), metavar="OLD")
@click.argument("new", type=click.Path(path_type=Path), metavar="NEW")
@click.option("--on-old", type=click.DateTime(["%Y-%m-%d"]), help="Day of the old survey.")
@click.option("--on-new", type=click.DateTime(["%Y-%m-%d"]), help="Day of the new survey.")
@click.option(
    "--strip",
    "strip_file",
    type=click.Path(path_type=Path),
    help="File with the strip: has the vine crossed it?",
)
@click.option(
    "--layer-old", metavar="NAME", help="Read this layer alone of OLD, a GeoPackage."
)
@click.option(
    "--layer-new", metavar="NAME", help="Read this layer alone of NEW, a GeoPackage."
)
@click.option(
    "--out", type=click.Path(path_type=Path),
    help="Write both edges, and what lies beyond the strip, to this .geojson or .gpkg.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    old: Path, new: Path, on_old: dt.datetime | None, on_new: dt.datetime | None,
    strip_file: Path | None, layer_old: str | None, layer_new: str | None, out: Path | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """How far the patch edge moved from OLD to NEW, by side; outward is positive.

    Says plainly when the two surveys cannot see so small a movement.
    """
    from quietacre.commands.strip import edge_of, survey
    from quietacre.export.layer_file import check_ending, write_layer
    from quietacre.strip.advance import advance

    keep_inputs((old, new, *((strip_file,) if strip_file else ())), out)
    check_ending(out)
    before, before_sigma = survey(old, layer_old)
    after, after_sigma = survey(new, layer_new)
    moved = advance(
        before,
        after,
        old_on=on_old.date() if on_old else None,
        new_on=on_new.date() if on_new else None,
        old_sigma_m=before_sigma,
        new_sigma_m=after_sigma,
        strip=edge_of(strip_file) if strip_file else None,
    )
    if out is not None:
        write_layer(out, "advance", _features(before, after, moved))
    if as_json:
        emit(moved.figures())
        return
    _tell(moved, with_strip=strip_file is not None)
    if out is not None:
        say(f"edges: {out}")


def _tell(moved: Advance, *, with_strip: bool) -> None:
    """Say how far the edge moved, on each side too, and what lies beyond the strip."""
    say(moved.text)
    say(
        f"  acres: {moved.change.text}"
        + ("" if moved.change.seen else " (cannot be told from no change)")
    )
    for sector in moved.sectors:
        mean = words(figure(sector.mean_ft, "ft", 1, sign=True))
        most = words(figure(sector.most_ft, "ft", 1, sign=True, bare=True))
        likely = figure(
            sector.low_ft, "ft", 0, to=sector.high_ft, joined=" to ", sign=True, bare=True
        )
        say(
            f"  {sector.direction:>2}: {mean:>9} on average, {most:>6} at its farthest; nine "
            f"times in ten {likely}"
            + ("" if sector.seen else " (cannot be told from no movement)")
        )
    if with_strip:
        say(
            "the vine has crossed the strip: treat what is outside it now"
            if not moved.breach.is_empty
            else "nothing beyond the strip, as far as these walks can tell"
        )
    for place in moved.breaches:
        say(
            f"  breach on the {place.direction} side, {figure(place.acres, 'ac measured')}, at "
            f"{place.lat:.6f}, {place.lon:.6f}"
        )


def _features(
    old: shapely.Geometry, new: shapely.Geometry, moved: Advance
) -> list[tuple[Mapping[str, Cell], shapely.Geometry]]:
    """Return both edges and each piece of vine beyond the strip, with their acres."""
    import numpy as np
    import shapely

    from quietacre.acreage.equal_area import area_m2
    from quietacre.units import ACRE_M2

    named = [("old edge", old), ("new edge", new)]
    named += [("beyond the strip", part) for part in shapely.get_parts(moved.breach)]
    shapes = [shape for _, shape in named]
    acres = area_m2(np.array([*shapes, None], dtype=object)[:-1]) / ACRE_M2
    return [
        ({"name": name, "acres": float(size)}, shape)
        for (name, shape), size in zip(named, acres, strict=True)
    ]
