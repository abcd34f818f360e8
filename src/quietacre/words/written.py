"""How a value is written in property.toml, and how the same is typed in a box at the desk."""

from __future__ import annotations

from typing import NamedTuple


class Written(NamedTuple):
    """What a message says of a value, for who writes the file and for who types in a box."""

    in_file: str
    in_box: str


#: What a figure with a greatest value is told, ``{le}`` being that.
AT_MOST = "should be {le:g} or less"
UNQUOTED = Written(", without quotes", "")
QUOTED = Written(", in quotes", "")
DAY = Written(f"write it as 2027-09-26{UNQUOTED.in_file}", "type it as 9/26/2027")
DAY_OR_YEARLY = Written(f"{DAY.in_file}, or as “09-26”", f"{DAY.in_box}, or as 9/26")
MONTH_DAY = Written("month-day, as “05-15”", "a day such as 5/15")
BASIS = Written('"bulk" or "pls"', "the seed as it is in the bag, or pure live seed")
SHARE = Written(AT_MOST.format(le=1), "is more than the whole: type 85 % as 85% or as 0.85")
#: Those that hold another come before it.
ALL = (DAY_OR_YEARLY, DAY, MONTH_DAY, UNQUOTED, QUOTED, BASIS, SHARE)
