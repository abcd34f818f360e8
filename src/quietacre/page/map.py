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
from importlib.metadata import files as package_files
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import folium
import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Mapping

    import geopandas as gpd

LEAFLET = "django-js-lib-leaflet"
#: A tenth of a metre: more than any receiver knows.
DECIMALS = 6
#: Columns of each layer that the page shows.
LAYER_COLUMNS = {
    "areas": ("id",),
    "strips": ("id", "of", "kind"),
    "weak": ("id", "of", "reason"),
    "walks": ("id",),
    "bands": ("id",),
    "removed": ("id", "cause"),
    "previous": ("id", "on"),
    "boundary": (),
    "waypoints": ("name",),
}


def render_page(
    report: Mapping[str, Any], layers: Mapping[str, gpd.GeoDataFrame], *, units: str = "us"
) -> str:
    """Return the whole page.

    Parameters
    ----------
    report : what report.json holds.
    layers : EPSG:4326 frames by name.
    units : "us" or "metric": what the page shows first.
    """
    data = {
        "report": report,
        "units": units,
        "layers": {
            name: features(layers[name], columns)
            for name, columns in LAYER_COLUMNS.items()
            if name in layers and len(layers[name])
        },
    }
    return _assemble(escaped_json(data))


def features(frame: gpd.GeoDataFrame, columns: tuple[str, ...]) -> list[dict[str, Any]]:
    """Return the rows of a layer as plain records with rounded geometry."""
    shapes = shapely.transform(frame.geometry.to_numpy(), lambda xy: np.round(xy, DECIMALS))
    records = []
    for row, shape in enumerate(shapes):
        if shape is None or shape.is_empty:
            continue
        record = {column: _plain(frame[column].iloc[row]) for column in columns}
        record["geometry"] = shapely.geometry.mapping(shape)
        records.append(record)
    return records


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
def _template(name: str) -> str:
    return files("quietacre").joinpath(f"page/templates/{name}").read_text(encoding="utf-8")


@functools.cache
def _leaflet() -> tuple[str, str, str]:
    """Return Leaflet's script, its style with pictures inside, and its licence."""
    found = {path.name: path for path in package_files(LEAFLET) or ()}
    script = found["leaflet.js"].read_text(encoding="utf-8")
    # the map of the minified source would be one more thing to ask for
    script = re.sub(r"//# sourceMappingURL=\S+", "", script)
    style = found["leaflet.css"].read_text(encoding="utf-8")

    def inline(match: re.Match[str]) -> str:
        name = match.group(1).strip("'\"").rpartition("/")[2]
        if not name.endswith(".png"):
            return "none"
        data = base64.b64encode(found[name].read_binary()).decode()
        return f"url(data:image/png;base64,{data})"

    style = re.sub(r"url\(([^)]+)\)", inline, style)
    return script, style, found["LICENSE"].read_text(encoding="utf-8")


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


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _assemble(data: str) -> str:
    script, style, licence = _leaflet()
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
    own_style, own_script = _template("page.css"), _template("page.js")
    folium_div = re.search(r'<div class="folium-map".*?</div>', body, flags=re.DOTALL)
    if folium_div is None:  # a folium that draws otherwise: our fault, found by tests
        raise RuntimeError("folium drew no map element")
    markup = _template("page.html").replace("<!--MAP-->", folium_div.group(0))
    styles = [style, own_style]
    scripts = [*head_scripts, script, *folium_script, own_script]
    policy = "; ".join(
        [
            "default-src 'none'",
            "script-src " + " ".join(_digest(text) for text in scripts),
            "style-src " + " ".join(_digest(text) for text in styles),
            "img-src data:",
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
