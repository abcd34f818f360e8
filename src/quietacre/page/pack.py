"""Records packed by column: what repeats is written once, whole numbers as short text.

A property of a thousand areas says the same key a thousand times and most of its texts
hundreds of times. Records of one kind are turned into columns, and a column is written
the shortest of a few ways; ``unpack.js`` turns them back. A column of n values is one of

==========================  ======================================================
``[v, …]``                  the values
``{"=": v}``                n times the same value
``{"of": c, "d": k, "at"}`` k different values, a column; ``at`` counts into them
``{"rows", "in": c}``       lists: ``rows`` are their lengths, -1 for none; what is in
                            them, one after the other, is a column
``{"no", "keys": {k: c}}``  records: ``no`` tells which are none; each key of the others
                            is a column, or the name of an earlier column it equals
==========================  ======================================================

``at``, ``rows`` and ``no`` are whole numbers as text (``whole_text``). A key that a record
has not comes back as null. Texts stand in ``[v, …]`` and ``{"=": v}`` only, so nothing a
person types can be taken for a column.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from quietacre.as_json import JsonObject

#: Sixty-four signs that neither JSON nor HTML treats in any way; ``unpack.js`` has the same.
SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
_MORE = 32


def whole_text(numbers: Iterable[int]) -> str:
    """Return whole numbers as text, five bits a sign, the lowest first.

    A number n becomes 2 n, or -2 n - 1 below zero; a sign of 32 and more says that the
    number goes on.
    """
    out = []
    for number in numbers:
        left = 2 * number if number >= 0 else -2 * number - 1
        while left >= _MORE:
            out.append(SIGNS[_MORE + left % _MORE])
            left //= _MORE
        out.append(SIGNS[left])
    return "".join(out)


def packed(values: Sequence[Any]) -> Any:  # noqa: ANN401 - any JSON
    """Return the shortest column of some JSON values; see the module."""
    if len(values) < 2:  # noqa: PLR2004 - nothing to repeat
        return _apart(values)
    texts = [_said(value) for value in values]
    first: dict[str, int] = {}
    for row, text in enumerate(texts):
        first.setdefault(text, row)
    if len(first) == 1:
        return {"=": values[0]} if _plain(values[0]) else _counted(values, texts, first)
    shorter = len(values) * 1.6 + sum(map(len, first)) < sum(map(len, texts))
    if shorter and (2 * len(first) <= len(values) or all(map(_plain, values))):
        return _counted(values, texts, first)
    return _apart(values)


def _said(value: Any) -> str:  # noqa: ANN401
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _plain(value: Any) -> bool:  # noqa: ANN401
    return not isinstance(value, (dict, list))


def _counted(values: Sequence[Any], texts: Sequence[str], first: dict[str, int]) -> Any:  # noqa: ANN401
    number_of = {text: number for number, text in enumerate(first)}
    return {
        "of": _apart([values[row] for row in first.values()]),
        "d": len(first),
        "at": whole_text(number_of[text] for text in texts),
    }


def _apart(values: Sequence[Any]) -> Any:  # noqa: ANN401
    """Return records by their keys, lists by what is in them, all else as it is."""
    real = [value for value in values if value is not None]
    if real and all(isinstance(value, dict) for value in real):
        return _keys(values, real)
    if real and all(isinstance(value, list) for value in real):
        return {
            "rows": whole_text(-1 if value is None else len(value) for value in values),
            "in": packed([item for value in real for item in value]),
        }
    return list(values)


def _keys(values: Sequence[Any], real: Sequence[JsonObject]) -> JsonObject:
    columns: JsonObject = {}
    seen: dict[str, str] = {}
    for key in dict.fromkeys(key for record in real for key in record):
        cells = [record.get(key) for record in real]
        text = _said(cells)
        if text in seen and len(real) > 1:
            columns[key] = seen[text]
        else:
            seen[text] = key
            columns[key] = packed(cells)
    none = [row for row, value in enumerate(values) if value is None]
    return {"no": whole_text(none), "keys": columns}
