"""The kinds of ground: their words, colors and patterns, for page, paper, phone and GIS."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True)
class Kind:
    """How a kind of ground is named and drawn.

    ``line`` and ``fill`` are colors as "#rrggbb". On paper and in a GIS ``hatch`` is
    degrees of lines, or None, and ``sign`` a small mark set on a grid. On screen
    ``tile`` is what an SVG pattern of ``tile_px`` by ``tile_px`` (or width and height)
    repeats, drawn in ``tile_color``, turned by ``turn`` degrees.
    """

    word: str
    line: str
    fill: str
    tile_color: str
    tile_px: tuple[int, int]
    tile: str
    turn: int = 0
    hatch: float | None = None
    sign: str | None = None

    @property
    def line_rgb(self) -> tuple[int, int, int]:
        """Return the line's color as red, green, blue."""
        return rgb(self.line)

    @property
    def fill_rgb(self) -> tuple[int, int, int]:
        """Return the fill's color as red, green, blue."""
        return rgb(self.fill)


def rgb(color: str) -> tuple[int, int, int]:
    """Return red, green and blue of "#rrggbb"."""
    red, green, blue = bytes.fromhex(color[1:])
    return red, green, blue


#: What property.toml may name, then what is made: a strip and a firebreak.
KINDS = {
    "plot": Kind(
        "plot", "#6b4d00", "#f2dfa6", "#8a6508", (9, 9),
        '<path d="M0 2H9M0 6.5H9" stroke="{color}" stroke-width="1.1"/>', 35, hatch=-35,
    ),
    "patch": Kind(
        "vine patch", "#4a1f54", "#d9c4dd", "#5b2a66", (12, 12),
        '<path d="M3 6q2-4 4 0q-2 4-4 0M9 12q2-4 4 0M9 0q2 4 4 0" fill="{color}"/>', sign="dot",
    ),
    "native": Kind(
        "native browse", "#425a17", "#dfe7c4", "#57702a", (10, 10),
        '<path d="M5 2.5v5M2.5 5h5" stroke="{color}" stroke-width="1.2"/>', sign="plus",
    ),
    "timber": Kind(
        "timber", "#234229", "#c3d2c0", "#2f5138", (14, 14),
        '<path d="M3.5 10l3-6 3 6z M10.5 3l1.8-3 1.8 3z M-3.5 3l1.8-3 1.8 3z" fill="none" '
        'stroke="{color}" stroke-width="1"/>', sign="tree",
    ),
    "water": Kind(
        "water", "#194a63", "#cfe2ea", "#23607e", (14, 8),
        '<path d="M0 4q3.5-3 7 0t7 0" fill="none" stroke="{color}" stroke-width="1.2"/>',
        sign="wave",
    ),
    "road": Kind(
        "road", "#4b463c", "#d8d3c8", "#6d665a", (10, 10),
        '<circle cx="3" cy="3" r="1" fill="{color}"/>'
        '<circle cx="8" cy="7.5" r="1" fill="{color}"/>',
    ),
    "keepout": Kind(
        "keep out", "#34322d", "#eeeae2", "#4c4942", (11, 11),
        '<path d="M3 3l5 5M8 3l-5 5" stroke="{color}" stroke-width="1.2"/>', sign="cross",
    ),
    "burn": Kind(
        "burn block", "#7b2c12", "#f0d3c4", "#94391c", (10, 10),
        '<path d="M0 3H5M5 8H10" stroke="{color}" stroke-width="1.5"/>', -45, hatch=45,
    ),
    "strip": Kind(
        "mowed strip", "#8c2760", "#f7eef4", "#a0366f", (7, 7),
        '<path d="M3.5 0V7" stroke="{color}" stroke-width="1.4"/>', hatch=90,
    ),
    "firebreak": Kind(
        "firebreak", "#5f2a12", "#ead9cc", "#7a3a1c", (7, 7),
        '<path d="M0 3.5H7" stroke="{color}" stroke-width="1.6"/>', hatch=0,
    ),
}  # fmt: skip
#: A quiet season on a band of the year.
QUIET = Kind(
    "quiet", "#6d5f93", "#ded8ea", "#6d5f93", (6, 6),
    '<path d="M0 1.5H6" stroke="{color}" stroke-width="1"/>', 45, hatch=45,
)  # fmt: skip
#: Kinds of ground that have a field sheet of their own.
WORKED = ("plot", "patch", "native", "burn", "strip", "firebreak")
#: The property line, text and small marks.
INK = "#23261f"


def svg_patterns() -> str:
    """Return an SVG pattern for each kind, with the id "pat-" and its name."""
    return "\n".join(
        f'<pattern id="pat-{name}" width="{kind.tile_px[0]}" height="{kind.tile_px[1]}" '
        'patternUnits="userSpaceOnUse"'
        + (f' patternTransform="rotate({kind.turn})"' if kind.turn else "")
        + f'><rect width="{kind.tile_px[0]}" height="{kind.tile_px[1]}" fill="{kind.fill}"/>'
        + kind.tile.replace("{color}", kind.tile_color)
        + "</pattern>"
        for name, kind in {**KINDS, "quiet": QUIET}.items()
    )


def for_page() -> dict[str, list[str]]:
    """Return word and line color of each kind, as the page's script reads them."""
    return {name: [kind.word, kind.line] for name, kind in KINDS.items()}


#: Between the names of patches whose strips grew together.
AND = " + "


def strip_name(patches: Sequence[str]) -> str:
    """Return the name of the strip round some patches."""
    return f"{AND.join(patches)} strip"


def patches_of_strip(name: str) -> list[str]:
    """Return the names of the patches that a strip's name holds, empty of another name."""
    patches, end, rest = name.rpartition(" strip")
    return patches.split(AND) if end and not rest else []
