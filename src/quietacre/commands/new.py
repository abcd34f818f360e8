"""``quietacre new``: a property folder from the person's own files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.errors import FileProblem, one_line
from quietacre.filenames import safe_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import shapely

    from quietacre.model import Layer

HEAD = """\
# Everything quietacre knows about this property. See docs/property-file.md.
# Lines that start with # are off; take the # away and put your own figures in.

[property]
name = {name}
{line}
# state = "AL"                  # two letters; shows what is known of the vine's law
# region = "upper South"        # or coastal plain, Midwest: whose planting windows hold

[[quiet]]                       # no work inside; both ends inclusive: use your state's dates
name = "nesting"
start = "05-15"
end = "07-03"
keeps_out = "all"
source = "common practice"

[equipment]
mower_width_ft = 6.0
mower_overlap_ft = 0.5
spreader_swath_ft = 20.0
tank_gal = 25.0
spray_gal_ac = 15.0

# ---- areas: kind is plot, patch, native, timber, water, road, keepout or burn ----
# Ground with the vine in it is kind = "patch"; every walk begins as a plot.
# Two walks of one edge are one area: from = ["walks/hill-1.gpx", "walks/hill-2.gpx"]
# The property line is no area: name its file as boundary above, and take its area out.
"""

TAIL = """
# ---- what is sown, and what the soil test asks for ----
# [[mix]]
# name = "fall clover and grain"
# method = "broadcast"
# seed = [
#   { crop = "crimson clover", share = 0.5, purity = 0.98, germination = 0.85 },
#   { crop = "oats", rate_lb_ac = 60.0, basis = "bulk" },
# ]
# [[soil_test]]
# name = "my test"
# ph = 5.6
# lime_ton_ac = 1.0
# lime_basis_ecce_pct = 100
# need_lb_ac = { n = 60, p2o5 = 40, k2o = 60 }
# [[product]]
# grade = "13-13-13"
# bag_lb = 50
# price = 17.5
"""


NO_LINE = '# boundary = "drawn/boundary.geojson"'
#: A polygon by such a name is the property line.
LINE_WORDS = ("boundary", "property line", "parcel")
#: And one without a kind that holds all else, when there is so much of it. Ours.
LEAST_HELD = 3


def toml_text(text: str) -> str:
    """Return a TOML basic string for any text."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _areas(layer: Layer, shown: str) -> Iterator[tuple[str, str, str | None]]:
    """Yield (name, kind, feature) for each area a file would make."""
    stem = Path(shown).stem.replace("_", " ").replace("-", " ").strip() or "area"
    if not len(layer.geometry):
        yield stem.capitalize(), "plot", None
        return
    named = [name for name in layer.name if name]
    if len(layer.geometry) == 1 or len(set(named)) < len(layer.geometry):
        yield named[0] if named else stem.capitalize(), layer.kind[0] or "plot", None
        return
    for name, kind in zip(layer.name, layer.kind, strict=True):
        yield name, kind or "plot", name


def property_line(layers: Mapping[str, Layer]) -> str | None:
    """Return the file that holds the property line, None where none surely does."""
    for file, layer in layers.items():
        if len(layer.geometry) != 1 or layer.tracks or layer.kind[0] or len(layers) == 1:
            continue
        called = f"{Path(file).stem} {layer.name[0]}".casefold().replace("_", " ")
        if any(word in called.replace("-", " ") for word in LINE_WORDS):
            return file
        held = [
            layer.geometry[0].covers(spot)
            for other, found in layers.items() if other != file
            for spot in _spots(found)
        ]  # fmt: skip
        if len(held) >= LEAST_HELD and all(held):
            return file
    return None


def _spots(layer: Layer) -> Iterator[shapely.Point]:
    """Yield a place of each thing that is drawn or walked."""
    import shapely

    yield from (shape.representative_point() for shape in layer.geometry)
    yield from (shapely.Point(t.lon[0], t.lat[0]) for t in layer.tracks if len(t.lon))


def property_text(
    name: str, entries: list[tuple[str, str, str, str | None]], line: str | None = None
) -> str:
    """Return a property.toml of (area, kind, file, feature) entries and the line's file."""
    said = NO_LINE if line is None else f"boundary = {toml_text(line)}"
    parts = [HEAD.format(name=toml_text(name), line=said)]
    for area, kind, file, feature in entries:
        lines = [
            "\n[[area]]",
            f"name = {toml_text(area)}",
            f"kind = {toml_text(kind)}",
            f"from = {toml_text(file)}",
        ]
        if feature is not None and feature != area:
            lines.append(f"feature = {toml_text(feature)}")
        if kind == "plot":
            lines += [
                '# mix = "fall clover and grain"',
                "# plant = 2027-09-25",
                '# soil_test = "my test"',
            ]
        if kind == "patch":
            lines.append('vine = "kudzu"')
        parts.append("\n".join(lines) + "\n")
    return "".join(parts) + TAIL


@click.command(name="new")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE…]")
@click.option("--name", help="Name of the property (default: the folder's).")
@click.option("--json", "as_json", is_flag=True, help="Print what was made as JSON.")
@fail_cleanly
def command(
    folder: Path, files: tuple[Path, ...], name: str | None, *, as_json: bool
) -> None:
    """Start a property folder DIR, with copies of your walks and drawings in it.

    Each file is read first; one that cannot be used stops the whole thing before
    anything is written. Your originals stay where they are.
    """
    from quietacre.export.whole import write_folder
    from quietacre.intake.vector import read_layer
    from quietacre.model import folded

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FileProblem(
            "is already there and not empty", fix="name a new folder", source=str(folder)
        )
    copies: dict[str, bytes] = {}
    kept: set[str] = set()
    layers: dict[str, Layer] = {}
    shown: dict[str, str] = {}
    taken: set[str] = set()
    for path in files:
        layer = read_layer(path, shown=str(path))
        if not len(layer.geometry) and not layer.tracks:
            raise FileProblem(
                "holds no edge to measure", fix="leave this file out", source=str(path)
            )
        if path.suffix.lower() == ".shp":
            raise FileProblem(
                "a bare shapefile is several files",
                fix="zip its .shp, .shx, .dbf and .prj together and give the zip",
                source=str(path),
            )
        home = "drawn" if len(layer.geometry) else "walks"
        target = f"{home}/{safe_name(path.name)}"
        if target.casefold() in kept:  # many systems take them for one
            raise FileProblem(
                "two files have this name", fix="rename one of them", source=path.name
            )
        kept.add(target.casefold())
        copies[target] = path.read_bytes()
        layers[target] = layer
        shown[target] = path.name
    line = property_line(layers)
    entries: list[tuple[str, str, str, str | None]] = []
    for target, layer in layers.items():
        if target == line:
            continue
        for area, kind, feature in _areas(layer, shown[target]):
            label, number = area, 2
            while folded(label) in taken:
                label, number = f"{area} {number}", number + 1
            taken.add(folded(label))
            entries.append(
                (label, kind, target, feature or (area if label != area else None))
            )
    title = name or folder.resolve().name
    made: dict[str, bytes | str] = {
        **copies,
        "property.toml": property_text(title, entries, line),
    }
    write_folder(folder, made, rooms=("walks", "drawn"))
    result = {
        "folder": str(folder),
        "areas": [{"name": e[0], "kind": e[1], "from": e[2]} for e in entries],
        "boundary": line,
    }
    if as_json:
        emit(result)
        return
    say(f"{folder}: {len(entries)} areas in property.toml")
    for area, kind, file, _feature in entries:
        say(one_line(f"  {area} ({kind}) from {file}"))
    if line is not None:
        say(
            one_line(f"  the property line from {line}; if it is none, make it an [[area]]")
        )
    say(f"Now open {folder / 'property.toml'}, then: quietacre build {folder}")
