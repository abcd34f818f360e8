"""``quietacre set``: one setting of property.toml."""

from __future__ import annotations

import functools
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._log_edge import again, ask
from quietacre.errors import BadInput, FileProblem, SettingsProblem
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from quietacre.edit.property_file import Outcome
    from quietacre.edit.toml_plain import Change
    from quietacre.edit.toml_scan import Path as KeyPath
    from quietacre.edit.toml_table import TomlTable

NOTHING = "nothing"
#: A value that is longer is not said in full.
MOST_SIGNS = 160
NAME, ID = ("property", "name"), ("property", "id")


@click.command(name="set", context_settings={"ignore_unknown_options": True})
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("key", metavar="KEY")
@click.argument("value", required=False, metavar="[VALUE]")
@click.option("--remove", is_flag=True, help="Take the key away, in place of a VALUE.")
@click.option("--json", "as_json", is_flag=True, help="Print what changed as JSON.")
@fail_cleanly
def command(
    folder: Path, key: str, value: str | None, *, remove: bool, as_json: bool
) -> None:
    """Give KEY of DIR/property.toml a VALUE; all else in the file stays, to the byte.

    KEY is a path such as equipment.tank_gal, 'area["North bottom"].plant' or
    'mix[2].seed[1].share' (counted from 1). VALUE is a number, a date such as 2027-09-25,
    text, true or false, or what TOML has for lists and tables: '["sat", "sun"]'. The place
    behind the last of a list is [+]: 'area[+]'.
    A value that the file could not be read with is refused, and nothing is written.
    """
    for word in (
        key,
        value or "",
    ):  # a number may begin with a minus, and so does an option
        if word.startswith("--"):
            raise click.NoSuchOption(word)
    if (value is None) != remove:
        raise BadInput(
            "needs a value, or --remove" if value is None else "takes a value or --remove",
            fix="give one of them", source="quietacre set",
        )  # fmt: skip
    from quietacre.edit.key_path import WhichOne

    try:
        outcome, shown, was, now = _change(folder, key, value)
    except WhichOne as problem:
        ask(f"{problem.marked}. Type one of:", [again(key=way) for way in problem.ways])
    tell_recovered(outcome.step.recovered if outcome.step else ())
    if as_json:
        emit({
            "key": shown,
            "was": _plain(was),
            "is": _plain(now),
            "step": step_record(outcome.step) if outcome.step else None,
            "faults_left": list(outcome.faults),
        })  # fmt: skip
        return
    if outcome.step is None:
        say(f"property.toml: {shown} is {_word(now)} already; nothing was written")
    else:
        say(f"property.toml: {shown}: {_word(was)} -> {_word(now)}")
        say(f"  {how_back(folder)}")
    _say_what_follows(folder, outcome, was, now)


def _change(folder: Path, key: str, value: str | None) -> tuple[Outcome, str, Any, Any]:
    """Return what became of the change, the key as shown, and its value before and after."""
    from quietacre.edit.key_path import OneMore, found_path, read_key_path, shown_path
    from quietacre.edit.property_file import change_settings, read_settings
    from quietacre.edit.toml_plain import MISSING, Insert, Remove, Set, value_at

    parts = read_key_path(key)
    document = read_settings(folder)
    path = found_path(document, parts, SETTINGS_FILE)
    shown = shown_path(document, path)
    if value is None and value_at(document, path) is MISSING:
        raise FileProblem(
            "is not in the file", fix="nothing is to be taken away",
            source=SETTINGS_FILE, where=shown,
        )  # fmt: skip

    def make(meant: object, now: TomlTable) -> list[Change]:
        place = found_path(now, parts, SETTINGS_FILE)
        if isinstance(parts[-1], OneMore):
            return [Insert(place[:-1], meant)]
        kept = _kept_id(now, place, meant) if value is not None else []
        return [*kept, Remove(place) if value is None else Set(place, meant)]

    first: SettingsProblem | None = None
    for meant in [None] if value is None else _meanings(value):
        label = f"remove {shown}" if value is None else f"set {shown} = {_word(meant)}"
        try:
            outcome = change_settings(folder, functools.partial(make, meant), label)
        except SettingsProblem as problem:
            first = first or problem
            continue
        except FileProblem:
            if first is None:
                raise
            continue  # it cannot be text there: the fault is what it has as a table
        ends = (value_at(side, path) for side in (outcome.before, outcome.after))
        was, now = (None if end is MISSING else end for end in ends)
        now = None if value is None else now  # the next of a list has moved up
        return outcome, shown, was, now
    raise first or AssertionError


def _kept_id(now: TomlTable, place: KeyPath, meant: object) -> list[Change]:
    """Return what keeps a place known by its first name when it gets another.

    Ticks and calendars go by that name as long as property.toml gives the place no id.
    """
    from quietacre.edit.toml_plain import Set

    info = now.get("property")
    if tuple(place) != NAME or not isinstance(info, dict) or info.get("id"):
        return []
    name = info.get("name")
    known = isinstance(name, str) and name.strip() and name != meant
    return [Set(ID, name)] if known else []


def _meanings(value: str) -> list[object]:
    """Return what a typed value may mean: as TOML has it, and as text."""
    if value.strip() and "\n" not in value:
        try:
            meant = tomllib.loads(f"value = {value}")["value"]
        except (tomllib.TOMLDecodeError, ValueError, RecursionError):
            return [value]
        return [meant] if meant == value else [meant, value]
    return [value]


def _word(value: object) -> str:
    """Return a value as it is spelled; of a long list or table, how much is in it."""
    from quietacre.edit.toml_spell import rounded, spelled

    if value is None:
        return NOTHING
    word = spelled(rounded(value), flat=True)
    if len(word) <= MOST_SIGNS:
        return word
    if isinstance(value, (list, dict)):
        return f"{'a list' if isinstance(value, list) else 'a table'} of {len(value)}"
    return f"{word[:MOST_SIGNS]} …"


def _plain(value: object) -> object:
    """Return a value as JSON has it: days as text."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    plain = value is None or isinstance(value, (str, int, float, bool))
    return value if plain else str(value)


def _say_what_follows(folder: Path, outcome: Outcome, was: object, now: object) -> None:
    """Say which faults the file still has, and which log lines keep an old name."""
    from quietacre.edit.toml_table import areas_in, table_in

    ids = [table_in(side, "property").get("id") for side in (outcome.before, outcome.after)]
    if ids[1] and not ids[0] and was != now and ids[1] == was:
        say(
            f"property.toml: property.id = {_word(ids[1])} too, so that ticks and calendars know "
            "the place still"
        )
    for fault in outcome.faults:
        say(f"property.toml still has a fault that it had before: {fault}", err=True)
    names = [
        {area.get("name") for area in areas_in(side)}
        for side in (outcome.before, outcome.after)
    ]
    renamed = isinstance(was, str) and was in names[0] and was not in names[1]
    if outcome.step is None or not renamed:
        return
    from quietacre.edit.journal import read
    from quietacre.logbook import LOG

    lines = (read(folder, LOG) or b"").decode("utf-8", "replace").splitlines()
    count = sum(str(was).casefold() in line.casefold() for line in lines[1:])
    if count:
        say(
            f"{LOG}: {count} line{'' if count == 1 else 's'} may still say “{was}”; they count for "
            f"“{now}” once they say so too",
            err=True,
        )
