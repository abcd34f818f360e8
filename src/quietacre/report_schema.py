"""The JSON Schema of report.json, from the records it is made of and the words on its keys.

It is valid under draft 4 and under 2020-12, as that of property.toml is.
"""

from __future__ import annotations

import ast
import dataclasses
import datetime as dt
import functools
import importlib
import inspect
import types
import typing
from collections.abc import Mapping, Sequence
from typing import Any

from quietacre.as_json import JsonObject, record_keys
from quietacre.report_records import Report
from quietacre.schema import DRAFT
from quietacre.words.columns import report_words

PLAIN: dict[type, JsonObject] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    types.NoneType: {"type": "null"},
    dt.date: {"type": "string", "format": "date"},
}


def report_schema() -> JsonObject:
    """Return the JSON Schema of report.json, a description on every key."""
    made = _Definitions()
    whole = made.record(Report, "report")
    return {
        "$schema": DRAFT,
        "title": "report.json of quietacre",
        **whole,
        "definitions": made.found,
    }


class _Definitions:
    """The records met so far, by the name of their class."""

    def __init__(self) -> None:
        self.found: dict[str, JsonObject] = {}

    def record(self, kind: type, section: str) -> JsonObject:
        """Return the object of a class of records, whose words stand in a section."""
        words = report_words()[section]
        properties, required = self._keys(kind, section)
        return {
            "type": "object",
            "description": words.about,
            "properties": properties,
            "required": required,
            "additionalProperties": False,
        }

    def _keys(self, kind: type, section: str) -> tuple[dict[str, JsonObject], list[str]]:
        """Return the keys of a class of records, and those that are never left out."""
        hints, may_lack = record_hints(kind), getattr(kind, "JSON_MAY_LACK", ())
        properties: dict[str, JsonObject] = {}
        required: list[str] = []
        for key, name, is_flat in record_keys(kind):
            if is_flat:
                each = [self._keys(one, section) for one in _members(hints[name])]
                properties |= _either([some for some, _ in each])
                always = [set(needed) for _, needed in each]
                required += [one for one in each[0][1] if all(one in s for s in always)]
                continue
            word = report_words()[section].keys[key]
            unit = f" [{word.unit}]" if word.unit else ""
            value = self.value(hints[name], word.of)
            if "$ref" in value:  # draft 4 reads nothing beside a reference
                value = {"allOf": [value]}
            properties[key] = {"description": f"{word.meaning}{unit}", **value}
            if name not in may_lack:
                required.append(key)
        return properties, required

    def value(self, hint: Any, section: str) -> JsonObject:  # noqa: ANN401 - any type
        """Return what a value of some type is; ``section`` has the words of its records."""
        if hint in PLAIN:
            return dict(PLAIN[hint])
        if dataclasses.is_dataclass(hint):
            return self._reference(typing.cast("type", hint), section)
        origin, inner = typing.get_origin(hint), typing.get_args(hint)
        if origin is typing.Literal:
            return {"enum": list(inner)}
        if origin in (typing.Union, types.UnionType):
            return {"anyOf": [self.value(one, section) for one in inner]}
        if origin is tuple and inner and inner[-1] is not Ellipsis:
            some = {"type": "array", "minItems": len(inner), "maxItems": len(inner)}
            return {**some, "items": self.value(inner[0], section)}
        if origin in (tuple, list, Sequence):
            if not inner:
                return {"type": "array", "maxItems": 0}
            return {"type": "array", "items": self.value(inner[0], section)}
        if origin is Mapping:
            return {
                "type": "object",
                "additionalProperties": self.value(inner[1], section),
            }
        return {}  # what other packages say

    def _reference(self, kind: type, section: str) -> JsonObject:
        name = f"{section}_{kind.__name__}"
        if name not in self.found:
            self.found[name] = {}  # it may hold itself
            self.found[name] = self.record(kind, section)
        return {"$ref": f"#/definitions/{name}"}


def _either(each: Sequence[Mapping[str, JsonObject]]) -> dict[str, JsonObject]:
    """Return the keys of records of which one stands there: what differs may be either."""
    made: dict[str, JsonObject] = {}
    for some in each:
        for key, value in some.items():
            before = made.setdefault(key, value)
            if before != value:
                ways = [
                    {name: part for name, part in one.items() if name != "description"}
                    for one in (before, value)
                ]
                made[key] = {"description": value["description"], "anyOf": ways}
    return made


def _members(hint: Any) -> tuple[type, ...]:  # noqa: ANN401 - any type
    """Return the classes of a union, or the one class."""
    return typing.get_args(hint) or (hint,)


def record_hints(kind: type) -> Mapping[str, object]:
    """Return the types of fields and properties of a class of records, by name of the field."""
    names = _names_of(kind.__module__)
    hints: dict[str, object] = {}
    for name, value in vars(kind).items():
        if isinstance(value, property) and value.fget is not None:
            hints[name] = value.fget.__annotations__.get("return")
    for field in dataclasses.fields(kind):
        hints[field.name] = field.type
    return {
        name: _evaluated(hint, names) if isinstance(hint, str) else hint
        for name, hint in hints.items()
    }


def _evaluated(hint: str, names: Mapping[str, Any]) -> Any:  # noqa: ANN401 - any type
    return eval(hint, dict(names))  # noqa: S307 - an annotation of this program


@functools.cache
def _names_of(module: str) -> Mapping[str, Any]:
    """Return what names mean in a module, those that only its types need among them."""
    loaded = importlib.import_module(module)
    names = dict(vars(loaded))
    for node in ast.walk(ast.parse(inspect.getsource(loaded))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            other = importlib.import_module(node.module)
            for one in node.names:
                if hasattr(other, one.name):
                    names.setdefault(one.asname or one.name, getattr(other, one.name))
        elif isinstance(node, ast.Import):
            for one in node.names:
                names.setdefault(one.asname or one.name, importlib.import_module(one.name))
    return names
