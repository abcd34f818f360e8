"""What a hand and a screen are good for: how far off a corner put there may be."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypedDict

from quietacre.acreage.live import live_numbers
from quietacre.acreage.series import WGS84_A_M
from quietacre.errors import BadInput
from quietacre.units import reckonable

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.desk.asked import Asked

#: How far off a hand puts a corner, 95 %. Common practice, no source. [CSS pixels]
HAND_PX = 2.0
#: Metres of a pixel of 256-pixel web maps at the equator and zoom 0: the equator of the sphere
#: of web maps, over 256.
PX_M_AT_EQUATOR = 2 * math.pi * WGS84_A_M / 256
#: One press of an arrow moves a corner so far, and with Shift. [ft]
NUDGE_FT, NUDGE_MORE_FT = 1.0, 10.0
#: A preview is asked for no more often. [a second]
MOST_PREVIEW_HZ = 10
#: A drawn corner is never taken for better than this. Ours. [ft]
LEAST_PM_FT = 0.5


class LiveTold(TypedDict):
    """The numbers that acres and lengths are worked out with, as `LiveNumbers` has them."""

    lat_deg: float
    reach_deg: float
    terms: tuple[tuple[int, int, int, float], ...]
    east_ft: tuple[float, ...]
    north_ft: tuple[float, ...]


class FiguresTold(TypedDict):
    """The numbers that the page works with near a latitude.

    How far off a hand is [CSS pixels], how far a press of an arrow moves [ft], how often a
    preview may be asked for [a second], and a pixel of the map at the equator [m].
    """

    live: LiveTold
    hand_px: float
    nudge_ft: float
    nudge_more_ft: float
    most_preview_hz: int
    px_m_at_equator: float


def figures_json(lat_deg: float) -> FiguresTold:
    """Return the numbers the page works with near a latitude."""
    if not abs(lat_deg) <= 89:  # noqa: PLR2004 - degrees of latitude
        raise BadInput(f"{lat_deg:g} is no latitude", fix="give degrees")
    live = live_numbers(lat_deg)
    return {
        "live": {
            "lat_deg": live.lat_deg, "reach_deg": live.reach_deg, "terms": live.terms,
            "east_ft": live.east_ft, "north_ft": live.north_ft,
        },
        "hand_px": HAND_PX,
        "nudge_ft": NUDGE_FT, "nudge_more_ft": NUDGE_MORE_FT,
        "most_preview_hz": MOST_PREVIEW_HZ, "px_m_at_equator": PX_M_AT_EQUATOR,
    }  # fmt: skip


def hand_pm_ft(ft_per_px: float) -> float:
    """Return how far off a hand puts a corner at a scale, 95 %. [ft]"""
    return max(HAND_PX * ft_per_px, LEAST_PM_FT)


def drawn_pm_ft(folder: Path, asked: Asked) -> float | None:
    """Return how far off corners may be that were drawn so; None where no scale is told. [ft]

    Parameters
    ----------
    folder : the property folder, for the picture.
    asked : ``ft_per_px``, feet a pixel of the screen; ``picture``, drawn on, and
        ``picture_was``, what was told of where it lies; ``polygons``.

    Raises
    ------
    BadInput
        The scale is none, or there is no such picture.
    """
    scale = asked.get("ft_per_px")
    if scale is None:
        return None
    if (
        isinstance(scale, bool)
        or not isinstance(scale, (int, float))
        or not reckonable(scale)
    ):
        raise BadInput("the scale of the screen is no number", fix="give feet a pixel")
    if scale <= 0:
        raise BadInput("the scale of the screen is no number", fix="give feet a pixel")
    hand = hand_pm_ft(float(scale))
    if not asked.get("picture"):
        return round(hand, 1)
    from quietacre.desk.pictures import picture_pm_ft

    was = asked.get("picture_was")
    picture = picture_pm_ft(
        folder,
        str(asked["picture"]),
        asked.get("polygons"),
        None if was is None else str(was),
    )
    return round(math.hypot(hand, picture), 1)
