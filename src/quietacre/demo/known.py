"""The sample's ground that is known otherwise than by a walk: pins, a tape, a deed, a drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.demo.formats import INVENTED, geojson
from quietacre.demo.ground import lonlat

if TYPE_CHECKING:
    from quietacre.demo.ground import Ring

#: Corners as the phone marked each, some feet off; two marks of the third.
BRIER_PINS: Ring = [
    (-398, 1392),
    (-196, 1404),
    (-118, 1262),
    (-123, 1268),
    (-203, 1133),
    (-391, 1147),
]
BRIER_MARKED = "2026-12-06T15:{minute:02d}:00Z"
#: A ring round what a mill left, drawn on the picture from above.
SAWDUST: Ring = [
    (-892, -688),
    (-806, -702),
    (-768, -640),
    (-800, -578),
    (-874, -570),
    (-912, -622),
]
#: Legs of a hand compass and a tape.
SPRING_TAPE = """bearing,distance,unit,slope_pct,back_bearing,note
84,118.4,ft,,264,invented sample data
171.5,96.0,ft,4,351.5,
262,112.6,ft,,82,
347.5,100.3,ft,,167.5,
"""
GRAVEYARD_DEED = f"""{INVENTED}
Beginning at a stone south of the camp road, thence N 88 E 7 poles to a cedar;
thence S 3 E 6 poles to a stone; thence S 88 W 7 poles to a stake;
thence N 3 W 6 poles to the point of beginning, containing 0.26 acres.
"""


def known_files() -> dict[str, str]:
    """Return the pins, the table of legs, the deed and the drawing, by path."""
    return {
        "known/brier-corner-pins.gpx": _pins(),
        "known/spring-head-tape.csv": SPRING_TAPE,
        "known/graveyard-deed.txt": GRAVEYARD_DEED,
        "drawn/sawdust-pile.geojson": geojson([("Sawdust pile", "keepout", SAWDUST)]),
    }


def _pins() -> str:
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="invented sample" '
        'xmlns="http://www.topografix.com/GPX/1/1">',
        f"  <metadata><desc>{INVENTED}</desc></metadata>",
    ]
    for number, (x, y) in enumerate(BRIER_PINS):
        lon, lat = lonlat(x, y)
        at = BRIER_MARKED.format(minute=4 + 3 * number)
        lines.append(
            f'  <wpt lat="{lat:.7f}" lon="{lon:.7f}"><time>{at}</time>'
            f"<name>Brier {number + 1}</name></wpt>"
        )
    return "\n".join([*lines, "</gpx>\n"])
