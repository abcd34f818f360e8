"""What a checker of settings found wrong, in the words of a person who writes a file."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from quietacre import settings
from quietacre.intake.key_names import key_path, keys_at, near_word
from quietacre.words.written import AT_MOST, DAY, QUOTED, UNQUOTED

if TYPE_CHECKING:
    from collections.abc import Mapping

UNKNOWN_KEY = "unexpected_keyword_argument"
NO_DATE = f"is not a date; {DAY.in_file}"
#: Kinds of fault as pydantic calls them; ``{…}`` is what it says of the limit.
WORDS = {
    "string_type": f"should be text{QUOTED.in_file}",
    "string_too_short": "is blank; write something",
    "tuple_type": "should be a list, in [ ]",
    "list_type": "should be a list, in [ ]",
    "dict_type": "should be a table, in {{ }}",
    "dataclass_type": "should be a table, in {{ }}",
    "too_short": "is an empty list; give at least {min_length}",
    "too_long": "has more than {max_length} entries",
    "greater_than": "should be more than {gt:g}",
    "greater_than_equal": "should be {ge:g} or more",
    "less_than": "should be less than {lt:g}",
    "less_than_equal": AT_MOST,
    "int_type": f"should be a whole number{UNQUOTED.in_file}",
    "int_parsing": f"should be a whole number{UNQUOTED.in_file}",
    "int_from_float": "should be a whole number",
    "float_type": f"should be a number{UNQUOTED.in_file}",
    "float_parsing": f"should be a number{UNQUOTED.in_file}",
    "bool_type": "should be true or false",
    "bool_parsing": "should be true or false",
    "date_type": NO_DATE,
    "date_parsing": NO_DATE,
    "date_from_datetime_parsing": NO_DATE,
    "date_from_datetime_inexact": NO_DATE,
}
#: A place that takes a text or a list is found wrong as each; it is said once.
TEXT_OR_LIST = "should be a name in quotes, or a list of them"


def with_a_point(value: object) -> str:
    """Return "; type 0.48" of a figure that was typed as "0,48", else "".

    Three figures behind the comma may be thousands: nobody can say.
    """
    comma = (
        re.fullmatch(r"\s*(\d+),(\d{1,2}|\d{4,})\s*", value)
        if isinstance(value, str)
        else None
    )
    return f"; type {comma[1]}.{comma[2]}" if comma else ""


def fault_words(
    kind: str, loc: tuple[int | str, ...], limits: Mapping[str, object]
) -> str | None:
    """Return what is wrong and what would be right; None for a kind not known here.

    Parameters
    ----------
    kind : pydantic's word for the fault.
    loc : its place, whose last part may tell which of several types was tried.
    limits : what the fault says of the limit that was passed.
    """
    last = loc[-1] if loc else None
    if last == "str" or (isinstance(last, str) and last.startswith("tuple[str")):
        return TEXT_OR_LIST
    words = WORDS.get(kind)
    return None if words is None else words.format_map(limits)


def fault_line(error: Any) -> str:  # noqa: ANN401 - pydantic's error record
    """Return a fault of the checker as one line: key path, what is wrong, what would be right."""
    loc, kind = error["loc"], error["type"]
    path = key_path(loc)
    given = error.get("input")
    if kind == UNKNOWN_KEY:
        return f"{path}: there is no such key{near_word(str(loc[-1]), keys_at(loc))}"
    if kind in ("missing", "missing_argument", "missing_keyword_only_argument"):
        return f"{path}: is missing; add it"
    if kind == "literal_error":
        words = re.findall(r"'([^']+)'", str(error["ctx"]["expected"]))
        return f"{path}: “{given}” is not one of {', '.join(words)}{near_word(str(given), words)}"
    if kind == "string_pattern_mismatch":
        form = settings.FORMS[error["ctx"]["pattern"]]
        return f"{path}: “{given}” should be {form}"
    plain = fault_words(kind, loc, error.get("ctx", {}))
    if plain is not None:
        quoted = (
            f"“{given}” " if isinstance(given, (str, int, float)) and given != "" else ""
        )
        comma = with_a_point(given) if kind in ("float_type", "float_parsing") else ""
        return f"{path}: {quoted}{plain}{comma}"
    message = str(error["msg"])
    message = message[:1].lower() + message[1:]
    shown = f"“{given}”: " if isinstance(given, (str, int, float)) else ""
    return f"{path}: {shown}{message}"
