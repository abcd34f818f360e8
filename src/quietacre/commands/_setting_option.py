"""Options that stand for keys of property.toml: their range, usual value and help are the key's."""

from __future__ import annotations

from dataclasses import MISSING, fields
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    Literal,
    get_args,
    get_origin,
    get_type_hints,
)

import click
from annotated_types import Ge, Gt, Le

from quietacre.schema import TABLE_OF
from quietacre.words import settings_words

if TYPE_CHECKING:
    from collections.abc import Callable


def setting_option(
    of: type, key: str, name: str | None = None, **other: object
) -> Callable[[Any], Any]:
    """Return the option of a command that stands for a key of property.toml.

    Parameters
    ----------
    of : the class of the settings that has the key, of a number or one of some words.
    key : its name there.
    name : the option, when it is not called as the key: "--efficiency".
    other : what is not as the key has it, in the words of `click.option`, such as a default.
    """
    words = settings_words()[TABLE_OF[of.__name__]].keys[key]
    usual = next(one.default for one in fields(of) if one.name == key)
    asked: dict[str, Any] = {
        "type": _type_of(get_type_hints(of, include_extras=True)[key]),
        "help": f"{words.label}: {words.meaning}.",
    }
    if usual is not MISSING and usual is not None and not other.get("required"):
        asked |= {"default": usual, "show_default": True}
    return click.option(name or f"--{key.replace('_', '-')}", **(asked | other))


def _type_of(hint: object) -> click.ParamType[Any, Any]:
    """Return the type of an option for the type of a key, which may be left out."""
    if type(None) in get_args(hint):
        (hint,) = (one for one in get_args(hint) if one is not type(None))
    if get_origin(hint) is Literal:
        return click.Choice(get_args(hint))
    base, *bounds = get_args(hint) if get_origin(hint) is Annotated else (hint,)
    above = next((one.gt for one in bounds if isinstance(one, Gt)), None)
    least: Any = next((one.ge for one in bounds if isinstance(one, Ge)), above)
    most: Any = next((one.le for one in bounds if isinstance(one, Le)), None)
    kind = click.IntRange if base is int else click.FloatRange
    return kind(least, most, min_open=above is not None)
