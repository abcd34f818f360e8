"""Magnetic declination from the World Magnetic Model, on the days that it holds.

References
----------
World Magnetic Model 2025, National Centers for Environmental Information and British Geological
Survey, 2024; its coefficients and formulas come with the package pygeomag.
"""

from __future__ import annotations

import calendar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt

#: 95 % is so many of the model's own standard error. Common practice.
PM_TIMES = 2.0


def declination_at(lat: float, lon: float, on: dt.date) -> tuple[float, float] | None:
    """Return the declination at sea level and its ±, east positive. [deg]

    None on days for which the model was not made.
    """
    from pygeomag import GeoMag

    model = GeoMag(coefficients_file="wmm/WMM_2025.COF")
    days = 366 if calendar.isleap(on.year) else 365
    year = on.year + (on.timetuple().tm_yday - 1) / days
    first, last = model.life_span
    if not first <= year < last:
        return None
    field = model.calculate(glat=lat, glon=lon, alt=0.0, time=year)
    return float(field.d), PM_TIMES * float(field.calculate_uncertainty().d)
