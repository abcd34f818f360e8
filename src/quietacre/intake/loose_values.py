"""Values of property.toml that the checker of types would let pass or mend without a word.

A number in quotes, true for 1, a time for its day, a number that is none, a year far off.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import functools
import re
import types
import typing
from typing import TYPE_CHECKING, Any

from quietacre.days import no_such_day
from quietacre.intake.faults import NO_DATE, with_a_point
from quietacre.intake.key_names import BARE_KEY, KEYS, key_path
from quietacre.intake.limits import MAX_NESTING
from quietacre.units import reckonable
from quietacre.words.written import UNQUOTED
from quietacre.workweek import FIRST_YEAR, LAST_YEAR

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping


ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def unfit_values(document: Mapping[str, object]) -> Iterator[str]:
    """Yield a fault for each number that is none and date too far, or for too deep nesting."""
    left: list[tuple[tuple[int | str, ...], object]] = [((), document)]
    while left:
        loc, value = left.pop()
        if len(loc) > MAX_NESTING:
            yield "nests too deep"
            return
        if (
            isinstance(value, (int, float))
            and not isinstance(value, bool)
            and not reckonable(value)
        ):
            shown = str(value)[:24]  # "g" cannot show a whole number of 400 digits
            yield f"{key_path(loc)}: {shown} is not a number to reckon with; type a plain one"
        elif isinstance(value, dt.date) and not FIRST_YEAR <= value.year <= LAST_YEAR:
            yield f"{key_path(loc)}: {value} is no year to plan in; check it"
        elif isinstance(value, dict):
            left += [((*loc, key), item) for key, item in value.items()]
        elif isinstance(value, list):
            left += [((*loc, number), item) for number, item in enumerate(value)]


def loose_types(value: Any, hint: Any, path: str) -> Iterator[str]:  # noqa: ANN401
    """Yield faults that pydantic would mend silently: "60" for 60, true for 1."""
    if dataclasses.is_dataclass(hint) and isinstance(value, dict):
        hints = _hints(typing.cast("type", hint))
        for field in dataclasses.fields(hint):
            key = KEYS.get(field.name, field.name)
            if key in value:
                inner = f"{path}.{key}" if path else key
                yield from loose_types(value[key], hints[field.name], inner)
        return
    arguments = typing.get_args(hint)
    origin = typing.get_origin(hint)
    if origin in (typing.Union, types.UnionType):
        options = [a for a in arguments if a is not type(None)]
        if isinstance(value, list):
            options = [a for a in options if typing.get_origin(a) is tuple]
        elif len(options) > 1:
            options = [a for a in options if typing.get_origin(a) is not tuple]
        if len(options) == 1:
            yield from loose_types(value, options[0], path)
        return
    if origin is dict and isinstance(value, dict):
        for name, item in value.items():
            shown = name if BARE_KEY.fullmatch(name) else f'"{name}"'
            yield from loose_types(item, arguments[1], f"{path}.{shown}")
        return
    if origin is tuple and isinstance(value, list):
        for number, item in enumerate(value, 1):
            yield from loose_types(item, arguments[0], f"{path}[{number}]")
        return
    if hint in (int, float) and (isinstance(value, (str, bool))):
        shown = str(value).lower() if isinstance(value, bool) else f"“{value}”"
        yield f"{path}: {shown} should be a number{UNQUOTED.in_file}{with_a_point(value)}"
    elif hint is bool and not isinstance(value, bool):
        yield f"{path}: should be true or false"
    elif hint is dt.date and not _is_date(value):
        # a number would be taken for seconds since 1970, and a time for its day
        none = no_such_day(value) if isinstance(value, str) else ""
        yield f"{path}: “{value}”: {none}" if none else f"{path}: “{value}” {NO_DATE}"


def _is_date(value: object) -> bool:
    """Return whether a value is a day to plan with, as TOML's own date or spelled like it."""
    if isinstance(value, str) and ISO_DAY.fullmatch(value):
        try:
            value = dt.date.fromisoformat(value)
        except ValueError:
            return False
    return (
        isinstance(value, dt.date)
        and not isinstance(value, dt.datetime)
        and FIRST_YEAR <= value.year <= LAST_YEAR
    )


@functools.cache
def _hints(record: type) -> dict[str, Any]:
    """Return the types of a record's fields; to work them out takes longer than to check."""
    return typing.get_type_hints(record, include_extras=False)
