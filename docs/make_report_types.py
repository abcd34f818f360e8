"""Write the types of report.json from the records it is made of: src/quietacre/report_json.

Run: ``python docs/make_report_types.py`` after a record of the report has changed. A test
compares the files with what this writes. Whoever reads report.json in Python, here or in a
package of their own, has each key with its type by them, and mypy finds a key that is not there.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import keyword
import re
import sys
import types
import typing
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from quietacre.as_json import record_keys
from quietacre.report_records import Report
from quietacre.report_schema import record_hints
from quietacre.strip.records import Ring

HOME = Path(__file__).parents[1] / "src" / "quietacre" / "report_json"
HEAD = '''"""{what} as report.json holds {it}: made by docs/make_report_types.py from the records."""

from __future__ import annotations

'''
#: What each file is of, by the package of the records; the last word is how it is spoken of.
FILES = {
    "model": ("Notes", "them"),
    "boundary": ("Walks", "them"),
    "kept_years": ("Years that are closed", "them"),
    "record": ("What was seen", "it"),
    "need": ("Amounts", "them"),
    "strip": ("Strips and firebreaks", "them"),
    "year": ("The year", "it"),
    "report": ("The whole report", "it"),
}
#: Letters of a line.
WIDE = 92
PLAIN = {
    str: "str", bool: "bool", int: "int", float: "float", types.NoneType: "None",
    dt.date: "str", Any: "object", None: "None",
}  # fmt: skip


class Key(typing.NamedTuple):
    """A key of an object: its types, any of which may stand there, and whether it may lack."""

    types: tuple[str, ...]
    may_lack: bool


def files_of_types() -> dict[str, str]:
    """Return the text of each file by its name."""
    objects: dict[type, None] = {}
    for kind in (
        Report,
        Ring,
    ):  # what ``plan_strips`` tells of a strip stands by itself, too
        _gather(kind, objects)
    room_of = {_name(kind): _room(kind) for kind in objects}
    return {
        f"{room}.py": _file(
            room, [kind for kind in objects if _room(kind) == room], room_of
        )
        for room in FILES
    }


def _gather(kind: type, objects: dict[type, None]) -> None:
    """Add a class of records, after those whose objects stand in its own."""
    if kind not in objects:
        for one in _inside(kind):
            _gather(one, objects)
        objects[kind] = None


def _inside(kind: type) -> Iterator[type]:
    """Yield the classes whose objects stand in the keys of one, flat records' keys among them."""
    hints = record_hints(kind)
    for _, name, is_flat in record_keys(kind):
        for one in _records(hints[name]):
            yield from _inside(one) if is_flat else (one,)


def _records(hint: Any) -> Iterator[type]:  # noqa: ANN401 - any type
    """Yield the classes of records that a type names."""
    if dataclasses.is_dataclass(hint):
        yield typing.cast("type", hint)
    for one in typing.get_args(hint):
        yield from _records(one)


def _room(kind: type) -> str:
    return kind.__module__.split(".")[1].removesuffix("_records")


def _name(kind: type) -> str:
    return f"{kind.__name__}Json"


def keys_of(kind: type) -> dict[str, Key]:
    """Return the keys of a class of records, those of its flat records among them."""
    hints, may_lack = record_hints(kind), getattr(kind, "JSON_MAY_LACK", ())
    keys: dict[str, Key] = {}
    for key, name, is_flat in record_keys(kind):
        if is_flat:
            keys |= _either([keys_of(one) for one in _records(hints[name])])
        else:
            some = _types(hints[name])
            if name in may_lack:  # left out while it is None
                some = tuple(one for one in some if one != "None")
            keys[key] = Key(some, name in may_lack)
    return keys


def _either(each: Sequence[Mapping[str, Key]]) -> dict[str, Key]:
    """Return the keys of records of which one stands there."""
    made: dict[str, Key] = {}
    for name in dict.fromkeys(name for some in each for name in some):
        held = [some[name] for some in each if name in some]
        lacks = len(held) < len(each) or any(key.may_lack for key in held)
        made[name] = Key(tuple(one for key in held for one in key.types), lacks)
    return made


def _types(hint: Any) -> tuple[str, ...]:  # noqa: ANN401 - any type
    """Return what a value of some type is in JSON; more than one where any may stand."""
    if hint in PLAIN:
        return (PLAIN[hint],)
    if dataclasses.is_dataclass(hint):
        return (_name(typing.cast("type", hint)),)
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin is typing.Literal:
        return tuple(f'"{word}"' for word in inner)
    if origin in (typing.Union, types.UnionType):
        return tuple(text for one in inner for text in _types(one))
    if origin in (tuple, list, Sequence):
        some = [text for one in inner if one is not Ellipsis for text in _types(one)]
        return (f"list[{_one_of(some)}]",) if some else ()
    if origin is Mapping:
        return (f"dict[str, {_one_of(_types(inner[1]))}]",)
    raise TypeError(f"{hint} has no type in JSON yet: add it here")


def _one_of(some: Sequence[str]) -> str:
    """Return any of some types as Python writes it: words of a Literal together, None last."""
    each = list(dict.fromkeys(some))
    words = ", ".join(one for one in each if one[0] == '"')
    others = [one for one in each if one[0] != '"' and one != "None"]
    literal = [f"Literal[{words}]"] if words else []
    return " | ".join([*literal, *others, *(["None"] if "None" in each else [])])


def _class(kind: type) -> str:
    """Return the class of an object of JSON."""
    name = _name(kind)
    about = (kind.__doc__ or "").strip().partition("\n")[0]
    typed = {
        key: f"NotRequired[{_one_of(one.types)}]" if one.may_lack else _one_of(one.types)
        for key, one in keys_of(kind).items()
    }
    if any(keyword.iskeyword(key) for key in typed):  # no class can have such a name
        rows = "".join(f'        "{key}": "{some}",\n' for key, some in typed.items())
        return f'#: {about}\n{name} = TypedDict(\n    "{name}",\n    {{\n{rows}    }},\n)\n'
    rows = "".join(f"    {key}: {some}\n" for key, some in typed.items())
    return f'@final\nclass {name}(TypedDict):\n    """{about}"""\n\n{rows}'


def _file(room: str, kinds: Sequence[type], room_of: Mapping[str, str]) -> str:
    """Return the text of one file: its classes, and what they take from the others."""
    text = "\n\n".join(_class(kind) for kind in kinds)
    own = {_name(kind) for kind in kinds}
    taken: dict[str, list[str]] = {}
    for name in sorted(set(re.findall(r"\b\w+Json\b", text)) - own):
        taken.setdefault(room_of[name], []).append(name)
    words = [word for word in ("Literal", "NotRequired") if f"{word}[" in text]
    words = [*(["TYPE_CHECKING"] if taken else []), *words, "TypedDict", "final"]
    lines = [f"from typing import {', '.join(words)}", ""]
    if taken:
        lines += ["if TYPE_CHECKING:"]
        lines += [_taken(place, names) for place, names in sorted(taken.items())]
        lines += [""]
    what, it = FILES[room]
    return HEAD.format(what=what, it=it) + "\n".join(lines) + "\n\n" + text


def _taken(place: str, names: Sequence[str]) -> str:
    """Return the line or lines that take names from another file, as the formatter has them."""
    start = f"    from quietacre.report_json.{place} import "
    line = start + ", ".join(names)
    if len(line) <= WIDE:
        return line
    return start + "(\n" + "".join(f"        {name},\n" for name in names) + "    )"


def main() -> None:
    """Write the files."""
    for name, text in files_of_types().items():
        (HOME / name).write_text(text, encoding="utf-8")
        sys.stdout.write(f"{HOME / name}\n")


if __name__ == "__main__":
    main()
