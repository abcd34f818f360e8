"""A record by what report.json would hold of it; what that does not say is left blank."""

import dataclasses
import datetime as dt
import types
import typing
from collections.abc import Mapping, Sequence

from quietacre.as_json import record_keys
from quietacre.report_schema import record_hints

BLANK = {str: "", bool: False, int: 0, float: 0.0, dt.date: dt.date(2027, 1, 2)}


def record_of(kind, told):
    """Return a record of a class; a key that the class does not have is a KeyError."""
    if dataclasses.is_dataclass(told):
        return told
    left = dict(told)
    made = _taken(kind, left)
    if left:
        raise KeyError(f"{kind.__name__} has no {sorted(left)}")
    return made


def _taken(kind, left):
    """Return a record, its keys taken out of what is left."""
    hints, values = record_hints(kind), {}
    fields = {field.name: field for field in dataclasses.fields(kind)}
    for key, name, is_flat in record_keys(kind):
        hint = hints[name]
        if is_flat:
            values[name] = _taken(_likest(_records(hint), left), left)
        elif key in left:
            values[name] = _value(hint, left.pop(key))
        elif name in fields and fields[name].default is dataclasses.MISSING:
            values[name] = _blank(hint)
    return kind(**{name: value for name, value in values.items() if name in fields})


def _records(hint):
    """Return the classes of records that a type names."""
    return [
        one for one in typing.get_args(hint) or (hint,) if dataclasses.is_dataclass(one)
    ]


def _keys(kind):
    for key, name, is_flat in record_keys(kind):
        if is_flat:
            for one in _records(record_hints(kind)[name]):
                yield from _keys(one)
        else:
            yield key


def _likest(kinds, told):
    """Return the class that a record is of: its words fit, it has most keys and asks fewest."""

    def order(kind):
        words = [
            told.get(name) in typing.get_args(hint)
            for name, hint in record_hints(kind).items()
            if typing.get_origin(hint) is typing.Literal
        ]
        keys = [*_keys(kind)]
        return sum(words), len({*keys} & {*told}), -len(keys)

    return max(kinds, key=order)


def _value(hint, told):
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if told is None or origin is typing.Literal:
        return told
    if origin in (typing.Union, types.UnionType):
        if isinstance(told, dict) and _records(hint):
            return record_of(_likest(_records(hint), told), told)
        return _value(next(one for one in inner if _fits(one, told)), told)
    if dataclasses.is_dataclass(hint):
        return record_of(hint, told)
    if origin in (tuple, list, Sequence):
        return tuple(_value(inner[0], one) for one in told)
    if origin is Mapping:
        return {key: _value(inner[1], one) for key, one in told.items()}
    if hint is dt.date and isinstance(told, str):
        return dt.date.fromisoformat(told)
    return told


def _fits(hint, told):
    """Return whether a value may be of a type that stands beside others."""
    origin = typing.get_origin(hint)
    if origin is typing.Literal:
        return told in typing.get_args(hint)
    if origin is not None:
        is_list = isinstance(told, (list, tuple))
        return is_list if origin in (tuple, list, Sequence) else isinstance(told, dict)
    if hint is dt.date:
        return isinstance(told, (str, dt.date))
    if hint is float:
        return isinstance(told, (int, float)) and not isinstance(told, bool)
    return isinstance(told, hint)


def _blank(hint):
    """Return the least that a field may hold."""
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if hint in BLANK:
        return BLANK[hint]
    if hint is None or types.NoneType in inner or None in inner:
        return None
    if dataclasses.is_dataclass(hint):
        return record_of(hint, {})
    if origin is typing.Literal:
        return inner[0]
    if origin in (typing.Union, types.UnionType):
        return _blank(inner[0])
    if origin is tuple and inner and inner[-1] is not Ellipsis:
        return tuple(_blank(one) for one in inner)
    return {} if origin is Mapping else ()
