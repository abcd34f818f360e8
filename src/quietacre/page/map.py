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
from typing import TYPE_CHECKING, Any, TypedDict
from urllib.parse import urlsplit

import folium

from quietacre import kinds
from quietacre.page.figures_of_page import figures_for_page
from quietacre.page.layers import shown_layers, side_rows
from quietacre.page.leaflet import leaflet_parts
from quietacre.page.look_into import look_words
from quietacre.page.notes import words_for_page
from quietacre.page.pack import packed
from quietacre.page.report_data import report_data
from quietacre.page.ticks import ticks_data
from quietacre.words.growth import growth_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    import geopandas as gpd

    from quietacre.page.underlay import LaidUnder
    from quietacre.report_records import Report

#: The page's own script, in the order it is put together.
SCRIPTS = (
    "unpack.js", "data.js", "figures.js", "elements.js", "words.js", "ticks.js", "boxes.js", "jobs.js",
    "chart.js", "names.js", "tape.js", "ledger.js", "surveys.js", "why.js", "seen.js", "card.js", "year.js",
    "hours.js", "years.js", "sums.js", "paper.js",
)  # fmt: skip


class TileService(TypedDict):
    """A service of map pictures, as the page's script reads it: where it is, and its thanks."""

    url: str
    credit: str | None
    most_zoom: int


def render_page(
    report: Report,
    layers: Mapping[str, gpd.GeoDataFrame],
    *,
    units: str = "us",
    under: LaidUnder | None = None,
    tiles: TileService | None = None,
) -> str:
    """Return the whole page.

    Parameters
    ----------
    report : everything that was planned.
    layers : EPSG:4326 frames by name.
    units : "us" or "metric": what the page shows first.
    under : a picture laid under the map, from ``page.underlay.laid_under``; None without.
    tiles : a tile service the person asked for; the page may then ask that host, and no
        other, for pictures. None without.
    """
    data = packed([{
        "report": report_data(report),
        "look": look_words(report),
        "words": words_for_page(),
        "units": units,
        "kinds": kinds.for_page(),
        "figures": figures_for_page(),
        "growth": {name: one.word for name, one in growth_words().items()},
        "layers": shown_layers(layers),
        "sides": side_rows(layers),
        "ticks": ticks_data(report),
        "under": under,
        "tiles": tiles,
    }])  # fmt: skip
    return _assemble(escaped_json(data), _host(tiles["url"]) if tiles else None)


def _host(url: str) -> str:
    """Return the scheme and host of a tile address, for the policy."""
    parts = urlsplit(url)
    return f"{parts.scheme}://{parts.netloc}"


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
