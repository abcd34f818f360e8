"""Twenty invented years of rain and temperatures for the sample; no such station.

Wet days follow wet days more often than dry ones, fall is the driest part of the year and
cold comes in spells: enough that odds and freezes are worth looking at.
"""

from __future__ import annotations

import datetime as dt
import math
import random

FIRST, LAST = dt.date(2007, 1, 1), dt.date(2027, 1, 1)
SEED = 2007
MEAN_F, SWING_F, NOISE_F, DAY_SWING_F = 60.0, 19.0, 6.0, 11.5
WARMEST_DAY = 203
#: Chance of rain on a day after a dry and after a wet one, by month, January first.
AFTER_DRY = (0.25, 0.25, 0.26, 0.24, 0.22, 0.22, 0.24, 0.19, 0.15, 0.14, 0.20, 0.25)
AFTER_WET = (0.46, 0.45, 0.45, 0.43, 0.42, 0.42, 0.44, 0.40, 0.38, 0.36, 0.42, 0.46)
MEAN_IN = 0.40
TRACE_IN = 0.005


def weather_csv() -> str:
    """Return a line a day: date, inches, low and high, and on the first a note."""
    rng = random.Random(SEED)  # noqa: S311 - invented data, not a secret
    lines = ["date,inches,low_f,high_f,note"]
    wet, spell_f = False, 0.0
    for number in range((LAST - FIRST).days + 1):
        day = FIRST + dt.timedelta(days=number)
        wet = rng.random() < (AFTER_WET if wet else AFTER_DRY)[day.month - 1]
        inches = rng.expovariate(1 / MEAN_IN) if wet else 0.0
        spell_f = 0.7 * spell_f + 0.71 * rng.gauss(0.0, NOISE_F)
        turn = 2 * math.pi * (day.timetuple().tm_yday - WARMEST_DAY) / 365.25
        middle = MEAN_F + SWING_F * math.cos(turn) + spell_f
        half = DAY_SWING_F - (4.0 if wet else 0.0)
        fell = "T" if 0 < inches < TRACE_IN else f"{inches:.2f}" if inches else "0"
        note = ",invented: no such station" if number == 0 else ""
        lines.append(f"{day},{fell},{middle - half:.0f},{middle + half:.0f}{note}")
    return "\n".join(lines) + "\n"
