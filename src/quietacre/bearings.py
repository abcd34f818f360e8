"""Bearings and lengths as tables and deeds write them, each with how finely it was written.

Azimuths are degrees clockwise from north, 0 to 360. Units of land come from
``data/land_units.csv``, where each cites its source.
"""

from __future__ import annotations

import functools
import math
import re
from dataclasses import dataclass

from quietacre.shipped import rows

DEG = r"(?:°|º|degrees?|degs?\.?|d\b)"
MINUTE = r"(?:['’′]|minutes?|mins?\.?)"
SECOND = r"(?:[\"”″]|''|’’|seconds?|secs?\.?)"
NUMBER = r"\d+(?:\.\d+)?"
#: Degrees, minutes and seconds with their signs, or parted by dashes, points or spaces.
ANGLE = (
    rf"(?P<deg>{NUMBER})\s*(?:{DEG})?"
    rf"(?:[\s\-]*(?P<min>\d{{1,2}}(?:\.\d+)?)\s*(?:{MINUTE})?"
    rf"(?:[\s\-]*(?P<sec>\d{{1,2}}(?:\.\d+)?)\s*(?:{SECOND})?)?)?"
)
QUADRANT = re.compile(
    rf"\b(?:due\s+)?(?P<ns>north|south|[ns]\b\.?|[ns](?=\s*\d))[\s\-]*{ANGLE}[\s\-]*"
    r"(?P<ew>east|west|[ew])\b\.?",
    re.IGNORECASE,
)
CARDINAL = re.compile(r"\b(?:due\s+)?(?P<way>north|south|east|west)\b", re.IGNORECASE)
LETTER = re.compile(r"\s*(?:due\s+)?(?P<way>[nsew])\.?\s*", re.IGNORECASE)
AZIMUTH = re.compile(rf"\s*(?:az(?:imuth)?\.?\s*)?{ANGLE}\s*", re.IGNORECASE)
CARDINAL_DEG = {"n": 0.0, "e": 90.0, "s": 180.0, "w": 270.0}
QUARTER_DEG, FULL_DEG = 90.0, 360.0
SIXTY = 60.0


@dataclass(frozen=True)
class Bearing:
    """A direction from true or magnetic north, and the step it was written to. [deg]"""

    azimuth_deg: float
    step_deg: float


@dataclass(frozen=True)
class LandUnit:
    """A unit of length on land. [ft] ``source`` is an id of sources.csv."""

    name: str
    words: tuple[str, ...]
    feet: float
    source: str


@functools.cache
def land_units() -> dict[str, LandUnit]:
    """Return the units by each word that stands for one, in small letters."""
    made: dict[str, LandUnit] = {}
    for row in rows("land_units"):
        words = tuple(row["words"].split("|"))
        unit = LandUnit(row["unit"], words, float(row["feet"]), row["source"])
        made |= dict.fromkeys(words, unit)
    return made


def step_of(number: str) -> float:
    """Return the step that a number is written to: 0.1 for "12.5", 1 for "12"."""
    return 10.0 ** -len(number.partition(".")[2])


def bearing_from(match: re.Match[str]) -> Bearing | None:
    """Return the bearing of a match of QUADRANT or AZIMUTH; None for one that cannot be."""
    degrees, minutes, seconds = (match[name] for name in ("deg", "min", "sec"))
    if any(part is not None and float(part) >= SIXTY for part in (minutes, seconds)):
        return None
    angle = float(degrees) + float(minutes or 0) / SIXTY + float(seconds or 0) / SIXTY**2
    if seconds is not None:
        step = step_of(seconds) / SIXTY**2
    elif minutes is not None:
        step = step_of(minutes) / SIXTY
    else:
        step = step_of(degrees)
    if "ns" not in match.re.groupindex:
        return Bearing(angle % FULL_DEG, step) if angle <= FULL_DEG else None
    if angle > QUARTER_DEG:
        return None
    south, west = match["ns"][0].lower() == "s", match["ew"][0].lower() == "w"
    azimuth = 180.0 - angle if south else angle
    return Bearing((-azimuth if west else azimuth) % FULL_DEG, step)


def read_bearing(text: str) -> Bearing | None:
    """Return the bearing that a cell holds: "123.5", "N 45°30' E", "S6-15W", "due west".

    None when it holds anything else, or an angle that cannot be.
    """
    text = text.strip()
    if (match := QUADRANT.fullmatch(text)) or (match := AZIMUTH.fullmatch(text)):
        return bearing_from(match)
    if (match := CARDINAL.fullmatch(text)) or (match := LETTER.fullmatch(text)):
        return Bearing(CARDINAL_DEG[match["way"][0].lower()], 0.0)
    return None


def quadrant_words(azimuth_deg: float) -> str:
    """Return an azimuth as a deed writes it: "N 45°30'15" E", "S 6°15' W", "due east"."""
    azimuth_deg %= FULL_DEG
    for name, degrees in (
        ("north", 0.0),
        ("east", 90.0),
        ("south", 180.0),
        ("west", 270.0),
    ):
        if math.isclose(azimuth_deg, degrees, abs_tol=1e-7):
            return f"due {name}"
    south, west = 90.0 < azimuth_deg < 270.0, azimuth_deg > 180.0  # noqa: PLR2004 - quarters
    angle = azimuth_deg if not (south or west) else abs(
        180.0 - azimuth_deg if south else FULL_DEG - azimuth_deg
    )  # fmt: skip
    seconds = round(angle * SIXTY**2)
    degrees, rest = divmod(seconds, int(SIXTY**2))
    minutes, seconds = divmod(rest, int(SIXTY))
    fine = f"{degrees}°" + (f"{minutes:02d}'" if minutes or seconds else "")
    fine += f'{seconds:02d}"' if seconds else ""
    return f"{'S' if south else 'N'} {fine} {'W' if west else 'E'}"


def cell_bearing(azimuth_deg: float) -> str:
    """Return an azimuth as a table's cell holds it, to be read back: "N 45 30 15 E", "due east".

    One that is written finer than a second stays in degrees.
    """
    words = " ".join(re.sub(r"[°'\"]", " ", quadrant_words(azimuth_deg)).split())
    read = read_bearing(words)
    if read is not None and math.isclose(
        read.azimuth_deg, azimuth_deg % FULL_DEG, abs_tol=1e-6
    ):
        return words
    return f"{azimuth_deg:.6f}".rstrip("0").rstrip(".")
