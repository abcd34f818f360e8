"""property.toml to settings: strict, and every fault at once."""

from __future__ import annotations

import copy
import dataclasses
import datetime as dt
import difflib
import functools
import re
import tomllib
import types
import typing
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from pydantic import TypeAdapter, ValidationError

from quietacre import settings
from quietacre.crop_names import table_name
from quietacre.days import month_day
from quietacre.errors import SettingsProblem
from quietacre.intake.deadline import in_time
from quietacre.intake.faults import fault_words
from quietacre.intake.limits import (
    MAX_NESTING,
    MAX_TOML_BYTES,
    check_inside,
    lies_inside,
    read_text,
)
from quietacre.intake.log_faults import log_faults
from quietacre.intake.newer import format_in, format_of, newer_words
from quietacre.intake.sown import crop_fault, with_table_names
from quietacre.model import AREA_KINDS, FORMAT, MADE_KINDS, OUT, Note, folded
from quietacre.shipped import rows
from quietacre.units import reckonable
from quietacre.windows import FORMS, read_window
from quietacre.workweek import DISK_DAYS, FIRST_YEAR, LAST_YEAR, ROT_DAYS

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Sequence

FILE = "property.toml"
KEYS = {"files": "from", "file": "from"}
#: What stands for the file of ground that comes as a shape or a walk.
GIVEN = "given as a shape"
#: A key that TOML takes without quotes.
BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
UNKNOWN_KEY = "unexpected_keyword_argument"
ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def read_property(folder: Path) -> settings.Property:
    """Return the settings of a property folder, as ``read_property_and_notes`` does."""
    return read_property_and_notes(folder)[0]


def read_property_and_notes(folder: Path) -> tuple[settings.Property, tuple[Note, ...]]:
    """Return the settings of a property folder, and what to say of how they were read.

    Raises
    ------
    FileProblem
        There is no property.toml, or it is not text.
    SettingsProblem
        Its faults, all at once: each with its key path, and the nearest word that
        would have been right.
    """
    with in_time(folder / FILE, FILE):
        return _settings(folder)


def _settings(folder: Path) -> tuple[settings.Property, tuple[Note, ...]]:
    if (folder / FILE).is_symlink():
        check_inside(folder, folder / FILE, FILE)
    return _parsed(read_text(folder / FILE, FILE, MAX_TOML_BYTES), folder)


@functools.cache
def _reader() -> TypeAdapter[settings.Property]:
    """Return what checks types and ranges; it takes longer to make than to use."""
    return TypeAdapter(settings.Property)


def parse_property(
    text: str, folder: Path, *, coming: Collection[str] = ()
) -> settings.Property:
    """Return the settings in the text of a property.toml.

    Parameters
    ----------
    text : the whole file.
    folder : the property folder, where the files lie that it names.
    coming : files that are about to be put there, by their paths in the folder.

    Raises
    ------
    SettingsProblem
        Its faults, as `read_property`.
    """
    return _parsed(text, folder, coming)[0]


def _parsed(
    text: str, folder: Path, coming: Collection[str] = ()
) -> tuple[settings.Property, tuple[Note, ...]]:
    """Return the settings in a text, and what to say of how they were read."""
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise SettingsProblem([f"is not TOML: {problem}"], source=FILE) from problem
    except RecursionError as problem:
        raise SettingsProblem(["nests too deep"], source=FILE) from problem
    except ValueError as problem:  # a number of thousands of digits
        raise SettingsProblem(["holds a number too long to read"], source=FILE) from problem
    return checked(document, Place(folder, frozenset(coming)))


def checked(
    document: dict[str, Any], place: Place, source: str = FILE
) -> tuple[settings.Property, tuple[Note, ...]]:
    """Return the settings in a document as TOML gives it, and what to say of them.

    Raises
    ------
    SettingsProblem
        Its faults, as `read_property`.
    """
    faults = list(_unfit_values(document))
    if faults:
        raise SettingsProblem(faults, source=source)
    loose = list(_loose_types(document, settings.Property, ""))
    try:
        prop = _reader().validate_python(document)
    except ValidationError as problem:
        errors = problem.errors(include_url=False)
        rest = _without(document, [error["loc"] for error in errors])
        newer = format_in(document)
        if newer <= FORMAT or rest is None or any(e["type"] != UNKNOWN_KEY for e in errors):
            faults = list(dict.fromkeys(_say(error) for error in errors))
            if newer > FORMAT:
                faults.insert(
                    0, f"property.format: {newer_words(newer)}; get the newer one"
                )
            # a wrong type found by both is said once
            seen = {fault.split(":")[0] for fault in faults}
            faults += [fault for fault in loose if fault.split(":")[0] not in seen]
            if rest is not None:  # what is left may hold names that lead nowhere
                faults += _cross_check(rest, place)
            raise SettingsProblem(faults, source=source) from problem
        prop = rest  # ``newer_notes`` says what was left out
    prop, notes = with_table_names(prop, source)
    faults = loose + list(_cross_check(prop, place))
    if faults:
        raise SettingsProblem(faults, source=source)
    return prop, notes


def newer_notes(folder: Path) -> tuple[Note, ...]:
    """Return what a folder of a newer version has that this one leaves out; mostly nothing."""
    found = format_of(folder)
    if found <= FORMAT:
        return ()
    text = read_text(folder / FILE, FILE, MAX_TOML_BYTES)
    left_out: list[str] = []
    try:
        _reader().validate_python(tomllib.loads(text))
    except ValidationError as problem:
        left_out = [_path(e["loc"]) for e in problem.errors() if e["type"] == UNKNOWN_KEY]
    without = f", without what it does not know: {', '.join(left_out)}" if left_out else ""
    words = f"{FILE}: {newer_words(found)}; here it is only read{without}."
    return (Note("newer-format", words, source=FILE),)


def _unfit_values(document: dict[str, Any]) -> Iterator[str]:
    """Yield a fault for each number that is none and date too far, or for too deep nesting."""
    left: list[tuple[tuple[int | str, ...], Any]] = [((), document)]
    while left:
        loc, value = left.pop()
        if len(loc) > MAX_NESTING:
            yield "nests too deep"
            return
        if (
            isinstance(value, (int, float))
            and not isinstance(value, bool)
            and not reckonable(value)
        ):
            shown = str(value)[:24]  # "g" cannot show a whole number of 400 digits
            yield f"{_path(loc)}: {shown} is not a number to reckon with; type a plain one"
        elif isinstance(value, dt.date) and not FIRST_YEAR <= value.year <= LAST_YEAR:
            yield f"{_path(loc)}: {value} is no year to plan in; check it"
        elif isinstance(value, dict):
            left += [((*loc, key), item) for key, item in value.items()]
        elif isinstance(value, list):
            left += [((*loc, number), item) for number, item in enumerate(value)]


def _without(
    document: dict[str, Any], places: Sequence[Sequence[int | str]]
) -> settings.Property | None:
    """Return the settings with the faulty keys left out, None when that is not enough."""
    left = copy.deepcopy(document)
    for place in places:
        here: Any = left
        for part in place[:-1]:
            inside = isinstance(here, dict) and part in here
            if inside or (isinstance(here, list) and isinstance(part, int)):
                here = here[part]
        if isinstance(here, dict):
            here.pop(place[-1], None)
            if place[-1] == "kind" and place[0] == "area":
                here["kind"] = AREA_KINDS[0]  # it must have one; any will do to look on
    try:
        return _reader().validate_python(left)
    except ValidationError:
        return None


def _path(loc: Sequence[int | str]) -> str:
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


def _near(word: str, known: Iterable[str]) -> str:
    by_fold = {folded(one): one for one in known}
    found = difflib.get_close_matches(folded(word), list(by_fold), n=1, cutoff=0.5)
    return f"; did you mean “{by_fold[found[0]]}”?" if found else ""


def _table_at(loc: Sequence[int | str]) -> list[str]:
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
        found = _record_in(inner)
        if found is not None:
            return found
    return None


def _say(error: Any) -> str:  # noqa: ANN401 - pydantic's error record
    loc, kind = error["loc"], error["type"]
    path = _path(loc)
    given = error.get("input")
    if kind == UNKNOWN_KEY:
        return f"{path}: there is no such key{_near(str(loc[-1]), _table_at(loc))}"
    if kind in ("missing", "missing_argument", "missing_keyword_only_argument"):
        return f"{path}: is missing; add it"
    if kind == "literal_error":
        words = re.findall(r"'([^']+)'", str(error["ctx"]["expected"]))
        return (
            f"{path}: “{given}” is not one of {', '.join(words)}{_near(str(given), words)}"
        )
    if kind == "string_pattern_mismatch":
        form = settings.FORMS[error["ctx"]["pattern"]]
        return f"{path}: “{given}” should be {form}"
    plain = fault_words(kind, loc, error.get("ctx", {}))
    if plain is not None:
        said = f"“{given}” " if isinstance(given, (str, int, float)) and given != "" else ""
        return f"{path}: {said}{plain}"
    message = str(error["msg"])
    message = message[:1].lower() + message[1:]
    shown = f"“{given}”: " if isinstance(given, (str, int, float)) else ""
    return f"{path}: {shown}{message}"


def _is_date(value: object) -> bool:
    """Return whether a value is a day to plan with, as TOML's own date or spelled like it."""
    if isinstance(value, str) and ISO_DAY.fullmatch(value):
        try:
            value = dt.date.fromisoformat(value)
        except ValueError:
            return False
    return (
        isinstance(value, dt.date)
        and not isinstance(value, dt.datetime)
        and FIRST_YEAR <= value.year <= LAST_YEAR
    )


@functools.cache
def _hints(record: type) -> dict[str, Any]:
    """Return the types of a record's fields; to work them out takes longer than to check."""
    return typing.get_type_hints(record, include_extras=False)


def _loose_types(value: Any, hint: Any, path: str) -> Iterator[str]:  # noqa: ANN401
    """Yield faults that pydantic would mend silently: "60" for 60, true for 1."""
    if dataclasses.is_dataclass(hint) and isinstance(value, dict):
        hints = _hints(typing.cast("type", hint))
        for field in dataclasses.fields(hint):
            key = KEYS.get(field.name, field.name)
            if key in value:
                inner = f"{path}.{key}" if path else key
                yield from _loose_types(value[key], hints[field.name], inner)
        return
    arguments = typing.get_args(hint)
    origin = typing.get_origin(hint)
    if origin in (typing.Union, types.UnionType):
        options = [a for a in arguments if a is not type(None)]
        if isinstance(value, list):
            options = [a for a in options if typing.get_origin(a) is tuple]
        elif len(options) > 1:
            options = [a for a in options if typing.get_origin(a) is not tuple]
        if len(options) == 1:
            yield from _loose_types(value, options[0], path)
        return
    if origin is dict and isinstance(value, dict):
        for name, item in value.items():
            shown = name if BARE_KEY.fullmatch(name) else f'"{name}"'
            yield from _loose_types(item, arguments[1], f"{path}.{shown}")
        return
    if origin is tuple and isinstance(value, list):
        for number, item in enumerate(value, 1):
            yield from _loose_types(item, arguments[0], f"{path}[{number}]")
        return
    if hint in (int, float) and (isinstance(value, (str, bool))):
        yield f"{path}: {value!r} should be a number, without quotes".replace(
            "'", "“", 1
        ).replace("'", "”", 1)
    elif hint is float and isinstance(value, float) and value != value:  # noqa: PLR0124 - NaN
        yield f"{path}: nan is not a number to work with"
    elif hint is bool and not isinstance(value, bool):
        yield f"{path}: should be true or false"
    elif hint is dt.date and not _is_date(value):
        # a number would be taken for seconds since 1970, and a time for its day
        yield f"{path}: “{value}” is not a date; write it as 2027-09-26, without quotes"


@dataclasses.dataclass(frozen=True)
class Place:
    """A property folder, and the files that are about to be put into it.

    Without a folder no file can be named: ground is given in other ways then.
    """

    folder: Path | None
    coming: frozenset[str] = frozenset()


def _cross_check(prop: settings.Property, place: Place) -> Iterator[str]:
    """Yield faults between keys: names that lead nowhere, files that are not there."""
    mixes = {mix.name for mix in prop.mix}
    tests = {test.name for test in prop.soil_test}
    sprays = {spray.name for spray in prop.spray}
    if prop.property.boundary:
        yield from _file_faults(prop.property.boundary, "property.boundary", place)
    yield from _doubles("area", [area.name for area in prop.area])
    yield from _doubles("mix", [mix.name for mix in prop.mix])
    yield from _doubles("soil_test", [test.name for test in prop.soil_test])
    yield from _doubles("spray", [spray.name for spray in prop.spray])
    for number, mix in enumerate(prop.mix, 1):
        for n, seed in enumerate(mix.seed, 1):
            if (seed.plant_from is None) != (seed.plant_to is None):
                yield (
                    f"mix[{number}].seed[{n}].plant_from: a window has two ends; give "
                    "plant_from and plant_to, or neither"
                )
    for number, area in enumerate(prop.area, 1):
        at = f"area[{number}]"
        yield from _area_files(area, at, place)
        yield from _leads(area.mix, f"{at}.mix", "mix", mixes)
        yield from _leads(area.soil_test, f"{at}.soil_test", "soil_test", tests)
        if area.strip is not None:
            yield from _leads(area.strip.mix, f"{at}.strip.mix", "mix", mixes)
            yield from _leads(
                area.strip.soil_test, f"{at}.strip.soil_test", "soil_test", tests
            )
            if area.strip.bare and area.strip.mix is not None:
                yield f"{at}.strip.bare: a bare strip is not sown; leave out bare or mix"
        for n, feed in enumerate(area.feed, 1):
            yield from _leads(feed.spray, f"{at}.feed[{n}].spray", "spray", sprays)
        if area.walked_inside_ft and area.walked_outside_ft:
            yield f"{at}.walked_inside_ft: give it or walked_outside_ft, not both"
    if prop.weather is not None:
        yield from _file_faults(prop.weather.files, "weather.from", place)
        first, last = prop.weather.first_year, prop.weather.last_year
        if first is not None and last is not None and first > last:
            yield f"weather.first_year: {first} is after last_year {last}"
    yield from _date_faults(prop)
    words = {*AREA_KINDS, *MADE_KINDS, *(area.name for area in prop.area)}
    for number, quiet in enumerate(prop.quiet, 1):
        if quiet.keeps_out != "all":
            for word in quiet.keeps_out:
                if word not in words:
                    yield (
                        f"quiet[{number}].keeps_out: “{word}” is neither a kind nor an area"
                        f"{_near(word, words)}"
                    )
    yield from _seed_faults(prop)
    yield from _crop_faults(prop)
    yield from log_faults(prop)
    yield from _soil_faults(prop)
    yield from _grown_faults(prop)
    yield from _map_faults(prop.map, place)


def _area_files(area: settings.Area, at: str, place: Place) -> Iterator[str]:
    """Yield what is wrong with the files that an area names."""
    paths = _listed(area.files)
    over = _listed(area.over)
    if not paths:
        yield f"{at}.from: is empty; name the file of “{area.name}”"
    for path in paths:
        yield from _file_faults(path, f"{at}.from", place)
    if len({PurePosixPath(path) for path in paths}) < len(paths):
        yield f"{at}.from: names a file twice; list it once"
    for path in over:
        yield from _file_faults(path, f"{at}.over", place)
        if path in paths:
            yield f"{at}.over: “{path}” is in from too; from is the drawing, over its walk"
    if area.previous is not None:
        for path in _listed(area.previous.files):
            yield from _file_faults(path, f"{at}.previous.from", place)
    if area.strip is not None and area.strip.temperatures is not None:
        yield from _file_faults(area.strip.temperatures, f"{at}.strip.temperatures", place)


def _listed(files: str | tuple[str, ...] | None) -> list[str]:
    return [files] if isinstance(files, str) else list(files or ())


def _map_faults(chart: settings.MapSettings, place: Place) -> Iterator[str]:
    if chart.picture is not None:
        yield from _file_faults(chart.picture, "map.picture", place)
    if chart.picture_crs is not None and chart.picture is None:
        yield "map.picture_crs: there is no picture; give one or leave it out"
    if chart.tiles is not None:
        missing = [part for part in ("{z}", "{x}", "{y}") if part not in chart.tiles]
        if missing:
            yield f"map.tiles: “{chart.tiles}” lacks {' '.join(missing)}"
    elif chart.tiles_credit is not None:
        yield "map.tiles_credit: there is no tiles address; give one or leave it out"


def _doubles(table: str, names: Sequence[str]) -> Iterator[str]:
    seen: dict[str, int] = {}
    for number, name in enumerate(names, 1):
        key = folded(name)
        if not key:
            yield f"{table}[{number}].name: is blank; give it a name"
        elif key in seen:
            yield (
                f"{table}[{number}].name: “{name}” is the name of {table}[{seen[key]}] too; "
                "change one"
            )
        seen.setdefault(key, number)


def _leads(word: str | None, path: str, table: str, known: set[str]) -> Iterator[str]:
    if word is not None and word not in known:
        yield f"{path}: there is no [[{table}]] named “{word}”{_near(word, known)}"


def _file_faults(name: str, path: str, place: Place) -> Iterator[str]:
    """Yield what is wrong with a file's name; files stay inside the folder."""
    parts = PurePosixPath(name.replace("\\", "/"))
    if parts.is_absolute() or ".." in parts.parts or ":" in name or "\x00" in name:
        yield f"{path}: “{name}” leads out of the property folder; copy the file into it"
        return
    folder = place.folder
    if folder is None:
        if name != GIVEN:
            yield f"{path}: “{name}” lies in no folder; give the folder too, or leave it out"
        return
    target = folder / parts
    try:
        there = target.is_file()
    except OSError:  # a name too long for the system, say
        there = False
    if not there and parts.as_posix() in place.coming:
        return
    if not there:
        near = _near(parts.as_posix(), _listing(folder))
        yield f"{path}: “{name}” is not there{near or '; check its name'}"
    elif not lies_inside(folder, target):
        yield f"{path}: “{name}” is a link out of the property folder; copy the file into it"
    elif lies_inside(folder / OUT, target):
        yield (
            f"{path}: “{name}” lies in {OUT}/, which every build writes anew; copy the file "
            "out of it, or what you drew is lost"
        )


def _listing(folder: Path) -> list[str]:
    found = []
    for place in (folder, folder / "walks", folder / "drawn"):
        if place.is_dir():
            found += [
                p.relative_to(folder).as_posix() for p in sorted(place.iterdir())[:500]
            ]
    return found


def _date_faults(prop: settings.Property) -> Iterator[str]:
    dated: list[tuple[str, str]] = []
    place = prop.property
    for key, text in (("last_frost", place.last_frost), ("first_frost", place.first_frost)):
        if text is not None:
            dated.append((f"property.{key}", text))
    if (place.last_frost or "03-31") >= (place.first_frost or "11-05"):
        yield "property.first_frost: does not come after last_frost; give both in order"
    for number, quiet in enumerate(prop.quiet, 1):
        dated += [
            (f"quiet[{number}].start", quiet.start),
            (f"quiet[{number}].end", quiet.end),
        ]
    dated += [
        (f"mix[{number}].seed[{n}].{key}", text)
        for number, mix in enumerate(prop.mix, 1)
        for n, seed in enumerate(mix.seed, 1)
        for key, text in (("plant_from", seed.plant_from), ("plant_to", seed.plant_to))
        if text is not None
    ]
    for path, text in dated:
        try:
            month_day(text)
        except ValueError:
            yield f"{path}: “{text}” is not a day of the year"


def _seed_faults(prop: settings.Property) -> Iterator[str]:
    for number, mix in enumerate(prop.mix, 1):
        for n, seed in enumerate(mix.seed, 1):
            at = f"mix[{number}].seed[{n}]"
            given = [
                key
                for key in ("share", "rate_lb_ac", "seeds_ft2")
                if getattr(seed, key) is not None
            ]
            if table_name(seed.crop) is None and (not given or given == ["share"]):
                yield crop_fault(at, seed.crop)
            if len(given) > 1:
                yield f"{at}.{given[0]}: give it or {given[1]}, not both"
            if not given:
                yield f"{at}: give share (of the full rate), rate_lb_ac or seeds_ft2"
            if seed.rate_lb_ac is not None and seed.basis is None:
                yield f'{at}.basis: say whether the rate is "bulk" or "pls"'
            if seed.basis == "pls" and (seed.purity is None or seed.germination is None):
                yield f"{at}.purity: a pls rate needs purity and germination from the tag"
            if seed.germination is not None and seed.germination + seed.hard > 1.0 + 1e-9:
                yield f"{at}.hard: germination and hard seed add to more than 1"


def _crop_faults(prop: settings.Property) -> Iterator[str]:
    """Yield faults of [crop.NAME] and [lags]: names nobody sows, windows not to be read."""
    sown = {seed.crop for mix in prop.mix for seed in mix.seed}
    yield from _lag_faults(prop.lags, "lags")
    for name, rule in prop.crop.items():
        at = _path(("crop", name))
        if name not in sown:
            yield f"{at}: no mix sows “{name}”{_near(name, sown)}"
        if rule.window is not None:
            window = read_window(rule.window)
            if window.unread or not window.ranges:
                bad = window.unread[0] if window.unread else rule.window
                yield f"{at}.window: “{bad}” is no planting window to be read; write it as {FORMS}"
        yield from _lag_faults(rule.lags, f"{at}.lags")
        for number, task in enumerate(rule.tasks, 1):
            if task.crop is not None:
                yield f"{at}.tasks[{number}].crop: these tasks are this crop's; leave it out"


def _lag_faults(lags: settings.Lags, at: str) -> Iterator[str]:
    rot = ROT_DAYS if lags.rot_days is None else lags.rot_days
    least = rot + DISK_DAYS
    if lags.clip_days is not None and lags.clip_days < least:
        yield (
            f"{at}.clip_days: {lags.clip_days} days leave no {rot} for the rot and {DISK_DAYS} "
            f"from the second disking to planting; give {least} or more, or fewer rot_days"
        )


def _grown_faults(prop: settings.Property) -> Iterator[str]:
    """Yield faults of what is hauled off, and of what exclosures say is grown."""
    units = {row["what"]: row["unit"] for row in rows("removal")}
    for number, area in enumerate(prop.area, 1):
        at = f"area[{number}]"
        harvest = area.harvest
        if area.fertilizer == "removal" and harvest is None:
            yield f'{at}.fertilizer: "removal" needs harvest, what is hauled off'
        if harvest is None:
            continue
        unit = units.get(harvest.what)
        if unit is None:
            yield (
                f"{at}.harvest.what: “{harvest.what}” is not in the table of what crops carry "
                f"off{_near(harvest.what, units) or '; see quietacre need removal'}"
            )
            continue
        given = {"ton": harvest.ton_ac, "bu": harvest.bu_ac}
        if given.pop(unit) is None or any(other is not None for other in given.values()):
            yield f"{at}.harvest: {harvest.what} is printed by the {unit}: give {unit}_ac alone"
    forage = prop.forage
    if forage is None:
        return
    if (forage.yield_lb_ac is None) == (forage.clips is None):
        yield "forage.yield_lb_ac: give it or clips, one of them"
    if forage.clips is not None:
        inside, outside = forage.clips.inside_g, forage.clips.outside_g
        if len(inside) != len(outside):
            yield (
                f"forage.clips.outside_g: {len(outside)} clippings outside for {len(inside)} "
                "inside; give one for each, in the same order"
            )
        if not any(inside):
            yield "forage.clips.inside_g: nothing grew inside any cage; give yield_lb_ac"


def _soil_faults(prop: settings.Property) -> Iterator[str]:
    for number, test in enumerate(prop.soil_test, 1):
        at = f"soil_test[{number}]"
        for key in ("need_lb_ac", "need_ppm"):
            need = getattr(test, key)
            if need is None:
                continue
            if need.p is not None and need.p2o5 is not None:
                yield f"{at}.{key}.p: give p or p2o5, not both"
            if need.k is not None and need.k2o is not None:
                yield f"{at}.{key}.k: give k or k2o, not both"
        if test.need_lb_ac is not None and test.need_ppm is not None:
            yield f"{at}.need_ppm: give need_lb_ac or need_ppm, not both"
        if test.lime_ton_ac is not None and test.lime_lb_ac is not None:
            yield f"{at}.lime_lb_ac: give lime_ton_ac or lime_lb_ac, not both"
        lab = test.lime_ton_ac if test.lime_ton_ac is not None else test.lime_lb_ac
        if test.buffer is not None and lab is not None:
            yield f"{at}.buffer: give the laboratory's lime figure or a buffer, not both"
        if test.lime_basis_pct is not None and test.lime_basis_ecce_pct is not None:
            yield f"{at}.lime_basis_pct: give it or lime_basis_ecce_pct, not both"
        if test.lime_basis_pct is not None and test.lime_basis is None:
            yield f"{at}.lime_basis: say of which measure lime_basis_pct is the percent"
        if test.lime_basis_ecce_pct is not None and test.lime_basis not in (None, "ECCE"):
            yield f"{at}.lime_basis_ecce_pct: the basis is {test.lime_basis}; use lime_basis_pct"
        if test.lime_basis == "ENP" and test.lime_ton_ac is not None:
            yield f"{at}.lime_ton_ac: ENP is written in pounds; give lime_lb_ac"
