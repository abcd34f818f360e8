"""The map page: one file that opens from disk and asks for nothing.

folium draws the skeleton from constants only, because what it renders is rendered
once more as a template. Everything a person typed goes in afterwards, as escaped
JSON that our own script shows as text. Leaflet comes out of an installed package.
"""

from __future__ import annotations

import base64
import functools
import hashlib
import json
import re
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import folium
import numpy as np
import shapely

from quietacre import figures, kinds
from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.thin import thinned
from quietacre.page.leaflet import leaflet_parts
from quietacre.page.look_into import look_words
from quietacre.page.notes import parts_of, words_for_page
from quietacre.page.pack import packed, whole_text
from quietacre.page.side_lengths import sides
from quietacre.page.ticks import ticks_data
from quietacre.page.why import HOURS, SUMS, why_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    import geopandas as gpd

#: Coordinates go out as whole millionths of a degree, each told from the one before: a
#: tenth of a metre is more than any receiver knows.
STEPS_PER_DEG = 1_000_000
#: The page's own script, in the order it is put together.
SCRIPTS = (
    "unpack.js", "data.js", "figures.js", "elements.js", "words.js", "ticks.js", "boxes.js", "jobs.js",
    "chart.js", "names.js", "tape.js", "ledger.js", "surveys.js", "why.js", "seen.js", "card.js", "year.js",
    "hours.js", "years.js", "sums.js", "paper.js",
)  # fmt: skip
#: Columns of each layer that the page shows.
LAYER_COLUMNS = {
    "areas": ("id",),
    "strips": ("id", "of", "kind"),
    "weak": ("id", "of", "reason"),
    "passes": ("of",),
    "walks": ("id",),
    "readings": ("id", "what"),
    "bands": ("id",),
    "removed": ("id", "cause"),
    "previous": ("id", "on"),
    "boundary": (),
    "waypoints": ("name",),
    "taped": ("name",),
}
#: Keys of the report that the page never shows.
UNSHOWN = frozenset({
    "schema", "version", "stations", "uid", "settings", "half_width_pct", "windows", "reverse",
    "extra_passes", "remedies", "days", "weekends", "conflicts", "each", "ideal", "after",
    "to_move", "done_lb_ac", "asked_lb_ac", "asked_of", "given_lb_ac", "surplus_lb_ac", "effective_days", "code",
})  # fmt: skip
#: The same, where a key of that name is shown elsewhere: the key of the list, and its own.
UNSHOWN_IN = frozenset({
    ("seed", "source"), ("seed", "pass"), ("seed", "seeds_ft2"), ("seed", "rate_lb_ac"),
    ("terms", "source"), ("tasks", "reason"), ("tasks", "task"), ("guidance", "source"),
    ("keeping", "keep"), ("keeping", "rid_often"), ("keeping", "rid_monthly"), ("keeping", "nests"),
    ("years", "this"), ("years", "last"), ("years", "kept"), ("report", "ticks"), ("property", "place_id"), ("property", "own_id"),
})  # fmt: skip
PLACES = frozenset({"lon", "lat"})


def render_page(
    report: Mapping[str, Any],
    layers: Mapping[str, gpd.GeoDataFrame],
    *,
    units: str = "us",
    under: Mapping[str, Any] | None = None,
    tiles: Mapping[str, Any] | None = None,
) -> str:
    """Return the whole page.

    Parameters
    ----------
    report : what report.json holds.
    layers : EPSG:4326 frames by name.
    units : "us" or "metric": what the page shows first.
    under : a picture laid under the map, from ``page.under.laid_under``; None without.
    tiles : ``url``, ``credit`` and ``most_zoom`` of a tile service the person asked for;
        the page may then ask that host, and no other, for pictures. None without.
    """
    shown = {
        name: features(layers[name], columns)
        for name, columns in LAYER_COLUMNS.items()
        if name in layers and len(layers[name])
    }
    if "passes" in shown:
        shown["passes"] = _together(shown["passes"])
    data = {
        "report": slim(_own_notes(report), "report"),
        "look": look_words(report),
        "words": words_for_page(),
        "units": units,
        "kinds": kinds.for_page(),
        "figures": figures.for_page(),
        "layers": shown,
        "sides": _sides(layers),
        "ticks": ticks_data(report),
        "under": under,
        "tiles": tiles,
    }
    data = packed([data])
    return _assemble(escaped_json(data), _host(tiles["url"]) if tiles else None)


def slim(value: Any, key: str = "") -> Any:  # noqa: ANN401 - any JSON
    """Return a report without what the page never shows, and with shorter numbers.

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
    if not isinstance(value, float):
        return value
    short = round(value, 6) if key in PLACES else float(f"{value:.7g}")
    return int(short) if short.is_integer() else short


def _own_notes(report: Mapping[str, Any]) -> dict[str, Any]:
    """Return a report whose pieces' notes leave out a name and place that are the piece's."""
    data = {
        **report,
        "notes": [_told(note) for note in report["notes"]],
        "why_sums": SUMS,
        "why_hours": HOURS,
    }
    tasks = (report.get("year") or {}).get("tasks", ())
    at = {area["id"]: (area.get("lon"), area.get("lat")) for area in report["areas"]}
    for group, of in (("areas", "name"), ("strips", "area")):
        data[group] = pieces = []
        for piece in report[group]:
            lon, lat = at.get(piece.get("of", piece["id"]), (None, None))
            own = {"feature": piece.get(of), "lon": lon, "lat": lat}

            def short(
                note: Mapping[str, Any], own: Mapping[str, Any] = own
            ) -> dict[str, Any]:
                return {k: v for k, v in _told(note).items() if own.get(k) != v}

            made = {
                **piece,
                "notes": [short(note) for note in piece.get("notes") or ()],
                "why": why_of(piece, tasks),
            }
            if (piece.get("need") or {}).get("notes"):
                notes = [short(note) for note in piece["need"]["notes"]]
                made["need"] = {**piece["need"], "notes": notes}
            pieces.append(made)
    return data


def _told(note: Mapping[str, Any]) -> dict[str, Any]:
    """Return a note as the page shows it: its parts as sentences, without what it has not."""
    parts = parts_of(note)
    parted_note = {**note, **parts._asdict(), "help": list(parts.help)}
    return {k: v for k, v in parted_note.items() if k != "text" and v not in (None, "", [])}


def _together(passes: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the passes of each strip as one record, in the order they are driven."""
    of: dict[str, list[str]] = {}
    for one in passes:
        of.setdefault(one["of"], []).extend(one["lines"])
    return [{"of": key, "lines": lines} for key, lines in of.items()]


def features(frame: gpd.GeoDataFrame, columns: tuple[str, ...]) -> list[dict[str, Any]]:
    """Return the rows of a layer as plain records with thinned, coded geometry."""
    shapes = thinned(frame.geometry.to_numpy())
    records = []
    for row, shape in enumerate(shapes):
        if shape is None or shape.is_empty:
            continue
        record = {
            column: _plain(frame[column].iloc[row]) for column in columns if column in frame
        }
        records.append(record | coded(shape))
    return records


def coded(shape: shapely.Geometry) -> dict[str, Any]:
    """Return a shape as ``polygons``, ``lines`` or ``at``, in steps of a millionth degree.

    Each ring or line is one text of whole numbers: longitude and latitude of its first
    point, then the steps to each next one. Rings leave out the closing point.
    """
    parts = shapely.get_parts(shape)
    if parts[0].geom_type == "Polygon":
        return {
            "polygons": [
                [_steps(shapely.get_coordinates(ring)[:-1]) for ring in _rings(part)]
                for part in parts
            ]
        }
    if parts[0].geom_type == "Point":
        return {"at": _steps(shapely.get_coordinates(parts[0]))}
    return {"lines": [_steps(shapely.get_coordinates(part)) for part in parts]}


def _rings(polygon: shapely.Polygon) -> list[shapely.LinearRing]:
    return [polygon.exterior, *polygon.interiors]


def _steps(xy: np.ndarray) -> str:
    whole = np.round(xy * STEPS_PER_DEG).astype(np.int64)
    keep = np.ones(len(whole), dtype=bool)
    keep[1:] = np.any(np.diff(whole, axis=0) != 0, axis=1)
    whole = whole[keep]
    return whole_text(np.diff(whole, axis=0, prepend=0).ravel().tolist())


def _sides(layers: Mapping[str, gpd.GeoDataFrame]) -> list[dict[str, str]]:
    """Return corners [steps of a millionth degree] and lengths [ft] of each piece."""
    sides_rows: list[dict[str, str]] = []
    pieces = [
        piece
        for name in ("areas", "strips")
        if name in layers
        for piece in zip(layers[name]["id"], layers[name].geometry, strict=True)
        if not piece[1].is_empty
    ]
    if pieces:
        frame = LocalFrame.around([shape for _, shape in pieces])
        for key, shape in pieces:
            side = sides(shape, frame)
            if side is not None:
                corners = np.column_stack([side.lon, side.lat]) * STEPS_PER_DEG
                steps = np.diff(corners.round().astype(np.int64), axis=0, prepend=0)
                table = np.column_stack([steps, side.length_ft.round().astype(np.int64)])
                reach = [round(side.east_ft), round(side.north_ft)]
                sides_rows.append(
                    {"id": key, "told": whole_text([*table.ravel().tolist(), *reach])}
                )
    return sides_rows


def _host(url: str) -> str:
    """Return the scheme and host of a tile address, for the policy."""
    parts = urlsplit(url)
    return f"{parts.scheme}://{parts.netloc}"


def _plain(value: Any) -> Any:  # noqa: ANN401 - a cell
    return value.item() if isinstance(value, np.generic) else value


def escaped_json(data: Any) -> str:  # noqa: ANN401 - any JSON
    """Return JSON that no HTML parser can mistake for markup; never NaN."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    # a lone half of a surrogate pair cannot be written as UTF-8
    text = text.encode("utf-8", "surrogatepass").decode("utf-8", "replace")
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


@functools.cache
def template(name: str) -> str:
    """Return one of the page's own files."""
    return files("quietacre").joinpath(f"page/templates/{name}").read_text(encoding="utf-8")


@functools.cache
def _skeleton() -> str:
    """Return folium's page, without scripts from elsewhere and with fixed ids."""
    chart = folium.Map(
        location=[0, 0],
        zoom_start=2,
        tiles=None,
        zoom_control=False,
        attributionControl=False,
        zoomSnap=0.25,
        maxZoom=22,
        keyboard=True,
    )
    chart.default_js = []
    chart.default_css = []
    chart._id = "ground"  # noqa: SLF001 - folium has no other way to fix an id
    root = chart.get_root()
    root._id = "page"  # noqa: SLF001
    return str(root.render())


def digest(text: str) -> str:
    """Return how a policy names a script or a style by what it holds."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _assemble(data: str, tile_host: str | None) -> str:
    script, style, licence = leaflet_parts()
    page = _skeleton()
    # folium forbids zooming with two fingers; people need it
    page = re.sub(
        r'<meta name="viewport".*?/>',
        '<meta name="viewport" content="width=device-width, initial-scale=1" />',
        page,
        flags=re.DOTALL,
    )
    page = re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
    head, _, rest = page.partition("</head>")
    body, _, tail = rest.partition("</body>")
    folium_script = re.findall(r"<script>(.*?)</script>", tail, flags=re.DOTALL)
    head_scripts = re.findall(r"<script>(.*?)</script>", head, flags=re.DOTALL)
    own_style = template("page.css")
    inside = "".join(template(name) for name in SCRIPTS)
    own_script = f'"use strict";\n(function () {{\n{inside}}})();'
    folium_div = re.search(r'<div class="folium-map".*?</div>', body, flags=re.DOTALL)
    if folium_div is None:  # a folium that draws otherwise: our fault, found by tests
        raise RuntimeError("folium drew no map element")
    markup = template("page.html").replace("<!--MAP-->", folium_div.group(0))
    markup = markup.replace("<!--PATTERNS-->", kinds.svg_patterns())
    styles = [style, own_style]
    scripts = [*head_scripts, script, *folium_script, own_script]
    policy = "; ".join(
        [
            "default-src 'none'",
            "script-src " + " ".join(digest(text) for text in scripts),
            "style-src " + " ".join(digest(text) for text in styles),
            "img-src data:" + (f" {tile_host}" if tile_host else ""),
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )
    return "".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8" />\n',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}" />\n',
            '<meta name="viewport" content="width=device-width, initial-scale=1" />\n',
            "<title>Property map</title>\n",
            f"<!-- Leaflet, inlined below:\n{licence.replace('--', '- -')}\n-->\n",
            *(f"<style>{text}</style>\n" for text in styles),
            *(f"<script>{text}</script>\n" for text in head_scripts),
            f"<script>{script}</script>\n</head>\n<body>\n",
            markup,
            f'\n<script type="application/json" id="ledger-data">{data}</script>\n',
            *(f"<script>{text}</script>\n" for text in (*folium_script, own_script)),
            "</body>\n</html>\n",
        ]
    )
