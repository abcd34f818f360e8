"""What a value of property.toml may be: its range, its form and its words."""

from __future__ import annotations

import contextlib
import datetime as dt
import re
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MinLen
from pydantic import Field, ValidatorFunctionWrapHandler, WrapValidator
from pydantic_core import PydanticCustomError

from quietacre.days import no_such_day
from quietacre.words import written

Positive = Annotated[float, Gt(0.0)]
NotNegative = Annotated[float, Ge(0.0)]
Fraction = Annotated[float, Ge(0.0), Le(1.0)]
PositiveFraction = Annotated[float, Gt(0.0), Le(1.0)]
Percent = Annotated[float, Ge(0.0), Le(100.0)]
Count = Annotated[int, Ge(0)]
#: Longer than any job waits; a date so far off is surely a slip of the pen.
Days = Annotated[int, Ge(0), Le(1000)]
DaysBefore = Annotated[int, Ge(-1000), Le(1000)]
Word = Annotated[str, MinLen(1)]
MONTH_DAY = r"^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"
MonthDay = Annotated[str, Field(pattern=MONTH_DAY)]
ISO_DAY = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"


def _day_or_month_day(value: object, _: ValidatorFunctionWrapHandler) -> dt.date | str:
    """Return a date, or a month-day as it stands; all else is told in one sentence."""
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value
    if isinstance(value, str) and re.fullmatch(MONTH_DAY, value):
        return value
    if isinstance(value, str) and re.fullmatch(ISO_DAY, value):
        with contextlib.suppress(ValueError):
            return dt.date.fromisoformat(value)
    if isinstance(value, str) and (none := no_such_day(value)):
        raise PydanticCustomError("no_such_day", none)
    raise PydanticCustomError(
        "plant_day",
        f"is neither a date nor a month-day; {written.DAY_OR_YEARLY.in_file} for a day that comes back "
        "each year",
    )


#: A day, or a month-day that comes back each year.
PlantDay = Annotated[dt.date | MonthDay, WrapValidator(_day_or_month_day)]
STATE = r"^[A-Z]{2}$"
State = Annotated[str, Field(pattern=STATE)]
Paths = str | tuple[str, ...]
#: Nothing but an address: it also goes into the page's security policy.
TILES = r"^https://[A-Za-z0-9.-]+(:[0-9]+)?/[A-Za-z0-9._~/{}?=&%+@-]+$"
TileAddress = Annotated[str, Field(pattern=TILES)]
EVERY = r"^[1-9][0-9]? (year|years|month|months)$"
Every = Annotated[str, Field(pattern=EVERY)]

#: How each text that has a form is written, for messages.
FORMS = {
    MONTH_DAY: written.MONTH_DAY.in_file,
    STATE: "two capital letters",
    TILES: "an address that begins with https:// and holds {z}, {x} and {y}, without spaces or "
    "quotes, as “https://tiles.example.org/{z}/{x}/{y}.png”",
    EVERY: "a length of time, as “3 years” or “6 months”",
}

Fed = Literal["soil test", "maintenance", "removal", "none"]
#: What stands over a walk.
Sky = Literal["open", "canopy"]
AreaKind = Literal["plot", "patch", "native", "timber", "water", "road", "keepout", "burn"]

#: Columns of planting windows in the crop table.
Region = Literal["upper South", "coastal plain", "Midwest"]

STRICT = {"extra": "forbid"}
