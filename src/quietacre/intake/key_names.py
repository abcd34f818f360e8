"""Keys of property.toml as a person writes them: their paths, and the nearest to a slip."""

from __future__ import annotations

import dataclasses
import difflib
import re
import typing
from typing import TYPE_CHECKING, Any

from quietacre import settings
from quietacre.model import folded

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


KEYS = {"files": "from", "file": "from"}
#: A key that TOML takes without quotes.
BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def key_path(loc: Sequence[int | str]) -> str:
    """Return a key path as a person would write it: area[2].mix, counted from one."""
    text = ""
    for part in loc:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        elif part != "str" and not part.startswith(
            ("tuple[", "literal[", "function-", "constrained-")
        ):
            shown = part if BARE_KEY.fullmatch(part) else f'"{part}"'
            text += f".{shown}" if text else shown
    return text


def near_word(word: str, known: Iterable[str]) -> str:
    """Return “; did you mean …?” with the nearest known word, "" when none is near."""
    by_fold = {folded(one): one for one in known}
    near = difflib.get_close_matches(folded(word), list(by_fold), n=1, cutoff=0.5)
    return f"; did you mean “{by_fold[near[0]]}”?" if near else ""


def keys_at(loc: Sequence[int | str]) -> list[str]:
    """Return the keys known to the table that holds the last part of ``loc``."""
    here: Any = settings.Property
    named = False
    for part in loc[:-1]:
        if isinstance(part, int) or named or not dataclasses.is_dataclass(here):
            named = False
            continue
        hints = typing.get_type_hints(here)
        field = next(
            (f for f in dataclasses.fields(here) if KEYS.get(f.name, f.name) == part), None
        )
        if field is None:
            return []
        named = typing.get_origin(hints[field.name]) is dict  # a name of one's own is next
        here = _record_in(hints[field.name]) or here
    if not dataclasses.is_dataclass(here):
        return []
    return [KEYS.get(field.name, field.name) for field in dataclasses.fields(here)]


def _record_in(hint: Any) -> Any:  # noqa: ANN401 - a type
    """Return the dataclass inside Optional, tuple or Annotated; None without one."""
    if dataclasses.is_dataclass(hint):
        return hint
    for inner in typing.get_args(hint):
        record = _record_in(inner)
        if record is not None:
            return record
    return None
