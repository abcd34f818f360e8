"""Records as JSON: the one place that turns what is planned into what report.json holds.

A record is a frozen dataclass. Its fields, in their order, are the keys of an object; a day is
written as 2027-07-04, a tuple as a list. Four things can be told of a record where its class
is written: ``JSON_FLAT`` names fields that are records whose own keys stand beside the others;
``JSON_KEYS`` the keys of a class whose object holds other things than its fields;
``JSON_MAY_LACK`` the fields whose key is left out while they are None; and a name
that ends in an underscore is a key whose word Python keeps for itself (``from_``).
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
from collections.abc import Mapping
from typing import Any

#: An object of JSON of any keys, or of records that `as_json` turns into one: what is printed
#: for others. What this program reads by its keys itself has a type that names them.
JsonObject = dict[str, object]
#: The digits after the point that report.json keeps.
DIGITS = 6


def as_json(value: Any, digits: int | None = None) -> Any:  # noqa: ANN401 - any value
    """Return a record, or anything made of records, as JSON holds it.

    Parameters
    ----------
    value : records, mappings, sequences, days, texts and numbers, numpy's among them.
    digits : digits after the point that numbers keep, and then those without a value (NaN,
        infinite) are None; None leaves numbers as they are.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _object(value, digits)
    if isinstance(value, Mapping):
        return {str(key): as_json(item, digits) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_json(item, digits) for item in value]
    if isinstance(value, dt.date):
        return value.isoformat()
    if type(value).__module__ == "numpy":
        value = value.item()
    if digits is not None and isinstance(value, float):
        return round(value, digits) if math.isfinite(value) else None
    return value


def plain(value: Any) -> Any:  # noqa: ANN401 - any value
    """Return a record, or anything made of records, as report.json holds it."""
    return as_json(value, DIGITS)


def record_keys(kind: type) -> tuple[tuple[str, str, bool], ...]:
    """Return key, attribute and whether it is flat, of each key of a class of records."""
    flat: tuple[str, ...] = getattr(kind, "JSON_FLAT", ())
    named: tuple[str, ...] = getattr(kind, "JSON_KEYS", ())
    names = named or tuple(field.name for field in dataclasses.fields(kind))
    return tuple((name.rstrip("_"), name, name in flat) for name in names)


def _object(record: Any, digits: int | None) -> JsonObject:  # noqa: ANN401 - any record
    made: JsonObject = {}
    may_lack: tuple[str, ...] = getattr(record, "JSON_MAY_LACK", ())
    for key, name, is_flat in record_keys(type(record)):
        value = getattr(record, name)
        if value is None and name in may_lack:
            continue
        if is_flat:
            made |= _object(value, digits)
        else:
            made[key] = as_json(value, digits)
    return made
