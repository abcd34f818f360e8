"""How ground looks in a desktop GIS: Styled Layer Descriptor 1.1 documents.

References
----------
"Styled Layer Descriptor Profile of the Web Map Service", OGC 05-078r4, 2007, and
"Symbology Encoding", OGC 05-077r4, 2006. Only marks named there are used, so that any
program that reads the standard draws them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.export.plat import INK, RED, RGB, SOFT
from quietacre.kinds import KINDS, Kind

if TYPE_CHECKING:
    from collections.abc import Iterable

SLD_TYPE = "application/vnd.ogc.sld+xml; version=1.1.0"
SPACES = (
    'xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" '
    'xmlns:ogc="http://www.opengis.net/ogc"'
)
#: The standard's own marks, nearest to what the page draws.
MARKS = {"dot": "circle", "plus": "cross", "tree": "triangle", "wave": "star", "cross": "x"}
HATCHED = {-35: "triangle", 45: "x", 90: "square", 0: "square"}
#: Colour, width [px] and dashes of the layers that are lines or outlines.
LINES: dict[str, tuple[RGB, float, str | None]] = {
    "boundary": (INK, 2.0, "12 5 2 5"),
    "previous": (KINDS["patch"].line_rgb, 2.0, "3 5"),
    "weak": (RED, 5.0, "7 4"),
    "passes": (KINDS["strip"].line_rgb, 1.0, None),
    "taped": (INK, 1.5, "2 4"),
    "walks": ((29, 63, 138), 1.5, "1 4"),
    "readings": ((13, 71, 61), 1.5, "8 3"),
    "bands": (SOFT, 0.5, None),
}


def hex_color(color: RGB) -> str:
    """Return a colour as #rrggbb."""
    return "#{:02x}{:02x}{:02x}".format(*color)


def ground_sld(layer: str) -> str:
    """Return the style of a layer of ground: a rule for each value of its column kind."""
    return _document(layer, [_kind_rule(kind, look) for kind, look in KINDS.items()])


def line_sld(layer: str) -> str:
    """Return the style of one of the layers named in ``LINES``."""
    color, width, dash = LINES[layer]
    stroke = _stroke(color, width, dash)
    symbol = f"<se:LineSymbolizer>{stroke}</se:LineSymbolizer>"
    return _document(layer, [f"<se:Rule><se:Name>{layer}</se:Name>{symbol}</se:Rule>"])


def _document(layer: str, rules: Iterable[str]) -> str:
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<StyledLayerDescriptor version="1.1.0" {SPACES}>\n'
        f"<NamedLayer><se:Name>{layer}</se:Name><UserStyle><se:Name>{layer}</se:Name>\n"
        "<se:FeatureTypeStyle>\n" + "\n".join(rules) + "\n</se:FeatureTypeStyle>\n"
        "</UserStyle></NamedLayer>\n</StyledLayerDescriptor>\n"
    )


def _kind_rule(kind: str, look: Kind) -> str:
    mark = MARKS.get(look.sign or "")
    if mark is None and look.hatch is not None:
        mark = HATCHED[int(look.hatch)]
    stroke = _stroke(look.line_rgb, 1.5, None)
    symbols = [
        f"<se:PolygonSymbolizer><se:Fill>{_svg('fill', look.fill)}</se:Fill>"
        f"{stroke}</se:PolygonSymbolizer>"
    ]
    if mark is not None:
        symbols.append(
            "<se:PolygonSymbolizer><se:Fill><se:GraphicFill><se:Graphic><se:Mark>"
            f"<se:WellKnownName>{mark}</se:WellKnownName>"
            f"<se:Fill>{_svg('fill', look.line)}</se:Fill></se:Mark>"
            "<se:Size>5</se:Size></se:Graphic></se:GraphicFill></se:Fill>"
            "</se:PolygonSymbolizer>"
        )
    return (
        f"<se:Rule><se:Name>{look.word}</se:Name><ogc:Filter><ogc:PropertyIsEqualTo>"
        f"<ogc:PropertyName>kind</ogc:PropertyName><ogc:Literal>{kind}</ogc:Literal>"
        f"</ogc:PropertyIsEqualTo></ogc:Filter>{''.join(symbols)}</se:Rule>"
    )


def _stroke(color: RGB, width: float, dash: str | None) -> str:
    parts = [_svg("stroke", hex_color(color)), _svg("stroke-width", f"{width:g}")]
    if dash:
        parts.append(_svg("stroke-dasharray", dash))
    return f"<se:Stroke>{''.join(parts)}</se:Stroke>"


def _svg(name: str, value: str) -> str:
    return f'<se:SvgParameter name="{name}">{value}</se:SvgParameter>'
