"""The JSON Schema of property.toml, from the types of the settings and the words on them.

It is valid under draft 4, which many editors of TOML use, and under 2020-12: a bound that is
not reached is written as a least value that is not allowed itself, and a pair as a list of two,
each of what either may be.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre import settings
from quietacre.words import settings_words

if TYPE_CHECKING:
    from quietacre.as_json import JsonObject

DRAFT = "http://json-schema.org/draft-04/schema#"
#: The table of words for each class of the settings.
TABLE_OF: dict[str, str] = {
    "PropertyInfo": "property",
    "Quiet": "quiet",
    "Equipment": "equipment",
    "Previous": "previous",
    "StripSettings": "strip",
    "Feed": "feed",
    "Harvest": "harvest",
    "Area": "area",
    "PlacedCorner": "placed",
    "Planting": "planting",
    "Seed": "seed",
    "Mix": "mix",
    "NeedLbAc": "nutrients",
    "SoilTest": "soil_test",
    "Product": "product",
    "Stock": "stock",
    "Spray": "spray",
    "Buying": "buying",
    "Clips": "clips",
    "Forage": "forage",
    "TaskRule": "task",
    "Lags": "lags",
    "Round": "round",
    "CropRule": "crop",
    "Work": "work",
    "Weather": "weather",
    "MapSettings": "map",
    "CalendarSettings": "calendar",
    "Use": "use",
}
#: Keys of a schema that say nothing to who fills in a file.
LEFT_OUT = ("title", "$schema")


def property_schema() -> JsonObject:
    """Return the JSON Schema of property.toml, a description on every key.

    Dates of TOML are text of the form date there.
    """
    raw = _raw()
    words = settings_words()
    for name, definition in raw["$defs"].items():
        table = words[TABLE_OF[name]]
        definition["description"] = table.about
        for key, part in definition["properties"].items():
            part["description"] = table.keys[key].sentence
    for key, part in raw["properties"].items():
        part["description"] = words[key].about
    made: JsonObject = _plain(raw)
    return {
        **made,
        "$schema": DRAFT,
        "title": "property.toml of quietacre",
        "description": "A place, its ground, and what is meant for it.",
    }


def key_paths() -> tuple[tuple[str, str], ...]:
    """Return every (table, key) that a property.toml may hold, by the words' names of tables."""
    return tuple(
        (TABLE_OF[name], key)
        for name, definition in _raw()["$defs"].items()
        for key in definition["properties"]
    )


def usual_values() -> dict[tuple[str, str], str]:
    """Return what holds where a key is left out, in words, by (table, key)."""
    usual = {}
    for name, definition in _raw()["$defs"].items():
        for key, part in definition["properties"].items():
            value = part.get("default")
            if value is None or value == [] or isinstance(value, dict):
                continue
            text = ", ".join(map(str, value)) if isinstance(value, (list, tuple)) else value
            shown = (
                {True: "true", False: "false"}.get(text, text)
                if isinstance(text, bool)
                else text
            )
            usual[TABLE_OF[name], key] = (
                f"{shown:g}" if isinstance(shown, float) else str(shown)
            )
    return usual


def _raw() -> dict[str, Any]:
    from pydantic import TypeAdapter

    return TypeAdapter(settings.Property).json_schema()


def _plain(part: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return a schema without what draft 4 does not know or TOML cannot hold."""
    if isinstance(part, list):
        return [_plain(item) for item in part]
    if not isinstance(part, dict):
        return part
    part = dict(part)
    if "anyOf" in part:  # TOML has no null: a key is left out instead
        some = [item for item in part["anyOf"] if item != {"type": "null"}]
        if len(some) == 1:
            part.pop("anyOf")
            part = {**some[0], **part}
        else:
            part["anyOf"] = some
    if part.get("default", 0) is None:
        part.pop("default")
    if "const" in part:
        part["enum"] = [part.pop("const")]
    if "exclusiveMinimum" in part:
        least = part.pop("exclusiveMinimum")
        part |= {"minimum": least, "not": {"enum": [least]}}
    if "prefixItems" in part:
        pair = part.pop("prefixItems")
        kinds = [item for n, item in enumerate(pair) if item not in pair[:n]]
        part["items"] = kinds[0] if len(kinds) == 1 else {"anyOf": kinds}
        part |= {"minItems": len(pair), "maxItems": len(pair)}
    if "$ref" in part and "description" in part:  # draft 4 reads nothing beside a reference
        part["allOf"] = [{"$ref": part.pop("$ref")}]
    properties = part.get("properties")
    made = {
        key: _plain(item)
        for key, item in part.items()
        if key not in LEFT_OUT and key != "properties"
    }
    if properties is not None:
        made["properties"] = {key: _plain(item) for key, item in properties.items()}
    return made
