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
import functools
import math
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from quietacre.figures import printed

#: An object of JSON of any keys, or of records that `as_json` turns into one: what is printed
#: for others. What this program reads by its keys itself has a type that names them.
JsonObject = dict[str, object]
T = TypeVar("T")
#: The digits after the point that report.json keeps.
DIGITS = 6
#: What JSON holds as Python does.
AS_THEY_ARE = frozenset({int, bool, type(None)})
#: What says a text: with its figures in the units that are wanted.
Sayer = Callable[[str], str]


def marked(text: str) -> str:
    """Return a text with its figures still values, for what prints it later."""
    return text


def as_json(
    value: Any,  # noqa: ANN401 - any value
    digits: int | None = None,
    say: Sayer = printed,
) -> Any:  # noqa: ANN401 - its JSON
    """Return a record, or anything made of records, as JSON holds it.

    Parameters
    ----------
    value : records, mappings, sequences, days, texts and numbers, numpy's among them.
    digits : digits after the point that numbers keep, and then those without a value (NaN,
        infinite) are None; None leaves numbers as they are.
    say : what says a text with its figures; `marked` leaves them values.
    """
    if type(value) in AS_THEY_ARE:
        return value
    if isinstance(value, str):
        return say(value)
    if isinstance(value, float):
        return _number(value, digits)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _object(value, digits, say)
    if isinstance(value, (list, tuple)):
        return [as_json(item, digits, say) for item in value]
    if isinstance(value, Mapping):
        return {str(key): as_json(item, digits, say) for key, item in value.items()}
    if isinstance(value, dt.date):
        return value.isoformat()
    return _number(value, digits)


def _number(value: Any, digits: int | None) -> Any:  # noqa: ANN401 - any value
    """Return a number with its digits, numpy's as Python's; what is none as it is."""
    if type(value).__module__ == "numpy":
        value = value.item()
    if digits is not None and isinstance(value, float):
        return round(value, digits) if math.isfinite(value) else None
    return value


def rounded(value: T) -> T:
    """Return a record, or anything made of records, with its numbers as report.json has them.

    It is the same in all else, and `plain` makes the same of it. So page and papers say the
    figures that report.json holds. A number without a value is None.
    """
    made: T = _with_leaves(value, _number_told)
    return made


def with_texts(value: T, say: Sayer) -> T:
    """Return a record, or anything made of records, with its texts as ``say`` says them.

    Texts of another class become plain ones; a record whose texts stay is the same.
    """
    made: T = _with_leaves(value, lambda leaf: say(leaf) if isinstance(leaf, str) else leaf)
    return made


def _number_told(value: Any) -> Any:  # noqa: ANN401 - any value
    if type(value) in AS_THEY_ARE or isinstance(value, str):
        return value
    now = _number(value, DIGITS)
    return value if type(value) is float and now == value else now


def _with_leaves(value: Any, leaf: Callable[[Any], Any]) -> Any:  # noqa: ANN401 - any value
    """Return a value made of records with what is none, and holds none, as ``leaf`` returns it."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _record_with_leaves(value, leaf)
    if isinstance(value, (list, tuple)):
        made = [_with_leaves(item, leaf) for item in value]
        same = all(now is was for now, was in zip(made, value, strict=True))
        return value if same else type(value)(made)
    if isinstance(value, Mapping):
        by_key = {str(key): _with_leaves(item, leaf) for key, item in value.items()}
        same = all(by_key.get(key) is was for key, was in value.items())
        return value if same else by_key
    return leaf(value)


def _record_with_leaves(record: Any, leaf: Callable[[Any], Any]) -> Any:  # noqa: ANN401
    changed: JsonObject = {}
    for name in _told_fields(record.__class__):
        was = getattr(record, name)
        now = _with_leaves(was, leaf)
        if now is not was:
            changed[name] = now
    return dataclasses.replace(record, **changed) if changed else record


def plain(value: Any, say: Sayer = printed) -> Any:  # noqa: ANN401 - any value
    """Return a record, or anything made of records, as report.json holds it."""
    return as_json(value, DIGITS, say)


@functools.cache
def _told_fields(kind: type) -> tuple[str, ...]:
    """Return the fields of a class of records that stand in its object."""
    fields = {field.name for field in dataclasses.fields(kind)}
    return tuple(name for _, name, _ in record_keys(kind) if name in fields)


@functools.cache
def record_keys(kind: type) -> tuple[tuple[str, str, bool], ...]:
    """Return key, attribute and whether it is flat, of each key of a class of records."""
    flat: tuple[str, ...] = getattr(kind, "JSON_FLAT", ())
    named: tuple[str, ...] = getattr(kind, "JSON_KEYS", ())
    names = named or tuple(field.name for field in dataclasses.fields(kind))
    return tuple((name.rstrip("_"), name, name in flat) for name in names)


def _object(record: Any, digits: int | None, say: Sayer) -> JsonObject:  # noqa: ANN401
    made: JsonObject = {}
    may_lack: tuple[str, ...] = getattr(record, "JSON_MAY_LACK", ())
    for key, name, is_flat in record_keys(record.__class__):
        value = getattr(record, name)
        if value is None and name in may_lack:
            continue
        if is_flat:
            made |= _object(value, digits, say)
        else:
            made[key] = as_json(value, digits, say)
    return made
