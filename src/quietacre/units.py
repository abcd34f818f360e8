"""Unit conversions: the one place where a factor between units is written.

Lengths and areas use the international foot (0.3048 m exactly), so an acre is
4046.8564224 m². The US survey foot was deprecated from 2022-12-31 [1]_; files
that declare it are converted by their own reference system.

References
----------
.. [1] "Deprecation of the United States (U.S.) Survey Foot", Federal Register
   85 FR 62698, NIST and NGS, 2020.
.. [2] "U.S. Survey Foot: Revised Unit Conversion Factors", NIST, n.d.
"""

from __future__ import annotations

FT_M = 0.3048  # exact [2]
US_SURVEY_FT_M = 1200 / 3937  # exact [2]
MILE_FT = 5280.0
MILE_M = MILE_FT * FT_M
CHAIN_FT = 66.0
ACRE_FT2 = 43_560.0
ACRE_M2 = ACRE_FT2 * FT_M**2  # 4046.8564224
US_SURVEY_ACRE_M2 = ACRE_FT2 * US_SURVEY_FT_M**2
HECTARE_M2 = 10_000.0
LB_KG = 0.45359237  # exact, international avoirdupois pound
SHORT_TON_LB = 2000.0
LB_OZ = 16.0
GAL_FL_OZ = 128.0
QT_FL_OZ = 32.0
PT_FL_OZ = 16.0
GAL_L = 3.785411784  # exact, 231 cubic inches
KG_LB = 1 / LB_KG
TONNE_LB = 1000 / LB_KG
L_FL_OZ = GAL_FL_OZ / GAL_L
HOUR_MIN = 60.0
MPH_FT_MIN = 88.0
IN_M = 0.0254
MM_PER_IN = 25.4
ACRE_HR_FT_MPH = 8.25  # acres per hour = ft × mph × efficiency / 8.25 (43,560 / 5,280)

#: Beyond these no land, purse or tank has a figure; sums with them end in infinity.
MOST_NUMBER, LEAST_NUMBER = 1e9, 1e-9


def reckonable(value: float) -> bool:
    """Return whether a number is one that amounts can be worked out with."""
    return value == 0 or LEAST_NUMBER <= abs(value) <= MOST_NUMBER  # false for NaN


def m2_to_ac(area_m2: float) -> float:
    """Return acres for square metres; works on arrays too."""
    return area_m2 / ACRE_M2


def ac_to_m2(area_ac: float) -> float:
    """Return square metres for acres; works on arrays too."""
    return area_ac * ACRE_M2


def m_to_ft(length_m: float) -> float:
    """Return international feet for metres; works on arrays too."""
    return length_m / FT_M


def ft_to_m(length_ft: float) -> float:
    """Return metres for international feet; works on arrays too."""
    return length_ft * FT_M


def f_to_c(temp_f: float) -> float:
    """Return degrees Celsius for degrees Fahrenheit; works on arrays too."""
    return (temp_f - 32.0) / 1.8


def c_to_f(temp_c: float) -> float:
    """Return degrees Fahrenheit for degrees Celsius; works on arrays too."""
    return temp_c * 1.8 + 32.0
